package condition

import (
	"math"
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"

	"whyworn/facts/measure"
	"whyworn/rules/vocab"
)

func numberType(p *vocab.Property) Type {
	t := Type{K: KNum, Prop: p}
	if p.Unit != nil {
		t.Dim, t.Point = p.Unit.Dim, p.Unit.Point
	}
	return t
}

// quantity says what a number measures, for messages: "a length (mm)".
func (v *val) quantity() string {
	t := v.e.Type
	name := t.Dim.Name()
	if t.Dim == (measure.Dim{measure.Temperature: 1}) {
		name = "a difference of temperature"
		if t.Point {
			name = "a temperature"
		}
	}
	switch {
	case v.in != nil && v.in.Symbol != "1":
		return name + " (" + v.in.Symbol + ")"
	case t.Dim.IsZero():
		return name
	}
	return name + " (" + t.Dim.String() + ")"
}

func (c *checker) literal(n ast.Node) val {
	i := c.at(n)
	e := c.expr(Const, Type{K: KNum, Bare: true}, i, i)
	e.Text = c.toks[i].Value
	e.Num, _ = strconv.ParseFloat(e.Text, 64) // what does not parse, the scan has told
	if math.IsInf(e.Num, 0) {
		c.addAt(Syntax, i, i, "this number is too large")
		return c.badVal(i, i)
	}
	return val{e: e, a: i, b: i, whole: !strings.Contains(e.Text, ".")}
}

// unitName is a unit by itself: one of it.
func (c *checker) unitName(u *measure.Unit, i int) val {
	e := c.expr(Const, Type{K: KNum, Dim: u.Dim}, i, i)
	e.Num, e.Text = 1, "1 "+u.Symbol
	v := val{e: e, a: i, b: i, unit: true, in: u}
	if u.Point {
		v.scale = u
	} else {
		e.Num = u.ToBase(1)
	}
	return v
}

// number demands a number of a value; false if it is none, which is told
// unless it was before.
func (c *checker) number(v *val) bool {
	t := v.e.Type
	switch t.K {
	case KNum:
		return true
	case KBad:
		return false
	}
	p := c.addf(WrongType, *v, "%s is %s; a number is needed here", c.cut(*v), v.what())
	switch {
	case v.word:
		p.Hint("numbers are written without quotes, with the unit joined by *: 0.05*mm")
	case t.K == KList:
		p.Hint("take a number of it: count(%s), or max(%s, .number)", c.cut(*v), c.cut(*v))
	case t.K == KNumbers:
		p.Hint("take one number of it: max(%s), sum(%s)", c.cut(*v), c.cut(*v))
	}
	return false
}

// settleScale decides whether a literal in °C or °F is a difference or a
// point on the scale.
func (c *checker) settleScale(v *val, difference bool) {
	e := c.copy(v.e)
	if difference {
		e.Num = v.scale.DifferenceToBase(e.Num)
	} else {
		e.Num = v.scale.ToBase(e.Num)
	}
	e.Type.Point = !difference
	v.e, v.scale = e, nil
}

func (c *checker) copy(e *Expr) *Expr {
	n := c.expr(e.Op, e.Type, 0, 0)
	*n = *e
	return n
}

// meet lets each of two numbers take its unit from the other: a bare literal
// takes the other's unit; a literal in °C or °F is a point where the other is
// one. In sums literals are always differences. False if a unit is missing.
func (c *checker) meet(l, r *val, sum bool) bool {
	if l.scale != nil && r.scale != nil {
		c.settleScale(l, true)
		c.settleScale(r, true)
		return true
	}
	return c.take(l, r, sum) && c.take(r, l, sum)
}

func (c *checker) take(v, from *val, sum bool) bool {
	point := from.e.Type.Point && !sum
	if v.scale != nil {
		if from.e.Type.Bare {
			return true // the bare one takes the scale instead
		}
		c.settleScale(v, !point)
		return true
	}
	if !v.e.Type.Bare || from.e.Type.Bare {
		return true
	}
	u := from.in
	if u == nil && !(from.e.Type.Dim.IsZero() && !from.mixed) {
		if from.mixed {
			c.addf(UnitMismatch, *v, "%s has no unit, and %s is made of numbers in two units", c.cut(*v), c.cut(*from)).
				Hint("join the unit to it by *: %s*%s", v.e.Text, unitWord(measure.BaseUnit(from.e.Type.Dim)))
		} else {
			c.addf(UnitMismatch, *v, "%s has no unit; %s is %s", c.cut(*v), c.cut(*from), from.quantity()).
				Hint("join the unit to it by *: %s*%s", v.e.Text, unitWord(measure.BaseUnit(from.e.Type.Dim)))
		}
		return false
	}
	e := c.copy(v.e)
	e.Type.Bare, e.Type.Dim, e.Type.Prop = false, from.e.Type.Dim, from.e.Type.Prop
	switch {
	case u == nil:
	case u.Point && !point:
		e.Num = u.DifferenceToBase(e.Num)
	default:
		e.Num, e.Type.Point = u.ToBase(e.Num), point
	}
	v.e, v.in = e, u
	return true
}

