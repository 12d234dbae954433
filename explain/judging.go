package explain

import (
	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// verdict tells what becomes of a part.
func (b *builder) verdict(v *record.Verdict) int {
	if n, ok := b.judge[v.Part]; ok {
		return n
	}
	n := b.add()
	b.judge[v.Part] = n
	s := Step{
		Fact: b.Facts.Parts[v.Part].ID + ".verdict", Part: b.Facts.Parts[v.Part].ID, Property: "verdict",
		Name: b.PartName(v.Part), Sort: SortVerdict, State: truth.True.String(), Level: v.Level.String(), Answer: v.Level.String(),
	}
	for level := vocab.Replace; level >= vocab.Refit; level-- {
		p := b.Facts.Parts[v.Part].Kind.Property(vocab.VerdictID(level))
		if p == nil {
			continue
		}
		id := record.FactID{Part: v.Part, Prop: p}
		f := b.Result.Fact(v.Part, p)
		for _, k := range b.Result.Conflicts {
			if k.Fact == id {
				s.Conflicts = append(s.Conflicts, b.ConflictWords(k))
			}
		}
		all := b.Ways(id)
		for i := range all {
			w := &all[i]
			switch {
			case b.judges(w, v.Level, level) && len(s.Ways) < mostWays:
				s.Ways = append(s.Ways, b.way(w, all))
			case w.State == truth.True:
				s.Left.Fire++
			case w.State == truth.False:
				s.Left.Not++
			default:
				s.Left.Unknown++
			}
		}
		if level == v.Level && f.State == truth.True {
			s.Because, s.Round = b.Because(id), f.Round
		}
	}
	for _, id := range b.Missing(v) {
		s.Missing = append(s.Missing, b.wanting(id))
	}
	for i := range b.Facts.Decisions {
		if d := &b.Facts.Decisions[i]; d.Part == v.Part {
			s.Decision = d.Level.String()
			if d.Written != nil && d.Written.By != "" {
				s.Decision += ", by " + d.Written.By
			}
			if d.Written != nil && d.Written.Because != "" {
				s.Decision += ": " + d.Written.Because
			}
		}
	}
	b.x.Steps[n-1] = s
	return n
}

// judges tells whether a verdict rule of one level belongs to why the verdict
// is what it is: the rules that give it; for refit every graver rule, known not
// to fire; for inspect further those that are open, and graver ones still open.
func (b *builder) judges(w *record.Way, is, of vocab.Level) bool {
	switch {
	case of == is:
		return w.State == truth.True
	case is == vocab.Refit:
		return of > vocab.Refit
	}
	return of > is && w.State == truth.Unknown
}

// wanting tells what would have to be known.
func (c *Case) wanting(id record.FactID) Wanting {
	w := Wanting{Fact: c.FactID(id), Name: c.FactName(id), Reason: FromNotLooked, Look: c.looking(id)}
	if o := c.Facts.Lookup(id.Part, id.Prop); o != nil {
		w.Reason = "undecided"
		if o.Value.Looked == vocab.CouldNotTell {
			w.Reason = FromCouldNotTell
		}
	} else if id.Prop.Role.Concluded() {
		w.Reason = "undecided"
	}
	return w
}
