package handbook

import (
	"math"
	"slices"
)

// temperParameter is the Hollomon–Jaffe parameter in thousands:
//
//	P = (T + offset)(C + log10 t) / 1000
//
// with T in °C, t in hours; offset 273.15 (older sheets use 273).
func temperParameter(celsius, hours, c, offset float64) float64 {
	return (celsius + offset) * (c + math.Log10(hours)) / 1000
}

// equivalentHours is the time at temperature `at` worth `hours` at `celsius`.
func equivalentHours(celsius, hours, at, c, offset float64) float64 {
	return math.Pow(10, temperParameter(celsius, hours, c, offset)*1000/(at+offset)-c)
}

// temperLine is one published point: hardness after tempering.
type temperLine struct{ celsius, hb, rm, re float64 }

// A temperSeries is one source's line for one steel and quench, rising in
// temperature. memory: recalled, not read (the strengths of asm_4140 except
// at 425 °C were read).
type temperSeries struct {
	steel, quench, source, title string
	memory                       bool
	lines                        []temperLine
}

func degF(f float64) float64 { return (f - 32) * 5 / 9 }

const mott = "Mott, Machine Elements in Mechanical Design, appendix 3 and figures A4"

var temperTable = []temperSeries{
	{steel: "SAE 1040", quench: "water", source: "mott", title: mott + " (round of 0.53 in)", lines: []temperLine{
		{degF(400), 514, 0, 0}, {degF(500), 495, 0, 0}, {degF(600), 444, 0, 0}, {degF(700), 401, 0, 0}, {degF(800), 352, 0, 0},
		{degF(900), 293, 0, 0}, {degF(1100), 235, 0, 0}, {degF(1200), 201, 0, 0}, {degF(1300), 187, 0, 0}}},
	{steel: "SAE 1040", quench: "water", source: "data_sheet", title: "material data sheet, 13 mm round", lines: []temperLine{{595, 212, 0, 0}}},
	{steel: "SAE 1040", quench: "oil", source: "mott", title: mott, lines: []temperLine{{degF(400), 262, 0, 0}}},
	{steel: "AISI 1050", quench: "water", source: "asm", title: "ASM Metals Reference Book / Shigley Table A-21", memory: true, lines: []temperLine{
		{205, 514, 0, 0}, {315, 444, 0, 0}, {425, 375, 0, 0}, {540, 293, 0, 0}, {650, 235, 0, 0}}},
	{steel: "SAE 1144", quench: "oil", source: "mott", title: mott, lines: []temperLine{
		{degF(500), 269, 0, 0}, {degF(700), 255, 0, 0}, {degF(900), 241, 0, 0}, {degF(1000), 235, 0, 0}, {degF(1200), 217, 0, 0}, {degF(1300), 201, 0, 0}}},
	{steel: "SAE 1340", quench: "oil", source: "mott", title: mott, lines: []temperLine{
		{degF(500), 534, 0, 0}, {degF(800), 415, 0, 0}, {degF(900), 388, 0, 0}, {degF(1000), 363, 0, 0}, {degF(1200), 293, 0, 0}}},
	{steel: "AISI 4140", quench: "oil", source: "trade_association", title: "precision machining trade association notes", lines: []temperLine{
		{degF(800), 397, 0, 0}, {degF(900), 367, 0, 0}, {degF(1000), 335, 0, 0}, {degF(1100), 305, 0, 0}}},
	{steel: "AISI 4140", quench: "oil", source: "asm", title: "ASM Metals Reference Book / Shigley Table A-21", memory: true, lines: []temperLine{
		{205, 510, 1772, 1641}, {315, 445, 1551, 1434}, {425, 370, 1250, 1140}, {540, 285, 951, 834}, {650, 230, 758, 655}}},
	{steel: "AISI 4140", quench: "oil", source: "mott", title: mott, lines: []temperLine{{degF(700), 461, 0, 0}, {degF(1000), 341, 0, 0}}},
}

// at interpolates the series in a straight line between its points; false
// outside them.
func (s temperSeries) at(celsius float64) (temperLine, bool) {
	const near = 0.06 // °C: printed °C are rounded to a tenth
	for i, l := range s.lines {
		if math.Abs(celsius-l.celsius) <= near {
			return l, true
		}
		if i > 0 && s.lines[i-1].celsius < celsius && celsius < l.celsius {
			p := s.lines[i-1]
			x := (celsius - p.celsius) / (l.celsius - p.celsius)
			mix := func(a, b float64) float64 { return a + x*(b-a) }
			return temperLine{celsius, mix(p.hb, l.hb), mix(p.rm, l.rm), mix(p.re, l.re)}, true
		}
	}
	return temperLine{}, false
}

func temperWords(of func(temperSeries) string) []string {
	var words []string
	for _, s := range temperTable {
		if !slices.Contains(words, of(s)) {
			words = append(words, of(s))
		}
	}
	return words
}

