package measure

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseNumber(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		text, want string
		number     Number
		decimals   int
		printed    string
	}{
		{"0.10 mm", "mm", Exact(0.1), 2, "0.10 mm"},
		{"+21 um", "mm", Exact(0.021), 0, "21 µm"},
		{"−3 µm", "mm", Exact(-0.003), 0, "-3 µm"},
		{"1.41 to 1.43 mm", "mm", Between(1.41, 1.43), 2, "1.41 to 1.43 mm"},
		{"1.4 mm to 1.43 mm", "mm", Between(1.4, 1.43), 2, "1.40 to 1.43 mm"},
		{"0.5 in to 13 mm", "mm", Between(12.7, 13), 1, "12.7 to 13.0 mm"},
		{"over 5 h", "h", Number{Lo: 18000, Hi: inf, LoOpen: true}, 0, "over 5 h"},
		{"under 3 mm", "mm", Number{Lo: -inf, Hi: 3, HiOpen: true}, 0, "under 3 mm"},
		{"at least 45 N·m", "N·m", Number{Lo: 45000, Hi: inf}, 0, "at least 45 N·m"},
		{"at  most 0.1 mm", "mm", Number{Lo: -inf, Hi: 0.1}, 1, "at most 0.1 mm"},
		{"  2310 h ", "h", Exact(8316000), 0, "2310 h"},
		{"30 lbf·ft", "N·m", Exact(40674.53844994201), 0, "30 lbf·ft"}, // 30 × 4.448 221 615 260 5 N × 0.3048 m, NIST SP 811
		{"200 °C", "°C", Exact(473.15), 0, "200 °C"},
		{"68 degF", "°C", Exact(293.15), 0, "68 °F"},
		{"300 K", "°C", Exact(300), 0, "300 K"},
		{"12 %", "1", Exact(0.12), 0, "12 %"},
		{"0.3", "1", Exact(0.3), 1, "0.3"},
		{"3", "%", Exact(3), 0, "3"},
		{"90°", "°", Exact(90), 0, "90°"},
		{"45 deg", "°", Exact(45), 0, "45°"},
		{"58 HRC", "HRC", Exact(58), 0, "58 HRC"},
		{"1.2e-5 1/K", "1/K", Exact(1.2e-5), 6, "0.000012 1/K"},
		{"5e3 N", "kN", Exact(5000), 0, "5000 N"},
		{".5 mm", "mm", Exact(0.5), 1, "0.5 mm"},
		{"0.004\u00a0in", "mm", Exact(0.1016), 3, "0.004 in"},
		{`0.5"`, "mm", Exact(12.7), 1, "0.5 in"},
	} {
		w, err := ParseNumber(c.text, mustUnit(t, c.want))
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		n := w.Number
		if n.Lo != c.number.Lo || n.Hi != c.number.Hi || n.LoOpen != c.number.LoOpen || n.HiOpen != c.number.HiOpen || n.Terms != nil {
			t.Errorf("%q = %+v, want %+v", c.text, n, c.number)
		}
		if w.Decimals != c.decimals || w.Text != strings.TrimSpace(c.text) {
			t.Errorf("%q: %d decimals, text %q", c.text, w.Decimals, w.Text)
		}
		if got := Format(n, w.Unit, w.Decimals); got != c.printed {
			t.Errorf("%q is printed %q, want %q", c.text, got, c.printed)
		}
	}
	if w, err := ParseNumber("14.92", mustUnit(t, "mm"), BareInWant); err != nil || w.Number.Lo != 14.92 || w.Unit.Symbol != "mm" {
		t.Errorf("bare in mm: %+v, %v", w, err)
	}
	if w, err := ParseNumber("3 bar", nil); err != nil || w.Unit.Symbol != "bar" {
		t.Errorf("any unit: %+v, %v", w, err)
	}
}

