package handbook

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// celsius is the temperature of the line as its table prints it, in °C: °C
// goes before °F where a table prints both, each rounded.
func (t tint) celsius() float64 {
	if t.c != 0 {
		return t.c
	}
	return (t.f - 32) * 5 / 9
}

// fahrenheit likewise, °F first.
func (t tint) fahrenheit() float64 {
	if t.f != 0 {
		return t.f
	}
	return t.c*9/5 + 32
}

// spanCelsius is the least and greatest temperature the line stands for.
func (t tint) spanCelsius() (lo, hi float64) {
	if t.fLow != 0 {
		return (t.fLow - 32) * 5 / 9, (t.fHigh - 32) * 5 / 9
	}
	return t.celsius(), t.celsius()
}

// tintWords are what a tint may be called: the families, then every name a
// table prints.
func tintWords() []string {
	words := slices.Clone(tintFamilies)
	for _, t := range tints {
		if !slices.ContainsFunc(words, func(w string) bool { return fold(w) == fold(t.colour) }) {
			words = append(words, t.colour)
		}
	}
	return words
}

func tintSourceWords() []string {
	words := []string{"all"}
	for _, s := range tintSources {
		words = append(words, s.key)
	}
	return words
}

// tintLines are the lines of the tables for a colour: a family takes all its
// lines, another word only those printed under that name.
func tintLines(colour, source string) []tint {
	family := slices.Contains(tintFamilies, colour)
	var out []tint
	for _, t := range tints {
		// "straw", "blue", … are family and printed name at once. With one
		// source named, its own line of that name goes first.
		if source != "all" && t.source != source {
			continue
		}
		if family && t.family == colour || !family && fold(t.colour) == fold(colour) {
			out = append(out, t)
		}
	}
	if source != "all" && family {
		named := slices.DeleteFunc(slices.Clone(out), func(t tint) bool { return fold(t.colour) != fold(colour) })
		if len(named) > 0 {
			return named
		}
	}
	return out
}

// shortHeatingMinutes is how long the tables' "short heating" is taken to be
// at most; common practice, no source.
const shortHeatingMinutes = 5

// heldTints are observations of longer holding: temperature °C, minutes, and
// the family seen. Sources: Rapatz, Die Edelstähle, ch. 5, as cited in a
// knife-makers' forum; the last from tempering-colour notes of several trade
// pages (400 °F, "very long", read as 600 min; brown or purple).
var heldTints = []struct {
	celsius, minutes float64
	least, most      string
}{
	{230, 45, "blue", "blue"},
	{200, 5, "pale_yellow", "pale_yellow"},
	{204, 600, "brown", "purple"},
}

// tintBounds gives the earliest and latest family (index in tintFamilies, −1
// none yet) that the published points allow after holding at celsius for
// minutes: more heat or more time never gives an earlier colour.
func tintBounds(celsius, minutes float64) (least, most int) {
	least, most = -1, len(tintFamilies)
	for _, h := range heldTints {
		if h.celsius <= celsius && h.minutes <= minutes {
			least = max(least, slices.Index(tintFamilies, h.least))
		}
		if h.celsius >= celsius && h.minutes >= minutes {
			most = min(most, slices.Index(tintFamilies, h.most))
		}
	}
	for i, f := range tintFamilies {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, t := range tintLines(f, "all") {
			l, h := t.spanCelsius()
			lo, hi = min(lo, l), max(hi, h)
		}
		if celsius >= hi && minutes >= shortHeatingMinutes {
			least = max(least, i)
		}
		if celsius < lo && minutes <= shortHeatingMinutes {
			most = min(most, i-1)
		}
	}
	return least, most
}

