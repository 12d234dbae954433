package engine

import (
	"cmp"
	"maps"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// changes is what differs from the facts as given.
type changes struct {
	value map[record.FactID]vocab.Value
	now   *rules.Facts // with the changes; nil if it has to be made again
}

func (c *changes) clear() {
	clear(c.value)
	c.now = nil
}

// Set gives a property of a part a value, instead of what was told of it. The
// value must fit the property. Nothing is worked out before the next Run.
func (s *Session) Set(part int32, prop *vocab.Property, v vocab.Value) {
	if s.changes.value == nil {
		s.changes.value = map[record.FactID]vocab.Value{}
	}
	s.changes.value[record.FactID{Part: part, Prop: prop}] = v
	s.changes.now = nil
	s.enterChange(part, prop, &v)
}

// Forget makes a property of a part one that nobody has looked at.
func (s *Session) Forget(part int32, prop *vocab.Property) {
	s.Set(part, prop, vocab.Value{})
}

// reload starts over from the facts and the changes made to them.
func (s *Session) reload() {
	value := s.changes.value
	s.changes.value = nil
	s.load(s.facts)
	for id, v := range value {
		s.Set(id.Part, id.Prop, v)
	}
}

// current is the facts that hold now. Indices of observations are those of the
// facts returned.
func (s *Session) current() *rules.Facts {
	if len(s.changes.value) == 0 {
		return s.facts
	}
	if s.changes.now != nil {
		return s.changes.now
	}
	now := *s.facts
	now.Observations = make([]rules.Observation, 0, len(s.facts.Observations)+len(s.changes.value))
	left := maps.Clone(s.changes.value)
	moved := make([]int32, len(s.facts.Observations))
	for i, o := range s.facts.Observations {
		moved[i] = -1
		id := record.FactID{Part: o.Part, Prop: o.Prop}
		if v, ok := left[id]; ok {
			delete(left, id)
			if v.Looked == vocab.NotLooked {
				continue
			}
			o.Value = v
			o.Answer = nil
		}
		o.Basis += before // told from new ones below
		moved[i] = int32(i)
		now.Observations = append(now.Observations, o)
	}
	for id, v := range left {
		if v.Looked != vocab.NotLooked {
			now.Observations = append(now.Observations, rules.Observation{Part: id.Part, Prop: id.Prop, Value: v, Basis: -1})
		}
	}
	slices.SortFunc(now.Observations, func(a, b rules.Observation) int {
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Prop.Index, b.Prop.Index))
	})
	s.mendBases(&now)
	s.changes.now = &now
	return &now
}

// before shifts the bases that count observations as given, so that they are
// told from those of new observations while both stand in one list.
const before = 1 << 30

// mendBases makes each Basis an index into the new list. What was worked out of an
// observation that is gone, and what is new, stands on itself, but for numbers
// derived of one size: they stand on the size, or on the first of them.
func (s *Session) mendBases(now *rules.Facts) {
	obs := now.Observations
	at := func(part int32, p *vocab.Property) int32 { return observationAt(obs, part, p) }
	for i := range obs {
		o := &obs[i]
		switch {
		case o.Prop.Role == vocab.Derived && o.Prop.Of != nil:
			o.Basis = at(o.Part, o.Prop.Of)
			for j := int32(i); o.Basis < 0 && j >= 0 && obs[j].Part == o.Part; j-- {
				if j == 0 || obs[j-1].Part != o.Part {
					for k := j; k <= int32(i); k++ {
						if obs[k].Prop.Of == o.Prop.Of && obs[k].Prop.Role == vocab.Derived {
							o.Basis = k
							break
						}
					}
				}
			}
		case o.Basis >= before:
			old := &s.facts.Observations[o.Basis-before]
			if o.Basis = at(old.Part, old.Prop); o.Basis < 0 {
				o.Basis = int32(i)
			}
		case o.Answer == nil && o.Basis == before-1:
			o.Basis = -1 // declared
		default:
			o.Basis = int32(i)
		}
	}
}

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

