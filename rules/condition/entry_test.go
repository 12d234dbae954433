package condition_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/condition"
)

func TestTextsWithExpressions(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"no braces at all", "no braces at all"},
		{"", ""},
		{"{arm}: bore {arm.bore_largest} on a seat of {arm.seat.diameter_smallest}", "<arm>|: bore |<arm.bore_largest>| on a seat of |<arm.seat.diameter_smallest>"},
		{"about {tint_celsius(seat.tint)}, {{literally}}", "about |<(call:tint_celsius.middle seat.tint \"all\")>|, {literally}"},
		{"{seat.rust}{seat.note}{ seat.tint }", "<seat.rust>|<seat.note>|<seat.tint>"},
		{"play {arm.bore_largest - 0.01} is {count(shaft.seats, .tint in ['blue', '}'] )}", ""},
		{"worst {max(shaft.seats, .wear)}, °C {shaft.temperature} ≥", "worst |<(max shaft.seats #.wear)>|, °C |<shaft.temperature>| ≥"},
		{"{tint_celsius(seat.tint).low}", "<(call:tint_celsius.low seat.tint \"all\")>"},
	} {
		tmpl, ps := condition.ParseTemplate(node(c.text), all)
		if c.want == "" && c.text != "" {
			if len(ps) == 0 {
				t.Errorf("%s: no problem", c.text)
			}
			continue
		}
		if len(ps) > 0 {
			t.Errorf("%s: %v", c.text, ps)
			continue
		}
		var got []string
		for _, p := range tmpl.Pieces {
			if p.Expr == nil {
				got = append(got, p.Words)
				continue
			}
			got = append(got, "<"+dump(p.Expr, all)+">")
			if cut := string([]rune(c.text)[p.Expr.From:p.Expr.To]); cut != strings.TrimSpace(cut) || !strings.Contains(c.text, "{"+cut+"}") && !strings.Contains(c.text, "{ "+cut+" }") {
				t.Errorf("%s: the expression's range cuts out %q", c.text, cut)
			}
		}
		if s := strings.Join(got, "|"); s != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.text, s, c.want)
		}
	}
	tmpl, ps := condition.ParseTemplate(node("{count(shaft.seats, .rust)} of {shaft}"), all)
	if ps != nil || reading(tmpl.Deps) != "reads rocker_shaft.seats! shaft_seat.rust!" {
		t.Errorf("dependencies of a text: %v %s", ps, reading(tmpl.Deps))
	}
}

func TestFaultsOfTexts(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"the {seat", "text-braces 4-5 this { is never closed | for a brace in the text write {{"},
		{"the seat}", "text-braces 8-9 this } closes nothing | for a brace in the text write }}"},
		{"{shaft.seats}", "wrong-type 1-12 shaft.seats is a list, which cannot be shown | show a number of it, such as {count(shaft.seats)}"},
		{"{}", "condition-syntax 1-1 nothing is written here | write a condition, or leave the line out"},
		{"{1 + 2}", "reads-nothing 1-6 nothing is looked up here, so the answer never changes | leave it out, or name a property: name.property"},
		{"ü {seat.tnit} and {aarm}", "unknown-property 9-13 a shaft_seat has no property \"tnit\" | did you mean \"tint\"?;" +
			"name-not-bound 20-24 \"aarm\" is no name of each and no unit | did you mean \"arm\"?"},
		{"{'a'}", "reads-nothing 1-4 nothing is looked up here, so the answer never changes | leave it out, or name a property: name.property"},
		{"{a{b}}", "condition-syntax 2-3 this { is never closed;text-braces 5-6 this } closes nothing | for a brace in the text write }}"},
	} {
		tmpl, ps := condition.ParseTemplate(node(c.text), all)
		if got := strings.Join(tell(ps), ";"); got != c.want || tmpl != nil {
			t.Errorf("%s:\n got %s\nwant %s", c.text, got, c.want)
		}
	}
}

