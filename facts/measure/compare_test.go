package measure

import (
	"math"
	"testing"

	"pgregory.net/rapid"
	"whyworn/facts/truth"
)

func TestDecimalsAsWritten(t *testing.T) {
	play := Exact(12.05).Sub(Exact(12.00))
	limit := Exact(0.05)
	for op, want := range map[Op]truth.Truth{Gt: truth.False, Ge: truth.True, Lt: truth.False, Le: truth.True} {
		if got := CompareScaled(op, play, limit, 2, 12.05); got.Truth != want || !got.NoUncertainty {
			t.Errorf("12.05 − 12.00 %s 0.05: %+v", op, got)
		}
		if got := Compare(op, play, limit, 2); got.Truth != want {
			t.Errorf("12.05 − 12.00 %s 0.05 without scale: %+v", op, got)
		}
	}
	if Compare(Gt, Exact(12.06).Sub(Exact(12)), limit, 2).Truth != truth.True {
		t.Error("12.06 − 12.00 is over 0.05")
	}
	// Where much cancels, only the scale tells rounding from a difference.
	rounded := Exact(1e6 + 0.05).Sub(Exact(1e6))
	if got := CompareScaled(Ge, rounded, limit, 2, 1e6); got.Truth != truth.True {
		t.Errorf("1000000.05 − 1000000 >= 0.05: %+v", got)
	}
}

// Less than 1e-9 of the largest number is equal, 1e-9 of it is not.
func TestEqualishEdge(t *testing.T) {
	for _, c := range []struct {
		a, b, scale float64
		want        bool
	}{
		{0, 0, 0, true},
		{1, 1, 0, true},
		{0, 1e-10, 0, false},
		{0, 1e-10, 1, true},
		{1e9, 1e9 + 0.5, 0, true},
		{1e9, 1e9 + 2, 0, false},
		{math.Inf(1), math.Inf(1), 0, true},
		{1, math.Inf(1), 0, false},
	} {
		if got := Equalish(c.a, c.b, c.scale); got != c.want {
			t.Errorf("Equalish(%g, %g, %g) = %v", c.a, c.b, c.scale, got)
		}
	}
}

func TestGuardBand(t *testing.T) {
	limit := Exact(0.05)
	for _, c := range []struct {
		x, u   float64
		truth  truth.Truth // of x > limit
		reason Reason
		needed float64
	}{
		{0.060, 0.003, truth.True, Decided, 0},
		{0.056, 0.003, truth.True, Decided, 0}, // on the edge of the band
		{0.055, 0.003, truth.Unknown, Uncertainty, 0.0025},
		{0.045, 0.003, truth.Unknown, Uncertainty, 0.0025},
		{0.044, 0.003, truth.False, Decided, 0},
		{0.050, 0.003, truth.Unknown, Uncertainty, 0},
		{0.050, 0, truth.False, Decided, 0},
	} {
		got := Compare(Gt, Reading(c.x, Term{1, c.u}), limit, 2)
		if got.Truth != c.truth || got.Reason != c.reason || math.Abs(got.UThatWouldDecide-c.needed) > 1e-12 || got.NoUncertainty {
			t.Errorf("%g ± %g > 0.05: %+v", c.x, c.u, got)
		}
	}
	// A range over the limit is unknown because of the range, a range near it
	// because of the uncertainty.
	near := Between(0.052, 0.058)
	near.Terms = []Term{{1, 0.003}}
	if got := Compare(Gt, near, limit, 2); got.Reason != Uncertainty || math.Abs(got.UThatWouldDecide-0.001) > 1e-12 {
		t.Errorf("0.052 to 0.058 > 0.05: %+v", got)
	}
	near.Lo = 0.048
	if got := Compare(Gt, near, limit, 2); got.Reason != Range || got.UThatWouldDecide != 0 {
		t.Errorf("0.048 to 0.058 > 0.05: %+v", got)
	}
	// One instrument on both sides cancels.
	bore, shaft := Reading(15.021, Term{7, 0.02}), Reading(14.970, Term{7, 0.02})
	if got := Compare(Gt, bore, shaft, 2); got.Truth != truth.True || got.U != 0 {
		t.Errorf("one instrument on both sides: %+v", got)
	}
}

