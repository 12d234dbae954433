package engine_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// The shapes of the five workloads, from fixed seeds.
//
//	W1  n rules of three conditions over 24 whole numbers (0 to 999) and 16
//	    choices of four, on one part
//	W2  200 such rules, 50 over their conclusions (half of them with a not), many cases
//	W3  a finding that spreads from ten nodes over three references a node
//	W4  n arms and n seats met by position, loose where the bore is over 20 larger
//	W5  W1 with one property changed at a time
const (
	wholes, picks = 24, 16
	allProps      = wholes + picks
	firstLevel    = 200
	secondLevel   = 50
	startNodes    = 10
	playLimit     = 20
)

func seeded(what uint64) *rand.Rand { return rand.New(rand.NewPCG(77, what)) }

// test is one condition: property, and > or < a limit, or == a choice.
type test struct {
	prop, sign int // sign: 0 over, 1 under, 2 is
	limit      int
}

func drawTest(r *rand.Rand) test {
	if r.IntN(3) == 0 {
		return test{wholes + r.IntN(picks), 2, r.IntN(4)}
	}
	return test{r.IntN(wholes), r.IntN(2), 200 + r.IntN(600)}
}

func (c test) holds(v int) bool {
	switch c.sign {
	case 0:
		return v > c.limit
	case 1:
		return v < c.limit
	}
	return v == c.limit
}

func propName(p int) string {
	if p < wholes {
		return fmt.Sprintf("n%d", p)
	}
	return fmt.Sprintf("c%d", p)
}

// propOf is the finding of a rule.
func propOf(rule int) string { return fmt.Sprintf("f%d", rule) }

func (c test) String() string {
	switch c.sign {
	case 0:
		return fmt.Sprintf("x.%s > %d", propName(c.prop), c.limit)
	case 1:
		return fmt.Sprintf("x.%s < %d", propName(c.prop), c.limit)
	}
	return fmt.Sprintf("x.%s == '%c'", propName(c.prop), 'a'+rune(c.limit))
}

// drawTests draws three tests of three different properties for each rule.
func drawTests(n int, seed uint64) [][3]test {
	r := seeded(seed)
	out := make([][3]test, n)
	for i := range out {
		for j := 0; j < 3; {
			out[i][j] = drawTest(r)
			if j == 0 || out[i][j].prop != out[i][0].prop && (j == 1 || out[i][j].prop != out[i][1].prop) {
				j++
			}
		}
	}
	return out
}

// upper is a rule of the second level: one finding, another or its absence,
// and a test.
type upper struct {
	a, b int
	not  bool
	test test
}

func drawUppers() []upper {
	r := seeded(3)
	out := make([]upper, secondLevel)
	for i := range out {
		a, b := r.IntN(firstLevel), r.IntN(firstLevel-1)
		if b >= a {
			b++
		}
		out[i] = upper{a, b, i%2 == 0, drawTest(r)}
	}
	return out
}

type values [allProps]int

func drawValues(r *rand.Rand) (c values) {
	for p := range c {
		if p < wholes {
			c[p] = r.IntN(1000)
		} else {
			c[p] = r.IntN(4)
		}
	}
	return c
}

const askedFor = `ask = "?"
look = "so"
stage = "running"
minutes = 1
`

