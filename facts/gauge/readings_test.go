package gauge

import (
	"errors"
	"math"
	"strings"
	"testing"

	"whyworn/facts/measure"
)

func unit(t testing.TB, symbol string) *measure.Unit {
	t.Helper()
	u, err := measure.UnitOf(symbol)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

var across = Layout{Rows: 2, Angles: []float64{0, 90}}

func ring(t testing.TB) *Set {
	return &Set{Size: measure.Exact(15), Decimals: 3, Unit: unit(t, "mm")}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text     string
		layout   Layout
		unit     string
		set      bool
		sizes    []float64 // mm, the set size included
		rows     int
		decimals int
	}{
		{"14.920 14.971 / 14.902 14.970", across, "mm", false, []float64{14.920, 14.971, 14.902, 14.970}, 2, 3},
		{" 14.920  14.971/14.902 14.970 mm ", across, "mm", false, []float64{14.920, 14.971, 14.902, 14.970}, 2, 3},
		{"0.5874 0.5894 / 0.5867 0.5894 in", across, "mm", false, []float64{14.91996, 14.97076, 14.90218, 14.97076}, 2, 4},
		{"+21 +19 / +20 +18", across, "µm", true, []float64{15.021, 15.019, 15.020, 15.018}, 2, 3},
		{"+21.5 −3 / 0 +18 um", across, "µm", true, []float64{15.0215, 14.997, 15, 15.018}, 2, 4},
		{"14.97", Layout{}, "mm", false, []float64{14.97}, 1, 2},
		{"14.97 14.96 14.95", Layout{}, "mm", false, []float64{14.97, 14.96, 14.95}, 1, 2},
		{"14.97 / 14.96 / 14.95", Layout{Rows: 3}, "mm", false, []float64{14.97, 14.96, 14.95}, 3, 2},
		{"14.970;14.972;14.974 14.96", Layout{}, "mm", false, []float64{14.972, 14.96}, 1, 3},
	} {
		var set *Set
		if c.set {
			set = ring(t)
		}
		r, err := Parse(c.text, c.layout, unit(t, c.unit), set)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if r.Rows != c.rows || r.Rows*r.Cols != len(c.sizes) || r.Decimals != c.decimals {
			t.Errorf("%q: %d rows, %d columns, %d decimals", c.text, r.Rows, r.Cols, r.Decimals)
			continue
		}
		s, err := r.Evaluate(Conditions{K: 2, NewSource: ids()})
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range c.sizes {
			if got := s.Readings[i]; math.Abs(got.Lo-want) > 1e-12 || (got.Terms != nil) != strings.Contains(c.text, ";") {
				t.Errorf("%q: reading %d is %v, want %v", c.text, i, got, want)
			}
		}
	}
}

func TestParseErrors(t *testing.T) {
	for _, c := range []struct {
		text, marked, message, hint string
		set                         bool
	}{
		{"14.920 14.971", "14.920 14.971", "too few rows of readings: 1, wanted are 2", "part 2 rows along the part by /", false},
		{"1 2 / 3 4 / 5 6", "1 2 / 3 4 / 5 6", "too many rows of readings: 3, wanted are 2", "part 2 rows along the part by /", false},
		{"14.920 14.971 / 14.902", "14.902", "too few readings in row 2: 1, wanted are 2", "every row is read at 0°, 90°", false},
		{"14.920 14.971 / 14.902 14.970 14.9 1", "14.9 1", "too many readings in row 2: 4, wanted are 2", "every row is read at 0°, 90°", false},
		{"14.920 14.971 /", "/", "row 2 has no readings", "rows go along the part, parted by one /", false},
		{"14.920 14,971 / 14.902 14.970", "14,971", `a comma in the number "14,971"`, "write 14.971 for a decimal, 14971 for a thousand", false},
		{"14.920 ? / 14.902 14.970", "?", "one reading of the size is ?", "write ? for the whole size, or read the spot again", false},
		{"14.920 abc / 14.902 14.970", "abc", `a number is wanted, not "abc"`, "write it as 1.5 mm", false},
		{"14.920 14.9kg / 14.902 14.970", "kg", "kg is a mass, wanted is a length in mm", "give a length, in mm or another unit of it", false},
		{"14.920, 14.971 / 14.902 14.970", ",", `"," cannot follow a number`, "part readings by blanks, repeats at one spot by ;", false},
		{"+21 +19 / +20 +18", "+21", "reading +21 is a difference, and no set size is known", "give the instrument its set size, or write the size itself", false},
		{"+21 19 / +20 +18", "19", "reading 19 has no sign, though the instrument reads from a set size", "write the difference from 15.000 mm with its sign, as +21", true},
		{"+21 + 19 / +20 +18", "+ 19", "too many readings in row 1: 3, wanted are 2", "", true},
		{"0 14.9 / 14.9 14.9", "0", "a size of 0 cannot be", "write the size that was read", false},
		{"", " ", "readings are wanted, nothing is written", "leave the answer out if nothing was measured", false},
		{"14.92;;14.93 14.9 / 14.9 14.9", ";", "a reading is missing", "join repeats at one spot by ; without blanks", false},
		{"-15001 +1 / +1 +1", "-15001", "with -15001 the size falls to nothing", "write the difference that was read", true},
	} {
		var set *Set
		u := unit(t, "mm")
		if c.set {
			set, u = ring(t), unit(t, "µm")
		}
		_, err := Parse(c.text, across, u, set)
		var te *measure.TextError
		if !errors.As(err, &te) {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		runes := []rune(c.text + " ")
		if te.Message != c.message || c.hint != "" && te.Hint != c.hint {
			t.Errorf("%q: %q, hint %q", c.text, te.Message, te.Hint)
		}
		if te.End > len(runes) || te.End <= te.Start {
			t.Errorf("%q: range [%d,%d)", c.text, te.Start, te.End)
		} else if got := string(runes[te.Start:te.End]); got != c.marked && !strings.HasPrefix(c.marked, "+ ") {
			t.Errorf("%q: marks %q, want %q", c.text, got, c.marked)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"14.920 14.971 / 14.902 14.970", "+21 +19 / +20 +18 um", "/", "1;2 3", "// ?", "1 2/3 4in", "−1 0"} {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, text string, differences bool) {
		var set *Set
		if differences {
			set = ring(t)
		}
		for _, l := range []Layout{{}, across} {
			r, err := Parse(text, l, unit(t, "mm"), set)
			if err != nil {
				var te *measure.TextError
				if !errors.As(err, &te) || te.Start < 0 || te.End <= te.Start || te.End > len([]rune(text))+1 {
					t.Fatalf("%q: %#v", text, err)
				}
				continue
			}
			s, err := r.Evaluate(Conditions{K: 2, NewSource: ids()})
			if err != nil || s.Smallest.Lo > s.Largest.Lo || !(s.Smallest.Lo > 0) {
				t.Fatalf("%q: %+v, %v", text, s, err)
			}
		}
	})
}
