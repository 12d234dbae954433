package condition

import (
	"github.com/expr-lang/expr/ast"

	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/rules/vocab"
)

var degree, _ = measure.UnitOf("deg")

// between is angle_between(a, b). A worn side found by diameters repeats after
// half a turn: across an axis nobody can tell one end from the other, so the
// circle is then 180°, else 360°.
func (c *checker) between(args []ast.Node, i, end int) val {
	out := val{a: i, b: end, in: degree}
	if len(args) != 2 {
		c.addAt(BadArguments, i, end, "angle_between takes two arguments, not %d", len(args)).
			Hint("write angle_between(seat.diameter_worn_side, 0*deg)")
		for _, a := range args {
			c.walk(a)
		}
		out.e = c.bad(out)
		return out
	}
	l, r := c.wide(c.walk(args[0])), c.wide(c.walk(args[1]))
	left, right := c.angle(l), c.angle(r)
	out.e = c.expr(Apart, Type{K: KNum, Dim: degree.Dim}, i, end, left, right)
	out.e.Num = min(turn(left), turn(right))
	c.spoil(&out)
	return out
}

// angle demands an angle; a bare number is one in degrees.
func (c *checker) angle(v val) *Expr {
	if !c.number(&v) {
		return c.bad(v)
	}
	like := val{e: &Expr{Type: Type{K: KNum, Dim: degree.Dim}}, in: degree}
	if !c.meet(&v, &like, false) {
		return c.bad(v)
	}
	if v.e.Type.Dim != degree.Dim {
		c.addf(UnitMismatch, v, "angle_between takes angles, %s is %s", c.cut(v), v.quantity())
		return c.bad(v)
	}
	return unbare(v.e)
}

// turn is the least turn, in degrees, after which an angle that e reads repeats.
func turn(e *Expr) float64 {
	least := 360.0
	if p := e.Prop; e.Op == Prop && p.Role == vocab.Derived && p.Of != nil && len(p.Of.Layout.Across) > 0 {
		least = gauge.Turn(p.Of.Layout.Across)
	}
	for _, a := range e.Args {
		least = min(least, turn(a))
	}
	return least
}
