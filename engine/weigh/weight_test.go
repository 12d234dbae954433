package weigh

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
	"whyworn/facts/truth"
)

func frequency() *rapid.Generator[float64] { return rapid.Float64Range(0.001, 0.999) }

func lambda() *rapid.Generator[Lambda] {
	return rapid.OneOf(
		rapid.SampledFrom([]Lambda{Absent, Open, Seen}),
		rapid.Map(rapid.Float64Range(-12, 12), func(x float64) Lambda { return math.Pow(10, x) }),
	)
}

func TestConnectives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ls := rapid.SliceOfN(lambda(), 1, 24).Draw(t, "ls")
		before := slices.Clone(ls)
		sorted := slices.Clone(ls)
		slices.Sort(sorted)
		slices.Reverse(sorted)
		for n := 1; n <= len(ls); n++ {
			if got := AtLeast(n, ls); got != sorted[n-1] {
				t.Fatalf("AtLeast(%d) = %v, want %v", n, got, sorted[n-1])
			}
		}
		if AtLeast(0, ls) != Seen || AtLeast(len(ls)+1, ls) != Absent {
			t.Fatal("AtLeast outside 1…n")
		}
		if AtLeast(1, ls) != Or(ls...) || AtLeast(len(ls), ls) != And(ls...) {
			t.Fatal("AtLeast, Or and And disagree")
		}
		if !slices.Equal(before, ls) {
			t.Fatal("AtLeast changed its argument")
		}
		var not []Lambda
		for _, l := range ls {
			not = append(not, Not(l))
		}
		if Not(And(ls...)) != Or(not...) {
			t.Fatal("De Morgan")
		}
	})
	if And() != Seen || Or() != Absent {
		t.Error("And and Or of nothing")
	}
	if Not(Seen) != Absent || Not(Absent) != Seen || Not(Open) != Open {
		t.Error("Not of the certain")
	}
	if l := Not(math.SmallestNonzeroFloat64); math.IsInf(l, 1) {
		t.Error("the nearly absent must not turn into the seen")
	}
}

func TestClueAtItsCorners(t *testing.T) {
	db := func(x float64) Weight { return FromDecibans(10 * math.Log10(x)) }
	for _, c := range []struct {
		p, q float64
		l    Lambda
		want Weight
	}{
		{0.8, 0.2, Seen, db(4)},
		{0.8, 0.2, Absent, db(0.25)},
		{0.8, 0.2, Open, 0},
		{0.1, 0.3, Open, 0},
		{0.5, 0.5, Seen, 0},
		{0.8, 0.2, 3, db((0.8*3 + 0.2) / (0.2*3 + 0.8))},
		{1, 0, Seen, MaxWeight},
		{1, 0, Absent, -MaxWeight},
		{0, 0, Seen, 0},
	} {
		if got := Clue(c.p, c.q, c.l); got != c.want {
			t.Errorf("Clue(%v, %v, %v) = %d, want %d", c.p, c.q, c.l, got, c.want)
		}
	}
}

func TestClueProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q, l := frequency().Draw(t, "p"), frequency().Draw(t, "q"), lambda().Draw(t, "λ")
		w := Clue(p, q, l)
		if Clue(q, p, l) != -w {
			t.Fatal("exchanging cause and absence must turn the sign exactly")
		}
		if ClueDecibans(q, p, l) != -ClueDecibans(p, q, l) || ClueDecibans(p, q, Open) != 0 {
			t.Fatal("not exact before rounding")
		}
		if d := (Clue(1-p, 1-q, Not(l)) - w).Abs(); d > 2 {
			t.Fatalf("the sign's opposite weighs %d units more", d)
		}
		lo, hi := min(Clue(p, q, Seen), Clue(p, q, Absent)), max(Clue(p, q, Seen), Clue(p, q, Absent))
		if w < lo || w > hi {
			t.Fatalf("%v is outside what seeing and missing the sign weigh, %v to %v", w, lo, hi)
		}
		// A yes/no sign is a choice of two.
		pk, qk := []float64{p, 1 - p}, []float64{q, 1 - q}
		if ChoiceClue(pk, qk, 1) != Clue(p, q, Seen) || ChoiceClue(pk, qk, 2) != Clue(p, q, Absent) {
			t.Fatal("a choice of two differs from yes/no")
		}
	})
}

