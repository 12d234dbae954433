package engine_test

import (
	"fmt"
	"strings"
)

// somebody draws a name, or what a name refers to: text and kind. With elem, the
// element of an aggregate as well.
func (g *builder) somebody(elem string) (string, string) {
	if elem != "" && g.chance(0.8) {
		if elem == "bb" && g.chance(0.15) {
			return ".on_a", "aa"
		}
		return "", elem
	}
	n := g.names[g.int(0, len(g.names)-1)]
	if n.kind == "bb" && g.chance(0.3) {
		if g.chance(0.5) {
			return n.id + ".on_a", "aa"
		}
		return n.id + ".next", "bb"
	}
	return n.id, n.kind
}

// finds lists the findings of a kind that a condition may read here.
func (g *builder) finds(kind string, lower bool) []string {
	var out []string
	for _, f := range g.findings {
		if f.kind == kind && (f.level < g.level || !lower && f.level == g.level) {
			out = append(out, f.id)
		}
	}
	return out
}

// cond draws a condition. lower: it may read only what lies below the head,
// since it stands where strata are needed.
func (g *builder) cond(depth int, lower bool) string { return g.condOf(depth, lower, "") }

func (g *builder) condOf(depth int, lower bool, elem string) string {
	top := 6
	if depth > 0 {
		top = 12
	}
	switch g.int(0, top) {
	case 7:
		return "(" + g.condOf(depth-1, lower, elem) + g.pick([]string{" or ", " or ", " and "}) + g.condOf(depth-1, lower, elem) + ")"
	case 8:
		if g.shape.negations {
			return "not (" + g.condOf(depth-1, true, elem) + ")"
		}
	case 9, 10:
		if elem == "" {
			list, kind, self := g.listOf(true)
			p := g.condOfElement(depth-1, lower, kind)
			if self != "" && g.shape.itself && g.chance(0.2) {
				p += " and # != " + self
			}
			return "any(" + list + ", " + p + ")"
		}
	case 11, 12:
		if elem == "" && g.shape.negations {
			list, kind, _ := g.listOf(true)
			p := g.condOfElement(depth-1, true, kind)
			switch g.int(0, 3) {
			case 0:
				return "all(" + list + ", " + p + ")"
			case 1:
				return "none(" + list + ", " + p + ")"
			}
			return fmt.Sprintf("count(%s, %s) %s %d", list, p, g.pick([]string{">=", ">", "<", "<="}), g.int(1, 2))
		}
	}
	return g.leaf(lower, elem)
}

// condOfElement is a condition that speaks of the element.
func (g *builder) condOfElement(depth int, lower bool, kind string) string {
	for range 20 {
		if c := g.condOf(max(depth, 0), lower, kind); strings.HasPrefix(c, ".") || strings.Contains(c, " .") || strings.Contains(c, "(.") {
			return c
		}
	}
	return ".y0"
}

// listOf draws a list: its text, the kind of its elements, and a name of that
// kind, if there is one.
func (g *builder) listOf(filters bool) (list, kind, self string) {
	n := g.names[g.int(0, len(g.names)-1)]
	var lists [][2]string
	if n.kind == "aa" {
		lists = [][2]string{{n.id + ".near", "aa"}, {n.id + ".bs", "bb"}, {"others(" + n.id + ")", "aa"}}
	} else {
		lists = [][2]string{{n.id + ".before", "bb"}, {n.id + ".on_a.bs", "bb"}, {n.id + ".on_a.near", "aa"}, {"others(" + n.id + ")", "bb"}}
	}
	l := lists[g.int(0, len(lists)-1)]
	if n.kind == l[1] {
		self = n.id
	}
	if filters && g.chance(0.1) && g.shape.negations {
		if g.shape.clues { // how likely it is that a part is in a list is settled nowhere
			return "filter(" + l[0] + ", " + g.pick([]string{".y0", ".tint >= 'brown'", "not (.y1)"}) + ")", l[1], self
		}
		return "filter(" + l[0] + ", " + g.condOfElement(0, true, l[1]) + ")", l[1], self
	}
	return l[0], l[1], self
}

func (g *builder) leaf(lower bool, elem string) string {
	of, kind := g.somebody(elem)
	switch g.int(0, 9) {
	case 0, 1, 2:
		if fs := g.finds(kind, lower); len(fs) > 0 {
			return of + "." + g.pick(fs)
		}
	case 3, 4:
		if g.shape.negations && g.chance(0.2) {
			return of + ".tint == " + g.orElse(elem) + ".shade"
		}
		return of + "." + g.pick([]string{"tint", "shade"}) + g.pick([]string{" == 'blue'", " >= 'brown'", " <= 'straw'", " in ['none', 'brown']", " != 'straw'", " < 'blue'"})
	case 5:
		return of + g.pick([]string{".no == 2", ".no != 1", ".no < 3", ".no >= 2", ".no in [1, 3]"})
	case 6, 7:
		if g.shape.numbers && elem != "" {
			return of + "." + g.lengthOf(kind) + g.pick([]string{" > ", " >= ", " < ", " <= "}) + fmt.Sprintf("%d.%d*mm", g.int(0, 4), g.int(0, 9))
		}
		if g.shape.numbers {
			return g.number(1, false) + g.pick([]string{" > ", " >= ", " < ", " <= "}) + fmt.Sprintf("%d.%d*mm", g.int(0, 4), g.int(0, 9))
		}
	}
	return of + "." + g.pick([]string{"y0", "y1", "y2"})
}

func (g *builder) orElse(elem string) string {
	of, _ := g.somebody(elem)
	return of
}

// number draws an expression for a length. What it reads lies below the head.
func (g *builder) number(depth int, simple bool) string {
	if depth > 0 && !simple {
		switch g.int(0, 8) {
		case 0, 1:
			return g.number(0, false) + " - " + g.number(0, false)
		case 2:
			return g.number(0, false) + " + " + g.number(0, false)
		case 3:
			return "abs(" + g.number(0, false) + " - 2*mm)"
		case 4, 5:
			if g.shape.negations {
				list, kind, _ := g.listOf(true)
				return g.pick([]string{"sum", "min", "max", "mean", "median"}) + "(" + list + ", ." + g.lengthOf(kind) + ")"
			}
		case 6:
			return g.number(0, false) + " / " + g.pick([]string{"2", "4", "0.5"})
		}
	}
	of, kind := g.somebody("")
	return of + "." + g.lengthOf(kind)
}

func (g *builder) lengthOf(kind string) string {
	ids := []string{"size_a", "size_b"}
	for _, c := range g.computed {
		if c.kind == kind && c.level < g.level {
			ids = append(ids, c.id, c.id)
		}
	}
	return g.pick(ids)
}
