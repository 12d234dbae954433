package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
	"whyworn/facts/truth"
)

func drawNumber(t *rapid.T, label string) Number {
	x := rapid.Float64Range(-100, 100).Draw(t, label)
	var terms []Term
	for range rapid.IntRange(0, 3).Draw(t, label+" terms") {
		terms = append(terms, Term{int32(rapid.IntRange(1, 4).Draw(t, label+" source")), rapid.Float64Range(-0.01, 0.01).Draw(t, label+" u")})
	}
	return Reading(x, terms...)
}

// x − x has no uncertainty left, by the operation and by propagation.
func TestSharedInputCancels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawNumber(t, "x")
		d := x.Sub(x)
		if d.U() != 0 || d.Lo != 0 || d.Hi != 0 || d.Terms == nil {
			t.Fatalf("x − x = %+v", d)
		}
		p, ok := Propagate([]Number{x, x}, func(v []float64) (float64, bool) { return v[0] - v[1], true })
		if !ok || p.U() != 0 {
			t.Fatalf("x − x by moves = %+v", p)
		}
	})
}

// What cancels on a way round leaves nothing, though decimals are rounded on it:
// 0.1 + 0.2 − 0.2 − 0.1 is 2.8e-17 in binary.
func TestCancelledTermsLeaveNoDust(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) Number {
			return Reading(1, Term{1, float64(rapid.IntRange(1, 1000).Draw(t, label)) / 1000})
		}
		x, y := draw("x"), draw("y")
		if d := x.Add(y).Sub(y).Sub(x); d.U() != 0 || d.Terms == nil {
			t.Fatalf("x + y − y − x = %+v", d)
		}
		// what is small and has not cancelled stays
		small := Reading(1, Term{1, 1e-9 * x.Terms[0].U})
		if d := x.Add(small).Sub(x); d.U() == 0 {
			t.Fatalf("x + s − x = %+v", d)
		}
	})
}

// The operations on numbers and propagation by moves are two ways to one result.
func TestOperationsAgreeWithPropagation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawNumber(t, "a"), drawNumber(t, "b")
		if math.Abs(b.Lo) < 1 {
			b = b.Add(Exact(3))
		}
		quotient, ok := a.Div(b)
		if !ok {
			t.Skip("divisor near zero")
		}
		for name, c := range map[string]struct {
			direct Number
			f      func(x, y float64) float64
		}{
			"add": {a.Add(b), func(x, y float64) float64 { return x + y }},
			"sub": {a.Sub(b), func(x, y float64) float64 { return x - y }},
			"mul": {a.Mul(b), func(x, y float64) float64 { return x * y }},
			"div": {quotient, func(x, y float64) float64 { return x / y }},
			"neg": {a.Neg(), func(x, y float64) float64 { return -x }},
		} {
			moved, ok := Propagate([]Number{a, b}, func(v []float64) (float64, bool) { return c.f(v[0], v[1]), true })
			if !ok {
				t.Fatalf("%s: not propagated", name)
			}
			if moved.Lo != c.direct.Lo || math.Abs(moved.U()-c.direct.U()) > 1e-12*(1+math.Abs(moved.Lo)) {
				t.Fatalf("%s: %v u %v by moves, %v u %v directly", name, moved.Lo, moved.U(), c.direct.Lo, c.direct.U())
			}
		}
	})
}

// A range holds every value its operands can take.
func TestRangesHoldAllValues(t *testing.T) {
	drawRange := func(t *rapid.T, label string) (Number, float64) {
		a := rapid.Float64Range(-10, 10).Draw(t, label+" a")
		b := rapid.Float64Range(-10, 10).Draw(t, label+" b")
		n := Between(min(a, b), max(a, b))
		inside := n.Lo + rapid.Float64Range(0, 1).Draw(t, label+" at")*(n.Hi-n.Lo)
		switch rapid.IntRange(0, 3).Draw(t, label+" kind") {
		case 0:
			n.Hi = math.Inf(1)
		case 1:
			n.Lo = math.Inf(-1)
		}
		return n, max(n.Lo, min(n.Hi, inside))
	}
	rapid.Check(t, func(t *rapid.T) {
		a, x := drawRange(t, "a")
		b, y := drawRange(t, "b")
		holds := func(name string, n Number, v float64) {
			slack := 1e-12 * (1 + math.Abs(v))
			if math.IsNaN(n.Lo) || math.IsNaN(n.Hi) || v < n.Lo-slack || v > n.Hi+slack {
				t.Fatalf("%s: %v from %v, %v is outside %+v (operands %+v %+v)", name, v, x, y, n, a, b)
			}
		}
		holds("add", a.Add(b), x+y)
		holds("sub", a.Sub(b), x-y)
		holds("mul", a.Mul(b), x*y)
		holds("neg", a.Neg(), -x)
		holds("scale", a.Scale(-2), -2*x)
		if q, ok := a.Div(b); ok {
			holds("div", q, x/y)
		} else if b.Lo > 0 || b.Hi < 0 {
			t.Fatalf("no quotient by %+v", b)
		}
	})
}

