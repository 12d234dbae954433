package engine

import (
	"cmp"
	"maps"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// dirt is what has to be looked at again.
type dirt struct {
	facts  [][]factAt // by rank
	marked []bool     // by slot
	whole  []bool     // by pid
	wholes [][]pid    // by rank
	any    bool
}

func (d *dirt) bind(s *Session) {
	n := len(s.p.ranks)
	*d = dirt{make([][]factAt, n), make([]bool, s.columns.Size), make([]bool, len(s.p.info)), make([][]pid, n), false}
}

func (d *dirt) clear() {
	if !d.any {
		return
	}
	for r := range d.facts {
		d.facts[r], d.wholes[r] = d.facts[r][:0], d.wholes[r][:0]
	}
	clear(d.marked)
	clear(d.whole)
	d.any = false
}

// touch marks a fact to be looked at again.
func (s *Session) touch(id pid, ord int32) {
	at := s.first[id] + ord
	if s.dirty.marked[at] || s.dirty.whole[id] {
		return
	}
	if x := &s.p.info[id]; x.comp < 0 && x.weighed && len(x.rivals) > 0 {
		s.touchAll(id) // rivals are settled together
		return
	}
	s.dirty.any = true
	s.dirty.marked[at] = true
	r := s.p.info[id].rank
	s.dirty.facts[r] = append(s.dirty.facts[r], factAt{id, ord})
}

func (s *Session) touchAll(id pid) {
	if s.dirty.whole[id] {
		return
	}
	s.dirty.any = true
	s.dirty.whole[id] = true
	r := s.p.info[id].rank
	s.dirty.wholes[r] = append(s.dirty.wholes[r], id)
}

// runChanged looks again at what is marked, rank by rank; what changes marks
// what reads it.
func (s *Session) runChanged() {
	if s.dirty.any {
		s.ranksAgain()
	}
	if s.overrun == nil {
		s.settleFlips()
	}
}

func (s *Session) ranksAgain() {
	for r := range s.p.ranks {
		if len(s.dirty.facts[r]) == 0 && len(s.dirty.wholes[r]) == 0 {
			continue
		}
		var loops map[int32][]factAt
		loop := func(c int32, f factAt) {
			if loops == nil {
				loops = map[int32][]factAt{}
			}
			loops[c] = append(loops[c], f)
		}
		for _, id := range s.dirty.wholes[r] {
			x := &s.p.info[id]
			n := int32(len(s.l.OfKind[x.prop.Kind.Index]))
			if x.weighed && x.comp < 0 {
				s.weighAll([]pid{id})
			}
			for o := range n {
				if x.comp >= 0 {
					loop(x.comp, factAt{id, o})
				} else {
					s.again(id, o)
				}
			}
			s.dirty.whole[id] = false
		}
		for _, f := range s.dirty.facts[r] {
			x := &s.p.info[f.id]
			s.dirty.marked[s.first[f.id]+f.ord] = false
			switch {
			case x.sole && !x.tainted:
				s.soleAgain(x, f)
			case x.comp >= 0:
				loop(x.comp, f)
			case x.weighed:
				s.weighCause(x, f.id, f.ord)
				s.clueState(f.id, f.ord)
				s.again(f.id, f.ord)
			default:
				s.again(f.id, f.ord)
			}
		}
		for _, c := range slices.Sorted(maps.Keys(loops)) {
			s.loopAgain(&s.p.comps[c], loops[c])
		}
		// What a loop that was redone marked of itself is settled already.
		for _, f := range s.dirty.facts[r] {
			s.dirty.marked[s.first[f.id]+f.ord] = false
		}
		for _, id := range s.dirty.wholes[r] {
			s.dirty.whole[id] = false
		}
		s.dirty.facts[r], s.dirty.wholes[r] = s.dirty.facts[r][:0], s.dirty.wholes[r][:0]
		if s.overrun != nil {
			return
		}
	}
	s.dirty.any = false
}

// before-and-after of one fact.
type snapshot struct {
	state  truth.Truth
	round  int32
	number vocab.Value
	known  bool
	ev     evidence
	cuts   cuts
}

func (s *Session) snap(x *propInfo, id pid, ord int32) snapshot {
	at := s.first[id] + ord
	out := snapshot{state: s.state[at], round: s.round[at]}
	if x.prop.Role == vocab.Computed {
		out.number.Number, out.known = s.numberOf(s.l.OfKind[x.prop.Kind.Index][ord], x.prop)
		out.cuts = s.cutsIf(x, id, ord)
	}
	if x.tainted {
		out.ev = evidence{s.weights.lambda[at], s.weights.prob[at]}
	}
	return out
}

func (a *snapshot) same(b *snapshot) bool {
	return a.state == b.state && a.round == b.round && a.ev == b.ev && a.known == b.known &&
		(!a.known || sameNumber(&a.number, &b.number))
}

func sameNumber(a, b *vocab.Value) bool {
	m, n := a.Number, b.Number
	return m.Lo == n.Lo && m.Hi == n.Hi && m.LoOpen == n.LoOpen && m.HiOpen == n.HiOpen &&
		(m.Terms == nil) == (n.Terms == nil) && slices.Equal(m.Terms, n.Terms)
}

// again works out one fact of a property that stands alone and marks what reads
// it if it changed.
func (s *Session) again(id pid, ord int32) {
	x := &s.p.info[id]
	was := s.snap(x, id, ord)
	s.settle(id, ord)
	s.tell(x, id, ord, &was)
}

// soleAgain is again for a fact that one plain rule alone concludes.
func (s *Session) soleAgain(x *propInfo, f factAt) {
	c := s.p.rules[x.then[0].rule]
	at := s.first[f.id] + f.ord
	t, round := wordTruth(s.wordsOf(x.prop.Kind.Index, f.ord)[c.word]), int32(0)
	if t == truth.True {
		round = s.wordRound(c, f.ord)
	}
	was := s.state[at]
	if t == was && round == s.round[at] {
		return
	}
	s.state[at], s.round[at] = t, round
	s.moveMask(x, f.ord, maskOf(was), maskOf(t))
	if len(x.readers) > 0 || x.index != nil {
		s.changed(x, f.id, s.l.OfKind[x.prop.Kind.Index][f.ord])
	}
}

func (s *Session) tell(x *propInfo, id pid, ord int32, was *snapshot) {
	is := s.snap(x, id, ord)
	if was.same(&is) {
		return
	}
	if x.prop.Role == vocab.Computed {
		s.moveNumber(x, id, ord, was.cuts)
	} else {
		s.moveMask(x, ord, maskOf(was.state), maskOf(is.state))
	}
	s.changed(x, id, s.l.OfKind[x.prop.Kind.Index][ord])
}

// loopAgain resets and redoes what of a component the changed facts can reach.
func (s *Session) loopAgain(c *component, from []factAt) {
	var region []factAt
	inside := map[int32]bool{}
	enter := func(f factAt) bool {
		at := s.first[f.id] + f.ord
		if !inside[at] {
			inside[at] = true
			region = append(region, f)
		}
		return true
	}
	for _, f := range from {
		enter(f)
	}
	for i := 0; i < len(region); i++ {
		f := region[i]
		x := &s.p.info[f.id]
		part := s.l.OfKind[x.prop.Kind.Index][f.ord]
		for j := range x.inside {
			s.reached(&x.inside[j], part, enter)
		}
		if len(x.rivals) > 0 { // rivals are settled together
			for _, id := range c.props {
				for o := range int32(len(s.l.OfKind[s.p.info[id].prop.Kind.Index])) {
					enter(factAt{id, o})
				}
			}
		}
		if s.spend(1) {
			return
		}
	}
	slices.SortFunc(region, func(a, b factAt) int { return cmp.Or(cmp.Compare(a.id, b.id), cmp.Compare(a.ord, b.ord)) })
	was := make([]snapshot, len(region))
	for i, f := range region {
		was[i] = s.snap(&s.p.info[f.id], f.id, f.ord)
	}
	s.fixpoint(c, region)
	for i, f := range region {
		s.tell(&s.p.info[f.id], f.id, f.ord, &was[i])
	}
}
