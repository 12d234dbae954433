package learn_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"whyworn/engine/learn"
	"whyworn/rules"
)

// The pack of these tests, and all that its inspections say, is invented: a
// pump with two glands and a drip cup under each.
const glandWords = `
[pack]
id = "glands"
version = "1"
title = "Glands of a pump"

[[kind]]
id = "gland"
name = "gland"

[[kind]]
id = "cup"
name = "drip cup"

[[property]]
of = "cup"
id = "under"
refers_to = "gland"
reverse = "cups"

[[property]]
of = "cup"
id = "wet"
normal = "no"
ask = "Is the cup wet?"
look = "With a finger."
stage = "running"
minutes = 1

[[property]]
of = "gland"
id = "opened"
ask = "Was it opened?"
look = "See whether the packing is out."
normal = "no"
stage = "uncleaned"
minutes = 1

[[property]]
of = "gland"
id = "smells"
ask = "Does it smell?"
look = "Close to the shaft."
normal = "no"
stage = "running"
minutes = 1

[[property]]
of = "gland"
id = "tint"
choices = ["none", "straw", "blue"]
ordered = true
normal = ["none"]
ask = "What tint has the sleeve?"
look = "In daylight."
stage = "cleaned"
minutes = 1

[[finding]]
of = "gland"
id = "ran_dry"
sort = "cause"
how_common = 0.1

[[finding]]
of = "gland"
id = "nipped"
sort = "cause"
how_common = 0.2

[[finding]]
of = "gland"
id = "sleeve_grooved"
sort = "damage"
how_common = 0.3
`

const glandClues = `
[[clue]]
id = "dry-by-cups"
cause = "gland.ran_dry"
each = { gland = "gland", cup = "cup" }
sign = "cup.wet"
if = ["cup.under == gland"]
when_so = 0.2
otherwise = 0.6

[[clue]]
id = "dry-by-tint"
cause = "gland.ran_dry"
each = { gland = "gland" }
sign = "gland.tint"
when_so = { none = 0.2, straw = 0.3, blue = 0.5 }
otherwise = { none = 0.8, straw = 0.1, blue = 0.1 }
mechanism = "a dry \"lip\" heats the sleeve"
source = "common practice, no source"

[[clue]]
id = "nipped-by-smell"
cause = "gland.nipped"
each = { gland = "gland" }
sign = "gland.smells"
if = ["gland.opened"]
when_so = "usually"
otherwise = "rarely"
source = "common practice, no source"

[[clue]]
id = "groove-by-tint"
cause = "gland.sleeve_grooved"
each = { gland = "gland" }
sign = "gland.tint >= 'straw'"
when_so = 0.6
otherwise = 0.2
`

const pump = `
[machine]
id = "pump"
name = "pump"
pack = "glands"

[stations]
side = ["near", "far"]

[[place]]
kind = "gland"
id = "gland_{side}"

[[place]]
kind = "cup"
id = "cup_{side}"
refs = { under = "gland_{side}" }
`

// Two glands a case; what is not written nobody looked at.
var glandCases = []string{
	// near ran dry: cup dry, sleeve blue. far is sound: cup wet, no tint.
	`{"machine": "pump", "gland": {"near": {"tint": "blue", "smells": "yes", "opened": "yes"}, "far": {"tint": "none", "smells": "no", "opened": "yes"}},
	  "cup": {"near": {"wet": "no"}, "far": {"wet": "yes"}}, "confirmed": {"causes": ["gland_near.ran_dry"]}}`,
	// near ran dry and was nipped: the tint only partly known, could not tell the cup; far: cup dry, straw, not opened.
	`{"machine": "pump", "gland": {"near": {"tint": "straw or blue", "smells": "yes", "opened": "yes"}, "far": {"tint": "straw", "smells": "yes", "opened": "no"}},
	  "cup": {"near": {"wet": "?"}, "far": {"wet": "no"}}, "confirmed": {"causes": ["gland_near.ran_dry", "gland_near.nipped"]}}`,
	// both ran dry, nothing seen but the far cup.
	`{"machine": "pump", "cup": {"far": {"wet": "yes"}}, "confirmed": {"causes": ["gland_near.ran_dry", "gland_far.ran_dry"]}}`,
	// nothing confirmed: left out, whatever was seen.
	`{"machine": "pump", "gland": {"all": {"tint": "blue", "smells": "yes", "opened": "yes"}}, "cup": {"all": {"wet": "yes"}}}`,
}

