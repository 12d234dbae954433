package engine_test

import (
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// reach lists the known observations that an expression can reach through all
// rules and clues.
func (r *reference) reach(e *condition.Expr, b instance) []slot {
	seen := map[slot]bool{}
	var out []slot
	var visit func(slot)
	read := func(e *condition.Expr, b instance) { r.reads(e, b, nil, visit) }
	conds := func(cs []*condition.Condition, b instance) {
		for _, c := range cs {
			read(c.Root, b)
		}
	}
	visit = func(h slot) {
		if seen[h] {
			return
		}
		seen[h] = true
		if o := r.facts.Lookup(h.part, h.prop); o != nil && o.Value.Looked == vocab.Told {
			base := h
			if o.Basis >= 0 {
				base = slot{r.facts.Observations[o.Basis].Part, r.facts.Observations[o.Basis].Prop}
			}
			if !slices.Contains(out, base) {
				out = append(out, base)
			}
		}
		for _, rule := range r.pack.Rules {
			for _, head := range slices.Concat(rule.Then, rule.RulesOut) {
				if head.Prop == h.prop {
					for _, b := range r.meeting(rule.Each, rule.If, head, h.part) {
						conds(rule.If, b)
						conds(rule.Unless, b)
					}
				}
			}
			for _, a := range rule.Set {
				if a.Prop == h.prop {
					for _, b := range r.meeting(rule.Each, rule.If, a.Head, h.part) {
						conds(rule.If, b)
						conds(rule.Unless, b)
						read(a.Value.Root, b)
					}
				}
			}
		}
		for _, c := range r.pack.Clues {
			if c.Cause.Prop == h.prop {
				for _, b := range r.meeting(c.Each, c.If, c.Cause, h.part) {
					conds(c.If, b)
					read(c.Sign.Root, b)
				}
			}
		}
	}
	read(e, b)
	return out
}

// meeting lists the bindings of a statement in which the head is of one part
// and the parts belong together: no reference among its conditions is known to
// lead elsewhere.
func (r *reference) meeting(each rules.Binding, conds []*condition.Condition, head rules.Head, part int32) []instance {
	var out []instance
	for _, b := range r.instances(each) {
		if b[head.Var] != part {
			continue
		}
		tied := true
		for _, c := range conds {
			structural := c.Root.Op == condition.InList || c.Root.Op == condition.Same && c.Root.Args[0].Type.K == condition.KPart
			tied = tied && !(structural && r.truth(c.Root, b, nil) == truth.False)
		}
		if tied {
			out = append(out, b)
		}
	}
	return out
}

// reads calls f for every property of a part that an expression reads.
func (r *reference) reads(e *condition.Expr, b instance, elems []int32, f func(slot)) {
	switch e.Op {
	case condition.Prop:
		if of, ok := r.part(e.Args[0], b, elems); ok && of >= 0 {
			f(slot{of, e.Prop})
		}
		r.reads(e.Args[0], b, elems, f)
		return
	case condition.Any, condition.All, condition.None, condition.Count, condition.Sum, condition.Min, condition.Max,
		condition.Mean, condition.Median, condition.Keep, condition.Map:
		r.reads(e.Args[0], b, elems, f)
		list := e.Args[0]
		for list.Op == condition.Keep { // all that might be in the list
			list = list.Args[0]
		}
		if len(e.Args) > 1 {
			ms, _ := r.list(list, b, elems)
			for _, m := range ms {
				r.reads(e.Args[1], b, append(slices.Clone(elems), m.part), f)
			}
		}
		return
	}
	for _, a := range e.Args {
		r.reads(a, b, elems, f)
	}
}
