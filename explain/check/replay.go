package check

import (
	"fmt"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// replay holds one step to what is so.
func (k *Checker) replay(s *step) {
	at := fmt.Sprintf("steps[%d]", k.step-1)
	if slices.Contains(k.x.Asked, k.step) {
		k.same(at+".think", s.Think, think(s))
	} else if s.Think != "" {
		k.fault(at+".think", "only what is asked is thought about")
	}
	if s.Sort == "remedy" {
		k.remedy(at, s)
		return
	}
	part, ok := k.w.f.Find(s.Part)
	if !ok {
		k.fault(at+".part", "there is no part %q", s.Part)
		return
	}
	if s.Property == "verdict" {
		k.verdict(at, s, part)
		return
	}
	p := k.w.f.Parts[part].Kind.Property(s.Property)
	if p == nil || !isHead(p) {
		k.fault(at+".property", "nothing of the name %q is concluded of %s", s.Property, s.Part)
		return
	}
	f := fact{Part: part, Prop: p}
	k.same(at, *s, k.finding(f), "ways", "left", "think", "remedies", "missing")
	k.remedies(at, s, f)
	all := k.w.bearings(f)
	k.ways(at, s, all, func(b *bearing) truth.Truth { return k.tells(b, f) })
	if len(s.Missing) > 0 {
		k.fault(at+".missing", "only a verdict names what is missing")
	}
}

// finding is what a step of a finding, number or level of a verdict tells of
// itself.
func (k *Checker) finding(f fact) step {
	w, p := k.w, f.Prop
	certain, prob, decided := w.certainty(f)
	s := step{
		Fact: w.factID(f), Part: w.partID(f.Part), Property: p.ID, Name: w.factName(f), State: w.state[f].String(),
		Certain: certain, About: p.About, Source: p.Source, RuledOut: w.out[f] == truth.True,
		Because: w.because(f), Conflicts: w.conflicts(f), Round: w.round[f],
	}
	switch {
	case p.Role == vocab.Computed:
		s.Sort, s.Answer = "number", notKnown
		if n, ok := w.calc[f]; ok {
			s.Number = w.quantity(n, p)
			s.State, s.Answer = "true", s.Number.Text+plus(s.Number)
		}
		if o := w.f.Lookup(f.Part, p); o != nil {
			r := w.read(f)
			s.Observed = &r
			if s.Number == nil && o.Value.Looked == vocab.Told {
				s.State, s.Answer = "true", r.Value
			}
		}
		for _, b := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
			if q := p.Kind.BoundOf(p, b); q != nil {
				if o := w.f.Layout.Lookup(f.Part, q); o != nil {
					s.Limits = append(s.Limits, bounded{vocab.BoundNames[b], *w.quantity(o.Value.Number, p), o.Whose})
				}
			}
		}
	case p.Role == vocab.Verdict:
		s.Sort, s.Level = "verdict", p.Level.String()
		s.Answer = stateWords(w.state[f])
	default:
		s.Sort = map[vocab.Role]string{vocab.Damage: "damage", vocab.Cause: "cause"}[p.Role]
		s.Answer = w.sure(f)
		if !certain && (decided || prob > 0) {
			s.Probability, s.Word = prob, word(prob)
		}
	}
	if h := w.heads[p]; h != nil && len(h.clues) > 0 {
		s.Sum = w.adds(f, certain, prob)
	}
	return s
}

// adds is how the evidence for a finding adds up.
func (w *world) adds(f fact, certain bool, prob float64) *sum {
	s, prior := w.sums[f], f.Prop.HowCommon
	start := int64(0)
	if prior > 0 && prior < 1 {
		start = weightOf(prior/(1-prior), 1)
	}
	if certain || !s.decided && prob == 0 {
		prob = rivalProbabilities([]float64{prior}, []float64{float64(s.sum)})[0]
	}
	out := &sum{
		HowCommon: prior, Start: decibans(start), Counted: decibans(s.sum), CountedDB: float64(s.sum) / unit, Total: decibans(start + s.sum),
		Probability: prob, Word: word(prob), Odds: odds(prob), Decided: s.decided, Settled: certain, Inexact: s.inexact,
	}
	for _, r := range w.heads[f.Prop].rivals {
		for _, g := range w.groups(r) {
			for _, o := range g {
				if o != f && slices.Contains(g, f) {
					_, p, _ := w.certainty(o)
					out.Rivals = append(out.Rivals, rival{w.factID(o), w.factName(o), r.ID, p, w.state[o].String()})
				}
			}
		}
	}
	return out
}

// because is the sentence of the first rule that fires, else the mechanism of
// the weightiest clue that counts for it.
func (w *world) because(f fact) string {
	var best *bearing
	for _, b := range w.bearings(f) {
		if b.rule != nil && b.state == truth.True && !b.outs && b.rule.Because != nil {
			return w.at(b.bound).say(b.rule.Because)
		}
		if it := b.spoken; it != nil && it.counted && it.weight > 0 && (best == nil || it.weight > best.spoken.weight) {
			best = b
		}
	}
	if best != nil {
		return best.clue.Mechanism
	}
	return ""
}
