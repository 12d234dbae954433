package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// floors, from the ground up. An import goes down or stays; testdata is
// embedded files only and stands beside them.
var floors = map[string]int{"testdata": 0, "facts": 1, "rules": 2, "engine": 3, "explain": 4, "cmd": 5}

// doors says which package alone may import a foreign library.
var doors = map[string]string{
	"github.com/BurntSushi/toml":    "whyworn/facts/tomlfile",
	"github.com/pelletier/go-toml/": "whyworn/facts/tomlfile",
	"github.com/expr-lang/expr":     "whyworn/rules/condition",
	"github.com/spf13/cobra":        "whyworn/cmd/whyworn",
	"github.com/spf13/pflag":        "whyworn/cmd/whyworn",
	"golang.org/x/sys":              "whyworn/cmd/whyworn",
	"codeberg.org/go-pdf/fpdf":      "whyworn/explain/note",
}

func imports(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}} {{join .Imports \" \"}}", "whyworn/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	graph := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		graph[words[0]] = words[1:]
	}
	if len(graph) < 10 {
		t.Fatalf("only %d packages seen", len(graph))
	}
	return graph
}

func floorOf(pkg string) (int, bool) {
	rest, ours := strings.CutPrefix(pkg, "whyworn/")
	if !ours {
		return 0, false
	}
	top, _, _ := strings.Cut(rest, "/")
	n, ok := floors[top]
	return n, ok
}

func TestImportsGoDown(t *testing.T) {
	for pkg, deps := range imports(t) {
		from, ok := floorOf(pkg)
		if !ok {
			t.Errorf("%s stands on no floor", pkg)
		}
		for _, dep := range deps {
			if to, ours := floorOf(dep); ours && to > from {
				t.Errorf("%s imports %s, which is a floor above it", pkg, dep)
			}
			for library, door := range doors {
				if strings.HasPrefix(dep, library) && pkg != door {
					t.Errorf("%s imports %s; only %s may", pkg, dep, door)
				}
			}
		}
	}
}

// The verifier of explanations must not see what it verifies, nor may the rooms
// that it shares with package explain, nor the meaning that it replays by: of the
// engine they reach its plain values and the arithmetic of decibans, directly or
// through others. Nor may what is verified see that meaning.
func TestCheckNeverSeesTheEvaluator(t *testing.T) {
	graph := imports(t)
	const meaning = "whyworn/engine/meaning"
	plain := []string{"whyworn/engine/record", "whyworn/engine/weigh", meaning}
	rooms := []string{"whyworn/explain/account", "whyworn/explain/words", "whyworn/explain/check", meaning}
	for pkg, deps := range graph {
		if pkg != "whyworn/explain/check" && slices.Contains(deps, meaning) {
			t.Errorf("%s imports %s, which is for tests and the verifier", pkg, meaning)
		}
	}
	for _, room := range rooms {
		if graph[room] == nil {
			t.Fatalf("%s is not among the packages", room)
		}
		seen := map[string]bool{}
		var walk func(pkg string)
		walk = func(pkg string) {
			if seen[pkg] {
				return
			}
			seen[pkg] = true
			if pkg == "whyworn/explain" || strings.HasPrefix(pkg, "whyworn/engine") && !slices.Contains(plain, pkg) {
				t.Errorf("%s reaches %s through its imports", room, pkg)
			}
			for _, dep := range graph[pkg] {
				walk(dep)
			}
		}
		walk(room)
	}
}

func TestTopLevel(t *testing.T) {
	agreed := []string{"cmd", "engine", "rules", "facts", "explain", "testdata", "README.md", "DEVELOPERS.md", "go.mod", "go.sum", "LICENSE"}
	entries, err := os.ReadDir(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if name := e.Name(); !strings.HasPrefix(name, ".") && name != "whyworn" && !slices.Contains(agreed, name) {
			t.Errorf("%s stands at the top level outside the agreed list", name)
		}
	}
}
