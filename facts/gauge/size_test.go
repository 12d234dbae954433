package gauge

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"whyworn/facts/measure"
	"whyworn/facts/truth"

	"pgregory.net/rapid"
)

// ids hands out source ids from 100 up.
func ids() func() int32 {
	next := int32(99)
	return func() int32 { next++; return next }
}

func evaluate(t testing.TB, text string, l Layout, c Conditions) Size {
	t.Helper()
	r, err := Parse(text, l, unit(t, "mm"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if c.K == 0 {
		c.K = 2
	}
	if c.NewSource == nil {
		c.NewSource = ids()
	}
	s, err := r.Evaluate(c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t *testing.T, name string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.9g, want %.9g ± %g", name, got, want, tolerance)
	}
}

// By hand: rows 14.920 14.971, 14.902 14.970; differences round 0.051 and
// 0.068, along 0.018 and 0.001.
func TestSizesByHand(t *testing.T) {
	mic := &Instrument{Reading: 0.002, Calibration: 0.003, Source: 7}
	s := evaluate(t, "14.920 14.971 / 14.902 14.970", across, Conditions{Instrument: mic})
	near(t, "largest", s.Largest.Lo, 14.971, 1e-12)
	near(t, "smallest", s.Smallest.Lo, 14.902, 1e-12)
	near(t, "mean", s.Mean.Lo, 14.94075, 1e-12)
	near(t, "out-of-round", s.OutOfRound.Lo, 0.068, 1e-12)
	near(t, "taper", s.Taper.Lo, 0.018, 1e-12)
	near(t, "worn side", s.WornSide.Lo, 0, 0)
	if !s.WornSideKnown || !s.WornSide.IsValue() {
		t.Errorf("worn side %+v, %v", s.WornSide, s.WornSideReason)
	}
	// Standard uncertainties: the calibration stays in sizes, leaves differences.
	near(t, "u smallest", s.Smallest.U(), math.Hypot(0.002, 0.003), 1e-12)
	near(t, "u mean", s.Mean.U(), math.Hypot(0.002/2, 0.003), 1e-12)
	near(t, "u out-of-round", s.OutOfRound.U(), 0.002*math.Sqrt2, 1e-12)
	near(t, "u taper", s.Taper.U(), 0.002*math.Sqrt2, 1e-12)
	// The largest is nearly shared by 14.971 and 14.970: either may move it, the
	// second by 0.001 less.
	near(t, "u largest", s.Largest.U(), math.Sqrt(0.002*0.002+0.001*0.001+0.003*0.003), 1e-9)
	for _, term := range append(s.OutOfRound.Terms, s.Taper.Terms...) {
		if term.Source == 7 {
			t.Errorf("the calibration stays in a difference: %+v", term)
		}
	}
	if bare := evaluate(t, "14.920 14.971 / 14.902 14.970", across, Conditions{}); bare.OutOfRound.Terms != nil || bare.Mean.Terms != nil {
		t.Error("terms without an instrument")
	}
	one := evaluate(t, "14.97", Layout{}, Conditions{})
	if one.OutOfRoundKnown || one.TaperKnown || one.WornSideKnown || one.WornSideReason != NoAngles {
		t.Errorf("one reading: %+v", one)
	}
}

// Play: a bore and a seat read with one instrument lose its calibration; read
// with two they keep both.
func TestSharedInstrumentCancelsInPlay(t *testing.T) {
	next := ids()
	mic := &Instrument{Reading: 0.001, Calibration: 0.01, Source: 7}
	other := &Instrument{Reading: 0.001, Calibration: 0.01, Source: 8}
	play := func(a, b *Instrument) measure.Number {
		bore := evaluate(t, "15.021", Layout{}, Conditions{Instrument: a, NewSource: next})
		seat := evaluate(t, "14.970", Layout{}, Conditions{Instrument: b, NewSource: next})
		return bore.Largest.Sub(seat.Smallest)
	}
	near(t, "play", play(mic, mic).Lo, 0.051, 1e-12)
	near(t, "u with one instrument", play(mic, mic).U(), 0.001*math.Sqrt2, 1e-12)
	near(t, "u with two", play(mic, other).U(), math.Sqrt(2*0.001*0.001+2*0.01*0.01), 1e-12)
}

func TestWornSide(t *testing.T) {
	mic := func(u float64) *Instrument { return &Instrument{Reading: u, Calibration: 0.01, Source: 7} }
	six := Layout{Angles: []float64{0, 30, 60, 90, 120, 150}}
	for _, c := range []struct {
		name, text string
		layout     Layout
		u          float64
		inside     bool
		lo, hi     float64
		reason     Reason
	}{
		{"clear", "14.90 14.97", Layout{Angles: []float64{0, 90}}, 0.002, false, 0, 0, Shown},
		{"a bore wears larger", "14.90 14.97", Layout{Angles: []float64{0, 90}}, 0.002, true, 90, 90, Shown},
		{"inside the guard band", "14.968 14.970", Layout{Angles: []float64{0, 90}}, 0.002, false, 0, 0, InsideGuard},
		{"no uncertainty given", "14.968 14.970", Layout{Angles: []float64{0, 90}}, 0, false, 0, 0, Shown},
		{"round", "14.970 14.970", Layout{Angles: []float64{0, 90}}, 0, false, 0, 0, Round},
		{"two neighbours", "14.97 14.97 14.901 14.900 14.97 14.97", six, 0.002, false, 60, 90, Shown},
		{"neighbours over the turn", "14.900 14.97 14.97 14.97 14.97 14.901", six, 0.002, false, 150, 180, Shown},
		{"opposite candidates", "14.900 14.97 14.97 14.901 14.97 14.97", six, 0.002, false, 0, 0, Everywhere},
		{"angles not declared", "14.90 14.97", Layout{}, 0.002, false, 0, 0, NoAngles},
		{"radii, all round", "7.40 7.45 7.45 7.41", Layout{Angles: []float64{0, 90, 180, 270}}, 0.01, false, 270, 360, Shown},
		{"most out of round row", "14.96 14.97 / 14.97 14.91", Layout{Rows: 2, Angles: []float64{0, 90}}, 0.002, false, 90, 90, Shown},
	} {
		in := mic(c.u)
		if c.u == 0 {
			in = nil
		}
		s := evaluate(t, c.text, c.layout, Conditions{Instrument: in, Inside: c.inside})
		if s.WornSideReason != c.reason || s.WornSideKnown != (c.reason == Shown) {
			t.Errorf("%s: %v", c.name, s.WornSideReason)
			continue
		}
		if s.WornSideKnown && (s.WornSide.Lo != c.lo || s.WornSide.Hi != c.hi) {
			t.Errorf("%s: %g to %g", c.name, s.WornSide.Lo, s.WornSide.Hi)
		}
		if c.reason == InsideGuard {
			near(t, "u that would show it", s.UThatWouldShow, 0.001, 1e-9)
		}
	}
}

// Propagation against Monte Carlo (JCGM 101), 100 000 draws, fixed seed; the
// sizes lie many u apart, so that the largest stays the largest. Tolerance 2 %,
// sampling alone gives 0.2 %.
func TestSizesAgainstMonteCarlo(t *testing.T) {
	const draws = 100_000
	text := "14.920 14.990 / 14.880 14.970 / 14.850 14.950"
	l := Layout{Rows: 3, Angles: []float64{0, 90}}
	in := &Instrument{Reading: 0.0015, Calibration: 0.002, Resolution: 0.005, Source: 7}
	s := evaluate(t, text, l, Conditions{Instrument: in})
	own := math.Hypot(in.Reading, in.Resolution/math.Sqrt(12))
	rng := rand.New(rand.NewPCG(20261112, 11))
	sums := map[string]*[2]float64{}
	x := make([]float64, 6)
	for range draws {
		shared := rng.NormFloat64() * in.Calibration
		for i, n := range s.Readings {
			x[i] = n.Lo + shared + rng.NormFloat64()*own
		}
		for name, v := range map[string]float64{
			"largest": largest(x), "smallest": smallest(x), "mean": mean(x), "out_of_round": s.outOfRound(x), "taper": s.taper(x),
		} {
			if sums[name] == nil {
				sums[name] = &[2]float64{}
			}
			centre, _ := s.Derived(name)
			sums[name][0] += v - centre.Lo
			sums[name][1] += (v - centre.Lo) * (v - centre.Lo)
		}
	}
	for name, sum := range sums {
		m := sum[0] / draws
		sd := math.Sqrt(sum[1]/draws - m*m)
		got, known := s.Derived(name)
		if !known || math.Abs(got.U()/sd-1) > 0.02 {
			t.Errorf("%s: u = %g, Monte Carlo %g", name, got.U(), sd)
		}
	}
}

// Where readings nearly agree, moves give no less than Monte Carlo: the guard
// band is on the safe side.
func TestCloseReadingsAreCautious(t *testing.T) {
	in := &Instrument{Reading: 0.002, Source: 7}
	s := evaluate(t, "14.970 14.970 / 14.970 14.970", across, Conditions{Instrument: in})
	rng := rand.New(rand.NewPCG(1, 2))
	var sum, squares float64
	const draws = 20_000
	x := make([]float64, 4)
	for range draws {
		for i := range x {
			x[i] = 14.970 + rng.NormFloat64()*in.Reading
		}
		v := s.outOfRound(x)
		sum += v
		squares += v * v
	}
	sd := math.Sqrt(squares/draws - sum*sum/draws/draws)
	if s.OutOfRound.U() < sd {
		t.Errorf("u = %g, Monte Carlo %g", s.OutOfRound.U(), sd)
	}
	if got := measure.Compare(measure.Gt, s.OutOfRound, measure.Exact(0), 2); got.Truth != truth.Unknown {
		t.Errorf("out-of-round of equal readings over 0: %v", got)
	}
}

// Repeats: s of 14.970, 14.972, 14.974 is 0.002; two spots pool to
// s² = (8e-6 + 2e-6)/(2 + 1) by hand, mean of three has s/√3.
func TestRepeats(t *testing.T) {
	s := evaluate(t, "14.970;14.972;14.974 14.950", Layout{}, Conditions{})
	near(t, "u of three", s.Readings[0].U(), 0.002/math.Sqrt(3), 1e-9)
	near(t, "u of the single", s.Readings[1].U(), 0.002, 1e-9)
	s = evaluate(t, "14.970;14.972;14.974 14.950;14.952", Layout{}, Conditions{})
	pooled := math.Sqrt((8e-6 + 2e-6) / 3)
	near(t, "pooled u of three", s.Readings[0].U(), pooled/math.Sqrt(3), 1e-9)
	near(t, "pooled u of two", s.Readings[1].U(), pooled/math.Sqrt2, 1e-9)
	// Repeats that agree by chance do not beat the instrument's own u.
	s = evaluate(t, "14.970;14.970", Layout{}, Conditions{Instrument: &Instrument{Reading: 0.002, Resolution: 0.001, Source: 7}})
	near(t, "u of equal repeats", s.Readings[0].U(), math.Hypot(0.002/math.Sqrt2, 0.001/math.Sqrt(12)), 1e-12)
}

// Moving all readings alike moves sizes and leaves differences; order of
// columns, with their angles, does not matter.
func TestSizesDoNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "columns")
		rows := rapid.IntRange(1, 3).Draw(t, "rows")
		values := make([]int, n*rows)
		for i := range values {
			values[i] = 14900 + rapid.IntRange(0, 99).Draw(t, "reading")
		}
		shuffled := rapid.Permutation(seq(n)).Draw(t, "order")
		build := func(order []int, shift int) Size {
			var b strings.Builder
			l := Layout{Rows: rows}
			for r := range rows {
				if r > 0 {
					b.WriteString(" / ")
				}
				for _, c := range order {
					b.WriteString(strconv.FormatFloat(float64(values[r*n+c]+shift)/1000, 'f', 3, 64) + " ")
				}
			}
			for _, c := range order {
				l.Angles = append(l.Angles, float64(c)*180/float64(n))
			}
			mm, _ := measure.UnitOf("mm")
			p, err := Parse(b.String(), l, mm, nil)
			if err != nil {
				t.Fatal(err)
			}
			s, err := p.Evaluate(Conditions{K: 2, NewSource: ids(), Instrument: &Instrument{Reading: 0.004, Calibration: 0.01, Source: 7}})
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		a, b := build(seq(n), 0), build(shuffled, 0)
		moved := build(seq(n), 5)
		for _, name := range []string{"largest", "smallest", "mean", "out_of_round", "taper"} {
			x, _ := a.Derived(name)
			y, _ := b.Derived(name)
			z, _ := moved.Derived(name)
			want := x.Lo
			if name == "largest" || name == "smallest" || name == "mean" {
				want += 0.005
			}
			if math.Abs(x.Lo-y.Lo) > 1e-9 || math.Abs(x.U()-y.U()) > 1e-9 {
				t.Fatalf("%s: %v u %v, shuffled %v u %v", name, x.Lo, x.U(), y.Lo, y.U())
			}
			if math.Abs(z.Lo-want) > 1e-9 || math.Abs(z.U()-x.U()) > 1e-9 {
				t.Fatalf("%s: %v u %v, moved by 0.005 %v u %v", name, x.Lo, x.U(), z.Lo, z.U())
			}
		}
		if a.WornSideReason != b.WornSideReason {
			t.Fatalf("worn side %v, shuffled %v", a.WornSideReason, b.WornSideReason)
		}
		if a.OutOfRoundKnown && a.WornSideKnown && measure.Compare(measure.Gt, a.OutOfRound, measure.Exact(0), 0).Truth != truth.True {
			t.Fatal("a worn side on a round part")
		}
	})
}

