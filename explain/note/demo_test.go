package note

import (
	"bytes"
	"os"
	"testing"

	"whyworn/engine"
	"whyworn/explain"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/packs"
)

// station is the folder of the demo scenario.
const station = "../../testdata/station/"

// read reads the machine and the inspection of engine 2.
func read(t testing.TB) (*facts.Machine, *facts.Inspection) {
	t.Helper()
	m, ps := facts.ReadMachineFile(station + "machine.toml")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	raw, err := os.ReadFile(station + "engine-2.toml")
	if err != nil {
		t.Fatal(err)
	}
	in, ps := facts.ParseInspection(source.NewFile("engine-2.toml", raw), false)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	return m, in
}

// diagnosed fits and runs an inspection.
func diagnosed(t testing.TB, m *facts.Machine, in *facts.Inspection) *explain.Diagnosis {
	t.Helper()
	pack, ps := packs.Load(m.Pack.Text)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	f, ps := rules.Fit(pack, m, in)
	if ps.HasErrors() {
		t.Fatal(ps.Errors())
	}
	program, ps := engine.Compile(pack)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	s := program.Bind(f)
	s.Run()
	r := s.Result()
	if r.Overrun != nil {
		t.Fatal(r.Overrun)
	}
	return explain.New(program, r).Diagnose()
}

func demo(t testing.TB) *explain.Diagnosis {
	t.Helper()
	m, in := read(t)
	return diagnosed(t, m, in)
}

// inForm writes a content in one form.
func inForm(t testing.TB, c *Content, form string) []byte {
	t.Helper()
	f, ok := FormOf(form)
	if !ok {
		t.Fatalf("no form %q", form)
	}
	var b bytes.Buffer
	if err := f.Write(&b, c); err != nil {
		t.Fatalf("%s: %v", form, err)
	}
	return b.Bytes()
}
