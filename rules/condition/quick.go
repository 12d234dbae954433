package condition

import (
	"math"
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser/lexer"
)

// quick makes expr's own tree from tokens that are cut already, for the forms
// that sound conditions have. It steps aside at anything else, and expr's
// parser, which cuts the text once more, then reads it and words the fault. A
// test holds the two to the same trees.
type quick struct {
	c     *checker
	at    int // token
	nodes int
	depth int // predicates
	aside bool
}

// quickTree gives nil where it steps aside.
func (c *checker) quickTree() ast.Node {
	q := quick{c: c}
	n := q.expression(0)
	if q.aside || q.at < len(c.toks) || q.nodes > MaxNodes {
		return nil
	}
	return n
}

func (q *quick) stepAside() ast.Node {
	q.aside = true
	return nil
}

func (q *quick) is(k lexer.Kind, v string) bool {
	return q.at < len(q.c.toks) && is(&q.c.toks[q.at], k, v)
}

// eat passes a token that must stand here.
func (q *quick) eat(k lexer.Kind, v string) bool {
	if !q.is(k, v) {
		q.aside = true
		return false
	}
	q.at++
	return true
}

func (q *quick) node(n ast.Node, at file.Location) ast.Node {
	q.nodes++
	n.SetLocation(at)
	return n
}

// precedence is that of expr's binary operators; 0 for what is none here.
func precedence(op string) int {
	switch op {
	case "or":
		return 10
	case "and":
		return 15
	case "==", "!=", "<", ">", ">=", "<=", "in":
		return 20
	case "+", "-":
		return 30
	case "*", "/":
		return 60
	}
	return 0
}

func ordering(op string) bool { return op == "<" || op == ">" || op == ">=" || op == "<=" }

func (q *quick) expression(least int) ast.Node {
	left := q.primary()
	for !q.aside && q.at < len(q.c.toks) && q.c.toks[q.at].Kind == lexer.Operator {
		op := &q.c.toks[q.at]
		if op.Value == "," {
			break
		}
		negate := op.Value == "not"
		if negate {
			if q.at+1 == len(q.c.toks) || !is(&q.c.toks[q.at+1], lexer.Operator, "in") {
				return q.stepAside()
			}
			op = &q.c.toks[q.at+1]
		}
		p := precedence(op.Value)
		if p == 0 {
			return q.stepAside()
		}
		if p < least {
			break
		}
		if q.at++; negate {
			q.at++
		}
		right := q.expression(p + 1)
		if q.aside {
			return nil
		}
		left = q.node(&ast.BinaryNode{Operator: op.Value, Left: left, Right: right}, op.Location)
		if negate {
			left = q.node(&ast.UnaryNode{Operator: "not", Node: left}, op.Location)
		}
		if ordering(op.Value) && q.at < len(q.c.toks) && ordering(q.c.toks[q.at].Value) && q.c.toks[q.at].Kind == lexer.Operator {
			return q.stepAside() // a chain: 1 < x < 3
		}
	}
	return left
}

func (q *quick) primary() ast.Node {
	if q.at == len(q.c.toks) {
		return q.stepAside()
	}
	t := &q.c.toks[q.at]
	q.at++
	switch {
	case is(t, lexer.Operator, "not"), is(t, lexer.Operator, "-"):
		strength := 50
		if t.Value == "-" {
			strength = 90
		}
		n := q.expression(strength)
		if q.aside {
			return nil
		}
		return q.postfix(q.node(&ast.UnaryNode{Operator: t.Value, Node: n}, t.Location))
	case is(t, lexer.Bracket, "("):
		n := q.expression(0)
		if q.aside || !q.eat(lexer.Bracket, ")") {
			return nil
		}
		return q.postfix(n)
	case q.depth > 0 && (is(t, lexer.Operator, "#") || is(t, lexer.Operator, ".")):
		if t.Value == "." {
			q.at-- // it begins the property
		} else if q.at < len(q.c.toks) && q.c.toks[q.at].Kind == lexer.Identifier {
			return q.stepAside()
		}
		return q.postfix(q.node(&ast.PointerNode{}, t.Location))
	case t.Kind == lexer.Identifier:
		switch t.Value {
		case "true", "false", "nil":
			return q.stepAside()
		}
		if q.is(lexer.Bracket, "(") {
			return q.call(t)
		}
		return q.postfix(q.node(&ast.IdentifierNode{Value: t.Value}, t.Location))
	case t.Kind == lexer.String:
		return q.postfix(q.node(&ast.StringNode{Value: t.Value}, t.Location))
	case t.Kind == lexer.Number:
		return q.number(t)
	case is(t, lexer.Bracket, "["):
		n := &ast.ArrayNode{Nodes: q.list("]")}
		if q.aside {
			return nil
		}
		return q.postfix(q.node(n, t.Location))
	}
	return q.stepAside()
}

