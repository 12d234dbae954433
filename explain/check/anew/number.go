package anew

import (
	"math"
	"slices"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// anything is what is known of a number of which nothing is.
var anything = measure.Number{Lo: math.Inf(-1), Hi: math.Inf(1)}

// Number reads a number with its uncertainty; false if nothing is known of it.
func (c Place) Number(e *condition.Expr) (measure.Number, bool) {
	n, ok := c.span(e)
	if !ok || isAnything(n) {
		return n, false
	}
	n.Terms, ok = c.moves(func(c Place) (measure.Number, bool) { return c.span(e) }, e)
	return n, ok
}

func isAnything(n measure.Number) bool { return math.IsInf(n.Lo, -1) && math.IsInf(n.Hi, 1) }

// span is the range of a number by the arithmetic of ranges; false where it
// leaves a domain.
func (c Place) span(e *condition.Expr) (measure.Number, bool) {
	var out measure.Number
	ok := true
	switch e.Op {
	case condition.Const:
		return measure.Exact(e.Num), true
	case condition.Prop:
		if f, there := c.Fact(e); there {
			if n, known := c.NumberOf(f); known {
				return c.moved.of(n), true
			}
		}
		if c.moved.zero {
			return measure.Exact(0), true
		}
		return anything, true
	case condition.Neg, condition.Abs:
		if out, ok = c.span(e.Args[0]); !ok {
			return out, false
		}
		switch {
		case e.Op == condition.Neg || out.Hi <= 0:
			return out.Neg(), true
		case out.Lo < 0:
			return measure.Between(0, max(-out.Lo, out.Hi)), true
		}
		return out, true
	case condition.Add, condition.Sub, condition.Mul, condition.Div:
		a, known := c.span(e.Args[0])
		b, alike := c.span(e.Args[1])
		if !known || !alike {
			return anything, false
		}
		switch e.Op {
		case condition.Add:
			out = a.Add(b)
		case condition.Sub:
			out = a.Sub(b)
		case condition.Mul:
			out = a.Mul(b)
		default:
			// A move that carries the divisor to zero or past it leaves the domain.
			still, known := c.still().span(e.Args[1])
			if c.moved.way != 0 && (!known || (still.Lo > 0) != (b.Lo > 0)) {
				return anything, false
			}
			out, ok = a.Div(b)
		}
	case condition.Count:
		list, known := c.List(e.Args[0])
		if !known {
			return measure.Between(0, math.Inf(1)), true
		}
		out = measure.Exact(0)
		for _, m := range list {
			q := m.in
			if len(e.Args) > 1 {
				q = truth.And(q, c.still().in(m.Part).Truth(e.Args[1]))
			}
			if q == truth.True {
				out.Lo++
			}
			if q != truth.False {
				out.Hi++
			}
		}
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return c.spanOver(e)
	case condition.Call:
		return c.spanOfCall(e)
	case condition.Apart:
		a, known := c.span(e.Args[0])
		b, alike := c.span(e.Args[1])
		if !known || !alike {
			return anything, false
		}
		return apartOver(a.Sub(b), e.Num), true
	default:
		return anything, false
	}
	return out, ok && !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
}

// spanOver is the range of a sum, least, greatest, mean or median. The members
// that may or may not be there are tried in every combination, up to ten of
// them; beyond that the range that holds all is told.
func (c Place) spanOver(e *condition.Expr) (measure.Number, bool) {
	list, known := c.List(e.Args[0])
	if !known || len(e.Args) < 2 {
		return anything, true
	}
	var lo, hi, perhapsLo, perhapsHi []float64
	for _, m := range list {
		n, ok := c.in(m.Part).span(e.Args[1])
		if !ok {
			n = anything
		}
		if m.in == truth.True {
			lo, hi = append(lo, n.Lo), append(hi, n.Hi)
		} else {
			perhapsLo, perhapsHi = append(perhapsLo, n.Lo), append(perhapsHi, n.Hi)
		}
	}
	switch {
	case e.Op == condition.Sum:
		for i := range perhapsLo {
			lo, hi = append(lo, min(0, perhapsLo[i])), append(hi, max(0, perhapsHi[i]))
		}
		out := measure.Between(reduce(e.Op, lo), reduce(e.Op, hi))
		return out, !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
	case len(lo) == 0:
		return anything, true
	case len(perhapsLo) > 10:
		all, allHi := append(slices.Clone(lo), perhapsLo...), append(slices.Clone(hi), perhapsHi...)
		switch e.Op {
		case condition.Min:
			return measure.Between(slices.Min(all), slices.Min(hi)), true
		case condition.Max:
			return measure.Between(slices.Max(lo), slices.Max(allHi)), true
		}
		return measure.Between(slices.Min(all), slices.Max(allHi)), true
	}
	out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
	for with := range 1 << len(perhapsLo) {
		l, h := slices.Clone(lo), slices.Clone(hi)
		for i := range perhapsLo {
			if with>>i&1 == 1 {
				l, h = append(l, perhapsLo[i]), append(h, perhapsHi[i])
			}
		}
		out.Lo, out.Hi = min(out.Lo, reduce(e.Op, l)), max(out.Hi, reduce(e.Op, h))
	}
	return out, !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
}

func reduce(op condition.Op, xs []float64) float64 {
	total := 0.0
	for _, x := range xs {
		total += x
	}
	switch op {
	case condition.Sum:
		return total
	case condition.Mean:
		return total / float64(len(xs))
	case condition.Min:
		return slices.Min(xs)
	case condition.Max:
		return slices.Max(xs)
	}
	xs = slices.Sorted(slices.Values(xs))
	return (xs[(len(xs)-1)/2] + xs[len(xs)/2]) / 2
}

// move is one source of uncertainty moved up or down by its u; with zero, a
// number of which nothing is known is taken as 0.
type move struct {
	source int32
	way    float64
	zero   bool
}

// of is the range of a number after the move.
func (m move) of(n measure.Number) measure.Number {
	for _, t := range n.Terms {
		if t.Source == m.source {
			n.Lo, n.Hi = n.Lo+m.way*t.U, n.Hi+m.way*t.U
		}
	}
	n.Terms = nil
	return n
}

// moves is the contribution of each source of uncertainty that enters some
// expressions to f: max(|f(x+u) − f(x)|, |f(x−u) − f(x)|), JCGM 100:2008, 5.1.3
// note 2, with the sign of the upward move, of a range that of the end where it is
// larger. Nil if no uncertainty is given; false where a move leaves a domain.
func (c Place) moves(f func(Place) (measure.Number, bool), es ...*condition.Expr) ([]measure.Term, bool) {
	var sources []int32
	given := false
	for _, e := range es {
		c.sources(e, func(n measure.Number) {
			given = given || n.Terms != nil
			for _, t := range n.Terms {
				sources = append(sources, t.Source)
			}
		})
	}
	if !given {
		return nil, true
	}
	at, ok := f(c)
	slices.Sort(sources)
	terms := []measure.Term{}
	for _, s := range slices.Compact(sources) {
		c.moved.source, c.moved.way = s, 1
		up, rises := f(c)
		c.moved.way = -1
		down, falls := f(c)
		if !ok || !rises || !falls {
			return nil, false
		}
		u := 0.0
		for _, end := range [][2]float64{{up.Lo - at.Lo, down.Lo - at.Lo}, {up.Hi - at.Hi, down.Hi - at.Hi}} {
			d := max(math.Abs(end[0]), math.Abs(end[1]))
			if math.IsInf(d, 0) || math.IsNaN(d) || d <= math.Abs(u) {
				continue // of an end that is not bounded nothing moves
			}
			if u = d; end[0] < 0 || end[0] == 0 && end[1] > 0 {
				u = -d
			}
		}
		if u != 0 {
			terms = append(terms, measure.Term{Source: s, U: u})
		}
	}
	return terms, ok
}

// sources visits the numbers with uncertainty that enter an expression.
func (c Place) sources(e *condition.Expr, visit func(measure.Number)) {
	switch {
	case e.Op == condition.Prop:
		if f, ok := c.Fact(e); ok {
			if n, known := c.NumberOf(f); known {
				visit(n)
			}
		}
	case e.Op == condition.Count:
	case overList(e) && len(e.Args) > 1:
		list, _ := c.List(e.Args[0])
		for _, m := range list {
			c.in(m.Part).sources(e.Args[1], visit)
		}
	default:
		for _, a := range e.Args {
			if a.Type.K == condition.KNum || a.Op == condition.Map {
				c.sources(a, visit)
			}
		}
	}
}