func TestOpenEnds(t *testing.T) {
	over5 := Number{Lo: 5, Hi: math.Inf(1), LoOpen: true}
	under0 := Number{Lo: math.Inf(-1), Hi: 0, HiOpen: true}
	for _, c := range []struct {
		name string
		op   Op
		a, b Number
		want truth.Truth
	}{
		{"over 5 > 5", Gt, over5, Exact(5), truth.True},
		{"over 5 >= 5", Ge, over5, Exact(5), truth.True},
		{"over 5 <= 5", Le, over5, Exact(5), truth.False},
		{"over 5 < 5", Lt, over5, Exact(5), truth.False},
		{"over 5 > 6", Gt, over5, Exact(6), truth.Unknown},
		{"at least 5 > 5", Gt, Number{Lo: 5, Hi: math.Inf(1)}, Exact(5), truth.Unknown},
		{"at least 5 >= 5", Ge, Number{Lo: 5, Hi: math.Inf(1)}, Exact(5), truth.True},
		{"under 0 < 0", Lt, under0, Exact(0), truth.True},
		{"under 0 >= 0", Ge, under0, Exact(0), truth.False},
		{"2·over 5 > 10", Gt, over5.Scale(2), Exact(10), truth.True},
		{"−over 5 < −5", Lt, over5.Neg(), Exact(-5), truth.True},
		{"over 5 · 1..2 > 5", Gt, over5.Mul(Between(1, 2)), Exact(5), truth.True},
		{"over 5 − under 0 > 5", Gt, over5.Sub(under0), Exact(5), truth.True},
		{"1.41..1.43 < 1.5", Lt, Between(1.41, 1.43), Exact(1.5), truth.True},
		{"1.41..1.43 < 1.42", Lt, Between(1.41, 1.43), Exact(1.42), truth.Unknown},
	} {
		got := Compare(c.op, c.a, c.b, 2)
		if got.Truth != c.want {
			t.Errorf("%s: %v", c.name, got.Truth)
		}
		if (got.Truth == truth.Unknown) != (got.Reason == Range) {
			t.Errorf("%s: reason %v", c.name, got.Reason)
		}
	}
	one := Between(1, 1)
	if q, ok := one.Div(over5); !ok || q.Lo != 0 || !q.LoOpen || q.Hi != 0.2 || !q.HiOpen {
		t.Errorf("1 / over 5 = %+v, %v", q, ok)
	}
	if q, ok := over5.Neg().Div(under0); !ok || q.Lo != 0 || !math.IsInf(q.Hi, 1) {
		t.Errorf("−over 5 / under 0 = %+v, %v", q, ok)
	}
	if _, ok := one.Div(Between(-1, 1)); ok {
		t.Error("divided by a range over zero")
	}
	if _, ok := one.Div(Reading(0.1, Term{1, 0.2})); ok {
		t.Error("a move of the divisor reaches zero, and still a quotient")
	}
}

