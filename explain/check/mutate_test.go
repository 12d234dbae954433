package check_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"whyworn/explain"
	"whyworn/explain/account"
	"whyworn/explain/check"
	"whyworn/rules"
)

// harmless says for each field whose change may go unnoticed why it misleads
// nobody. Any other change that passes fails the test, however rare.
var harmless = map[string]string{
	"question":                   "a step that tells all its rules is the same for why and for whynot: the word says how it was asked",
	"steps":                      "without its first step it is the whole and true explanation of what that rested on",
	"asked":                      "the same: what is no longer said to be asked is still told and true",
	"steps.ways.if.reads.step":   "a pointer to where a value is told that does not decide: for convenience",
	"steps.ways.sign.reads.step": "the same",
	"steps.ways.if.why":          "another reason for the same unknown condition, which holds as well",
	"changes":                    "what would change the answer is no part of the argument; left out it misleads nobody",
	"changes.sets":               "those told do change the answer, replayed; that there are no others is the search's own word",
	"changes.sets.would":         "the order of observations that only together change the answer",
	"changes.sets.would.be":      "another answer, which changes it as well",
	"changes.sets.would.finer":   "how finely to measure again: advice, not replayed",
	"changes.sets.would.asks":    "the sizes behind a number; one left out is still read in its step",
	"changes.candidates":         "how far the search went: its own word",
	"changes.size":               "the same, where it was stopped and found nothing",
	"changes.tried":              "the same",
	"changes.stopped":            "the same",
	"changes.more":               "the same",
}

// Of random changes to explanations nearly all are caught, and what passes is
// harmless.
func TestForgedExplanationsAreCaught(t *testing.T) {
	pack, p := shipped(t)
	rng := rand.New(rand.NewPCG(7, 1954))
	var texts [][]byte
	var checkers []*check.Checker
	take := func(c *explain.Case, every int) {
		k := check.New(pack, c.Facts)
		for i, a := range asked(c) {
			if i%every != 0 {
				continue
			}
			not := quiet(a)
			if i%(9*every) == 0 {
				not = a // with what would change the answer
			}
			for _, x := range []*account.Explanation{c.WhyAsked(a), c.WhyNotAsked(not)} {
				texts, checkers = append(texts, published(t, x)), append(checkers, k)
			}
		}
	}
	take(run(p, station(t, pack, "station/engine-2.toml")), 1)
	n := 0
	trials(t, pack, func(_ string, f *rules.Facts) {
		if n++; n%40 == 0 {
			take(run(p, f), 7)
		}
	})
	const wanted = 4000
	real, caught := 0, 0
	passed := map[string]int{}
	example := map[string]string{}
	for real < wanted {
		i := rng.IntN(len(texts))
		forged, where, how := forge(t, rng, texts[i])
		if forged == nil || same(t, texts[i], forged) {
			continue
		}
		real++
		if len(checkers[i].Verify(forged)) > 0 {
			caught++
			continue
		}
		passed[where]++
		example[where] = how
	}
	t.Logf("%d of %d changes to %d explanations are caught", caught, real, len(texts))
	if caught*100 < real*99 {
		t.Errorf("fewer than 99 in 100")
	}
	for _, where := range slices.Sorted(maps.Keys(passed)) {
		why, ok := harmless[where]
		t.Logf("%3d pass at %s (%s): %s", passed[where], where, example[where], why)
		if !ok {
			t.Errorf("a change at %s is not caught: %s", where, example[where])
		}
	}
}

// same tells whether two texts are the same explanation: a field left out is
// the same as an empty one.
func same(t *testing.T, a, b []byte) bool {
	t.Helper()
	var x, y account.Explanation
	if json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	return bytes.Equal(published(t, &x), published(t, &y))
}

// forge changes one thing in an explanation at random: a value, a word, a list,
// a name, a whole branch. It tells where, list places left out, and how.
func forge(t *testing.T, rng *rand.Rand, text []byte) (forged []byte, where, how string) {
	t.Helper()
	var root any
	if err := json.Unmarshal(text, &root); err != nil {
		t.Fatal(err)
	}
	type site struct {
		path string
		get  any
		set  func(any) // nil value: drop it
	}
	var sites []site
	words := map[string][]string{} // by field name, what stands elsewhere
	var walk func(path, name string, v any, set func(any))
	walk = func(path, name string, v any, set func(any)) {
		sites = append(sites, site{path, v, set})
		switch v := v.(type) {
		case map[string]any:
			for _, k := range slices.Sorted(maps.Keys(v)) {
				walk(strings.TrimPrefix(path+"."+k, "."), k, v[k], func(x any) {
					if x == nil {
						delete(v, k)
					} else {
						v[k] = x
					}
				})
			}
		case []any:
			for i := range v {
				walk(path, name, v[i], func(x any) {
					if x == nil {
						set(slices.Delete(slices.Clone(v), i, i+1))
					} else {
						v[i] = x
					}
				})
			}
		case string:
			words[name] = append(words[name], v)
		}
	}
	walk("", "", root, func(x any) { root = x })
	s := sites[rng.IntN(len(sites))]
	name := s.path[strings.LastIndex(s.path, ".")+1:]
	if rng.IntN(12) == 0 && s.path != "" {
		s.set(nil)
		how = "dropped"
	} else {
		switch v := s.get.(type) {
		case bool:
			s.set(!v)
			how = "turned"
		case float64:
			x := []float64{v + 1, v - 1, -v, v * 1.001, v + 0.01, 0, v * 10}[rng.IntN(7)] + 0 // no -0
			s.set(x)
			how = fmt.Sprintf("%v for %v", x, v)
		case string:
			x := v
			switch others := words[name]; rng.IntN(3) {
			case 0:
				x = others[rng.IntN(len(others))]
			case 1:
				r := []rune(v)
				if len(r) > 0 {
					r[rng.IntN(len(r))] = []rune("0159aenst -")[rng.IntN(11)]
				}
				x = string(r)
			default:
				x = map[string]string{"true": "false", "false": "unknown", "unknown": "true"}[v]
				if x == "" {
					x = v + " not"
				}
			}
			s.set(x)
			how = fmt.Sprintf("%q for %q", x, v)
		case []any:
			v = slices.Clone(v)
			if len(v) == 0 {
				return nil, "", ""
			}
			i, j := rng.IntN(len(v)), rng.IntN(len(v))
			switch rng.IntN(3) {
			case 0:
				v = append(v, v[i])
				how = "said twice"
			case 1:
				v = slices.Delete(v, i, i+1)
				how = "left out"
			default:
				v[i], v[j] = v[j], v[i]
				how = "changed places"
			}
			s.set(v)
		case map[string]any:
			// A branch from elsewhere in the place of this one.
			var alike []any
			for _, o := range sites {
				if o.path == s.path && !reflect.DeepEqual(o.get, v) {
					alike = append(alike, o.get)
				}
			}
			if len(alike) == 0 {
				return nil, "", ""
			}
			s.set(alike[rng.IntN(len(alike))])
			how = "another in its place"
		}
	}
	out, err := json.Marshal(root)
	if err != nil {
		return nil, "", ""
	}
	return out, s.path, how
}