func seq(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func TestApart(t *testing.T) {
	at := measure.Exact
	for _, c := range []struct {
		a, b   measure.Number
		period float64
		lo, hi float64
	}{
		{at(10), at(350), 360, 20, 20},
		{at(0), at(180), 180, 0, 0},
		{at(5), at(175), 180, 10, 10},
		{at(0), at(90), 180, 90, 90},
		{at(-30), at(30), 360, 60, 60},
		{measure.Between(150, 190), at(0), 180, 0, 30},
		{measure.Between(80, 100), at(0), 180, 80, 90},
		{measure.Between(0, 360), at(0), 360, 0, 180},
	} {
		got, ok := Apart(c.a, c.b, c.period)
		if !ok || math.Abs(got.Lo-c.lo) > 1e-9 || math.Abs(got.Hi-c.hi) > 1e-9 {
			t.Errorf("%+v and %+v round %g: %+v, %v", c.a, c.b, c.period, got, ok)
		}
	}
	if _, ok := Apart(measure.Number{Lo: 0, Hi: math.Inf(1)}, at(0), 180); ok {
		t.Error("an unbounded angle lies somewhere")
	}
}

// Round a circle, distance does not mind whole turns, and holds every value.
func TestApartHoldsAllValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		period := rapid.SampledFrom([]float64{180, 360}).Draw(t, "period")
		lo := rapid.Float64Range(-400, 400).Draw(t, "lo")
		width := rapid.Float64Range(0, 400).Draw(t, "width")
		b := rapid.Float64Range(-400, 400).Draw(t, "b")
		got, ok := Apart(measure.Between(lo, lo+width), measure.Exact(b), period)
		x := lo + width*rapid.Float64Range(0, 1).Draw(t, "at")
		one, _ := Apart(measure.Exact(x+period), measure.Exact(b), period)
		if !ok || one.Lo < got.Lo-1e-9 || one.Hi > got.Hi+1e-9 || one.Lo < 0 || one.Hi > period/2 {
			t.Fatalf("%g in %+v", one.Lo, got)
		}
	})
}

func BenchmarkEvaluateSixReadings(b *testing.B) {
	r, err := Parse("14.920 14.971 / 14.902 14.970 / 14.911 14.970", Layout{Rows: 3, Angles: []float64{0, 90}}, unit(b, "mm"), nil)
	if err != nil {
		b.Fatal(err)
	}
	in := &Instrument{Reading: 0.002, Calibration: 0.001, Source: 7}
	for b.Loop() {
		if _, err := r.Evaluate(Conditions{Instrument: in, NewSource: ids(), K: 2}); err != nil {
			b.Fatal(err)
		}
	}
}
