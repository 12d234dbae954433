package engine_test

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"
)

// shape says what a random world may have.
type shape struct {
	exceptions bool // unless and rules_out
	negations  bool // not, all, none, counts, sums: what needs strata
	itself     bool // elements of a list other than the part itself
	recursion  bool // findings of one level that read each other
	numbers    bool // numbers, computed ones too
	uncertain  bool // readings with uncertainty, numbers partly known
	partly     bool // choices partly known, ranges
	verdicts   bool
	single     bool // one name for each rule
	clues      bool
	unknowns   float64 // how much nobody looked at
	places     int     // at most so many of each kind
}

var everything = shape{exceptions: true, itself: true, negations: true, recursion: true, numbers: true, uncertain: true, partly: true, verdicts: true, unknowns: 0.4, places: 4}

// finding is a finding or computed number of a random vocabulary.
type word struct {
	kind  string
	id    string
	level int
}

type builder struct {
	t     *rapid.T
	shape shape
	w     *world

	findings []word
	computed []word
	names    []name // of the statement being made
	level    int    // of the head being made
}

// name is a name of each.
type name struct{ id, kind string }

// int draws from lo to hi, all alike likely but for a trace: rapid's own numbers
// are mostly small, which would leave most of an inspection unknown. It is put
// together of bits so that rapid can still find a simpler case.
func (g *builder) int(lo, hi int) int {
	n, of := 0, 1
	for of < 4*(hi-lo+1) && of < 1<<12 {
		n, of = 2*n, 2*of
		if bit.Draw(g.t, "n") {
			n++
		}
	}
	return lo + n*(hi-lo+1)/of
}

var bit = rapid.Bool()

func (g *builder) chance(p float64) bool { return float64(g.int(0, 63)) >= 64*(1-p) }

func (g *builder) pick(of []string) string { return of[g.int(0, len(of)-1)] }

const vocabularyOfWorlds = `
[[kind]]
id = "aa"
[[kind]]
id = "bb"
[[property]]
of = "aa"
id = "near"
type = "parts"

refers_to = "aa"
[[property]]
of = "bb"
id = "on_a"
refers_to = "aa"
reverse = "bs"
[[property]]
of = "bb"
id = "next"
refers_to = "bb"
reverse = "before"
[[property]]
of = ["aa", "bb"]
id = "y0"
[[property]]
of = ["aa", "bb"]
id = "y1"
[[property]]
of = ["aa", "bb"]
id = "y2"
[[property]]
of = ["aa", "bb"]
id = "tint"
choices = ["none", "straw", "brown", "blue"]
ordered = true
[[property]]
of = ["aa", "bb"]
id = "shade"
choices = ["none", "straw", "brown", "blue"]
ordered = true
[[property]]
of = ["aa", "bb"]
id = "size_a"
unit = "mm"
[[property]]
of = ["aa", "bb"]
id = "size_b"
unit = "mm"
[[property]]
of = ["aa", "bb"]
id = "no"
type = "whole"

`

var choicesOfWorlds = []string{"none", "straw", "brown", "blue"}

// drawWorld makes a random world.
func drawWorld(t *rapid.T, s shape) *world {
	g := &builder{t: t, shape: s, w: &world{kindOf: map[string]string{}, observed: map[string]map[string]string{}}}
	g.w.vocabulary = []string{vocabularyOfWorlds}
	levels := g.int(1, 3)
	for l := range levels {
		for i := range g.int(1, 3) {
			f := word{g.pick([]string{"aa", "bb"}), fmt.Sprintf("f%d%d", l, i), 2 * l}
			g.findings = append(g.findings, f)
			sort, prior := "damage", ""
			if s.clues && g.chance(0.5) {
				sort, prior = "cause", fmt.Sprintf("how_common = 0.%d\n", g.int(5, 60))
			}
			g.vocab("[[finding]]\nof = %q\nid = %q\nsort = %q\n%s", f.kind, f.id, sort, prior)
			g.head(f, prior != "")
		}
		if s.numbers && g.chance(0.6) {
			c := word{g.pick([]string{"aa", "bb"}), fmt.Sprintf("x%d", l), 2*l + 1}
			g.computed = append(g.computed, c)
			g.vocab("[[computed]]\nof = %q\nid = %q\nunit = \"mm\"\n", c.kind, c.id)
			g.setRule(c)
		}
	}
	if s.verdicts {
		for range g.int(0, 3) {
			g.verdictRule(2 * levels)
		}
	}
	g.placesAndParts()
	g.observe()
	return g.w
}

func (g *builder) vocab(format string, args ...any) {
	g.w.vocabulary = append(g.w.vocabulary, fmt.Sprintf(format, args...))
}

func (g *builder) statement(format string, args ...any) {
	g.w.statements = append(g.w.statements, fmt.Sprintf(format, args...))
}

