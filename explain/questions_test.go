package explain_test

import (
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"whyworn/engine"
	"whyworn/explain"
	"whyworn/explain/account"
	asjson "whyworn/explain/answer"
	"whyworn/explain/tell"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/rules"
	"whyworn/rules/packs"
)

var update = flag.Bool("update", false, "write what comes out into the golden files")

// questionCase runs the inspection of an archive: pack/*.toml, machine.toml,
// inspection.toml.
func questionCase(t testing.TB, a *txtar.Archive) *explain.Case {
	t.Helper()
	fsys, err := txtar.FS(&txtar.Archive{Files: packFiles(a)})
	if err != nil {
		t.Fatal(err)
	}
	pack, ps := rules.Load(fsys, "pack", rules.Checked)
	fatal(t, ps)
	file := func(name string) *source.File {
		for _, f := range a.Files {
			if f.Name == name {
				return source.NewFile(name, f.Data)
			}
		}
		t.Fatalf("no %s", name)
		return nil
	}
	f := file("machine.toml")
	root, ps := tomlfile.Parse(f)
	fatal(t, ps)
	m, ps := facts.ReadMachine(f, root)
	fatal(t, ps)
	f = file("inspection.toml")
	root, ps = tomlfile.Parse(f)
	fatal(t, ps)
	in, ps := facts.ReadInspection(f, root)
	fatal(t, ps)
	return run(t, pack, m, in)
}

func packFiles(a *txtar.Archive) []txtar.File {
	var out []txtar.File
	for _, f := range a.Files {
		if name, ok := strings.CutPrefix(f.Name, "pack/"); ok {
			out = append(out, txtar.File{Name: name, Data: f.Data})
		}
	}
	return out
}

func fatal(t testing.TB, ps source.Problems) {
	t.Helper()
	if ps.HasErrors() {
		t.Fatal(ps)
	}
}

func run(t testing.TB, pack *rules.Pack, m *facts.Machine, in *facts.Inspection) *explain.Case {
	t.Helper()
	f, ps := rules.Fit(pack, m, in)
	fatal(t, ps)
	p, ps := engine.Compile(pack)
	fatal(t, ps)
	s := p.Bind(f)
	s.Run()
	return explain.New(p, s.Result())
}

// station is the demo: engine 2 at Sallowmere.
func station(t testing.TB) *explain.Case {
	t.Helper()
	pack, ps := packs.Load("rocker_gear")
	fatal(t, ps)
	m, ps := facts.ReadMachineFile("../testdata/station/machine.toml")
	fatal(t, ps)
	in, ps := facts.ReadInspectionFile("../testdata/station/engine-2.toml")
	fatal(t, ps)
	return run(t, pack, m, in)
}

