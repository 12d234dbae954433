package note

import (
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

// diagnosed reads, fits and runs an inspection of the demo station.
func diagnosed(t testing.TB, file *source.File) *explain.Diagnosis {
	t.Helper()
	m, ps := facts.ReadMachineFile(station + "machine.toml")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	in, ps := facts.ParseInspection(file, false)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
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

// demo is the inspection of engine 2.
func demo(t testing.TB) *explain.Diagnosis {
	t.Helper()
	raw, err := os.ReadFile(station + "engine-2.toml")
	if err != nil {
		t.Fatal(err)
	}
	return diagnosed(t, source.NewFile("engine-2.toml", raw))
}
