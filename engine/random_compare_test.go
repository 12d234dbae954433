package engine_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"whyworn/engine/meaning"
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

// mustAgree compares a run with what the plain meaning makes of the same facts:
// every finding, number, conflict and verdict.
func mustAgree(t complainer, w fmt.Stringer, res *record.Result) {
	t.Helper()
	if res.Overrun != nil {
		t.Fatalf("the run was stopped: %v", res.Overrun)
	}
	f := res.Facts
	ref := meaning.New(f.Pack, f)
	for n := range f.Parts {
		part := int32(n)
		for _, p := range f.Parts[n].Kind.Properties {
			id := record.FactID{Part: part, Prop: p}
			switch {
			case p.Role.Concluded():
				if got, want := res.Fact(part, p), ref.Fact(id); !sameFact(got, want) {
					t.Fatalf("%s.%s is %+v, it means %+v\n%s\n%v", f.Parts[n].ID, p.ID, got, want, bearings(ref, id), w)
				}
			case p.Role == vocab.Computed:
				got, ok := res.Number(part, p)
				want, known := ref.Number(id)
				if ok != known || ok && !sameNumber(got.Number, want) {
					t.Fatalf("%s.%s is %+v %v, it means %+v %v\n%v", f.Parts[n].ID, p.ID, got.Number, ok, want, known, w)
				}
			default:
				continue
			}
			got := slices.DeleteFunc(slices.Clone(res.Conflicts), func(c record.Conflict) bool { return c.Fact != id })
			if want := ref.Conflicts(id); !slices.EqualFunc(got, want, sameConflict) {
				t.Fatalf("at odds about %s.%s: %+v, it means %+v\n%v", f.Parts[n].ID, p.ID, got, want, w)
			}
		}
		got, ok := res.Verdict(part)
		want, judged := ref.VerdictOf(part)
		if ok != judged || ok && !reflect.DeepEqual(got, want) {
			t.Fatalf("the verdict of %s is %+v %v, it means %+v %v\n%v", f.Parts[n].ID, got, ok, want, judged, w)
		}
	}
}

// sameFact compares all that is told of a finding; λ and the probability, which
// are not rounded, to the order in which they are put together.
func sameFact(a, b record.Fact) bool {
	const slack = 1e-10
	ratio := a.Lambda == b.Lambda || math.Abs(10*math.Log10(a.Lambda)-10*math.Log10(b.Lambda)) <= slack
	chance := math.Abs(a.Probability-b.Probability) <= slack
	a.Lambda, a.Probability = b.Lambda, b.Probability
	return a == b && ratio && chance
}

// sameConflict compares what is at odds about one fact.
func sameConflict(a, b record.Conflict) bool {
	return a.Kind == b.Kind && slices.Equal(a.Rules, b.Rules) && sameNumber(a.A, b.A) && sameNumber(a.B, b.B)
}

// bearings lists what bears on a finding by its meaning.
func bearings(w *meaning.World, id record.FactID) string {
	var out []string
	for _, b := range w.Bearings(id) {
		line := fmt.Sprintf("%s is %v, round %d, %v, counted %v, rests on", b.Key(), b.State, b.Round, b.Weight, b.Counted)
		for _, o := range b.Rests {
			o := &w.Facts.Observations[o]
			line += " " + w.Facts.Parts[o.Part].ID + "." + o.Prop.ID
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
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
	contributions := map[int32][2]float64{}
	for i, n := range []measure.Number{a, b} {
		for _, t := range n.Terms {
			c := contributions[t.Source]
			c[i] = t.U
			contributions[t.Source] = c
		}
	}
	for _, c := range contributions {
		u, v := c[0], c[1]
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
