package engine_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// The same rules as plain ones and, by an exception that never holds, as rules
// that are evaluated one by one.
const plainVocabulary = `[pack]
id = "bench"
version = "1"
title = "bench"
[[kind]]
id = "unit"
[[property]]
of = "unit"
id = "never"
normal = "no"
` + askedFor + `[[property]]
of = "unit"
id = "a"
normal = "no"
` + askedFor + `[[property]]
of = "unit"
id = "b"
choices = ["one", "two", "three", "four"]
ordered = true
normal = ["one"]
` + askedFor + `[[property]]
of = "unit"
id = "n"
unit = "mm"
` + askedFor + `[[property]]
of = "unit"
id = "w"
type = "whole"
` + askedFor

var plainTests = []string{
	"x.a", "not (x.a)", "x.b == 'two'", "x.b >= 'three'", "not (x.b in ['one', 'four'])",
	"x.n > 0.3*mm", "x.n >= 0.3*mm", "x.n < 0.7*mm", "x.n <= 0.7*mm", "not (x.n > 1.1*mm)", "0.2*mm < x.n",
	"x.w > 3", "x.w <= 7", "0.1*mm < x.n < 0.9*mm", "x.w >= 5 and x.a",
}

func TestPlainRulesAgreeWithOthers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 90).Draw(t, "rules")
		var plain, other strings.Builder
		var findings []string
		for i := range n {
			id := fmt.Sprintf("f%d", i)
			var conds []string
			for range rapid.IntRange(1, 3).Draw(t, "conditions") {
				c := rapid.SampledFrom(plainTests).Draw(t, "condition")
				if len(findings) > 0 && rapid.IntRange(0, 3).Draw(t, "deeper") == 0 {
					c = "x." + rapid.SampledFrom(findings).Draw(t, "finding")
					if rapid.Bool().Draw(t, "not") {
						c = "not (" + c + ")"
					}
				}
				conds = append(conds, fmt.Sprintf("%q", c))
			}
			fmt.Fprintf(&plain, "[[finding]]\nof = \"unit\"\nid = %q\nsort = \"damage\"\n", id)
			if len(findings) > 0 && rapid.IntRange(0, 9).Draw(t, "second way") == 0 {
				id = findings[len(findings)-1] // a finding of several rules
				conds = []string{`"x.a"`}
			} else {
				findings = append(findings, id)
			}
			fmt.Fprintf(&plain, "[[rule]]\nid = \"r%d\"\neach = { x = \"unit\" }\nif = [%s]\nthen = \"x.%s\"\nbecause = \"so\"\nsource = \"invented\"\n", i, strings.Join(conds, ", "), id)
		}
		other.WriteString(strings.ReplaceAll(plain.String(), "because", "unless = \"x.never\"\nbecause"))
		load := func(text string) *rules.Pack {
			pack, ps := rules.Load(fstest.MapFS{"pack.toml": {Data: []byte(plainVocabulary + text)}}, "bench", rules.Checked)
			if ps.HasErrors() {
				t.Fatal(ps.Errors()[0])
			}
			return pack
		}
		a, b := bindUnit(t, load(plain.String())), bindUnit(t, load(other.String()))
		steps := rapid.IntRange(1, 4).Draw(t, "steps")
		for step := range steps {
			for range rapid.IntRange(1, 6).Draw(t, "changes") {
				id := rapid.SampledFrom([]string{"a", "b", "n", "w"}).Draw(t, "property")
				p := a.kind.Property(id)
				v := anyValue(t, p, nil)
				if id == "n" && v.Looked == vocab.Told && rapid.IntRange(0, 2).Draw(t, "on a limit") == 0 {
					v.Number = measure.Exact(rapid.SampledFrom([]float64{0.3 - 1e-12, 0.3 + 1e-12, 0.3, 0.7 - 1e-12, 0.7 + 1e-12, 0.7 + 1e-6}).Draw(t, "limit"))
				}
				a.s.Set(a.part, p, v)
				b.s.Set(b.part, b.kind.Property(id), v)
			}
			a.s.Run()
			b.s.Run()
			for _, f := range findings {
				x, y := a.kind.Property(f), b.kind.Property(f)
				if a.s.State(a.part, x) != b.s.State(b.part, y) || a.s.Round(a.part, x) != b.s.Round(b.part, y) {
					t.Fatalf("step %d, %s: plain %v in round %d, one by one %v in round %d\n%s", step, f,
						a.s.State(a.part, x), a.s.Round(a.part, x), b.s.State(b.part, y), b.s.Round(b.part, y), plain.String())
				}
			}
		}
	})
}

