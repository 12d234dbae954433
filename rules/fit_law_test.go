package rules_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/rules"
)

func writeFile(t testing.TB, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// answers are written values of seats, right and wrong ones.
var answers = map[string][]any{
	"tint":     {"none", "straw or blue", "at least straw", "?", "", "bleu", 3},
	"mark":     {"none", "nick", "?", "at least nick"},
	"rust":     {"yes", "no", true, "", "true", map[string]any{"is": "no", "by": "eye"}},
	"lines":    {3, "2 to 4", "?", 2.5},
	"wetted":   {"12 %", "at most 30 %", 12},
	"diameter": {"14.92 14.97 / 14.90 14.97", "14.93 14.98 / 14.91 14.98", "?", "14.92"},
	"found":    {"in_place", "missing", "gone"},
	"ran_hot":  {"yes"},
}

// randomSeats gives a table [seat] as a tree that both formats can hold.
func randomSeats(t *rapid.T) map[string]any {
	ids := make([]string, 0, len(answers))
	for id := range answers {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	table := map[string]any{}
	for _, line := range []string{"all", "1in", "1ex", "2in"} {
		if rapid.IntRange(0, 3).Draw(t, line) == 0 {
			continue
		}
		row := map[string]any{}
		for _, id := range rapid.SliceOfNDistinct(rapid.SampledFrom(ids), 0, 4, rapid.ID[string]).Draw(t, "ids of "+line) {
			row[id] = rapid.SampledFrom(answers[id]).Draw(t, id)
		}
		table[line] = row
	}
	return table
}

func toTOML(v any) string {
	switch v := v.(type) {
	case map[string]any:
		keys := make([]string, 0, len(v))
		for k := range v {
			keys = append(keys, k)
		}
		slices.Sort(keys) // as encoding/json has them
		for i, k := range keys {
			keys[i] = fmt.Sprintf("%s = %s", k, toTOML(v[k]))
		}
		return "{ " + strings.Join(keys, ", ") + " }"
	case string:
		return fmt.Sprintf("%q", v)
	}
	return fmt.Sprint(v)
}

// TestJSONIsTOML: an inspection in JSON says what it says in TOML, and its
// problems are the same but for their place.
func TestJSONIsTOML(t *testing.T) {
	l := benchMachine(t, benchPack(t), twoSeats)
	rapid.Check(t, func(rt *rapid.T) {
		tree := map[string]any{"machine": "bench-1", "seat": randomSeats(rt)}
		data, _ := json.Marshal(tree)
		a := fitText(l, source.NewFile("i.json", data), true)
		text := "machine = \"bench-1\"\nseat = " + toTOML(tree["seat"]) + "\n"
		b := fitText(l, source.NewFile("i.toml", []byte(text)), false)
		if a != b {
			rt.Fatalf("%s\nas JSON\n%s\nas TOML\n%s", data, a, b)
		}
	})
}

func fitText(l *rules.Layout, file *source.File, isJSON bool) string {
	in, ps := facts.ParseInspection(file, isJSON)
	var b strings.Builder
	var f *rules.Facts
	if in != nil {
		var more source.Problems
		f, more = rules.FitTo(l, in)
		ps.Add(more...)
	}
	for _, p := range ps {
		message := strings.NewReplacer("a whole number", "a number", "a date", "a string").Replace(p.Message)
		fmt.Fprintln(&b, p.Code, message)
	}
	if f != nil {
		for i := range f.Observations {
			o := &f.Observations[i]
			fmt.Fprintln(&b, l.Parts[o.Part].ID, o.Prop.ID, valueText(l, o.Prop, &o.Value), o.Basis, o.ForAll)
		}
	}
	return b.String()
}

// TestLaws: whatever is written, observations are sorted, one for each property
// of a part; a basis is itself a written observation; nobody but a line that
// has no answer of its own is told for all; problems are in file order; and
// with errors there are no facts.
func TestLaws(t *testing.T) {
	l := benchMachine(t, benchPack(t), twoSeats)
	rapid.Check(t, func(rt *rapid.T) {
		seats := randomSeats(rt)
		in, ps := facts.ParseInspection(source.NewFile("i.toml", []byte("machine = \"bench-1\"\nseat = "+toTOML(seats)+"\n")), false)
		if len(ps) > 0 {
			rt.Skip("not an inspection")
		}
		f, ps := rules.FitTo(l, in)
		if (f == nil) != ps.HasErrors() {
			rt.Fatalf("facts %v with %v", f != nil, ps)
		}
		for i := 1; i < len(ps); i++ {
			if ps[i].At.Start < ps[i-1].At.Start {
				rt.Fatalf("not in file order: %v", ps)
			}
		}
		if f == nil {
			return
		}
		for i := range f.Observations {
			o := &f.Observations[i]
			if i > 0 {
				b := &f.Observations[i-1]
				if b.Part > o.Part || b.Part == o.Part && b.Prop.Index >= o.Prop.Index {
					rt.Fatalf("not sorted at %d", i)
				}
			}
			if f.Lookup(o.Part, o.Prop) != o {
				rt.Fatalf("%s is not found", o.Prop.ID)
			}
			basis := &f.Observations[o.Basis]
			if basis.Basis != o.Basis || basis.Part != o.Part || basis.Answer == nil {
				rt.Fatalf("%s rests on %s", o.Prop.ID, basis.Prop.ID)
			}
			line, _ := seats[l.Parts[o.Part].Row].(map[string]any)
			_, own := line[basis.Prop.ID]
			if own == o.ForAll {
				rt.Fatalf("%s.%s: an own answer %v, for all %v", l.Parts[o.Part].ID, o.Prop.ID, own, o.ForAll)
			}
		}
	})
}

// TestTermsShare: what two readings of one instrument share cancels in their
// difference, what is each one's own does not.
func TestTermsShare(t *testing.T) {
	l := benchMachine(t, benchPack(t), "[[place]]\nkind = \"screw\"\nid = \"a\"\n[[place]]\nkind = \"screw\"\nid = \"b\"\n")
	f, ps := rules.FitTo(l, inspection(t, `
[tools]
mic = { is = "micrometer", u = "0.003 mm", calibration = "0.1 mm" }
[a]
clearance = { is = "0.5 mm", tool = "mic" }
[b]
clearance = { is = "0.4 mm", tool = "mic" }
`))
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	d := f.Observations[0].Value.Number.Sub(f.Observations[1].Value.Number)
	if u := d.U(); u < 0.0042 || u > 0.0043 { // 0.003·√2 by hand
		t.Errorf("u of the difference is %g, not 0.0042", u)
	}
	if u := f.Observations[0].Value.Number.U(); u < 0.1 || u > 0.1001 {
		t.Errorf("u of one is %g, not 0.1", u)
	}
}

// TestExpandedCalibration: an expanded uncertainty with its coverage factor, as a
// certificate gives it, is the standard one times k (JCGM 100:2008, 6.2.1).
func TestExpandedCalibration(t *testing.T) {
	l := benchMachine(t, benchPack(t), "[[place]]\nkind = \"screw\"\nid = \"a\"\n")
	u := func(calibration string) float64 {
		f, ps := rules.FitTo(l, inspection(t, "[tools]\nmic = { is = \"micrometer\", calibration = "+calibration+" }\n[a]\nclearance = { is = \"0.5 mm\", tool = \"mic\" }\n"))
		if len(ps) > 0 {
			t.Fatal(ps)
		}
		return f.Observations[0].Value.Number.U()
	}
	if standard, expanded := u(`"0.012 mm"`), u(`{ U = "0.03 mm", k = 2.5 }`); standard == 0 || math.Abs(standard-expanded) > 1e-15 {
		t.Errorf("u is %g, of the expanded one %g", standard, expanded)
	}
}

// FuzzFit: whatever strangers write, there is an answer or a problem with its
// place, and no panic.
func FuzzFit(f *testing.F) {
	l := benchMachine(f, benchPack(f), twoSeats+"[[place]]\nkind = \"screw\"\nid = \"screw\"\n")
	for _, path := range []string{"values", "all", "found", "readings", "uncertainty", "work", "added", "beside"} {
		data, err := os.ReadFile("testdata/fit/" + path + ".txtar")
		if err != nil {
			f.Fatal(err)
		}
		_, text, _ := strings.Cut(string(data), "-- inspection.toml --\n")
		text, _, _ = strings.Cut(text, "-- facts --")
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		in, ps := facts.ParseInspection(source.NewFile("i.toml", []byte(text)), false)
		if in == nil {
			if len(ps) == 0 {
				t.Fatal("neither inspection nor problem")
			}
			return
		}
		if f, ps := rules.FitTo(l, in); (f == nil) != ps.HasErrors() {
			t.Fatalf("facts %v with %v", f != nil, ps)
		}
	})
}

// BenchmarkFitTo is one inspection of two seats, as the batch command fits
// many to one layout.
func BenchmarkFitTo(b *testing.B) {
	l := benchMachine(b, benchPack(b), twoSeats)
	in := inspection(b, `
[before]
oil = "none"
[seat]
all = { rust = "no" }
1in = { tint = "blue", mark = "nick", lines = 3, wetted = "12 %" }
1ex = { tint = "straw or blue", mark = "none", lines = 2, wetted = "10 to 20 %" }
[arm]
all = { noise = "no" }
`)
	b.ReportAllocs()
	for b.Loop() {
		if f, _ := rules.FitTo(l, in); f == nil {
			b.Fatal("no facts")
		}
	}
}
