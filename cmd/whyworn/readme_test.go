package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The commands that README.md shows run as they stand.
func TestReadmeRuns(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	readme, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "note.pdf")
	ran := 0
	for line := range strings.Lines(string(readme)) {
		command, ok := strings.CutPrefix(strings.TrimSpace(line), "$ whyworn ")
		if !ok {
			continue
		}
		ran++
		in := ""
		if i := strings.Index(command, "<"); i >= 0 {
			in, command = strings.TrimSpace(command[i+1:]), command[:i]
		}
		args := words(strings.ReplaceAll(command, "note.pdf", out))
		stdin := new(bytes.Buffer)
		if in != "" {
			data, err := os.ReadFile(in)
			if err != nil {
				t.Fatal(err)
			}
			stdin.Write(data)
		}
		var stdout, stderr bytes.Buffer
		if status := run(args, stdin, &stdout, &stderr); status != exitDone {
			t.Errorf("whyworn %s: exit status %d\n%s", command, status, stderr.String())
		}
	}
	if ran < 10 {
		t.Errorf("only %d commands found in README.md", ran)
	}
}

var quoted = regexp.MustCompile(`"[^"]*"|\S+`)

func words(command string) []string {
	var out []string
	for _, w := range quoted.FindAllString(command, -1) {
		out = append(out, strings.Trim(w, `"`))
	}
	return out
}