func tintEntries() []*Entry {
	var titles []string
	for _, s := range tintSources {
		title := s.title
		if s.memory {
			title += " (from memory)"
		}
		titles = append(titles, s.key+": "+title)
	}
	cautions := []string{
		"handbooks disagree by 20 to 45 °C about one colour; the span is shown, the middle is no measurement",
		"time shifts it: 230 °C held 45 min gives blue, as 300 °C does in minutes; a part held long was cooler than its colour says",
		"for plain carbon steel with a bright surface; alloyed and stainless steel colour later, oil and dirt change the shade",
		"lacquered oil looks like straw or brown and comes off with solvent; tint does not",
		"the surface alone; how deep the heat went is told by hardness, not by colour",
	}
	sourceParam := word("source", "which table, or all", tintSourceWords()...).orText("all")
	first := func(a []Arg) ([]tint, []float64, error) {
		lines := tintLines(a[0].Text, a[1].Text)
		if len(lines) == 0 {
			return nil, nil, refuse("colour", "a colour that table prints", "leave source out to ask all tables")
		}
		var cs []float64
		for _, t := range lines {
			cs = append(cs, t.celsius())
		}
		slices.Sort(cs)
		return lines, cs, nil
	}
	ten := append([]string{"none"}, tintFamilies...)
	return []*Entry{
		entry(Entry{
			Name: "tint_celsius", Title: "Temperature a heat tint tells of, and how far handbooks disagree",
			Formula: "median, least and greatest over the published tables that name the colour",
			Params:  []Param{word("colour", "the tint, or the family it belongs to", tintWords()...), sourceParam},
			Results: []Param{
				anyNumber("middle", "°C", "median over the tables"), anyNumber("low", "°C", "lowest any table gives"), anyNumber("high", "°C", "highest"),
				anyNumber("span", "K", "how far the tables disagree"), anyNumber("lines", "", "lines of tables this rests on"),
			},
			Domain: "heated for minutes in air; colours from pale yellow to grey, about 200 to 360 °C; no tint is no reading: the part stayed cooler, or was cleaned",
			Source: strings.Join(titles, "; "), Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			lines, cs, err := first(a)
			if err != nil {
				return nil, err
			}
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, t := range lines {
				l, h := t.spanCelsius()
				lo, hi = min(lo, l), max(hi, h)
			}
			return []float64{median(cs), lo, hi, hi - lo, float64(len(cs))}, nil
		}),
		entry(Entry{
			Name: "tint_fahrenheit", Title: "Heat tint as the tables print it in °F",
			Formula: "median, least and greatest over the published tables that name the colour",
			Params:  []Param{word("colour", "the tint, or the family it belongs to", tintWords()...), sourceParam},
			Results: []Param{anyNumber("middle", "°F", "median over the tables"), anyNumber("low", "°F", "lowest"), anyNumber("high", "°F", "highest")},
			Domain:  "as tint_celsius", Source: strings.Join(titles, "; "), Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			lines, _, err := first(a)
			if err != nil {
				return nil, err
			}
			var fs []float64
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, t := range lines {
				fs = append(fs, t.fahrenheit())
				l, h := t.fahrenheit(), t.fahrenheit()
				if t.fLow != 0 {
					l, h = t.fLow, t.fHigh
				}
				lo, hi = min(lo, l), max(hi, h)
			}
			slices.Sort(fs)
			return []float64{median(fs), lo, hi}, nil
		}),
		entry(Entry{
			Name: "tint_oxide", Title: "Oxide thickness under a heat tint",
			Formula: "table",
			Params:  []Param{word("colour", "the tint as the table names it", oxideWords()...)},
			Results: []Param{anyNumber("thickness", "nm", "of the oxide film")},
			Domain:  "five colours of one table", Source: "plating-trade lexicon, annealing colours on steel with oxide thickness",
			Cautions: []string{"one table, which itself puts light blue before violet"},
		}, func(a []Arg) ([]float64, error) {
			for _, t := range tints {
				if t.oxide != 0 && t.colour == a[0].Text {
					return one(t.oxide)
				}
			}
			return nil, refuse("colour", "a colour with a thickness", "")
		}),
		entry(Entry{
			Name: "tint_after_hold", Title: "Which tints a temperature held for a time can have given",
			Formula: "bounds from published points: more heat or more time never gives an earlier colour",
			Params: []Param{
				num("temperature", "°C", "temperature of the steel", 150, 400).rises(),
				Param{Name: "hold", Unit: "min", Means: "time at that temperature", Lo: 1, Hi: 6000}.rises(),
			},
			Results: []Param{
				word("least", "the earliest colour the points allow", ten...),
				word("most", "the latest colour the points allow", ten...),
			},
			Domain:   "150 to 400 °C, 1 to 6000 min; refused where no published point bounds the answer from either side",
			Source:   "Rapatz, Die Edelstähle, ch. 5, as cited in a knife-makers' forum (230 °C 45 min blue, 200 °C a few minutes pale yellow); tempering-colour notes of several trade pages (204 °C very long: brown or purple); the tables of tint_celsius for up to 5 min; 5 min for short heating is common practice, no source",
			Cautions: append([]string{"where the sources contradict each other the later colour of the two bounds is given as both"}, cautions[2:]...),
		}, func(a []Arg) ([]float64, error) {
			least, most := tintBounds(a[0].Num, a[1].Num)
			if least < 0 && most >= len(tintFamilies) {
				return nil, refuse("hold", fmt.Sprintf("combinations near a published point; nothing is known for %s held %s", withUnit(a[0].Num, "°C"), withUnit(a[1].Num, "min")), "")
			}
			most = max(min(most, len(tintFamilies)-1), least)
			return []float64{float64(least + 1), float64(most + 1)}, nil
		}),
	}
}

func oxideWords() []string {
	var words []string
	for _, t := range tints {
		if t.oxide != 0 {
			words = append(words, t.colour)
		}
	}
	return words
}

// median of a sorted, non-empty list.
func median(v []float64) float64 {
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}
