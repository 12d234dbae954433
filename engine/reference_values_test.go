package engine_test

import (
	"fmt"
	"math/bits"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// member is an element of a list, and whether it is known to be in it.
type member struct {
	part int32
	in   truth.Truth
}

// part gives the part an expression names: -1 for none, false if not known.
func (r *reference) part(e *condition.Expr, b instance, elems []int32) (int32, bool) {
	switch e.Op {
	case condition.Name:
		return b[e.Var], true
	case condition.Elem:
		return elems[len(elems)-1-e.Depth], true
	case condition.Prop:
		of, ok := r.part(e.Args[0], b, elems)
		if !ok || of < 0 {
			return -1, false // of a part that is not there nothing is known
		}
		return r.facts.Ref(e.Prop)[r.facts.Parts[of].Ordinal], true
	}
	panic(fmt.Sprintf("no part: op %d", e.Op))
}

// list gives the members of a list; false if it is not known.
func (r *reference) list(e *condition.Expr, b instance, elems []int32) ([]member, bool) {
	switch e.Op {
	case condition.Prop:
		of, ok := r.part(e.Args[0], b, elems)
		if !ok || of < 0 {
			return nil, false
		}
		var out []member
		for _, p := range r.facts.List(e.Prop, r.facts.Parts[of].Ordinal) {
			out = append(out, member{p, truth.True})
		}
		return out, true
	case condition.Others:
		of, ok := r.part(e.Args[0], b, elems)
		if !ok || of < 0 {
			return nil, false
		}
		var out []member
		for _, p := range r.facts.OfKind[r.facts.Parts[of].Kind.Index] {
			if p != of {
				out = append(out, member{p, truth.True})
			}
		}
		return out, true
	case condition.Keep:
		all, ok := r.list(e.Args[0], b, elems)
		if !ok {
			return nil, false
		}
		var out []member
		for _, m := range all {
			m.in = truth.And(m.in, r.truth(e.Args[1], b, append(slices.Clone(elems), m.part)))
			if m.in != truth.False {
				out = append(out, m)
			}
		}
		return out, true
	}
	panic(fmt.Sprintf("no list: op %d", e.Op))
}

// pick gives the choices that are possible; 0 if nothing is known.
func (r *reference) pick(e *condition.Expr, b instance, elems []int32) uint64 {
	if e.Op == condition.Call {
		return r.pickOfCall(e, b, elems)
	}
	if e.Op != condition.Prop {
		panic(fmt.Sprintf("no choice: op %d", e.Op))
	}
	of, ok := r.part(e.Args[0], b, elems)
	if !ok || of < 0 {
		return 0
	}
	v := r.obs[slot{of, e.Prop}]
	if v.Looked != vocab.Told {
		return 0
	}
	return v.Mask
}

// truth gives what a condition comes to.
func (r *reference) truth(e *condition.Expr, b instance, elems []int32) truth.Truth {
	switch e.Op {
	case condition.And:
		out := truth.True
		for _, a := range e.Args {
			out = truth.And(out, r.truth(a, b, elems))
		}
		return out
	case condition.Or:
		out := truth.False
		for _, a := range e.Args {
			out = truth.Or(out, r.truth(a, b, elems))
		}
		return out
	case condition.Not:
		return truth.Not(r.truth(e.Args[0], b, elems))
	case condition.Prop:
		of, ok := r.part(e.Args[0], b, elems)
		if !ok || of < 0 {
			return truth.Unknown
		}
		if e.Prop.Role.Concluded() {
			return r.fact(slot{of, e.Prop})
		}
		v := r.obs[slot{of, e.Prop}]
		switch {
		case v.Looked == vocab.Told && v.Mask == vocab.Yes:
			return truth.True
		case v.Looked == vocab.Told && v.Mask == vocab.No:
			return truth.False
		}
		return truth.Unknown
	case condition.Within:
		possible := r.pick(e.Args[0], b, elems)
		switch {
		case possible == 0:
			return truth.Unknown
		case possible&e.Mask == 0:
			return truth.False
		case possible&e.Mask == possible:
			return truth.True
		}
		return truth.Unknown
	case condition.Same:
		return r.same(e.Args[0], e.Args[1], b, elems)
	case condition.InList:
		p, ok := r.part(e.Args[0], b, elems)
		ms, known := r.list(e.Args[1], b, elems)
		if !ok || !known {
			return truth.Unknown
		}
		for _, m := range ms {
			if m.part == p {
				return m.in
			}
		}
		return truth.False
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return r.compare(e, b, elems)
	case condition.Any, condition.All, condition.None:
		return r.quantified(e, b, elems)
	}
	panic(fmt.Sprintf("no truth: op %d", e.Op))
}

func (r *reference) same(x, y *condition.Expr, b instance, elems []int32) truth.Truth {
	switch x.Type.K {
	case condition.KPart:
		p, ok := r.part(x, b, elems)
		q, also := r.part(y, b, elems)
		if !ok || !also {
			return truth.Unknown
		}
		return truth.Of(p == q && p >= 0) // none is the same as no other, not as none either
	case condition.KPick:
		p, q := r.pick(x, b, elems), r.pick(y, b, elems)
		switch {
		case p == 0 || q == 0:
			return truth.Unknown
		case p&q == 0:
			return truth.False
		case p == q && bits.OnesCount64(p) == 1:
			return truth.True
		}
		return truth.Unknown
	case condition.KNum: // whole numbers
		p, ok := r.interval(x, b, elems, still)
		q, also := r.interval(y, b, elems, still)
		if !ok || !also {
			return truth.Unknown
		}
		p, q = p.whole(), q.whole()
		switch {
		case p.lo > q.hi || q.lo > p.hi:
			return truth.False
		case p.lo == p.hi && q.lo == q.hi:
			return truth.Of(p.lo == q.lo)
		}
		return truth.Unknown
	}
	panic("no sameness of this type")
}

// quantified is any, all and none: decided when no value of the unknown members
// could change it, and unknown over no member.
func (r *reference) quantified(e *condition.Expr, b instance, elems []int32) truth.Truth {
	ms, ok := r.list(e.Args[0], b, elems)
	if !ok {
		return truth.Unknown
	}
	sure, holds, fails := false, false, false // a certain member; one that holds; one that fails
	mayHold, mayFail := false, false
	for _, m := range ms {
		t := r.truth(e.Args[1], b, append(slices.Clone(elems), m.part))
		mayHold = mayHold || t != truth.False
		mayFail = mayFail || t != truth.True
		if m.in == truth.True {
			sure = true
			holds = holds || t == truth.True
			fails = fails || t == truth.False
		}
	}
	out := truth.Unknown
	switch e.Op {
	case condition.Any:
		if holds {
			out = truth.True
		} else if sure && !mayHold {
			out = truth.False
		}
	case condition.None:
		if holds {
			out = truth.False
		} else if sure && !mayHold {
			out = truth.True
		}
	case condition.All:
		if fails {
			out = truth.False
		} else if sure && !mayFail {
			out = truth.True
		}
	}
	return out
}
