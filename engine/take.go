package engine

import (
	"math"
	"slices"

	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// lastTaken is what a session knows of the inspection it took last, whose memory may
// be gone by the next.
type lastTaken struct {
	k    float64 // coverage factor
	told []toldAt
	next []difference
}

// toldAt is a fact that was told.
type toldAt struct {
	part  int32
	prop  *vocab.Property
	basis int32 // place of the observation it stands on; -1: none
}

// difference is a fact to be told anew, or no more.
type difference struct {
	part  int32
	prop  *vocab.Property
	value *vocab.Value // nil: no more
	again bool         // only what it stands on is another
}

// mostDifferences of a hundred facts told: with more a run from nothing is
// cheaper.
const mostDifferences = 12

// Take is Reset for a row of inspections that may be much alike: where few answers
// differ from the inspection before, the next Run works out only what they reach.
// The outcome is the same to the byte.
func (s *Session) Take(f *rules.Facts) {
	if f.Layout != s.l || !s.takes(f) {
		s.Reset(f)
		s.note(f)
		return
	}
	s.facts, s.bases.of = f, nil
	for i := range s.taken.next {
		d := &s.taken.next[i]
		switch {
		case d.again:
			s.restsElse(&s.p.info[s.p.id(d.prop)])
		case d.value == nil:
			s.enterChange(d.part, d.prop, &vocab.Value{})
		default:
			s.enterChange(d.part, d.prop, d.value)
		}
		if s.startOver { // never: takes has seen to it
			s.Reset(f)
			break
		}
	}
	s.note(f)
}

// takes finds what differs, and tells whether it is little enough.
func (s *Session) takes(f *rules.Facts) bool {
	t := &s.taken
	t.next = t.next[:0]
	if t.told == nil || s.fresh || s.overrun != nil || s.startOver || !s.fits || len(s.changes.value) > 0 || len(s.p.observedRefs) > 0 || f.K != t.k {
		return false
	}
	most := len(t.told) * mostDifferences / 100
	i := 0
	differs := func(d difference) bool {
		t.next = append(t.next, d)
		return len(t.next) <= most && d.prop.Role != vocab.Declared
	}
	for n := range f.Observations {
		o := &f.Observations[n]
		if o.Value.Looked != vocab.Told {
			continue
		}
		for i < len(t.told) && t.told[i].before(o) {
			if !differs(difference{part: t.told[i].part, prop: t.told[i].prop}) {
				return false
			}
			i++
		}
		old := i < len(t.told) && t.told[i].part == o.Part && t.told[i].prop == o.Prop
		switch {
		case !old || !s.stands(o):
			if !differs(difference{part: o.Part, prop: o.Prop, value: &o.Value}) {
				return false
			}
		case t.told[i].basis != s.basisPlace(f, o):
			if !differs(difference{part: o.Part, prop: o.Prop, again: true}) {
				return false
			}
		}
		if old {
			i++
		}
	}
	for ; i < len(t.told); i++ {
		if !differs(difference{part: t.told[i].part, prop: t.told[i].prop}) {
			return false
		}
	}
	return true
}

func (t *toldAt) before(o *rules.Observation) bool {
	return t.part < o.Part || t.part == o.Part && t.prop.Index < o.Prop.Index
}

// stands tells whether the columns hold the value already.
func (s *Session) stands(o *rules.Observation) bool {
	id := s.p.id(o.Prop)
	ord := s.ords[o.Part]
	switch s.p.info[id].store {
	case inMask:
		return s.mask[s.maskAt[id]+ord] == o.Value.Mask
	case inNumber:
		at := s.numAt[id] + ord
		if x := s.num[at]; x == x {
			return isExact(&o.Value.Number) && sameBits(x, o.Value.Number.Lo)
		}
		n, ok := s.odd[at]
		return ok && alike(&n, &o.Value.Number)
	case inRef, inLists:
		return o.Prop.Role == vocab.Declared
	}
	return true // nothing reads it
}

func sameBits(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

// alike tells whether two numbers are the same to the bit, sources included.
func alike(a, b *measure.Number) bool {
	return sameBits(a.Lo, b.Lo) && sameBits(a.Hi, b.Hi) && a.LoOpen == b.LoOpen && a.HiOpen == b.HiOpen &&
		(a.Terms == nil) == (b.Terms == nil) && slices.Equal(a.Terms, b.Terms)
}

// note keeps what was told, for the next Take.
func (s *Session) note(f *rules.Facts) {
	t := &s.taken
	t.k = f.K
	t.told = slices.Grow(t.told[:0], len(f.Observations))
	for i := range f.Observations {
		if o := &f.Observations[i]; o.Value.Looked == vocab.Told {
			t.told = append(t.told, toldAt{o.Part, o.Prop, s.basisPlace(f, o)})
		}
	}
}

func (s *Session) basisPlace(f *rules.Facts, o *rules.Observation) int32 {
	if o.Basis < 0 {
		return -1
	}
	on := &f.Observations[o.Basis]
	return s.placeOf(on.Part, on.Prop)
}