func TestChoiceClue(t *testing.T) {
	pk, qk := []float64{0.7, 0.2, 0.1}, []float64{0.1, 0.3, 0.6}
	for _, c := range []struct {
		mask uint64
		want float64
	}{
		{0b001, 7}, {0b010, 2.0 / 3}, {0b100, 1.0 / 6},
		{0b011, 0.9 / 0.4}, {0b110, 0.3 / 0.9}, {0b111, 1}, {0, 1},
	} {
		if got := ChoiceClue(pk, qk, c.mask); (got - FromRatio(c.want)).Abs() > 1 {
			t.Errorf("mask %03b weighs %v, want %v", c.mask, got, FromRatio(c.want))
		}
	}
}

// Frequencies an author rounded sum to 1 only nearly: nothing ruled out still
// weighs nothing.
func TestChoiceClueUnknown(t *testing.T) {
	if w := ChoiceClue([]float64{0.33, 0.33, 0.33}, []float64{0.5, 0.25, 0.25}, 0b111); w != 0 {
		t.Errorf("an unknown choice weighs %v", w)
	}
}

func TestWeightAsText(t *testing.T) {
	for db, want := range map[float64]string{
		3.01: "+3.0", -12.46: "-12.5", 0.04: "0.0", -0.04: "0.0", 0: "0.0",
		0.05: "+0.1", -0.05: "-0.1", 9.99: "+10.0", 1e9: "+4000.0", math.Inf(-1): "-4000.0",
	} {
		if got := FromDecibans(db).String(); got != want {
			t.Errorf("%v decibans read %q, want %q", db, got, want)
		}
	}
	if FromDecibans(math.NaN()) != 0 {
		t.Error("NaN weighs something")
	}
}

func TestRatioNeverBecomesCertain(t *testing.T) {
	for _, w := range []Weight{1000 * MaxWeight, -1000 * MaxWeight} {
		if r := w.Ratio(); r == 0 || math.IsInf(r, 0) || Not(r) == 0 || math.IsInf(Not(r), 0) {
			t.Errorf("%v hands on %v", w, r)
		}
	}
}

func TestPosterior(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prior := frequency().Draw(t, "prior")
		a := Weight(rapid.Int64Range(-int64(60*Deciban), int64(60*Deciban)).Draw(t, "a"))
		b := Weight(rapid.Int64Range(-int64(60*Deciban), int64(60*Deciban)).Draw(t, "b"))
		odds := prior / (1 - prior) * math.Pow(10, (a+b).Decibans()/10)
		p := Posterior(prior, a+b)
		if want := odds / (1 + odds); math.Abs(p-want) > 1e-12 {
			t.Fatalf("%v, want %v", p, want)
		}
		if q := Posterior(Posterior(prior, a), b); math.Abs(p-q) > 1e-9 {
			t.Fatalf("in two steps %v, in one %v", q, p)
		}
		if Posterior(prior, 0) != prior {
			t.Fatal("no evidence moves the prior")
		}
	})
	for _, w := range []Weight{1000 * MaxWeight, -1000 * MaxWeight, 0} {
		for _, prior := range []float64{0, 1e-300, 0.5, 1} {
			if p := Posterior(prior, w); !(p >= 0 && p <= 1) {
				t.Errorf("Posterior(%v, %v) = %v", prior, w, p)
			}
		}
	}
}