// unitWord is a unit as conditions write it.
func unitWord(u *measure.Unit) string {
	switch u.Symbol {
	case "in":
		return "inch"
	case "°C":
		return "degC"
	case "°F":
		return "degF"
	}
	over, under, divided := strings.Cut(u.Symbol, "/")
	if !divided {
		return factors(over)
	}
	under = factors(strings.Trim(under, "()"))
	if strings.Contains(under, "*") {
		under = "(" + under + ")"
	}
	return factors(over) + "/" + under
}

// factors writes N·mm² as N*mm*mm.
func factors(symbol string) string {
	var list []string
	for _, f := range strings.Split(symbol, "·") {
		base := strings.TrimRight(f, "²³⁴")
		n := 1
		switch strings.TrimPrefix(f, base) {
		case "²":
			n = 2
		case "³":
			n = 3
		case "⁴":
			n = 4
		}
		for range n {
			list = append(list, strings.ReplaceAll(base, "°", "deg"))
		}
	}
	return strings.Join(list, "*")
}

func (c *checker) negate(v val, i int) val {
	out := val{a: min(i, v.a), b: v.b, in: v.in, mixed: v.mixed, scale: v.scale, whole: v.whole}
	if !c.number(&v) || c.onScale(v) {
		out.e = c.bad(out)
		return out
	}
	if v.e.Op == Const {
		out.e = c.expr(Const, v.e.Type, out.a, out.b)
		out.e.Num, out.e.Text = -v.e.Num, "-"+v.e.Text
		return out
	}
	out.e = c.expr(Neg, v.e.Type, out.a, out.b, v.e)
	return out
}

// onScale tells that a point on a scale cannot be reckoned with.
func (c *checker) onScale(v val) bool {
	if v.scale == nil && v.e.Type.Point {
		c.addf(UnitMismatch, v, "%s is a temperature on a scale, which is only compared, averaged or subtracted", c.cut(v)).
			Hint("take a difference of two temperatures")
		return true
	}
	return false
}

// arithmetic lowers l op r, op one of + - * /. Constants are folded.
func (c *checker) arithmetic(n *ast.BinaryNode, l, r val) val {
	out := val{a: l.a, b: r.b}
	okL, okR := c.number(&l), c.number(&r)
	if !okL || !okR {
		out.e = c.bad(out)
		return out
	}
	op := n.Operator
	ok := false
	if op == "+" || op == "-" {
		ok = c.sum(&out, op, l, r)
	} else {
		ok = c.product(&out, op, l, r)
	}
	if !ok {
		out.e = c.bad(out)
	}
	return out
}

func (c *checker) sum(out *val, op string, l, r val) bool {
	for _, v := range []*val{&l, &r} {
		if v.scale != nil {
			c.settleScale(v, true)
		}
	}
	if !c.meet(&l, &r, true) {
		return false
	}
	t, s := l.e.Type, r.e.Type
	if t.Dim != s.Dim {
		c.addf(UnitMismatch, *out, "%s is %s, %s is %s; they cannot be added or subtracted", c.cut(l), l.quantity(), c.cut(r), r.quantity())
		return false
	}
	switch {
	case t.Point && s.Point && op == "+":
		c.addf(UnitMismatch, *out, "two temperatures on a scale cannot be added").Hint("add a difference: %s + 20*K", c.cut(l))
		return false
	case !t.Point && s.Point && op == "-":
		c.addf(UnitMismatch, *out, "a temperature on a scale cannot be taken from a difference")
		return false
	}
	res := Type{K: KNum, Dim: t.Dim, Point: t.Point != s.Point, Prop: t.Prop, Bare: t.Bare && s.Bare}
	if res.Prop == nil {
		res.Prop = s.Prop
	}
	out.in, out.mixed, out.whole = l.in, l.mixed || r.mixed, l.whole && r.whole
	switch {
	case l.in == nil:
		out.in = r.in
	case r.in != nil && l.in != r.in:
		out.in, out.mixed = nil, true
	}
	if out.mixed {
		out.in = nil
	}
	if op == "+" {
		return c.fold(out, Add, res, l, r)
	}
	return c.fold(out, Sub, res, l, r)
}

