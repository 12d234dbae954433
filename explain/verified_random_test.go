package explain_test

import (
	"encoding/json"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/explain/check"
)

// Why and whynot of all that is found in a random world pass the verifier.
func TestRandomTalesVerify(t *testing.T) {
	steps := 0
	rapid.Check(t, func(t *rapid.T) {
		x := drawTale(t)
		places := make([]int, len(x.next))
		for i := range places {
			places[i] = i
		}
		c := x.inspected(t, x.statements, places)
		all := &explain.Asked{}
		for _, f := range c.Result.Findings() {
			all.Facts = append(all.Facts, record.FactID{Part: f.Part, Prop: f.Prop})
		}
		k := check.New(c.Pack, c.Facts)
		for _, x := range []any{c.WhyAsked(all), c.WhyNotAsked(all)} {
			text, err := json.Marshal(x)
			if err != nil {
				t.Fatal(err)
			}
			for _, fault := range k.Verify(text) {
				t.Error(fault)
			}
		}
		steps += len(all.Facts)
	})
	if steps < 100 {
		t.Errorf("only %d findings in all", steps)
	}
}
