package engine_test

import (
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// rounds is how many rounds of rules a condition that holds needs.
func (r *reference) rounds(e *condition.Expr, b instance, elems []int32) int32 {
	switch e.Op {
	case condition.And:
		var out int32
		for _, a := range e.Args {
			out = max(out, r.rounds(a, b, elems))
		}
		return out
	case condition.Or:
		out := int32(never)
		for _, a := range e.Args {
			if r.truth(a, b, elems) == truth.True {
				out = min(out, r.rounds(a, b, elems))
			}
		}
		return out
	case condition.Any:
		out := int32(never)
		ms, _ := r.list(e.Args[0], b, elems)
		for _, m := range ms {
			inner := append(slices.Clone(elems), m.part)
			if m.in == truth.True && r.truth(e.Args[1], b, inner) == truth.True {
				need := r.rounds(e.Args[1], b, inner)
				for list := e.Args[0]; list.Op == condition.Keep; list = list.Args[0] { // its being in the list
					need = max(need, r.rounds(list.Args[1], b, inner))
				}
				out = min(out, need)
			}
		}
		return out
	}
	return r.deepest(e, b, elems)
}

// deepest is the greatest round of all that an expression reads.
func (r *reference) deepest(e *condition.Expr, b instance, elems []int32) int32 {
	if e.Op == condition.Prop {
		of, ok := r.part(e.Args[0], b, elems)
		if !ok || of < 0 {
			return 0
		}
		h := slot{of, e.Prop}
		if v, ok := r.obs[h]; ok && v.Looked == vocab.Told {
			return 0
		}
		return r.round[h]
	}
	var out int32
	switch e.Op {
	case condition.Any, condition.All, condition.None, condition.Count, condition.Sum, condition.Min, condition.Max,
		condition.Mean, condition.Median, condition.Keep, condition.Map:
		out = r.deepest(e.Args[0], b, elems)
		list := e.Args[0]
		for list.Op == condition.Keep { // all that is asked, of members or not
			list = list.Args[0]
		}
		ms, _ := r.list(list, b, elems)
		for _, m := range ms {
			if len(e.Args) > 1 {
				out = max(out, r.deepest(e.Args[1], b, append(slices.Clone(elems), m.part)))
			}
		}
		return out
	}
	for _, a := range e.Args {
		out = max(out, r.deepest(a, b, elems))
	}
	return out
}
