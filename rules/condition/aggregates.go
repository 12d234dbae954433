package condition

import (
	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/parser/lexer"

	"whyworn/facts/handbook"
)

var aggregates = map[string]Op{
	"any": Any, "all": All, "none": None, "count": Count, "filter": Keep, "map": Map,
	"sum": Sum, "min": Min, "max": Max, "mean": Mean, "median": Median,
}

// builtin is what expr's grammar takes for a function of its own. The name is
// read off the tokens, since some are lent to the parser (see lend).
func (c *checker) builtin(n *ast.BuiltinNode) val {
	i := c.at(n)
	if i+1 >= len(c.toks) || !is(&c.toks[i+1], lexer.Bracket, "(") {
		return c.refused(n)
	}
	name, end := c.toks[i].Value, c.match[i+1]
	if op, ok := aggregates[name]; ok {
		return c.aggregate(op, name, n.Arguments, i, end)
	}
	if name == "abs" {
		return c.abs(n.Arguments, i, end)
	}
	if e, ok := handbook.Lookup(name); ok {
		return c.handbook(e, 0, n.Arguments, i, end)
	}
	return c.unknownFunction(name, n.Arguments, i, end)
}

func (c *checker) aggregate(op Op, name string, args []ast.Node, i, end int) val {
	out := val{a: i, b: end}
	numbers := op == Sum || op == Min || op == Max || op == Mean || op == Median || op == Map
	list := c.wide(c.walk(args[0]))
	if len(args) > 2 {
		c.addAt(BadArguments, i, end, "%s takes a list and one thing to ask of its elements", name).Hint("%s", usage(name))
		out.e = c.bad(out)
		return out
	}
	if numbers && len(args) == 1 {
		return c.overMap(op, name, list, out)
	}
	listed := c.isList(list, name)
	if len(args) == 1 { // count(list)
		out.whole = true
		out.e = c.expr(op, Type{K: KNum}, i, end, list.e)
		c.spoil(&out)
		return out
	}
	elem := Type{}
	if listed {
		elem = Type{K: KPart, Kind: list.e.Type.Kind}
	}
	v, used := c.predicate(args[1], elem)
	if !used && listed && v.e.Type.K != KBad {
		c.addf(NotAllowed, v, "%s asks nothing of the elements of %s", c.cut(v), c.cut(list)).
			Hint("begin a property of the element with a dot: %s(%s, .property); # is the element itself", name, c.cut(list))
		out.e = c.bad(out)
		return out
	}
	if numbers {
		c.over(&out, op, name, list, v)
		return out
	}
	pred := c.yesNo(v)
	t := Type{K: KBool}
	switch op {
	case Count:
		t, out.whole = Type{K: KNum}, true
	case Keep:
		t = list.e.Type
	}
	out.e = c.expr(op, t, i, end, list.e, pred)
	if !listed {
		out.e.Op, out.e.Type = Bad, Type{}
	}
	c.spoil(&out)
	return out
}

// isList demands a list of parts.
func (c *checker) isList(v val, name string) bool {
	switch v.e.Type.K {
	case KList:
		return true
	case KBad:
		return false
	}
	p := c.addf(WrongType, v, "%s is %s; %s runs over a list of parts", c.cut(v), v.what(), name)
	switch {
	case v.e.Type.K == KPart:
		p.Hint("a list is a property such as %s.works, others(%s), or filter(list, …)", c.cut(v), c.cut(v))
	case v.e.Type.K == KNum && (name == "max" || name == "min"):
		p.Hint("of two numbers write one condition for each")
	}
	return false
}

// predicate walks what is asked of each element; used tells whether it speaks
// of the element at all.
func (c *checker) predicate(n ast.Node, elem Type) (val, bool) {
	if p, ok := n.(*ast.PredicateNode); ok {
		n = p.Node
	}
	c.elems = append(c.elems, element{t: elem})
	v := c.wide(c.walk(n))
	used := c.elems[len(c.elems)-1].used
	c.elems = c.elems[:len(c.elems)-1]
	return v, used
}

// over is a number aggregate of the number v of the elements of list.
func (c *checker) over(out *val, op Op, name string, list, v val) {
	if !c.number(&v) || list.e.Type.K != KList {
		if v.e.Type.K == KPart || v.e.Type.K == KList || v.e.Type.K == KPick {
			c.ps[len(c.ps)-1].Hint("%s takes a number of each element: %s(%s, .number)", name, name, c.cut(list))
		}
		out.e = c.bad(*out)
		return
	}
	v = c.plain(v)
	if op == Sum && v.e.Type.Point {
		c.addf(UnitMismatch, v, "temperatures on a scale cannot be summed").Hint("take mean, min or max")
		out.e = c.bad(*out)
		return
	}
	out.in, out.mixed, out.whole = v.in, v.mixed, v.whole && op != Mean && op != Median
	t := v.e.Type
	if op == Map {
		t.K = KNumbers
	}
	out.e = c.expr(op, t, out.a, out.b, list.e, v.e)
}

// overMap is max(map(list, .number)) and the like, the same as max(list, .number).
func (c *checker) overMap(op Op, name string, v, out val) val {
	t := v.e.Type
	if t.K == KNumbers && op != Map {
		inner := val{e: v.e.Args[1], a: v.a, b: v.b, in: v.in, mixed: v.mixed, whole: v.whole}
		c.over(&out, op, name, val{e: v.e.Args[0], a: v.a, b: v.b}, inner)
		return out
	}
	switch t.K {
	case KBad:
	case KList:
		c.addAt(BadArguments, out.a, out.b, "say of what: %s(%s, .property)", name, c.cut(v))
	default:
		c.isList(v, name)
	}
	out.e = c.bad(out)
	return out
}
