package wording

import (
	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Way is what a rule, clue or remedy tells of itself.
func (w Words) Way(b *anew.Bearing) said.Way {
	c := w.At(b.Bound)
	out := said.Way{State: b.State.String(), Round: b.Round}
	var each rules.Binding
	var ifs []*condition.Condition
	switch {
	case b.Rule != nil:
		r := b.Rule
		each, ifs = r.Each, r.If
		out.Rule, out.Because, out.How, out.Source = r.ID, c.Say(r.Because), r.How, r.Source
		switch {
		case b.Outs:
			out.Does = "rules_out"
		case b.Set != nil:
			out.Does = "sets"
		case r.Level != vocab.NoWord:
			out.Does = "verdict"
		default:
			out.Does = "concludes"
		}
		for _, u := range r.Unless {
			t := c.Truth(u.Root)
			out.Unless = append(out.Unless, c.tell(u))
			out.Assumed = out.Assumed || b.State == truth.True && t == truth.Unknown
		}
		if b.Set != nil {
			s := c.tell(b.Set)
			out.Sets = &s
		}
	case b.Clue != nil:
		q := b.Clue
		each, ifs = q.Each, q.If
		out.Clue, out.How, out.Source, out.Counts, out.Does = q.ID, q.Mechanism, q.Source, q.Counts, "speaks"
		s := c.tell(q.Sign)
		out.Sign, out.SignWords = &s, s.Plain
		out.WhenSo, out.Otherwise = frequencies(q, q.WhenSo, q.WhenSoWord), frequencies(q, q.Otherwise, q.OtherwiseWord)
		out.Lambda, out.Weight = 1, decibans(0)
		if it := b.Spoken; it != nil {
			out.Lambda, out.Decibans, out.Weight, out.Counted = said.Ratio(it.Lambda), float64(it.Weight)/anew.Deciban, decibans(it.Weight), it.Counted
			for _, o := range it.Rests {
				obs := &w.Facts.Observations[o]
				out.Rests = append(out.Rests, w.FactID(anew.Fact{Part: obs.Part, Prop: obs.Prop}))
			}
		}
	default:
		each, ifs, out.Does = b.Remedy.Each, b.Remedy.If, "calls"
	}
	for i, e := range each {
		out.Bound = append(out.Bound, said.Bound{Name: e.ID, Part: w.PartID(b.Bound[i])})
	}
	for _, i := range ifs {
		out.If = append(out.If, c.tell(i))
	}
	return out
}

func frequencies(q *rules.Clue, values []float64, word string) (out []said.Often) {
	for i, v := range values {
		o := said.Often{Value: v, Word: word}
		if len(values) > 1 {
			o.Choice = q.Sign.Root.Type.Prop.Choices[i]
		}
		out = append(out, o)
	}
	return out
}
