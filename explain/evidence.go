package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
)

// clue fills what a clue has beside its conditions.
func (b *builder) clue(w *record.Way, all []record.Way, out *Way) {
	k := w.Clue
	out.Lambda, out.Decibans, out.Weight = Ratio(w.Lambda), w.Weight.Decibans(), w.Weight.String()
	out.Counted = w.Counted
	out.SignWords = b.Plain(k.Sign, w.Bound)
	out.WhenSo, out.Otherwise = often(k.Sign, k.WhenSo, k.WhenSoWord), often(k.Sign, k.Otherwise, k.OtherwiseWord)
	if !w.Counted && w.Weight != 0 && w.Through >= 0 && w.Through < len(all) && all[w.Through].Clue != nil {
		out.Through = all[w.Through].Clue.ID
	}
	for _, o := range w.Rests {
		if o := b.observation(o); o != nil {
			out.Rests = append(out.Rests, b.FactID(record.FactID{Part: o.Part, Prop: o.Prop}))
		}
	}
}

func (c *Case) observation(i int32) *rules.Observation {
	if i < 0 || int(i) >= len(c.Facts.Observations) {
		return nil
	}
	return &c.Facts.Observations[i]
}

// often lists the frequencies of a sign.
func often(sign *condition.Condition, values []float64, word string) []Often {
	out := make([]Often, len(values))
	for i, v := range values {
		out[i] = Often{Value: v, Word: word}
		if p := sign.Root.Type.Prop; len(values) > 1 && p != nil && i < len(p.Choices) {
			out[i].Choice = p.Choices[i]
		}
	}
	return out
}

// sum tells how the evidence for a weighed finding adds up.
func (b *builder) sum(id record.FactID, f record.Fact) *Sum {
	s := &Sum{
		HowCommon: id.Prop.HowCommon, Start: b.Start(id).String(),
		Counted: f.Weight.String(), CountedDB: f.Weight.Decibans(), Total: b.Sum(id).String(),
		Decided: f.Decided, Settled: f.Certain, Inexact: f.Inexact,
	}
	s.Probability = f.Probability
	if f.Certain || !f.Decided && f.Probability == 0 {
		s.Probability = weigh.Posterior(id.Prop.HowCommon, f.Weight)
	}
	s.Word, s.Odds = weigh.Word(s.Probability), OddsWords(s.Probability)
	for _, v := range b.Pack.Rivals {
		if !slices.ContainsFunc(v.Causes, func(h rules.Head) bool { return h.Prop == id.Prop }) {
			continue
		}
		for _, in := range b.instances(v.Each, v.If) {
			if in.State != truth.True {
				continue
			}
			var group []record.FactID
			for _, h := range v.Causes {
				group = append(group, record.FactID{Part: in.Bound[h.Var], Prop: h.Prop})
			}
			if !slices.Contains(group, id) {
				continue
			}
			for _, r := range group {
				if r != id {
					g := b.Result.Fact(r.Part, r.Prop)
					s.Rivals = append(s.Rivals, Rival{b.FactID(r), b.FactName(r), v.ID, g.Probability, g.State.String()})
				}
			}
		}
	}
	return s
}

// Clues lists the clues of a step in the order in which a sum is told, the
// heaviest first: for, against, already counted, silent.
func (s *Step) Clues() (speakFor, against, repeated, silent []*Way) {
	for i := range s.Ways {
		w := &s.Ways[i]
		switch {
		case w.Clue == "":
		case w.Counted && w.Decibans > 0:
			speakFor = append(speakFor, w)
		case w.Counted && w.Decibans < 0:
			against = append(against, w)
		case w.Decibans != 0:
			repeated = append(repeated, w)
		default:
			silent = append(silent, w)
		}
	}
	for _, list := range [][]*Way{speakFor, against, repeated} {
		slices.SortStableFunc(list, func(a, b *Way) int {
			return cmp.Compare(max(b.Decibans, -b.Decibans), max(a.Decibans, -a.Decibans))
		})
	}
	return
}

// Rules lists the ways of a step that are no clues, by what they do: those that
// conclude, set, judge or call for it, and those that rule it out.
func (s *Step) Rules() (conclude, ruleOut []*Way) {
	for i := range s.Ways {
		switch w := &s.Ways[i]; {
		case w.Clue != "":
		case w.Does == RulesOut:
			ruleOut = append(ruleOut, w)
		default:
			conclude = append(conclude, w)
		}
	}
	return
}

// At gives the step with this number, counted from 1.
func (x *Explanation) At(n int) *Step { return &x.Steps[n-1] }

// WhyRemedy tells why a remedy is to be done, once for each set of parts it is
// due for; for one that is nowhere due, why not. False if the pack has none of
// that id.
func (c *Case) WhyRemedy(id string) (*Explanation, bool) {
	b := c.builder("why")
	for _, m := range c.Pack.Remedies {
		if m.ID != id {
			continue
		}
		all := c.instances(m.Each, m.If)
		due := false
		for _, in := range all {
			due = due || in.State == truth.True
		}
		for _, in := range all {
			if due == (in.State == truth.True) {
				b.x.Asked = append(b.x.Asked, b.remedy(m, in))
			}
		}
		if len(all) == 0 { // every condition is known not to hold
			b.x.Asked = append(b.x.Asked, b.remedy(m, instance{State: truth.False}))
		}
		return b.finish(), true
	}
	return nil, false
}

// remedy tells one remedy for the parts it is bound to.
func (b *builder) remedy(m *rules.Remedy, in instance) int {
	n := b.add()
	s := Step{Fact: m.ID, Name: m.ID, Sort: SortRemedy, State: in.State.String(), Answer: "not due", Source: m.Source}
	switch in.State {
	case truth.True:
		s.Answer = "to be done"
	case truth.Unknown:
		s.Answer = "not known whether it is due"
	}
	if in.Bound != nil {
		s.Do = &Doing{
			Title: b.Say(m.Title, in.Bound), Steps: b.SayAll(m.Do, in.Bound), BeforeNewParts: m.BeforeNewParts,
			DoNotRunUntil: b.Say(m.DoNotRunUntil, in.Bound), ShowsItWorked: b.Say(m.ShowsItWorked, in.Bound),
		}
		s.Name = s.Do.Title
		for _, k := range m.Cautions {
			s.Do.Cautions = append(s.Do.Cautions, k.Text)
		}
		w := Way{Does: Calls, State: in.State.String()}
		for i, e := range m.Each {
			w.Bound = append(w.Bound, Bound{e.ID, b.partID(in.Bound[i])})
		}
		for _, cond := range m.If {
			seen := b.see(cond, in.Bound)
			w.If = append(w.If, b.cond(cond, &seen, in.Bound))
		}
		s.Ways = []Way{w}
	}
	b.x.Steps[n-1] = s
	return n
}