var ops = []Op{Lt, Le, Gt, Ge}

// A smaller uncertainty never undecides and never turns a decision round; the
// uncertainty named as sufficient is sufficient.
func TestGuardBandIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		op := rapid.SampledFrom(ops).Draw(t, "op")
		x := rapid.Float64Range(-1, 1).Draw(t, "x")
		width := rapid.SampledFrom([]float64{0, 0, 0.01, 0.3}).Draw(t, "width")
		k := rapid.SampledFrom([]float64{1, 1.65, 2, 3}).Draw(t, "k")
		u := rapid.Float64Range(0, 0.5).Draw(t, "u")
		smaller := u * rapid.Float64Range(0, 1).Draw(t, "part")
		limit := rapid.SampledFrom([]float64{0, 0.05, x}).Draw(t, "limit")
		at := func(u float64) Comparison {
			n := Number{Lo: x, Hi: x + width, Terms: []Term{{1, u}}}
			return Compare(op, n, Exact(limit), k)
		}
		wide, narrow := at(u), at(smaller)
		if wide.Truth != truth.Unknown && narrow.Truth != wide.Truth {
			t.Fatalf("u %g: %v, u %g: %v", u, wide.Truth, smaller, narrow.Truth)
		}
		if wide.UThatWouldDecide > 0 {
			if got := at(wide.UThatWouldDecide); got.Truth == truth.Unknown {
				t.Fatalf("u %g named as sufficient, still %+v", wide.UThatWouldDecide, got)
			}
			if got := at(wide.UThatWouldDecide*1.01 + 1e-8); got.Truth != truth.Unknown {
				t.Fatalf("u %g named as needed, decided at more: %+v", wide.UThatWouldDecide, got)
			}
		}
	})
}

// < and >=, > and <= are each other's negation, and a > b is b < a.
func TestComparisonsAreConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) Number {
			n := drawNumber(t, label)
			n.Lo = math.Round(n.Lo) / 10
			n.Hi = n.Lo + rapid.SampledFrom([]float64{0, 0, 1, math.Inf(1)}).Draw(t, label+" width")
			n.LoOpen = n.Lo < n.Hi && rapid.Bool().Draw(t, label+" open")
			return n
		}
		a, b := draw("a"), draw("b")
		k := 2.0
		lt, ge := Compare(Lt, a, b, k), Compare(Ge, a, b, k)
		gt, le := Compare(Gt, a, b, k), Compare(Le, a, b, k)
		if lt.Truth != truth.Not(ge.Truth) || gt.Truth != truth.Not(le.Truth) {
			t.Fatalf("< %v, >= %v; > %v, <= %v", lt, ge, gt, le)
		}
		if back := Compare(Lt, b, a, k); back != gt {
			t.Fatalf("a > b %+v, b < a %+v", gt, back)
		}
		if back := Compare(Le, b, a, k); back != ge {
			t.Fatalf("a >= b %+v, b <= a %+v", ge, back)
		}
	})
}