type boundUnit struct {
	s    *engine.Session
	kind *vocab.Kind
	part int32
}

func bindUnit(t *rapid.T, pack *rules.Pack) boundUnit {
	l, ps := rules.Assemble(pack, &facts.Machine{Places: unitPlace})
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	p, ps := engine.Compile(pack)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	k := pack.Vocabulary.Kind("unit")
	f := &rules.Facts{Layout: l, K: 2}
	f.Observations = append(f.Observations, rules.Observation{Part: l.OfKind[k.Index][0], Prop: k.Property("never"), Value: yesNo(false)})
	return boundUnit{p.Bind(f), k, l.OfKind[k.Index][0]}
}

// The join of W4 against two loops, with positions and sizes not looked at or
// partly known.
func TestJoinAgreesWithTwoLoops(t *testing.T) {
	pack := loadFiles(t, joinFiles)
	p := compileFor(t, pack)
	arm, seat := pack.Vocabulary.Kind("arm"), pack.Vocabulary.Kind("seat")
	rapid.Check(t, func(t *rapid.T) {
		draw := func(what string) (out []sized) {
			for range rapid.IntRange(1, 12).Draw(t, what) {
				out = append(out, sized{rapid.IntRange(0, 4).Draw(t, "at"), rapid.IntRange(100, 160).Draw(t, "size")})
			}
			return out
		}
		seats, arms := draw("seats"), draw("arms")

		f := joinFacts(t, pack, seats, arms)
		hidden := map[record.FactID]bool{}
		if rapid.Bool().Draw(t, "holes") {
			kept := f.Observations[:0]
			for _, o := range f.Observations {
				if rapid.IntRange(0, 5).Draw(t, "hide") == 0 {
					hidden[record.FactID{Part: o.Part, Prop: o.Prop}] = true
					continue
				}
				kept = append(kept, o)
			}
			f.Observations = kept
		}
		s := p.Bind(f)
		s.Run()
		known := func(part int32, k *vocab.Kind, prop string) bool {
			return !hidden[record.FactID{Part: part, Prop: k.Property(prop)}]
		}
		meets := func(i, j int) truth.Truth {
			a, b := f.OfKind[arm.Index][i], f.OfKind[seat.Index][j]
			at, size := truth.Unknown, truth.Unknown
			if known(a, arm, "position") && known(b, seat, "position") {
				at = truth.Of(arms[i].at == seats[j].at)
			}
			if known(a, arm, "bore") && known(b, seat, "diameter") {
				size = truth.Of(arms[i].size-seats[j].size > playLimit)
			}
			return truth.And(at, size)
		}
		for i, a := range f.OfKind[arm.Index] {
			want := truth.False
			for j := range seats {
				want = truth.Or(want, meets(i, j))
			}
			if got := s.State(a, arm.Property("loose")); got != want {
				t.Fatalf("arm %d: %v, want %v", i, got, want)
			}
		}
		for j, b := range f.OfKind[seat.Index] {
			want := truth.False
			for i := range arms {
				want = truth.Or(want, meets(i, j))
			}
			if got := s.State(b, seat.Property("carries_loose")); got != want {
				t.Fatalf("seat %d: %v, want %v", j, got, want)
			}
		}
	})
}

func TestOverrun(t *testing.T) {
	pack := loadFiles(t, joinFiles)
	seats, arms := drawAssembly(200)
	f := joinFacts(t, pack, seats, arms)
	p := compileFor(t, pack)
	s := engine.Capped(p.Bind(f), 50)
	s.Run()
	r := s.Result()
	var over *engine.Overrun
	if !errors.As(r.Overrun, &over) || over.Limit != 50 || !strings.Contains(over.Error(), "stopped") {
		t.Fatalf("the run was not stopped: %v", r.Overrun)
	}
	for _, st := range r.State {
		if st != truth.Unknown {
			t.Fatal("something is concluded after an overrun")
		}
	}
	engine.Capped(s, 1<<40).Run()
	if r := s.Result(); r.Overrun != nil || s.True() == 0 {
		t.Fatalf("once the cap is lifted the run does not recover: %v", r.Overrun)
	}
}

