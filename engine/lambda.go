package engine

import (
	"math"

	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// evidence is what is handed on for a condition or a fact: the likelihood ratio
// of the evidence for it, and the probability of the weighed findings it rests
// on. Both combine alike: least over and, greatest over or.
type evidence struct {
	lambda weigh.Lambda
	prob   float64
}

var (
	seen   = evidence{weigh.Seen, 1}
	absent = evidence{weigh.Absent, 0}
	open   = evidence{weigh.Open, 0.5}
)

func evidenceOfTruth(t truth.Truth) evidence {
	switch t {
	case truth.True:
		return seen
	case truth.False:
		return absent
	}
	return open
}

func (a evidence) and(b evidence) evidence {
	return evidence{min(a.lambda, b.lambda), min(a.prob, b.prob)}
}

func (a evidence) or(b evidence) evidence {
	return evidence{max(a.lambda, b.lambda), max(a.prob, b.prob)}
}

func (a evidence) not() evidence { return evidence{weigh.Not(a.lambda), 1 - a.prob} }

// evidence evaluates a yes/no node to its likelihood ratio.
func (v *env) evidence(e *condition.Expr) evidence {
	switch e.Op {
	case condition.Prop:
		part := v.part(e.Args[0])
		if !ofKind(v.r.layout(), part, e.Prop.Kind) {
			return open
		}
		return v.r.evidenceOf(part, e.Prop)
	case condition.And:
		out := seen
		for _, a := range e.Args {
			out = out.and(v.evidence(a))
		}
		return out
	case condition.Or:
		out := absent
		for _, a := range e.Args {
			out = out.or(v.evidence(a))
		}
		return out
	case condition.Not:
		return v.evidence(e.Args[0]).not()
	case condition.Any, condition.All, condition.None:
		return v.quantifiedEvidence(e)
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		if out, ok := v.countEvidence(e); ok {
			return out
		}
	}
	return evidenceOfTruth(v.truth(e))
}

// quantifiedEvidence is the greatest over any, the least over all, and the
// opposite of any for none; open over no member.
func (v *env) quantifiedEvidence(e *condition.Expr) evidence {
	each, sure := v.memberEvidence(e, e.Op == condition.All)
	if !sure {
		// Perhaps over no member at all: open, as its truth is.
		return evidenceOfTruth(v.truth(e))
	}
	out := absent
	for _, m := range each {
		out = out.or(m)
	}
	if e.Op == condition.Any {
		return out
	}
	return out.not()
}

// memberEvidence is the evidence that each element is in the list and satisfies
// the predicate (or, negated, does not); sure tells whether any element surely
// is in the list.
func (v *env) memberEvidence(e *condition.Expr, negated bool) (each []evidence, sure bool) {
	items, ok := v.members(e.Args[0])
	if !ok {
		return nil, false
	}
	for _, m := range items {
		ev := seen
		v.push(m.part)
		if len(e.Args) > 1 {
			ev = v.evidence(e.Args[1])
		}
		if negated {
			ev = ev.not()
		}
		ev = ev.and(v.keepEvidence(e.Args[0]))
		v.pop()
		each = append(each, ev)
		sure = sure || m.in == truth.True
	}
	return each, sure
}

// keepEvidence is the evidence that the innermost element passes the filters.
func (v *env) keepEvidence(list *condition.Expr) evidence {
	out := seen
	for ; list.Op == condition.Keep; list = list.Args[0] {
		out = out.and(v.evidence(list.Args[1]))
	}
	return out
}

// countEvidence is the evidence for count(list, .p) against a written number:
// the n-th greatest of the members for "n or more".
func (v *env) countEvidence(e *condition.Expr) (evidence, bool) {
	a, b, op := e.Args[0], e.Args[1], e.Op
	if a.Op == condition.Const {
		a, b, op = b, a, mirrored(op)
	}
	if a.Op != condition.Count || b.Op != condition.Const || len(a.Args) < 2 {
		return evidence{}, false
	}
	if _, known := v.members(a.Args[0]); !known {
		return open, true
	}
	each, _ := v.memberEvidence(a, false)
	n := int(math.Ceil(b.Num)) // at least n
	if op == condition.Gt || op == condition.Le {
		n = int(math.Floor(b.Num)) + 1
	}
	ls, ps := make([]float64, len(each)), make([]float64, len(each))
	for i, m := range each {
		ls[i], ps[i] = m.lambda, m.prob
	}
	out := evidence{weigh.AtLeast(n, ls), probAtLeast(n, ps)}
	if op == condition.Lt || op == condition.Le {
		out = out.not()
	}
	return out, true
}

func probAtLeast(n int, ps []float64) float64 {
	p := weigh.AtLeast(n, ps)
	return min(p, 1)
}