func (c *checker) product(out *val, op string, l, r val) bool {
	if op == "*" {
		for _, pair := range [2][2]*val{{&l, &r}, {&r, &l}} {
			number, unit := pair[0], pair[1]
			if unit.unit && number.e.Op == Const && number.e.Type.Bare {
				c.quantityLiteral(out, number, unit)
				return true
			}
		}
	}
	for _, v := range []*val{&l, &r} {
		if v.scale != nil {
			c.settleScale(v, true)
		}
		if c.onScale(*v) {
			return false
		}
	}
	t, s := l.e.Type, r.e.Type
	res := Type{K: KNum, Bare: t.Bare && s.Bare}
	out.whole = op == "*" && l.whole && r.whole
	switch {
	case t.Dim.IsZero() && s.Dim.IsZero() && l.in != nil && r.in != nil: // % by %: a plain number
	case s.Dim.IsZero() && (l.in != nil || op == "/" || !t.Dim.IsZero()):
		res.Prop, out.in, out.mixed = t.Prop, l.in, l.mixed
	case op == "*" && t.Dim.IsZero():
		res.Prop, out.in, out.mixed = s.Prop, r.in, r.mixed
	}
	if op == "*" {
		res.Dim = t.Dim.Mul(s.Dim)
		return c.fold(out, Mul, res, l, r)
	}
	if r.e.Op == Const && r.e.Num == 0 {
		c.addf(Syntax, r, "nothing can be divided by zero")
		return false
	}
	res.Dim = t.Dim.Div(s.Dim)
	return c.fold(out, Div, res, l, r)
}

// quantityLiteral is 0.05*mm, converted by the unit's exact factor.
func (c *checker) quantityLiteral(out, number, unit *val) {
	u := unit.in
	out.e = c.expr(Const, Type{K: KNum, Dim: u.Dim}, out.a, out.b)
	out.e.Text = number.e.Text + " " + u.Symbol
	out.in = u
	if u.Point {
		out.scale, out.e.Num = u, number.e.Num
		return
	}
	out.e.Num = u.ToBase(number.e.Num)
}

// fold makes the node of l op r, or the constant it comes to.
func (c *checker) fold(out *val, op Op, t Type, l, r val) bool {
	if l.e.Op != Const || r.e.Op != Const {
		out.e = c.expr(op, plainArgs(t), out.a, out.b, unbare(l.e), unbare(r.e))
		return true
	}
	x := l.e.Num
	switch op {
	case Add:
		x += r.e.Num
	case Sub:
		x -= r.e.Num
	case Mul:
		x *= r.e.Num
	case Div:
		x /= r.e.Num
	}
	if math.IsInf(x, 0) || math.IsNaN(x) {
		c.addf(Syntax, *out, "this comes to no number")
		return false
	}
	out.e = c.expr(Const, t, out.a, out.b)
	out.e.Num, out.e.Text = x, c.runes(c.toks[out.a].From, c.toks[out.b].To)
	return true
}

func plainArgs(t Type) Type { t.Bare = false; return t }

// unbare marks a literal that met no unit as the plain number it is.
func unbare(e *Expr) *Expr { e.Type.Bare = false; return e }

var orderOps = map[string]Op{"<": Lt, "<=": Le, ">": Gt, ">=": Ge}

func (c *checker) twoNumbers(out, l val, op string, r val) *Expr {
	if l.e.Op == Const && r.e.Op == Const {
		c.addf(ReadsNothing, out, "two written numbers are compared, so the answer never changes").Hint("one side must be a property: name.property")
		return nil
	}
	if op == "==" || op == "!=" {
		if !l.whole || !r.whole {
			for _, v := range []val{l, r} {
				if v.e.Op == Const && v.e.Type.Bare && !v.whole && (l.whole || r.whole) {
					c.addf(NoEquality, v, "%s is not a whole number, so it is never equal to one", c.cut(v))
					return nil
				}
			}
			number := l
			if l.e.Op == Const || l.whole {
				number = r
			}
			c.addf(NoEquality, out, "%s is measured, and measured numbers are never exactly equal", c.cut(number)).
				Hint("write how near is near enough: abs(%s - %s) <= 0.01*mm, or a range", c.cut(l), c.cut(r))
			return nil
		}
		if !c.meet(&l, &r, false) {
			return nil
		}
		unbare(l.e)
		unbare(r.e)
		return c.same(out, l, op, r)
	}
	if !c.meet(&l, &r, false) {
		return nil
	}
	t, s := l.e.Type, r.e.Type
	if t.Dim != s.Dim || t.Point != s.Point {
		p := c.addf(UnitMismatch, out, "%s is %s, %s is %s; they cannot be compared", c.cut(l), l.quantity(), c.cut(r), r.quantity())
		if t.Dim == s.Dim {
			p.Hint("a temperature is written 80*degC, a difference of two 20*K")
		}
		return nil
	}
	return c.expr(orderOps[op], Type{K: KBool}, out.a, out.b, unbare(l.e), unbare(r.e))
}
