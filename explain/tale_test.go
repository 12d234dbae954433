package explain_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing/fstest"

	"pgregory.net/rapid"

	"whyworn/engine"
	"whyworn/explain"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/rules"
)

// tale is a random pack of findings, rules from signs to findings and links
// between findings, with an inspection of a row of places.
type tale struct {
	signs      []bool // normal is told
	causes     []bool // of each finding, whether it is a cause
	rules      []taleRule
	links      []taleLink
	next       []int // of each place the one it refers to, -1 = none
	seen       map[[2]int]bool
	orders     [][][2]int // place, finding
	vocabulary string
	statements []string
}

type taleRule struct {
	of    int
	signs []int
}

// taleLink leads from a finding to one of the same place (0), of the next (1),
// or from there back (2).
type taleLink struct{ from, to, way int }

func drawTale(t *rapid.T) *tale {
	n := func(lo, hi int, what string) int { return rapid.IntRange(lo, hi).Draw(t, what) }
	x := &tale{seen: map[[2]int]bool{}}
	for range n(1, 5, "signs") {
		x.signs = append(x.signs, rapid.Bool().Draw(t, "normal"))
	}
	for range n(1, 6, "findings") {
		x.causes = append(x.causes, rapid.Bool().Draw(t, "cause"))
	}
	for f := range x.causes {
		for range n(1, 2, "rules") {
			r := taleRule{of: f}
			for range n(1, 2, "conditions") {
				r.signs = append(r.signs, n(0, len(x.signs)-1, "sign"))
			}
			x.rules = append(x.rules, r)
		}
	}
	for range n(0, 12, "links") {
		x.links = append(x.links, taleLink{n(0, len(x.causes)-1, "from"), n(0, len(x.causes)-1, "to"), n(0, 2, "way")})
	}
	// A ring of links in many tales: drawn one by one they seldom close.
	ring := min(rapid.SampledFrom([]int{0, 2, 3}).Draw(t, "ring"), len(x.causes))
	for f := range ring {
		x.links = append(x.links, taleLink{f, (f + 1) % ring, 0})
	}
	for p := range n(1, 4, "places") {
		x.next = append(x.next, n(-1, p-1, "next"))
	}
	for p := range x.next {
		for s := range x.signs {
			if answer := rapid.SampledFrom([]int{0, 1, 2, 3, 3}).Draw(t, "answer"); answer > 0 {
				x.seen[[2]int{p, s}] = answer > 1
			}
		}
	}
	for range n(0, 2, "orders") {
		var o [][2]int
		for range n(2, 3, "events") {
			o = append(o, [2]int{n(0, len(x.next)-1, "place"), n(0, len(x.causes)-1, "event")})
		}
		x.orders = append(x.orders, o)
	}
	x.write()
	return x
}

func (x *tale) write() {
	var b strings.Builder
	b.WriteString("[pack]\nid = \"t\"\nversion = \"1\"\ntitle = \"t\"\n[[kind]]\nid = \"k\"\n[[property]]\nof = \"k\"\nid = \"next\"\nrefers_to = \"k\"\n")
	for s, normal := range x.signs {
		fmt.Fprintf(&b, "[[property]]\nof = \"k\"\nid = \"s%d\"\ntype = \"yes_no\"\n", s)
		if normal {
			b.WriteString("normal = \"no\"\n")
		}
	}
	for f, cause := range x.causes {
		sort := "damage"
		if cause {
			sort = "cause"
		}
		fmt.Fprintf(&b, "[[finding]]\nof = \"k\"\nid = \"f%d\"\nsort = %q\n", f, sort)
	}
	x.vocabulary = b.String()
	for i, r := range x.rules {
		conditions := make([]string, len(r.signs))
		for k, s := range r.signs {
			conditions[k] = fmt.Sprintf("%q", fmt.Sprintf("it.s%d", s))
		}
		x.statements = append(x.statements, fmt.Sprintf("[[rule]]\nid = \"r%d\"\neach = { it = \"k\" }\nif = [%s]\nthen = \"it.f%d\"\n", i, strings.Join(conditions, ", "), r.of))
	}
	for i, l := range x.links {
		each, condition := "{ a = \"k\" }", ""
		if l.way > 0 {
			each, condition = "{ a = \"k\", b = \"k\" }", "if = [\"a.next == b\"]\n"
		}
		from, to := [3]string{"a", "a", "b"}[l.way], [3]string{"a", "b", "a"}[l.way]
		x.statements = append(x.statements, fmt.Sprintf("[[link]]\nid = \"l%d\"\neach = %s\n%sfrom = \"%s.f%d\"\nto = \"%s.f%d\"\nhow = \"so\"\n", i, each, condition, from, l.from, to, l.to))
	}
}

