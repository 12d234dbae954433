package rules_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"golang.org/x/tools/txtar"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/trial"
)

// Bad input is data: testdata/bad holds one archive for each way of being
// wrong. The file CODE.txtar is the smallest example of that code.
//
// An archive holds files to be laid over those of testdata/bad/base:
//
//	pack/….toml           the pack, loaded if the archive has a file of it
//	pack/trials/….toml    its trials, loaded and fitted too
//	machine.toml          the machine, assembled
//	inspection.toml|json  an inspection, fitted to the machine it names
//
// The problem expected stands as a comment at the end of the line at fault:
//
//	1in = { tint = "purpel" } # WANT unknown-choice: none of the choices of seat.tint
//
// or, where there can be no comment, above the files:
//
//	WANT inspection.json:3 unknown-choice: none of the choices
//	WANT pack no-pack: no .toml file
//
// The words are a part of the message, or of a hint after ' | '. Every problem
// that comes and is not wanted is reported, warnings too. More lines above the
// files: "BASE none" lays nothing below; "READ name" reads the inspection under
// another name; "MACHINE name" takes that machine file whatever the inspection
// names. A file k{9}.toml is written nine times. A file whose name ends in .quoted holds strings of Go, one a
// line, each perhaps followed by "x N" to repeat it: for bytes that are no text.
const badFolder = "testdata/bad"

var showProblems = flag.Bool("show", false, "print the problems of every bad example as a person would see them")

type wanted struct {
	where string // file:line, or file
	code  source.Code
	words string
}

var wantHead = regexp.MustCompile(`^WANT (\S+) ([a-z0-9-]+):? ?(.*)$`)

// wants reads the expectations of an archive.
func wants(t *testing.T, ar *txtar.Archive) (out []wanted, directives map[string]string) {
	t.Helper()
	directives = map[string]string{}
	for line := range strings.Lines(string(ar.Comment)) {
		line = strings.TrimSpace(line)
		if m := wantHead.FindStringSubmatch(line); m != nil {
			out = append(out, wanted{m[1], source.Code(m[2]), strings.TrimSpace(m[3])})
		} else if word, rest, ok := strings.Cut(line, " "); ok && slices.Contains([]string{"BASE", "READ", "MACHINE"}, word) {
			directives[word] = rest
		}
	}
	for _, f := range ar.Files {
		if strings.HasSuffix(f.Name, ".quoted") {
			continue
		}
		n := 0
		for line := range strings.Lines(string(f.Data)) {
			n++
			_, rest, _ := strings.Cut(strings.TrimSpace(line), "# WANT ")
			for _, w := range strings.Split(rest, "# WANT ") {
				if w == "" {
					continue
				}
				code, words, _ := strings.Cut(w, ":")
				out = append(out, wanted{fmt.Sprintf("%s:%d", f.Name, n), source.Code(strings.TrimSpace(code)), strings.TrimSpace(words)})
			}
		}
	}
	if len(out) == 0 {
		t.Error("nothing is wanted of this example")
	}
	return out, directives
}

func TestBadInput(t *testing.T) {
	if ps := baseProblems(); len(ps) > 0 {
		t.Fatalf("what the examples are laid over has problems itself: %v", ps)
	}
	for _, path := range archives(t) {
		name := strings.TrimSuffix(filepath.Base(path), ".txtar")
		t.Run(name, func(t *testing.T) {
			ar, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			want, directives := wants(t, ar)
			dir := layOut(t, ar, directives["BASE"] == "none")
			ps := problemsOf(dir, ar, directives["READ"], directives["MACHINE"])
			if *showProblems {
				source.Write(os.Stderr, ps, source.Options{})
			}
			compare(t, dir, ps, want)
		})
	}
}

func archives(t *testing.T) []string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(badFolder, "*.txtar"))
	if err != nil || len(all) == 0 {
		t.Fatalf("no bad examples: %v", err)
	}
	return all
}

