// Package words says things in words: names, values, conditions, and what a
// step, a way, a condition and a value read tell of themselves in an account.
// Start with [New]. It is a pure function of the pack, the layout, the
// observations and a [World] of plain values; it works nothing out. Package
// explain asks it with what a run found, and the verifier, package check, with
// what it found itself: a text told otherwise than its values is then a fault as
// much as a wrong value.
//
// Limits: English alone.
package words

import (
	"fmt"
	"math"
	"strings"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/explain/account"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// World is what holds of an inspection, as plain values.
type World interface {
	// Fact is what was found of a concluded property; the zero fact of any other.
	Fact(id rules.FactID) record.Fact
	// Number is the number that rules set, in base units; false if none did.
	Number(id rules.FactID) (measure.Number, bool)
	// See is what an expression comes to for bound parts; a yes/no as a choice.
	See(e *condition.Expr, bound []int32) vocab.Value
}

// Words is an inspection with words for all that holds of it. It is immutable.
type Words struct {
	World
	Facts *rules.Facts
	// Stage is how far the strip-down has come: the latest at which anything of a
	// part was looked at. What lies in the filter or under the cover takes nothing
	// apart.
	Stage vocab.Stage
}

// New makes the words for an inspection.
func New(w World, f *rules.Facts) *Words {
	out := &Words{World: w, Facts: f}
	for i := range f.Observations {
		o := &f.Observations[i]
		if o.Basis != int32(i) || !o.Prop.Observable {
			continue
		}
		stage := o.Prop.Stage
		if f.Parts[o.Part].Kind.ID == "machine" {
			stage = min(stage, vocab.BeforeANutIsTurned)
		}
		out.Stage = max(out.Stage, stage)
	}
	return out
}

// Header is an account of the inspection to which nothing is told yet.
func (w *Words) Header(question string) *account.Explanation {
	pack := w.Facts.Layout.Pack
	x := &account.Explanation{
		Question: question, K: w.Facts.K,
		Pack:       account.Edition{ID: pack.ID, Version: pack.Version, Digest: pack.Digest},
		Inspection: account.Occasion{Digest: w.Facts.Digest},
	}
	if m := w.Facts.Machine; m != nil {
		x.Inspection.Machine = m.Name
	}
	if in := w.Facts.Inspection; in != nil {
		x.Inspection.Number = in.Number
	}
	return x
}

// PartName is the printed name of a part.
func (w *Words) PartName(part int32) string {
	if part < 0 {
		return "none"
	}
	return w.Facts.Parts[part].Name
}

// PartID is the id of a part; "" of none.
func (w *Words) PartID(part int32) string {
	if part < 0 {
		return ""
	}
	return w.Facts.Parts[part].ID
}

// FactName is the printed name of a fact: "seat 2ex: overheated, steel changed".
func (w *Words) FactName(id rules.FactID) string { return w.PartName(id.Part) + ": " + id.Prop.Name }

// FactID is how a fact is named on the command line: seat_2ex.overheated.
func (w *Words) FactID(id rules.FactID) string { return w.PartID(id.Part) + "." + id.Prop.ID }

// Say fills a template for parts bound to the names of its statement; "" for none.
func (w *Words) Say(t *condition.Template, bound []int32) string {
	if t == nil {
		return ""
	}
	var b strings.Builder
	for _, p := range t.Pieces {
		switch {
		case p.Expr == nil:
			b.WriteString(p.Words)
		case p.Expr.Op == condition.Name:
			b.WriteString(w.PartName(bound[p.Expr.Var]))
		default:
			v := w.See(p.Expr, bound)
			b.WriteString(w.Value(&v, p.Expr.Type))
		}
	}
	return b.String()
}

// SayAll fills each of several templates.
func (w *Words) SayAll(ts []*condition.Template, bound []int32) []string {
	var out []string
	for _, t := range ts {
		out = append(out, w.Say(t, bound))
	}
	return out
}

// NotKnown stands where a value that nobody knows is to be shown.
const NotKnown = "not known"

func yesNo(t truth.Truth) string {
	switch t {
	case truth.True:
		return "yes"
	case truth.False:
		return "no"
	}
	return NotKnown
}

// State tells the state of a finding.
func State(t truth.Truth) string {
	switch t {
	case truth.True:
		return "so"
	case truth.False:
		return "known not to be so"
	}
	return NotKnown
}

// Sure tells the state of a finding and how sure it is.
func Sure(f record.Fact) string {
	switch {
	case f.Certain:
		return State(f.State) + ", by rule"
	case f.Decided || f.Probability > 0:
		return weigh.Word(f.Probability) + ", " + Odds(f.Probability)
	}
	return State(f.State)
}

// Odds tells a probability as a count: "9 in 10", "97 in 100", "over 999 in 1000".
func Odds(p float64) string {
	of := 100.0
	switch {
	case p > 0.999:
		return "over 999 in 1000"
	case p < 0.001:
		return "under 1 in 1000"
	case p >= 0.985 || p < 0.015:
		of = 1000
	}
	return fmt.Sprintf("%d in %d", int(math.Round(p*of)), int(of))
}

// List joins words: "a, b and c".
func List(words []string, last string) string {
	switch len(words) {
	case 0:
		return "none"
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}

// Choices names the possible choices: "brown or purple".
func Choices(choices []string, mask uint64) string {
	return strings.ReplaceAll(List(vocab.Possible(choices, mask), "or"), "_", " ")
}
