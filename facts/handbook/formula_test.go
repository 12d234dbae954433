package handbook

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// between01 draws evenly from lo to hi.
func draw(rt *rapid.T, label string, lo, hi float64) float64 {
	return lo + (hi-lo)*evenly(rapid.Uint64().Draw(rt, label))
}

// The law of propagation against Monte Carlo (JCGM 101) for small relative
// uncertainties, where both must agree.
func TestWearLifeUncertaintyAgainstMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, x := range []struct{ w, h, l, uw, uh, ul float64 }{
		{0.069, 2310, 0.10, 0.0007, 20, 0.0005}, {0.04, 800, 0.10, 0.0004, 0, 0}, {0.05, 1000, 0.2, 0, 15, 0}, {0.05, 1000, 0.2, 0, 0, 0.002},
	} {
		left, u := wearLife(x.w, x.h, x.l, x.uw, x.uh, x.ul)
		const n = 200000
		sum, square := 0.0, 0.0
		for range n {
			w, h, l := x.w+x.uw*r.NormFloat64(), x.h+x.uh*r.NormFloat64(), x.l+x.ul*r.NormFloat64()
			v := h * (l - w) / w
			sum, square = sum+v, square+v*v
		}
		mean := sum / n
		sd := math.Sqrt(square/n - mean*mean)
		if math.Abs(mean-left) > 0.02*u+4*u/math.Sqrt(n) || math.Abs(sd-u) > 0.02*u {
			t.Errorf("%+v: %v ± %v h, Monte Carlo %v ± %v", x, left, u, mean, sd)
		}
	}
}

// The pivot holds the moments: about the pushrod end the pivot force must
// balance the valve force, about the valve end the pushrod force.
func TestPivotForceBalancesTheArm(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		fv, r, theta := draw(rt, "force", 10, 2000), draw(rt, "ratio", 0.6, 2.5), draw(rt, "angle", -60, 60)
		a := ask(t, "rocker_pivot_force", "valve_force", plainNumber(fv), "ratio", plainNumber(r), "rod_angle", plainNumber(theta))
		// Arms at right angles to their forces, pivot at the origin: moments of
		// the two forces about it cancel, F_v · r = F_p · 1.
		if fp := a.in(t, "rod_force", "N"); !near(fp, fv*r, 1e-9) {
			rt.Fatalf("rod force %v", fp)
		}
		s, c := math.Sincos(theta * math.Pi / 180)
		f, dir := a.in(t, "pivot_force", "N"), a.in(t, "direction", "°")*math.Pi/180
		if math.Abs(f*math.Cos(dir)-fv-fv*r*c) > 1e-6*f || math.Abs(f*math.Sin(dir)-fv*r*s) > 1e-6*f {
			rt.Fatalf("the three forces do not add up to nothing")
		}
		if d := angleBetween(a.in(t, "worn_side", "°"), 180+dir*180/math.Pi); d > 1e-6 {
			rt.Fatalf("worn side is %v° from the side opposite the push", d)
		}
	})
}

// Clearance drift against coordinates: a rigid arm of lengths 1 and r, its
// pushrod end held, its pivot raised by Δ; the valve end rises by the drift.
func TestLashDriftAgainstCoordinates(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rod, r, d := draw(rt, "rod arm", 15, 40), draw(rt, "ratio", 1, 2), draw(rt, "growth", 0.01, 0.2)
		// pushrod end (−rod, 0), pivot (x, d) at distance rod from it, valve end
		// on the line through both at distance r·rod beyond the pivot.
		phi := math.Asin(d / rod)
		valve := d + r*rod*math.Sin(phi)
		got := ask(t, "rocker_lash_drift", "play_growth", plainNumber(d), "ratio", plainNumber(r)).in(t, "drift", "mm")
		if math.Abs(got-valve) > 1e-6*valve {
			rt.Fatalf("drift %v mm, coordinates %v", got, valve)
		}
	})
}

func TestAnglesGoRoundTheCircle(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := draw(rt, "a", -360, 360), draw(rt, "b", -360, 360)
		d := angleBetween(a, b)
		want := math.Acos(math.Cos((a-b)*math.Pi/180)) * 180 / math.Pi
		if math.Abs(d-want) > 1e-5 || math.Abs(angleBetween(a+360, b)-d) > 1e-9 || d != angleBetween(b, a) {
			rt.Fatalf("%v and %v: %v, by cosines %v", a, b, d, want)
		}
	})
}

