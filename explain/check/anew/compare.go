package anew

import (
	"math"
	"slices"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// Outcome is how a comparison of numbers came out.
type Outcome struct {
	State   truth.Truth
	U       float64 // of the difference
	Needed  float64 // the u that would decide it
	Given   bool    // some uncertainty was given
	WithinU bool    // unknown for its uncertainty alone
}

// Compare decides left op right outside the guard band of k times the
// uncertainty of the difference, both sides moved together.
func (c Place) Compare(e *condition.Expr) (out Outcome) {
	a, b := e.Args[0], e.Args[1]
	x, ok := c.span(a)
	y, alike := c.span(b)
	if !ok || !alike {
		return out
	}
	difference := func(c Place) (measure.Number, bool) {
		x, ok := c.span(a)
		y, alike := c.span(b)
		return x.Sub(y), ok && alike
	}
	// Beside a number that is not known, the uncertainty of the others is told.
	c.moved.zero = (isAnything(x) || isAnything(y)) && linear(a) && linear(b)
	terms, ok := c.moves(difference, a, b)
	c.moved.zero = false
	if !ok {
		return out
	}
	out.U, out.Given = measure.Number{Terms: terms}.U(), terms != nil
	return decide(e.Op, x, y, out, c.Facts.K, max(c.largest(a), c.largest(b)))
}

// decide compares two ranges: numbers that differ by less than 1e-9 of the
// largest that enters are equal.
func decide(op condition.Op, x, y measure.Number, out Outcome, k, largest float64) Outcome {
	equal := 1e-9 * max(finite(x.Lo), finite(x.Hi), finite(y.Lo), finite(y.Hi), largest)
	lo, hi := x.Lo-y.Hi, x.Hi-y.Lo
	loOpen := x.LoOpen || y.HiOpen
	if op == condition.Lt || op == condition.Ge {
		lo, hi, loOpen = -hi, -lo, x.HiOpen || y.LoOpen
	}
	strict := op == condition.Lt || op == condition.Gt
	distance := 0.0
	switch {
	case lo > 0 && lo >= equal, loOpen && (lo >= 0 || lo > -equal): // surely over (under)
		out.State, distance = truth.Of(strict), lo
	case hi <= 0 || hi < equal:
		out.State, distance = truth.Of(!strict), -hi
	default:
		return out
	}
	if distance = max(distance, 0); out.U > 0 && distance < k*out.U-equal {
		out.State, out.WithinU, out.Needed = truth.Unknown, true, distance/k
	}
	return out
}

// largest is the largest number that enters an expression.
func (c Place) largest(e *condition.Expr) float64 {
	out := 0.0
	if n, ok := c.span(e); ok {
		out = max(finite(n.Lo), finite(n.Hi))
	}
	switch {
	case e.Op >= condition.Neg && e.Op <= condition.Apart:
		for _, a := range e.Args {
			out = max(out, c.largest(a))
		}
	case overList(e) && e.Op != condition.Count && len(e.Args) > 1 && e.Type.K == condition.KNum:
		list, _ := c.List(e.Args[0])
		for _, m := range list {
			out = max(out, c.in(m.Part).largest(e.Args[1]))
		}
	}
	return out
}

func finite(x float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return 0
	}
	return math.Abs(x)
}

// linear tells whether a number only adds, subtracts and scales.
func linear(e *condition.Expr) bool {
	switch e.Op {
	case condition.Const, condition.Prop, condition.Count:
		return true
	case condition.Neg, condition.Add, condition.Sub:
	case condition.Mul:
		if e.Args[0].Op != condition.Const && e.Args[1].Op != condition.Const {
			return false
		}
	case condition.Div:
		if e.Args[1].Op != condition.Const {
			return false
		}
	default:
		return false
	}
	return !slices.ContainsFunc(e.Args, func(a *condition.Expr) bool { return !linear(a) })
}

// agree tells whether two numbers can both be right: no further apart than k
// times the uncertainty of their difference. Without uncertainty they must meet,
// and not at an end that is left out.
func (w *World) agree(a, b measure.Number) bool {
	d := a.Sub(b)
	equal := 1e-9 * max(finite(a.Lo), finite(a.Hi), finite(b.Lo), finite(b.Hi))
	if len(a.Terms)+len(b.Terms) == 0 && (d.LoOpen && d.Lo > -equal || d.HiOpen && d.Hi < equal) {
		return false
	}
	apart := max(d.Lo, -d.Hi)
	return apart <= 0 || apart < equal || apart <= w.Facts.K*d.U()+equal
}