// answer answers one line: a verb and what it asks.
func answer(t testing.TB, c *explain.Case, line string) string {
	t.Helper()
	p := tell.NewPage(96)
	verb, rest, _ := strings.Cut(line, " ")
	switch verb {
	case "next":
		tell.Looks(p, c, c.Next(0))
	case "diagnosis":
		tell.Diagnosis(p, c.Diagnose(), false)
	case "story":
		r := asjson.Diagnosis(c.Diagnose(), nil)
		out, err := json.MarshalIndent(struct {
			Story       *asjson.Story
			Open        []asjson.Finding
			Unaccounted []asjson.Sign
		}{r.Story, r.Open, r.Unaccounted}, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		return string(out) + "\n"
	case "whatif":
		var changes []explain.Change
		for _, w := range strings.Split(rest, "&") {
			k, err := c.ParseChange(strings.TrimSpace(w))
			if err != nil {
				return complaint(err)
			}
			changes = append(changes, *k)
		}
		d, _, err := c.WhatIf(changes)
		if err != nil {
			return err.Error() + "\n"
		}
		tell.WhatIf(p, d)
	default:
		a, err := c.Ask(rest)
		if err != nil {
			return complaint(err)
		}
		switch verb {
		case "why":
			x := c.WhyAsked(a)
			sound(t, c, x)
			tell.Why(p, x)
		case "whynot":
			x := c.WhyNotAsked(a)
			sound(t, c, x)
			tell.WhyNot(p, x)
		case "learn":
			tell.Learner(p, c.WhyAsked(a))
		case "note":
			tell.ForNote(p, c.WhyAsked(a))
		default:
			t.Fatalf("no question %q", verb)
		}
	}
	var b strings.Builder
	if _, err := p.WriteTo(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// complaint is an error as a person reads it.
func complaint(err error) string {
	out := err.Error() + "\n"
	var call *explain.CallError
	if errors.As(err, &call) {
		for _, h := range call.Hints {
			out += "hint: " + h + "\n"
		}
	}
	return out
}

// sound checks what holds of every explanation: it is JSON there and back, it
// points at steps that are there, every concluded value that decides is told in
// a step of its own, and what a firing rule needs came in earlier rounds.
func sound(t testing.TB, c *explain.Case, x *account.Explanation) {
	t.Helper()
	out, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	var back account.Explanation
	if err := json.Unmarshal(out, &back); err != nil {
		t.Fatal(err)
	}
	if again, _ := json.Marshal(&back); string(again) != string(out) {
		t.Errorf("not the same after JSON there and back")
	}
	for _, n := range x.Asked {
		if n < 1 || n > len(x.Steps) {
			t.Fatalf("asked for step %d of %d", n, len(x.Steps))
		}
	}
	told := map[string]bool{}
	for i := range x.Steps {
		s := &x.Steps[i]
		if told[s.Fact] && s.Sort != account.SortRemedy {
			t.Errorf("%s is told twice", s.Fact)
		}
		told[s.Fact] = true
		for k := range s.Ways {
			w := &s.Ways[k]
			for _, cond := range w.Conditions() {
				for _, r := range cond.Reads {
					if r.Step == 0 {
						if r.From == account.FromConcluded && r.Decides && (x.Question == "why" || cond.State != "true") && bears(w, cond) {
							t.Errorf("%s: %s decides and is told nowhere", s.Fact, r.Fact)
						}
						continue
					}
					to := x.At(r.Step)
					if to.Fact != r.Fact {
						t.Errorf("%s points for %s at the step of %s", s.Fact, r.Fact, to.Fact)
					}
					if w.Does == account.Concludes && w.State == "true" && r.Decides && to.State == "true" && to.Round >= w.Round && cond.State == "true" {
						t.Errorf("%s in round %d rests on %s in round %d", s.Fact, w.Round, r.Fact, to.Round)
					}
				}
			}
		}
	}
}

// bears tells whether a condition bears on the answer: of a rule known not to
// fire only what is false does, and no exception.
func bears(w *account.Way, cond *account.Cond) bool {
	if w.State != "false" || w.Clue != "" {
		return true
	}
	for i := range w.Unless {
		if cond == &w.Unless[i] {
			return false
		}
	}
	return cond.State == "false"
}

func TestQuestions(t *testing.T) {
	files, err := filepath.Glob("testdata/[qs]*/*.txtar") // questions, stories
	if err != nil || len(files) == 0 {
		t.Fatal("no questions", err)
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			a, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			golden(t, name, a, questionCase(t, a))
		})
	}
}

// golden compares the answers to the lines of "ask" with those in the archive.
func golden(t *testing.T, name string, a *txtar.Archive, c *explain.Case) {
	t.Helper()
	var asks []string
	want := map[string]string{}
	kept := &txtar.Archive{Comment: a.Comment}
	for _, f := range a.Files {
		if line, ok := strings.CutPrefix(f.Name, "> "); ok {
			want[line] = string(f.Data)
			continue
		}
		if f.Name == "ask" {
			asks = strings.Split(strings.TrimSpace(string(f.Data)), "\n")
		}
		kept.Files = append(kept.Files, f)
	}
	for _, line := range asks {
		got := answer(t, c, line)
		kept.Files = append(kept.Files, txtar.File{Name: "> " + line, Data: []byte(got)})
		if !*update && got != want[line] {
			t.Errorf("%s\n--- got\n%s--- want\n%s", line, got, want[line])
		}
		delete(want, line)
	}
	if *update {
		if err := os.WriteFile(name, txtar.Format(kept), 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	for line := range want {
		t.Errorf("an answer to %q, which nobody asks", line)
	}
}
