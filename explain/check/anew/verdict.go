package anew

import (
	"cmp"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Verdict is what becomes of a part, and what would have to be known.
type Verdict struct {
	Level   vocab.Level
	Missing []Fact
}

// VerdictOf gives the gravest level that holds: replace before rework before
// inspect further. Refit needs those for replace and rework known not to hold;
// false if no rule judges parts of its kind.
func (w *World) VerdictOf(part int32) (v Verdict, ok bool) {
	kind := w.Facts.Parts[part].Kind
	v.Level = vocab.Refit
	var open []Fact
	for _, l := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther} {
		p := kind.Property(vocab.VerdictID(l))
		if p == nil || len(w.heads[p].then) == 0 {
			continue
		}
		ok = true
		f := Fact{Part: part, Prop: p}
		if w.state[f] == truth.True {
			v.Level = l
			break
		}
		if w.state[f] == truth.Unknown && l > vocab.InspectFurther {
			open = append(open, f)
		}
	}
	if p := kind.Property(vocab.VerdictID(vocab.Refit)); p != nil && len(w.heads[p].then) > 0 {
		ok = true
	}
	if v.Level == vocab.Refit && len(open) > 0 {
		v.Level = vocab.InspectFurther
	}
	seen := map[Fact]bool{}
	for _, f := range open {
		w.missing(f, seen, &v.Missing)
	}
	slices.SortFunc(v.Missing, func(a, b Fact) int { // those of other parts last
		other := func(f Fact) int {
			if f.Part != part {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(other(a), other(b)), a.Compare(b))
	})
	return v, ok
}

// missing gathers what nobody told, or told too coarsely, of all that an open
// fact rests on.
func (w *World) missing(f Fact, seen map[Fact]bool, out *[]Fact) {
	if seen[f] {
		return
	}
	seen[f] = true
	if f.Prop.Role == vocab.Declared || w.Known(f) {
		return
	}
	h := w.heads[f.Prop]
	if h == nil || f.Prop.Observable {
		*out = append(*out, f)
	}
	if h == nil {
		return
	}
	down := func(f Fact) { w.missing(f, seen, out) }
	for _, u := range slices.Concat(h.then, h.outs, h.sets) {
		for _, b := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
			c := w.At(b)
			if w.fails(u.rule, c) {
				continue
			}
			for _, k := range u.rule.If {
				c.open(k.Root, down)
			}
			if u.set != nil {
				c.Visit(u.set.Root, down)
			}
		}
	}
	for _, k := range h.clues {
		for _, b := range w.bindings(k.Each, k.If, k.Cause.Var, f.Part) {
			w.At(b).Visit(k.Sign.Root, down)
		}
	}
}

func (w *World) fails(r *rules.Rule, c Place) bool {
	return slices.ContainsFunc(r.If, func(k *condition.Condition) bool { return c.Truth(k.Root) == truth.False })
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

// Known tells whether a fact is wholly known.
func (w *World) Known(f Fact) bool {
	switch f.Prop.Type {
	case vocab.YesNo:
		return w.truthOf(f) != truth.Unknown
	case vocab.Choice:
		m := w.maskOf(f)
		return m != 0 && m&(m-1) == 0
	case vocab.Number, vocab.Whole:
		n, ok := w.NumberOf(f)
		return ok && n.IsValue()
	case vocab.Part:
		return w.RefOf(f) != UnknownPart
	case vocab.Parts:
		_, ok := w.ListOf(f)
		return ok
	}
	return false
}
