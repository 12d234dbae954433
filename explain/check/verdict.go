package check

import (
	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// verdict replays a step that tells what becomes of a part.
func (k *Checker) verdict(at string, s *said.Step, part int32) {
	w := k.w
	v, ok := w.VerdictOf(part)
	if !ok {
		k.fault(at, "no rule says what becomes of %s", s.Part)
		return
	}
	so := said.Step{
		Fact: w.PartID(part) + ".verdict", Part: w.PartID(part), Property: "verdict", Name: w.PartName(part), Sort: "verdict",
		State: "true", Level: v.Level.String(), Answer: v.Level.String(),
	}
	var all []*anew.Bearing
	for l := vocab.Replace; l >= vocab.Refit; l-- {
		p := w.Facts.Parts[part].Kind.Property(vocab.VerdictID(l))
		if p == nil {
			continue
		}
		f := anew.Fact{Part: part, Prop: p}
		so.Conflicts = append(so.Conflicts, w.Conflicts(f)...)
		all = append(all, w.Bearings(f)...)
		if l == v.Level && w.State(f) == truth.True {
			so.Because, so.Round = w.Because(f), w.Round(f)
		}
	}
	for _, f := range v.Missing {
		so.Missing = append(so.Missing, w.Wanting(f))
	}
	for i := range w.Facts.Decisions {
		if d := &w.Facts.Decisions[i]; d.Part == part {
			so.Decision = d.Level.String()
			if d.Written != nil && d.Written.By != "" {
				so.Decision += ", by " + d.Written.By
			}
			if d.Written != nil && d.Written.Because != "" {
				so.Decision += ": " + d.Written.Because
			}
		}
	}
	k.same(at, *s, so, "ways", "left", "think")
	k.ways(at, s, all, func(b *anew.Bearing) truth.Truth {
		switch l := b.Rule.Level; {
		case l == v.Level:
			return truth.Of(b.State == truth.True)
		case v.Level == vocab.Refit:
			return truth.Of(l > vocab.Refit)
		default:
			return truth.Of(l > v.Level && b.State == truth.Unknown)
		}
	})
}