func TestRivals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		priors, sums := make([]float64, n), make([]Weight, n)
		total := 0.0
		for i := range n {
			priors[i] = rapid.Float64Range(0.001, 0.6).Draw(t, "prior")
			sums[i] = Weight(rapid.Int64Range(-int64(400*Deciban), int64(400*Deciban)).Draw(t, "sum"))
			total += priors[i]
		}
		p := Rivals(priors, sums)
		all := 0.0
		for _, v := range p {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("%v is no probability", v)
			}
			all += v
		}
		if math.Abs(all-1) > 1e-12 {
			t.Fatalf("all of them sum to %v", all)
		}
		if scaled := PriorScale(priors) != 1; scaled != (total > 1+1e-12) || scaled && p[n] != 0 {
			t.Fatalf("priors sum to %v, scaled %v, none %v", total, scaled, p[n])
		}
		if n == 1 && math.Abs(p[0]-Posterior(priors[0], sums[0])) > 1e-12 {
			t.Fatalf("a rival without rivals has %v, by itself %v", p[0], Posterior(priors[0], sums[0]))
		}
		// The ratio against mere absence, as documented, gives the same.
		if total < 0.99 {
			for i := range n {
				others := 1 - total
				for j := range n {
					if j != i {
						others += priors[j] * math.Pow(10, sums[j].Decibans()/10)
					}
				}
				l := math.Pow(10, sums[i].Decibans()/10) * (1 - priors[i]) / others
				odds := priors[i] / (1 - priors[i]) * l
				if want := 1 - 1/(1+odds); math.Abs(p[i]-want) > 1e-9 {
					t.Fatalf("rival %d has %v, against absence %v", i, p[i], want)
				}
			}
		}
	})
	if p := Rivals(nil, nil); len(p) != 1 || p[0] != 1 {
		t.Errorf("no rivals: %v", p)
	}
	if p := Rivals([]float64{0.7, 0.7}, []Weight{-3000 * Deciban, -3100 * Deciban}); p[0] < 0.99 {
		t.Errorf("without room for none somebody has to have it: %v", p)
	}
}

func TestState(t *testing.T) {
	for _, c := range []struct {
		p       float64
		w       Weight
		decided bool
		want    truth.Truth
	}{
		{0.90, 1, true, truth.True},
		{0.8999, 1, true, truth.Unknown},
		{0.95, 0, true, truth.Unknown},  // the prior alone
		{0.95, -1, true, truth.Unknown}, // common, but the clues speak against it
		{0.95, 1, false, truth.Unknown},
		{0.10, -1, true, truth.False},
		{0.1001, -1, true, truth.Unknown},
		{0.01, 0, true, truth.Unknown},
		{0.01, 1, true, truth.Unknown},
		{0.01, -1, false, truth.Unknown},
	} {
		if got := State(c.p, c.w, c.decided); got != c.want {
			t.Errorf("State(%v, %d, %v) = %v, want %v", c.p, c.w, c.decided, got, c.want)
		}
	}
	// Two clues of 9:1 on a prior of one in ten make exactly 0.90, and two of 1:9
	// on nine in ten exactly 0.10: rounding must not decide.
	w := 2 * Clue(0.9, 0.1, Seen)
	if State(Posterior(0.1, w), w, true) != truth.True || State(Posterior(0.9, -w), -w, true) != truth.False {
		t.Error("rounding decides at the threshold")
	}
	if Word(Posterior(0.1, w)) != "very likely" || Word(Posterior(0.9, -w)) != "very unlikely" {
		t.Error("the word and the state part at the threshold")
	}
}

// The bounds are those of the IPCC guidance note of 2010, Table 1.
func TestWord(t *testing.T) {
	for p, want := range map[float64]string{
		1: "virtually certain", 0.99: "virtually certain", 0.9899: "very likely", 0.90: "very likely",
		0.8999: "likely", 0.66: "likely", 0.6599: "about as likely as not", 0.5: "about as likely as not",
		0.3301: "about as likely as not", 0.33: "unlikely", 0.1001: "unlikely", 0.10: "very unlikely",
		0.0101: "very unlikely", 0.01: "exceptionally unlikely", 0: "exceptionally unlikely",
	} {
		if got := Word(p); got != want {
			t.Errorf("%v is %q, want %q", p, got, want)
		}
	}
}

func BenchmarkClue(b *testing.B) {
	var sum Weight
	for b.Loop() {
		sum += Clue(0.751, 0.072, 3.7)
	}
	_ = sum
}
