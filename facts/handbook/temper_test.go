package handbook

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The families come in the order of the temperatures the tables give them.
func TestTintsRiseWithTheirOrder(t *testing.T) {
	last := 0.0
	for _, f := range tintFamilies {
		m := ask(t, "tint_celsius", "colour", f).in(t, "middle", "°C")
		if m <= last {
			t.Errorf("%s at %v °C does not follow %v", f, m, last)
		}
		last = m
		a := ask(t, "tint_celsius", "colour", f) // the caution on the page says 20 to 45 °C
		if span := a.in(t, "span", "K"); span < 20 || span > 45 || math.Abs(span-(a.in(t, "high", "°C")-a.in(t, "low", "°C"))) > 1e-9 {
			t.Errorf("%s: span %v K", f, span)
		}
	}
}

func TestEveryTintNamesAKnownTable(t *testing.T) {
	for _, l := range tints {
		if !slices.ContainsFunc(tintSources, func(s struct {
			key, title string
			memory     bool
		}) bool {
			return s.key == l.source
		}) || !slices.Contains(tintFamilies, l.family) || l.f == 0 && l.c == 0 {
			t.Errorf("%+v", l)
		}
	}
}

// More time never gives an earlier colour, at either bound.
func TestTimeShiftsTintsOneWay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c, m := draw(rt, "temperature", 150, 400), math.Pow(10, draw(rt, "log minutes", 0, 3.7))
		l1, h1 := tintBounds(c, m)
		l2, h2 := tintBounds(c+draw(rt, "hotter", 0, 50), m*math.Pow(10, draw(rt, "longer", 0, 1)))
		if l2 < l1 || h2 < h1 {
			rt.Fatalf("%v °C %v min: %d to %d, hotter and longer %d to %d", c, m, l1, h1, l2, h2)
		}
	})
	if _, err := Evaluate("tint_after_hold", map[string]string{"temperature": "195 °C", "hold": "2000 min"}); err == nil {
		t.Error("no published point bounds 2000 min at 195 °C, yet there is an answer")
	}
}

// Heating for one hour is the table's own temper; ten times the time at one
// temperature is worth more, and a heating below the temper takes nothing.
func TestHardnessAfterExposure(t *testing.T) {
	at := func(temper, exposure, time string) Answer {
		return ask(t, "hardness_after_exposure", "steel", "SAE 1040", "quench", "water", "temper", temper, "exposure", exposure, "time", time)
	}
	table := ask(t, "tempered_hardness", "steel", "SAE 1040", "quench", "water", "temper", "400 °C").in(t, "hardness", "HB")
	if got := at("210 °C", "400 °C", "1 h").in(t, "hardness", "HB"); math.Abs(got-table) > 1e-6 {
		t.Errorf("an hour at 400 °C leaves %v HB, the temper at 400 °C %v", got, table)
	}
	if long := at("210 °C", "400 °C", "10 h").in(t, "hardness", "HB"); long >= table {
		t.Errorf("ten hours leave %v HB, one hour %v", long, table)
	}
	if lost := at("500 °C", "250 °C", "1 h").in(t, "lost", "HB"); lost != 0 {
		t.Errorf("a heating below the temper took %v HB", lost)
	}
	if _, err := Evaluate("hardness_after_exposure", map[string]string{"steel": "SAE 1040", "quench": "water", "temper": "210 °C", "exposure": "700 °C", "time": "100 h"}); err == nil {
		t.Error("an exposure past the table is answered")
	}
}

// Equivalent time: one heating alone is itself, order does not matter, and a
// heating split in two is the same heating.
func TestCombinedTemperParameter(t *testing.T) {
	e, _ := Lookup("temper_parameter_combined")
	p := func(ts, hs []float64) float64 {
		out, err := e.Call([]Arg{{List: ts}, {List: hs}, {Num: 20}, {Num: 273.15}})
		if err != nil {
			t.Fatal(err)
		}
		return out[0]
	}
	rapid.Check(t, func(rt *rapid.T) {
		a, b := draw(rt, "T", 200, 700), draw(rt, "T", 200, 700)
		x, y := draw(rt, "t", 0.1, 50), draw(rt, "t", 0.1, 50)
		if !near(p([]float64{a}, []float64{x}), temperParameter(a, x, 20, 273.15), 1e-12) || !near(p([]float64{a, b}, []float64{x, y}), p([]float64{b, a}, []float64{y, x}), 1e-12) ||
			!near(p([]float64{a, a}, []float64{x, y}), p([]float64{a}, []float64{x + y}), 1e-12) {
			rt.Fatal("equivalent times do not add")
		}
	})
}

func TestTemperTableFallsAndRefuses(t *testing.T) {
	for _, s := range temperTable {
		for i := 1; i < len(s.lines); i++ {
			if s.lines[i].celsius <= s.lines[i-1].celsius || s.lines[i].hb >= s.lines[i-1].hb {
				t.Errorf("%s %s %s: line %d does not fall", s.steel, s.quench, s.source, i+1)
			}
		}
		if _, ok := s.at(s.lines[0].celsius - 1); ok {
			t.Errorf("%s %s answers below its first line", s.steel, s.source)
		}
		if _, ok := s.at(s.lines[len(s.lines)-1].celsius + 1); ok {
			t.Errorf("%s %s answers above its last line", s.steel, s.source)
		}
	}
}
