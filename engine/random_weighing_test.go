package engine_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/rules/vocab"
)

// unit is what one clue's weight is rounded to, 1e-9 decibans.
const unit = 1e-9

// decibans is 10·log10(a/b) in units of 1e-9.
func decibans(a, b float64) int64 {
	if a < b {
		return -decibans(b, a)
	}
	return int64(math.Round(10 * math.Log10(a/b) * 1e9))
}

// weighed is a random world of causes, rules and clues.
var weighed = shape{negations: true, itself: true, recursion: true, partly: true, clues: true, unknowns: 0.3, places: 3}

// TestWeighingAgreesWithMeaning compares sums, probabilities, likelihood ratios
// and states.
func TestWeighingAgreesWithMeaning(t *testing.T) {
	search(t, 250, func(t *rapid.T) {
		w := drawWorld(t, weighed)
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), w.inspection())
		mustAgree(t, w, run(t, p, f))
	})
}

// tree is a random tree of clues over weighed findings of the machine: finding 0
// is the root, each other is a sign of its parent, and each has yes/no signs of
// its own, each read by one clue.
type tree struct {
	world
	parent     []int
	p, q       []float64 // of finding i as a sign of its parent; [0] unused
	signs      [][2]int  // finding, answer: 0 no, 1 yes, -1 not looked at
	sp, sq     []float64
	inspection string
}

func drawTree(t *rapid.T) *tree {
	g := &builder{t: t, w: &world{}}
	x := &tree{}
	frequency := func() float64 { return float64(g.int(1, 99)) / 100 }
	twoFrequencies := func() (float64, float64) {
		p, q := frequency(), frequency()
		if p == q {
			q = 1 - p
		}
		if p == q {
			q = 0.3
		}
		return p, q
	}
	for i := range g.int(1, 7) {
		g.vocab("[[finding]]\nof = \"machine\"\nid = \"f%d\"\nsort = \"cause\"\nhow_common = 0.%d\n", i, g.int(1, 9))
		p, q := twoFrequencies()
		parent := -1
		if i > 0 {
			parent = g.int(0, i-1)
			g.statement("[[clue]]\nid = \"of-f%d\"\neach = { it = \"machine\" }\ncause = \"it.f%d\"\nsign = \"it.f%d\"\nwhen_so = %v\notherwise = %v\n", i, parent, i, p, q)
		}
		x.parent, x.p, x.q = append(x.parent, parent), append(x.p, p), append(x.q, q)
	}
	var lines []string
	for f := range x.parent {
		leaf := true
		for _, p := range x.parent {
			leaf = leaf && p != f
		}
		least := 0
		if leaf {
			least = 1 // a cause without a clue is refused
		}
		for range g.int(least, 2) {
			n := len(x.signs)
			p, q := twoFrequencies()
			answer := g.int(-1, 1)
			x.signs, x.sp, x.sq = append(x.signs, [2]int{f, answer}), append(x.sp, p), append(x.sq, q)
			g.vocab("[[property]]\nof = \"machine\"\nid = \"s%d\"\n", n)
			g.statement("[[clue]]\nid = \"of-s%d\"\neach = { it = \"machine\" }\ncause = \"it.f%d\"\nsign = \"it.s%d\"\nwhen_so = %v\notherwise = %v\n", n, f, n, p, q)
			if answer >= 0 {
				lines = append(lines, fmt.Sprintf("s%d = %v\n", n, answer == 1))
			}
		}
	}
	x.world = *g.w
	x.inspection = "machine = \"m\"\n[before]\n" + strings.Join(lines, "")
	return x
}

// exact is 10·log10 of P(signs | root) / P(signs | no root), by summing the joint
// distribution over every assignment of the findings below the root.
func (x *tree) exact() float64 {
	n := len(x.parent)
	var given [2]float64
	for assignment := range 1 << n {
		holds := func(f int) bool { return assignment>>f&1 == 1 }
		chance := 1.0
		frequency := func(p, q float64, cause, shown bool) {
			if !cause {
				p = q
			}
			if !shown {
				p = 1 - p
			}
			chance *= p
		}
		for f := 1; f < n; f++ {
			frequency(x.p[f], x.q[f], holds(x.parent[f]), holds(f))
		}
		for i, s := range x.signs {
			if s[1] >= 0 {
				frequency(x.sp[i], x.sq[i], holds(s[0]), s[1] == 1)
			}
		}
		given[assignment&1] += chance
	}
	return 10 * math.Log10(given[1]/given[0])
}