func tallyOf(p *rules.Pack, cases []string) *learn.Tally {
	program, layout := compile(p), layoutOf(p, pump)
	tally := learn.New(p)
	for _, c := range cases {
		s := program.Bind(fit(layout, inspectionOf([]byte(c))))
		s.Run()
		if err := tally.Case(program, s.Result()); err != nil {
			panic(err)
		}
	}
	return tally
}

// counted shows a tally as text.
func counted(t *learn.Tally) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d cases, %d left out\n", t.Cases, t.Unconfirmed)
	for i, c := range t.Pack.Clues {
		fmt.Fprintf(&b, "%s: %v of %d in %d; %v of %d in %d\n", c.ID, t.With[i].N, t.With[i].Of, t.With[i].Cases,
			t.Without[i].N, t.Without[i].Of, t.Without[i].Cases)
	}
	for i, p := range t.Causes {
		fmt.Fprintf(&b, "%s: %d of %d in %d\n", p.Label(), t.Common[i].N, t.Common[i].Of, t.Common[i].Cases)
	}
	return b.String()
}

// Counted by hand from glandCases. dry-by-cups with: near 1 no, far 3 yes
// (near 2 could not tell); without: far 1 yes, far 2 no. nipped-by-smell: only
// opened glands, with near 2; without near 1 and far 1. groove-by-tint has no
// "with" since no damage is confirmed; it is not learned from, see below.
const countedByHand = `3 cases, 1 left out
dry-by-cups: [1] of 2 in 2; [1] of 2 in 2
dry-by-tint: [0 0 1] of 1 in 1; [1 1 0] of 2 in 2
groove-by-tint: [0] of 0 in 0; [0] of 0 in 0
nipped-by-smell: [1] of 1 in 1; [1] of 2 in 1
gland.ran_dry: 4 of 6 in 3
gland.nipped: 1 of 6 in 3
`

func TestCountsByHand(t *testing.T) {
	p := load(glandWords, glandClues, rules.Checked)
	if got := counted(tallyOf(p, glandCases)); got != countedByHand {
		t.Errorf("got:\n%s\nwant:\n%s", got, countedByHand)
	}
	turned := slices.Clone(glandCases)
	slices.Reverse(turned)
	sum := tallyOf(p, turned[:2])
	sum.Add(tallyOf(p, turned[2:]))
	if got := counted(sum); got != countedByHand {
		t.Errorf("in two halves and turned round:\n%s\nwant:\n%s", got, countedByHand)
	}
}

// Laplace's correction by hand on the counts above.
func TestLearnedByHand(t *testing.T) {
	p := load(glandWords, glandClues, rules.Checked)
	l := tallyOf(p, glandCases).Learn(0)
	want := map[string][2][]float64{
		"dry-by-cups":     {{2. / 4}, {2. / 4}},
		"dry-by-tint":     {{1. / 4, 1. / 4, 2. / 4}, {2. / 5, 2. / 5, 1. / 5}},
		"nipped-by-smell": {{2. / 3}, {2. / 4}},
		"groove-by-tint":  {{0.6}, {0.2}}, // damage: the author's
	}
	for i := range l.Clues {
		c := &l.Clues[i]
		w := want[c.ID]
		if !slices.Equal(c.WhenSo.Value(), w[0]) || !slices.Equal(c.Otherwise.Value(), w[1]) {
			t.Errorf("%s: %v, %v; want %v, %v", c.ID, c.WhenSo.Value(), c.Otherwise.Value(), w[0], w[1])
		}
		if c.Mute != (c.ID == "dry-by-cups") {
			t.Errorf("%s: says nothing is %v", c.ID, c.Mute)
		}
	}
	// Apart of dry-by-tint: none weighs 10·log10(0.2/0.8) = −6.02, now 10·log10(0.25/0.4) = −2.04:
	// 3.98; straw 4.77 and −2.04: 6.81; blue 6.99 and 3.98: 3.01.
	if got := l.Clues[1].Apart; math.Abs(got-6.8124) > 5e-4 {
		t.Errorf("dry-by-tint is %v dB apart, want 6.812", got)
	}
	// 4 of 6 parts: (4+1)/(6+2) = 0.625, odds 5/3 against 1/9: 15, that is 11.761 dB.
	if c := l.Common[0]; c.Learned != 5./8 || math.Abs(c.Apart-11.7609) > 5e-4 {
		t.Errorf("ran_dry: learned %v, %v dB apart; want 0.625, 11.761", c.Learned, c.Apart)
	}
}

