package words

import (
	"math"
	"testing"

	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

func unit(t *testing.T, symbol string) *measure.Unit {
	t.Helper()
	u, err := measure.UnitOf(symbol)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// A figure reads as JCGM 100:2008, 7.2.2 and 7.2.6 have it: value and expanded
// uncertainty to the same decimals, the uncertainty never rounded down; nothing
// is said to lie where nothing can.
func TestFigures(t *testing.T) {
	mm, pct := unit(t, "mm"), unit(t, "%")
	w := &Words{Facts: &rules.Facts{K: 2, Layout: &rules.Layout{}}}
	share := func(lo, hi float64) measure.Number { return measure.Between(lo/100, hi/100) }
	for _, c := range []struct {
		want     string
		n        measure.Number
		u        float64 // standard, in base units
		decimals int
		p        vocab.Property
	}{
		{"0.168 ± 0.008 mm", measure.Exact(0.168), 0.00361, 3, vocab.Property{Unit: mm}},
		{"14.973 ± 0.006 mm", measure.Exact(14.973), 0.00265, -1, vocab.Property{Unit: mm}},
		{"14.970 ± 0.004 mm", measure.Exact(14.97), 0.002, -1, vocab.Property{Unit: mm}},
		{"0.0300 ± 0.0011 mm", measure.Exact(0.03), 0.00051, -1, vocab.Property{Unit: mm}},
		{"40 ± 13 %", measure.Exact(0.40), 0.0612, 0, vocab.Property{Unit: pct}},
		{"1.41 to 1.43 mm", measure.Between(1.41, 1.43), 0, -1, vocab.Property{Unit: mm}},
		{"1.41 to 1.43 mm, each end ± 0.01 mm", measure.Between(1.41, 1.43), 0.005, 2, vocab.Property{Unit: mm}},
		{"88 to 100 %, the lower end ± 7 %", share(88, 99.9), 0.034, 0, vocab.Property{Unit: pct, Bounded: true, Possible: share(0, 100)}},
		{"0 to 30 %, the upper end ± 7 %", share(0, 30), 0.034, 0, vocab.Property{Unit: pct, Bounded: true, Possible: share(0, 100)}},
		{"100 %", share(99.99, 100), 0.0004, 0, vocab.Property{Unit: pct, Bounded: true, Possible: share(0, 100)}},
		{"88 to 100 %, each end ± 7 %", share(88, 100), 0.034, 0, vocab.Property{Unit: pct}},
	} {
		voc, kind := vocab.Empty(), &vocab.Kind{ID: "k"}
		voc.AddKind(kind)
		c.p.ID, c.p.Type, c.p.Decimals = "p", vocab.Number, c.decimals
		kind.AddProperty(&c.p)
		if c.u > 0 {
			c.n.Terms = []measure.Term{{U: c.u}}
		}
		q := w.Quantity(c.n, &c.p)
		if got := Figure(q); got != c.want {
			t.Errorf("%v with u %v: %s, want %s", c.n, c.u, got, c.want)
		}
	}
}

// An expanded uncertainty is never shown smaller than it is, and not by more
// than a quarter larger where its property sets no decimals.
func TestExpandedIsNeverSmaller(t *testing.T) {
	p := &vocab.Property{Unit: unit(t, "mm"), Decimals: -1}
	for x := 1e-5; x < 1; x *= 1.037 {
		n, err := measure.ParseNumber(Expanded(x, p), p.Unit)
		if err != nil {
			t.Fatal(err)
		}
		if got := n.Number.Lo; got < x*(1-1e-6) || got > 1.25*x+1e-9 || math.IsNaN(got) {
			t.Errorf("%v is shown as %v", x, got)
		}
	}
}
