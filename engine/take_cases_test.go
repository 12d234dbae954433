package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"whyworn/engine"
	"whyworn/rules"
)

// benchOfSeats is a pack of seats with a size, a range and a dozen signs, so that
// one difference is few.
const benchOfSeats = `
[pack]
id = "t"
version = "1"
title = "Seats"
[[kind]]
id = "seat"
[[property]]
of = "seat"
id = "diameter"
type = "size"
unit = "mm"
layout = { along = ["middle"], across = [0, 90] }
[[property]]
of = "seat"
id = "groove"
unit = "mm"
[[property]]
of = "seat"
id = "rust"
[[finding]]
of = "seat"
id = "grooved"
sort = "damage"
[[finding]]
of = "seat"
id = "starved"
sort = "cause"
how_common = 0.1
[[rule]]
id = "grooved"
each = { it = "seat" }
if = ["it.groove > 0.5*mm"]
then = "it.grooved"
source = "none"
[[rule]]
id = "sound"
each = { it = "seat" }
if = ["it.groove < 2.5*mm"]
rules_out = "it.grooved"
source = "none"
[[clue]]
id = "smallest"
each = { it = "seat" }
cause = "it.starved"
sign = "it.diameter_smallest < 14.95*mm"
when_so = 0.9
otherwise = 0.3
source = "none"
[[clue]]
id = "mean"
each = { it = "seat" }
cause = "it.starved"
sign = "it.diameter_mean < 14.97*mm"
when_so = 0.8
otherwise = 0.3
source = "none"
`

// Each pair differs in one thing alone; both ways round.
func TestTakeOfOneDifference(t *testing.T) {
	var machine, rusts strings.Builder
	machine.WriteString("[machine]\nid = \"m\"\nname = \"m\"\npack = \"t\"\n")
	for i := range 12 {
		fmt.Fprintf(&machine, "[[place]]\nkind = \"seat\"\nid = \"s%d\"\n", i)
		if i > 0 {
			fmt.Fprintf(&rusts, "[s%d]\nrust = \"no\"\n", i)
		}
	}
	p := loadPack(t, map[string]string{"pack.toml": benchOfSeats})
	program := compile(t, p)
	var bench *rules.Layout
	seat := func(line string) *rules.Facts {
		f := fit(t, p, machine.String(), "machine = \"m\"\n[tools]\nmic = { is = \"m\", u = \"0.001 mm\" }\ndepth = { is = \"d\", u = \"0.1 mm\" }\n[s0]\n"+line+"\n"+rusts.String())
		if bench == nil {
			bench = f.Layout
		}
		f, ps := rules.FitTo(bench, f.Inspection)
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		return f
	}
	sized := seat(`diameter = "14.94 14.96"`)
	smallest := rules.FactID{Part: 1, Prop: p.Vocabulary.Kind("seat").Property("diameter_smallest")}
	o := sized.Lookup(smallest.Part, smallest.Prop)
	if o == nil {
		t.Fatal("no smallest diameter")
	}
	for _, c := range []struct {
		name string
		a, b *rules.Facts
	}{
		{"the upper end of a range", seat(`groove = "1 to 2 mm"`), seat(`groove = "1 to 3 mm"`)},
		{"the lower end of a range", seat(`groove = "0.4 to 3 mm"`), seat(`groove = "0.6 to 3 mm"`)},
		{"an end left out", seat(`groove = "over 0.5 mm"`), seat(`groove = "at least 0.5 mm"`)},
		{"a value and a range", seat(`groove = "1 mm"`), seat(`groove = "1 to 3 mm"`)},
		{"an uncertainty", seat(`groove = "0.501 mm"`), seat(`groove = { is = "0.501 mm", tool = "mic" }`)},
		{"how large an uncertainty", seat(`groove = { is = "0.51 mm", tool = "mic" }`), seat(`groove = { is = "0.51 mm", tool = "depth" }`)},
		{"nothing and something", seat(""), seat(`groove = "3 mm"`)},
		{"the same value by itself, no longer out of the readings", sized, sized.With(smallest, o.Value)},
	} {
		for _, row := range [][2]*rules.Facts{{c.a, c.b}, {c.b, c.a}} {
			fresh := program.Bind(row[1])
			fresh.Run()
			first := program.Bind(row[0])
			first.Run()
			s := program.Bind(row[0])
			s.Take(row[0])
			s.Run()
			s.Take(row[1])
			if !engine.ByDifferences(s) {
				t.Errorf("%s: taken from nothing", c.name)
			}
			s.Run()
			got, want := canonical(s.Result()), canonical(fresh.Result())
			if got != want {
				t.Errorf("%s: by what differs, and from nothing:\n%s", c.name, difference(got, want))
			}
			if canonical(first.Result()) == want {
				t.Errorf("%s: makes no difference", c.name)
			}
		}
	}
}
