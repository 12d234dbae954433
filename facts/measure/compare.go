package measure

import (
	"math"

	"whyworn/facts/truth"
)

// Op is an inequality. Equality of measured numbers is not offered: DESIGN
// refuses it.
type Op uint8

const (
	Lt Op = iota // a < b
	Le           // a ≤ b
	Gt           // a > b
	Ge           // a ≥ b
)

// String is the sign as conditions write it.
func (op Op) String() string {
	switch op {
	case Lt:
		return "<"
	case Le:
		return "<="
	case Gt:
		return ">"
	case Ge:
		return ">="
	}
	return "op?"
}

// Reason tells why a comparison came out as it did.
type Reason uint8

const (
	Decided     Reason = iota // true or false
	Range                     // unknown: a partly known value lies on both sides
	Uncertainty               // unknown: undecided at this uncertainty
)

// String is a word for logs and tests.
func (r Reason) String() string {
	switch r {
	case Decided:
		return "decided"
	case Range:
		return "partly known"
	case Uncertainty:
		return "undecided at this uncertainty"
	}
	return "reason?"
}

// Comparison is the outcome of [Compare].
type Comparison struct {
	Truth  truth.Truth
	Reason Reason
	// U is the standard uncertainty of the difference a − b, in base units.
	U float64
	// UThatWouldDecide is the largest standard uncertainty of the difference at
	// which the comparison would be decided, in base units; 0 when none would or
	// it is decided, or when the range is the reason.
	UThatWouldDecide float64
	// NoUncertainty: neither side came with an uncertainty; such a decision is
	// marked.
	NoUncertainty bool
}

// RelativeEqual is the part of the largest number entering a comparison below
// which two numbers are equal.
const RelativeEqual = 1e-9

// Equalish tells whether a and b differ by less than 1e-9 of the largest
// number entering the comparison: |a|, |b| or scale.
func Equalish(a, b, scale float64) bool {
	return a == b || math.Abs(a-b) < tolerance(a, b, scale)
}

func tolerance(a, b, scale float64) float64 {
	return RelativeEqual * max(finite(a), finite(b), finite(scale))
}

func finite(x float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return 0
	}
	return math.Abs(x)
}

// Compare decides a op b outside the guard band k·u, u the standard uncertainty
// of a − b with shared sources cancelled. k is the coverage factor the
// inspection states. A value on the edge of the band is outside. A range is
// decided when all of it is decided alike. It does not allocate.
func Compare(op Op, a, b Number, k float64) Comparison {
	return CompareScaled(op, a, b, k, 0)
}

// CompareScaled is Compare with the largest number that entered a and b before
// they were computed, for the tolerance of [Equalish].
func CompareScaled(op Op, a, b Number, k, scale float64) Comparison {
	out := Comparison{NoUncertainty: a.Terms == nil && b.Terms == nil}
	if !out.NoUncertainty {
		var sum float64
		for w := (termWalk{a: a.Terms, b: b.Terms}); w.next(); {
			d := w.ua - w.ub
			sum += d * d
		}
		out.U = math.Sqrt(sum)
	}
	tol := RelativeEqual * max(finite(a.Lo), finite(a.Hi), finite(b.Lo), finite(b.Hi), finite(scale))
	lo := end{a.Lo - b.Hi, a.LoOpen || b.HiOpen}
	hi := end{a.Hi - b.Lo, a.HiOpen || b.LoOpen}
	if math.IsNaN(lo.x) || math.IsNaN(hi.x) || math.IsNaN(out.U) {
		out.Reason = Range
		return out
	}

	// What all of the range says by itself, without uncertainty, and how far its
	// nearest end lies from the limit.
	bare, distance := truth.Unknown, 0.0
	strict, other := op == Gt || op == Lt, truth.Of(op == Le || op == Ge)
	near, far := lo, hi // the ends that decide for and against "over"
	if op == Lt || op == Ge {
		near, far = end{-hi.x, hi.open}, end{-lo.x, lo.open}
	}
	switch {
	case clearlyOver(near, tol):
		bare, distance = truth.Of(strict), near.x
	case notOver(far, tol):
		bare, distance = other, -far.x
	}
	if bare == truth.Unknown {
		out.Reason = Range
		return out
	}
	distance = max(distance, 0)
	if out.U > 0 && distance < k*out.U-tol {
		out.Reason = Uncertainty
		if k > 0 {
			out.UThatWouldDecide = distance / k
		}
		return out
	}
	out.Truth = bare
	return out
}

// clearlyOver tells whether all beyond a low end is over zero and not equal to
// it; an open end is itself left out.
func clearlyOver(low end, tol float64) bool {
	if low.open {
		return low.x >= 0 || low.x > -tol
	}
	return low.x > 0 && low.x >= tol
}

// notOver tells whether all up to a high end is under zero or equal to it.
func notOver(high end, tol float64) bool { return high.x <= 0 || high.x < tol }
