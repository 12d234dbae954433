package anew

import (
	"math/bits"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
)

// round is the fewest rounds after which a true condition is known: of "and" all
// parts are needed, of "or" and "any" the earliest true one is enough, all else
// needs all that it reads.
func (c Place) round(e *condition.Expr) int32 {
	least, out := int32(-1), int32(0)
	take := func(r int32) {
		if least < 0 || r < least {
			least = r
		}
	}
	switch e.Op {
	case condition.And:
		for _, a := range e.Args {
			out = max(out, c.round(a))
		}
		return out
	case condition.Or:
		for _, a := range e.Args {
			if c.Truth(a) == truth.True {
				take(c.round(a))
			}
		}
		return max(least, 0)
	case condition.Any:
		list, _ := c.List(e.Args[0])
		for _, m := range list {
			if in := c.in(m.Part); len(e.Args) > 1 && m.in == truth.True && in.Truth(e.Args[1]) == truth.True {
				r := in.round(e.Args[1])
				for l := e.Args[0]; l.Op == condition.Keep; l = l.Args[0] {
					r = max(r, in.round(l.Args[1]))
				}
				take(r)
			}
		}
		return max(least, 0)
	}
	return c.greatest(e)
}

// greatest is the latest round of what an expression reads.
func (c Place) greatest(e *condition.Expr) (out int32) {
	c.Visit(e, func(f Fact) {
		if !IsRef(f.Prop) {
			out = max(out, c.roundOf(f))
		}
	})
	return out
}

type bindingKey struct {
	each *condition.EachName
	name int
	part int32
	meet bool
}

// bindings lists the parts that the names of a statement can stand for when one
// of them is given: all of their kinds but those that an equality or membership
// between two names, which must hold, is known to keep apart.
func (w *World) bindings(each rules.Binding, conds []*condition.Condition, name int, part int32) [][]int32 {
	return w.bind(each, conds, name, part, false)
}

// meetings is bindings that only references and lists keep apart: that two
// numbers or choices differ is an observation too.
func (w *World) meetings(each rules.Binding, conds []*condition.Condition, name int, part int32) [][]int32 {
	return w.bind(each, conds, name, part, true)
}

func (w *World) bind(each rules.Binding, conds []*condition.Condition, name int, part int32, meet bool) [][]int32 {
	if w.Facts.Parts[part].Kind != each[name].Kind {
		return nil
	}
	key := bindingKey{&each[0], name, part, meet}
	if out, ok := w.instances[key]; ok {
		return out
	}
	bound := make([]int32, len(each))
	for i := range bound {
		bound[i] = UnknownPart
	}
	bound[name] = part
	var out [][]int32
	var next func(at int)
	next = func(at int) {
		for _, k := range conds {
			for _, t := range k.Ties {
				if bound[t.A] == UnknownPart || bound[t.B] == UnknownPart || meet && !t.Member && t.Left.Type.K != condition.KPart {
					continue
				}
				if w.At(bound).keepsApart(t, k.Root) {
					return
				}
			}
		}
		switch {
		case at == len(each):
			out = append(out, slices.Clone(bound))
			return
		case at == name:
			next(at + 1)
			return
		}
		for _, p := range w.Facts.OfKind[each[at].Kind.Index] {
			bound[at] = p
			next(at + 1)
		}
		bound[at] = UnknownPart
	}
	next(0)
	w.instances[key] = out
	return out
}

// keepsApart tells whether a tie is known not to hold: both sides are wholly
// known and differ. A side that leads to no part meets nothing, where the tie is
// all of its condition.
func (c Place) keepsApart(t condition.Tie, whole *condition.Expr) bool {
	l, r := t.Left, t.Right
	alone := whole.Op != condition.And
	switch {
	case t.Member:
		p := c.Part(l)
		list, known := c.List(r)
		return p == noPart && alone || p >= 0 && known && !slices.ContainsFunc(list, func(m Member) bool { return m.Part == p })
	case l.Type.K == condition.KPart:
		p, q := c.Part(l), c.Part(r)
		return p >= 0 && q >= 0 && p != q || alone && (p == noPart || q == noPart)
	case l.Type.K == condition.KNum:
		x, known := c.Number(l)
		y, alike := c.Number(r)
		return known && alike && x.IsValue() && y.IsValue() && x.Lo != y.Lo
	}
	p, q := c.Mask(l), c.Mask(r)
	return p != q && bits.OnesCount64(p) == 1 && bits.OnesCount64(q) == 1
}