func TestNumbersOfSet(t *testing.T) {
	arm, shaft := words.Kind("rocker_arm"), words.Kind("rocker_shaft")
	for _, c := range []struct{ kind, prop, text, want string }{
		{"rocker_arm", "radial_play", "arm.bore_largest - arm.seat.diameter_smallest", "(- arm.bore_largest arm.seat.diameter_smallest)"},
		{"rocker_arm", "radial_play", "arm.bore_in_inches - arm.bore_largest", "(- arm.bore_in_inches arm.bore_largest)"},
		{"rocker_arm", "radial_play", "0.05", "0.05"},
		{"rocker_arm", "bore_in_inches", "0.6", "15.24"},
		{"rocker_arm", "radial_play", "50*um", "0.05"},
		{"rocker_shaft", "temperature", "80", "353.15"},
		{"rocker_shaft", "temperature", "80*degC", "353.15"},
		{"rocker_shaft", "temperature", "mean(others(shaft), .temperature)", "(mean (others shaft) #.temperature)"},
		{"rocker_shaft", "ratio", "seat.wear/other.wear", "(/ seat.wear other.wear)"},
		{"rocker_arm", "radial_play", "arm.torque", "! unit-mismatch 0-10 arm.torque is a torque or an energy (N·m), rocker_arm.radial_play is a length (mm)"},
		{"rocker_arm", "radial_play", "seat.tint", "! wrong-type 0-9 seat.tint is a choice; a number is needed here"},
		{"rocker_shaft", "temperature", "shaft.temperature - shaft.temperature_before", "! unit-mismatch 0-44 shaft.temperature - shaft.temperature_before is a difference of temperature (°C), rocker_shaft.temperature is a temperature (°C)"},
	} {
		kind := arm
		if c.kind == "rocker_shaft" {
			kind = shaft
		}
		cond, ps := condition.ParseNumber(node(c.text), all, kind.Property(c.prop))
		got := ""
		if len(ps) > 0 {
			got = "! " + strings.Join(tell(ps), ";")
		} else {
			got = dump(cond.Root, all)
		}
		if got != c.want {
			t.Errorf("%s = %s:\n got %s\nwant %s", c.prop, c.text, got, c.want)
		}
	}
}

func TestSignsOfClues(t *testing.T) {
	for text, want := range map[string]string{
		"seat.tint": "seat.tint", "seat.rust": "seat.rust", "seat.wear > 3": "(> seat.wear 3)", "seat.wear": "", "seat": "",
	} {
		c, ps := condition.Parse(node(text), all, condition.WantSign)
		if (len(ps) > 0) != (want == "") || c != nil && dump(c.Root, all) != want {
			t.Errorf("%s: %v", text, ps)
		}
	}
	if c, ps := condition.Parse(node("seat.wear + 1"), all, condition.WantNumber); ps != nil || dump(c.Root, all) != "(+ seat.wear 1)" {
		t.Errorf("a number: %v", ps)
	}
}

func TestHeads(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"seat.overheated", ""},
		{"seat.overheeted", "unknown-property 5-15 a shaft_seat has no property \"overheeted\" | did you mean \"overheated\"?"},
		{"set.overheated", "name-not-bound 0-3 \"set\" is no name of each | did you mean \"seat\"?"},
		{"overheated", "bad-head -1-11 \"overheated\" is not a name of each and one of its properties | write it with one dot, such as seat.number"},
		{"seat.shaft.oil_starved", "bad-head -1-23 \"seat.shaft.oil_starved\" is not a name of each and one of its properties | write it with one dot, such as seat.number"},
		{"", "bad-head -1-1 \"\" is not a name of each and one of its properties | write it with one dot, such as seat.number"},
	} {
		v, p, ps := condition.ParseHead(node(c.text), all)
		if got := strings.Join(tell(ps), ";"); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.text, got, c.want)
		}
		if c.want == "" && (all.Names[v].ID != "seat" || p.ID != "overheated") || c.want != "" && p != nil {
			t.Errorf("%s: %d %v", c.text, v, p)
		}
	}
}