// enterChange writes a changed value and marks what it reaches directly.
func (s *Session) enterChange(part int32, prop *vocab.Property, v *vocab.Value) {
	id := s.p.id(prop)
	x := &s.p.info[id]
	ord := s.ords[part]
	if !s.fresh && !s.counted {
		if !s.fits {
			s.startOver = true
			return
		}
		s.countWords()
	}
	if v.Looked != vocab.Told && prop.Role != vocab.Declared {
		if o := s.l.Lookup(part, prop); o != nil {
			v = &o.Value // what the machine fixes holds again
		}
	}
	told := v.Looked == vocab.Told
	switch x.store {
	case inMask:
		at := s.maskAt[id] + ord
		was := s.mask[at]
		s.mask[at] = 0
		if told {
			s.mask[at] = v.Mask
		}
		if s.mask[at] != was {
			s.moveMask(x, ord, was, s.mask[at])
			s.changed(x, id, part)
		}
	case inNumber:
		if x.prop.Role == vocab.Computed {
			if told {
				s.given[s.first[id]+ord] = true
			} else {
				delete(s.given, s.first[id]+ord)
			}
			if !s.fresh {
				s.touch(id, ord)
			}
		}
		was := s.cutsIf(x, id, ord)
		n, known := v.Number, told
		if !known && x.prop.Role == vocab.Computed {
			n, known = s.calc[s.first[id]+ord]
		}
		s.setNumber(id, ord, &n, known)
		s.moveNumber(x, id, ord, was)
		s.changed(x, id, part)
	case inRef:
		if prop.Role != vocab.Declared {
			s.refs[id][ord] = unknownPart
			if told {
				s.refs[id][ord] = v.Ref
			}
			s.inverse[id] = listColumn{}
			s.changed(x, id, part)
		}
	case inList_:
		if prop.Role != vocab.Declared {
			delete(s.lists[id].observed, ord)
			if told {
				s.lists[id].observed[ord] = v.Refs
			}
			s.inverse[id] = listColumn{}
			s.changed(x, id, part)
		}
	}
	// Which observations a clue rests on may change without any fact changing.
	for _, w := range x.weighing {
		if !s.fresh {
			s.touchAll(w)
		}
	}
}

func (s *Session) cutsIf(x *propInfo, id pid, ord int32) cuts {
	if x.index == nil || !s.counted {
		return cuts{}
	}
	return s.placed(id, ord)
}

func (s *Session) moveNumber(x *propInfo, id pid, ord int32, was cuts) {
	if x.index == nil || !s.counted {
		return
	}
	k := x.prop.Kind.Index
	x.index.moveNumber(s.wordsOf(k, ord), was, s.placed(id, ord), func(word uint32) { s.flipped(k, word, ord) })
}

func (s *Session) moveMask(x *propInfo, ord int32, was, is uint64) {
	if x.index == nil || !s.counted {
		return
	}
	k := x.prop.Kind.Index
	x.index.moveMask(s.wordsOf(k, ord), was, is, func(word uint32) { s.flipped(k, word, ord) })
}

// flipped marks what a plain rule concludes when its truth changes.
func (s *Session) flipped(kind int, word uint32, ord int32) {
	if s.fresh {
		return
	}
	for _, h := range s.p.rules[s.p.plain[kind].rules[word]].heads {
		s.touch(h, ord)
	}
}

// changed marks what reads a property of a part.
func (s *Session) changed(x *propInfo, id pid, part int32) {
	for _, t := range x.tables {
		if !s.p.tables[t].fixed {
			s.tables[t].made = false
		}
	}
	if s.fresh {
		return
	}
	for i := range x.readers {
		rd := &x.readers[i]
		if rd.whole() {
			for _, h := range rd.heads {
				s.touchAll(h.prop)
			}
			continue
		}
		s.reached(rd, part, func(f factAt) bool {
			s.touch(f.id, f.ord)
			return true
		})
	}
	if x.index != nil {
		s.deepRounds(x, id, part)
	}
}

// deepRounds marks what plain rules conclude from a finding or number whose
// round may have changed though no word flipped.
func (s *Session) deepRounds(x *propInfo, id pid, part int32) {
	k := x.prop.Kind.Index
	if !s.p.isHead(id) {
		return
	}
	x.index.rules(func(word uint32) { s.flipped(k, word, s.ords[part]) })
}

// runChanged looks again at what is marked, rank by rank; what changes marks
// what reads it.
func (s *Session) runChanged() {
	if !s.dirty.any {
		return
	}
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
	flags  record.Flag
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
