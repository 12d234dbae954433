package meaning

import (
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// bindings lists the parts that the names of a statement can stand for, one of
// them given (or none, below 0): all of their kinds but those that an equality or
// membership between two names, which must hold, is known to keep apart. With
// refs only references and lists keep apart: that two numbers or choices differ
// is an observation too.
func (w *World) bindings(each rules.Binding, conds []*condition.Condition, given int, part int32, refs bool) (out [][]int32) {
	bound := slices.Repeat([]int32{UnknownPart}, len(each))
	if given >= 0 {
		bound[given] = part
	}
	var next func(at int)
	next = func(at int) {
		for _, k := range conds {
			for _, t := range k.Ties {
				ready := bound[t.A] != UnknownPart && bound[t.B] != UnknownPart && (!refs || t.Left.Type.K == condition.KPart)
				if ready && w.At(bound).keepsApart(t, k.Root) {
					return
				}
			}
		}
		switch {
		case at == len(each):
			out = append(out, slices.Clone(bound))
		case at == given:
			next(at + 1)
		default:
			for _, bound[at] = range w.Facts.OfKind[each[at].Kind.Index] {
				next(at + 1)
			}
			bound[at] = UnknownPart
		}
	}
	next(0)
	return out
}

// keepsApart tells whether a tie is known not to hold: both sides are wholly
// known and differ. A side that leads to no part meets nothing, where the tie is
// all of its condition. What a filter drops from a list is kept apart by what the
// filter asks, which is told, and not by the tie.
func (c Place) keepsApart(t condition.Tie, root *condition.Expr) bool {
	l, k := c.See(t.Left), t.Left.Type.K
	none := k == condition.KPart && l.Looked == vocab.Told && l.Ref == noPart
	if t.Member {
		of := t.Right
		for of.Op == condition.Keep {
			of = of.Args[0]
		}
		list, known := c.List(of)
		if none {
			return root.Op != condition.And
		}
		return known && whole(l, k) && !slices.ContainsFunc(list, func(m Member) bool { return m.Part == l.Ref })
	}
	r := c.See(t.Right)
	if none = none || k == condition.KPart && r.Looked == vocab.Told && r.Ref == noPart; none {
		return root.Op != condition.And
	}
	return whole(l, k) && whole(r, k) && c.same(t.Left, t.Right) == truth.False
}

// all is whether all of some conditions hold, and the latest round in which one
// of them does.
func (c Place) all(conds []*condition.Condition) (truth.Truth, int32) {
	state, round := truth.True, int32(0)
	for _, k := range conds {
		state = truth.And(state, c.Truth(k.Root))
	}
	for _, k := range conds {
		if state == truth.True {
			round = max(round, c.round(k.Root))
		}
	}
	return state, round
}

// round is the fewest rounds after which a true condition is known: of "and" all
// parts are needed, of "or" and "any" the earliest true one is enough, all else
// needs all that it reads.
func (c Place) round(e *condition.Expr) (out int32) {
	var enough []int32
	switch e.Op {
	case condition.And:
		for _, a := range e.Args {
			out = max(out, c.round(a))
		}
		return out
	case condition.Or:
		for _, a := range e.Args {
			if c.Truth(a) == truth.True {
				enough = append(enough, c.round(a))
			}
		}
	case condition.Any:
		list, _ := c.List(e.Args[0])
		for _, m := range list {
			if in := c.in(m.Part); len(e.Args) > 1 && m.in == truth.True && in.Truth(e.Args[1]) == truth.True {
				r := in.round(e.Args[1])
				for l := e.Args[0]; l.Op == condition.Keep; l = l.Args[0] {
					r = max(r, in.round(l.Args[1]))
				}
				enough = append(enough, r)
			}
		}
	default:
		return c.latest(e)
	}
	if len(enough) == 0 {
		return 0
	}
	return slices.Min(enough)
}

// latest is the latest round of what an expression can read.
func (c Place) latest(e *condition.Expr) (out int32) {
	c.Visit(e, func(f Fact) {
		if !isRef(f.Prop) {
			out = max(out, c.roundOf(f))
		}
	})
	return out
}