func TestParseNumberErrors(t *testing.T) {
	for _, c := range []struct {
		text, want, marked, message, hint string
	}{
		{"0,10 mm", "mm", "0,10", `a comma in the number "0,10"`, "write 0.10"},
		{"1,234 mm", "mm", "1,234", `a comma in the number "1,234"`, "write 1.234 for a decimal, 1234 for a thousand"},
		{"1,234.5 mm", "mm", "1,234.5", `a thousands sign in "1,234.5"`, "write 1234.5"},
		{"1'234 h", "h", "1'234", `a thousands sign in "1'234"`, "write 1234"},
		{"1 234 h", "h", "1 234", `a blank inside the number "1 234"`, "write one number, without blanks inside: 1234"},
		{"1.2.3 mm", "mm", "1.2.3", `"1.2.3" has more than one point`, "one point only, before the decimals"},
		{"0.10", "mm", "0.10", "a unit is missing after 0.10", "write 0.10 mm"},
		{"0.10 bar", "mm", "bar", "bar is a pressure or a stress, wanted is a length in mm", "give a length, in mm or another unit of it"},
		{"0.10 mmm", "mm", "mmm", "unknown unit mmm", "did you mean mm?"},
		{"45 lb·ft", "N·m", "lb·ft", "the unit lb·ft is not what is meant", "a pound here is a mass; for torque write lbf·ft"},
		{"45 kg", "N", "kg", "kg is a mass, wanted is a force in N", "give a force, in N or another unit of it"},
		{"30 °C", "K", "°C", "°C is a point on a scale, wanted is a difference in K", "write it as 30 K"},
		{"200 C", "°C", "C", "unknown unit C", "write °C or degC"},
		{"about 3 mm", "mm", "about", `a number is wanted, not "about"`, "write the range it lies in, as 1.4 to 1.5 mm"},
		{"> 3 mm", "mm", ">", `a number is wanted, not ">"`, "write over, under, at least or at most"},
		{"3 ± 0.1 mm", "mm", "± 0.1 mm", `"± 0.1 mm" cannot follow a number`, "give the uncertainty with the instrument"},
		{"1.41-1.43 mm", "mm", "-1.43 mm", `"-1.43 mm" cannot follow a number`, "write a range as 1.41 to 1.43 mm"},
		{"1.43 to 1.41 mm", "mm", "1.43 to 1.41", "the range runs backwards", "write the smaller end first"},
		{"over 1 to 2 mm", "mm", "over 1 to 2 mm", "both a bound and a range", "write a range as 1.41 to 1.43 mm, a bound as over 5 h"},
		{"1 to 2 to 3 mm", "mm", "3 mm", "", ""},
		{"1.4 to mm", "mm", "mm", `a number is wanted, not "mm"`, "write it as 1.5 mm"},
		{"", "mm", "", "a number is wanted, nothing is written", "write it as 1.5 mm"},
		{"mm", "mm", "mm", `a number is wanted, not "mm"`, "write it as 1.5 mm"},
		{"3 mm 4", "mm", "4", "", ""},
		{"1e99 mm", "mm", "1e99", "1e99 is too large or too small", "exponents run to 30"},
		{"over", "mm", "", "a number is missing", "write it as 1.5 mm"},
		{"3 mm, 4 mm", "mm", "", "", ""},
		{"3, 4 mm", "mm", ", 4 mm", `", 4 mm" cannot follow a number`, "write one value, or the range it lies in, as 1.41 to 1.43 mm"},
		{"14.97O", "mm", "O", "the letter O stands in the number", "write 14.970"},
		{"0.2O mm", "mm", "O", "the letter O stands in the number", "write 0.20 mm"},
		{"14.97 O", "mm", "O", "unknown unit O", "write it as 14.97 mm"},
		{"14.974 milimeter", "mm", "milimeter", "unknown unit milimeter", "write mm"},
		{"2 Inches", "mm", "Inches", "unknown unit Inches", "write in"},
		{"3 furlong", "mm", "furlong", "unknown unit furlong", "write it as 3 mm"},
	} {
		w, err := ParseNumber(c.text, mustUnit(t, c.want))
		var te *TextError
		if !errors.As(err, &te) {
			t.Errorf("%q was accepted as %+v (%v)", c.text, w.Number, err)
			continue
		}
		runes := []rune(c.text + " ")
		if te.Start < 0 || te.End <= te.Start || te.End > len(runes) {
			t.Errorf("%q: range [%d,%d)", c.text, te.Start, te.End)
			continue
		}
		marked := string(runes[te.Start:te.End])
		if c.message != "" && (te.Message != c.message || te.Hint != c.hint) {
			t.Errorf("%q: %q, hint %q", c.text, te.Message, te.Hint)
		}
		if c.message != "" && c.marked != "" && marked != c.marked {
			t.Errorf("%q: marks %q, want %q", c.text, marked, c.marked)
		}
	}
}

