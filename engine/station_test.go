package engine_test

import (
	"testing"

	"whyworn/engine"
	"whyworn/engine/weigh"
	"whyworn/facts"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/packs"
)

// stationFacts is the demo inspection fitted to the shipped pack.
func stationFacts(t testing.TB) (*rules.Pack, *rules.Facts) {
	t.Helper()
	pack, ps := packs.Load("rocker_gear")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	m, ps := facts.ReadMachineFile("../testdata/station/machine.toml")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	in, ps := facts.ReadInspectionFile("../testdata/station/engine-2.toml")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	f, ps := rules.Fit(pack, m, in)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	return pack, f
}

func TestStation(t *testing.T) {
	pack, f := stationFacts(t)
	p, ps := engine.Compile(pack)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	s := p.Bind(f)
	s.Run()
	r := s.Result()
	if r.Overrun != nil {
		t.Fatal(r.Overrun)
	}
	for _, fd := range r.Findings() {
		t.Logf("%-20s %-28s %v round %d certain %v p %.3f w %v", f.Parts[fd.Part].ID, fd.Prop.ID, fd.State, fd.Round, fd.Certain, fd.Probability, fd.Weight)
	}
	for _, c := range r.Computed() {
		t.Logf("%-20s %-20s %+v", f.Parts[c.Part].ID, c.Prop.ID, c.Value)
	}
	for _, v := range r.Verdicts {
		t.Logf("%-20s %v open %v missing %d", f.Parts[v.Part].ID, v.Level, v.Open, len(v.Missing))
	}
	for _, c := range r.Conflicts {
		t.Logf("conflict %s %s %d %v", f.Parts[c.Fact.Part].ID, c.Fact.Prop.ID, c.Kind, c.Rules)
	}
	t.Log(len(r.Assumptions), len(r.WithoutU))
}

// Every concluded fact of the demo has a way that agrees with its state, and
// asking twice answers alike.
func TestStationWays(t *testing.T) {
	pack, f := stationFacts(t)
	p, _ := engine.Compile(pack)
	s := p.Bind(f)
	s.Run()
	r := s.Result()
	for _, fd := range r.Findings() {
		fires := false
		sum := weigh.Weight(0)
		round := int32(0)
		for _, w := range engine.Ways(p, r, fd.Part, fd.Prop) {
			if w.Rule != nil && len(w.Rule.RulesOut) == 0 && w.State == truth.True {
				if !fires || w.Round < round {
					round = w.Round
				}
				fires = true
			}
			if w.Counted {
				sum += w.Weight
			}
		}
		name := f.Parts[fd.Part].ID + "." + fd.Prop.ID
		if sum != fd.Weight {
			t.Errorf("%s: ways sum to %v, the fact to %v", name, sum, fd.Weight)
		}
		if fires && fd.State == truth.False || fires && !fd.Conflict && fd.State != truth.True {
			t.Errorf("%s: a rule fires, the state is %v", name, fd.State)
		}
		if fires && fd.State == truth.True && round != fd.Round {
			t.Errorf("%s: round %d, the ways say %d", name, fd.Round, round)
		}
	}
}