// caseFiles is a pack over one kind of part with the forty properties.
func caseFiles(lower [][3]test, uppers []upper) fstest.MapFS {
	var b strings.Builder
	b.WriteString("[pack]\nid = \"bench\"\nversion = \"1\"\ntitle = \"bench\"\n[[kind]]\nid = \"unit\"\nname = \"unit\"\n")
	for p := range allProps {
		fmt.Fprintf(&b, "[[property]]\nof = \"unit\"\nid = %q\n", propName(p))
		if p < wholes {
			b.WriteString("type = \"whole\"\n" + askedFor)
		} else {
			b.WriteString("choices = ['a', 'b', 'c', 'd']\nnormal = ['a']\n" + askedFor)
		}
	}
	files := fstest.MapFS{"pack.toml": {Data: []byte(b.String())}}
	b.Reset()
	write := func(i int, last bool) {
		if i%2000 == 1999 || last {
			files[fmt.Sprintf("rules%05d.toml", i)] = &fstest.MapFile{Data: []byte(b.String())}
			b.Reset()
		}
	}
	n := len(lower) + len(uppers)
	for i := range n {
		fmt.Fprintf(&b, "[[finding]]\nof = \"unit\"\nid = \"f%d\"\nname = \"f%d\"\nsort = \"damage\"\n[[rule]]\nid = \"r%d\"\neach = { x = \"unit\" }\nif = [", i, i, i)
		if i < len(lower) {
			for _, c := range lower[i] {
				fmt.Fprintf(&b, "\"%v\", ", c)
			}
		} else {
			u := uppers[i-len(lower)]
			other := fmt.Sprintf("x.f%d", u.b)
			if u.not {
				other = "not (" + other + ")"
			}
			fmt.Fprintf(&b, "\"x.f%d\", \"%s\", \"%v\"", u.a, other, u.test)
		}
		fmt.Fprintf(&b, "]\nthen = \"x.f%d\"\nbecause = \"so\"\nsource = \"invented\"\n", i)
		write(i, i == n-1)
	}
	return files
}

func loadFiles(t failer, files fstest.MapFS) *rules.Pack {
	t.Helper()
	pack, ps := rules.Load(files, "bench", rules.Checked)
	if ps.HasErrors() {
		t.Fatal(ps.Errors()[0])
	}
	return pack
}

// place makes a place of a machine in memory.
func place(kind, id string) facts.Place {
	return facts.Place{ID: id, Kind: facts.Word{Text: kind}, Table: kind, Row: id}
}

func assemble(t failer, pack *rules.Pack, places []facts.Place) *rules.Layout {
	t.Helper()
	m := &facts.Machine{File: source.NewFile("machine.toml", nil), ID: "m", Name: "m", Places: places}
	l, ps := rules.Assemble(pack, m)
	if ps.HasErrors() {
		t.Fatal(ps.Errors()[0])
	}
	return l
}

func wholeValue(v int) vocab.Value {
	return vocab.Value{Looked: vocab.Told, Number: measure.Exact(float64(v))}
}

func choiceValue(v int) vocab.Value { return vocab.Value{Looked: vocab.Told, Mask: 1 << v} }

func yesNo(yes bool) vocab.Value {
	if yes {
		return vocab.Value{Looked: vocab.Told, Mask: vocab.Yes}
	}
	return vocab.Value{Looked: vocab.Told, Mask: vocab.No}
}

// caseFacts is one case as an inspection of the one unit there is.
func caseFacts(l *rules.Layout, c *values) *rules.Facts {
	k := l.Pack.Vocabulary.Kind("unit")
	part := l.OfKind[k.Index][0]
	f := &rules.Facts{Layout: l, K: 2}
	for p, v := range c {
		prop := k.Property(propName(p))
		value := wholeValue(v)
		if p >= wholes {
			value = choiceValue(v)
		}
		f.Observations = append(f.Observations, rules.Observation{Part: part, Prop: prop, Value: value, Basis: int32(p)})
	}
	return f
}

// drawEdges draws three feeders a node on average, no edge twice.
func drawEdges(nodes int) [][2]int32 {
	r := seeded(33)
	seen := make(map[[2]int32]bool, 3*nodes)
	out := make([][2]int32, 0, 3*nodes)
	for len(out) < 3*nodes {
		e := [2]int32{int32(r.IntN(nodes)), int32(r.IntN(nodes))}
		if e[0] != e[1] && !seen[e] {
			seen[e] = true
			out = append(out, e)
		}
	}
	return out
}

var spreadFiles = fstest.MapFS{"pack.toml": {Data: []byte(`[pack]
id = "bench"
version = "1"
title = "bench"
[[kind]]
id = "node"
name = "node"
[[property]]
of = "node"
id = "fed_by"
type = "parts"
refers_to = "node"
[[property]]
of = "node"
id = "start"
normal = "no"
` + askedFor + `[[finding]]
of = "node"
id = "wet"
name = "wet"
sort = "damage"
[[rule]]
id = "starts"
each = { n = "node" }
if = "n.start"
then = "n.wet"
because = "so"
[[rule]]
id = "spreads"
each = { n = "node" }
if = "any(n.fed_by, .wet)"
then = "n.wet"
because = "so"
`)}}

