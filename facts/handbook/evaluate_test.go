package handbook

import (
	"flag"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

var update = flag.Bool("update", false, "write the golden files anew")

func golden(t *testing.T, file, got string) {
	t.Helper()
	path := "testdata/" + file
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; look, then run with -update:\n%s", path, got)
	}
}

// What a person reads at the bench, whole.
func TestPagesReadWell(t *testing.T) {
	golden(t, "list.golden", RenderList(All()))
	var pages strings.Builder
	for _, name := range []string{"fit", "screw_torque_check", "tint_celsius", "shaft_feed", "wear_life"} {
		e, ok := Lookup(name)
		if !ok {
			t.Fatal(name)
		}
		pages.WriteString(Render(e) + "\n")
	}
	golden(t, "pages.golden", pages.String())
	answers := RenderAnswer(ask(t, "fit", "fit", "18 H7/f7")) + "\n" +
		RenderAnswer(ask(t, "screw_torque_check", "thread", "M8x1", "class", "8.8", "torque", "25 lbf·ft")) + "\n" +
		RenderAnswer(ask(t, "wear_life", "wear", "69 µm", "hours", "2310 h", "limit", "0.1 mm", "u_wear", "0.0035 mm")) + "\n" +
		RenderAnswer(ask(t, "shaft_feed", "play", "49 63 104 169 µm", "play_new", "30 30 30 30", "spacing", "20 35 60 35", "diameter", "15", "width", "22", "feed_diameter", "0.8")) + "\n" +
		RenderAnswer(ask(t, "washer_set", "thicknesses", "1.45 1.50 1.55 0.30 mm", "gap", "1.90 mm", "play_min", "0.05 mm", "play_max", "0.15 mm")) + "\n" +
		RenderAnswer(ask(t, "hv_to_tensile", "hv", "210"))
	golden(t, "answers.golden", answers)
	for i, l := range strings.Split(pages.String(), "\n") {
		if utf8.RuneCountInString(l) > renderWidth {
			t.Errorf("line %d is %d wide", i+1, utf8.RuneCountInString(l))
		}
	}
}

