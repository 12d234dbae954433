package words

import (
	"strings"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/explain/account"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Step tells a finding, a number or one level of a verdict; its ways, its sum,
// its conflicts and what it stands on aside.
func (w *Words) Step(id rules.FactID) account.Step {
	p, f := id.Prop, w.Fact(id)
	s := account.Step{
		Fact: w.FactID(id), Part: w.PartID(id.Part), Property: p.ID, Name: w.FactName(id), State: f.State.String(), Round: f.Round,
		Certain: f.Certain, About: p.About, Source: p.Source, RuledOut: f.RuledOut,
	}
	switch p.Role {
	case vocab.Verdict:
		s.Sort, s.Level, s.Answer = account.SortVerdict, p.Level.String(), State(f.State)
	case vocab.Damage, vocab.Cause:
		s.Sort = account.SortDamage
		if p.Role == vocab.Cause {
			s.Sort = account.SortCause
		}
		s.Answer = Sure(f)
		if !f.Certain && (f.Decided || f.Probability > 0) {
			s.Probability, s.Word = f.Probability, weigh.Word(f.Probability)
		}
	default:
		s.Sort = account.SortNumber
		w.number(id, &s)
	}
	return s
}

// number fills what a computed number has.
func (w *Words) number(id rules.FactID, s *account.Step) {
	s.Answer, s.State = NotKnown, truth.Unknown.String()
	if n, ok := w.Number(id); ok {
		s.Number = w.Quantity(n, id.Prop)
		s.Answer, s.State = Figure(s.Number), truth.True.String()
	}
	if o := w.Facts.Lookup(id.Part, id.Prop); o != nil {
		r := w.Read(id)
		s.Observed = &r
		if s.Number == nil && o.Value.Looked == vocab.Told {
			s.Answer, s.State = r.Value, truth.True.String()
		}
	}
	for _, b := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
		if v, whose, ok := w.Limit(id.Part, id.Prop, b); ok {
			p := id.Prop.Kind.BoundOf(id.Prop, b)
			s.Limits = append(s.Limits, account.Bounded{Bound: vocab.BoundNames[b], Value: *w.Quantity(v.Number, p), Whose: whose})
		}
	}
}

// Limit is the limit of a number of a part and whose it is; false if there is none.
func (w *Words) Limit(part int32, p *vocab.Property, b vocab.Bound) (value vocab.Value, whose string, ok bool) {
	if q := p.Kind.BoundOf(p, b); q != nil {
		if o := w.Facts.Layout.Lookup(part, q); o != nil {
			return o.Value, o.Whose, true
		}
	}
	return vocab.Value{}, "", false
}

// Start is the weight of a finding's prior.
func (w *Words) Start(id rules.FactID) weigh.Weight {
	p := id.Prop.HowCommon
	if !(p > 0 && p < 1) {
		return 0
	}
	return weigh.FromRatio(p / (1 - p))
}

// Adds tells how the evidence for a weighed finding adds up.
func (w *Words) Adds(id rules.FactID, rivals []record.Rival) *account.Sum {
	f, start := w.Fact(id), w.Start(id)
	p := f.Probability
	if f.Certain || !f.Decided && f.Probability == 0 {
		p = weigh.Posterior(id.Prop.HowCommon, f.Weight)
	}
	s := &account.Sum{
		HowCommon: id.Prop.HowCommon, Start: start.String(), Counted: f.Weight.String(), CountedDB: f.Weight.Decibans(), Total: (start + f.Weight).String(),
		Probability: p, Word: weigh.Word(p), Odds: Odds(p), Decided: f.Decided, Settled: f.Certain, Inexact: f.Inexact,
	}
	for _, r := range rivals {
		g := w.Fact(r.Cause)
		s.Rivals = append(s.Rivals, account.Rival{
			Fact: w.FactID(r.Cause), Name: w.FactName(r.Cause), Group: r.Group.ID, Probability: g.Probability, State: g.State.String(),
		})
	}
	return s
}

// Verdict tells what becomes of a part, and what a person decided; what it
// rests on aside.
func (w *Words) Verdict(v *record.Verdict) account.Step {
	s := account.Step{
		Fact: w.PartID(v.Part) + ".verdict", Part: w.PartID(v.Part), Property: "verdict", Name: w.PartName(v.Part), Sort: account.SortVerdict,
		State: truth.True.String(), Level: v.Level.String(), Answer: v.Level.String(),
	}
	for _, id := range v.Missing {
		s.Missing = append(s.Missing, w.Wanting(id))
	}
	for i := range w.Facts.Decisions {
		if d := &w.Facts.Decisions[i]; d.Part == v.Part {
			s.Decision = d.Level.String()
			if d.Written != nil && d.Written.By != "" {
				s.Decision += ", by " + d.Written.By
			}
			if d.Written != nil && d.Written.Because != "" {
				s.Decision += ": " + d.Written.Because
			}
		}
	}
	return s
}

// ConflictWords tells what is at odds.
func (w *Words) ConflictWords(k record.Conflict) string {
	name, by := w.FactName(k.Fact), " ("+strings.Join(k.Rules, ", ")+")"
	number := func(n measure.Number) string { return measure.Format(n, k.Fact.Prop.Unit, k.Fact.Prop.Decimals) }
	switch k.Kind {
	case record.ConcludedAndRuledOut:
		return name + " is concluded and ruled out at once" + by + ": taken as not known"
	case record.ValuesDisagree:
		return name + " comes out as " + number(k.A) + " and as " + number(k.B) + by + ": taken as not known"
	case record.ObservedDisagrees:
		return name + " was observed as " + number(k.A) + " and works out as " + number(k.B) + by + ": the observed value is used"
	}
	return name + " holds by a rule though its clues alone would exclude it" + by
}