// Walther's line goes through both its points, and a point read off it gives
// the same line again.
func TestWaltherGoesThroughItsPoints(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v1, v2 := draw(rt, "v1", 20, 600), draw(rt, "v2", 3, 18)
		at := func(celsius float64, c2, w2 float64) float64 {
			a := ask(t, "viscosity_walther", "temperature", plainNumber(celsius), "v1", plainNumber(v1), "t2", plainNumber(c2), "v2", plainNumber(w2))
			return a.in(t, "viscosity", "mm²/s")
		}
		if !near(at(40, 100, v2), v1, 1e-9) || !near(at(100, 100, v2), v2, 1e-9) {
			rt.Fatal("the line misses its points")
		}
		if v := at(70, 100, v2); !near(at(100, 70, v), v2, 1e-8) {
			rt.Fatal("the line through a read-off point is another")
		}
	})
}

// The coefficients of ISO 2909 join at their bounds, and by definition the
// reference oils have the indices 0 and 100. Continuity is held to 0.2 % of L
// or H; the standard's coefficients are rounded.
func TestViscosityIndexReferenceOils(t *testing.T) {
	for i, r := range viTable[:len(viTable)-1] {
		next := viTable[i+1]
		for _, c := range [][6]float64{{r.a, r.b, r.c, next.a, next.b, next.c}, {r.d, r.e, r.f, next.d, next.e, next.f}} {
			y := r.upTo
			below, above := (c[0]*y+c[1])*y+c[2], (c[3]*y+c[4])*y+c[5]
			if !near(below, above, 0.001) {
				t.Errorf("at %v mm²/s: %v from below, %v from above", y, below, above)
			}
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		y := draw(rt, "y", 2.5, 100)
		l, h := viReference(y)
		if l <= h || h <= y {
			rt.Fatalf("Y %v: L %v, H %v", y, l, h)
		}
		if v := viscosityIndex(l, y, l, h); math.Abs(v) > 1e-9 {
			rt.Fatalf("the reference oil of index 0 has %v", v)
		}
		if v := viscosityIndex(h, y, l, h); math.Abs(v-100) > 1e-9 {
			rt.Fatalf("the reference oil of index 100 has %v", v)
		}
		if a, b := viscosityIndex(h*(1+1e-9), y, l, h), viscosityIndex(h*(1-1e-9), y, l, h); math.Abs(a-b) > 1e-3 {
			rt.Fatalf("procedures A and B do not join: %v and %v", a, b)
		}
	})
}

// Thin and exact annulus agree as the gap closes; the thin one is taken at the
// mean diameter.
func TestThinAnnulusIsTheLimitOfTheExact(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, rel := draw(rt, "radius", 0.005, 0.05), draw(rt, "gap", 0.002, 0.02)
		b := a * (1 - rel)
		exact, thin := annularFlowExact(a, b, 1e5, 0.01, 0.02), annularFlow(a+b, a-b, 1e5, 0.01, 0.02, 0)
		if math.Abs(exact/thin-1) > 0.05*rel*rel+1e-6 {
			rt.Fatalf("exact %v, thin %v at gap/radius %v", exact, thin, rel)
		}
	})
}

// Two other forms of Hertz: p0 = 2 P'/(π b) for a line, p0 = (6 F E*²/(π³ R²))^(1/3)
// for a point.
func TestHertzOtherForms(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		f, r, e := draw(rt, "load", 1, 2000), draw(rt, "radius", 2, 100), draw(rt, "modulus", 3e4, 2e5)
		if b, p0, _ := hertzLine(f, r, e); !near(p0, 2*f/(math.Pi*b), 1e-12) {
			rt.Fatalf("line %v", p0)
		}
		if _, p0 := hertzPoint(f, r, e); !near(p0, math.Cbrt(6*f*e*e/(math.Pow(math.Pi, 3)*r*r)), 1e-12) {
			rt.Fatalf("point %v", p0)
		}
	})
}

