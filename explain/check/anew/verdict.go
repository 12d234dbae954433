package anew

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// VerdictOf gives the gravest level that holds: replace before rework before
// inspect further, and what would have to be known. Refit needs those for replace
// and rework known not to hold; false if no rule judges parts of its kind.
func (w *World) VerdictOf(part int32) (v record.Verdict, ok bool) {
	v.Part, v.Level = part, vocab.Refit
	var open []Fact
	for _, l := range []vocab.Level{vocab.Refit, vocab.InspectFurther, vocab.Rework, vocab.Replace} { // the gravest last
		p := w.Facts.Parts[part].Kind.Property(vocab.VerdictID(l))
		if p == nil || !w.heads[p].has[concludes] {
			continue
		}
		ok = true
		switch f := (Fact{Part: part, Prop: p}); {
		case w.State(f) == truth.True:
			v.Level, open = l, nil
		case w.State(f) == truth.Unknown && l > vocab.InspectFurther:
			open = append(open, f)
		}
	}
	if v.Level == vocab.Refit && len(open) > 0 {
		v.Level = vocab.InspectFurther
	}
	seen := map[Fact]bool{}
	for _, f := range open {
		v.Missing = append(v.Missing, w.missing(f, seen)...)
	}
	slices.SortFunc(v.Missing, func(a, b Fact) int { // those of other parts last
		switch mine := a.Part == part; {
		case mine == (b.Part == part):
			return a.Compare(b)
		case mine:
			return -1
		}
		return 1
	})
	return v, ok
}

// missing lists what nobody told, or told too coarsely, of all that an open fact
// rests on.
func (w *World) missing(f Fact, seen map[Fact]bool) (out []Fact) {
	if seen[f] || f.Prop.Role == vocab.Declared || w.Known(f) {
		return nil
	}
	seen[f] = true
	h := w.heads[f.Prop]
	if h == nil || f.Prop.Observable {
		out = append(out, f)
	}
	if h == nil {
		return out
	}
	down := func(f Fact) { out = append(out, w.missing(f, seen)...) }
	for _, b := range w.Bearings(f) {
		if b.State == truth.False && b.Rule != nil {
			continue
		}
		c := w.At(b.Bound)
		if b.does >= sets { // the number or the sign
			c.Visit(b.All[len(b.All)-1].Root, down)
		}
		for _, k := range b.When {
			for _, r := range c.Trace(k.Root).Reads {
				if r.Decides && b.Rule != nil && c.Truth(k.Root) == truth.Unknown {
					down(r.Fact)
				}
			}
		}
	}
	return out
}