// temperedHB is the hardness over the sources that reach the temperature.
func temperedHB(steel, quench, source string, celsius float64) (mid, lo, hi float64, n int) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, s := range temperTable {
		if s.steel != steel || s.quench != quench || source != "all" && s.source != source {
			continue
		}
		if l, ok := s.at(celsius); ok {
			lo, hi, n = min(lo, l.hb), max(hi, l.hb), n+1
		}
	}
	return (lo + hi) / 2, lo, hi, n
}

// reach tells in words what the table holds for a steel and quench.
func reach(steel, quench, source string) string {
	out := ""
	for _, s := range temperTable {
		if s.steel == steel && s.quench == quench && (source == "all" || s.source == source) {
			if out != "" {
				out += "; "
			}
			first, last := s.lines[0].celsius, s.lines[len(s.lines)-1].celsius
			out += s.source + " " + number(math.Round(first)) + " to " + withUnit(math.Round(last), "°C")
		}
	}
	if out == "" {
		return "a steel and quench the source tabulates"
	}
	return "tabulated for " + steel + " quenched in " + quench + ": " + out
}

func temperTitles() string {
	out := ""
	for _, s := range temperTable {
		if out != "" {
			out += "; "
		}
		out += s.steel + " " + s.quench + " " + s.source + ": " + s.title
		if s.memory {
			out += " (hardness from memory)"
		}
	}
	return out
}

