package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/explain/answer"
	"whyworn/facts"
	"whyworn/facts/jsonfile"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// sharedFields keeps of a result what batch and diagnose both give. A problem
// stands in another file, and the words of a story are diagnose's alone.
func sharedFields(t *testing.T, text []byte) map[string]any {
	t.Helper()
	var all map[string]any
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	out := map[string]any{}
	for _, key := range []string{"pack", "machine", "number", "date", "findings", "computed", "verdicts", "conflicts", "problems"} {
		out[key] = all[key]
	}
	drop := func(list string, keys ...string) {
		items, _ := out[list].([]any)
		for _, item := range items {
			for _, k := range keys {
				delete(item.(map[string]any), k)
			}
		}
	}
	drop("findings", "role", "because", "assumed")
	drop("verdicts", "because", "undecided", "decision")
	drop("problems", "file", "line", "other") // batch counts the lines of its input
	return out
}

func TestBatchAnswersAsDiagnoseDoes(t *testing.T) {
	const n = 24
	machine, err := filepath.Abs(filepath.Join("..", "..", "testdata", "station", "machine.toml"))
	if err != nil {
		t.Fatal(err)
	}
	var lines, out, errs bytes.Buffer
	if _, err := io.Copy(&lines, newInspectionLines(n)); err != nil {
		t.Fatal(err)
	}
	text := lines.String()
	if status := run([]string{"batch", "--machine", machine}, strings.NewReader(text), &out, &errs); status != exitDone {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	answers := bytes.Split(bytes.TrimSpace(out.Bytes()), []byte{'\n'})
	if len(answers) != n {
		t.Fatalf("%d answers to %d lines", len(answers), n)
	}
	path := filepath.Join(t.TempDir(), "inspection.json")
	i := 0
	for line := range strings.Lines(text) {
		if err := os.WriteFile(path, []byte(line), 0o600); err != nil {
			t.Fatal(err)
		}
		var one bytes.Buffer
		errs.Reset()
		if status := run([]string{"diagnose", "--json", "--machine", machine, path}, nil, &one, &errs); status != exitDone {
			t.Fatalf("status %d: %s", status, errs.String())
		}
		got, want := sharedFields(t, answers[i]), sharedFields(t, one.Bytes())
		if got["number"] != fmt.Sprintf("engine %d", i+1) {
			t.Fatalf("answer %d is of %v", i+1, got["number"])
		}
		for key := range want {
			if !reflect.DeepEqual(got[key], want[key]) {
				t.Errorf("inspection %d, %s: batch has\n%v\ndiagnose has\n%v", i+1, key, got[key], want[key])
			}
		}
		i++
	}
}

// Blocks of lines come out in the order in which they went in, however many run
// at once.
func TestBatchKeepsOrder(t *testing.T) {
	k := stationBatch(t)
	const n = 400 // several blocks
	var out bytes.Buffer
	if err := k.pump(newInspectionLines(n), &out); err != nil {
		t.Fatal(err)
	}
	i := 0
	for line := range bytes.Lines(out.Bytes()) {
		i++
		var r struct{ Number string }
		if err := json.Unmarshal(line, &r); err != nil || r.Number != fmt.Sprintf("engine %d", i) {
			t.Fatalf("line %d is of %q (%v)", i, r.Number, err)
		}
	}
	if i != n {
		t.Errorf("%d answers to %d lines", i, n)
	}
}

// An answer does not wait for more input.
func TestBatchAnswersWhileTheInputPauses(t *testing.T) {
	k := stationBatch(t)
	in, feed := io.Pipe()
	answers, out := io.Pipe()
	done := make(chan error, 1)
	go func() {
		err := k.pump(in, out)
		out.Close()
		done <- err
	}()
	var lines bytes.Buffer
	if _, err := io.Copy(&lines, newInspectionLines(2)); err != nil {
		t.Fatal(err)
	}
	first, second, _ := bytes.Cut(lines.Bytes(), []byte{'\n'})
	read := make(chan string)
	go func() {
		for r := bufio.NewReader(answers); ; {
			line, err := r.ReadString('\n')
			if err != nil {
				close(read)
				return
			}
			read <- line
		}
	}()
	// With the beginning of the second line, as a full pipe leaves it.
	if _, err := feed.Write(append(append(first, '\n'), second[:40]...)); err != nil {
		t.Fatal(err)
	}
	select {
	case line := <-read:
		if !strings.Contains(line, "engine 1") {
			t.Errorf("answered %.100s", line)
		}
	case <-time.After(time.Minute): // far longer than any machine takes
		t.Fatal("no answer while the input pauses")
	}
	if _, err := feed.Write(second[40:]); err != nil {
		t.Fatal(err)
	}
	feed.Close()
	if line := <-read; !strings.Contains(line, "engine 2") {
		t.Errorf("answered %.100s", line)
	}
	if err := <-done; err != nil {
		t.Error(err)
	}
}

// What a batch writes line by line, in memory used again, is what a fresh session
// and the result as a value give.
func TestBatchLinesAreThoseOfFreshSessions(t *testing.T) {
	k := stationBatch(t)
	r := rand.New(rand.NewPCG(5, 55))
	again, lines := newLineRunner(k.layout, k.program), answer.NewLines(k.program.Pack())
	good, last := 0, ""
	for i := range 600 {
		varied := variedLine(r, i+1)
		if last != "" && r.IntN(2) == 0 { // much like the line before
			varied = strings.TrimSpace(last)
			for range r.IntN(4) {
				varied = changeAnswer(varied, r, mildly)
			}
			varied += "\n"
		}
		last = varied
		line := []byte(varied)
		f, ps := newLineRunner(k.layout, k.program).fit(i+1, line)
		g, qs := again.fit(i+1, line)
		if (f == nil) != (g == nil) || fmt.Sprint(ps) != fmt.Sprint(qs) {
			t.Fatalf("line %d: %v\nin memory used again: %v", i+1, ps, qs)
		}
		if f == nil {
			continue
		}
		good++
		s := k.program.Bind(f)
		s.Run()
		c := explain.New(k.program, s.Result())
		if found := c.Result.Findings(); !reflect.DeepEqual(found, findingsByAsking(c)) {
			t.Fatalf("line %d: findings are %v", i+1, found)
		}
		want, err := answer.Append(nil, answer.Facts(c, ps))
		got, err2 := lines.Append(nil, explain.New(k.program, again.run(g)), qs)
		if err != nil || err2 != nil || !bytes.Equal(got, want) {
			t.Fatalf("line %d: %v %v\n%s\nwant\n%s", i+1, err, err2, got, want)
		}
	}
	if good < 100 {
		t.Errorf("only %d lines could be read", good)
	}
}

// findingsByAsking asks for each fact by itself.
func findingsByAsking(c *explain.Case) []record.Finding {
	var out []record.Finding
	for n := range c.Facts.Parts {
		for _, p := range c.Facts.Parts[n].Kind.Properties {
			slot := c.Result.Columns.Slot(&c.Facts.Parts[n], p)
			if slot < 0 || !p.Role.Concluded() || p.Role == vocab.Verdict {
				continue
			}
			f := c.Result.Fact(int32(n), p)
			if f.State.Known() || c.Result.Flags[slot]&(record.TouchedFlag|record.InConflictFlag) != 0 {
				out = append(out, record.Finding{FactID: record.FactID{Part: int32(n), Prop: p}, Fact: f})
			}
		}
	}
	return out
}

// A fitter gives of inspection after inspection what a fresh fit gives, layouts
// that work made and the names in them included.
func TestFitterGivesWhatAFreshFitDoes(t *testing.T) {
	k := stationBatch(t)
	r := rand.New(rand.NewPCG(6, 66))
	x := rules.NewFitter(k.layout)
	again := map[*rules.Layout]int{}
	for i := range 300 {
		file := source.NewFile("line", []byte(variedLine(r, i+1)))
		root, ps := jsonfile.Parse(file)
		if root == nil || ps.HasErrors() {
			continue
		}
		in, _ := facts.ReadInspection(file, root)
		want, ps := rules.FitTo(k.layout, in)
		got, qs := x.Fit(in)
		if !reflect.DeepEqual(ps, qs) || (want == nil) != (got == nil) {
			t.Fatalf("line %d: %v\na fresh fit tells %v", i+1, qs, ps)
		}
		if want == nil {
			continue
		}
		for _, f := range []*rules.Facts{got, want} {
			if len(f.Uncertainties) == 0 { // room or none
				f.Uncertainties = nil
			}
			if len(f.Sizes) == 0 {
				f.Sizes = nil
			}
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("line %d: the facts differ from those of a fresh fit:\n%s", i+1, file.Data)
		}
		if got.Layout != k.layout {
			again[got.Layout]++
		}
	}
	if len(again) == 0 || slices.Max(slices.Collect(maps.Values(again))) < 10 {
		t.Errorf("layouts of work were hardly used again: %v times", slices.Collect(maps.Values(again)))
	}
}
