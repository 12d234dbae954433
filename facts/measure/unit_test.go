package measure

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// Factors as printed in NIST SP 811 (2008), Appendix B.8 and B.9, from memory;
// where the definition is exact all digits are given, else the seven printed.
func TestPublishedConversionFactors(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     float64
		digits   int // 0: exact
	}{
		{"in", "mm", 25.4, 0},
		{"thou", "µm", 25.4, 0},
		{"ft", "m", 0.3048, 0},
		{"yd", "m", 0.9144, 0},
		{"mi", "km", 1.609344, 0},
		{"mi", "m", 1609.344, 0},
		{"lbf", "N", 4.448222, 7},
		{"kgf", "N", 9.80665, 0},
		{"ozf", "N", 0.2780139, 7},
		{"lbf·ft", "N·m", 1.355818, 7},
		{"lbf·in", "N·m", 0.1129848, 7},
		{"kgf·m", "N·m", 9.80665, 0},
		{"psi", "kPa", 6.894757, 7},
		{"ksi", "MPa", 6.894757, 7},
		{"bar", "kPa", 100, 0},
		{"bar", "psi", 14.50377, 7},
		{"lb", "kg", 0.45359237, 0},
		{"lb/ft³", "kg/m³", 16.01846, 7},
		{"lb/in³", "kg/m³", 27679.90, 7},
		{"lbf/in", "N/m", 175.1268, 7},
		{"cSt", "m²/s", 1e-6, 0},
		{"cSt", "mm²/s", 1, 0},
		{"St", "cSt", 100, 0},
		{"cP", "Pa·s", 1e-3, 0},
		{"rpm", "1/s", 1.0 / 60, 0},
		{"mph", "km/h", 1.609344, 0},
		{"l/min", "cm³/s", 1000.0 / 60, 0},
		{"l", "m³", 1e-3, 0},
		{"N/mm²", "MPa", 1, 0},
		{"J", "N·m", 1, 0},
		{"W", "J/s", 1, 0},
		{"kW", "N·m/s", 1000, 0},
		{"d", "h", 24, 0},
		{"h", "s", 3600, 0},
		{"1/°F", "1/K", 1.8, 0},
		{"µm/(m·K)", "1/K", 1e-6, 0},
		{"%", "1", 0.01, 0},
		{"kg", "N·s²/m", 1, 0},
		{"g/cm³", "kg/m³", 1000, 0},
	} {
		from, to := mustUnit(t, c.from), mustUnit(t, c.to)
		if from.Dim != to.Dim {
			t.Errorf("%s is %s, %s is %s", c.from, from.Dim, c.to, to.Dim)
			continue
		}
		ratio := new(big.Rat).Quo(&from.factor, &to.factor)
		got, _ := ratio.Float64()
		tolerance := 1e-15
		if c.digits > 0 {
			tolerance = 0.5 * math.Pow(10, float64(1-c.digits)) // half the last printed digit of a leading 1
		}
		if math.Abs(got/c.want-1) > tolerance {
			t.Errorf("1 %s = %.10g %s, published %.10g", c.from, got, c.to, c.want)
		}
	}
}

// Fixed points: ice, steam (ITS-90 to the degree), −40, absolute zero.
func TestTemperaturePoints(t *testing.T) {
	c, f, k := mustUnit(t, "°C"), mustUnit(t, "degF"), mustUnit(t, "K")
	for _, p := range [][3]float64{{0, 32, 273.15}, {100, 212, 373.15}, {-40, -40, 233.15}, {-273.15, -459.67, 0}, {20, 68, 293.15}} {
		if got := c.ToBase(p[0]); math.Abs(got-p[2]) > 1e-13 {
			t.Errorf("%g °C = %g K", p[0], got)
		}
		if got := f.ToBase(p[1]); math.Abs(got-p[2]) > 1e-13 {
			t.Errorf("%g °F = %.15g K, not %g", p[1], got, p[2])
		}
		if got := f.FromBase(k.ToBase(p[2])); math.Abs(got-p[1]) > 1e-13 {
			t.Errorf("%g K = %.15g °F", p[2], got)
		}
	}
	if !c.Point || !f.Point || k.Point {
		t.Error("°C and °F are points on a scale, K is not")
	}
	if got := f.DifferenceToBase(9); got != 5 {
		t.Errorf("a difference of 9 °F is %g K", got)
	}
}