// TestWeightsAreExactOnTrees compares the weight of the root with the whole joint
// distribution, enumerated. On a tree the recursion over likelihood ratios is
// exact (Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, section
// 4.2, from memory); what remains is each clue's rounding to 1e-9 dB, half a
// unit at most, and passing through a parent only shrinks it.
func TestWeightsAreExactOnTrees(t *testing.T) {
	search(t, 150, func(t *rapid.T) {
		x := drawTree(t)
		p := loadPack(t, x.packFiles())
		f := fit(t, p, x.machine(), x.inspection)
		got := run(t, p, f).Fact(0, p.Vocabulary.Kind("machine").Property("f0")).Weight.Decibans()
		want := x.exact()
		if slack := unit/2*float64(len(p.Clues)) + 1e-12*math.Abs(want) + 1e-11; math.Abs(got-want) > slack {
			t.Fatalf("the root weighs %.12f dB, by enumeration %.12f\n%v%s", got, want, &x.world, x.inspection)
		}
	})
}

// TestAFreshClueAddsItsWeight: a clue on an observation that nobody else uses
// moves the sum by exactly its weight, and any further clue at all never lowers
// the total weight that counts.
func TestAFreshClueAddsItsWeight(t *testing.T) {
	search(t, 80, func(t *rapid.T) {
		s := weighed
		s.negations = false
		w := drawWorld(t, s)
		g := &builder{t: t, w: w}
		p := loadPack(t, w.packFiles())
		if len(p.Clues) == 0 {
			return
		}
		cause := p.Clues[g.int(0, len(p.Clues)-1)].Cause.Prop
		w.vocab("[[property]]\nof = %q\nid = \"fresh\"\n", cause.Kind.ID)
		for _, part := range w.parts {
			if w.kindOf[part] == cause.Kind.ID {
				w.observed[part]["fresh"] = g.pick([]string{`"yes"`, `"no"`})
			}
		}
		before := w.run(t)
		when, otherwise := g.int(1, 49), g.int(50, 99)
		if g.chance(0.5) {
			when, otherwise = otherwise, when
		}
		w.statements = append(w.statements, fmt.Sprintf("[[clue]]\nid = \"fresh\"\neach = { x = %q }\ncause = \"x.%s\"\nsign = \"x.fresh\"\nwhen_so = 0.%02d\notherwise = 0.%02d\n",
			cause.Kind.ID, cause.ID, when, otherwise))
		after := w.run(t)
		for _, n := range after.Facts.OfKind[cause.Kind.Index] {
			prop := after.Facts.Parts[n].Kind.Property(cause.ID)
			old := before.Fact(n, before.Facts.Parts[n].Kind.Property(cause.ID))
			now := after.Fact(n, prop)
			if e, ok := after.Evidence(n, prop); ok && e.Settled {
				continue
			}
			want := decibans(float64(when)/100, float64(otherwise)/100)
			if o := after.Facts.Lookup(n, prop.Kind.Property("fresh")); o.Value.Mask == vocab.No {
				want = decibans(1-float64(when)/100, 1-float64(otherwise)/100)
			}
			if got := int64(now.Weight - old.Weight); got != want {
				t.Fatalf("a fresh clue of %d moves the sum of %s by %d\n%v", want, after.Facts.Parts[n].ID, got, w)
			}
		}
	})
}

// TestAFurtherClueNeverLowersWhatCounts adds a clue on observations that others
// use too.
func TestAFurtherClueNeverLowersWhatCounts(t *testing.T) {
	search(t, 80, func(t *rapid.T) {
		w := drawWorld(t, weighed)
		g := &builder{t: t, w: w, shape: weighed}
		p := loadPack(t, w.packFiles())
		if len(p.Clues) == 0 {
			return
		}
		cause := p.Clues[g.int(0, len(p.Clues)-1)].Cause.Prop
		before := w.run(t)
		g.names = []name{{"x", cause.Kind.ID}}
		g.level = -1 // signs alone
		g.clue(word{cause.Kind.ID, cause.ID, -1})
		after := w.run(t)
		for _, n := range after.Facts.OfKind[cause.Kind.Index] {
			a, b := countedIn(t, before, n, cause.ID), countedIn(t, after, n, cause.ID)
			if b < a {
				t.Fatalf("with a further clue %d counts instead of %d of %s\n%v", b, a, after.Facts.Parts[n].ID, w)
			}
		}
	})
}

func (w *world) vocab(format string, args ...any) {
	w.vocabulary = append(w.vocabulary, fmt.Sprintf(format, args...))
}

func (w *world) run(t complainer) *record.Result {
	t.Helper()
	p := loadPack(t, w.packFiles())
	return run(t, p, fit(t, p, w.machine(), w.inspection()))
}

// countedIn is Σ|weight| of the clues that count.
func countedIn(t complainer, res *record.Result, part int32, id string) int64 {
	prop := res.Facts.Parts[part].Kind.Property(id)
	var sum int64
	for _, way := range engine.Ways(compile(t, res.Facts.Pack), res, part, prop) {
		if way.Clue != nil && way.Counted {
			sum += int64(way.Weight.Abs())
		}
	}
	return sum
}

