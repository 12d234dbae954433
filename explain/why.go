package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Why tells how a finding, a computed number or one level of a verdict came to
// its state, down to observations.
func (c *Case) Why(id record.FactID) *Explanation { return c.WhyAll([]record.FactID{id}) }

// WhyAll tells several facts in one explanation; what they share is told once.
func (c *Case) WhyAll(ids []record.FactID) *Explanation {
	b := c.builder("why")
	for _, id := range ids {
		b.x.Asked = append(b.x.Asked, b.step(id))
	}
	return b.finish()
}

// WhyVerdict tells why a part is to be refitted, reworked, replaced or
// inspected further. False if no rule of the pack judges parts of its kind.
func (c *Case) WhyVerdict(part int32) (*Explanation, bool) {
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
	x     *Explanation
	at    map[record.FactID]int // number of the step, from 1
	judge map[int32]int         // of the verdict of a part
	why   bool                  // else whynot
	aside bool                  // what is told now does not bear on the answer
}

func (c *Case) builder(question string) *builder {
	in := c.Facts.Inspection
	x := &Explanation{
		Question:   question,
		Pack:       Edition{c.Pack.ID, c.Pack.Version, c.Pack.Digest},
		Inspection: Occasion{Digest: c.Facts.Digest},
		K:          c.Facts.K,
	}
	if c.Facts.Machine != nil {
		x.Inspection.Machine = c.Facts.Machine.Name
	}
	if in != nil {
		x.Inspection.Number = in.Number
	}
	return &builder{Case: c, x: x, at: map[record.FactID]int{}, judge: map[int32]int{}, why: question == "why"}
}

// finish adds what only the steps asked for have.
func (b *builder) finish() *Explanation {
	for _, n := range b.x.Asked {
		s := &b.x.Steps[n-1]
		for id, k := range b.at {
			if k == n {
				s.Remedies = b.remediesFor(id)
			}
		}
		s.Think = think(b.x, s)
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
	steps := make([]Step, len(x.Steps))
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

// Conditions lists all conditions of a way: if, unless, the expression of a
// number, the sign.
func (w *Way) Conditions() []*Cond {
	var out []*Cond
	for i := range w.If {
		out = append(out, &w.If[i])
	}
	for i := range w.Unless {
		out = append(out, &w.Unless[i])
	}
	if w.Sets != nil {
		out = append(out, w.Sets)
	}
	if w.Sign != nil {
		out = append(out, w.Sign)
	}
	return out
}

// add enters an empty step and gives its number; the step itself may move
// while others are added, so it is filled through b.x.Steps.
func (b *builder) add() int {
	b.x.Steps = append(b.x.Steps, Step{})
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

func (b *builder) fact(id record.FactID) Step {
	p := id.Prop
	f := b.Result.Fact(id.Part, p)
	s := Step{
		Fact: b.FactID(id), Part: b.Facts.Parts[id.Part].ID, Property: p.ID, Name: b.FactName(id),
		State: f.State.String(), Round: f.Round, Certain: f.Certain, About: p.About, Source: p.Source,
		RuledOut: f.RuledOut, Because: b.Because(id),
	}
	switch p.Role {
	case vocab.Computed:
		s.Sort = SortNumber
		b.number(id, &s)
	case vocab.Verdict:
		s.Sort, s.Level = SortVerdict, p.Level.String()
		s.Answer = stateWords(f.State)
	case vocab.Damage, vocab.Cause:
		s.Sort = SortDamage
		if p.Role == vocab.Cause {
			s.Sort = SortCause
		}
		s.Answer = b.sureWords(f)
		if !f.Certain && (f.Decided || f.Probability > 0) {
			s.Probability, s.Word = f.Probability, weigh.Word(f.Probability)
		}
	default:
		s.Sort = SortNumber
	}
	for _, k := range b.Result.Conflicts {
		if k.Fact == id {
			s.Conflicts = append(s.Conflicts, b.ConflictWords(k))
		}
	}
	b.ways(id, f.State, &s)
	if p.Weighed {
		s.Sum = b.sum(id, f)
	}
	return s
}

// stateWords tell a state for people.
func stateWords(t truth.Truth) string {
	switch t {
	case truth.True:
		return "so"
	case truth.False:
		return "known not to be so"
	}
	return "not known"
}

// sureWords tell the state of a finding and how sure it is.
func (c *Case) sureWords(f record.Fact) string {
	switch {
	case f.Certain:
		return stateWords(f.State) + ", by rule"
	case f.Decided || f.Probability > 0:
		return weigh.Word(f.Probability) + ", " + OddsWords(f.Probability)
	}
	return stateWords(f.State)
}

// number fills what a computed number has.
func (b *builder) number(id record.FactID, s *Step) {
	s.Answer = unknownWords
	s.State = truth.Unknown.String()
	if v, ok := b.Result.Number(id.Part, id.Prop); ok {
		s.Number = b.quantity(&v, id.Prop)
		s.Answer, s.State = s.Number.Text+plus(s.Number), truth.True.String()
	}
	if o := b.Facts.Lookup(id.Part, id.Prop); o != nil {
		r := b.read(id)
		s.Observed = &r
		if s.Number == nil && o.Value.Looked == vocab.Told {
			s.Answer, s.State = r.Value, truth.True.String()
		}
	}
	for _, bound := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
		if v, whose, ok := b.Limit(id.Part, id.Prop, bound); ok {
			s.Limits = append(s.Limits, Bounded{vocab.BoundNames[bound], *b.quantity(&v, id.Prop), whose})
		}
	}
}

func plus(q *Quantity) string {
	if q.Plus == "" {
		return ""
	}
	return " ± " + q.Plus
}

// firstOf orders ways: those that fire first, by the fewest rounds, then ids.
func firstOf(ways []record.Way) []record.Way {
	out := slices.Clone(ways)
	slices.SortStableFunc(out, func(a, b record.Way) int {
		return cmp.Or(cmp.Compare(b2i(a.State != truth.True), b2i(b.State != truth.True)), cmp.Compare(a.Round, b.Round))
	})
	return out
}
