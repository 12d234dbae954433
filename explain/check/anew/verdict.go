package anew

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
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
	missing := map[Fact]bool{}
	seen := map[Fact]bool{}
	for _, f := range open {
		w.missing(f, seen, missing)
	}
	for f := range missing {
		v.Missing = append(v.Missing, f)
	}
	slices.SortFunc(v.Missing, func(a, b Fact) int { // those of other parts last
		if (a.Part == part) != (b.Part == part) {
			return map[bool]int{true: -1, false: 1}[a.Part == part]
		}
		return cmp.Compare(0, b.Compare(a))
	})
	return v, ok
}

// missing gathers what nobody told, or told too coarsely, of all that an open
// fact rests on.
func (w *World) missing(f Fact, seen, out map[Fact]bool) {
	if seen[f] || f.Prop.Role == vocab.Declared || w.Known(f) {
		return
	}
	seen[f] = true
	h := w.heads[f.Prop]
	if h == nil || f.Prop.Observable {
		out[f] = true
	}
	if h == nil {
		return
	}
	down := func(f Fact) { w.missing(f, seen, out) }
	for _, b := range w.Bearings(f) {
		c := w.At(b.Bound)
		switch {
		case b.Clue != nil:
			c.Visit(b.Clue.Sign.Root, down)
		case !slices.ContainsFunc(b.Rule.If, func(k *condition.Condition) bool { return c.Truth(k.Root) == truth.False }):
			for _, k := range b.Rule.If {
				c.open(k.Root, down)
			}
			if b.Set != nil {
				c.Visit(b.Set.Root, down)
			}
		}
	}
}

// open visits the facts of those parts of a condition that are unknown.
func (c Place) open(e *condition.Expr, visit func(Fact)) {
	if e.Type.K == condition.KBool && c.Truth(e) != truth.Unknown {
		return
	}
	switch e.Op {
	case condition.And, condition.Or, condition.Not:
		for _, a := range e.Args {
			c.open(a, visit)
		}
	case condition.Any, condition.All, condition.None:
		for _, p := range c.drawnFrom(e.Args[0]) {
			if len(e.Args) > 1 {
				c.in(p).open(e.Args[1], visit)
			}
		}
	default:
		c.Visit(e, visit)
	}
}
