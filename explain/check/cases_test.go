package check_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"golang.org/x/tools/txtar"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/explain/check"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// The cases that say by hand what conditions, rules and clues mean, and those
// whose questions and stories are goldens, are explained and verified too: what the
// shipped pack does not use is used there.
func TestCasesOfMeaningVerify(t *testing.T) {
	var files []string
	for _, folder := range []string{"../../engine/testdata/semantics", "../testdata/questions", "../testdata/story"} {
		some, err := filepath.Glob(folder + "/*.txtar")
		if err != nil || len(some) < 3 {
			t.Fatal(folder, some, err)
		}
		files = append(files, some...)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		folder, machines, inspections := fstest.MapFS{}, map[string]string{}, map[string]string{}
		for _, f := range txtar.Parse(data).Files {
			switch name, of, _ := strings.Cut(f.Name, " "); name {
			case "machine.toml":
				machines[of] = string(f.Data)
			case "inspection.toml":
				inspections[of] = string(f.Data)
			case "expect":
			default:
				name = strings.TrimPrefix(name, "pack/")
				folder[name] = &fstest.MapFile{Data: f.Data}
			}
		}
		pack, ps := rules.Load(folder, "case", rules.Checked)
		if pack == nil {
			t.Fatalf("%s: %v", file, ps)
		}
		p, ps := engine.Compile(pack)
		if ps.HasErrors() {
			t.Fatalf("%s: %v", file, ps)
		}
		for of, text := range inspections {
			machine, own := machines[of]
			if !own {
				machine = machines[""]
			}
			m, ps := facts.ReadMachine(read(t, "machine.toml", machine))
			in, more := facts.ReadInspection(read(t, "inspection.toml", text))
			ps.Add(more...)
			f, more := rules.Fit(pack, m, in)
			if ps.Add(more...); ps.HasErrors() {
				t.Fatalf("%s %s: %v", file, of, ps)
			}
			everything(t, pack, run(p, f), filepath.Base(file)+" "+of)
		}
	}
}

// everything verifies why and whynot of all that could be concluded of every part.
func everything(t *testing.T, pack *rules.Pack, c *explain.Case, name string) {
	t.Helper()
	k := check.New(pack, c.Facts)
	for part := range c.Facts.Parts {
		for _, p := range c.Facts.Parts[part].Kind.Properties {
			if !p.Role.Concluded() && p.Role != vocab.Computed {
				continue
			}
			a := &explain.Asked{Facts: []record.FactID{{Part: int32(part), Prop: p}}}
			verifies(t, k, name, c.WhyAsked(a))
			verifies(t, k, name, c.WhyNotAsked(quiet(a)))
		}
		if _, ok := c.Result.Verdict(int32(part)); ok {
			verifies(t, k, name, c.WhyAsked(&explain.Asked{Verdicts: []int32{int32(part)}}))
		}
	}
}

func read(t *testing.T, name, text string) (*source.File, *node) {
	t.Helper()
	f := source.NewFile(name, []byte(text))
	root, ps := tomlfile.Parse(f)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	return f, root
}
