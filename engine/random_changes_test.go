package engine_test

import (
	"testing"

	"whyworn/engine"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// TestRulingOutIsForgotten: a finding of a circle that was ruled out is not once
// the observation is forgotten. Found by TestChangesLeaveNoTrace.
func TestRulingOutIsForgotten(t *testing.T) {
	p := loadPack(t, map[string]string{"pack.toml": `
[pack]
id = "t"
version = "1"
title = "t"
[[kind]]
id = "shaft"
[[property]]
of = "shaft"
id = "dry"
[[property]]
of = "shaft"
id = "film"
[[finding]]
of = "shaft"
id = "starved"
sort = "damage"
[[rule]]
id = "dry"
each = { it = "shaft" }
if = ["it.dry or it.starved"]
then = "it.starved"
[[rule]]
id = "film"
each = { it = "shaft" }
if = ["it.film"]
rules_out = "it.starved"
`})
	f := fit(t, p, "[machine]\nid = \"m\"\nname = \"m\"\npack = \"t\"\n[[place]]\nkind = \"shaft\"\nid = \"a\"\n[[place]]\nkind = \"shaft\"\nid = \"b\"\n",
		"machine = \"m\"\n[a]\nfilm = \"yes\"\n[b]\nfilm = \"no\"\n")
	kind := p.Vocabulary.Kind("shaft")
	starved, film := kind.Property("starved"), kind.Property("film")
	a, _ := f.Find("a")
	s := compile(t, p).Bind(f)
	want := func(state truth.Truth, out, perhaps bool) {
		t.Helper()
		s.Run()
		if got := s.Result().Fact(a, starved); got.State != state || got.RuledOut != out || got.PerhapsRuledOut != perhaps {
			t.Errorf("%+v, want %v, ruled out %v, perhaps %v", got, state, out, perhaps)
		}
	}
	want(truth.False, true, false)
	s.Forget(a, film)
	want(truth.Unknown, false, true)
	s.Set(a, film, vocab.Value{Looked: vocab.Told, Mask: vocab.Yes})
	want(truth.False, true, false)
	s.Set(a, film, vocab.Value{Looked: vocab.Told, Mask: vocab.No})
	want(truth.Unknown, false, false)
}

// TestEvidenceOfPlainRuleFollows: what a rule hands on of a cause follows an
// observation that does not change the rule's truth. Found by TestChangesLeaveNoTrace.
func TestEvidenceOfPlainRuleFollows(t *testing.T) {
	p := loadPack(t, map[string]string{"pack.toml": `
[pack]
id = "t"
version = "1"
title = "t"
[[kind]]
id = "shaft"
[[property]]
of = "shaft"
id = "dry"
[[property]]
of = "shaft"
id = "hot"
[[property]]
of = "shaft"
id = "bent"
[[finding]]
of = "shaft"
id = "starved"
sort = "cause"
how_common = 0.54
[[clue]]
id = "hot"
each = { it = "shaft" }
cause = "it.starved"
sign = "it.hot"
when_so = 0.5
otherwise = 0.4
[[finding]]
of = "shaft"
id = "worn"
sort = "damage"
[[rule]]
id = "worn"
each = { it = "shaft" }
if = ["it.starved", "it.dry"]
then = "it.worn"
`})
	machine := "[machine]\nid = \"m\"\nname = \"m\"\npack = \"t\"\n[[place]]\nkind = \"shaft\"\nid = \"a\"\n"
	dry, open := fit(t, p, machine, "machine = \"m\"\n[a]\nbent = \"no\"\ndry = \"yes\"\n"), fit(t, p, machine, "machine = \"m\"\n[a]\nbent = \"no\"\n")
	prop := p.Vocabulary.Kind("shaft").Property("dry")
	a, _ := open.Find("a")
	program := compile(t, p)
	want := func(s *engine.Session, of *rules.Facts) {
		t.Helper()
		s.Run()
		fresh := program.Bind(of)
		fresh.Run()
		if got, want := canonical(s.Result()), canonical(fresh.Result()); got != want {
			t.Errorf("after a change, and from nothing:\n%s", difference(got, want))
		}
	}
	s := program.Bind(open)
	want(s, open)
	s.Set(a, prop, vocab.Value{Looked: vocab.Told, Mask: vocab.Yes})
	want(s, dry)
	s.Forget(a, prop)
	want(s, open)
}