// A condition in a TOML basic string with escapes: places are those of the file.
func TestPlacesInEscapedStrings(t *testing.T) {
	raw := `"\u0073eat.rust and\tseat.tnit"`
	f := source.NewFile("p.toml", []byte(raw))
	n := &written.Node{Kind: written.String, Text: "seat.rust and\tseat.tnit", At: f.At(0, len(raw))}
	_, ps := condition.Parse(n, all, condition.WantBool)
	if len(ps) == 0 || string(ps[0].At.Text()) != "tnit" {
		t.Fatalf("%v", ps)
	}
	n.Text, raw = "seat.rust or seat.in", `"seat.\u0072ust or seat.in"`
	f = source.NewFile("p.toml", []byte(raw))
	n.At = f.At(0, len(raw))
	c, ps := condition.Parse(n, all, condition.WantBool)
	if ps != nil {
		t.Fatal(ps)
	}
	if got := string(c.At(c.Root.Args[0]).Text()); got != `seat.\u0072ust` {
		t.Errorf("place of the first condition: %q", got)
	}
	if got := c.Of(c.Root.Args[1]); got != "seat.in" {
		t.Errorf("text of the second condition: %q", got)
	}
}

// A name whose kind was not found is told where the kind stands, and nothing
// that follows from it is told again.
func TestUnknownKindIsSilent(t *testing.T) {
	s := &condition.Scope{Vocabulary: words, Names: []condition.EachName{{ID: "seat"}, {ID: "arm", Kind: words.Kind("rocker_arm")}}}
	c, ps := condition.Parse(node("seat.rust and any(seat.works, .did == 'x')"), s, condition.WantBool)
	if c != nil || len(ps) > 0 {
		t.Errorf("%v %v", c, ps)
	}
	if _, ps = condition.Parse(node("seat.rust and arm.wron"), s, condition.WantBool); len(ps) != 1 {
		t.Errorf("what does not follow from it is told: %v", ps)
	}
}

func TestCaps(t *testing.T) {
	for _, text := range []string{
		"seat.rust" + strings.Repeat(" ", condition.MaxBytes),
		strings.Repeat("(", condition.MaxBrackets+1) + "seat.rust" + strings.Repeat(")", condition.MaxBrackets+1),
		"seat.wear" + strings.Repeat("+1", 400) + " > 1",
	} {
		_, ps := condition.Parse(node(text), all, condition.WantBool)
		if len(ps) != 1 || ps[0].Code != condition.TooLarge {
			t.Errorf("%.20s…: %v", text, ps)
		}
	}
	deep := strings.Repeat("(", condition.MaxBrackets) + "seat.rust" + strings.Repeat(")", condition.MaxBrackets)
	if _, ps := condition.Parse(node(deep), all, condition.WantBool); ps != nil {
		t.Errorf("as deep as allowed: %v", ps)
	}
}

func TestReserved(t *testing.T) {
	got := map[string]bool{}
	for _, name := range []string{"in", "mm", "not", "min", "d", "seat", "arm", "clip"} {
		got[name] = condition.Reserved(name)
	}
	want := map[string]bool{"in": true, "mm": true, "not": true, "min": true, "d": true, "seat": false, "arm": false, "clip": false}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// Every handbook function is callable: its units are known, and no name of
// the condition language hides it.
func TestHandbookFunctionsAreCallable(t *testing.T) {
	if len(handbook.All()) == 0 {
		t.Fatal("the handbook is empty")
	}
	for _, e := range handbook.All() {
		if condition.Reserved(e.Name) {
			t.Errorf("%s is a reserved word", e.Name)
		}
		for _, f := range condition.Functions {
			if f == e.Name {
				t.Errorf("%s is hidden by a function of the language", e.Name)
			}
		}
		for _, p := range append(append([]handbook.Param{}, e.Params...), e.Results...) {
			if p.Unit == "text" {
				continue
			}
			if _, err := measure.UnitOf(p.Unit); err != nil {
				t.Errorf("%s: unit of %s: %v", e.Name, p.Name, err)
			}
		}
	}
}
