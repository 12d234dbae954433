package engine_test

import (
	"testing"

	"whyworn/facts/truth"
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