// TestRivalsAgreeWithMeaning: causes that exclude each other sum to at most 1,
// and each is what the plain formula gives.
func TestRivalsAgreeWithMeaning(t *testing.T) {
	search(t, 80, func(t *rapid.T) {
		g := &builder{t: t, w: &world{}}
		n := g.int(2, 4)
		var causes []string
		var lines []string
		for i := range n {
			g.vocab("[[finding]]\nof = \"machine\"\nid = \"f%d\"\nsort = \"cause\"\nhow_common = 0.%02d\n", i, g.int(1, 40))
			causes = append(causes, fmt.Sprintf("it.f%d", i))
			for j := range g.int(1, 3) {
				g.vocab("[[property]]\nof = \"machine\"\nid = \"s%d%d\"\n", i, j)
				p, q := g.int(1, 49), g.int(50, 99)
				if g.chance(0.7) {
					p, q = q, p
				}
				g.statement("[[clue]]\nid = \"c%d%d\"\neach = { it = \"machine\" }\ncause = \"it.f%d\"\nsign = \"it.s%d%d\"\nwhen_so = 0.%02d\notherwise = 0.%02d\n", i, j, i, i, j, p, q)
				if g.chance(0.8) {
					lines = append(lines, fmt.Sprintf("s%d%d = %v\n", i, j, g.chance(0.6)))
				}
			}
		}
		g.statement("[[rivals]]\nid = \"one\"\neach = { it = \"machine\" }\ncauses = %s\n", quoted(causes))
		p := loadPack(t, g.w.packFiles())
		f := fit(t, p, g.w.machine(), "machine = \"m\"\n[before]\n"+strings.Join(lines, ""))
		res := run(t, p, f)
		mustAgree(t, g.w, res)
		priors, odds, sum := 0.0, make([]float64, n), 0.0
		found := func(i int) record.Fact {
			return res.Fact(0, p.Vocabulary.Kind("machine").Property(fmt.Sprintf("f%d", i)))
		}
		for i := range n {
			prior := p.Vocabulary.Kind("machine").Property(fmt.Sprintf("f%d", i)).HowCommon
			priors += prior
			odds[i] = prior * math.Pow(10, found(i).Weight.Decibans()/10)
		}
		whole := max(0, 1-priors) // none of them; priors over 1 leave nothing for it
		for i := range n {
			whole += odds[i]
		}
		for i := range n {
			got := found(i).Probability
			if math.Abs(got-odds[i]/whole) > 1e-9 {
				t.Fatalf("f%d has %v, by the formula %v\n%v%v", i, got, odds[i]/whole, g.w, lines)
			}
			sum += got
		}
		if sum > 1+1e-9 {
			t.Fatalf("rivals sum to %v", sum)
		}
	})
}

// TestOverlapAgreesWithMeaning: many clues over few observations, so that the best
// set is seldom the heaviest clues first, and priors from rare to common.
func TestOverlapAgreesWithMeaning(t *testing.T) {
	search(t, 120, func(t *rapid.T) {
		g := &builder{t: t, w: &world{}}
		const signs = 6
		var lines []string
		for i := range signs {
			g.vocab("[[property]]\nof = \"machine\"\nid = \"s%d\"\n", i)
			if g.chance(0.85) {
				lines = append(lines, fmt.Sprintf("s%d = %v\n", i, g.chance(0.5)))
			}
		}
		g.vocab("[[finding]]\nof = \"machine\"\nid = \"f\"\nsort = \"cause\"\nhow_common = 0.%02d\n", g.int(2, 98))
		for i := range g.int(2, 9) {
			var read []string
			for range g.int(1, 3) {
				s := fmt.Sprintf("it.s%d", g.int(0, signs-1))
				if g.chance(0.4) {
					s = "not (" + s + ")"
				}
				read = append(read, s)
			}
			p, q := 10*g.int(1, 4), 10*g.int(5, 9) // few, so that weights are often equal
			if g.chance(0.5) {
				p, q = q, p
			}
			g.statement("[[clue]]\nid = \"c%d\"\neach = { it = \"machine\" }\ncause = \"it.f\"\nsign = %q\nwhen_so = 0.%d\notherwise = 0.%d\n",
				i, strings.Join(read, g.pick([]string{" and ", " or "})), p, q)
		}
		p := loadPack(t, g.w.packFiles())
		f := fit(t, p, g.w.machine(), "machine = \"m\"\n[before]\n"+strings.Join(lines, ""))
		mustAgree(t, g.w, run(t, p, f))
	})
}
