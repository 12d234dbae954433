package engine

import (
	"cmp"
	"maps"
	"slices"

	"whyworn/engine/record"
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
	case inLists:
		if prop.Role != vocab.Declared {
			delete(s.lists[id].observed, ord)
			if told {
				s.lists[id].observed[ord] = v.Refs
			}
			s.inverse[id] = listColumn{}
			s.changed(x, id, part)
		}
	}
	s.restsElse(x)
}

// restsElse marks the weighed properties whose clues may rest on a property: which
// observations they rest on may change without any fact changing.
func (s *Session) restsElse(x *propInfo) {
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
	x.index.moveNumber(s.wordsOf(k, ord), was, s.placed(id, ord), &s.turned)
	s.flipped(k, ord, s.turned.list())
}

func (s *Session) moveMask(x *propInfo, ord int32, was, is uint64) {
	if x.index == nil || !s.counted {
		return
	}
	k := x.prop.Kind.Index
	x.index.moveMask(s.wordsOf(k, ord), was, is, &s.turned)
	s.flipped(k, ord, s.turned.list())
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
	s.flipped(x.prop.Kind.Index, s.ords[part], x.handing)
}

// deepRounds marks what plain rules conclude from a finding or number whose
// round may have changed though no word flipped.
func (s *Session) deepRounds(x *propInfo, id pid, part int32) {
	if !s.p.isHead(id) {
		return
	}
	s.turned.clear(x.index.most())
	x.index.rules(func(word uint32) {
		s.turned.rules[s.turned.n] = word
		s.turned.n++
	})
	s.flipped(x.prop.Kind.Index, s.ords[part], s.turned.list())
}