// What is printed reads back as the same number, for values with few decimals.
func TestFormatReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, err := UnitOf(rapid.SampledFrom([]string{"mm", "µm", "in", "N·m", "lbf·ft", "°C", "h", "%", "°", "cSt"}).Draw(t, "unit"))
		if err != nil {
			t.Fatal(err)
		}
		decimals := rapid.IntRange(0, 4).Draw(t, "decimals")
		value := func(label string) float64 {
			return u.ToBase(float64(rapid.IntRange(-99999, 99999).Draw(t, label)) / math.Pow(10, float64(decimals)))
		}
		n := Exact(value("x"))
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 1:
			y := value("y")
			n.Lo, n.Hi = min(n.Lo, y), max(n.Lo, y)
		case 2:
			n.Hi, n.LoOpen = math.Inf(1), rapid.Bool().Draw(t, "open")
		case 3:
			n.Lo, n.HiOpen = math.Inf(-1), rapid.Bool().Draw(t, "open")
		}
		text := Format(n, u, decimals)
		w, err := ParseNumber(text, u)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		m := w.Number
		if !Equalish(m.Lo, n.Lo, 1e-5) || !Equalish(m.Hi, n.Hi, 1e-5) || m.LoOpen != n.LoOpen || m.HiOpen != n.HiOpen {
			t.Fatalf("%q reads back as %+v, was %+v", text, m, n)
		}
		if again := Format(m, u, decimals); again != text {
			t.Fatalf("%q is printed again as %q", text, again)
		}
	})
}

func TestFormatPlain(t *testing.T) {
	mm := mustUnit(t, "mm")
	for _, c := range []struct {
		x        float64
		decimals int
		want     string
	}{
		{0.00001, Shortest, "0.00001 mm"},
		{-0.0001, 2, "0.00 mm"},
		{1e21, Shortest, "1000000000000000000000 mm"},
		{12.05 - 12, Shortest, "0.05 mm"},
		{2.675, 2, "2.68 mm"},
		{14.9625, 3, "14.963 mm"},
		{math.NaN(), 2, "no number mm"},
	} {
		if got := FormatValue(c.x, mm, c.decimals); got != c.want {
			t.Errorf("%g at %d: %q, want %q", c.x, c.decimals, got, c.want)
		}
	}
	if got := Format(Number{Lo: math.Inf(-1), Hi: math.Inf(1)}, mm, 2); got != "any value" {
		t.Errorf("no bounds: %q", got)
	}
	if got := FormatDifference(5, mustUnit(t, "°F"), 1); got != "9.0 °F" {
		t.Errorf("a difference of 5 K: %q", got)
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"0.10 mm", "+21 um", "1.41 to 1.43 mm", "over 5 h", "at least 45 N·m", "1,5 mm", "W/(m·K)", "3 lbf-ft", "5 °", "1 to", "2e-3 mm^-1", "deg C", "−", "to to to"} {
		f.Add(s)
	}
	mm, err := UnitOf("mm")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, want := range []*Unit{nil, mm} {
			w, err := ParseNumber(text, want)
			if err != nil {
				var te *TextError
				if !errors.As(err, &te) {
					t.Fatalf("%q: a foreign error %T", text, err)
				}
				if n := len([]rune(text)); te.Start < 0 || te.End <= te.Start || te.End > n+1 || te.Message == "" || strings.Contains(te.Message, "\n") && !strings.Contains(text, "\n") {
					t.Fatalf("%q: %q at [%d,%d) of %d", text, te.Message, te.Start, te.End, n)
				}
				continue
			}
			if w.Unit == nil || math.IsNaN(w.Number.Lo) || math.IsNaN(w.Number.Hi) || w.Number.Lo > w.Number.Hi {
				t.Fatalf("%q = %+v", text, w)
			}
			if _, err := UnitOf(w.Unit.Symbol); err != nil {
				t.Fatalf("%q: its unit %s does not read back: %v", text, w.Unit.Symbol, err)
			}
		}
	})
}
