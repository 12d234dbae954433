package wording

import (
	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Finding is what a step of a finding, number or level of a verdict tells of
// itself.
func (w Words) Finding(f anew.Fact) said.Step {
	p := f.Prop
	certain, prob, decided := w.Certainty(f)
	s := said.Step{
		Fact: w.FactID(f), Part: w.PartID(f.Part), Property: p.ID, Name: w.FactName(f), State: w.State(f).String(),
		Certain: certain, About: p.About, Source: p.Source, RuledOut: w.RuledOut(f) == truth.True,
		Because: w.Because(f), Conflicts: w.Conflicts(f), Round: w.Round(f),
	}
	switch {
	case p.Role == vocab.Computed:
		s.Sort, s.Answer = "number", NotKnown
		if n, ok := w.WorkedOut(f); ok {
			s.Number = w.quantity(n, p)
			s.State, s.Answer = "true", s.Number.Text+plus(s.Number)
		}
		if o := w.Facts.Lookup(f.Part, p); o != nil {
			r := w.Read(f)
			s.Observed = &r
			if s.Number == nil && o.Value.Looked == vocab.Told {
				s.State, s.Answer = "true", r.Value
			}
		}
		for _, b := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
			if q := p.Kind.BoundOf(p, b); q != nil {
				if o := w.Facts.Layout.Lookup(f.Part, q); o != nil {
					s.Limits = append(s.Limits, said.Bounded{Bound: vocab.BoundNames[b], Value: *w.quantity(o.Value.Number, p), Whose: o.Whose})
				}
			}
		}
	case p.Role == vocab.Verdict:
		s.Sort, s.Level = "verdict", p.Level.String()
		s.Answer = stateWords(w.State(f))
	default:
		s.Sort = map[vocab.Role]string{vocab.Damage: "damage", vocab.Cause: "cause"}[p.Role]
		s.Answer = w.sure(f)
		if !certain && (decided || prob > 0) {
			s.Probability, s.Word = prob, word(prob)
		}
	}
	if w.Weighing(f) != nil {
		s.Sum = w.adds(f, certain, prob)
	}
	return s
}

// adds is how the evidence for a finding adds up.
func (w Words) adds(f anew.Fact, certain bool, prob float64) *said.Sum {
	s, prior := w.Weighing(f), f.Prop.HowCommon
	start := int64(0)
	if prior > 0 && prior < 1 {
		start = anew.WeightOf(prior/(1-prior), 1)
	}
	if certain || !s.Decided && prob == 0 {
		prob = s.Alone(f)
	}
	out := &said.Sum{
		HowCommon: prior, Start: decibans(start), Counted: decibans(s.Sum), CountedDB: float64(s.Sum) / anew.Deciban, Total: decibans(start + s.Sum),
		Probability: prob, Word: word(prob), Odds: odds(prob), Decided: s.Decided, Settled: certain, Inexact: s.Inexact,
	}
	for _, r := range w.RivalsOf(f) {
		_, p, _ := w.Certainty(r.Cause)
		out.Rivals = append(out.Rivals, said.Rival{
			Fact: w.FactID(r.Cause), Name: w.FactName(r.Cause), Group: r.Group.ID, Probability: p, State: w.State(r.Cause).String(),
		})
	}
	return out
}

// Because is the sentence of the first rule that fires, else the mechanism of
// the weightiest clue that counts for it.
func (w Words) Because(f anew.Fact) string {
	var best *anew.Bearing
	for _, b := range w.Bearings(f) {
		if b.Rule != nil && b.State == truth.True && !b.Outs && b.Rule.Because != nil {
			return w.At(b.Bound).Say(b.Rule.Because)
		}
		if it := b.Spoken; it != nil && it.Counted && it.Weight > 0 && (best == nil || it.Weight > best.Spoken.Weight) {
			best = b
		}
	}
	if best != nil {
		return best.Clue.Mechanism
	}
	return ""
}