func temperEntries() []*Entry {
	steel := word("steel", "the steel", temperWords(func(s temperSeries) string { return s.steel })...)
	quench := word("quench", "what it was quenched in", temperWords(func(s temperSeries) string { return s.quench })...)
	source := word("source", "which source, or all", append([]string{"all"}, temperWords(func(s temperSeries) string { return s.source })...)...).orText("all")
	temperature := func(name, means string) Param { return num(name, "°C", means, 20, 720) }
	c := Param{Name: "constant", Means: "C: 20 for hours is usual; 15 to 22 in the literature", Lo: 10, Hi: 25}.or(20).rises()
	offset := Param{Name: "kelvin_offset", Unit: "K", Means: "0 °C in kelvin; older sheets use 273", Lo: 273, Hi: 273.15}.or(273.15).rises()
	cautions := []string{
		"sources differ by 10 % and more for one steel; the span is over the sources that reach the temperature",
		"quench, section and composition matter as much as the temperature: 1040 tempered at 400 °F is 514 HB from water, 262 from oil",
		"bulk hardness; a case-hardened or nitrided skin follows other tables",
	}
	const hjSource = "Hollomon and Jaffe (1945), as P = (T + 273)(20 + log10 t)/1000 with t in hours"
	return []*Entry{
		entry(Entry{
			Name: "temper_parameter", Title: "Hollomon–Jaffe parameter: temperature and time of tempering in one figure",
			Formula: "P = (T + 273.15)(C + log10 t) / 1000, T in °C, t in hours",
			Params:  []Param{num("temperature", "°C", "T", 0, 800).rises(), Param{Name: "time", Unit: "h", Means: "t", Lo: 0.001, Hi: 1e6}.rises(), c, offset},
			Results: []Param{anyNumber("parameter", "", "P, thousands of kelvin")},
			Domain:  "0 to 800 °C, a few seconds to 1e6 h", Source: hjSource,
			Cautions: []string{
				"the constant belongs to the unit of time: one printed copy takes minutes without dividing by 60, which makes P larger by 1.78 T/1000",
				"15 to 21 are the usual values for plate; a valve-train part blued at 300 °C for an hour is only 11.5",
			},
		}, func(a []Arg) ([]float64, error) { return one(temperParameter(a[0].Num, a[1].Num, a[2].Num, a[3].Num)) }),
		entry(Entry{
			Name: "temper_parameter_combined", Title: "Hollomon–Jaffe parameter of several heatings, by equivalent time",
			Formula: "each heating is turned into the time at the hottest temperature with the same P; the times add",
			Params:  []Param{num("temperatures", "°C", "T of each heating", 0, 800).many(), Param{Name: "times", Unit: "h", Means: "t of each heating", Lo: 0.001, Hi: 1e6, List: true}, c, offset},
			Results: []Param{anyNumber("parameter", "", "P, thousands of kelvin"), anyNumber("time_at_hottest", "h", "time at the hottest temperature worth all")},
			Domain:  "0 to 800 °C, as many times as temperatures", Source: "API 934 meeting presentation, tempering parameter of combined treatments",
			Cautions: []string{"the temperature chosen for reference shifts the sum slightly; here it is the hottest"},
		}, func(a []Arg) ([]float64, error) {
			ts, hs := a[0].List, a[1].List
			if len(ts) != len(hs) {
				return nil, refuse("times", "one time for each temperature", "")
			}
			hot, sum := slices.Max(ts), 0.0
			for i := range ts {
				sum += equivalentHours(ts[i], hs[i], hot, a[2].Num, a[3].Num)
			}
			return []float64{temperParameter(hot, sum, a[2].Num, a[3].Num), sum}, nil
		}),
		entry(Entry{
			Name: "temper_parameter_range", Title: "Usual values of the Hollomon–Jaffe parameter for plate",
			Formula: "table", Results: []Param{anyNumber("low", "", "least usual P for C = 20"), anyNumber("high", "", "greatest")},
			Domain: "C = 20, hours", Source: "steel-plate maker's tempering-parameter help page",
			Cautions: []string{"parts heated in service lie below it: 300 °C for an hour is 11.5"},
		}, func([]Arg) ([]float64, error) { return []float64{15, 21}, nil }),
		entry(Entry{
			Name: "tempered_hardness", Title: "Hardness of a quenched steel after tempering",
			Formula: "table, straight line between its points; with source = all the middle of the span over the sources that reach there",
			Params:  []Param{steel, quench, temperature("temper", "tempering temperature, about an hour"), source},
			Results: []Param{anyNumber("hardness", "HB", "middle of the span"), anyNumber("low", "HB", "least of the sources"), anyNumber("high", "HB", "greatest"), anyNumber("sources", "", "sources that reach the temperature")},
			Domain:  "the steels, quenches and temperatures tabulated; refused outside each source's range", Source: temperTitles(), Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			mid, lo, hi, n := temperedHB(a[0].Text, a[1].Text, a[3].Text, a[2].Num)
			if n == 0 {
				return nil, refuse("temper", reach(a[0].Text, a[1].Text, a[3].Text), "")
			}
			return []float64{mid, lo, hi, float64(n)}, nil
		}),
		entry(Entry{
			Name: "tempered_strength", Title: "Strength of a quenched steel after tempering",
			Formula: "table, straight line between its points",
			Params:  []Param{word("steel", "the steel", "AISI 4140"), word("quench", "what it was quenched in", "oil"), temperature("temper", "tempering temperature").falls()},
			Results: []Param{anyNumber("tensile", "MPa", "Rm"), anyNumber("yield", "MPa", "Re")},
			Domain:  "AISI 4140 quenched in oil, 205 to 650 °C", Source: "ASM single-heat data (205, 315, 540, 650 °C read; 425 °C from memory)", Cautions: cautions[1:],
		}, func(a []Arg) ([]float64, error) {
			for _, s := range temperTable {
				if l, ok := s.at(a[2].Num); ok && s.steel == a[0].Text && s.quench == a[1].Text && l.rm != 0 {
					return []float64{l.rm, l.re}, nil
				}
			}
			return nil, refuse("temper", "from 205 to 650 °C", "")
		}),
		entry(Entry{
			Name: "hardness_after_exposure", Title: "Hardness left after a heating in service",
			Formula: "the exposure is turned into the one-hour temper T₁ of equal Hollomon–Jaffe P: (T₁ + 273.15) C = (T + 273.15)(C + log10 t);  the harder of the two tempers is lost: HB at max(T₁, temper)",
			Params: []Param{
				steel, quench, temperature("temper", "how it was tempered when made"),
				temperature("exposure", "temperature it reached, such as tint_celsius gives"), Param{Name: "time", Unit: "h", Means: "how long in all", Lo: 0.01, Hi: 10000}, source, c.unknown(),
			},
			Results: []Param{
				anyNumber("hardness", "HB", "left after the exposure, middle of the span"), anyNumber("low", "HB", "least of the sources"), anyNumber("high", "HB", "greatest"),
				anyNumber("lost", "HB", "less than before the exposure"), anyNumber("equivalent", "°C", "one-hour temper the exposure is worth"),
			},
			Domain: "where both tempers lie inside the table; the table's tempers are taken as one hour", Source: hjSource + "; " + temperTitles(), Cautions: append([]string{
				"an estimate: measure the hardness on the part, on a seat that ran cool and on the one that ran hot",
				"above about 720 °C the steel hardens anew on cooling; the tint scale ends far below",
			}, cautions...),
		}, func(a []Arg) ([]float64, error) {
			c := a[6].Num
			before, exposed := a[2].Num, temperParameter(a[3].Num, a[4].Num, c, 273.15)*1000/c-273.15
			src := a[5].Text
			mid0, _, _, n0 := temperedHB(a[0].Text, a[1].Text, src, before)
			if n0 == 0 {
				return nil, refuse("temper", reach(a[0].Text, a[1].Text, src), "")
			}
			mid, lo, hi, n := temperedHB(a[0].Text, a[1].Text, src, max(before, exposed))
			if n == 0 {
				return nil, refuse("exposure", reach(a[0].Text, a[1].Text, src), "this exposure is worth "+withUnit(math.Round(exposed), "°C")+" for one hour")
			}
			return []float64{mid, lo, hi, mid0 - mid, exposed}, nil
		}),
	}
}
