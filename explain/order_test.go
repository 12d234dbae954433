package explain_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"whyworn/explain"
	asjson "whyworn/explain/answer"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/rules"
	"whyworn/rules/packs"
)

// tables cuts a TOML file before each line that opens a top-level table.
func tables(text string) []string {
	var out []string
	var b strings.Builder
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "[") {
			out = append(out, b.String())
			b.Reset()
		}
		b.WriteString(line)
	}
	return append(out, b.String())
}

// The whole of what diagnose --json answers for the demo is the same to the
// byte, the digest of the pack apart, whatever the order of the pack's files and
// of its rules, clues, links, rivals, limits, remedies, cautions and pictures,
// and of the inspection's tables and their lines. The order in which a pack
// declares its vocabulary and a machine its places is the order of print; work,
// remarks and photographs are told as they were written: these stay.
func TestDiagnosisDoesNotCareAboutOrder(t *testing.T) {
	folder, _ := packs.Folder("rocker_gear")
	names, err := fs.Glob(folder, "*.toml")
	if err != nil {
		t.Fatal(err)
	}
	vocabulary := ""
	var statements []string
	for _, name := range names {
		data, err := fs.ReadFile(folder, name)
		if err != nil {
			t.Fatal(err)
		}
		for _, table := range tables(string(data)) {
			head, _, _ := strings.Cut(table, "]")
			switch head {
			case "[[rule", "[[clue", "[[link", "[[rivals", "[[limit", "[[remedy", "[[caution", "[[picture":
				statements = append(statements, table)
			default:
				vocabulary += table
			}
		}
	}
	if len(statements) < 200 {
		t.Fatalf("only %d statements", len(statements))
	}
	written, err := os.ReadFile("../testdata/station/engine-2.toml")
	if err != nil {
		t.Fatal(err)
	}
	m, ps := facts.ReadMachineFile("../testdata/station/machine.toml")
	fatal(t, ps)
	answer := func(files int, inspection string) string {
		fsys := fstest.MapFS{"v.toml": {Data: []byte(vocabulary)}}
		for i := range files {
			var b strings.Builder
			for k := i; k < len(statements); k += files {
				b.WriteString(statements[k])
			}
			fsys[fmt.Sprintf("%c.toml", 'a'+i)] = &fstest.MapFile{Data: []byte(b.String())}
		}
		pack, ps := rules.Load(fsys, "pack", rules.Checked)
		fatal(t, ps)
		f := source.NewFile("inspection.toml", []byte(inspection))
		root, ps := tomlfile.Parse(f)
		fatal(t, ps)
		in, ps := facts.ReadInspection(f, root)
		fatal(t, ps)
		r := asjson.Diagnosis(run(t, pack, m, in).Diagnose(), nil)
		r.Pack.Digest = ""
		out, err := json.MarshalIndent(r, "", " ")
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	want := answer(1, string(written))
	for seed := range uint64(5) {
		rng := rand.New(rand.NewPCG(seed, 7))
		rng.Shuffle(len(statements), func(a, b int) { statements[a], statements[b] = statements[b], statements[a] })
		parts := tables(string(written))
		head, rest := parts[0], parts[1:]
		for i, table := range rest {
			if !strings.HasPrefix(table, "[[") && !strings.Contains(table, `"""`) {
				rest[i] = shuffledLines(table, rng)
			}
		}
		// Arrays of tables stay in order among themselves.
		single := slices.DeleteFunc(slices.Clone(rest), func(t string) bool { return strings.HasPrefix(t, "[[") })
		array := slices.DeleteFunc(slices.Clone(rest), func(t string) bool { return !strings.HasPrefix(t, "[[") })
		rng.Shuffle(len(single), func(a, b int) { single[a], single[b] = single[b], single[a] })
		at := rng.IntN(len(single) + 1)
		inspection := head + strings.Join(slices.Concat(single[:at], array, single[at:]), "\n")
		if got := answer(1+rng.IntN(6), inspection); got != want {
			t.Fatalf("seed %d: %s", seed, firstDifference(want, got))
		}
	}
}

// shuffledLines shuffles the lines of a table that are whole by themselves.
func shuffledLines(table string, rng *rand.Rand) string {
	lines := strings.SplitAfter(table, "\n")
	head, rest := lines[0], lines[1:]
	for _, l := range rest {
		if text := strings.TrimSpace(l); text != "" && !strings.HasPrefix(text, "#") && (!strings.Contains(text, "=") || strings.Count(text, "{") != strings.Count(text, "}")) {
			return table // something runs over several lines
		}
	}
	rng.Shuffle(len(rest), func(a, b int) { rest[a], rest[b] = rest[b], rest[a] })
	return head + strings.Join(rest, "")
}

func firstDifference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("line %d: %s, and after the shuffle %s", i+1, a[i], b[i])
		}
	}
	return fmt.Sprintf("%d lines, and after the shuffle %d", len(a), len(b))
}

// Whatever is asked or looked at in between, a story told again is the same.
func TestStoryToldAgainIsTheSame(t *testing.T) {
	c := station(t)
	tell := func(c *explain.Case) string {
		out, err := json.Marshal(asjson.Diagnosis(c.Diagnose(), nil))
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	want := tell(c)
	c.Next(0)
	if got := tell(c); got != want {
		t.Error("told again it differs")
	}
	if got := tell(station(t)); got != want {
		t.Error("run again it differs")
	}
}
