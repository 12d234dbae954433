package engine

import (
	"math"
	"slices"

	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// The plain evaluation of numbers: ranges by the arithmetic of ranges,
// uncertainty by moving each source through the whole expression. An unknown
// number is the range from −∞ to +∞, so that max(5, unknown) > 4 is decided.

var line = measure.Number{Lo: math.Inf(-1), Hi: math.Inf(1)}

// number evaluates a number node with its uncertainty; false if nothing is
// known of it.
func (v *env) number(e *condition.Expr) (measure.Number, bool) {
	if linear(e) {
		n, ok := v.span(e, true)
		return n, ok && !isLine(n)
	}
	if !v.r.uncertain() {
		n, ok := v.span(e, false)
		return n, ok && !isLine(n)
	}
	m := v.moves(e, true)
	n, ok := m.still.Number, m.still.ok
	if !ok || isLine(n) {
		return n, false
	}
	n.Terms, ok = m.terms()
	return n, ok
}

func isLine(n measure.Number) bool { return math.IsInf(n.Lo, -1) && math.IsInf(n.Hi, 1) }

// compare decides left op right, the two sides taken as one expression, so
// that what they share cancels.
func (v *env) compare(e *condition.Expr) measure.Comparison {
	unknown := measure.Comparison{Reason: measure.Range}
	a, b := e.Args[0], e.Args[1]
	op := opOf(e.Op)
	if linear(a) && linear(b) {
		x, ok := v.span(a, true)
		y, okay := v.span(b, true)
		if !ok || !okay {
			return unknown
		}
		return measure.CompareScaled(op, x, y, v.r.coverage(), max(v.scale(a), v.scale(b)))
	}
	x, ok := v.span(a, false)
	y, okay := v.span(b, false)
	if !ok || !okay {
		return unknown
	}
	scale := max(v.scale(a), v.scale(b))
	if c := measure.CompareScaled(op, x, y, v.r.coverage(), scale); c.Truth == truth.Unknown || !v.r.uncertain() {
		return c // uncertainty decides nothing that a range leaves open
	}
	apart := v.carry([]moves{v.moves(a, false), v.moves(b, false)}, false, func(in []outcome, _ []int) outcome {
		return outcome{in[0].Sub(in[1].Number), in[0].ok && in[1].ok}
	})
	if x.Terms, ok = apart.terms(); !ok {
		return unknown
	}
	return measure.CompareScaled(op, x, y, v.r.coverage(), scale)
}

func opOf(op condition.Op) measure.Op {
	switch op {
	case condition.Lt:
		return measure.Lt
	case condition.Le:
		return measure.Le
	case condition.Gt:
		return measure.Gt
	}
	return measure.Ge
}

// linear tells whether a number node adds, subtracts and scales alone: then the
// terms of its parts add up exactly.
func linear(e *condition.Expr) bool {
	switch e.Op {
	case condition.Const, condition.Prop, condition.Count:
		return true
	case condition.Neg, condition.Add, condition.Sub:
		for _, a := range e.Args {
			if !linear(a) {
				return false
			}
		}
		return true
	case condition.Mul:
		return linear(e.Args[0]) && e.Args[1].Op == condition.Const || linear(e.Args[1]) && e.Args[0].Op == condition.Const
	case condition.Div:
		return linear(e.Args[0]) && e.Args[1].Op == condition.Const
	}
	return false
}

// span is the range of a number node; with terms, also its uncertainty, which
// is right for linear nodes alone. False where the value leaves a domain, or
// hangs on nothing known.
func (v *env) span(e *condition.Expr, terms bool) (measure.Number, bool) {
	switch e.Op {
	case condition.Const:
		return measure.Exact(e.Num), true
	case condition.Prop:
		part := v.part(e.Args[0])
		if !ofKind(v.r.layout(), part, e.Prop.Kind) {
			return line, true
		}
		n, ok := v.r.numberOf(part, e.Prop)
		if !ok {
			return line, true
		}
		if !terms {
			n.Terms = nil
		}
		return n, true
	case condition.Neg, condition.Abs:
		n, ok := v.span(e.Args[0], terms)
		if !ok {
			return n, false
		}
		if e.Op == condition.Neg {
			return n.Neg(), true
		}
		return absolute(n), true
	case condition.Add, condition.Sub, condition.Mul, condition.Div:
		a, ok := v.span(e.Args[0], terms)
		if !ok {
			return a, false
		}
		b, ok := v.span(e.Args[1], terms)
		if !ok {
			return b, false
		}
		return arithmetic(e.Op, a, b)
	case condition.Apart:
		a, ok := v.span(e.Args[0], false)
		b, okay := v.span(e.Args[1], false)
		if !ok || !okay {
			return line, false
		}
		return apart(a, b, e.Num), true
	case condition.Count:
		return v.count(e)
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return v.aggregate(e)
	case condition.Call:
		n := v.call(e)
		return n.Number, n.ok
	}
	return line, false
}

func arithmetic(op condition.Op, a, b measure.Number) (measure.Number, bool) {
	var n measure.Number
	ok := true
	switch op {
	case condition.Add:
		n = a.Add(b)
	case condition.Sub:
		n = a.Sub(b)
	case condition.Mul:
		n = a.Mul(b)
	default:
		n, ok = a.Div(b)
	}
	return n, ok && !math.IsNaN(n.Lo) && !math.IsNaN(n.Hi)
}

func absolute(n measure.Number) measure.Number {
	switch {
	case n.Lo >= 0:
		return n
	case n.Hi <= 0:
		return n.Neg()
	}
	return measure.Number{Lo: 0, Hi: max(-n.Lo, n.Hi)}
}

// apart is the angles that two directions, each perhaps a range, may lie apart.
func apart(a, b measure.Number, period float64) measure.Number {
	n, ok := gauge.Apart(a, b, period)
	if !ok { // open to infinity: it may lie anywhere
		return line
	}
	return n
}

// count is the number of members that satisfy the predicate, as a range.
func (v *env) count(e *condition.Expr) (measure.Number, bool) {
	items, ok := v.members(e.Args[0])
	if !ok {
		return measure.Number{Lo: 0, Hi: math.Inf(1)}, true
	}
	var lo, hi float64
	for _, m := range items {
		q := m.in
		if len(e.Args) > 1 {
			v.push(m.part)
			q = truth.And(q, v.truth(e.Args[1]))
			v.pop()
		}
		switch q {
		case truth.True:
			lo, hi = lo+1, hi+1
		case truth.Unknown:
			hi++
		}
	}
	return measure.Between(lo, hi), true
}

// elements is the numbers of the members of an aggregate.
func (v *env) elements(e *condition.Expr, each func(m member, value *condition.Expr) bool) bool {
	items, ok := v.members(e.Args[0])
	if !ok || len(e.Args) < 2 {
		return false
	}
	for _, m := range items {
		v.push(m.part)
		ok := each(m, e.Args[1])
		v.pop()
		if !ok {
			return false
		}
	}
	return true
}

// fewUnsure is up to how many members that may or may not be there are gone
// through in all combinations for a mean or median.
const fewUnsure = 10

// aggregate is the range of sum, min, max, mean or median over a list.
func (v *env) aggregate(e *condition.Expr) (measure.Number, bool) {
	var sure []bool
	var in []outcome
	if !v.elements(e, func(m member, value *condition.Expr) bool {
		n, ok := v.span(value, false)
		sure, in = append(sure, m.in == truth.True), append(in, outcome{n, ok})
		return true
	}) {
		return line, true
	}
	return aggregate(e.Op, sure, in)
}

// aggregate reduces the values of members, some of which may be unknown or not
// be members at all. Over no member a sum is 0, the others are unknown.
func aggregate(op condition.Op, sure []bool, in []outcome) (measure.Number, bool) {
	var few [6 * 8]float64 // most lists are short
	both := few[:]
	if 6*len(in) > len(few) {
		both = make([]float64, 6*len(in))
	}
	at := func(i int) []float64 { return both[i*len(in) : i*len(in) : (i+1)*len(in)] }
	lo, hi, plo, phi := at(0), at(1), at(2), at(3) // of sure members, of the others
	for i, n := range in {
		if !n.ok {
			n.Number = line
		}
		if sure[i] {
			lo, hi = append(lo, n.Lo), append(hi, n.Hi)
		} else {
			plo, phi = append(plo, n.Lo), append(phi, n.Hi)
		}
	}
	if op == condition.Sum {
		for i := range plo {
			lo, hi = append(lo, min(plo[i], 0)), append(hi, max(phi[i], 0))
		}
		out := measure.Between(sumOf(lo), sumOf(hi))
		return out, !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
	}
	if len(lo) == 0 { // perhaps no member at all
		return line, true
	}
	if len(plo) == 0 {
		out := measure.Between(reduce(op, lo), reduce(op, hi))
		return out, !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
	}
	if len(plo) <= fewUnsure {
		out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
		l, h := at(4), at(5)
		for set := range 1 << len(plo) {
			l, h = append(l[:0], lo...), append(h[:0], hi...)
			for i := range plo {
				if set>>i&1 != 0 {
					l, h = append(l, plo[i]), append(h, phi[i])
				}
			}
			out.Lo, out.Hi = min(out.Lo, reduce(op, l)), max(out.Hi, reduce(op, h))
		}
		return out, !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
	}
	all := append(slices.Clone(lo), plo...)
	allHi := append(slices.Clone(hi), phi...)
	switch op {
	case condition.Min:
		return measure.Between(slices.Min(all), slices.Min(hi)), true
	case condition.Max:
		return measure.Between(slices.Max(lo), slices.Max(allHi)), true
	}
	return measure.Between(slices.Min(all), slices.Max(allHi)), true
}

// reduce is min, max, mean or median of one or more numbers, which it may
// reorder; all never fall when one of the numbers rises.
func reduce(op condition.Op, xs []float64) float64 {
	switch op {
	case condition.Sum:
		return sumOf(xs)
	case condition.Min:
		return slices.Min(xs)
	case condition.Max:
		return slices.Max(xs)
	case condition.Mean:
		return sumOf(xs) / float64(len(xs))
	}
	slices.Sort(xs)
	n := len(xs)
	if n%2 == 1 {
		return xs[n/2]
	}
	return (xs[n/2-1] + xs[n/2]) / 2
}

// sumOf adds numbers in order of size, which it puts them in: the last digit of
// a sum must not tell in which order places are written.
func sumOf(xs []float64) float64 {
	slices.Sort(xs)
	s := 0.0
	for _, x := range xs {
		s += x
	}
	return s
}

// scale is the largest number that enters a node, for the tolerance of
// equality.
func (v *env) scale(e *condition.Expr) float64 {
	s := 0.0
	if n, ok := v.span(e, false); ok {
		s = max(finite(n.Lo), finite(n.Hi))
	}
	switch e.Op {
	case condition.Neg, condition.Abs, condition.Add, condition.Sub, condition.Mul, condition.Div, condition.Apart:
		for _, a := range e.Args {
			s = max(s, v.scale(a))
		}
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		v.elements(e, func(_ member, value *condition.Expr) bool {
			s = max(s, v.scale(value))
			return true
		})
	}
	return s
}

func finite(x float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return 0
	}
	return math.Abs(x)
}
