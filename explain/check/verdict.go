package check

import (
	"cmp"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// verdict is what becomes of a part, and what would have to be known.
type verdict struct {
	level   vocab.Level
	missing []fact
}

// verdictOf gives the gravest level that holds: replace before rework before
// inspect further. Refit needs those for replace and rework known not to hold;
// false if no rule judges parts of its kind.
func (w *world) verdictOf(part int32) (v verdict, ok bool) {
	kind := w.f.Parts[part].Kind
	v.level = vocab.Refit
	var open []fact
	for _, l := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther} {
		p := kind.Property(vocab.VerdictID(l))
		if p == nil || len(w.heads[p].then) == 0 {
			continue
		}
		ok = true
		f := fact{Part: part, Prop: p}
		if w.state[f] == truth.True {
			v.level = l
			break
		}
		if w.state[f] == truth.Unknown && l > vocab.InspectFurther {
			open = append(open, f)
		}
	}
	if p := kind.Property(vocab.VerdictID(vocab.Refit)); p != nil && len(w.heads[p].then) > 0 {
		ok = true
	}
	if v.level == vocab.Refit && len(open) > 0 {
		v.level = vocab.InspectFurther
	}
	seen := map[fact]bool{}
	for _, f := range open {
		w.missing(f, seen, &v.missing)
	}
	slices.SortFunc(v.missing, func(a, b fact) int { // those of other parts last
		other := func(f fact) int {
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
func (w *world) missing(f fact, seen map[fact]bool, out *[]fact) {
	if seen[f] {
		return
	}
	seen[f] = true
	if f.Prop.Role == vocab.Declared || w.known(f) {
		return
	}
	h := w.heads[f.Prop]
	if h == nil || f.Prop.Observable {
		*out = append(*out, f)
	}
	if h == nil {
		return
	}
	down := func(f fact) { w.missing(f, seen, out) }
	for _, u := range slices.Concat(h.then, h.outs, h.sets) {
		for _, b := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
			c := w.at(b)
			if w.fails(u.rule, c) {
				continue
			}
			for _, k := range u.rule.If {
				c.open(k.Root, down)
			}
			if u.set != nil {
				c.facts(u.set.Root, down)
			}
		}
	}
	for _, k := range h.clues {
		for _, b := range w.bindings(k.Each, k.If, k.Cause.Var, f.Part) {
			w.at(b).facts(k.Sign.Root, down)
		}
	}
}

func (w *world) fails(r *rules.Rule, c place) bool {
	return slices.ContainsFunc(r.If, func(k *condition.Condition) bool { return c.truth(k.Root) == truth.False })
}

// open visits the facts of those parts of a condition that are unknown.
func (c place) open(e *condition.Expr, visit func(fact)) {
	if e.Type.K == condition.KBool && c.truth(e) != truth.Unknown {
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
		c.facts(e, visit)
	}
}

// known tells whether a fact is wholly known.
func (w *world) known(f fact) bool {
	switch f.Prop.Type {
	case vocab.YesNo:
		return w.truthOf(f) != truth.Unknown
	case vocab.Choice:
		m := w.maskOf(f)
		return m != 0 && m&(m-1) == 0
	case vocab.Number, vocab.Whole:
		n, ok := w.numberOf(f)
		return ok && n.IsValue()
	case vocab.Part:
		return w.refOf(f) != unknownPart
	case vocab.Parts:
		_, ok := w.listOf(f)
		return ok
	}
	return false
}

// wanting tells what would have to be known.
func (w *world) wanting(f fact) wanting {
	out := wanting{Fact: w.factID(f), Name: w.factName(f), Reason: "not_looked", Look: w.looking(f)}
	if o := w.f.Lookup(f.Part, f.Prop); o != nil && o.Value.Looked == vocab.CouldNotTell {
		out.Reason = "could_not_tell"
	} else if o != nil || f.Prop.Role.Concluded() {
		out.Reason = "undecided"
	}
	return out
}
