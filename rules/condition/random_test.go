package condition_test

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"
)

// writer writes random well-typed conditions twice: as an author of a pack
// writes them, and as expr's own machine runs them (choices as ranks, parts by
// their id, aggregates over map).
type writer struct {
	t     *rapid.T
	depth int
	elem  []string // kinds of the elements of the predicates round it
}

type both struct{ ours, vm string }

func (w *writer) n(most int) int { return rapid.IntRange(0, most-1).Draw(w.t, "n") }

func (w *writer) pick(s ...string) string { return s[w.n(len(s))] }

// gap is blanks where blanks may be.
func (w *writer) gap() string { return w.pick("", " ", " ", "  ", "\t") }

// group puts brackets round a text, sometimes several.
func (w *writer) group(b both) both {
	for range []int{0, 0, 1, 2}[w.n(4)] {
		g := w.gap()
		b = both{"(" + g + b.ours + ")", "(" + b.vm + ")"}
	}
	return b
}

// part is a part of the kind.
func (w *writer) part(kind string) both {
	if n := len(w.elem); n > 0 && w.elem[n-1] == kind && w.n(3) > 0 {
		return both{"#", "#"}
	}
	name := map[string]string{"shaft_seat": "seat", "rocker_arm": "arm", "rocker_shaft": "shaft"}[kind]
	switch {
	case kind == "shaft_seat" && w.n(3) == 0:
		return both{"other", "other"}
	case kind == "shaft_seat" && w.n(4) == 0:
		return w.member(w.part("rocker_arm"), "seat")
	case kind == "shaft_seat" && w.n(4) == 0:
		return w.member(w.part("shaft_seat"), "next")
	case kind == "rocker_shaft" && w.n(2) == 0:
		return w.member(w.part("shaft_seat"), "shaft")
	}
	return both{name, name}
}

func (w *writer) member(of both, id string) both {
	if of.ours == "#" {
		return both{"." + id, "." + id}
	}
	return both{of.ours + "." + id, of.vm + "." + id}
}

// list is a list of parts and their kind.
func (w *writer) list() (both, string) {
	var l both
	kind := "shaft_seat"
	switch w.n(4) {
	case 0:
		l, kind = w.member(w.part("shaft_seat"), "arms"), "rocker_arm"
	case 1:
		p := w.part("shaft_seat")
		l = both{"others(" + p.ours + ")", "others(" + p.vm + ")"}
	default:
		l = w.member(w.part("rocker_shaft"), "seats")
	}
	return l, kind
}

func (w *writer) number() both {
	w.depth--
	defer func() { w.depth++ }()
	top := 4
	if w.depth > 0 {
		top = 9
	}
	switch w.n(top) {
	case 0:
		return w.member(w.part("rocker_arm"), "bore_largest")
	case 1, 2:
		return w.member(w.part("shaft_seat"), "wear")
	case 3:
		p := w.part("shaft_seat")
		m := w.member(p, "wear")
		bound := w.pick("most", "least", "new")
		return both{bound + "(" + m.ours + ")", p.vm + `["` + bound + `(wear)"]`}
	case 4:
		l, r := w.number(), w.quantity()
		op, g := w.pick("+", "-"), w.gap()
		b := both{l.ours + g + op + g + r.ours, l.vm + op + r.vm}
		return w.group(both{"(" + b.ours + ")", "(" + b.vm + ")"})
	case 5:
		l := w.number()
		op, f := w.pick("*", "/"), w.pick("2", "0.5", "3")
		return both{l.ours + op + f, l.vm + op + f}
	case 6:
		b := w.number()
		return both{"abs(" + b.ours + ")", "abs(" + b.vm + ")"}
	case 7:
		b := w.group(w.number())
		return both{"-" + b.ours, "-" + b.vm}
	}
	l, kind := w.list()
	w.elem = append(w.elem, kind)
	id := map[string]string{"shaft_seat": "wear", "rocker_arm": "bore_largest"}[kind]
	m := w.member(both{"#", "#"}, id)
	w.elem = w.elem[:len(w.elem)-1]
	fn := w.pick("max", "min", "mean", "median", "sum")
	vm := fn + "(map(" + l.vm + ", " + m.vm + "))"
	if w.n(3) == 0 {
		return both{fn + "(map(" + l.ours + ", " + m.ours + "))", vm}
	}
	return both{fn + w.gap() + "(" + l.ours + "," + w.gap() + m.ours + ")", vm}
}

// quantity is a number, or a literal that meets one.
func (w *writer) quantity() both {
	lit := fmt.Sprintf("%d.%03d", w.n(3), w.n(1000))
	switch w.n(4) {
	case 0:
		return both{lit, lit}
	case 1:
		return both{lit + w.gap() + "*" + "mm", lit}
	}
	return w.number()
}

