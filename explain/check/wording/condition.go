package wording

import (
	"math"

	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// tell is what a condition tells of itself, what it reads aside.
func (c Place) tell(k *condition.Condition) said.Cond {
	out := said.Cond{Text: k.Text, Here: c.here(k, k.Root), Plain: c.Plain(k.Root)}
	if k.Root.Type.K == condition.KBool {
		out.State = c.Truth(k.Root).String()
	} else {
		out.Value = c.valueOf(k.Root)
	}
	t := c.Trace(k.Root)
	out.AndMore = t.More
	for i := range t.Compared {
		out.Compared = append(out.Compared, c.told(&t.Compared[i], k))
	}
	return out
}

// told tells one comparison of numbers; c is where its condition is read.
func (c Place) told(k *anew.Comparison, root *condition.Condition) said.Compared {
	e := k.Expr
	c = Place{k.At}
	l, r := e.Args[0], e.Args[1]
	prop := l.Type.Prop
	if prop == nil {
		prop = r.Type.Prop
	}
	out := c.Compare(e)
	x, known := c.Number(l)
	y, alike := c.Number(r)
	side := func(n measure.Number, known bool, t condition.Type) string {
		if t.Prop == nil {
			t.Prop = prop
		}
		if !known {
			return NotKnown
		}
		words := numberWords(n, t)
		if t.Prop != nil {
			words += plus(Words{c.World}.quantity(n, t.Prop))
		}
		return words
	}
	measured := false
	c.Visit(e, func(f anew.Fact) {
		if f.Prop.Type == vocab.Number && f.Prop.Role != vocab.Declared {
			_, ok := c.NumberOf(f)
			measured = measured || ok
		}
	})
	told := said.Compared{
		Here: c.here(root, e), Op: map[condition.Op]string{condition.Lt: "<", condition.Le: "<=", condition.Gt: ">", condition.Ge: ">="}[e.Op],
		Left: side(x, known, l.Type), Right: side(y, alike, r.Type), State: out.State.String(), Decides: k.Decides,
		NoU: out.State != truth.Unknown && !out.Given && measured,
	}
	if out.U > 0 {
		told.U, told.K = out.U, c.Facts.K
		if known && alike && x.IsValue() && y.IsValue() {
			// The probability that the true values compare so (JCGM 106:2012, 7.2).
			z := (x.Lo - y.Lo) / out.U
			if e.Op == condition.Lt || e.Op == condition.Le {
				z = -z
			}
			p := math.Erfc(-z/math.Sqrt2) / 2
			told.Holds = &p
		}
	}
	if out.Needed > 0 {
		unit := measure.Display(l.Type.Dim, false)
		if prop != nil {
			unit = prop.Unit
		}
		told.NeededU = out.Needed
		told.Needed = measure.FormatDifference(twoDigits(out.Needed, -1), unit, measure.Shortest)
	}
	return told
}