func TestTooFewCasesKeepTheAuthors(t *testing.T) {
	p := load(glandWords, glandClues, rules.Checked)
	l := tallyOf(p, glandCases).Learn(2)
	for i := range l.Clues {
		c := &l.Clues[i]
		for _, f := range []*learn.Frequency{&c.WhenSo, &c.Otherwise} {
			if (f.Learned != nil) != (f.Cases >= 2) {
				t.Errorf("%s: %d cases, learned %v", c.ID, f.Cases, f.Learned)
			}
		}
	}
	if l = tallyOf(p, glandCases).Learn(4); l.Common[0].Learned != 0 || l.Common[0].Value() != 0.1 {
		t.Errorf("ran_dry: learned %v of 3 cases, 4 wanted", l.Common[0].Learned)
	}
}

// A learned file is a file of a pack: it loads, and every clue that was written
// comes back as it was, with the numbers to go by.
func TestWrittenClueComesBack(t *testing.T) {
	p := load(glandWords, glandClues, rules.Checked)
	for least := range 4 {
		l := tallyOf(p, glandCases).Learn(least)
		back := load(glandWords, l.TOML("cases.ndjson"), rules.Checked)
		at := 0
		for i := range l.Clues {
			c := &l.Clues[i]
			if c.Mute {
				continue
			}
			got := back.Clues[at]
			at++
			if got.ID != c.ID || got.Cause.Prop.Label() != c.Label() || got.Sign.Text != c.Sign.Text || len(got.Each) != len(c.Each) ||
				len(got.If) != len(c.If) || got.Mechanism != c.Mechanism || got.Counts != c.Basis() {
				t.Errorf("least %d, %s came back as %s: %+v", least, c.ID, got.ID, got)
			}
			if !slices.Equal(got.WhenSo, c.WhenSo.Value()) || !slices.Equal(got.Otherwise, c.Otherwise.Value()) {
				t.Errorf("least %d, %s: %v, %v; want %v, %v", least, c.ID, got.WhenSo, got.Otherwise, c.WhenSo.Value(), c.Otherwise.Value())
			}
		}
		if at != len(back.Clues) {
			t.Errorf("least %d: %d clues came back, %d were written", least, len(back.Clues), at)
		}
	}
}

// Strange texts of a pack do not break out of what is written.
func TestStrangeTextsAreQuoted(t *testing.T) {
	strange := "tab\\t, quote \\\", back\\\\slash, \\u202e turned, line\\nbreak # no comment"
	p := load(glandWords, strings.ReplaceAll(glandClues, "common practice, no source", strange), rules.Checked)
	l := tallyOf(p, glandCases).Learn(0)
	back := load(glandWords, l.TOML("a\nb = 1 .ndjson"), rules.Checked)
	want := "counted in a\nb = 1 .ndjson, 3 inspections; the author's: tab\t, quote \", back\\slash, \u202e turned, line\nbreak # no comment"
	if got := back.Clues[len(back.Clues)-1].Source; got != want {
		t.Errorf("source came back as %q, want %q", got, want)
	}
}
