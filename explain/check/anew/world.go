// Package anew works out over again, from observations and the text of a pack
// alone, what holds of an inspection: the slow and plain way, so that whoever
// reads it can see that it is right. Start with [New]: stratum by stratum
// (strata.go), each until nothing changes any more, it reads conditions
// (logic.go, binding.go), numbers with their uncertainty (number.go, compare.go,
// formula.go), clues and what they weigh (weigh.go, evidence.go, rivals.go). What
// follows for a part is in verdict.go; what bears on a fact, what a condition
// reads and what is at odds in bearing.go, trace.go and dispute.go.
//
// Limits: it shares nothing with package engine, neither compiler nor evaluator,
// and must not: a test walks its imports. What both stand on are the conditions
// as package rules typed them and the observations as it fitted them. It keeps no
// index and is far slower; beyond 20 clues that hang together it
// takes the heaviest first, as the meaning says.
package anew

import (
	"math"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Fact is a property of a part.
type Fact = rules.FactID

// World is what holds of one inspection by one pack, worked out the slow and
// plain way: stratum by stratum, each until nothing changes any more.
type World struct {
	Pack  *rules.Pack
	Facts *rules.Facts
	heads map[*vocab.Property]*head
	state map[Fact]truth.Truth // of what is concluded
	round map[Fact]int32       // the fewest rounds of rules that reach what is true
	calc  map[Fact]measure.Number
	ev    map[Fact]evidence // of what clues speak of, and of what rests on that
	sums  map[Fact]*Weighing
	out   map[Fact]truth.Truth // whether a rule rules it out
	clash map[Fact]bool        // in conflict
	stage vocab.Stage

	instances map[bindingKey][][]int32
}

// New works out what holds of an inspection fitted to a pack.
func New(pack *rules.Pack, f *rules.Facts) *World {
	w := &World{
		Pack: pack, Facts: f, heads: map[*vocab.Property]*head{}, state: map[Fact]truth.Truth{}, round: map[Fact]int32{},
		calc: map[Fact]measure.Number{}, ev: map[Fact]evidence{}, sums: map[Fact]*Weighing{}, out: map[Fact]truth.Truth{},
		clash: map[Fact]bool{}, instances: map[bindingKey][][]int32{},
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

// What holds.

// State is whether a concluded fact holds.
func (w *World) State(f Fact) truth.Truth { return w.state[f] }

// Round is the fewest rounds of rules that reach a fact; 0 if none does.
func (w *World) Round(f Fact) int32 { return w.round[f] }

// WorkedOut is the number that rules set, in base units.
func (w *World) WorkedOut(f Fact) (measure.Number, bool) {
	n, ok := w.calc[f]
	return n, ok
}

// Weighing is the clues that speak of a fact, weighed; nil if none can.
func (w *World) Weighing(f Fact) *Weighing { return w.sums[f] }

// RuledOut is whether a rule rules a fact out.
func (w *World) RuledOut(f Fact) truth.Truth { return w.out[f] }

// InConflict tells whether what bears on a fact is at odds.
func (w *World) InConflict(f Fact) bool { return w.clash[f] }

// What people told, and what the machine fixes where nobody did.

// Told is the observation of a fact, else what the machine file fixes; nil if
// there is neither.
func (w *World) Told(f Fact) *rules.Observation {
	o, d := w.Facts.Lookup(f.Part, f.Prop), w.Facts.Layout.Lookup(f.Part, f.Prop)
	if o != nil && o.Value.Looked == vocab.Told || d == nil || d.Value.Looked != vocab.Told {
		return o
	}
	return d
}

// Value is what was told of a fact; false if nobody could tell.
func (w *World) Value(f Fact) (*vocab.Value, bool) {
	if o := w.Told(f); o != nil && o.Value.Looked == vocab.Told {
		return &o.Value, true
	}
	return nil, false
}

func (w *World) truthOf(f Fact) truth.Truth {
	if f.Prop.Role.Concluded() {
		return w.state[f]
	}
	return within(w.maskOf(f), vocab.Yes)
}

func (w *World) maskOf(f Fact) uint64 {
	if v, ok := w.Value(f); ok {
		return v.Mask
	}
	return 0
}

// NumberOf is the number told, else the one worked out, in base units.
func (w *World) NumberOf(f Fact) (measure.Number, bool) {
	if v, ok := w.Value(f); ok {
		return v.Number, true
	}
	n, ok := w.calc[f]
	return n, ok
}

// RefOf is the part that a fact leads to: below 0 for none, or [UnknownPart].
func (w *World) RefOf(f Fact) int32 {
	if f.Prop.Role == vocab.Declared {
		return w.Facts.Ref(f.Prop)[w.Facts.Parts[f.Part].Ordinal]
	}
	if v, ok := w.Value(f); ok {
		return v.Ref
	}
	return UnknownPart
}

// ListOf is the parts of a list; false if nobody knows them.
func (w *World) ListOf(f Fact) ([]int32, bool) {
	if f.Prop.Role == vocab.Declared {
		return w.Facts.List(f.Prop, w.Facts.Parts[f.Part].Ordinal), true
	}
	if v, ok := w.Value(f); ok {
		return v.Refs, true
	}
	return nil, false
}

func (w *World) roundOf(f Fact) int32 {
	if _, given := w.Value(f); given {
		return 0
	}
	return w.round[f]
}

// Concludes tells whether something may conclude, rule out, set or speak of a
// property, and whether any rule or clue could tell that it holds.
func (w *World) Concludes(p *vocab.Property) (concluded, reachable bool) {
	h := w.heads[p]
	return h != nil, h != nil && len(h.then)+len(h.sets)+len(h.clues) > 0
}

// Past tells whether it is too late to look: what goes with its stage is gone,
// and what waits for the repair is not there yet.
func (w *World) Past(p *vocab.Property) bool {
	switch {
	case !p.Observable || p.ID == "found" || p.OnPaper:
		return false
	case w.stage == vocab.AfterRepair || p.Stage == vocab.AfterRepair:
		return w.stage != vocab.AfterRepair || p.Stage != vocab.AfterRepair
	}
	return p.Fleeting && w.stage >= p.DestroyedBy || p.Stage < vocab.Cleaned && p.Stage < w.stage
}

// Certainty is whether rules over observations alone settle a fact, else its
// probability and whether any clue was decided.
func (w *World) Certainty(f Fact) (certain bool, prob float64, decided bool) {
	ev, weighed := w.ev[f]
	known := w.state[f] != truth.Unknown
	if !weighed {
		return known, 0, false
	}
	s := w.sums[f]
	decided = s != nil && s.Decided
	if known && (ev.lambda == 0 || math.IsInf(ev.lambda, 1)) {
		return true, 0, decided
	}
	return false, ev.prob, decided
}

// Ids and names as people write them.

func (w *World) PartID(part int32) string { return w.Facts.Parts[part].ID }

func (w *World) PartName(part int32) string {
	if part < 0 {
		return "none"
	}
	return w.Facts.Parts[part].Name
}

func (w *World) FactID(f Fact) string { return w.PartID(f.Part) + "." + f.Prop.ID }

func (w *World) FactName(f Fact) string { return w.PartName(f.Part) + ": " + f.Prop.Name }

// Choices names the choices that are still possible.
func Choices(mask uint64, choices []string) (out []string) {
	for i, c := range choices {
		if mask>>i&1 == 1 {
			out = append(out, c)
		}
	}
	return out
}