// The tolerances of 6H follow the formulas behind ISO 965-1 before rounding to
// preferred numbers: TD1(6) = 433 P − 190 P^1.22 up to 0.8 mm, 230 P^0.7 from
// 1 mm; TD2(6) = 1.32 · 90 P^0.4 d^0.1, d the geometric mean of its range.
func TestThreadTolerancesFollowTheirFormulas(t *testing.T) {
	for p, td1 := range td1Table {
		want := 230 * math.Pow(p, 0.7)
		if p <= 0.8 {
			want = 433*p - 190*math.Pow(p, 1.22)
		}
		if !near(td1, want, 0.03) {
			t.Errorf("TD1 at P %v: %v, formula %v", p, td1, want)
		}
	}
	for _, r := range td2Table {
		for p, td2 := range r.byPitch {
			if want := 1.32 * 90 * math.Pow(p, 0.4) * math.Pow(math.Sqrt(r.over*r.to), 0.1); !near(td2, want, 0.035) {
				t.Errorf("TD2 at %v to %v, P %v: %v, formula %v", r.over, r.to, p, td2, want)
			}
		}
	}
}

// VDI 2230 both ways: the torque that yields a screw is the assembly torque at
// full use of the yield, and there the utilisation is 1.
func TestTorqueAtYieldClosesTheCircle(t *testing.T) {
	for d := range threadPitches {
		if d > 16 && d != 24 {
			continue
		}
		thread := "M" + number(d)
		full := ask(t, "assembly_preload", "thread", thread, "class", "10.9", "mu", "0.13", "utilisation", "1").in(t, "torque", "N·m")
		a := ask(t, "screw_torque_check", "thread", thread, "class", "10.9", "torque", plainNumber(full), "mu_low", "0.13", "mu_high", "0.13")
		if u := a.in(t, "utilisation", ""); math.Abs(u-1) > 1e-9 || !near(a.in(t, "torque_at_yield_low", "N·m"), full, 1e-9) {
			t.Errorf("%s: %v N·m uses %v of the yield", thread, full, u)
		}
		if over := ask(t, "screw_torque_check", "thread", thread, "class", "10.9", "torque", plainNumber(full*1.01), "mu_low", "0.13", "mu_high", "0.13"); over.word(t, "yields") != "yes" {
			t.Errorf("%s does not yield over its yield torque", thread)
		}
	}
}

// The two hardness standards are two tables of one thing: where both reach
// they agree within 1 HRC; each table rises line by line.
func TestHardnessTablesAgree(t *testing.T) {
	for _, table := range [][][]float64{e140, iso18265} {
		for i, l := range table[1:] {
			for c, v := range l {
				if before := table[i][c]; v != 0 && v <= before {
					t.Errorf("column %d: %v follows %v", c, v, before)
				}
			}
		}
	}
	for hv := 245.0; hv <= 470; hv++ {
		a, b := between(e140, 1, 0, hv), between(iso18265, 1, 3, hv)
		if !(math.Abs(a-b) <= 1) {
			t.Errorf("%v HV: E140 %v HRC, ISO 18265 %v HRC", hv, a, b)
		}
	}
}

func TestHardnessGoesThereAndBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		hrc := draw(rt, "hrc", 20, 65)
		hv := ask(t, "hrc_to_hv", "hrc", plainNumber(hrc)).in(t, "hv", "HV")
		if back := ask(t, "hv_to_hrc", "hv", plainNumber(hv)).in(t, "hrc", "HRC"); math.Abs(back-hrc) > 1e-6 {
			rt.Fatalf("%v HRC is %v HV is %v HRC", hrc, hv, back)
		}
	})
}

// Every thread held has the head its torque needs; the coarse ones have 6H
// limits.
func TestEveryThreadIsComplete(t *testing.T) {
	for d, pitches := range threadPitches {
		if h, ok := hexHeads[d]; !ok || h[0] <= h[1] || h[1] <= d {
			t.Errorf("M%v: head %v", d, h)
		}
		if _, _, err := (metricThread{d, pitches[0]}).limits6H(); err != nil {
			t.Errorf("M%v: %v", d, err)
		}
		for i := 1; i < len(pitches); i++ {
			if pitches[i] >= pitches[i-1] {
				t.Errorf("M%v: the pitches do not fall from the coarse one", d)
			}
		}
	}
}

// The index and its inverse.
func TestViscosityFromIndexIsTheInverse(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		u, index := draw(rt, "v40", 15, 700), draw(rt, "index", 20, 200)
		y, ok := viscosityAt100(u, index)
		if !ok {
			return
		}
		l, h := viReference(y)
		if got := viscosityIndex(u, y, l, h); math.Abs(got-index) > 3 { // the coefficients jump by up to 0.5 % at their bounds
			rt.Fatalf("v40 %v, VI %v: v100 %v has VI %v", u, index, y, got)
		}
	})
}
