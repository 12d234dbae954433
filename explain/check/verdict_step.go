package check

import (
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// verdict replays a step that tells what becomes of a part.
func (k *Checker) verdict(at string, s *step, part int32) {
	w := k.w
	v, ok := w.verdictOf(part)
	if !ok {
		k.fault(at, "no rule says what becomes of %s", s.Part)
		return
	}
	so := step{
		Fact: w.partID(part) + ".verdict", Part: w.partID(part), Property: "verdict", Name: w.partName(part), Sort: "verdict",
		State: "true", Level: v.level.String(), Answer: v.level.String(),
	}
	var all []*bearing
	for l := vocab.Replace; l >= vocab.Refit; l-- {
		p := w.f.Parts[part].Kind.Property(vocab.VerdictID(l))
		if p == nil {
			continue
		}
		f := fact{Part: part, Prop: p}
		so.Conflicts = append(so.Conflicts, w.conflicts(f)...)
		all = append(all, w.bearings(f)...)
		if l == v.level && w.state[f] == truth.True {
			so.Because, so.Round = w.because(f), w.round[f]
		}
	}
	for _, f := range v.missing {
		so.Missing = append(so.Missing, w.wanting(f))
	}
	for i := range w.f.Decisions {
		if d := &w.f.Decisions[i]; d.Part == part {
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
	k.ways(at, s, all, func(b *bearing) truth.Truth {
		switch l := b.rule.Level; {
		case l == v.level:
			return truth.Of(b.state == truth.True)
		case v.level == vocab.Refit:
			return truth.Of(l > vocab.Refit)
		default:
			return truth.Of(l > v.level && b.state == truth.Unknown)
		}
	})
}
