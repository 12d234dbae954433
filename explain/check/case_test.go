package check_test

import (
	"encoding/json"
	"io/fs"
	"strings"
	"testing"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/explain/account"
	"whyworn/explain/check"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/rules"
	"whyworn/rules/packs"
	"whyworn/rules/trial"
	"whyworn/testdata"
)

// shipped is the pack rocker_gear, loaded and compiled.
func shipped(t testing.TB) (*rules.Pack, *engine.Program) {
	t.Helper()
	pack, ps := packs.Load("rocker_gear")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	p, ps := engine.Compile(pack)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	return pack, p
}

// station fits one inspection of the demo's machine.
func station(t testing.TB, pack *rules.Pack, name string) *rules.Facts {
	t.Helper()
	m, ps := facts.ReadMachine(parse(t, "station/machine.toml"))
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	in, ps := facts.ReadInspection(parse(t, name))
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	f, ps := rules.Fit(pack, m, in)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	return f
}

// run makes a case of an inspection.
func run(p *engine.Program, f *rules.Facts) *explain.Case {
	s := p.Bind(f)
	s.Run()
	return explain.New(p, s.Result())
}

// inspections names those of the demo.
func inspections(t testing.TB) []string {
	t.Helper()
	cases, err := fs.Glob(testdata.Station, "station/cases/*.toml")
	if err != nil || len(cases) < 5 {
		t.Fatal(cases, err)
	}
	return append([]string{"station/engine-1.toml", "station/engine-2.toml"}, cases...)
}

// trials fits the trials of the shipped pack.
func trials(t testing.TB, pack *rules.Pack, visit func(id string, f *rules.Facts)) {
	t.Helper()
	folder, _ := packs.Folder("rocker_gear")
	all, ps := trial.Load(folder, "rocker_gear")
	if ps.HasErrors() || len(all) < 50 {
		t.Fatal(len(all), ps)
	}
	for _, tr := range all {
		f, _, ps := tr.Fit(pack)
		if ps.HasErrors() {
			t.Fatalf("%s: %v", tr.ID, ps)
		}
		visit(tr.ID, f)
	}
}

// asked is every finding, number and verdict of a case, one question for each.
func asked(c *explain.Case) (out []*explain.Asked) {
	for _, f := range c.Result.Findings() {
		out = append(out, &explain.Asked{Facts: []record.FactID{f.FactID}})
	}
	for _, n := range c.Result.Computed() {
		out = append(out, &explain.Asked{Facts: []record.FactID{{Part: n.Part, Prop: n.Prop}}})
	}
	for _, v := range c.Result.Verdicts {
		out = append(out, &explain.Asked{Verdicts: []int32{v.Part}})
	}
	return out
}

// quiet asks the same without the search for what would change the answer.
func quiet(a *explain.Asked) *explain.Asked {
	return &explain.Asked{Facts: append(a.Facts, a.Facts...), Verdicts: append(a.Verdicts, a.Verdicts...)}
}

func published(t testing.TB, x *account.Explanation) []byte {
	t.Helper()
	b, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// verifies reports the first faults of an explanation.
func verifies(t testing.TB, k *check.Checker, name string, x *account.Explanation) bool {
	t.Helper()
	faults := k.Verify(published(t, x))
	for i, f := range faults {
		if i == 4 {
			break
		}
		t.Errorf("%s of %s: %s", x.Question, name, f)
	}
	return len(faults) == 0
}

func parse(t testing.TB, name string) (*source.File, *node) {
	t.Helper()
	b, err := testdata.Station.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	f := source.NewFile(strings.TrimPrefix(name, "station/"), b)
	root, ps := tomlfile.Parse(f)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	return f, root
}