// spreadFacts is W3: edge x, y means y is fed by x.
func spreadFacts(t testing.TB, pack *rules.Pack, nodes int, edges [][2]int32) *rules.Facts {
	places := make([]facts.Place, nodes)
	feeds := make([][]facts.Word, nodes)
	for _, e := range edges {
		feeds[e[1]] = append(feeds[e[1]], facts.Word{Text: fmt.Sprintf("n%d", e[0])})
	}
	for i := range places {
		places[i] = place("node", fmt.Sprintf("n%d", i))
		places[i].Refs = []facts.Reference{{Property: facts.Word{Text: "fed_by"}, To: feeds[i], List: true}}
	}
	l := assemble(t, pack, places)
	k := pack.Vocabulary.Kind("node")
	f := &rules.Facts{Layout: l, K: 2}
	for o, part := range l.OfKind[k.Index] {
		f.Observations = append(f.Observations, rules.Observation{Part: part, Prop: k.Property("start"), Value: yesNo(o < startNodes), Basis: int32(o)})
	}
	return f
}

var joinFiles = fstest.MapFS{"pack.toml": {Data: []byte(`[pack]
id = "bench"
version = "1"
title = "bench"
[[kind]]
id = "seat"
name = "seat"
[[kind]]
id = "arm"
name = "arm"
[[property]]
of = ["seat", "arm"]
id = "position"
type = "whole"
` + askedFor + `[[property]]
of = "seat"
id = "diameter"
type = "whole"
` + askedFor + `[[property]]
of = "arm"
id = "bore"
type = "whole"
` + askedFor + `[[finding]]
of = "arm"
id = "loose"
name = "loose"
sort = "damage"
[[finding]]
of = "seat"
id = "carries_loose"
name = "carries a loose arm"
sort = "damage"
[[rule]]
id = "meets"
each = { arm = "arm", seat = "seat" }
if = ["arm.position == seat.position", "arm.bore - seat.diameter > 20"]
then = ["arm.loose", "seat.carries_loose"]
because = "so"
source = "invented"
`)}}

// sized is a seat or an arm: where it stands and how large it is.
type sized struct{ at, size int }

func drawAssembly(n int) (seats, arms []sized) {
	r := seeded(44)
	for range n {
		seats = append(seats, sized{r.IntN(n / 2), 100 + r.IntN(50)})
		arms = append(arms, sized{r.IntN(n / 2), 110 + r.IntN(60)})
	}
	return seats, arms
}

func joinFacts(t failer, pack *rules.Pack, seats, arms []sized) *rules.Facts {
	var places []facts.Place
	for i := range seats {
		places = append(places, place("seat", fmt.Sprintf("seat%d", i)))
	}
	for i := range arms {
		places = append(places, place("arm", fmt.Sprintf("arm%d", i)))
	}
	l := assemble(t, pack, places)
	f := &rules.Facts{Layout: l, K: 2}
	enter := func(kind, size string, of []sized) {
		k := pack.Vocabulary.Kind(kind)
		at, dim := k.Property("position"), k.Property(size)
		for o, part := range l.OfKind[k.Index] {
			first, second := rules.Observation{Part: part, Prop: at, Value: wholeValue(of[o].at)}, rules.Observation{Part: part, Prop: dim, Value: wholeValue(of[o].size)}
			if at.Index > dim.Index {
				first, second = second, first
			}
			first.Basis = int32(len(f.Observations))
			second.Basis = first.Basis + 1
			f.Observations = append(f.Observations, first, second)
		}
	}
	enter("seat", "diameter", seats)
	enter("arm", "bore", arms)
	return f
}

func oneUnit() []facts.Place { return []facts.Place{place("unit", "unit")} }

// failer is what a test, a benchmark and a random search have in common.
type failer interface {
	Helper()
	Fatal(args ...any)
}
