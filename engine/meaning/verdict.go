package meaning

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
	for _, l := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther, vocab.Refit} {
		p := w.Facts.Parts[part].Kind.Property(vocab.VerdictID(l))
		if p == nil || !w.heads[p].has[concludes] {
			continue
		}
		ok = true
		f := Fact{Part: part, Prop: p}
		if w.State(f) == truth.True {
			v.Level = l
			break
		}
		if w.State(f) == truth.Unknown && l > vocab.InspectFurther {
			v.Open, open = append(v.Open, l), append(open, f)
		}
	}
	if v.Level == vocab.Refit && len(open) > 0 {
		v.Level = vocab.InspectFurther
	}
	seen := map[Fact]bool{}
	for _, f := range open {
		v.Missing = append(v.Missing, w.missing(f, seen)...)
	}
	slices.SortFunc(v.Missing, v.Nearer)
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
				if r.Open && b.Rule != nil {
					down(r.Fact)
				}
			}
		}
	}
	return out
}
