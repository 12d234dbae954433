package explain_test

import (
	"encoding/json"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine/record"
	"whyworn/explain"
	asjson "whyworn/explain/answer"
	"whyworn/rules/vocab"
)

func TestStoryAgreesWithAPlainOne(t *testing.T) {
	circles, knockOns := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		x := drawTale(t)
		if len(x.next)*len(x.causes) > 12 {
			t.Skip("too many findings to try every set")
		}
		places := make([]int, len(x.next))
		for i := range places {
			places[i] = i
		}
		c := x.inspected(t, x.statements, places)
		s, want := c.Story(), x.plain()
		got := map[string]string{}
		depth := map[string]int{}
		links := map[string]bool{}
		for _, k := range s.Chains {
			for _, f := range k.Findings {
				id := c.FactID(f.FactID)
				if _, twice := got[id]; twice {
					t.Fatalf("%s is told twice", id)
				}
				got[id], depth[id] = f.Role.String(), f.Depth
				if (f.Depth == 0) != (f.Role != explain.KnockOn) {
					t.Fatalf("%s is %v at depth %d", id, f.Role, f.Depth)
				}
			}
			for _, l := range k.Links {
				links[c.FactID(l.From)+" "+c.FactID(l.To)] = true
			}
			for _, circle := range k.Circles {
				circles++
				for _, from := range circle.Started {
					if slices.Contains(circle.Members, from) {
						t.Fatalf("a circle started by its own %s", c.FactID(from))
					}
				}
			}
		}
		for id, role := range got {
			if role == "knock_on" {
				knockOns++
			}
			if want.roles[id] != role {
				t.Errorf("%s is %s, want %s", id, role, want.roles[id])
			}
		}
		if len(got) != len(want.roles) {
			t.Errorf("%d findings told, want %d", len(got), len(want.roles))
		}
		if !maps.Equal(links, want.links) {
			t.Errorf("links %v, want %v", links, want.links)
		}
		signs := map[string]bool{}
		for _, g := range slices.Concat(s.Accounted, s.Unaccounted) {
			o := &c.Facts.Observations[g.Observation]
			id := c.FactID(record.FactID{Part: o.Part, Prop: o.Prop})
			signs[id] = true
			by := map[string]bool{}
			for _, f := range g.By {
				by[c.FactID(f)] = true
			}
			if !maps.Equal(by, want.by[id]) {
				t.Errorf("%s is accounted for by %v, want %v", id, by, want.by[id])
			}
		}
		if len(signs) != len(want.by) {
			t.Errorf("%v to account for, want %v", signs, want.by)
		}
		if !s.FewestExact || len(s.Fewest) != want.fewest || s.FewestOf != want.causesOf {
			t.Errorf("fewest %d of %d signs, want %d of %d", len(s.Fewest), s.FewestOf, want.fewest, want.causesOf)
		}
		have := map[int]bool{}
		for i, g := range s.Accounted {
			for _, f := range s.Fewest {
				if slices.Contains(g.By, f) && f.Prop.Role == vocab.Cause {
					have[i] = true
				}
			}
		}
		if len(have) != want.causesOf {
			t.Errorf("the fewest account for %d signs of %d", len(have), want.causesOf)
		}
		if t.Failed() {
			t.Logf("%v\n%s", x, strings.Join(x.statements, ""))
		}
	})
	t.Logf("%d circles and %d knock-ons met", circles, knockOns)
	if circles < 5 || knockOns < 20 {
		t.Errorf("only %d circles and %d knock-ons met", circles, knockOns)
	}
}

// The order of statements and of files never matters, to the byte; the order of
// places is the order of print, and matters to nothing else.
func TestStoryDoesNotCareAboutOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawTale(t)
		places := make([]int, len(x.next))
		for i := range places {
			places[i] = i
		}
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		shuffled := slices.Clone(x.statements)
		rng.Shuffle(len(shuffled), func(a, b int) { shuffled[a], shuffled[b] = shuffled[b], shuffled[a] })
		c, d := x.inspected(t, x.statements, places), x.inspected(t, shuffled, places)
		if a, b := told(t, c), told(t, d); a != b {
			t.Fatalf("%s\n\nafter a shuffle of statements\n%s\n%s", a, b, strings.Join(x.statements, ""))
		}
		rng.Shuffle(len(places), func(a, b int) { places[a], places[b] = places[b], places[a] })
		if a, b := roles(c), roles(x.inspected(t, x.statements, places)); !maps.Equal(a, b) {
			t.Fatalf("%v\nand with the places in the order %v\n%v", a, places, b)
		}
	})
}

// told is a whole diagnosis as JSON, but for the digest of the pack.
func told(t *rapid.T, c *explain.Case) string {
	r := asjson.Diagnosis(c.Diagnose(), nil)
	r.Pack.Digest = ""
	out, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func roles(c *explain.Case) map[string]string {
	out := map[string]string{}
	for _, k := range c.Story().Chains {
		for _, f := range k.Findings {
			out[c.FactID(f.FactID)] = f.Role.String()
		}
	}
	return out
}

// What one cause alone accounts for is settled at once; of the rest, up to 16
// causes are searched exactly, and beyond that it says so. Each cause of a ring
// shares a sign with either neighbour: half of them account for all.
func TestFewestOfARing(t *testing.T) {
	for _, n := range []int{3, 8, 16, 17, 30} {
		x := &tale{next: []int{-1}, seen: map[[2]int]bool{}}
		for i := range n {
			x.signs, x.causes = append(x.signs, true), append(x.causes, true)
			x.rules = append(x.rules, taleRule{i, []int{i}}, taleRule{i, []int{(i + 1) % n}})
			x.seen[[2]int{0, i}] = true
		}
		// One more, alone with a sign of its own.
		x.signs, x.causes, x.rules = append(x.signs, true), append(x.causes, true), append(x.rules, taleRule{n, []int{n}})
		x.seen[[2]int{0, n}] = true
		x.write()
		s := x.inspected(t, x.statements, []int{0}).Story()
		least := (n+1)/2 + 1
		if s.FewestExact != (n <= 16) || s.FewestOf != n+1 || len(s.Fewest) < least || s.FewestExact && len(s.Fewest) != least {
			t.Errorf("a ring of %d: %d account for %d signs, exact %v", n, len(s.Fewest), s.FewestOf, s.FewestExact)
		}
		for _, g := range s.Accounted {
			if !slices.ContainsFunc(g.By, func(id record.FactID) bool { return slices.Contains(s.Fewest, id) }) {
				t.Errorf("a ring of %d: sign %d is left out", n, g.Observation)
			}
		}
	}
}

// Circles of links along the whole machine and back.
func TestLongCircleEnds(t *testing.T) {
	const n = 500
	x := &tale{signs: []bool{true}, causes: []bool{true}, rules: []taleRule{{0, []int{0}}}, links: []taleLink{{0, 0, 1}, {0, 0, 2}}, seen: map[[2]int]bool{}}
	places := make([]int, n)
	for p := range n {
		x.next = append(x.next, p-1)
		x.seen[[2]int{p, 0}] = true
		places[p] = p
	}
	x.write()
	s := x.inspected(t, x.statements, places).Story()
	if len(s.Chains) != 1 || len(s.Chains[0].Circles) != 1 || len(s.Chains[0].Circles[0].Members) != n {
		t.Errorf("%d chains", len(s.Chains))
	}
}
