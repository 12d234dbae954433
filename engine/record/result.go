package record

import (
	"slices"
	"sync"

	"whyworn/engine/weigh"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Flag tells more of a fact than its state.
type Flag uint8

const (
	// InConflictFlag: concluded and ruled out, values that disagree, or clues
	// against a rule.
	InConflictFlag Flag = 1 << iota
	// TouchedFlag: unknown, though something it rests on is known.
	TouchedFlag
	// RuledOutFlag: a ruling-out fired.
	RuledOutFlag
	// PerhapsRuledOutFlag: a ruling-out is unknown; it was taken as not firing.
	PerhapsRuledOutFlag
	// InexactFlag: more clues overlapped than are weighed against each other
	// exactly; the heaviest were taken first.
	InexactFlag
)

// Result is what one run answers. It aliases nothing of the session that
// made it, except what is immutable. Slices are in canonical order: by part, then
// property, then ids.
type Result struct {
	// Facts are the inspection as of the run: after changes Observations are
	// those that held then.
	Facts       *rules.Facts
	Verdicts    []Verdict
	Conflicts   []Conflict
	Assumptions []Assumption
	WithoutU    []Bare
	// Overrun is set when the run was stopped at a cap on work or memory; then
	// every concluded fact is unknown.
	Overrun error

	// The store, filled by package engine. Read it through the methods.
	Columns *Columns
	State   []truth.Truth // by slot
	Round   []int32       // by slot
	Flags   []Flag        // by slot
	Weighed []Weighed     // ascending by slot
	Numbers []Computed    // ascending by slot

	// Asking is package engine's: what it keeps while facts of this result are
	// asked about.
	Asking *Asking
}

// Asking guards what package engine keeps to answer questions about a result.
type Asking struct {
	sync.Mutex
	Session any
}

// Weighed is what evidence says of a fact that clues speak for or against, or
// that was concluded from such facts.
type Weighed struct {
	Slot        int32
	Lambda      float64 // likelihood ratio handed on; +Inf and 0 are certain
	Probability float64
	Weight      weigh.Weight
	Decided     bool
	Settled     bool // by a rule, not by clues
}

// Computed is a number that rules set. An observed value of the same property
// goes before it in conditions; both are kept.
type Computed struct {
	Slot  int32
	Part  int32
	Prop  *vocab.Property
	Value measure.Number
}

// Bare is a conclusion in which at least one comparison of measured numbers was
// decided without any uncertainty given.
type Bare struct {
	Fact FactID
	Rule *rules.Rule
}

// Finding is a concluded fact with its name.
type Finding struct {
	FactID
	Fact
}

func (r *Result) slot(part int32, prop *vocab.Property) int32 {
	if part < 0 || int(part) >= len(r.Facts.Parts) {
		return -1
	}
	return r.Columns.Slot(&r.Facts.Parts[part], prop)
}

// Fact is what the run found of a concluded property of a part: the zero
// Fact, unknown, where nothing concludes it.
func (r *Result) Fact(part int32, prop *vocab.Property) Fact {
	s := r.slot(part, prop)
	if s < 0 {
		return Fact{}
	}
	return r.at(s)
}

func (r *Result) at(s int32) Fact { return r.fact(s, r.weighed(s)) }

// fact is what stands in a slot, w what evidence says of it, nil = nothing.
func (r *Result) fact(s int32, w *Weighed) Fact {
	f := Fact{
		State: r.State[s], Round: r.Round[s],
		Conflict:        r.Flags[s]&InConflictFlag != 0,
		RuledOut:        r.Flags[s]&RuledOutFlag != 0,
		PerhapsRuledOut: r.Flags[s]&PerhapsRuledOutFlag != 0,
		Inexact:         r.Flags[s]&InexactFlag != 0,
	}
	if w == nil {
		f.Certain = f.State.Known()
		f.Lambda = ofTruth(f.State)
		return f
	}
	f.Lambda, f.Weight, f.Decided = w.Lambda, w.Weight, w.Decided
	f.Certain = f.State.Known() && (w.Lambda == 0 || w.Lambda == weigh.Seen)
	if !f.Certain {
		f.Probability = w.Probability
	}
	return f
}

func ofTruth(t truth.Truth) weigh.Lambda {
	switch t {
	case truth.True:
		return weigh.Seen
	case truth.False:
		return weigh.Absent
	}
	return weigh.Open
}

func (r *Result) weighed(s int32) *Weighed {
	i, ok := slices.BinarySearchFunc(r.Weighed, s, func(w Weighed, s int32) int { return int(w.Slot - s) })
	if !ok {
		return nil
	}
	return &r.Weighed[i]
}

// Evidence is what clues say of a fact, if any speak of it or of what it was
// concluded from.
func (r *Result) Evidence(part int32, prop *vocab.Property) (Weighed, bool) {
	if s := r.slot(part, prop); s >= 0 {
		if w := r.weighed(s); w != nil {
			return *w, true
		}
	}
	return Weighed{}, false
}

// Number is the number that rules computed, in base units; false if none did.
func (r *Result) Number(part int32, prop *vocab.Property) (vocab.Value, bool) {
	s := r.slot(part, prop)
	if s < 0 {
		return vocab.Value{}, false
	}
	i, ok := slices.BinarySearchFunc(r.Numbers, s, func(c Computed, s int32) int { return int(c.Slot - s) })
	if !ok {
		return vocab.Value{}, false
	}
	return vocab.Value{Looked: vocab.Told, Number: r.Numbers[i].Value}, true
}

// Observed is what was seen, measured or declared; false if nobody looked and
// nothing declares it.
func (r *Result) Observed(part int32, prop *vocab.Property) (vocab.Value, bool) {
	o := r.Facts.Lookup(part, prop)
	if o == nil {
		o = r.Facts.Layout.Lookup(part, prop)
	}
	if o == nil || o.Value.Looked == vocab.NotLooked {
		return vocab.Value{}, false
	}
	return o.Value, true
}

// Value is what conditions read: the observed value if one is told, else the
// declared, else the computed one.
func (r *Result) Value(part int32, prop *vocab.Property) (vocab.Value, bool) {
	v, ok := r.Observed(part, prop)
	if ok && v.Looked == vocab.Told {
		return v, true
	}
	if c, computed := r.Number(part, prop); computed {
		return c, true
	}
	return v, ok
}

// True lists the true findings by part, then property.
func (r *Result) True() []Finding {
	return slices.DeleteFunc(r.Findings(), func(f Finding) bool { return f.State != truth.True })
}

// Computed lists the numbers that rules set, by part, then property.
func (r *Result) Computed() []Computed {
	out := slices.Clone(r.Numbers)
	slices.SortFunc(out, func(a, b Computed) int {
		return FactID{Part: a.Part, Prop: a.Prop}.Compare(FactID{Part: b.Part, Prop: b.Prop})
	})
	return out
}

// Verdict gives the verdict of a part; false if no rule judges parts of its kind.
func (r *Result) Verdict(part int32) (Verdict, bool) {
	i, ok := slices.BinarySearchFunc(r.Verdicts, part, func(v Verdict, p int32) int { return int(v.Part - p) })
	if !ok {
		return Verdict{}, false
	}
	return r.Verdicts[i], true
}
