package engine_test

import (
	"fmt"
	"slices"
	"strings"
	"testing/fstest"

	"whyworn/engine"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/rules"
)

// complainer is a *testing.T or a *rapid.T.
type complainer interface {
	Helper()
	Fatalf(string, ...any)
}

// loadPack loads a pack from texts by file name.
func loadPack(t complainer, files map[string]string) *rules.Pack {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, ps := rules.Load(fsys, "pack", rules.Checked)
	if p == nil {
		var all []string
		for _, text := range files {
			all = append(all, strings.Replace(text, vocabularyOfWorlds, "", 1))
		}
		t.Fatalf("the pack does not load: %v\n%v", told(ps), strings.Join(all, ""))
	}
	return p
}

func told(ps source.Problems) string {
	var b strings.Builder
	for _, p := range ps {
		if !p.Warning {
			fmt.Fprintf(&b, "%v\n", p)
		}
	}
	return b.String()
}

// fit fits a machine and an inspection to a pack.
func fit(t complainer, p *rules.Pack, machine, inspection string) *rules.Facts {
	t.Helper()
	file := source.NewFile("machine.toml", []byte(machine))
	root, ps := tomlfile.Parse(file)
	if root == nil || ps.HasErrors() {
		t.Fatalf("machine: %v\n%s", told(ps), machine)
	}
	m, ps := facts.ReadMachine(file, root)
	file = source.NewFile("inspection.toml", []byte(inspection))
	root, more := tomlfile.Parse(file)
	ps.Add(more...)
	if root == nil || ps.HasErrors() {
		t.Fatalf("machine or inspection: %v\n%s", told(ps), inspection)
	}
	in, more := facts.ReadInspection(file, root)
	ps.Add(more...)
	f, more := rules.Fit(p, m, in)
	ps.Add(more...)
	if f == nil || ps.HasErrors() {
		t.Fatalf("machine and inspection do not fit: %v\n%s\n%s", told(ps), machine, inspection)
	}
	return f
}

func compile(t complainer, p *rules.Pack) *engine.Program {
	t.Helper()
	program, ps := engine.Compile(p)
	if program == nil || ps.HasErrors() {
		t.Fatalf("the pack does not compile: %v", told(ps))
	}
	return program
}

// world is a small random pack with a machine and an inspection, as texts.
type world struct {
	vocabulary []string // tables that say which words there are
	statements []string // rules, clues, rivals
	places     []string // [[place]] tables
	parts      []string // ids of places
	kindOf     map[string]string
	observed   map[string]map[string]string // part, property: what is written
	k          string
}

func (w *world) packFiles() map[string]string {
	return map[string]string{
		"pack.toml":  "[pack]\nid = \"random\"\nversion = \"1\"\ntitle = \"Random\"\n" + strings.Join(w.vocabulary, ""),
		"rules.toml": strings.Join(w.statements, ""),
	}
}

func (w *world) machine() string {
	return "[machine]\nid = \"m\"\nname = \"m\"\npack = \"random\"\n" + strings.Join(w.places, "")
}

func (w *world) inspection() string {
	var b strings.Builder
	b.WriteString("machine = \"m\"\n")
	if w.k != "" {
		fmt.Fprintf(&b, "k = %s\n", w.k)
	}
	b.WriteString("[tools]\nmic = { is = \"micrometer\", u = \"0.02 mm\", calibration = \"0.01 mm\" }\ndepth = { is = \"depth gauge\", u = \"0.05 mm\" }\n")
	for _, p := range w.parts {
		var keys []string
		for k := range w.observed[p] {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		fmt.Fprintf(&b, "[%s]\n", p)
		for _, k := range keys {
			fmt.Fprintf(&b, "%s = %s\n", k, w.observed[p][k])
		}
	}
	return b.String()
}

func (w *world) String() string {
	var b strings.Builder
	for _, s := range slices.Concat(w.vocabulary[min(1, len(w.vocabulary)):], w.statements) {
		b.WriteString(s)
	}
	b.WriteString(w.machine())
	b.WriteString(w.inspection())
	return b.String()
}