// failing is a testing.TB or a rapid.T.
type failing interface{ Fatal(...any) }

// inspected runs a tale; statements go into several files, places come in a
// given order.
func (x *tale) inspected(t failing, statements []string, places []int) *explain.Case {
	sound := func(ps source.Problems) {
		if ps.HasErrors() {
			t.Fatal(ps)
		}
	}
	fsys := fstest.MapFS{"a.toml": {Data: []byte(x.vocabulary)}}
	for i := range 3 {
		var b strings.Builder
		for k, s := range statements {
			if k%3 == i {
				b.WriteString(s)
			}
		}
		fsys[fmt.Sprintf("f%d.toml", i)] = &fstest.MapFile{Data: []byte(b.String())}
	}
	pack, ps := rules.Load(fsys, "pack", rules.Checked)
	if pack == nil {
		t.Fatal(ps, x.vocabulary, strings.Join(statements, ""))
	}
	var m, in strings.Builder
	m.WriteString("[machine]\nid = \"m\"\nname = \"m\"\npack = \"t\"\n")
	in.WriteString("machine = \"m\"\n")
	if len(x.orders) > 0 {
		in.WriteString("order = [")
		for _, o := range x.orders {
			in.WriteString("[")
			for _, e := range o {
				fmt.Fprintf(&in, "\"p%d.f%d\", ", e[0], e[1])
			}
			in.WriteString("], ")
		}
		in.WriteString("]\n")
	}
	for _, p := range places {
		fmt.Fprintf(&m, "[[place]]\nkind = \"k\"\nid = \"p%d\"\n", p)
		if x.next[p] >= 0 {
			fmt.Fprintf(&m, "refs = { next = \"p%d\" }\n", x.next[p])
		}
		fmt.Fprintf(&in, "[p%d]\n", p)
		for s := range x.signs {
			if yes, ok := x.seen[[2]int{p, s}]; ok {
				fmt.Fprintf(&in, "s%d = %v\n", s, yes)
			}
		}
	}
	f := source.NewFile("machine.toml", []byte(m.String()))
	root, ps := tomlfile.Parse(f)
	sound(ps)
	machine, ps := facts.ReadMachine(f, root)
	sound(ps)
	f = source.NewFile("inspection.toml", []byte(in.String()))
	root, ps = tomlfile.Parse(f)
	sound(ps)
	inspection, _ := facts.ReadInspection(f, root) // that it may be empty is told
	fitted, _ := rules.Fit(pack, machine, inspection)
	if fitted == nil {
		t.Fatal("does not fit")
	}
	p, ps := engine.Compile(pack)
	sound(ps)
	s := p.Bind(fitted)
	s.Run()
	return explain.New(p, s.Result())
}

// plainStory is what a story must be, worked out by closures and by trying
// every set, over names.
type plainStory struct {
	roles    map[string]string
	links    map[string]bool            // from → to
	by       map[string]map[string]bool // of each sign to account for, what does
	fewest   int
	causesOf int // signs that causes account for
}

