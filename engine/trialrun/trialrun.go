// Package trialrun runs the trials of a pack: small inspections with what must
// and must not come out. Start with [Run]. A failure carries what was expected
// and what came out; why it did is for package explain.
package trialrun

import (
	"slices"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/trial"
	"whyworn/rules/vocab"
)

// Outcome is what one trial answered.
type Outcome struct {
	Trial    *trial.Trial
	Problems source.Problems // of fitting it; nothing was run if there are errors
	Result   *record.Result
	Failures []Failure
}

// Passed tells whether all that the trial claims came out.
func (o *Outcome) Passed() bool { return len(o.Failures) == 0 && !o.Problems.HasErrors() }

// Failure is a claim that did not come out.
type Failure struct {
	Claim trial.Claim
	// State is the state of the finding; Level the verdict; Number the number
	// computed, if HasNumber.
	State     truth.Truth // of a remedy: whether it is to be done
	Level     vocab.Level
	Number    measure.Number
	HasNumber bool
	Role      string // of a claim about roots: what the finding is instead
}

// Told is what trials claim beyond facts and verdicts.
type Told interface {
	// Role is the role of a finding in the story; "root" is what trials claim.
	Role(record.FactID) string
	// Due tells whether a remedy is to be done for parts of which one is this; part
	// -1: for any.
	Due(m *rules.Remedy, part int32) truth.Truth
}

// Run runs one trial.
func Run(p *engine.Program, t *trial.Trial, tell func(*record.Result) Told) Outcome {
	o := Outcome{Trial: t}
	f, claims, ps := t.Fit(p.Pack())
	o.Problems = ps
	if f == nil || ps.HasErrors() {
		return o
	}
	s := p.Bind(f)
	s.Run()
	o.Result = s.Result()
	told := tell(o.Result)
	for _, c := range claims {
		if failure, failed := check(o.Result, c, told); failed {
			o.Failures = append(o.Failures, failure)
		}
	}
	return o
}

func check(r *record.Result, c trial.Claim, told Told) (Failure, bool) {
	f := Failure{Claim: c}
	switch {
	case c.Remedy != nil:
		f.State = told.Due(c.Remedy, c.Part)
		return f, f.State != c.Expect
	case c.Prop == nil:
		v, _ := r.Verdict(c.Part)
		f.Level = v.Level
		return f, (v.Level == c.Level) != (c.Expect == truth.True)
	case c.Root:
		f.State = r.Fact(c.Part, c.Prop).State
		f.Role = told.Role(record.FactID{Part: c.Part, Prop: c.Prop})
		return f, f.Role != "root"
	case c.Prop.Role == vocab.Computed:
		v, ok := r.Value(c.Part, c.Prop)
		f.HasNumber = ok && v.Looked == vocab.Told
		f.Number = v.Number
		if c.Expect == truth.Unknown {
			return f, f.HasNumber
		}
		return f, (f.HasNumber && same(v.Number, c.Number)) != (c.Expect == truth.True)
	}
	f.State = r.Fact(c.Part, c.Prop).State
	return f, f.State != c.Expect
}

// same compares two numbers: within 1e-9 of the larger.
func same(a, b measure.Number) bool {
	return measure.Equalish(a.Lo, b.Lo, 0) && measure.Equalish(a.Hi, b.Hi, 0)
}

// All runs trials in order of id.
func All(p *engine.Program, ts []*trial.Trial, tell func(*record.Result) Told) []Outcome {
	ts = slices.Clone(ts)
	slices.SortFunc(ts, func(a, b *trial.Trial) int {
		if a.ID < b.ID {
			return -1
		}
		return 1
	})
	out := make([]Outcome, len(ts))
	for i, t := range ts {
		out[i] = Run(p, t, tell)
	}
	return out
}
