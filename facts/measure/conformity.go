package measure

import "math"

// Coverage factors k of the guard band k·u.
const (
	// GuardISO14253Of1998 is the guard band of ISO 14253-1:1998: the whole
	// expanded uncertainty U = 2 u. It is what an inspection uses unless it
	// states another.
	GuardISO14253Of1998 = 2.0
	// GuardISO14253Of2017 is the default of ISO 14253-1:2017: 1.65 u, a
	// probability of conformity of at least 95 % on the edge of the acceptance
	// zone. (From memory of the standard; the published rows are in testdata.)
	GuardISO14253Of2017 = 1.65
)

// ConformityProbability is the probability that the true value lies within
// [lo, hi], for a normal distribution about the value x with standard
// uncertainty u (all in one unit; lo or hi may be infinite):
//
//	p = Φ((hi − x)/u) − Φ((lo − x)/u)
//
// With u = 0 it is 1 inside, ends included, and 0 outside. NaN for u < 0.
// Source: JCGM 106:2012, 7.2 to 7.4; no prior knowledge of the process enters.
func ConformityProbability(x, u, lo, hi float64) float64 {
	switch {
	case math.IsNaN(x) || math.IsNaN(lo) || math.IsNaN(hi) || !(u >= 0):
		return math.NaN()
	case lo > hi:
		return 0
	case u == 0:
		if x >= lo && x <= hi {
			return 1
		}
		return 0
	}
	a, b := (lo-x)/u, (hi-x)/u
	if a > 0 { // both in the upper tail: subtract the small ones
		return upperTail(a) - upperTail(b)
	}
	return upperTail(-b) - upperTail(-a)
}

// upperTail is 1 − Φ(z).
func upperTail(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// Shapes of knowledge about an input, as standard uncertainty from a half
// width a (JCGM 100:2008, 4.3.7, 4.3.9 and H.1.3.4).

// UOfRectangular is a/√3: anywhere within ±a, equally likely.
func UOfRectangular(a float64) float64 { return a / math.Sqrt(3) }

// UOfArcsine is a/√2: swinging between −a and +a like a sine.
func UOfArcsine(a float64) float64 { return a / math.Sqrt2 }

// UOfResolution is the standard uncertainty from a display step: half a step
// to each side, rectangular, 0.29 × step (JCGM 100:2008, F.2.2.1).
func UOfResolution(step float64) float64 { return UOfRectangular(step / 2) }

// UOfExpanded is U/k: a certificate's expanded uncertainty U with its coverage
// factor k.
func UOfExpanded(expanded, k float64) float64 { return expanded / k }
