package check

import (
	"math"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// outcome is how a comparison of numbers came out.
type outcome struct {
	state   truth.Truth
	u       float64 // of the difference
	needed  float64 // the u that would decide it
	given   bool    // some uncertainty was given
	withinU bool    // unknown for its uncertainty alone
}

// compare decides left op right outside the guard band of k times the
// uncertainty of the difference, both sides moved together.
func (c place) compare(e *condition.Expr) (out outcome) {
	a, b := e.Args[0], e.Args[1]
	x, ok := c.span(a)
	y, alike := c.span(b)
	if !ok || !alike {
		return out
	}
	// Beside a side that is not known, the uncertainty of the other is told.
	if isAnything(x) || isAnything(y) {
		for _, side := range e.Args {
			if n, known := c.number(side); known && side.Op == condition.Prop {
				out.u = n.U()
			}
		}
		return out
	}
	terms, ok := c.moves(func(m move) float64 { return c.point(a, m) - c.point(b, m) }, a, b)
	if !ok {
		return out
	}
	out.u, out.given = measure.Number{Terms: terms}.U(), terms != nil
	return decide(e.Op, x, y, out, c.f.K, max(c.largest(a), c.largest(b)))
}

// decide compares two ranges: numbers that differ by less than 1e-9 of the
// largest that enters are equal.
func decide(op condition.Op, x, y measure.Number, out outcome, k, largest float64) outcome {
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
		out.state, distance = truth.Of(strict), lo
	case hi <= 0 || hi < equal:
		out.state, distance = truth.Of(!strict), -hi
	default:
		return out
	}
	if distance = max(distance, 0); out.u > 0 && distance < k*out.u-equal {
		out.state, out.withinU, out.needed = truth.Unknown, true, distance/k
	}
	return out
}

// largest is the largest number that enters an expression.
func (c place) largest(e *condition.Expr) float64 {
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
		list, _ := c.list(e.Args[0])
		for _, m := range list {
			out = max(out, c.in(m.part).largest(e.Args[1]))
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

// agree tells whether two numbers are compatible: neither surely over the other.
func (w *world) agree(a, b measure.Number) bool {
	d := a.Sub(b)
	at := outcome{u: d.U(), given: d.Terms != nil}
	return decide(condition.Gt, a, b, at, w.f.K, 0).state != truth.True && decide(condition.Lt, a, b, at, w.f.K, 0).state != truth.True
}
