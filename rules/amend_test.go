package rules_test

import (
	"math"
	"testing"

	"whyworn/facts"
	"whyworn/rules"
	"whyworn/rules/packs"
	"whyworn/rules/vocab"
)

func stationFacts(t *testing.T) *rules.Facts {
	t.Helper()
	pack, ps := packs.Load("rocker_gear")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	m, ps := facts.ReadMachineFile("../testdata/station/machine.toml")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	in, ps := facts.ReadInspectionFile("../testdata/station/engine-2.toml")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	f, ps := rules.Fit(pack, m, in)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	return f
}

// Answers amended to what they were change nothing but whose line they stand on.
func TestAmendToTheSame(t *testing.T) {
	f := stationFacts(t)
	var same []rules.Amendment
	for i := range f.Observations {
		o := &f.Observations[i]
		if o.Basis == int32(i) && o.Prop.Observable && o.Answer != nil && o.Prop.Type != vocab.Part && o.Prop.Type != vocab.Parts && o.Answer.Is.Text != "" {
			same = append(same, rules.Amendment{Part: o.Part, Prop: o.Prop, Text: o.Answer.Is.Text})
		}
	}
	if len(same) < 100 {
		t.Fatalf("only %d answers amended", len(same))
	}
	now, ps := f.Amend(same)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	if len(now.Observations) != len(f.Observations) || len(now.Sizes) != len(f.Sizes) {
		t.Fatalf("%d observations and %d sizes, want %d and %d", len(now.Observations), len(now.Sizes), len(f.Observations), len(f.Sizes))
	}
	for i := range f.Observations {
		a, b := &f.Observations[i], &now.Observations[i]
		if a.Part != b.Part || a.Prop != b.Prop || a.Basis != b.Basis || a.Value.Looked != b.Value.Looked || a.Value.Mask != b.Value.Mask {
			t.Errorf("%s.%s: %+v, was %+v", f.Parts[a.Part].ID, a.Prop.ID, b, a)
		}
		m, n := a.Value.Number, b.Value.Number
		if m.Lo != n.Lo || m.Hi != n.Hi || math.Abs(m.U()-n.U()) > 1e-12 || (m.Terms == nil) != (n.Terms == nil) {
			t.Errorf("%s.%s: %v with u %g, was %v with u %g", f.Parts[a.Part].ID, a.Prop.ID, n, n.U(), m, m.U())
		}
	}
	for i := range now.Sizes {
		if p := now.Observations[now.Sizes[i].Observation].Prop; p.Type != vocab.Size {
			t.Errorf("size %d points at %s", i, p.ID)
		}
	}
}

// A forgotten size takes along what was worked out of it; the rest stays.
func TestAmendForgetsASize(t *testing.T) {
	f := stationFacts(t)
	part, _ := f.Find("arm_2in")
	bore := f.Parts[part].Kind.Property("bore")
	now, ps := f.Amend([]rules.Amendment{{Part: part, Prop: bore, Forget: true}})
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	for _, p := range append([]*vocab.Property{bore}, f.Parts[part].Kind.Properties...) {
		gone := p == bore || p.Of == bore && p.Role == vocab.Derived
		if was, is := f.Lookup(part, p), now.Lookup(part, p); gone && is != nil || !gone && (was == nil) != (is == nil) {
			t.Errorf("%s: was %v, is %v", p.ID, was, is)
		}
	}
	if len(now.Sizes) != len(f.Sizes)-1 {
		t.Errorf("%d sizes, want %d", len(now.Sizes), len(f.Sizes)-1)
	}
	for i := range now.Observations {
		if b := now.Observations[i].Basis; b >= int32(len(now.Observations)) {
			t.Errorf("observation %d rests on %d of %d", i, b, len(now.Observations))
		}
	}
}
