package explain_test

import (
	"bytes"
	"strings"
	"testing"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/explain/tell"
	"whyworn/rules/vocab"
)

// page is what a writer writes.
func page(t *testing.T, write func(*tell.Page)) string {
	t.Helper()
	p := tell.NewPage(200)
	write(p)
	var b bytes.Buffer
	if _, err := p.WriteTo(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func asked(t *testing.T, c *explain.Case, what string) *explain.Asked {
	t.Helper()
	a, err := c.Ask(what)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// One figure is one text: what the survey says of a number with an uncertainty, why
// says too.
func TestOneFigureOneText(t *testing.T) {
	c := station(t)
	n := 0
	for part := range c.Facts.Parts {
		for _, p := range c.Facts.Parts[part].Kind.Properties {
			if p.Role != vocab.Computed {
				continue
			}
			text, ok := c.Figure(int32(part), p)
			if !ok {
				continue
			}
			n++
			x := c.Why(record.FactID{Part: int32(part), Prop: p})
			if got := x.At(x.Asked[0]).Answer; got != text {
				t.Errorf("%s.%s is %q in one place and %q in another", c.Facts.Parts[part].ID, p.ID, text, got)
			}
		}
	}
	if n < 10 {
		t.Errorf("%d numbers were compared", n)
	}
}

// A limit is shown with the decimals it was written with.
func TestLimitsAsWritten(t *testing.T) {
	c := station(t)
	out := page(t, func(p *tell.Page) { tell.Diagnosis(p, c.Diagnose(), false) })
	for _, want := range []string{"most 0.10 mm", "least 0.10 mm", "at most 15.050 mm", "limit 14.940 mm"} {
		if !strings.Contains(out, want) {
			t.Errorf("nothing says %q", want)
		}
	}
	for _, not := range []string{"+/-", "0.00050"} {
		if strings.Contains(out, not) {
			t.Errorf("it says %q", not)
		}
	}
}

// Asked why not of a thing that is so, the first line says that it is so, and only
// what speaks against it and would change it follows.
func TestWhyNotOfWhatIsSo(t *testing.T) {
	c := station(t)
	for what, first := range map[string]string{
		"shaft.oil_starved":   "short of oil (virtually certain, over 999 in 1000): it is so, and this speaks against it",
		"seat_2ex.overheated": "it is so, and nothing known speaks against it",
		"nut_1in":             "These are so, and nothing known speaks against them: nut 1in: replace;",
		"":                    "These are so, and nothing known speaks against them:",
	} {
		out := page(t, func(p *tell.Page) { tell.WhyNot(p, c.WhyNotAsked(asked(t, c, what))) })
		line, rest, _ := strings.Cut(out, "\n")
		if !strings.Contains(line, first) {
			t.Errorf("whynot %s begins with %q", what, line)
		}
		if strings.Contains(rest, "    for  ") && what != "" || strings.Contains(rest, "so: ") {
			t.Errorf("whynot %s tells why it is so:\n%s", what, out)
		}
	}
	out := page(t, func(p *tell.Page) { tell.Learner(p, c.WhyNotAsked(asked(t, c, "seat_2ex.overheated"))) })
	if !strings.Contains(out, "it is so, and nothing known speaks against it") || strings.Contains(out, "WHAT HAPPENS") {
		t.Errorf("a learner is told why it is so, though he asked why not:\n%s", out)
	}
	out = page(t, func(p *tell.Page) { tell.WhyNot(p, c.WhyNotAsked(asked(t, c, "arm_2in.replace"))) })
	if !strings.Contains(out, "barred: arm 2in: bush that can be renewed: yes") {
		t.Errorf("a way known not to hold does not mark what bars it:\n%s", out)
	}
}

// A learner is asked only what a teacher would ask.
func TestThinkAboutIt(t *testing.T) {
	c := station(t)
	for what, want := range map[string]string{
		"shaft.oil_starved":            "How can \"shaft: short of oil\" be true all the same?",
		"seat_1ex.ran_warm":            "This stands unless this is so: \"seat 1ex: colour wipes off\"",
		"seat_2ex.overheated":          "\"seat 2ex: heat tint: blue\" was seen. What else could look like that",
		"washer_2ex_far.worn_thin":     "no uncertainty was given",
		"clip_far.broke_in_service":    "would show much the same",
		"pedestal_1.bedded_on_sealant": "",
		"arm_2ex.radial_play":          "",
	} {
		x := c.WhyAsked(asked(t, c, what))
		got := x.At(x.Asked[0]).Think
		if want == "" && got != "" || !strings.Contains(got, want) {
			t.Errorf("of %s it is asked %q, want %q", what, got, want)
		}
	}
}

// Parts with one verdict and one reason are told in one line, each part once.
func TestFatesAreGrouped(t *testing.T) {
	d := station(t).Diagnose()
	seen := map[int32]bool{}
	for _, f := range d.Fates() {
		for _, p := range f.Parts {
			if seen[p] {
				t.Errorf("%s is told twice", d.PartName(p))
			}
			seen[p] = true
		}
	}
	for _, v := range d.Verdicts {
		if !seen[v.Part] {
			t.Errorf("%s is not told", d.PartName(v.Part))
		}
	}
	out := page(t, func(p *tell.Page) { tell.Diagnosis(p, d, false) })
	if !strings.Contains(out, "grooves feed and far: each is turned in a shaft") {
		t.Errorf("parts alike are told apart:\n%s", out)
	}
}
