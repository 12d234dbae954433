package explain

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// verdicts notes the questions that a part's verdict waits for; a part nobody
// has looked at at all waits for nothing in particular.
func (a *asker) verdicts() {
	touched := map[int32]bool{}
	for i := range a.Facts.Observations {
		touched[a.Facts.Observations[i].Part] = true
	}
	pr := a.prober(false)
	wait := func(ask record.FactID, part int32, finer float64) {
		if !pr.askableNow(ask.Part, ask.Prop) {
			return
		}
		l := a.look(ask)
		if !slices.Contains(l.Verdict, part) {
			l.Verdict = append(l.Verdict, part)
		}
		if finer > 0 && (l.Finer == 0 || finer < l.Finer) {
			l.Finer = finer
		}
	}
	for _, v := range a.Result.Verdicts {
		if v.Level != vocab.InspectFurther || !touched[v.Part] {
			continue
		}
		for _, id := range v.Missing {
			wait(record.FactID{Part: id.Part, Prop: words.Asked(id.Prop)}, v.Part, 0)
		}
		for _, finer := range a.finer(v.Part) {
			for _, ask := range finer.asks {
				wait(ask, v.Part, finer.finer)
			}
		}
	}
}

// goesOut tells whether a part is to be replaced, by the rules or by a person who
// decides it, or is never judged by itself and belongs to one that is.
func (c *Case) goesOut(part int32) bool {
	for i := range c.Facts.Decisions {
		if d := &c.Facts.Decisions[i]; d.Part == part {
			return d.Level == vocab.Replace
		}
	}
	if v, judged := c.Result.Verdict(part); judged {
		return v.Level == vocab.Replace
	}
	p := &c.Facts.Parts[part]
	for _, q := range p.Kind.Properties {
		if q.Type != vocab.Part {
			continue
		}
		to := c.Facts.Ref(q)[p.Ordinal]
		if to < 0 {
			continue
		}
		if v, judged := c.Result.Verdict(to); judged && v.Level == vocab.Replace {
			return true
		}
	}
	return false
}

// finer lists the numbers that a part's verdict waits for though they are
// known: they would have to be measured again, with less uncertainty.
func (a *asker) finer(part int32) []*pivot {
	var ways []*record.Way
	for _, l := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther} {
		p := a.Facts.Parts[part].Kind.Property(vocab.VerdictID(l))
		if p == nil {
			continue
		}
		list := a.Ways(record.FactID{Part: part, Prop: p})
		for i := range list {
			if list[i].State == truth.Unknown {
				ways = append(ways, &list[i])
			}
		}
	}
	var out []*pivot
	p := a.prober(false)
	for _, v := range p.behind(ways...) {
		if p.again(v) {
			out = append(out, v)
		}
	}
	return out
}
