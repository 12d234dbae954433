// Package meaning is what a pack means: from observations and the text of the
// pack alone it works out what holds of an inspection, the slow and plain way, so
// that whoever reads it can see that it is right. The engine is compared with it
// on random packs, and the verifier of explanations replays by it. Start with [New]: group by group
// (settle.go), each until nothing changes any more, it reads conditions
// (logic.go, bindings.go), numbers with their uncertainty (number.go, call.go),
// and clues with what they weigh (weigh.go, evidence.go). What bears on a fact is
// in bearing.go, what a condition rests on in trace.go, what becomes of a part in
// verdict.go.
//
// Limits: it shares no evaluator, compiler, or choice of clues with package
// engine and must not: a test walks its imports. What both stand on are the
// conditions as package rules typed them, the observations as it fitted them,
// and the arithmetic of single numbers in facts/measure and engine/weigh. It
// keeps no index and is far slower; beyond 20 clues that hang together it takes
// the heaviest first, as the meaning says.
package meaning

import (
	"math"
	"math/bits"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Fact is a property of a part.
type Fact = rules.FactID

// World is what holds of one inspection by one pack.
type World struct {
	Facts *rules.Facts
	Pack  *rules.Pack
	heads map[*vocab.Property]*head
	found map[Fact]*found
}

// found is what was found of one fact.
type found struct {
	record.Fact               // Lambda and Probability as handed on, Weight of the clues that count
	weighed     bool          // clues speak of it, or of what it rests on
	ruledOut    truth.Truth   // whether a rule rules it out
	held        bool          // a rule concludes it, ruled out or not
	settled     bool          // and did before clues were heard
	bearings    [2][]*Bearing // what bears on it, and with what references let meet
	setters     []setter
	byClues     truth.Truth // its state by clues alone
	byOdds      float64     // its probability by clues alone
	clueRound   int32       // the round in which they are all known
	number      *measure.Number
}

// New works out what holds of an inspection fitted to a pack.
func New(pack *rules.Pack, f *rules.Facts) *World {
	w := &World{Facts: f, Pack: pack, found: map[Fact]*found{}}
	w.readHeads()
	w.spreadWeight()
	for _, group := range w.groups() {
		w.settle(group)
	}
	return w
}

func (w *World) at(f Fact) *found {
	if w.found[f] == nil {
		w.found[f] = &found{}
	}
	return w.found[f]
}

// State is whether a concluded fact holds.
func (w *World) State(f Fact) truth.Truth { return w.at(f).State }

// Round is the fewest rounds of rules that reach a fact; 0 if none does.
func (w *World) Round(f Fact) int32 { return w.at(f).Round }

// Fact is what was found of a concluded property, as an account tells it.
func (w *World) Fact(f Fact) record.Fact {
	x := w.at(f)
	out := x.Fact
	out.RuledOut, out.PerhapsRuledOut = x.ruledOut == truth.True, x.ruledOut == truth.Unknown
	if !x.weighed {
		out.Lambda = ratio.ofTruth(out.State)
	}
	out.Certain = out.State.Known() && (out.Lambda == weigh.Absent || out.Lambda == weigh.Seen)
	if out.Certain || !x.weighed {
		out.Probability = 0
	}
	return out
}

// Number is the number that rules set, in base units.
func (w *World) Number(f Fact) (measure.Number, bool) {
	if n := w.at(f).number; n != nil {
		return *n, true
	}
	return measure.Number{}, false
}

// See is what an expression comes to for bound parts.
func (w *World) See(e *condition.Expr, bound []int32) vocab.Value { return w.At(bound).See(e) }

// Told is what people told of a fact, or the machine file fixes; nil if neither
// could.
func (w *World) Told(f Fact) *vocab.Value {
	for _, o := range []*rules.Observation{w.Facts.Lookup(f.Part, f.Prop), w.Facts.Layout.Lookup(f.Part, f.Prop)} {
		if o != nil && o.Value.Looked == vocab.Told {
			return &o.Value
		}
	}
	return nil
}

// Value is what is known of a fact: what was told or is fixed, else what rules
// and clues make of it; the zero value if nothing is.
func (w *World) Value(f Fact) vocab.Value {
	p := f.Prop
	switch ordinal := w.Facts.Parts[f.Part].Ordinal; {
	case p.Role.Concluded():
		return vocab.Answer(w.State(f))
	case p.Role == vocab.Declared && p.Type == vocab.Part:
		return vocab.Value{Looked: vocab.Told, Ref: w.Facts.Ref(p)[ordinal]}
	case p.Role == vocab.Declared && p.Type == vocab.Parts:
		return vocab.Value{Looked: vocab.Told, Refs: w.Facts.List(p, ordinal)}
	}
	if v := w.Told(f); v != nil {
		return *v
	}
	n, ok := w.Number(f)
	return ofNumber(n, ok)
}

func ofNumber(n measure.Number, known bool) vocab.Value {
	if !known {
		return vocab.Value{}
	}
	return vocab.Value{Looked: vocab.Told, Number: n}
}

// whole tells whether a value of a shape leaves nothing open.
func whole(v vocab.Value, k condition.K) bool {
	switch {
	case v.Looked != vocab.Told:
		return false
	case k == condition.KNum:
		return v.Number.IsValue()
	case k == condition.KBool, k == condition.KPick:
		return bits.OnesCount64(v.Mask) == 1
	}
	return true
}

// Known tells whether a fact is wholly known.
func (w *World) Known(f Fact) bool { return whole(w.Value(f), condition.TypeOf(f.Prop).K) }

// roundOf is the round in which a fact is known: 0 of what people told.
func (w *World) roundOf(f Fact) int32 {
	if w.Told(f) != nil {
		return 0
	}
	return w.Round(f)
}

// ReasonOf is why a fact is unknown; none if it is known.
func (w *World) ReasonOf(f Fact) record.Reason {
	h := w.heads[f.Prop]
	switch {
	case w.Value(f).Looked == vocab.Told:
		return record.NoReason
	case h == nil:
		if o := w.Facts.Lookup(f.Part, f.Prop); o != nil && o.Value.Looked == vocab.CouldNotTell {
			return record.LookedCouldNot
		}
		if f.Prop.Role == vocab.Declared {
			return record.NobodyGives
		}
		return record.NobodyLooked
	case w.at(f).Conflict:
		return record.InConflict
	case !h.has[concludes] && !h.has[sets] && !h.has[speaks]:
		return record.NothingConcludes
	}
	return record.OpenFinding
}

// IsHead tells whether rules or clues say what a property is.
func IsHead(p *vocab.Property) bool { return p.Role.Concluded() || p.Role == vocab.Computed }

// fixed tells whether a property is a reference that the machine fixes.
func fixed(p *vocab.Property) bool { return isRef(p) && p.Role == vocab.Declared }

func isRef(p *vocab.Property) bool { return p.Type == vocab.Part || p.Type == vocab.Parts }

func isAnything(n measure.Number) bool { return math.IsInf(n.Lo, -1) && math.IsInf(n.Hi, 1) }
