package engine

import (
	"slices"

	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// resting finds the written observations that a condition can reach through
// all rules and clues.
type resting struct {
	stamp uint32
	seen  []uint32 // by slot
	out   []int32
}

// restsOf is the known observations the sign of a clue instance can reach, as
// indices of the written ones they are worked out of.
func (s *Session) restsOf(it *instance) []int32 {
	k := s.p.clues[it.clue]
	return s.reachable([]*condition.Condition{k.clue.Sign}, it.bound[:len(k.each)])
}

func (s *Session) reachable(conds []*condition.Condition, bound []int32) []int32 {
	r := &s.rest
	if len(r.seen) < int(s.columns.Size) {
		r.seen = make([]uint32, s.columns.Size)
		r.stamp = 0
	}
	if r.stamp++; r.stamp == 0 {
		clear(r.seen)
		r.stamp = 1
	}
	r.out = r.out[:0]
	s.current()
	for _, c := range conds {
		s.reach(c.Root, bound, nil)
	}
	slices.Sort(r.out)
	return slices.Clone(slices.Compact(r.out))
}

// reach collects what a node reads, directly and through what concludes it.
func (s *Session) reach(e *condition.Expr, bound, elems []int32) {
	if s.spend(1) {
		return
	}
	v := &env{r: s, bound: bound, elems: elems}
	switch {
	case e.Op == condition.Prop:
		s.reach(e.Args[0], bound, elems)
		part := v.part(e.Args[0])
		if ofKind(s.l, part, e.Prop.Kind) {
			s.reachFact(part, e.Prop)
		}
		return
	case opensElement(e.Op) && len(e.Args) > 1:
		s.reach(e.Args[0], bound, elems)
		for _, part := range v.elements0(e.Args[0]) {
			s.reach(e.Args[1], bound, append(slices.Clip(elems), part))
		}
		return
	}
	for _, a := range e.Args {
		s.reach(a, bound, elems)
	}
}

func (s *Session) reachFact(part int32, p *vocab.Property) {
	id := s.p.id(p)
	if !s.p.isHead(id) {
		s.reachObserved(part, p)
		return
	}
	slot := s.first[id] + s.ords[part]
	if s.rest.seen[slot] == s.rest.stamp {
		return
	}
	s.rest.seen[slot] = s.rest.stamp
	if p.Role == vocab.Computed && s.given[slot] {
		s.reachObserved(part, p)
	}
	x := &s.p.info[id]
	for _, list := range [][]headOf{x.then, x.outs, x.sets} {
		for _, h := range list {
			c := s.p.rules[h.rule]
			for _, b := range s.meetings(&c.binder, int(h.name), part) {
				s.reachAll(&c.binder, b)
				if len(c.rule.Set) > 0 {
					s.reach(c.rule.Set[h.at].Value.Root, b, nil)
				}
			}
		}
	}
	for _, c := range x.clues {
		k := s.p.clues[c]
		for _, b := range s.meetings(&k.binder, k.clue.Cause.Var, part) {
			s.reachAll(&k.binder, b)
			s.reach(k.clue.Sign.Root, b, nil)
		}
	}
}

func (s *Session) reachAll(b *binder, bound []int32) {
	for i := range b.conds {
		s.reach(b.conds[i].cond.Root, bound, nil)
	}
	for i := range b.unless {
		s.reach(b.unless[i].cond.Root, bound, nil)
	}
}

// meetings lists the bindings in which parts belong together: no reference or
// list among the conditions is known to lead elsewhere. That two observed
// numbers or choices differ keeps nobody apart here: it is an observation too.
func (s *Session) meetings(b *binder, name int, part int32) [][]int32 {
	if len(b.each) == 1 {
		return [][]int32{{part}}
	}
	found := bindings{all: true}
	b.loose.walk(&s.aside, name, part, &found)
	out := make([][]int32, len(found.list))
	for i := range found.list {
		out[i] = found.list[i][:len(b.each)]
	}
	return out
}

// blindly lists the bindings of a binder by its ties alone.
func (s *Session) blindly(b *binder, name int, part int32) [][]int32 {
	if len(b.each) == 1 {
		return [][]int32{{part}}
	}
	found := bindings{all: true}
	f := &s.aside
	f.blind = true
	b.walk(f, name, part, &found)
	f.blind = false
	out := make([][]int32, len(found.list))
	for i := range found.list {
		out[i] = found.list[i][:len(b.each)]
	}
	return out
}

func (s *Session) reachObserved(part int32, p *vocab.Property) {
	i := observationAt(s.current().Observations, part, p)
	if i < 0 {
		return
	}
	o := &s.current().Observations[i]
	if o.Value.Looked == vocab.Told && o.Basis >= 0 {
		s.rest.out = append(s.rest.out, o.Basis)
	}
}

// observationAt is the index of an observation, or -1.
func observationAt(obs []rules.Observation, part int32, p *vocab.Property) int32 {
	i, ok := slices.BinarySearchFunc(obs, rules.Observation{Part: part, Prop: p}, func(a, b rules.Observation) int {
		if a.Part != b.Part {
			return int(a.Part - b.Part)
		}
		return a.Prop.Index - b.Prop.Index
	})
	if !ok {
		return -1
	}
	return int32(i)
}