func (g *builder) nextID(sort string) string { return fmt.Sprintf("%s-%d", sort, len(g.w.statements)) }

// bind draws the names of a statement about kind, and the condition that ties
// them, if there are two.
func (g *builder) bind(kind string) (each string, ties []string) {
	other := "aa"
	if kind == "aa" {
		other = "bb"
	}
	g.names = []name{{"x", kind}}
	if g.shape.single {
		return fmt.Sprintf("{ x = %q }", kind), nil
	}
	switch g.int(0, 7) {
	case 0, 1: // a reference, or the list it makes
		g.names = append(g.names, name{"z", other})
		a, b := "x", "z"
		if kind == "bb" {
			a, b = "z", "x"
		}
		ties = []string{g.pick([]string{b + ".on_a == " + a, b + " in " + a + ".bs"})}
	case 2:
		g.names = append(g.names, name{"z", kind})
		if kind == "bb" {
			ties = []string{g.pick([]string{"x.next == z", "z.next == x", "z in x.before"})}
		} else {
			ties = []string{g.pick([]string{"x in z.near", "z in x.near"})}
		}
	case 3: // something observed is equal
		g.names = append(g.names, name{"z", g.pick([]string{"aa", "bb"})})
		ties = []string{g.pick([]string{"x.no == z.no", "z.tint == x.shade", "z.no == x.no + 1"})}
	case 4:
		if kind == "aa" { // three names
			g.names = append(g.names, name{"z", "bb"}, name{"v", "bb"})
			ties = []string{"z.on_a == x", "v.next == z"}
		}
	}
	var parts []string
	for _, n := range g.names {
		parts = append(parts, fmt.Sprintf("%s = %q", n.id, n.kind))
	}
	return "{ " + strings.Join(parts, ", ") + " }", ties
}