// Propagation against Monte Carlo (JCGM 101), 200 000 draws, fixed seed. The
// tolerance is 2 %: the sampling error of a standard deviation from 200 000
// draws is 0.16 %, the rest is what first order may miss at these sizes.
func TestPropagationAgainstMonteCarlo(t *testing.T) {
	const draws = 200_000
	// Sources: 1 the instrument, shared; 10… one for each reading. Source 1 has a
	// sensitivity of −1 in the last input.
	in := []Number{
		Reading(14.902, Term{1, 0.002}, Term{10, 0.001}),
		Reading(14.970, Term{1, 0.002}, Term{11, 0.0015}),
		Reading(15.021, Term{2, 0.003}, Term{12, 0.001}),
		Reading(7.5, Term{1, -0.002}, Term{13, 0.004}),
	}
	for name, f := range map[string]func(x []float64) (float64, bool){
		"sum":           func(x []float64) (float64, bool) { return x[0] + x[1] + x[3], true },
		"difference":    func(x []float64) (float64, bool) { return x[2] - x[1], true },
		"shared cancel": func(x []float64) (float64, bool) { return x[1] - x[0], true },
		"product":       func(x []float64) (float64, bool) { return x[0] * x[3], true },
		"quotient":      func(x []float64) (float64, bool) { return x[2] / x[3], x[3] != 0 },
		"square root":   func(x []float64) (float64, bool) { return math.Sqrt(x[0]*x[0] + x[3]*x[3]), true },
		"max less min": func(x []float64) (float64, bool) {
			return max(x[0], x[1], x[2]) - min(x[0], x[1], x[2]), true // ends far apart against u
		},
	} {
		got, ok := Propagate(in, f)
		if !ok {
			t.Fatalf("%s: not propagated", name)
		}
		rng := rand.New(rand.NewPCG(20261112, 7))
		x := make([]float64, len(in))
		var mean, m2 float64
		for n := range draws {
			z := map[int32]float64{}
			for i, v := range in {
				x[i] = v.Lo
				for _, term := range v.Terms {
					if _, drawn := z[term.Source]; !drawn {
						z[term.Source] = rng.NormFloat64()
					}
					x[i] += z[term.Source] * term.U
				}
			}
			y, _ := f(x)
			d := y - mean
			mean += d / float64(n+1)
			m2 += d * (y - mean)
		}
		sd := math.Sqrt(m2 / (draws - 1))
		if math.Abs(got.U()/sd-1) > 0.02 {
			t.Errorf("%s: u = %g by moves, %g by Monte Carlo", name, got.U(), sd)
		}
		if math.Abs(got.Lo-mean) > 5*sd/math.Sqrt(draws)+1e-6 {
			t.Errorf("%s: value %g, mean of draws %g", name, got.Lo, mean)
		}
	}
}

func TestPropagationLeavesDomain(t *testing.T) {
	root := func(x []float64) (float64, bool) { return math.Sqrt(x[0]), x[0] >= 0 }
	if _, ok := Propagate([]Number{Reading(0.001, Term{1, 0.002})}, root); ok {
		t.Error("a move below zero still has a root")
	}
	if n, ok := Propagate([]Number{Reading(0.003, Term{1, 0.002})}, root); !ok || math.Abs(n.U()-(math.Sqrt(0.003)-math.Sqrt(0.001))) > 1e-12 {
		t.Errorf("the larger change is the downward one, got %v, %v", n, ok)
	}
	if _, ok := Propagate([]Number{Between(1, 2)}, root); ok {
		t.Error("a range without a declared direction gave a result")
	}
	if n, ok := PropagateRange([]Number{Between(4, 9)}, []Direction{Up}, root); !ok || n.Lo != 2 || n.Hi != 3 {
		t.Errorf("root of 4 to 9: %+v, %v", n, ok)
	}
	inverse := func(x []float64) (float64, bool) { return 1 / x[0], x[0] > 0 }
	if n, ok := PropagateRange([]Number{{Lo: 5, Hi: math.Inf(1), LoOpen: true}}, []Direction{Down}, inverse); !ok || n.Lo != 0 || n.Hi != 0.2 {
		t.Errorf("1 / over 5: %+v, %v", n, ok)
	}
	if _, ok := PropagateRange([]Number{Between(1, 2)}, []Direction{Up}, inverse); ok {
		t.Error("a function declared the wrong way round gave a result")
	}
}

// Nothing without uncertainty allocates.
func TestExactNumbersDoNotAllocate(t *testing.T) {
	mm := mustUnit(t, "mm")
	a, b := Exact(12.05), Exact(12)
	with := Reading(12.05, Term{1, 0.001})
	var sink Number
	if n := testing.AllocsPerRun(100, func() {
		sink = a.Add(b).Sub(a).Mul(b).Scale(3).Neg()
		sink, _ = sink.Div(b)
		_ = Compare(Gt, a, b, 2)
		_ = Compare(Gt, with, b, 2)
		_ = mm.ToBase(3)
		_ = with.U()
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
	_ = sink
}

func BenchmarkCompareWithTerms(b *testing.B) {
	x, y := Reading(12.05, Term{1, 0.001}, Term{2, 0.002}), Reading(12, Term{1, 0.001}, Term{3, 0.002})
	for b.Loop() {
		Compare(Gt, x, y, 2)
	}
}

func BenchmarkUnitOf(b *testing.B) {
	for b.Loop() {
		UnitOf("kg/m3")
	}
}
