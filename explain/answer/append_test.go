package answer

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts/source"
)

// drawResult draws a result with every field that may be there, odd strings and
// odd numbers among them.
func drawResult(t *rapid.T) *Result {
	str := func(name string) string {
		return rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "seat_2ex", "µm", `"`, `\`, "<b>&", "\u2028", "\xff", "\x7f\n\x00", "°C", "日本"})).Draw(t, name)
	}
	strs := func() []string {
		switch rapid.IntRange(0, 3).Draw(t, "strings") {
		case 0:
			return []string{}
		case 1:
			return []string{str("a"), str("b")}
		}
		return nil
	}
	yes := func() bool { return rapid.Bool().Draw(t, "yes") }
	number := func() *float64 {
		if yes() {
			return nil
		}
		x := rapid.OneOf(rapid.Float64Range(-1e3, 1e3), rapid.Float64(), rapid.SampledFrom([]float64{0, math.Copysign(0, -1), 1e-6, 9.9e-7, 1e-9, 1.5e-10, 1e21, 1e20, 1e100, 1e-100, math.MaxFloat64, math.SmallestNonzeroFloat64})).Draw(t, "x")
		return &x
	}
	few := func() int { return rapid.IntRange(0, 3).Draw(t, "few") }
	r := &Result{Pack: Pack{str("id"), str("version"), str("digest")}, Machine: str("machine"), Number: str("number"), Date: str("date"),
		Conflicts: strs(), Findings: []Finding{}, Verdicts: []Verdict{}}
	for range few() {
		r.Findings = append(r.Findings, Finding{Part: str("part"), Finding: str("finding"), State: str("state"), Certain: yes(), Probability: number(),
			Decibans: number(), Word: str("word"), Role: str("role"), Round: int32(few() - 1), Because: str("because"), Assumed: strs(), Conflict: yes(),
			Rivals: strs(), DecidedBy: strs(), SpokenToBy: strs(), NothingCan: yes()})
	}
	for range few() {
		r.Computed = append(r.Computed, Number{str("part"), str("property"), number(), number(), number(), str("unit"), number()})
	}
	for range few() {
		v := Verdict{Part: str("part"), Verdict: str("verdict"), Because: strs(), Undecided: strs(), Decision: str("decision")}
		for range few() {
			v.Missing = append(v.Missing, Property{str("part"), str("property")})
		}
		r.Verdicts = append(r.Verdicts, v)
	}
	if yes() {
		r.Problems = source.Problems{}
		for range few() {
			r.Problems.Addf(nothingIsWrong, source.NewFile("f", []byte("text")).At(1, 2), "%s", str("message"))
		}
	}
	if few() == 0 {
		r.Story = &Story{InShort: strs(), Roots: strs(), Links: []Link{{str("from"), str("to"), str("how")}}}
	}
	return r
}

// nothingIsWrong is a code for this test.
var nothingIsWrong = source.Declare("nothing-is-wrong", "a test needs a problem")

// The reference is encoding/json of the standard library.
func TestAppendWritesWhatEncodingJSONDoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawResult(t)
		var want bytes.Buffer
		e := json.NewEncoder(&want)
		e.SetEscapeHTML(false)
		if err := e.Encode(r); err != nil {
			t.Fatal(err)
		}
		got, err := Append([]byte("before "), r)
		if err != nil || string(got) != "before "+want.String() {
			t.Fatalf("%v\n%s\nencoding/json writes\n%s", err, got, want.String())
		}
	})
}

func TestAppendRefusesWhatJSONLacks(t *testing.T) {
	x := math.Inf(1)
	if _, err := Append(nil, &Result{Findings: []Finding{{Decibans: &x}}}); err == nil {
		t.Error("an infinite number was written")
	}
}
