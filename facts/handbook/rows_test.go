package handbook

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"whyworn/facts/measure"
)

// found is what the handbook says to one row.
type found struct {
	entry string         // the entry that was asked
	got   map[string]any // for each key of expected
	// For a row marked disagreement: either the span the entry states, in
	// which the row's value must lie, or words its page must hold, that name
	// whose value was taken or what the others say.
	lo, hi, at float64
	says       string
}

// A topicRun asks the handbook what a row asks.
type topicRun func(t *testing.T, r row) found

// leftOut lists rows that are not run, with the reason. Counted, never silent.
var leftOut = map[string]string{}

// heldWrong lists rows whose figure we hold wrong, with the reason.
var heldWrong = map[string]string{}

// TestPublishedRows runs every row of testdata/published.toml through Evaluate,
// that is with its units, and prints what was run.
func TestPublishedRows(t *testing.T) {
	type tally struct{ run, memory, computed, disagree, left, wrong int }
	tallies := map[string]*tally{}
	var topics []string
	seen := map[string]bool{}
	for _, r := range readRows(t) {
		if seen[r.id] {
			t.Errorf("%s: two rows have this id", r.id)
		}
		seen[r.id] = true
		n := tallies[r.topic]
		if n == nil {
			n = &tally{}
			tallies[r.topic], topics = n, append(topics, r.topic)
		}
		run := topicRuns[r.topic]
		switch {
		case run == nil:
			t.Errorf("%s: nothing runs topic %s", r.id, r.topic)
			continue
		case leftOut[r.id] != "":
			n.left++
			t.Logf("left out: %s: %s", r.id, leftOut[r.id])
			continue
		case heldWrong[r.id] != "":
			n.wrong++
			t.Logf("held wrong: %s: %s", r.id, heldWrong[r.id])
			continue
		}
		n.run++
		if r.how == "memory" {
			n.memory++
		}
		if r.computed {
			n.computed++
		}
		if r.disagreement {
			n.disagree++
		}
		t.Run(r.topic+"/"+r.id, func(t *testing.T) { judge(t, r, run(t, r)) })
	}
	var total tally
	t.Log("topic: run, of these from memory, computed, disagreement; left out; held wrong")
	for _, topic := range topics {
		n := tallies[topic]
		t.Logf("%-28s %3d %3d %3d %3d   %d %d", topic, n.run, n.memory, n.computed, n.disagree, n.left, n.wrong)
		if n.run == 0 {
			t.Errorf("topic %s: no row was run", topic)
		}
		total.run, total.memory, total.computed = total.run+n.run, total.memory+n.memory, total.computed+n.computed
		total.disagree, total.left, total.wrong = total.disagree+n.disagree, total.left+n.left, total.wrong+n.wrong
	}
	t.Logf("%-28s %3d %3d %3d %3d   %d %d", "all", total.run, total.memory, total.computed, total.disagree, total.left, total.wrong)
	for id := range leftOut {
		if !seen[id] {
			t.Errorf("left out row %s is not in the file", id)
		}
	}
	for topic := range topicRuns {
		if tallies[topic] == nil {
			t.Errorf("topic %s has no row", topic)
		}
	}
}

