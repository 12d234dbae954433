package check

import (
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

type fact = rules.FactID

// world is what holds of one inspection by one pack, worked out the slow and
// plain way: stratum by stratum, each until nothing changes any more.
type world struct {
	pack  *rules.Pack
	f     *rules.Facts
	heads map[*vocab.Property]*head
	state map[fact]truth.Truth // of what is concluded
	round map[fact]int32       // the fewest rounds of rules that reach what is true
	calc  map[fact]measure.Number
	ev    map[fact]evidence // of what clues speak of, and of what rests on that
	sums  map[fact]*weighing
	out   map[fact]truth.Truth // whether a rule rules it out
	clash map[fact]bool        // in conflict
	stage vocab.Stage

	instances map[bindingKey][][]int32
}

func newWorld(pack *rules.Pack, f *rules.Facts) *world {
	w := &world{
		pack: pack, f: f, heads: map[*vocab.Property]*head{}, state: map[fact]truth.Truth{}, round: map[fact]int32{},
		calc: map[fact]measure.Number{}, ev: map[fact]evidence{}, sums: map[fact]*weighing{}, out: map[fact]truth.Truth{},
		clash: map[fact]bool{}, instances: map[bindingKey][][]int32{},
	}
	for i := range f.Observations {
		if o := &f.Observations[i]; o.Basis == int32(i) && o.Prop.Observable {
			w.stage = max(w.stage, o.Prop.Stage)
		}
	}
	for _, h := range w.strata() {
		w.settle(h)
	}
	return w
}

// What people told, and what the machine fixes where nobody did.

func (w *world) told(f fact) *rules.Observation {
	o, d := w.f.Lookup(f.Part, f.Prop), w.f.Layout.Lookup(f.Part, f.Prop)
	if o != nil && o.Value.Looked == vocab.Told || d == nil || d.Value.Looked != vocab.Told {
		return o
	}
	return d
}

func (w *world) value(f fact) (*vocab.Value, bool) {
	if o := w.told(f); o != nil && o.Value.Looked == vocab.Told {
		return &o.Value, true
	}
	return nil, false
}

func (w *world) truthOf(f fact) truth.Truth {
	if f.Prop.Role.Concluded() {
		return w.state[f]
	}
	return within(w.maskOf(f), vocab.Yes)
}

func (w *world) maskOf(f fact) uint64 {
	if v, ok := w.value(f); ok {
		return v.Mask
	}
	return 0
}

func (w *world) numberOf(f fact) (measure.Number, bool) {
	if v, ok := w.value(f); ok {
		return v.Number, true
	}
	n, ok := w.calc[f]
	return n, ok
}

func (w *world) refOf(f fact) int32 {
	if f.Prop.Role == vocab.Declared {
		return w.f.Ref(f.Prop)[w.f.Parts[f.Part].Ordinal]
	}
	if v, ok := w.value(f); ok {
		return v.Ref
	}
	return unknownPart
}

func (w *world) listOf(f fact) ([]int32, bool) {
	if f.Prop.Role == vocab.Declared {
		return w.f.List(f.Prop, w.f.Parts[f.Part].Ordinal), true
	}
	if v, ok := w.value(f); ok {
		return v.Refs, true
	}
	return nil, false
}

func (w *world) roundOf(f fact) int32 {
	if _, given := w.value(f); given {
		return 0
	}
	return w.round[f]
}