func TestSpellingsShareOneUnit(t *testing.T) {
	for _, same := range [][]string{
		{"mm"}, {"µm", "um", "μm", "micron"}, {"in", "inch", `"`}, {"°C", "degC", "deg C", "ºC", "℃"},
		{"N·m", "Nm", "N.m", "N*m", "N m", "N⋅m", "N-m"}, {"lbf·ft", "lbf.ft", "lbf-ft", "ft·lbf", "lbf ft", "ft.lbf"},
		{"lbf·in", "lbf.in", "in·lbf"}, {"N/mm²", "N/mm2", "N/mm^2", "N·mm⁻²", "N·mm-2"},
		{"1/min", "min⁻¹", "min^-1"}, {"rpm", "rev/min"}, {"°", "deg", "degrees"}, {"1", ""}, {"mm²/s", "mm2/s"},
		{"kg/m³", "kg/m3", " kg / m3 "}, {"psi", "lbf/in²", "lbf/in2"}, {"HB", "HBW"}, {"l/min", "L/min"}, {"mm/s", "mm·s⁻¹", "s-1·mm"}, {"W/(m·K)", "W·m⁻¹·K⁻¹"},
	} {
		want := mustUnit(t, same[0])
		if want.Symbol != same[0] {
			t.Errorf("%s is printed %s", same[0], want.Symbol)
		}
		for _, s := range same {
			if got := mustUnit(t, s); got != want {
				t.Errorf("%q is %s at %p, not %s at %p", s, got.Symbol, got, want.Symbol, want)
			}
		}
	}
}

func TestUnitErrors(t *testing.T) {
	for _, c := range []struct {
		text, message, hint string
		start, end          int
	}{
		{"KN", "unknown unit KN", "did you mean kN?", 0, 2},
		{"mmm", "unknown unit mmm", "did you mean mm?", 0, 3},
		{"Mm", "unknown unit Mm", "did you mean mm?", 0, 2},
		{"mpa", "unknown unit mpa", "did you mean MPa?", 0, 3},
		{"NM", "unknown unit NM", "did you mean nm?", 0, 2},
		{"Bar", "unknown unit Bar", "did you mean bar?", 0, 3},
		{"lb·ft", "the unit lb·ft is not what is meant", "a pound here is a mass; for torque write lbf·ft", 0, 5},
		{"lb-ft", "the unit lb-ft is not what is meant", "a pound here is a mass; for torque write lbf·ft", 0, 5},
		{"kgm", "unknown unit kgm", "a kilogram is a mass; for torque write kgf·m or N·m", 0, 3},
		{"W/m/K", "a second / in the unit W/m/K", "write the divisor in brackets, as in W/(m·K)", 3, 4},
		{"W/m·K", "the divisor of the unit W/m·K is ambiguous", "write the divisor in brackets, as in W/(m·K)", 2, 5},
		{"mm9", "bad exponent in the unit mm9", "exponents run from 1 to 4, as in mm²", 0, 3},
		{"N·furlong", "unknown unit furlong", "known are mm, µm, in, thou, N, N·m, lbf·ft, bar, psi, MPa, °C, rpm, h, km, cSt, HRC, HB, HV, ° and others", 2, 9},
		{"N·", "a part of the unit is missing", "write a unit such as mm or N·m", 0, 2},
		{"/", "a part of the unit is missing", "write a unit such as mm or N·m", 0, 1},
	} {
		u, err := UnitOf(c.text)
		var te *TextError
		if !errors.As(err, &te) {
			t.Errorf("%s: %v, %v", c.text, u, err)
			continue
		}
		if te.Message != c.message || te.Hint != c.hint || te.Start != c.start || te.End != c.end {
			t.Errorf("%s: %q %q [%d,%d)", c.text, te.Message, te.Hint, te.Start, te.End)
		}
	}
}

// There and back is the same to the last place but one, and rounded once: no
// worse than exact arithmetic.
func TestConversionThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		symbol := rapid.SampledFrom(symbols).Draw(t, "unit")
		u, err := UnitOf(symbol)
		if err != nil {
			t.Fatal(err)
		}
		x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
		base := u.ToBase(x)
		exact := new(big.Rat).SetFloat64(x)
		exact.Add(exact, &u.offset).Mul(exact, &u.factor)
		if want, _ := exact.Float64(); base != want {
			t.Fatalf("%v %s = %v, exactly rounded %v", x, symbol, base, want)
		}
		back := u.FromBase(base)
		if math.Abs(back-x) > 1e-300+4e-16*(math.Abs(x)+2*math.Abs(u.Offset)) { // below 1e-300 numbers lose digits
			t.Fatalf("%v %s came back as %v", x, symbol, back)
		}
	})
}

// A dimension's name as a unit reads back as that dimension with factor 1.
func TestDimStringReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var d Dim
		for range rapid.IntRange(0, 4).Draw(t, "n") {
			d[rapid.IntRange(0, 7).Draw(t, "place")] = int8(rapid.IntRange(-4, 4).Draw(t, "power"))
		}
		u, err := UnitOf(d.String())
		if err != nil {
			t.Fatalf("%s: %v", d, err)
		}
		if u.Dim != d || u.Factor != 1 || u.Point {
			t.Fatalf("%s reads back as %s × %g", d, u.Dim, u.Factor)
		}
		if d.Mul(d).Div(d) != d || d.Pow(0) != (Dim{}) || d.Pow(2) != d.Mul(d) {
			t.Fatalf("%s: product and quotient disagree", d)
		}
	})
}
