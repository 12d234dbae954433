package engine_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// canonical is all that a run answers, with names instead of numbers, sorted: two
// runs that mean the same give the same bytes.
func canonical(res *record.Result) string {
	f := res.Facts
	name := func(part int32, p *vocab.Property) string { return f.Parts[part].ID + "." + p.ID }
	bound := func(parts []int32) string {
		var out []string
		for _, p := range parts {
			out = append(out, f.Parts[p].ID)
		}
		return strings.Join(out, ",")
	}
	var lines []string
	say := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	for n := range f.Parts {
		part := int32(n)
		for _, p := range f.Parts[n].Kind.Properties {
			if p.Role.Concluded() {
				say("%s %+v", name(part, p), res.Fact(part, p))
			}
			if v, ok := res.Number(part, p); ok {
				say("%s = %s", name(part, p), shown(f, v.Number))
			}
			if v, ok := res.Value(part, p); ok && p.Role != vocab.Declared {
				say("%s reads %v %b %s", name(part, p), v.Looked, v.Mask, shown(f, v.Number))
			}
		}
		if v, ok := res.Verdict(part); ok {
			var missing []string
			for _, m := range v.Missing {
				missing = append(missing, name(m.Part, m.Prop))
			}
			slices.Sort(missing)
			say("%s verdict %v open %v missing %v", f.Parts[n].ID, v.Level, v.Open, missing)
		}
	}
	for _, c := range res.Conflicts {
		say("conflict %s %v %v %s %s", name(c.Fact.Part, c.Fact.Prop), c.Kind, c.Rules, shown(f, c.A), shown(f, c.B))
	}
	for _, a := range res.Assumptions {
		say("assumed %s %s %s %d", name(a.Fact.Part, a.Fact.Prop), a.Rule.ID, bound(a.Bound), a.Unless)
	}
	for _, b := range res.WithoutU {
		say("without u %s %s", name(b.Fact.Part, b.Fact.Prop), b.Rule.ID)
	}
	say("overrun %v", res.Overrun)
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}

// shown is a number to the last digit, its sources by name.
func shown(f *rules.Facts, n measure.Number) string {
	out := fmt.Sprint(n.Lo, n.Hi, n.LoOpen, n.HiOpen, n.Terms == nil)
	var terms []string
	for _, t := range n.Terms {
		u := f.Uncertainties[t.Source]
		of := u.Tool
		if u.Part >= 0 {
			of += " on " + f.Parts[u.Part].ID + "." + u.Prop.ID
		}
		terms = append(terms, fmt.Sprint(of, " ", t.U))
	}
	slices.Sort(terms)
	return out + strings.Join(terms, ", ")
}

// mustAgree compares a run with the reference, fact by fact.
func mustAgree(t complainer, w fmt.Stringer, res *record.Result, ref *reference) {
	t.Helper()
	if res.Overrun != nil {
		t.Fatalf("the run was stopped: %v", res.Overrun)
	}
	f := res.Facts
	weighing := len(f.Pack.Clues) > 0
	for n := range f.Parts {
		part := int32(n)
		for _, p := range f.Parts[n].Kind.Properties {
			h := slot{part, p}
			name := f.Parts[n].ID + "." + p.ID
			if p.Role.Concluded() {
				got := res.Fact(part, p)
				if got.State != ref.state[h] {
					t.Fatalf("%s is %v, by the reference %v\n%v", name, got.State, ref.state[h], w)
				}
				if !weighing && got.Round != ref.round[h] {
					t.Fatalf("%s came in round %d, by the reference in %d\n%v", name, got.Round, ref.round[h], w)
				}
				if got.RuledOut != ref.ruledOut[h] {
					t.Fatalf("%s ruled out: %v, by the reference %v\n%v", name, got.RuledOut, ref.ruledOut[h], w)
				}
				if p.Role != vocab.Verdict && got.Conflict != ref.conflict[h] && !weighing {
					t.Fatalf("%s in conflict: %v, by the reference %v\n%v", name, got.Conflict, ref.conflict[h], w)
				}
				if weighing {
					mustWeighAlike(t, w, res, ref, h, name)
				}
			}
			if p.Role == vocab.Computed {
				got, ok := res.Number(part, p)
				want, known := ref.number[h]
				if ok != known || ok && !sameNumber(got.Number, want) {
					t.Fatalf("%s is %+v %v, by the reference %+v %v\n%v", name, got.Number, ok, want, known, w)
				}
			}
		}
		got, ok := res.Verdict(part)
		want, judged := ref.verdict[part]
		if ok != judged || got.Level != want {
			t.Fatalf("the verdict of %s is %v %v, by the reference %v %v\n%v", f.Parts[n].ID, got.Level, ok, want, judged, w)
		}
	}
}

// sameNumber compares to a part in 1e9 of the numbers, for values and for
// what each source contributes.
func sameNumber(a, b measure.Number) bool {
	near := func(x, y float64) bool {
		return x == y || math.Abs(x-y) <= 1e-9*max(1, math.Abs(x), math.Abs(y))
	}
	if !near(a.Lo, b.Lo) || !near(a.Hi, b.Hi) || a.LoOpen != b.LoOpen || a.HiOpen != b.HiOpen {
		return false
	}
	for _, s := range sourcesOf(a, b) {
		u, v := termOf(a, s), termOf(b, s)
		if !a.IsValue() { // the two ends may move alike far, either way
			u, v = math.Abs(u), math.Abs(v)
		}
		if !near(u, v) {
			return false
		}
	}
	return true
}

func run(t complainer, p *rules.Pack, f *rules.Facts) *record.Result {
	t.Helper()
	s := compile(t, p).Bind(f)
	s.Run()
	return s.Result()
}

func indexes(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// difference lists the lines in which two dumps differ.
func difference(a, b string) string {
	var out []string
	in := func(s string) map[string]bool {
		m := map[string]bool{}
		for _, l := range strings.Split(s, "\n") {
			m[l] = true
		}
		return m
	}
	x, y := in(a), in(b)
	for l := range x {
		if !y[l] {
			out = append(out, "- "+l)
		}
	}
	for l := range y {
		if !x[l] {
			out = append(out, "+ "+l)
		}
	}
	slices.SortFunc(out, func(a, b string) int { return strings.Compare(a[2:], b[2:]) })
	return strings.Join(out, "\n")
}
