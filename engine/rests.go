package engine

import (
	"iter"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// resting finds the written observations that a condition can reach through
// all rules and clues.
type resting struct {
	stamp uint32
	seen  []uint32 // by slot
	out   []int32  // places
	ways  map[reachKey]wayOut
	held  int // places in ways
}

// restsOf is the known observations the sign of a clue instance can reach, as
// indices of the written ones they are worked out of, put behind pool.
func (s *Session) restsOf(it *instance, pool []int32) []int32 {
	k := s.p.clues[it.clue]
	from := len(pool)
	for _, place := range s.placesFrom(k.clue.Sign, it.bound[:len(k.each)]) {
		if i := s.basisOf(place); i >= 0 {
			pool = append(pool, i)
		}
	}
	slices.Sort(pool[from:])
	return pool[:from+len(slices.Compact(pool[from:]))]
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
			for b := range s.meetings(&c.binder, int(h.name), part) {
				s.reachAll(&c.binder, b)
				if len(c.rule.Set) > 0 {
					s.reach(c.rule.Set[h.at].Value.Root, b, nil)
				}
			}
		}
	}
	for _, c := range x.clues {
		k := s.p.clues[c]
		for b := range s.meetings(&k.binder, k.clue.Cause.Var, part) {
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

// meetings goes through the bindings in which parts belong together: no reference
// or list among the conditions is known to lead elsewhere. That two observed
// numbers or choices differ keeps nobody apart here: it is an observation too.
func (s *Session) meetings(b *binder, name int, part int32) iter.Seq[[]int32] {
	return s.each(b, part, func() { b.loose.walk(&s.aside, name, part, (*held)(s)) })
}

// blindly goes through the bindings of a binder by its ties alone.
func (s *Session) blindly(b *binder, name int, part int32) iter.Seq[[]int32] {
	return s.each(b, part, func() {
		s.aside.blind = true
		b.walk(&s.aside, name, part, (*held)(s))
		s.aside.blind = false
	})
}

// each goes through the bindings that a walk holds, one if there is one name.
// They are good until the next; the walk is over before the first.
func (s *Session) each(b *binder, part int32, walk func()) iter.Seq[[]int32] {
	return func(yield func([]int32) bool) {
		from := len(s.held)
		if len(b.each) == 1 {
			s.held = append(s.held, [maxNames]int32{part})
		} else {
			walk()
		}
		for i, to := from, len(s.held); i < to && yield(s.held[i][:len(b.each)]); i++ {
		}
		s.held = s.held[:from]
	}
}

// held is a session as the visitor of a walk whose bindings it holds.
type held Session

func (s *held) visit(f *frame, _ truth.Truth) bool {
	s.held = append(s.held, f.bound)
	return true
}

func (s *held) enough(truth.Truth) bool { return false }

func (s *Session) reachObserved(part int32, p *vocab.Property) {
	s.rest.out = append(s.rest.out, s.placeOf(part, p))
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
