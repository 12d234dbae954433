package engine_test

import (
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts/truth"
)

// So many rules ask one property that sets stand ready for every other threshold
// only; from nothing and after changes the same rules fire as in a plain loop.
func TestManyRulesAgreeWithLoop(t *testing.T) {
	const n = 3000
	lower := drawReached(n)
	pack := loadFiles(t, caseFiles(lower, nil))
	l := assemble(t, pack, unitPlace)
	k := pack.Vocabulary.Kind("unit")
	part := l.OfKind[k.Index][0]
	first := drawValues(seeded(11))
	changing, again := compileFor(t, pack).Bind(caseFacts(l, &first)), compileFor(t, pack).Bind(caseFacts(l, &first))
	changing.Run()
	rapid.Check(t, func(t *rapid.T) {
		c := first
		for p := range c {
			if p == 0 || rapid.IntRange(0, 3).Draw(t, "change") == 0 {
				if c[p] = rapid.IntRange(150, 850).Draw(t, propName(p)); p >= wholes {
					c[p] %= 4
				}
			}
			if p < wholes {
				changing.Set(part, k.Property(propName(p)), wholeValue(c[p]))
			} else {
				changing.Set(part, k.Property(propName(p)), choiceValue(c[p]))
			}
		}
		changing.Run()
		again.Reset(caseFacts(l, &c))
		again.Run()
		for i := range lower {
			want := truth.Of(holds3(&lower[i], &c))
			f := k.Property(propOf(i))
			if a, b := changing.State(part, f), again.State(part, f); a != want || b != want {
				t.Fatalf("rule %d %v: %v after changes, %v from nothing, want %v", i, lower[i], a, b, want)
			}
		}
	})
}

// A change that no run has taken in is forgotten with the inspection it was made to.
func TestResetForgetsWhatWaits(t *testing.T) {
	lower := [][3]test{{{0, 0, 500}, {1, 0, 500}, {2, 0, 500}}}
	pack := loadFiles(t, caseFiles(lower, nil))
	l := assemble(t, pack, unitPlace)
	k := pack.Vocabulary.Kind("unit")
	part, finding := l.OfKind[k.Index][0], k.Property(propOf(0))
	high, low := values{600, 600, 600}, values{400, 400, 400}
	s := compileFor(t, pack).Bind(caseFacts(l, &high))
	s.Run()
	s.Set(part, k.Property(propName(0)), wholeValue(400))
	s.Run()
	s.Set(part, k.Property(propName(0)), wholeValue(600)) // and no run
	s.Reset(caseFacts(l, &low))
	for range 2 {
		s.Run()
		if got := s.State(part, finding); got != truth.False {
			t.Fatalf("%v, want false", got)
		}
	}
}
