package words

import (
	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/explain/account"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// ClueRank is the order in which clues are told: those that count for it, against
// it, those counted already, the silent; from 1, since rules come before them.
func ClueRank(counted bool, w weigh.Weight) int {
	switch {
	case counted && w > 0:
		return 1
	case counted && w < 0:
		return 2
	case w != 0:
		return 3
	}
	return 4
}

// Way tells a rule or clue for bound parts; its conditions, and through which
// clue it is counted already, aside.
func (w *Words) Way(v *record.Way) account.Way {
	out := account.Way{State: v.State.String(), Round: v.Round}
	if r := v.Rule; r != nil {
		out.Rule, out.Source, out.How, out.Because = r.ID, r.Source, r.How, w.Say(r.Because, v.Bound)
		out.Does, out.Bound = account.Concludes, w.bound(r.Each, v.Bound)
		switch {
		case len(r.RulesOut) > 0:
			out.Does = account.RulesOut
		case len(r.Set) > 0:
			out.Does = account.Sets
		case r.Level != vocab.NoWord:
			out.Does = account.Judges
		}
		return out
	}
	k := v.Clue
	out.Clue, out.Source, out.How, out.Does, out.Counts = k.ID, k.Source, k.Mechanism, account.Speaks, k.Counts
	out.Bound, out.SignWords = w.bound(k.Each, v.Bound), w.Plain(k.Sign, v.Bound)
	out.WhenSo, out.Otherwise = often(k.Sign, k.WhenSo, k.WhenSoWord), often(k.Sign, k.Otherwise, k.OtherwiseWord)
	out.Lambda, out.Decibans, out.Weight, out.Counted = account.Ratio(v.Lambda), v.Weight.Decibans(), v.Weight.String(), v.Counted
	for _, o := range v.Rests {
		obs := &w.Facts.Observations[o]
		out.Rests = append(out.Rests, w.FactID(rules.FactID{Part: obs.Part, Prop: obs.Prop}))
	}
	return out
}

func (w *Words) bound(each rules.Binding, bound []int32) []account.Bound {
	var out []account.Bound
	for i, e := range each {
		out = append(out, account.Bound{Name: e.ID, Part: w.PartID(bound[i])})
	}
	return out
}

// often lists the frequencies of a sign.
func often(sign *condition.Condition, values []float64, word string) []account.Often {
	out := make([]account.Often, len(values))
	for i, v := range values {
		out[i] = account.Often{Value: v, Word: word}
		if p := sign.Root.Type.Prop; len(values) > 1 && p != nil && i < len(p.Choices) {
			out[i].Choice = p.Choices[i]
		}
	}
	return out
}

// Remedy tells a remedy for bound parts, its conditions aside; bound nil where
// it is nowhere due.
func (w *Words) Remedy(m *rules.Remedy, bound []int32, state truth.Truth) account.Step {
	s := account.Step{Fact: m.ID, Name: m.ID, Sort: account.SortRemedy, State: state.String(), Answer: "not due", Source: m.Source}
	switch state {
	case truth.True:
		s.Answer = "to be done"
	case truth.Unknown:
		s.Answer = "not known whether it is due"
	}
	if bound == nil {
		return s
	}
	s.Do = &account.Doing{
		Title: w.Say(m.Title, bound), Steps: w.SayAll(m.Do, bound), BeforeNewParts: m.BeforeNewParts,
		DoNotRunUntil: w.Say(m.DoNotRunUntil, bound), ShowsItWorked: w.Say(m.ShowsItWorked, bound),
	}
	s.Name = s.Do.Title
	for _, k := range m.Cautions {
		s.Do.Cautions = append(s.Do.Cautions, k.Text)
	}
	s.Ways = []account.Way{{Does: account.Calls, State: state.String(), Bound: w.bound(m.Each, bound)}}
	return s
}
