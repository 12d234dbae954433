package learn_test

import (
	"testing/fstest"

	"whyworn/engine"
	"whyworn/facts"
	"whyworn/facts/jsonfile"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/rules"
)

// What follows is called from several goroutines, so that faults in the texts
// of these tests are panics.

func must(ps source.Problems) {
	if ps.HasErrors() {
		panic(ps)
	}
}

// load loads a pack of two files.
func load(words, clues string, trust rules.Trust) *rules.Pack {
	p, ps := rules.Load(fstest.MapFS{"pack.toml": {Data: []byte(words)}, "clues.toml": {Data: []byte(clues)}}, "pack", trust)
	must(ps)
	return p
}

func compile(p *rules.Pack) *engine.Program {
	program, ps := engine.Compile(p)
	must(ps)
	return program
}

func layoutOf(p *rules.Pack, machine string) *rules.Layout {
	f := source.NewFile("machine.toml", []byte(machine))
	root, ps := tomlfile.Parse(f)
	must(ps)
	m, ps := facts.ReadMachine(f, root)
	must(ps)
	l, ps := rules.Assemble(p, m)
	must(ps)
	return l
}

func inspectionOf(text []byte) *facts.Inspection {
	f := source.NewFile("case.json", text)
	root, ps := jsonfile.Parse(f)
	must(ps)
	in, ps := facts.ReadInspection(f, root)
	must(ps)
	return in
}

func fit(l *rules.Layout, in *facts.Inspection) *rules.Facts {
	f, ps := rules.FitTo(l, in)
	must(ps)
	return f
}
