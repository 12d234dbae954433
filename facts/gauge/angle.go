package gauge

import (
	"math"
	"slices"

	"whyworn/facts/measure"
)

// arc is the narrowest arc of a circle of that period that holds all angles:
// its start in [0, period) and its width. False unless it is narrower than half
// the circle: then no side is named.
func arc(angles []float64, period float64) (start, width float64, ok bool) {
	turned := make([]float64, 0, 16)
	for _, a := range angles {
		turned = append(turned, wrap(a, period))
	}
	slices.Sort(turned)
	turned = slices.Compact(turned)
	n := len(turned)
	if n == 0 {
		return 0, 0, false
	}
	if n == 1 {
		return turned[0], 0, true
	}
	widest, after := -1.0, 0 // the widest gap and where the arc starts after it
	for i := range turned {
		next := turned[(i+1)%n]
		if i == n-1 {
			next += period
		}
		if gap := next - turned[i]; gap > widest+1e-9 {
			widest, after = gap, (i+1)%n
		}
	}
	width = period - widest
	return turned[after], width, width < period/2-1e-9
}

func wrap(a, period float64) float64 {
	a = math.Mod(a, period)
	if a < 0 {
		a += period
	}
	if a >= period {
		a = 0
	}
	return a
}

// Turn is the turn after which readings at these angles repeat, in degrees: 180
// where all lie in [0, 180), as those of diameters do, else 360.
func Turn(angles []float64) float64 { return Layout{Angles: angles}.period() }

// Separation is how far two angles in degrees lie apart round a circle of that
// period, from 0 to period/2.
func Separation(a, b, period float64) float64 {
	d := wrap(a-b, period)
	return min(d, period-d)
}

// Apart is how far two angles lie apart round a circle of that period (180 for
// diameters, 360 for directions), in degrees from 0 to period/2. Where an angle
// is a range, all differences it allows. False for a range that is open to
// infinity.
func Apart(a, b measure.Number, period float64) (measure.Number, bool) {
	if !a.IsBounded() || !b.IsBounded() || !(period > 0) {
		return measure.Number{}, false
	}
	distance := func(d float64) float64 { return Separation(d, 0, period) }
	lo, hi := a.Lo-b.Hi, a.Hi-b.Lo // differences allowed, before turning
	at, to := distance(lo), distance(hi)
	out := measure.Between(min(at, to), max(at, to))
	// The distance falls to 0 at whole turns, rises to half a turn between.
	if math.Floor(hi/period) > math.Floor(lo/period) || wrap(lo, period) == 0 {
		out.Lo = 0
	}
	half := period / 2
	if math.Floor((hi-half)/period) > math.Floor((lo-half)/period) {
		out.Hi = half
	}
	if a.Terms != nil || b.Terms != nil {
		out.Terms = a.Sub(b).Terms
	}
	return out, true
}