func quoted(list []string) string {
	var out []string
	for _, s := range list {
		out = append(out, fmt.Sprintf("%q", s))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// head makes the rules (and clues) that conclude f.
func (g *builder) head(f word, weighed bool) {
	n := g.int(1, 3)
	if weighed && g.chance(0.7) {
		n = 0
	}
	for range n {
		each, conds := g.bind(f.kind)
		ties := len(conds)
		g.level = f.level
		for range g.int(1, 2) {
			conds = append(conds, g.cond(2, !g.shape.recursion || weighed)) // what clues weigh does not rest on itself
		}
		then := "then"
		if g.shape.exceptions && g.chance(0.12) && !weighed {
			then = "rules_out"
			for i := range conds { // its conditions lie lower
				if i >= ties {
					conds[i] = g.cond(2, true)
				}
			}
		}
		unless := ""
		if g.shape.exceptions && g.chance(0.3) {
			unless = "unless = " + quoted([]string{g.cond(1, true)}) + "\n"
		}
		g.statement("[[rule]]\nid = %q\neach = %s\nif = %s\n%s%s = \"x.%s\"\nsource = \"none\"\n", g.nextID("rule"), each, quoted(conds), unless, then, f.id)
	}
	if weighed {
		for range g.int(1, 4) {
			g.clue(f)
		}
	}
}

func (g *builder) frequency() string { return fmt.Sprintf("0.%02d", g.int(2, 98)) }

// clue makes a clue for f.
func (g *builder) clue(f word) {
	each, conds := "{ x = \""+f.kind+"\" }", []string(nil)
	g.names = []name{{"x", f.kind}}
	if !g.shape.single && g.chance(0.3) {
		if f.kind == "aa" {
			each, conds = `{ x = "aa", z = "bb" }`, []string{"z.on_a == x"}
			g.names = append(g.names, name{"z", "bb"})
		} else {
			each, conds = `{ x = "bb", z = "aa" }`, []string{"x.on_a == z"}
			g.names = append(g.names, name{"z", "aa"})
		}
	}
	g.level = f.level
	if g.chance(0.2) {
		conds = append(conds, g.cond(0, true))
	}
	when := ""
	if conds != nil {
		when = "if = " + quoted(conds) + "\n"
	}
	n := g.names[g.int(0, len(g.names)-1)]
	if g.chance(0.25) {
		table := func() string {
			var rest []string
			left := 100
			for i, c := range choicesOfWorlds {
				x := g.int(1, left-(3-i))
				if i == 3 {
					x = left
				}
				left -= x
				rest = append(rest, fmt.Sprintf("%s = 0.%02d", c, x))
			}
			return "{ " + strings.Join(rest, ", ") + " }"
		}
		p, q := table(), table()
		if p == q {
			q = "{ none = 0.07, straw = 0.53, brown = 0.2, blue = 0.2 }"
		}
		g.statement("[[clue]]\nid = %q\neach = %s\n%scause = \"x.%s\"\nsign = \"%s.%s\"\nwhen_so = %s\notherwise = %s\n",
			g.nextID("clue"), each, when, f.id, n.id, g.pick([]string{"tint", "shade"}), p, q)
		return
	}
	p, q := g.frequency(), g.frequency()
	if p == q {
		q = "0.01"
	}
	g.statement("[[clue]]\nid = %q\neach = %s\n%scause = \"x.%s\"\nsign = %q\nwhen_so = %s\notherwise = %s\n",
		g.nextID("clue"), each, when, f.id, g.cond(1, true), p, q)
}

func (g *builder) setRule(c word) {
	for range g.int(1, 2) {
		each, conds := g.bind(c.kind)
		g.level = c.level
		if g.chance(0.4) {
			conds = append(conds, g.cond(1, true))
		}
		when := ""
		if len(conds) > 0 {
			when = "if = " + quoted(conds) + "\n"
		}
		g.statement("[[rule]]\nid = %q\neach = %s\n%sset = { \"x.%s\" = %q }\nsource = \"none\"\n", g.nextID("rule"), each, when, c.id, g.number(1, false))
	}
}

func (g *builder) verdictRule(level int) {
	kind := g.pick([]string{"aa", "bb"})
	each, conds := g.bind(kind)
	g.level = level
	conds = append(conds, g.cond(1, true))
	unless := ""
	if g.shape.exceptions && g.chance(0.2) {
		unless = "unless = " + quoted([]string{g.cond(0, true)}) + "\n"
	}
	g.statement("[[rule]]\nid = %q\neach = %s\nif = %s\n%sverdict = %q\nof = \"x\"\nsource = \"none\"\n", g.nextID("rule"), each, quoted(conds), unless,
		g.pick([]string{"replace", "rework", "inspect_further"}))
}

func (g *builder) placesAndParts() {
	as, bs := g.int(1, g.shape.places), g.int(0, g.shape.places)
	for i := 1; i <= as; i++ {
		var near []string
		for j := 1; j <= as; j++ {
			if i != j && g.chance(0.4) {
				near = append(near, fmt.Sprintf("aa%d", j))
			}
		}
		g.place(fmt.Sprintf("aa%d", i), "aa", "near = "+quoted(near))
	}
	for i := 1; i <= bs; i++ {
		ref := func(ids string, n int) string {
			if n == 0 || g.chance(0.15) {
				return `""`
			}
			return fmt.Sprintf("\"%s%d\"", ids, g.int(1, n))
		}
		g.place(fmt.Sprintf("bb%d", i), "bb", "on_a = "+ref("aa", as)+", next = "+ref("bb", i-1))
	}
}

func (g *builder) place(id, kind, refs string) {
	g.w.parts = append(g.w.parts, id)
	g.w.kindOf[id] = kind
	g.w.observed[id] = map[string]string{}
	g.w.places = append(g.w.places, fmt.Sprintf("[[place]]\nkind = %q\nid = %q\nrefs = { %s }\n", kind, id, refs))
}

var signsOfWorlds = []string{"y0", "y1", "y2", "tint", "shade", "size_a", "size_b", "no"}

func (g *builder) observe() {
	for _, p := range g.w.parts {
		for _, sign := range signsOfWorlds {
			if v := g.answer(sign); v != "" {
				g.w.observed[p][sign] = v
			}
		}
	}
	if g.shape.uncertain && g.chance(0.3) {
		g.w.k = g.pick([]string{"1", "1.65", "3"})
	}
}

// answer draws what is written for a sign; "" is nothing.
func (g *builder) answer(sign string) string {
	if g.shape.unknowns == 1 || g.chance(g.shape.unknowns) {
		if g.chance(0.2) {
			return `"?"`
		}
		return ""
	}
	partly := g.shape.partly && g.chance(0.2)
	switch sign {
	case "y0", "y1", "y2":
		return g.pick([]string{`"yes"`, `"no"`})
	case "tint", "shade":
		c := g.pick(choicesOfWorlds)
		if partly {
			if d := g.pick(choicesOfWorlds); d != c {
				return fmt.Sprintf("%q", c+" or "+d)
			}
		}
		return fmt.Sprintf("%q", c)
	case "no":
		if partly {
			return fmt.Sprintf("\"%d to %d\"", g.int(1, 2), g.int(2, 3))
		}
		return fmt.Sprint(g.int(1, 3))
	}
	length := fmt.Sprintf("%d.%d", g.int(0, 4), g.int(0, 9))
	switch {
	case partly && g.chance(0.3):
		return fmt.Sprintf("%q", g.pick([]string{"over ", "under ", "at least ", "at most "})+length+" mm")
	case partly:
		return fmt.Sprintf("\"%s to 5 mm\"", length)
	case g.shape.uncertain && g.chance(0.5):
		return fmt.Sprintf("{ is = \"%s mm\", tool = %q }", length, g.pick([]string{"mic", "depth"}))
	}
	return fmt.Sprintf("\"%s mm\"", length)
}
