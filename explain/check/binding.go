package check

import (
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
)

// round is the fewest rounds after which a true condition is known: of "and" all
// parts are needed, of "or" and "any" the earliest true one is enough, all else
// needs all that it reads.
func (c place) round(e *condition.Expr) int32 {
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
			if c.truth(a) == truth.True {
				take(c.round(a))
			}
		}
		return max(least, 0)
	case condition.Any:
		list, _ := c.list(e.Args[0])
		for _, m := range list {
			if in := c.in(m.part); len(e.Args) > 1 && m.in == truth.True && in.truth(e.Args[1]) == truth.True {
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
func (c place) greatest(e *condition.Expr) (out int32) {
	c.facts(e, func(f fact) {
		if !isRef(f.Prop) {
			out = max(out, c.roundOf(f))
		}
	})
	return out
}

type bindingKey struct {
	each *condition.EachName
	name int
	part int32
}

// bindings lists the parts that the names of a statement can stand for when one
// of them is given: all of their kinds but those that an equality or membership
// between two names, which must hold, excludes.
func (w *world) bindings(each rules.Binding, conds []*condition.Condition, name int, part int32) [][]int32 {
	if w.f.Parts[part].Kind != each[name].Kind {
		return nil
	}
	key := bindingKey{&each[0], name, part}
	if out, ok := w.instances[key]; ok {
		return out
	}
	bound := make([]int32, len(each))
	for i := range bound {
		bound[i] = unknownPart
	}
	bound[name] = part
	var out [][]int32
	var bind func(at int)
	bind = func(at int) {
		for _, k := range conds {
			for _, t := range k.Ties {
				if bound[t.A] == unknownPart || bound[t.B] == unknownPart {
					continue
				}
				op := condition.Same
				if t.Member {
					op = condition.InList
				}
				if (place{w, bound, nil}).truth(&condition.Expr{Op: op, Type: condition.Type{K: condition.KBool}, Args: []*condition.Expr{t.Left, t.Right}}) == truth.False {
					return
				}
			}
		}
		switch {
		case at == len(each):
			out = append(out, slices.Clone(bound))
			return
		case at == name:
			bind(at + 1)
			return
		}
		for _, p := range w.f.OfKind[each[at].Kind.Index] {
			bound[at] = p
			bind(at + 1)
		}
		bound[at] = unknownPart
	}
	bind(0)
	w.instances[key] = out
	return out
}
