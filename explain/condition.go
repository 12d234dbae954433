package explain

import (
	"strings"

	"whyworn/rules/condition"
)

// Condition shows a condition as the author wrote it, with the names of each
// replaced by the parts they are bound to: "seat_2ex.tint >= 'purple'".
func (c *Case) Condition(cond *condition.Condition, bound []int32) string {
	return c.expr(cond.Text, cond.Root, bound)
}

// expr replaces each name by the id of its part, from right to left so that
// offsets stay right.
func (c *Case) expr(text string, root *condition.Expr, bound []int32) string {
	r := []rune(text)
	var names []*condition.Expr
	var walk func(e *condition.Expr)
	walk = func(e *condition.Expr) {
		if e.Op == condition.Name {
			names = append(names, e)
		}
		for _, a := range e.Args {
			walk(a)
		}
	}
	walk(root)
	done := map[int]bool{}
	for len(names) > 0 {
		last := 0
		for i, n := range names {
			if n.From > names[last].From {
				last = i
			}
		}
		n := names[last]
		names = append(names[:last], names[last+1:]...)
		if done[n.From] || n.Var >= len(bound) || bound[n.Var] < 0 {
			continue
		}
		done[n.From] = true
		r = append(r[:n.From:n.From], append([]rune(c.Facts.Parts[bound[n.Var]].ID), r[n.To:]...)...)
	}
	return strings.Join(strings.Fields(string(r)), " ")
}
