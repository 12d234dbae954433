package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/explain/words"
	"whyworn/facts/truth"
)

// Why tells how a finding, a computed number or one level of a verdict came to
// its state, down to observations.
func (c *Case) Why(id record.FactID) *account.Explanation { return c.WhyAll([]record.FactID{id}) }

// WhyAll tells several facts in one explanation; what they share is told once.
func (c *Case) WhyAll(ids []record.FactID) *account.Explanation {
	b := c.builder("why")
	for _, id := range ids {
		b.x.Asked = append(b.x.Asked, b.step(id))
	}
	return b.finish()
}

// WhyVerdict tells why a part is to be refitted, reworked, replaced or
// inspected further. False if no rule of the pack judges parts of its kind.
func (c *Case) WhyVerdict(part int32) (*account.Explanation, bool) {
	v, ok := c.Result.Verdict(part)
	if !ok {
		return nil, false
	}
	b := c.builder("why")
	b.x.Asked = append(b.x.Asked, b.verdict(&v))
	return b.finish(), true
}

// builder gathers the steps of one explanation.
type builder struct {
	*Case
	x     *account.Explanation
	at    map[record.FactID]int // number of the step, from 1
	judge map[int32]int         // of the verdict of a part
	why   bool                  // else whynot
	aside bool                  // what is told now does not bear on the answer
}

func (c *Case) builder(question string) *builder {
	return &builder{Case: c, x: c.Header(question), at: map[record.FactID]int{}, judge: map[int32]int{}, why: question == "why"}
}

// finish adds what only the steps asked for have.
func (b *builder) finish() *account.Explanation {
	for _, n := range b.x.Asked {
		s := &b.x.Steps[n-1]
		for id, k := range b.at {
			if k == n {
				s.Remedies = b.remediesFor(id)
			}
		}
		s.Think = words.Think(s)
	}
	b.renumber()
	return b.x
}

// renumber puts the steps asked for first and leaves the others in the order in
// which they were come upon.
func (b *builder) renumber() {
	x := b.x
	to := make([]int, len(x.Steps)+1) // new number by old, from 1
	next := 0
	for _, n := range x.Asked {
		if to[n] == 0 {
			next++
			to[n] = next
		}
	}
	steps := make([]account.Step, len(x.Steps))
	for n := 1; n <= len(x.Steps); n++ {
		if to[n] == 0 {
			next++
			to[n] = next
		}
		steps[to[n]-1] = x.Steps[n-1]
	}
	x.Steps = steps
	var asked []int
	for _, n := range x.Asked {
		if !slices.Contains(asked, to[n]) {
			asked = append(asked, to[n])
		}
	}
	x.Asked = asked
	for i := range x.Steps {
		for k := range x.Steps[i].Ways {
			for _, c := range x.Steps[i].Ways[k].Conditions() {
				for r := range c.Reads {
					c.Reads[r].Step = to[c.Reads[r].Step]
				}
			}
		}
	}
}

// add enters an empty step and gives its number; the step itself may move
// while others are added, so it is filled through b.x.Steps.
func (b *builder) add() int {
	b.x.Steps = append(b.x.Steps, account.Step{})
	return len(b.x.Steps)
}

// step tells one fact and gives the number of its step.
func (b *builder) step(id record.FactID) int {
	if n, ok := b.at[id]; ok {
		return n
	}
	n := b.add()
	b.at[id] = n
	b.x.Steps[n-1] = b.fact(id)
	return n
}

func (b *builder) fact(id record.FactID) account.Step {
	s := b.Step(id)
	s.Because, s.Conflicts = b.Because(id), b.conflicts(id)
	b.ways(id, b.State(id), &s)
	if id.Prop.Weighed {
		s.Sum = b.Adds(id, b.rivals(id))
	}
	return s
}

// conflicts words what is at odds about a fact.
func (b *builder) conflicts(id record.FactID) []string {
	var out []string
	for _, k := range b.Result.Conflicts {
		if k.Fact == id {
			out = append(out, b.ConflictWords(k))
		}
	}
	return out
}

// firstOf orders ways: those that fire first, by the fewest rounds, then ids.
func firstOf(ways []record.Way) []record.Way {
	out := slices.Clone(ways)
	slices.SortStableFunc(out, func(a, b record.Way) int {
		return cmp.Or(cmp.Compare(b2i(a.State != truth.True), b2i(b.State != truth.True)), cmp.Compare(a.Round, b.Round))
	})
	return out
}