func TestStrictCycleIsWrittenOut(t *testing.T) {
	files := fstest.MapFS{"pack.toml": {Data: []byte(plainVocabulary + `[[finding]]
of = "unit"
id = "f"
sort = "damage"
[[finding]]
of = "unit"
id = "g"
sort = "damage"
[[rule]]
id = "one"
each = { x = "unit" }
if = "x.g"
then = "x.f"
because = "so"
[[rule]]
id = "two"
each = { x = "unit" }
if = ["x.a", "not (x.f)"]
then = "x.g"
because = "so"
`)}}
	_, ps := engine.Compile(loadFiles(t, files))
	if len(ps) != 1 || ps[0].Code != engine.StrictCycle {
		t.Fatalf("%v", ps)
	}
	want := "unit.g must first know unit.f (rule two), which reads unit.g (rule one)"
	if ps[0].Message != want || ps[0].At.IsZero() || ps[0].Other.IsZero() {
		t.Errorf("%q at %v and %v, want %q", ps[0].Message, ps[0].At, ps[0].Other, want)
	}
	files["pack.toml"].Data = []byte(strings.Replace(string(files["pack.toml"].Data), "not (x.f)", "x.f", 1))
	if _, ps := engine.Compile(loadFiles(t, files)); len(ps) != 0 {
		t.Errorf("a circle without anything strict is refused: %v", ps)
	}
}

// An observation that becomes known can join two clues without changing any
// finding: they then rest on it both, and the lesser no longer counts.
func TestObservationThatJoinsClues(t *testing.T) {
	var b strings.Builder
	for _, id := range []string{"p", "q", "r"} {
		fmt.Fprintf(&b, "[[property]]\nof = \"unit\"\nid = %q\nnormal = \"no\"\n%s", id, askedFor)
	}
	for i, id := range []string{"p", "q"} {
		fmt.Fprintf(&b, "[[finding]]\nof = \"unit\"\nid = \"d%[1]d\"\nsort = \"damage\"\n[[rule]]\nid = \"d%[1]d\"\neach = { x = \"unit\" }\nif = \"x.%[2]s or x.r\"\nthen = \"x.d%[1]d\"\nbecause = \"so\"\n", i, id)
		fmt.Fprintf(&b, "[[clue]]\nid = \"c%[1]d\"\ncause = \"x.cause\"\neach = { x = \"unit\" }\nsign = \"x.d%[1]d\"\nwhen_so = 0.8\notherwise = 0.%[2]d\nmechanism = \"so\"\nsource = \"invented\"\n", i, i+1)
	}
	b.WriteString("[[finding]]\nof = \"unit\"\nid = \"cause\"\nsort = \"cause\"\nhow_common = 0.1\n")
	pack := loadFiles(t, fstest.MapFS{"pack.toml": {Data: []byte(plainVocabulary + b.String())}})
	p := compileFor(t, pack)
	k := pack.Vocabulary.Kind("unit")
	l := assemble(t, pack, unitPlace)
	part := l.OfKind[k.Index][0]
	s := p.Bind(&rules.Facts{Layout: l, K: 2})
	s.Set(part, k.Property("p"), yesNo(true))
	s.Set(part, k.Property("q"), yesNo(true))
	s.Run()
	cause := k.Property("cause")
	first, second := weigh.Clue(0.8, 0.1, weigh.Seen), weigh.Clue(0.8, 0.2, weigh.Seen)
	if got := s.Result().Fact(part, cause).Weight; got != first+second {
		t.Fatalf("apart they weigh %v, want %v", got, first+second)
	}
	s.Set(part, k.Property("r"), yesNo(true))
	s.Run()
	if got := s.Result().Fact(part, cause).Weight; got != first {
		t.Fatalf("joined they weigh %v, want the heavier alone, %v", got, first)
	}
}