// judge holds what was found against the row, within the row's own tolerance.
func judge(t *testing.T, r row, f found) {
	t.Helper()
	for key, want := range r.expected {
		got, ok := f.got[key]
		if !ok {
			t.Errorf("%s: %s was not asked (%s)", r.id, key, f.entry)
			continue
		}
		w, numeric := want.(float64)
		if !numeric {
			if got != want {
				t.Errorf("%s: %s is %v, published %v (%s)", r.id, key, got, want, r.source)
			}
			continue
		}
		tol, ok := r.tolerance[key].(float64)
		if !ok {
			t.Errorf("%s: no tolerance for %s", r.id, key)
		}
		g := got.(float64)
		if !(math.Abs(g-w) <= tol*(1+1e-9)+1e-12*math.Abs(w)) {
			t.Errorf("%s: %s is %v, published %v ± %v (%s)", r.id, key, g, w, tol, r.source)
		}
		if wrong, ok := r.publishedAs[key].(float64); ok && math.Abs(g-wrong) <= tol {
			t.Errorf("%s: %s is the wrong print %v", r.id, key, wrong)
		}
	}
	e, ok := Lookup(f.entry)
	if !ok {
		t.Fatalf("%s: no entry %s", r.id, f.entry)
	}
	if r.how == "memory" && !r.computed && !strings.Contains(Render(e), "memory") {
		t.Errorf("%s was recalled, not read: the page of %s must say from memory", r.id, f.entry)
	}
	if !r.disagreement {
		return
	}
	switch {
	case f.says != "":
		page := strings.Join(strings.Fields(Render(e)), " ")
		if !strings.Contains(page, f.says) {
			t.Errorf("%s: sources disagree, the page of %s must say %q", r.id, f.entry, f.says)
		}
	case f.lo != f.hi:
		if f.at < f.lo-1e-9 || f.at > f.hi+1e-9 {
			t.Errorf("%s: sources disagree; %v is outside the span %v to %v of %s", r.id, f.at, f.lo, f.hi, f.entry)
		}
	default:
		t.Errorf("%s: sources disagree, but the run shows neither a span nor whose value it is", r.id)
	}
}

// ask evaluates an entry; pairs are name, value.
func ask(t *testing.T, name string, pairs ...string) Answer {
	t.Helper()
	m := map[string]string{}
	for i := 0; i < len(pairs); i += 2 {
		m[pairs[i]] = inOwnUnit(name, pairs[i], pairs[i+1])
	}
	a, err := Evaluate(name, m)
	if err != nil {
		t.Fatalf("%s %v: %v", name, pairs, err)
	}
	return a
}

// inOwnUnit puts the unit of the entry behind numbers that have none.
func inOwnUnit(entry, param, text string) string {
	e, ok := Lookup(entry)
	if !ok || text == "" || strings.Trim(text, "0123456789+-−. ") != "" {
		return text
	}
	for i := range e.Params {
		if p := &e.Params[i]; p.Name == param && p.Unit != "" && p.Unit != "text" {
			return text + " " + p.Unit
		}
	}
	return text
}

// in is a result of the answer in a unit; NaN where the source gives none.
func (a Answer) in(t *testing.T, result, unit string) float64 {
	t.Helper()
	i := slices.IndexFunc(a.Results, func(v Value) bool { return v.Name == result })
	if i < 0 {
		t.Fatalf("%s has no result %s", a.Entry.Name, result)
	}
	v := a.Results[i]
	if math.IsNaN(v.Numbers[0]) {
		return v.Numbers[0]
	}
	from, err := measure.UnitOf(v.Unit)
	if err != nil {
		t.Fatal(err)
	}
	to, err := measure.UnitOf(unit)
	if err != nil {
		t.Fatal(err)
	}
	if from.Dim != to.Dim {
		t.Fatalf("%s.%s is in %s, not a kind of %s", a.Entry.Name, result, v.Unit, unit)
	}
	return to.FromBase(from.ToBase(v.Numbers[0]))
}

func (a Answer) word(t *testing.T, result string) string {
	t.Helper()
	i := slices.IndexFunc(a.Results, func(v Value) bool { return v.Name == result })
	if i < 0 {
		t.Fatalf("%s has no result %s", a.Entry.Name, result)
	}
	return a.Results[i].Word
}

// num, text: an input of the row; q: an input as "value unit".
func (r row) num(key string) float64 {
	v, ok := r.inputs[key].(float64)
	if !ok {
		panic(fmt.Sprintf("row %s has no number %s", r.id, key))
	}
	return v
}
func (r row) text(key string) string {
	v, ok := r.inputs[key].(string)
	if !ok {
		panic(fmt.Sprintf("row %s has no text %s", r.id, key))
	}
	return v
}
func (r row) has(key string) bool { return r.inputs[key] != nil }
func (r row) q(key, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%s %s", plainNumber(r.num(key)), unit))
}