func (q *quick) number(t *lexer.Token) ast.Node {
	if strings.Trim(t.Value, "0123456789.") != "" {
		return q.stepAside()
	}
	if strings.Contains(t.Value, ".") {
		x, err := strconv.ParseFloat(t.Value, 64)
		if err != nil || x > math.MaxFloat64 {
			return q.stepAside()
		}
		return q.node(&ast.FloatNode{Value: x}, t.Location)
	}
	x, err := strconv.Atoi(t.Value)
	if err != nil {
		return q.stepAside()
	}
	return q.node(&ast.IntegerNode{Value: x}, t.Location)
}

// list reads expressions up to a closing bracket, which it passes.
func (q *quick) list(end string) []ast.Node {
	nodes := make([]ast.Node, 0, 4)
	for !q.aside && !q.is(lexer.Bracket, end) {
		if len(nodes) > 0 && !q.eat(lexer.Operator, ",") {
			return nil
		}
		nodes = append(nodes, q.expression(0))
	}
	q.at++
	return nodes
}

// postfix reads .property after a value.
func (q *quick) postfix(n ast.Node) ast.Node {
	for q.is(lexer.Operator, ".") {
		if q.at+1 == len(q.c.toks) {
			return q.stepAside()
		}
		t := &q.c.toks[q.at+1]
		if t.Kind != lexer.Identifier && !(t.Kind == lexer.Operator && letter(t.Value[0])) {
			return q.stepAside()
		}
		q.at += 2
		id := q.node(&ast.StringNode{Value: t.Value}, t.Location)
		n = q.node(&ast.MemberNode{Node: n, Property: id}, t.Location)
		if q.is(lexer.Bracket, "(") {
			return q.stepAside()
		}
	}
	if q.is(lexer.Bracket, "[") {
		return q.stepAside()
	}
	return n
}

// call reads name(…), its name passed already.
func (q *quick) call(t *lexer.Token) ast.Node {
	name, place := t.Value, t.Location
	if isLent(name) { // the parser is shown sum
		name, place.To = "sum", place.From+len("sum")
	}
	q.at++
	switch name {
	case "all", "none", "any", "filter", "map", "count", "sum":
		return q.predicate(name, place)
	}
	if _, taken := builtin.Index[name]; taken || quickless(name) {
		return q.stepAside()
	}
	callee := q.node(&ast.IdentifierNode{Value: name}, place)
	n := &ast.CallNode{Callee: callee, Arguments: q.list(")")}
	if q.aside {
		return nil
	}
	return q.postfix(q.node(n, place))
}

// quickless are the other names whose arguments expr reads in its own way.
func quickless(name string) bool {
	switch name {
	case "one", "find", "findIndex", "findLast", "findLastIndex", "groupBy", "sortBy", "reduce":
		return true
	}
	return false
}

// predicate reads the list of an aggregate and what is asked of its elements.
func (q *quick) predicate(name string, place file.Location) ast.Node {
	args := make([]ast.Node, 0, 2)
	args = append(args, q.expression(0))
	if q.aside {
		return nil
	}
	if q.is(lexer.Operator, ",") {
		q.at++
		if q.at == len(q.c.toks) {
			return q.stepAside()
		}
		first := q.c.toks[q.at].Location
		if q.c.lentAt(q.at) {
			first.To = first.From + len("sum")
		}
		q.depth++
		body := q.expression(0)
		q.depth--
		if q.aside {
			return nil
		}
		args = append(args, q.node(&ast.PredicateNode{Node: body}, first))
	} else if name != "count" && name != "sum" {
		return q.stepAside()
	}
	if !q.eat(lexer.Bracket, ")") {
		return nil
	}
	return q.postfix(q.node(&ast.BuiltinNode{Name: name, Arguments: args}, place))
}
