package facts_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts"
	"whyworn/facts/source"
)

func machine(t testing.TB, text string) *facts.Machine {
	t.Helper()
	m, ps := facts.ParseMachine(source.NewFile("machine.toml", []byte("[machine]\nid = \"m\"\nname = \"m\"\npack = \"p\"\n"+text)))
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	return m
}

// TestPlaces: one place for each station and each item of a place's own lists,
// with the table and the line of an inspection that speak of it; {name-1} is
// nothing at the first station.
func TestPlaces(t *testing.T) {
	m := machine(t, `
[stations]
valve = ["1in", "1ex", "2in"]
from_feed = [1, 2, 3]
[[place]]
kind = "shaft"
id = "shaft"
[[place]]
kind = "seat"
id = "seat_{valve}"
name = "seat of {valve}"
refs = { shaft = "shaft", before = "seat_{valve-1}", after = "seat_{valve+1}", none = "", all = ["seat_1in", "seat_{valve+1}"] }
has = { from_feed = "{from_feed}", note = "no {valve}" }
[[place]]
kind = "keeper"
id = "keeper_{valve}_{half}"
of = { half = ["a", "b"] }
[[place]]
kind = "washer"
id = "end_washer_{end}"
of = { end = [1, 2] }
`)
	var got []string
	for _, p := range m.Places {
		line := fmt.Sprintf("%s [%s] %q station %q name %q", p.ID, p.Table, p.Row, p.Station, p.Name)
		for _, r := range p.Refs {
			line += " " + r.Property.Text + "="
			for _, to := range r.To {
				line += to.Text + ","
			}
		}
		for _, h := range p.Has {
			line += fmt.Sprintf(" %s is %s %s", h.Property.Text, h.Value.Kind, h.Value.Text)
		}
		got = append(got, line)
	}
	want := []string{
		`shaft [shaft] "" station "" name ""`,
		`seat_1in [seat] "1in" station "1in" name "seat of 1in" shaft=shaft, before= after=seat_1ex, none= all=seat_1in,seat_1ex, from_feed is a number 1 note is a string no 1in`,
		`seat_1ex [seat] "1ex" station "1ex" name "seat of 1ex" shaft=shaft, before=seat_1in, after=seat_2in, none= all=seat_1in,seat_2in, from_feed is a number 2 note is a string no 1ex`,
		`seat_2in [seat] "2in" station "2in" name "seat of 2in" shaft=shaft, before=seat_1ex, after= none= all=seat_1in, from_feed is a number 3 note is a string no 2in`,
		`keeper_1in_a [keeper] "1in_a" station "1in" name ""`,
		`keeper_1in_b [keeper] "1in_b" station "1in" name ""`,
		`keeper_1ex_a [keeper] "1ex_a" station "1ex" name ""`,
		`keeper_1ex_b [keeper] "1ex_b" station "1ex" name ""`,
		`keeper_2in_a [keeper] "2in_a" station "2in" name ""`,
		`keeper_2in_b [keeper] "2in_b" station "2in" name ""`,
		`end_washer_1 [end_washer] "1" station "" name ""`,
		`end_washer_2 [end_washer] "2" station "" name ""`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestCounts: a machine has stations × items places for each [[place]], all of
// different ids, whatever the lists hold.
func TestCounts(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		stations := rapid.SliceOfNDistinct(rapid.StringMatching(`[a-z0-9]{1,4}`), 1, 6, rapid.ID[string]).Draw(rt, "stations")
		items := rapid.SliceOfNDistinct(rapid.StringMatching(`[a-z0-9]{1,4}`), 1, 4, rapid.ID[string]).Draw(rt, "items")
		if slices.Contains(stations, "all") || slices.Contains(stations, "tool") {
			rt.Skip("reserved")
		}
		m := machine(t, fmt.Sprintf("[stations]\nv = [\"%s\"]\n[[place]]\nkind = \"k\"\nid = \"one_{v}\"\n[[place]]\nkind = \"k\"\nid = \"two_{v}_{i}\"\nof = { i = [\"%s\"] }\n",
			strings.Join(stations, "\", \""), strings.Join(items, "\", \"")))
		ids := map[string]bool{}
		for _, p := range m.Places {
			ids[p.ID] = true
		}
		if want := len(stations) * (1 + len(items)); len(m.Places) != want || len(ids) != want {
			rt.Fatalf("%d places of %d ids, not %d", len(m.Places), len(ids), want)
		}
	})
}

// TestMachineFile: the rest of the file comes as written, with its place.
func TestMachineFile(t *testing.T) {
	m := machine(t, `
[[limit]]
kind = "arm"
property = "play"
most = "0.10 mm"
from = "maker's book 1954, page 41"
[[size]]
kind = "arm"
property = "bore"
fit = "15 H7"
from = "drawing"
[[torque]]
kind = "nut"
value = "25 N·m"
from = "drawing"
[oil]
grade = "SAE 30"
[facts]
cylinders = 2
`)
	switch {
	case len(m.Limits) != 1 || m.Limits[0].Most.Text != "0.10 mm" || m.Limits[0].From != "maker's book 1954, page 41":
		t.Errorf("limits %+v", m.Limits)
	case len(m.Sizes) != 2 || m.Sizes[0].Fit.Text != "15 H7" || m.Sizes[1].Property.Text != "torque" || m.Sizes[1].New.Text != "25 N·m":
		t.Errorf("sizes %+v", m.Sizes)
	case m.Oil.Grade != "SAE 30" || len(m.Facts) != 1 || m.Facts[0].Property.Text != "cylinders":
		t.Errorf("oil %+v, facts %+v", m.Oil, m.Facts)
	case m.Limits[0].Kind.At.String() != "machine.toml:7:8":
		t.Errorf("the kind stands at %s", m.Limits[0].Kind.At)
	}
}

func FuzzMachine(f *testing.F) {
	f.Add("[machine]\nid = \"m\"\nname = \"m\"\npack = \"p\"\n[stations]\nv = [\"a\", \"b\"]\n[[place]]\nkind = \"k\"\nid = \"s_{v}_{h}\"\nrefs = { x = \"s_{v-1}_{h}\" }\nof = { h = [1, 2] }\nhas = { n = \"{v+1}\" }\n")
	f.Add("[[place]]\nid = \"{\"\n[[place]]\nid = \"{}\"\nof = { x = [] }\n[[limit]]\n[[size]]\nfit = \"x\"\nnew = 1\n")
	f.Fuzz(func(t *testing.T, text string) {
		m, ps := facts.ParseMachine(source.NewFile("machine.toml", []byte(text)))
		if m == nil && len(ps) == 0 {
			t.Fatal("neither machine nor problem")
		}
		if m == nil || ps.HasErrors() {
			return
		}
		ids := map[string]bool{}
		for _, p := range m.Places {
			if ids[p.ID] || p.Table == "" {
				t.Fatalf("place %q twice, or without a table", p.ID)
			}
			ids[p.ID] = true
		}
	})
}