func (x *tale) plain() *plainStory {
	name := func(p, f int) string { return fmt.Sprintf("p%d.f%d", p, f) }
	out := &plainStory{roles: map[string]string{}, links: map[string]bool{}, by: map[string]map[string]bool{}}
	held, causes, stands := map[string]bool{}, map[string]bool{}, map[string][]string{}
	for p := range x.next {
		for _, r := range x.rules {
			fires := true
			for _, s := range r.signs {
				fires = fires && x.seen[[2]int{p, s}]
			}
			if fires {
				f := name(p, r.of)
				held[f], causes[f] = true, x.causes[r.of]
				for _, s := range r.signs {
					stands[fmt.Sprintf("p%d.s%d", p, s)] = append(stands[fmt.Sprintf("p%d.s%d", p, s)], f)
				}
			}
		}
	}
	// The order of events, closed.
	before := map[[2]string]bool{}
	var events []string
	for _, o := range x.orders {
		for i := range o {
			events = append(events, name(o[i][0], o[i][1]))
			for j := range i {
				before[[2]string{name(o[j][0], o[j][1]), name(o[i][0], o[i][1])}] = true
			}
		}
	}
	for _, k := range events {
		for _, i := range events {
			for _, j := range events {
				if before[[2]string{i, k}] && before[[2]string{k, j}] {
					before[[2]string{i, j}] = true
				}
			}
		}
	}
	known := func(a, b string) bool { return before[[2]string{a, b}] && !before[[2]string{b, a}] }
	reach := map[[2]string]bool{}
	linked := map[string]bool{}
	for p := range x.next {
		for _, l := range x.links {
			from, to := p, p
			if l.way == 1 {
				to = x.next[p]
			}
			if l.way == 2 {
				from = x.next[p]
			}
			if from < 0 || to < 0 {
				continue
			}
			a, b := name(from, l.from), name(to, l.to)
			if a != b && held[a] && held[b] && !known(b, a) {
				out.links[a+" "+b] = true
				reach[[2]string{a, b}], linked[a], linked[b] = true, true, true
			}
		}
	}
	all := slices.Sorted(maps.Keys(held))
	for _, k := range all {
		for _, i := range all {
			for _, j := range all {
				if reach[[2]string{i, k}] && reach[[2]string{k, j}] {
					reach[[2]string{i, j}] = true
				}
			}
		}
	}
	for _, f := range all {
		role := "root"
		if reach[[2]string{f, f}] {
			role = "circle"
		}
		for _, g := range all {
			if reach[[2]string{g, f}] && !reach[[2]string{f, g}] {
				role = "knock_on"
			}
		}
		if !linked[f] {
			role = "apart"
		}
		out.roles[f] = role
	}
	var covers []map[string]bool // by cause
	for range all {
		covers = append(covers, map[string]bool{})
	}
	want := map[string]bool{}
	for p := range x.next {
		for s, normal := range x.signs {
			sign := fmt.Sprintf("p%d.s%d", p, s)
			calls := normal && x.seen[[2]int{p, s}]
			for _, f := range stands[sign] {
				calls = calls || !causes[f]
			}
			if !calls {
				continue
			}
			out.by[sign] = map[string]bool{}
			for _, f := range stands[sign] {
				if causes[f] {
					out.by[sign][f] = true
				}
				for _, g := range all {
					if g != f && reach[[2]string{g, f}] {
						out.by[sign][g] = true
					}
				}
			}
			for i, f := range all {
				if causes[f] && out.by[sign][f] {
					covers[i][sign], want[sign] = true, true
				}
			}
		}
	}
	out.causesOf = len(want)
	out.fewest = len(all) + 1
	for set := range 1 << len(all) {
		have := map[string]bool{}
		n := 0
		for i := range all {
			if set>>i&1 == 1 {
				n++
				maps.Copy(have, covers[i])
			}
		}
		if len(have) == len(want) {
			out.fewest = min(out.fewest, n)
		}
	}
	return out
}
