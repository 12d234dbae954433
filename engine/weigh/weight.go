package weigh

import (
	"math"
	"strconv"
)

// Weight is a weight of evidence, 10·log10 of a likelihood ratio, in units of
// 1e-9 deciban; above 0 it speaks for a finding, below 0 against it. Each clue
// is rounded to this unit once and sums are sums of integers, so that neither
// the order of the clues nor the machine's floating point shows in a result.
// The rounding moves a sum by at most half a unit for each clue.
type Weight int64

// Deciban is one deciban as a Weight.
const Deciban Weight = 1_000_000_000

// MaxWeight bounds what one clue can weigh, either way: 4000 decibans, more
// than any ratio of two float64 frequencies other than 0 and 1 can reach in a
// pack. It stands in for the infinite weight of a frequency of 0 or 1, which the
// checks of a pack refuse, and keeps two million such clues from overflowing.
const MaxWeight = 4000 * Deciban

// Decibans is w in decibans.
func (w Weight) Decibans() float64 { return float64(w) / float64(Deciban) }

// Abs is how heavy w is, whichever way it speaks.
func (w Weight) Abs() Weight {
	if w < 0 {
		return -w
	}
	return w
}

// String is w in decibans with its sign and one decimal, rounded half away from
// zero: "+3.0", "-12.5"; what rounds to zero is "0.0". The unit is the caller's
// to add.
func (w Weight) String() string {
	const tenth = Deciban / 10
	n := int64((w.Abs() + tenth/2) / tenth)
	if n == 0 {
		return "0.0"
	}
	sign := "+"
	if w < 0 {
		sign = "-"
	}
	return sign + strconv.FormatInt(n/10, 10) + "." + strconv.FormatInt(n%10, 10)
}

// FromDecibans rounds decibans to a Weight, bounded by ±[MaxWeight]. NaN is 0.
func FromDecibans(db float64) Weight {
	switch {
	case db != db:
		return 0
	case db >= MaxWeight.Decibans():
		return MaxWeight
	case db <= -MaxWeight.Decibans():
		return -MaxWeight
	}
	return Weight(math.Round(db * float64(Deciban)))
}

// FromRatio is the weight of a likelihood ratio, 10·log10(lr), lr ≥ 0.
func FromRatio(lr float64) Weight { return FromDecibans(decibansOf(lr, 1)) }

// Ratio is the likelihood ratio of a summed weight, 10^(w/10): the λ a weighed
// finding hands on to the clues that ask for it. However heavy w is, the ratio
// stays within 1e±300: weighing alone never makes a finding seen or absent.
func (w Weight) Ratio() Lambda {
	return math.Pow(10, min(max(w.Decibans()/10, -300), 300))
}

// Clue is what a yes/no sign of likelihood ratio l adds to a cause:
//
//	10·log10( (p·λ + 1 − p) / (q·λ + 1 − q) )  decibans
//
// p is how often the sign shows when the cause is there (when_so), q how often
// it shows without it (otherwise), both in (0, 1). Seen gives p/q, Absent
// (1−p)/(1−q), Open exactly 0. Clue(p, q, l) and Clue(q, p, l) are exact
// opposites.
//
// Formula: Bayes' rule for evidence on the sign that depends on the cause only
// through the sign (Pearl 1988, § 2.2, from memory).
func Clue(p, q float64, l Lambda) Weight { return FromDecibans(ClueDecibans(p, q, l)) }

// ClueDecibans is [Clue] before it is rounded.
func ClueDecibans(p, q float64, l Lambda) float64 {
	switch {
	case l == Open:
		return 0
	case l == Absent:
		return decibansOf(1-p, 1-q)
	case math.IsInf(l, 1):
		return decibansOf(p, q)
	}
	// The conversions forbid fusing multiply and add, which would make the last
	// digit depend on the processor.
	return decibansOf(float64(p*l)+(1-p), float64(q*l)+(1-q))
}

// ChoiceClue is what a sign that is one of several choices adds to a cause:
//
//	10·log10( Σ p_k / Σ q_k )  decibans, k over the choices still possible
//
// pk and qk give for each choice how often it shows with the cause and without
// it, each summing to 1; bit k of possible is set when choice k is not ruled
// out. One bit is a sign fully known; all bits, or no bit (which contradicts
// itself), weigh 0. At most 64 choices; pk and qk are of equal length.
func ChoiceClue(pk, qk []float64, possible uint64) Weight {
	var p, q float64
	n := 0
	for k := range pk {
		if possible>>k&1 != 0 {
			p += pk[k]
			q += qk[k]
			n++
		}
	}
	if n == 0 || n == len(pk) {
		return 0
	}
	return FromDecibans(decibansOf(p, q))
}

// decibansOf is 10·log10(a/b), a and b ≥ 0, exactly antisymmetric in a and b.
// 0/0 says nothing for or against and is 0.
func decibansOf(a, b float64) float64 {
	if a == b {
		return 0
	}
	if a < b {
		return -decibansOf(b, a)
	}
	return 10 * math.Log10(a/b)
}
