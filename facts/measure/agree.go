package measure

import "math"

// Agree tells whether two accounts of one quantity, say one observed and one
// computed, agree: whether some value of a and some value of b differ by no
// more than k·u, u the standard uncertainty of a − b with shared sources
// cancelled. Without uncertainty they agree when equal by the tolerance of
// [Equalish]. u is returned in base units.
func Agree(a, b Number, k float64) (agree bool, u float64) {
	var sum float64
	for w := (termWalk{a: a.Terms, b: b.Terms}); w.next(); {
		d := w.ua - w.ub
		sum += d * d
	}
	u = math.Sqrt(sum)
	tol := RelativeEqual * max(finite(a.Lo), finite(a.Hi), finite(b.Lo), finite(b.Hi))
	gap := max(a.Lo-b.Hi, b.Lo-a.Hi) // 0 or less where the ranges meet
	return gap <= 0 || gap < tol || gap <= k*u+tol, u
}
