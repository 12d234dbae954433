package engine

import (
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// ruleRound is the round of what a rule that fires concludes: one above the
// greatest its conditions need.
func (s *Session) ruleRound(f *frame, c *ruleCode) int32 {
	v := f.env(0)
	r := int32(0)
	for i := range c.conds {
		r = max(r, v.round(c.conds[i].cond.Root))
	}
	return r + 1
}

// round is the fewest rounds after which a true condition is known: the
// greatest of all that and needs, the least of the true ways of or and any, and
// for everything strict the greatest it reads. Observations are round 0.
func (v *env) round(e *condition.Expr) int32 {
	switch e.Op {
	case condition.And:
		r := int32(0)
		for _, a := range e.Args {
			r = max(r, v.round(a))
		}
		return r
	case condition.Or:
		r := int32(-1)
		for _, a := range e.Args {
			if v.truth(a) == truth.True {
				if n := v.round(a); r < 0 || n < r {
					r = n
				}
			}
		}
		return max(r, 0)
	case condition.Any:
		items, ok := v.members(e.Args[0])
		if !ok || len(e.Args) < 2 {
			return 0
		}
		r := int32(-1)
		for _, m := range items {
			if m.in != truth.True {
				continue
			}
			v.push(m.part)
			if v.truth(e.Args[1]) == truth.True {
				n := max(v.round(e.Args[1]), v.keepRound(e.Args[0]))
				if r < 0 || n < r {
					r = n
				}
			}
			v.pop()
		}
		return max(r, 0)
	}
	return v.greatest(e)
}

// keepRound is the round of the filters that let the innermost element pass.
func (v *env) keepRound(list *condition.Expr) int32 {
	if list.Op != condition.Keep {
		return 0
	}
	return max(v.round(list.Args[1]), v.keepRound(list.Args[0]))
}

// greatest is the greatest round of all facts that a node reads.
func (v *env) greatest(e *condition.Expr) int32 {
	switch e.Op {
	case condition.Prop:
		part := v.part(e.Args[0])
		r := v.greatest(e.Args[0])
		if ofKind(v.r.layout(), part, e.Prop.Kind) && !isRef(e.Prop) {
			r = max(r, v.r.roundOf(part, e.Prop))
		}
		return r
	case condition.Name, condition.Elem, condition.Const, condition.Picks:
		return 0
	}
	if opensElement(e.Op) && len(e.Args) > 1 {
		r := v.greatest(e.Args[0])
		for _, part := range v.elements0(e.Args[0]) {
			v.push(part)
			r = max(r, v.greatest(e.Args[1]))
			v.pop()
		}
		return r
	}
	r := int32(0)
	for _, a := range e.Args {
		r = max(r, v.greatest(a))
	}
	return r
}

// elements0 is all elements a list node draws from, filters left aside.
func (v *env) elements0(e *condition.Expr) []int32 {
	for e.Op == condition.Keep {
		e = e.Args[0]
	}
	if e.Op == condition.Prop {
		if of := v.part(e.Args[0]); ofKind(v.r.layout(), of, e.Prop.Kind) {
			list, _ := v.r.listOf(of, e.Prop)
			return list
		}
		return nil
	}
	items, _ := v.members(e)
	out := make([]int32, len(items))
	for i, m := range items {
		out[i] = m.part
	}
	return out
}
