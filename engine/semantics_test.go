package engine_test

import (
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// TestSemantics runs testdata/semantics: what conditions, rules and clues mean,
// as cases a person can read. A file has a note, pack files, machine.toml, and
// for each case a section "inspection.toml NAME" and a section "expect NAME",
// perhaps a machine of its own in "machine.toml NAME"; the lines are written by hand and never by a program:
//
//	part.finding true, false, unknown     its state
//	part.finding round 2                  the fewest rounds of rules to it
//	part.finding conflict, certain        what else is told of it
//	part.finding assumed rule-id          it stands unless an exception holds
//	part.finding for not given            why a condition on the way to it is unknown
//	part.finding 12.34 dB                 the sum of its counted clues, to 0.005
//	part.finding probability 0.93         to 0.0005
//	part.number 0.12 mm, unknown          what rules set; or 0.1 to 0.2 mm
//	part.number u 0.01 mm                 its standard uncertainty
//	part verdict replace                  or none, where nothing judges
//
// not before a line says that it is not so; # begins a remark.
func TestSemantics(t *testing.T) {
	for _, c := range semanticCases(t) {
		t.Run(c.name(), func(t *testing.T) {
			p := loadPack(t, c.pack)
			f := fit(t, p, c.machine, c.inspection)
			res := run(t, p, f)
			// The hand-written lines are the judge; the plain meaning must agree too.
			c.judge(t, res)
			mustAgree(t, quiet{}, res)
		})
	}
}

// TestSemanticsOfChanges takes each case of a file to each other by changing what
// differs: the same must come out as from nothing.
func TestSemanticsOfChanges(t *testing.T) {
	changed := 0
	all := semanticCases(t)
	for _, from := range all {
		for _, to := range all {
			if from.file != to.file || from.of == to.of || from.machine != to.machine {
				continue
			}
			t.Run(from.name()+"/"+to.of, func(t *testing.T) {
				p := loadPack(t, from.pack)
				f, g := fit(t, p, from.machine, from.inspection), fit(t, p, to.machine, to.inspection)
				if len(f.Parts) != len(g.Parts) || len(f.Uncertainties)+len(g.Uncertainties) > 0 || f.K != g.K {
					return // not by values of observations alone
				}
				s := compile(t, p).Bind(f)
				s.Run()
				changed += turnInto(s, f, g)
				s.Run()
				to.judge(t, s.Result())
			})
		}
	}
	if changed < 100 {
		t.Errorf("%d changes in all", changed)
	}
}

// turnInto changes a session of some facts to those of others, and counts the
// changes.
func turnInto(s *engine.Session, from, to *rules.Facts) (n int) {
	for _, o := range from.Observations {
		if o.Prop.Role != vocab.Declared && to.Lookup(o.Part, o.Prop) == nil {
			s.Forget(o.Part, o.Prop)
			n++
		}
	}
	for _, o := range to.Observations {
		was := from.Lookup(o.Part, o.Prop)
		if o.Prop.Role != vocab.Declared && (was == nil || !reflect.DeepEqual(was.Value, o.Value)) {
			s.Set(o.Part, o.Prop, o.Value)
			n++
		}
	}
	return n
}

// semanticCase is one inspection with what must come out.
type semanticCase struct {
	file, of            string
	pack                map[string]string
	machine, inspection string
	expect              string
}

func (c *semanticCase) name() string { return c.file + "/" + c.of }

func (c *semanticCase) judge(t *testing.T, res *record.Result) {
	t.Helper()
	for _, line := range strings.Split(c.expect, "\n") {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		rest, negated := strings.CutPrefix(line, "not ")
		holds, got := claim(t, res, rest)
		if holds == negated {
			t.Errorf("%s: %s", line, got)
		}
	}
}

func semanticCases(t *testing.T) (out []semanticCase) {
	t.Helper()
	files, err := filepath.Glob("testdata/semantics/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		pack, machines, inspections, expect := map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}
		for _, f := range txtar.Parse(data).Files {
			text := string(f.Data)
			switch name, of, _ := strings.Cut(f.Name, " "); name {
			case "machine.toml":
				machines[of] = text
			case "inspection.toml":
				inspections[of] = text
			case "expect":
				expect[of] = text
			default:
				pack[f.Name] = text
			}
		}
		if len(expect) == 0 || len(expect) != len(inspections) {
			t.Errorf("%s: %d inspections, %d expectations", file, len(inspections), len(expect))
		}
		for _, of := range slices.Sorted(maps.Keys(expect)) {
			inspection, ok := inspections[of]
			if !ok {
				t.Errorf("%s: no inspection.toml %s", file, of)
				continue
			}
			machine, own := machines[of]
			if !own {
				machine = machines[""]
			}
			name := strings.TrimSuffix(filepath.Base(file), ".txtar")
			out = append(out, semanticCase{name, of, pack, machine, inspection, expect[of]})
		}
	}
	return out
}

type quiet struct{}

func (quiet) String() string { return "" }

// claim tells whether one line of expectations holds, and what was got.
func claim(t *testing.T, res *record.Result, line string) (bool, string) {
	t.Helper()
	subject, want, _ := strings.Cut(line, " ")
	id, propID, _ := strings.Cut(subject, ".")
	part, ok := res.Facts.Find(id)
	if !ok {
		t.Fatalf("%s: no part %q", line, id)
	}
	if word, level, _ := strings.Cut(want, " "); word == "verdict" {
		v, judged := res.Verdict(part)
		got := "none"
		if judged {
			got = v.Level.String()
		}
		return got == level, "the verdict is " + got
	}
	prop := res.Facts.Parts[part].Kind.Property(propID)
	if prop == nil {
		t.Fatalf("%s: %s has no property %q", line, id, propID)
	}
	if prop.Role == vocab.Computed {
		return claimNumber(t, res, part, prop, want)
	}
	if !prop.Role.Concluded() {
		t.Fatalf("%s: %s is not concluded", line, propID)
	}
	fact := res.Fact(part, prop)
	got := fmt.Sprintf("%+v", fact)
	word, rest, _ := strings.Cut(want, " ")
	switch {
	case want == "true" || want == "false" || want == "unknown":
		return fact.State.String() == want, "it is " + fact.State.String()
	case word == "round":
		return fmt.Sprint(fact.Round) == rest, got
	case want == "conflict":
		listed := slices.ContainsFunc(res.Conflicts, func(c record.Conflict) bool { return c.Fact == record.FactID{Part: part, Prop: prop} })
		if listed != fact.Conflict {
			t.Errorf("%s: conflict %v, listed among the conflicts %v", line, fact.Conflict, listed)
		}
		return fact.Conflict, got
	case want == "certain":
		return fact.Certain, got
	case word == "assumed":
		return slices.ContainsFunc(res.Assumptions, func(a record.Assumption) bool {
			return a.Fact == record.FactID{Part: part, Prop: prop} && (rest == "" || a.Rule.ID == rest)
		}), fmt.Sprintf("%d assumptions", len(res.Assumptions))
	case word == "for":
		return claimReason(t, res, part, prop, rest)
	case strings.HasSuffix(want, " dB"):
		return math.Abs(fact.Weight.Decibans()-float(t, word)) <= 0.005, got
	case word == "probability":
		return math.Abs(fact.Probability-float(t, rest)) <= 0.0005, got
	}
	t.Fatalf("%s: not understood", line)
	return false, ""
}

// claimReason looks for an unknown condition with a reason on the ways to a finding.
func claimReason(t *testing.T, res *record.Result, part int32, prop *vocab.Property, want string) (bool, string) {
	t.Helper()
	words := map[record.Reason]string{record.NobodyLooked: "not looked", record.LookedCouldNot: "could not tell", record.NobodyGives: "not given"}
	var got []string
	for _, w := range engine.Ways(compile(t, res.Facts.Pack), res, part, prop) {
		for _, c := range w.If {
			got = append(got, words[c.Reason])
		}
	}
	return slices.Contains(got, want), fmt.Sprintf("it is for %q", got)
}

func claimNumber(t *testing.T, res *record.Result, part int32, prop *vocab.Property, want string) (bool, string) {
	t.Helper()
	v, ok := res.Number(part, prop)
	got := fmt.Sprintf("it is %+v %v", v.Number, ok)
	switch {
	case want == "unknown":
		return !ok, got
	case want == "conflict":
		return slices.ContainsFunc(res.Conflicts, func(c record.Conflict) bool { return c.Fact == record.FactID{Part: part, Prop: prop} }), got
	case !ok:
		return false, got
	}
	if u, isU := strings.CutPrefix(want, "u "); isU {
		n, err := measure.ParseNumber(u, prop.Unit)
		if err != nil {
			t.Fatal(err)
		}
		return near(v.Number.U(), n.Number.Lo), fmt.Sprintf("u is %v", v.Number.U())
	}
	n, err := measure.ParseNumber(want, prop.Unit)
	if err != nil {
		t.Fatal(err)
	}
	return near(v.Number.Lo, n.Number.Lo) && near(v.Number.Hi, n.Number.Hi), got
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, math.Abs(b)) }

func float(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}
