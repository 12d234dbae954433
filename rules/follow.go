package rules

import (
	"slices"
	"strings"

	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/condition"
)

// One slip gets one message: what stands here keeps what only follows from a
// fault that is told already from being told again.

// refuseSecond tells of kinds and properties that are declared twice and passes
// over one of the two. Files have no order, so the one in the smaller file is
// taken for the newcomer; in one file the later one is.
func (l *loader) refuseSecond() {
	type declaration struct{ node, id *written.Node }
	first := map[string]declaration{}
	see := func(what, of string, d declaration) {
		key := of + "." + d.id.Text
		old, twice := first[key]
		if !twice {
			first[key] = d
			return
		}
		if newcomer(old.id.At, d.id.At) {
			old, d = d, old
			first[key] = old
		}
		said := "two kinds have the id " + quoted(d.id.Text)
		if what != "kind" {
			said = of + " has two properties " + quoted(d.id.Text)
		}
		l.ps.Addf(TwoOfOneID, d.id.At, "%s", said).Beside(old.id.At, "the other one").
			Hint("take out one of them, or give it an id of its own")
		if l.refused == nil {
			l.refused = map[*written.Node]map[string]bool{}
		}
		if l.refused[d.node] == nil {
			l.refused[d.node] = map[string]bool{}
		}
		l.refused[d.node][of] = true
		l.doubt(d.node)
	}
	for _, table := range []string{"kind", "property", "finding", "computed"} {
		for _, n := range l.tables[table] {
			id := n.Get("id")
			if id == nil || id.Kind != written.String {
				continue
			}
			if table == "kind" {
				see(table, "", declaration{n, id})
				continue
			}
			of := n.Get("of")
			switch {
			case of == nil:
			case of.Kind == written.String:
				see(table, of.Text, declaration{n, id})
			default:
				for _, o := range of.Items {
					if o.Kind == written.String {
						see(table, o.Text, declaration{n, id})
					}
				}
			}
		}
	}
}

func quoted(s string) string { return `"` + s + `"` }

// newcomer tells whether of two places of one id, given in the order of files,
// the first is likelier the one that came later.
func newcomer(a, b source.Span) bool {
	return a.File != b.File && len(a.File.Data) < len(b.File.Data)
}

// refuses tells whether a declaration is passed over for a kind.
func (l *loader) refuses(n *written.Node, kind string) bool { return l.refused[n][kind] }

// doubt marks the property that a table declares as one at fault.
func (l *loader) doubt(n *written.Node) {
	if l.doubtful == nil {
		l.doubtful = map[string]bool{}
	}
	mark := func(id *written.Node) {
		if id == nil || id.Kind != written.String || id.Text == "" {
			return
		}
		l.doubtful[id.Text] = true
		for _, d := range Derivations {
			l.doubtful[id.Text+"_"+d.ID] = true
		}
	}
	if id := n.Get("id"); id != nil {
		mark(id)
	} else { // its key may be what is misspelt
		for _, e := range n.Entries {
			mark(e.Value)
		}
	}
	mark(n.Get("reverse"))
}

// mentionsDoubtful tells whether any text or key of a statement speaks of a
// property whose declaration is at fault.
func (l *loader) mentionsDoubtful(n *written.Node) bool {
	if len(l.doubtful) == 0 {
		return false
	}
	for _, e := range n.Entries {
		if l.speaksOfDoubtful(e.Name) || l.mentionsDoubtful(e.Value) {
			return true
		}
	}
	for _, item := range n.Items {
		if l.mentionsDoubtful(item) {
			return true
		}
	}
	return n.Kind == written.String && l.speaksOfDoubtful(n.Text)
}

func (l *loader) speaksOfDoubtful(text string) bool {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool {
		return r != '_' && (r < 'a' || r > 'z') && (r < '0' || r > '9')
	}) {
		if l.doubtful[word] {
			return true
		}
	}
	return false
}

// leavesDoubt tells whether a fault of a declaration leaves open what the
// property is: a statement that speaks of it cannot be judged.
func leavesDoubt(ps source.Problems) bool {
	return slices.ContainsFunc(ps, func(p *source.Problem) bool {
		switch p.Code {
		case BadPrior, BadMinutes, StageOrder, NotAChoiceHere:
			return false
		}
		return !p.Warning
	})
}

// keepOwn drops from the problems of a statement that speaks of a property at
// fault what only follows from that fault: that there is no such property, and
// what hangs on its type, choices and unit.
func (l *loader) keepOwn(ps source.Problems, before int) source.Problems {
	out := ps[:before]
	for _, p := range ps[before:] {
		switch p.Code {
		case condition.UnknownProperty:
			if l.doubtful[string(p.At.Text())] {
				continue
			}
		case condition.NotAChoice, condition.NotOrdered, condition.UnitMismatch, condition.WrongType, condition.NoEquality, condition.BadArguments,
			BadSum, NotConcluded:
			continue
		}
		out = append(out, p)
	}
	return out
}