// layOut writes the files of an archive over the base.
func layOut(t *testing.T, ar *txtar.Archive, bare bool) string {
	t.Helper()
	dir := t.TempDir()
	if !bare {
		if err := os.CopyFS(dir, os.DirFS(filepath.Join(badFolder, "base"))); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range ar.Files {
		name, data := f.Name, f.Data
		if own, ok := strings.CutSuffix(name, ".quoted"); ok {
			name, data = own, unquote(t, data)
		}
		for _, name := range copies(name) {
			path := filepath.Join(dir, filepath.FromSlash(name))
			folder := filepath.Dir(path)
			if strings.HasSuffix(name, "/") {
				folder = path
			}
			if err := os.MkdirAll(folder, 0o777); err != nil {
				t.Fatal(err)
			}
			if folder == path {
				continue
			}
			if err := os.WriteFile(path, data, 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
}

var manyTimes = regexp.MustCompile(`\{([0-9]+)\}`)

// copies lists k1.toml, k2.toml … for k{9}.toml.
func copies(name string) []string {
	m := manyTimes.FindStringSubmatch(name)
	if m == nil {
		return []string{name}
	}
	n, _ := strconv.Atoi(m[1])
	out := make([]string, n)
	for i := range out {
		out[i] = strings.Replace(name, m[0], strconv.Itoa(i+1), 1)
	}
	return out
}

func unquote(t *testing.T, data []byte) []byte {
	t.Helper()
	var out strings.Builder
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSpace(line)
		quoted, err := strconv.QuotedPrefix(line)
		if err != nil {
			t.Fatalf("%q is no string of Go", line)
		}
		text, _ := strconv.Unquote(quoted)
		times := 1
		if rest := strings.TrimSpace(line[len(quoted):]); rest != "" {
			if times, err = strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(rest, "x"))); err != nil {
				t.Fatalf("after a string: %q", rest)
			}
		}
		out.WriteString(strings.Repeat(text, times))
	}
	return []byte(out.String())
}

// problemsOf reads what an archive is about, as a command would.
func problemsOf(dir string, ar *txtar.Archive, read, machine string) source.Problems {
	has := func(prefix string) bool {
		return slices.ContainsFunc(ar.Files, func(f txtar.File) bool { return strings.HasPrefix(f.Name, prefix) })
	}
	packDir := filepath.Join(dir, "pack")
	pack, ps := rules.LoadDir(packDir)
	if has("pack/trials/") && pack != nil {
		trials, more := trial.Load(os.DirFS(packDir), packDir)
		ps.Add(more...)
		for _, t := range trials {
			_, _, more := t.Fit(pack)
			ps.Add(more...)
		}
	}
	inspection := read
	for _, name := range []string{"inspection.toml", "inspection.json"} {
		if inspection == "" && has(name) {
			inspection = name
		}
	}
	var m *facts.Machine
	var in *facts.Inspection
	var more source.Problems
	switch {
	case inspection != "":
		path := filepath.Join(dir, inspection)
		if in, more = facts.ReadInspectionFile(path); in == nil {
			return append(ps, more...)
		}
		ps.Add(more...)
		if in.Machine.Text == "" {
			return ps
		}
		find := facts.FindMachine
		if machine != "" {
			find = func(string, string) (*source.File, *source.Problem) {
				return source.ReadFile(filepath.Join(dir, machine))
			}
		}
		f, p := find(path, in.Machine.Text)
		if p != nil {
			return append(ps, p)
		}
		m, more = facts.ParseMachine(f)
		ps.Add(more...)
	case has("machine.toml"):
		m, more = facts.ReadMachineFile(filepath.Join(dir, "machine.toml"))
		ps.Add(more...)
	}
	if m == nil || pack == nil {
		return ps
	}
	if in == nil {
		_, more = rules.Assemble(pack, m)
	} else {
		_, more = rules.Fit(pack, m, in)
	}
	return append(ps, more...)
}

func compare(t *testing.T, dir string, ps source.Problems, want []wanted) {
	t.Helper()
	met := make([]bool, len(want))
	for _, p := range ps {
		where := ""
		if !p.At.IsZero() {
			name, err := filepath.Rel(dir, p.At.File.Name)
			if err != nil {
				name = p.At.File.Name
			}
			where = filepath.ToSlash(name)
			if p.At.File.Data != nil {
				line, _ := p.At.LineCol()
				where += ":" + strconv.Itoa(line)
			}
		}
		i := slices.IndexFunc(want, func(w wanted) bool { return w.where == where && w.code == p.Code && says(p, w.words) })
		for k := range want { // an example may want the same twice
			if !met[k] && want[k].where == where && want[k].code == p.Code && says(p, want[k].words) {
				i = k
				break
			}
		}
		if i < 0 || met[i] {
			t.Errorf("surplus: %s %s: %s | %s", where, p.Code, p.Message, strings.Join(p.Hints, " | "))
			continue
		}
		met[i] = true
		plain(t, p)
	}
	for i, w := range want {
		if !met[i] {
			t.Errorf("missing: %s %s: %s", w.where, w.code, w.words)
		}
	}
}

// says tells whether a problem has all the words, in its message or, after
// ' | ', in its hints.
func says(p *source.Problem, words string) bool {
	message, hint, _ := strings.Cut(" "+words, " | ")
	return strings.Contains(p.Message, strings.TrimSpace(message)) && strings.Contains(strings.Join(p.Hints, "\n"), strings.TrimSpace(hint))
}

// plain demands one lower-case line without a full stop.
func plain(t *testing.T, p *source.Problem) {
	t.Helper()
	first, _ := utf8.DecodeRuneInString(p.Message)
	word, _, _ := strings.Cut(p.Message, " ")
	if p.Message == "" || unicode.IsUpper(first) && word != strings.ToUpper(word) || strings.HasSuffix(p.Message, ".") || strings.Contains(p.Message, "\n") {
		t.Errorf("not one lower-case line without a full stop: %q", p.Message)
	}
}

// noExample are the codes that no file can show, and why.
var noExample = map[source.Code]string{
	"unreadable": "takes a file that the system refuses to read, which a test run as root cannot make",
}

// TestEveryCodeHasAnExample keeps the table of problems from rotting: each
// code that is declared has its smallest example.
func TestEveryCodeHasAnExample(t *testing.T) {
	shown := map[source.Code]bool{}
	for _, path := range archives(t) {
		ar, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		code := source.Code(strings.TrimSuffix(filepath.Base(path), ".txtar"))
		want, _ := wants(t, ar)
		if slices.ContainsFunc(want, func(w wanted) bool { return w.code == code }) {
			shown[code] = true
		}
	}
	declared := map[source.Code]bool{}
	for _, d := range source.Declared() {
		declared[d.Code] = true
		switch why, excused := noExample[d.Code]; {
		case shown[d.Code] && excused:
			t.Errorf("%s has an example now and is still excused: %s", d.Code, why)
		case !shown[d.Code] && !excused:
			t.Errorf("%s (%s) has no example: write %s/%s.txtar", d.Code, d.Sentence, badFolder, d.Code)
		}
	}
	for code := range noExample {
		if !declared[code] {
			t.Errorf("%s is excused but not declared", code)
		}
	}
}

// baseProblems are those of what the examples are laid over: there are none,
// so that each example shows its own fault and no other.
func baseProblems() source.Problems {
	dir := filepath.Join(badFolder, "base")
	pack, ps := rules.LoadDir(filepath.Join(dir, "pack"))
	m, more := facts.ReadMachineFile(filepath.Join(dir, "machine.toml"))
	ps.Add(more...)
	if pack != nil && m != nil {
		_, more = rules.Assemble(pack, m)
		ps.Add(more...)
	}
	return ps
}