func (w *writer) predicate(kind string) both {
	w.elem = append(w.elem, kind)
	defer func() { w.elem = w.elem[:len(w.elem)-1] }()
	own := map[string][]string{"shaft_seat": {"rust", "overheated", "in"}, "rocker_arm": {"worn"}}[kind]
	b := w.member(both{"#", "#"}, own[w.n(len(own))])
	if w.n(2) == 0 {
		op, r := w.pick(" and ", " or "), w.group(w.yesNo())
		return both{b.ours + op + r.ours, b.vm + op + r.vm}
	}
	return b
}

var tints = []string{"none", "straw", "brown", "purple", "blue", "grey"}

func (w *writer) yesNo() both {
	w.depth--
	defer func() { w.depth++ }()
	top := 7
	if w.depth > 0 {
		top = 14
	}
	g := w.gap()
	switch w.n(top) {
	case 0:
		return w.member(w.part("shaft_seat"), w.pick("rust", "overheated", "in"))
	case 1:
		return w.member(w.part("rocker_shaft"), "oil_starved")
	case 2: // ordered, never always true or false
		p, op, rank := w.member(w.part("shaft_seat"), "tint"), w.pick("<", "<=", ">", ">="), 1+w.n(4)
		if w.n(3) == 0 {
			return both{"'" + tints[rank] + "'" + g + op + g + p.ours, fmt.Sprint(rank) + op + p.vm}
		}
		return both{p.ours + g + op + g + "'" + tints[rank] + "'", p.vm + op + fmt.Sprint(rank)}
	case 3:
		p, op, rank := w.member(w.part("shaft_seat"), "tint"), w.pick("==", "!="), w.n(6)
		return both{p.ours + op + `"` + tints[rank] + `"`, p.vm + op + fmt.Sprint(rank)}
	case 4:
		p, op, rank := w.member(w.part("shaft_seat"), "tint"), w.pick(" in ", " not in "), w.n(5)
		return both{p.ours + op + "['" + tints[rank] + "','" + tints[rank+1] + "']", p.vm + op + fmt.Sprintf("[%d, %d]", rank, rank+1)}
	case 5:
		kind := w.pick("shaft_seat", "rocker_shaft")
		l, r, op := w.part(kind), w.part(kind), w.pick("==", "!=")
		return both{l.ours + g + op + g + r.ours, w.member(l, "id").vm + op + w.member(r, "id").vm}
	case 6:
		l, r := w.member(w.part("shaft_seat"), "number"), w.member(w.part("rocker_arm"), "number")
		op := w.pick("==", "!=")
		return both{l.ours + op + r.ours, l.vm + op + r.vm}
	case 7, 8:
		l, r, op := w.group(w.yesNo()), w.group(w.yesNo()), w.pick(" and ", " or ")
		return both{l.ours + op + r.ours, l.vm + op + r.vm}
	case 9:
		b := w.yesNo()
		return both{"not" + w.gap() + "(" + b.ours + ")", "not (" + b.vm + ")"}
	case 10:
		l, r, op := w.group(w.number()), w.group(w.quantity()), w.pick("<", "<=", ">", ">=")
		if w.n(2) == 0 {
			r = w.group(w.number()) // each comparison must read something
			m, op2 := w.group(w.quantity()), w.pick("<", "<=", ">", ">=")
			return both{l.ours + op + r.ours + op2 + m.ours, l.vm + op + r.vm + op2 + m.vm}
		}
		return both{l.ours + g + op + g + r.ours, l.vm + op + r.vm}
	case 11:
		l, kind := w.list()
		p := w.predicate(kind)
		if w.n(3) == 0 {
			q := w.predicate(kind)
			l = both{"filter(" + l.ours + ", " + q.ours + ")", "filter(" + l.vm + ", " + q.vm + ")"}
		}
		return both{"count(" + l.ours + "," + g + p.ours + ") >= 2", "count(" + l.vm + ", " + p.vm + ") >= 2"}
	case 12:
		l := w.part("shaft_seat")
		s := w.member(w.part("rocker_shaft"), "seats")
		op := w.pick(" in ", " not in ")
		return both{l.ours + op + s.ours, w.member(l, "id").vm + op + "map(" + s.vm + ", #.id)"}
	}
	l, kind := w.list()
	p, fn := w.predicate(kind), w.pick("any", "all", "none")
	return both{fn + "(" + l.ours + "," + g + p.ours + ")", fn + "(" + l.vm + ", " + p.vm + ")"}
}

func write(t *rapid.T) both {
	w := writer{t: t, depth: 4}
	b := w.yesNo()
	b.ours = strings.TrimSpace(b.ours)
	return b
}