// Every mistake a person can make at the bench, its message whole.
func TestMistakesAreTold(t *testing.T) {
	for _, x := range []struct {
		name string
		give map[string]string
		says string
	}{
		{"it_tolerence", nil, "the handbook has no entry \"it_tolerence\"\nhint: did you mean it_tolerance? whyworn handbook lists the entries"},
		{"it_tolerance", map[string]string{"nominal": "18 mm"}, "it_tolerance needs grade, standard tolerance grade\nhint: write grade=IT1"},
		{"it_tolerance", map[string]string{"nominl": "18 mm", "grade": "IT7"}, "it_tolerance has no argument \"nominl\"\nhint: did you mean nominal? it takes nominal, grade"},
		{"it_tolerance", map[string]string{"nominal": "18 N", "grade": "IT7"}, "nominal=18 N: N is a force, wanted is a length in mm\nhint: "},
		{"it_tolerance", map[string]string{"nominal": "17 to 18 mm", "grade": "IT7"}, "nominal=17 to 18 mm: one value is needed, not a range\nhint: ask once for each end of the range"},
		{"it_tolerance", map[string]string{"nominal": "501 mm", "grade": "IT7"}, "it_tolerance: nominal = 501 mm is outside the domain: over 0 to 500 mm"},
		{"it_tolerance", map[string]string{"nominal": "0.6 m", "grade": "IT7"}, "it_tolerance: nominal = 600 mm is outside the domain: over 0 to 500 mm"},
		{"tint_oxide", map[string]string{"colour": "purpel"}, "tint_oxide: colour = \"purpel\" is outside the domain: one of pale yellow, light yellow, straw yellow, purple, cornflower blue\nhint: did you mean \"purple\"?"},
		{"tempered_hardness", map[string]string{"steel": "SAE 1144", "quench": "oil", "temper": "200 °C"}, "tempered_hardness: temper = 200 °C is outside the domain: tabulated for SAE 1144 quenched in oil: mott 260 to 704 °C"},
		{"hrc_to_hv", map[string]string{"hrc": "70 HRC"}, "hrc_to_hv: hrc = 70 HRC is outside the domain: from 20 to 68 HRC"},
		{"thread_stress_area", map[string]string{"thread": "M10x1.3"}, "thread_stress_area: thread = \"M10x1.3\" is outside the domain: M10 with pitch 1.5, 1.25, 1, 0.75 mm"},
		{"washer_set", map[string]string{"thicknesses": "1.40, 1.45 mm", "gap": "3.20", "play_min": "0,1 mm", "play_max": "0.5 mm"},
			"thicknesses=1.40, 1.45 mm: the values of a list are parted by blanks\nhint: write 1.40 1.45 mm\n" +
				"gap=3.20: a unit is missing after 3.20\nhint: write 3.20 mm\nplay_min=0,1 mm: a comma in the number \"0,1\"\nhint: write 0.1"},
		{"fit", map[string]string{"size": "18 H7/f7"}, "fit has no argument \"size\"\nhint: it takes fit\nfit needs fit, nominal size in mm, hole class / shaft class\nhint: write \"fit=18 H7/f7\""},
		{"fit", map[string]string{"fit": "18,5 H7/f7"}, "fit: a comma in the size \"18,5\"\nhint: write 18.5"},
		{"reference_temperature", map[string]string{"at": "1"}, "reference_temperature takes no arguments, \"at\" was given"},
		{"washer_each", map[string]string{"gaps": "1.5 1.6 mm", "thicknesses": "1.4 mm", "play_min": "0 mm", "play_max": "1 mm"}, "washer_each: thicknesses = 1.4 mm is outside the domain: at least 2 washers, one for each gap"},
		{"thermal_growth", map[string]string{"length": "20 mm", "coefficient": "11.5 ppm/K", "rise": "30 °C"}, "rise=30 °C: °C is a point on a scale, wanted is a difference in K\nhint: write it as 30 K"},
		{"preload_from_torque", map[string]string{"torque": "40 lb·ft", "diameter": "10 mm", "stress_area": "58 mm²"}, "torque=40 lb·ft: "},
		{"viscosity_walther", map[string]string{"temperature": "60 °C", "v1": "5 mm²/s", "v2": "32 mm²/s"}, "viscosity_walther: v2 = 32 mm²/s is outside the domain: oil thins with heat: the viscosity must be lower at the hotter point"},
	} {
		_, err := Evaluate(x.name, x.give)
		if err == nil {
			t.Errorf("%s %v: no error", x.name, x.give)
			continue
		}
		if got := err.Error(); got != x.says && !(strings.HasSuffix(x.says, " ") && strings.HasPrefix(got, x.says)) {
			t.Errorf("%s %v:\n%s\nwanted:\n%s", x.name, x.give, got, x.says)
		}
	}
}

// Units in: one quantity in four spellings is one answer. A word may be in any
// case and with blanks for underscores.
func TestUnitsAndSpellingsIn(t *testing.T) {
	want := ask(t, "hertz_line", "load_per_length", "100 N/mm", "radius", "10 mm").in(t, "pressure", "MPa")
	for _, give := range [][]string{{"100 N/mm", "10 mm"}, {"100 kN/m", "1 cm"}, {"0.1 kN/mm", "0.01 m"}} {
		if got := ask(t, "hertz_line", "load_per_length", give[0], "radius", give[1]).in(t, "pressure", "MPa"); !near(got, want, 1e-12) {
			t.Errorf("%v: %v, wanted %v", give, got, want)
		}
	}
	if a, b := ask(t, "tint_celsius", "colour", "Pale-Yellow"), ask(t, "tint_celsius", "colour", "pale_yellow"); a.Results[0].Numbers[0] != b.Results[0].Numbers[0] {
		t.Error("spellings of one colour differ")
	}
	for _, list := range []string{"1.45 1.5 1.55 mm", "1450 1500 1550 µm"} {
		a := ask(t, "washer_set", "thicknesses", list, "gap", "1.6", "play_min", "0.05", "play_max", "0.15")
		if got := a.Results[0].Text(); got != "0.1 mm" {
			t.Errorf("%q: %s", list, got)
		}
	}
}

