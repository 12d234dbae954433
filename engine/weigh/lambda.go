package weigh

import "math"

// Lambda is the likelihood ratio of the evidence for a finding, the prior left
// out:
//
//	λ = P(evidence | finding) / P(evidence | no finding),  0 ≤ λ ≤ +∞
//
// [Seen] when it is observed, [Absent] when it is looked for and absent, [Open]
// when nothing is known; anything between for a finding that is only weighed.
// It has no unit and is never NaN.
type Lambda = float64

const (
	Absent Lambda = 0 // looked for and not there
	Open   Lambda = 1 // nothing known
)

// Seen is the λ of what is observed, +∞.
var Seen Lambda = math.Inf(1)

// And is the least of ls, and Seen for none: a condition is no better supported
// than its weakest part. Cautious, not exact.
func And(ls ...Lambda) Lambda {
	least := Seen
	for _, l := range ls {
		if l < least {
			least = l
		}
	}
	return least
}

// Or is the greatest of ls, and Absent for none. Cautious, not exact.
func Or(ls ...Lambda) Lambda {
	greatest := Absent
	for _, l := range ls {
		if l > greatest {
			greatest = l
		}
	}
	return greatest
}

// Not is 1/λ: what speaks for a finding speaks as much against its absence.
// What is neither seen nor absent never becomes either, even where 1/λ leaves
// the range of a float64.
func Not(l Lambda) Lambda {
	switch {
	case l == 0:
		return Seen
	case math.IsInf(l, 1):
		return Absent
	}
	if r := 1 / l; !math.IsInf(r, 1) {
		return r
	}
	return math.MaxFloat64
}

// AtLeast is the λ of "n or more of ls hold": the n-th greatest, n counted from
// 1. It is Seen for n ≤ 0 and Absent for n > len(ls). AtLeast(1) is Or,
// AtLeast(len(ls)) is And. ls is left as it is.
func AtLeast(n int, ls []Lambda) Lambda {
	if n <= 0 {
		return Seen
	}
	if n > len(ls) {
		return Absent
	}
	// The n greatest so far, greatest first. Counts in conditions are small.
	var few [16]Lambda
	top := few[:0]
	for _, l := range ls {
		at := len(top)
		for at > 0 && top[at-1] < l {
			at--
		}
		if at >= n {
			continue
		}
		if len(top) < n {
			top = append(top, 0)
		}
		copy(top[at+1:], top[at:])
		top[at] = l
	}
	return top[n-1]
}
