package check_test

import (
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

// So do those of all trials of the shipped pack.
func TestTrialsVerify(t *testing.T) {
	pack, p := shipped(t)
	trials(t, pack, func(id string, f *rules.Facts) {
		c := run(p, f)
		k := check.New(pack, f)
		all := &explain.Asked{} // one explanation of all, so that what they share is told once
		for _, a := range asked(c) {
			all.Facts, all.Verdicts = append(all.Facts, a.Facts...), append(all.Verdicts, a.Verdicts...)
		}
		verifies(t, k, id, c.WhyAsked(all))
		verifies(t, k, id, c.WhyNotAsked(quiet(all)))
		for _, m := range pack.Remedies {
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
