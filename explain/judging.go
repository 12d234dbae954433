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
	s := b.Verdict(v)
	for level := vocab.Replace; level >= vocab.Refit; level-- {
		p := b.Facts.Parts[v.Part].Kind.Property(vocab.VerdictID(level))
		if p == nil {
			continue
		}
		id := record.FactID{Part: v.Part, Prop: p}
		f := b.Result.Fact(v.Part, p)
		s.Conflicts = append(s.Conflicts, b.conflicts(id)...)
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