// What a person is told to write can be read: each argument's own example.
func TestExamplesAreRead(t *testing.T) {
	for _, e := range All() {
		for i := range e.Params {
			p := &e.Params[i]
			text := p.Assignment()
			if plain, err := strconv.Unquote(text); err == nil {
				text = plain
			}
			_, value, _ := strings.Cut(text, "=")
			if value == "" {
				t.Errorf("%s: %s has no example", e.Name, p.Name)
			}
			if _, err := p.parse(value); err != nil {
				t.Errorf("%s: %s: %v", e.Name, text, err)
			}
			if len(e.Params) == 1 {
				if _, err := Evaluate(e.Name, map[string]string{p.Name: value}); err != nil {
					t.Errorf("%s: %v", text, err)
				}
			}
		}
	}
}

func TestCallRefusesTheWrongNumberOfArguments(t *testing.T) {
	e, _ := Lookup("load_at_stress")
	if _, err := e.Call([]Arg{{Num: 1}}); err == nil || !strings.Contains(err.Error(), "1 arguments given, 2 needed: load_at_stress(area mm², stress MPa)") {
		t.Errorf("%v", err)
	}
}

// An argument slice belongs to the caller: a call leaves it as it was.
func TestCallKeepsTheCallersArguments(t *testing.T) {
	e, _ := Lookup("it_tolerance")
	args := []Arg{{Num: 18}, {Text: "it7"}}
	if _, err := e.Call(args); err != nil || args[1].Text != "it7" {
		t.Errorf("%v %+v", err, args)
	}
}

// What the printed figure says is the value to six figures.
func TestNumbersArePrintedPlain(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 16: "16", 0.00127: "0.00127", 1.3e-7: "1.3e-07", 206000: "206000", 1234567: "1234570", 0.1 + 0.2: "0.3", -0.5: "-0.5", 2e9: "2e+09"} {
		if got := number(v); got != want {
			t.Errorf("%v: %s, wanted %s", v, got, want)
		}
	}
}

func FuzzEvaluate(f *testing.F) {
	f.Add("it_tolerance", "nominal", "18 mm", "grade", "IT7")
	f.Add("washer_set", "thicknesses", "1 2 3 mm", "gap", "1,5")
	f.Add("fit", "fit", "18 H7/f7", "", "")
	f.Add("shaft_feed", "play", "49 63 104 µm", "play_new", "; ; 1")
	f.Add("tint_celsius", "colour", "grey\x00", "source", "all")
	f.Fuzz(func(t *testing.T, name, k1, v1, k2, v2 string) {
		a, err := Evaluate(name, map[string]string{k1: v1, k2: v2})
		if err != nil {
			if !utf8.ValidString(name+k1+v1+k2+v2) || err.Error() != "" {
				return
			}
			t.Error("an empty message")
		}
		for _, r := range a.Results {
			for _, n := range r.Numbers {
				if math.IsInf(n, 0) {
					t.Errorf("%s %s=%q %s=%q: %s is infinite", name, k1, v1, k2, v2, r.Name)
				}
			}
			if r.Text() == "" {
				t.Errorf("%s: %s prints nothing", name, r.Name)
			}
		}
		if RenderAnswer(a) == "" {
			t.Error("nothing to read")
		}
	})
}

// A bound reached through other units is still inside: 752 °F is the
// end of the domain, and 673.15 K is 400 °C but for the last bits.
func TestBoundsSurviveUnits(t *testing.T) {
	ask(t, "tint_after_hold", "temperature", "752 °F", "hold", "60 min")
	e, _ := Lookup("tint_after_hold")
	if _, err := e.Call([]Arg{{Num: 673.15 - 273.15}, {Num: 60}}); err != nil {
		t.Error(err)
	}
	it, _ := Lookup("it_tolerance")
	if out, err := it.Call([]Arg{{Num: 17.9 + 0.1 + 4e-15}, {Text: "IT7"}}); err != nil || out[0] != 18 {
		t.Errorf("18 mm by a sum: %v %v", out, err)
	}
}
