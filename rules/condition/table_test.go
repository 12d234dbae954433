package condition_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"whyworn/facts/source"
	"whyworn/rules/condition"
)

var update = flag.Bool("update", false, "rewrite the expectations in testdata")

// table runs say over the entries of a file, the lines that do not begin with
// a tab, and compares with the lines below them.
func table(t *testing.T, file string, say func(text string) []string) {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for _, line := range strings.Split(strings.TrimSuffix(string(data), "\n"), "\n") {
		if strings.HasPrefix(line, "\t") {
			continue
		}
		out.WriteString(line + "\n")
		if strings.HasPrefix(line, "# ") && out.Len() < 400 { // the head of the file
			continue
		}
		for _, s := range say(line) {
			out.WriteString("\t" + s + "\n")
		}
	}
	if *update {
		if err := os.WriteFile(file, []byte(out.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if d := cmp.Diff(string(data), out.String()); d != "" {
		t.Errorf("%s (-want +got), after reading it run with -update:\n%s", file, d)
	}
}

func tell(ps source.Problems) []string {
	var out []string
	for _, p := range ps {
		s := fmt.Sprintf("%s %d-%d %s", p.Code, p.At.Start-6, p.At.End-6, p.Message)
		for _, h := range p.Hints {
			s += " | " + h
		}
		if len(s) > 400 {
			s = s[:400] + "…"
		}
		out = append(out, s)
	}
	return out
}

func reading(deps []condition.Dep) string {
	s := "reads"
	for _, d := range deps {
		s += " " + d.Prop.Label()
		if d.Strict {
			s += "!"
		}
	}
	return s
}

func TestTreesOfConditions(t *testing.T) {
	table(t, "testdata/good.txt", func(text string) []string {
		c, ps := condition.Parse(node(text), all, condition.WantBool)
		if len(ps) > 0 {
			t.Errorf("%s: %v", text, ps)
			return tell(ps)
		}
		out := []string{dump(c.Root, all), reading(c.Deps)}
		for _, tie := range c.Ties {
			s := "ties " + all.Names[tie.A].ID + " " + all.Names[tie.B].ID + ": " + dump(tie.Left, all) + " = " + dump(tie.Right, all)
			if tie.Member {
				s = strings.Replace(s, " = ", " in ", 1)
			}
			out = append(out, s)
		}
		return out
	})
}

func TestFaultsOfConditions(t *testing.T) {
	table(t, "testdata/bad.txt", func(text string) []string {
		c, ps := condition.Parse(node(text), all, condition.WantBool)
		if len(ps) == 0 {
			t.Errorf("%s: no problem", text)
		}
		if c != nil {
			t.Errorf("%s: a condition though there are problems", text)
		}
		return tell(ps)
	})
}
