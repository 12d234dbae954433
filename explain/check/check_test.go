package check_test

import (
	"math/rand/v2"
	"testing"

	"whyworn/explain"
	"whyworn/explain/check"
	"whyworn/facts/written"
	"whyworn/rules"
)

type node = written.Node

// Every explanation of the demo and of the further inspections of its station
// follows from observations and pack.
func TestStationVerifies(t *testing.T) {
	pack, p := shipped(t)
	for _, name := range inspections(t) {
		explained(t, pack, run(p, station(t, pack, name)), name)
	}
}

// So do those of all trials of the shipped pack: why and whynot of all that each
// concludes, and its remedies. With -short a third of them, drawn with a fixed seed.
func TestTrialsVerify(t *testing.T) {
	pack, p := shipped(t)
	rng := rand.New(rand.NewPCG(3, 1869))
	every := !testing.Short()
	trials(t, pack, func(id string, f *rules.Facts) {
		c := run(p, f)
		k := check.New(pack, f)
		why, not := &explain.Asked{}, &explain.Asked{} // in one explanation each, so that what they share is told once
		for _, a := range asked(c) {
			third := rng.IntN(3)
			if third == 0 || every {
				why.Facts, why.Verdicts = append(why.Facts, a.Facts...), append(why.Verdicts, a.Verdicts...)
			}
			if third == 1 || every {
				not.Facts, not.Verdicts = append(not.Facts, a.Facts...), append(not.Verdicts, a.Verdicts...)
			}
		}
		verifies(t, k, id, c.WhyAsked(why))
		verifies(t, k, id, c.WhyNotAsked(quiet(not)))
		for _, m := range pack.Remedies {
			if rng.IntN(3) > 0 && !every {
				continue
			}
			if x, ok := c.WhyRemedy(m.ID); ok {
				verifies(t, k, id, x)
			}
		}
	})
}

// explained verifies why and whynot of all that a case concludes.
func explained(t *testing.T, pack *rules.Pack, c *explain.Case, name string) {
	t.Helper()
	k := check.New(pack, c.Facts)
	for _, a := range asked(c) {
		if !verifies(t, k, name, c.WhyAsked(a)) || !verifies(t, k, name, c.WhyNotAsked(quiet(a))) {
			return
		}
	}
	for _, m := range pack.Remedies {
		if x, ok := c.WhyRemedy(m.ID); ok && !verifies(t, k, name, x) {
			return
		}
	}
}

// What whynot says would change an answer does change it, replayed.
func TestChangesDoChange(t *testing.T) {
	pack, p := shipped(t)
	sets := 0
	for _, name := range []string{"station/engine-2.toml", "station/cases/soot.toml"} {
		c := run(p, station(t, pack, name))
		k := check.New(pack, c.Facts)
		for i, a := range asked(c) {
			if i%8 != 0 {
				continue
			}
			x := c.WhyNotAsked(a)
			verifies(t, k, name, x)
			if x.Changes != nil {
				sets += len(x.Changes.Sets)
			}
		}
	}
	if sets < 20 {
		t.Errorf("only %d sets were told", sets)
	}
}