// A comparison is decided when every pair of values in the two ranges decides it
// alike, and they lie further apart than k times the uncertainty of their
// difference: tried pair by pair, ends on quarters, values on sixteenths.
func TestComparisonsAgreeWithEveryPair(t *testing.T) {
	holds := map[Op]func(x, y float64) bool{
		Lt: func(x, y float64) bool { return x < y }, Le: func(x, y float64) bool { return x <= y },
		Gt: func(x, y float64) bool { return x > y }, Ge: func(x, y float64) bool { return x >= y },
	}
	draw := func(t *rapid.T, label string) (n Number, values []float64) {
		lo := rapid.IntRange(-4, 4).Draw(t, label)
		hi := lo + rapid.SampledFrom([]int{0, 0, 1, 3}).Draw(t, label+" width")
		n = Number{Lo: float64(lo) / 4, Hi: float64(hi) / 4}
		if lo < hi {
			n.LoOpen, n.HiOpen = rapid.Bool().Draw(t, label+" low end open"), rapid.Bool().Draw(t, label+" high end open")
		}
		for i := 4 * lo; i <= 4*hi; i++ {
			if x := float64(i) / 16; (x > n.Lo || !n.LoOpen) && (x < n.Hi || !n.HiOpen) {
				values = append(values, x)
			}
		}
		if rapid.IntRange(0, 5).Draw(t, label+" unbounded") == 0 {
			n.Hi, n.HiOpen, values = math.Inf(1), false, append(values, n.Hi, n.Hi+1, 100)
		}
		for source := range int32(2) {
			if u := rapid.SampledFrom([]float64{0, 0, 0.03, 0.11}).Draw(t, label+" u"); u > 0 {
				n.Terms = append(n.Terms, Term{source, u})
			}
		}
		return n, values
	}
	of := func(n Number, source int32) (u float64) {
		for _, t := range n.Terms {
			if t.Source == source {
				u = t.U
			}
		}
		return u
	}
	rapid.Check(t, func(t *rapid.T) {
		a, xs := draw(t, "a")
		b, ys := draw(t, "b")
		op := rapid.SampledFrom(ops).Draw(t, "op")
		const k = 2
		yes, no := false, false
		for _, x := range xs {
			for _, y := range ys {
				yes, no = yes || holds[op](x, y), no || !holds[op](x, y)
			}
		}
		want := truth.Unknown
		apart := max(a.Lo-b.Hi, b.Lo-a.Hi, 0)
		u := math.Hypot(of(a, 0)-of(b, 0), of(a, 1)-of(b, 1))
		if yes != no && (u == 0 || apart >= k*u) {
			want = truth.Of(yes)
		}
		if got := Compare(op, a, b, k); got.Truth != want {
			t.Fatalf("%+v %v %+v is %v, pair by pair %v", a, op, b, got.Truth, want)
		}
	})
}

func TestConformityProbabilityEnds(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct{ x, u, lo, hi, want float64 }{
		{0, 1, -1, 1, 0.682689}, // the normal distribution's one, two and three sigma
		{0, 1, -2, 2, 0.954500},
		{0, 1, -3, 3, 0.997300},
		{5, 0, 0, 5, 1},
		{5.1, 0, 0, 5, 0},
		{0, 1, -inf, inf, 1},
		{0, 1, 1, -1, 0},
		{0, 1, 10, inf, 7.619853e-24}, // the far tail keeps its digits
	} {
		got := ConformityProbability(c.x, c.u, c.lo, c.hi)
		if math.Abs(got-c.want) > 1e-6*c.want {
			t.Errorf("p(%g ± %g in %g..%g) = %g, want %g", c.x, c.u, c.lo, c.hi, got, c.want)
		}
	}
	if !math.IsNaN(ConformityProbability(0, -1, 0, 1)) {
		t.Error("a negative uncertainty has a probability")
	}
}

func TestAgree(t *testing.T) {
	for _, c := range []struct {
		name string
		a, b Number
		want bool
	}{
		{"equal by the tolerance", Exact(12.05).Sub(Exact(12)), Exact(0.05), true},
		{"without uncertainty", Exact(0.05), Exact(0.051), false},
		{"within k u", Reading(0.05, Term{1, 0.003}), Reading(0.058, Term{2, 0.003}), true},             // u 0.00424, k u 0.0085
		{"beyond k u", Reading(0.05, Term{1, 0.003}), Reading(0.059, Term{2, 0.003}), false},            //
		{"shared sources cancel", Reading(0.05, Term{1, 0.003}), Reading(0.051, Term{1, 0.003}), false}, // u 0
		{"ranges that meet", Between(1.41, 1.43), Between(1.42, 1.5), true},
		{"ranges apart", Between(1.41, 1.43), Between(1.44, 1.5), false},
		{"a bound", Number{Lo: 5, Hi: math.Inf(1)}, Exact(7), true},
	} {
		if got, u := Agree(c.a, c.b, 2); got != c.want {
			t.Errorf("%s: %v, u %g", c.name, got, u)
		}
		if forth, _ := Agree(c.a, c.b, 2); forth != func() bool { back, _ := Agree(c.b, c.a, 2); return back }() {
			t.Errorf("%s: not the same both ways", c.name)
		}
	}
}
