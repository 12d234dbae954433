package condition

import (
	"errors"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/parser/lexer"

	"whyworn/facts/measure"
	"whyworn/rules/vocab"
)

// walk types and lowers one node of expr's tree. What is not listed here is
// refused. The value's tokens leave out brackets round it: callers take them
// in by wide before they look at the place of a parent.
func (c *checker) walk(n ast.Node) val {
	switch n := n.(type) {
	case *ast.IdentifierNode:
		return c.identifier(n)
	case *ast.MemberNode:
		return c.member(n)
	case *ast.PointerNode:
		return c.pointer(n)
	case *ast.IntegerNode, *ast.FloatNode:
		return c.literal(n)
	case *ast.StringNode:
		i := c.at(n)
		e := c.expr(Const, Type{K: KText}, i, i)
		e.Text = n.Value
		return val{e: e, a: i, b: i, word: true}
	case *ast.UnaryNode:
		return c.unary(n)
	case *ast.BinaryNode:
		return c.binary(n)
	case *ast.BuiltinNode:
		return c.builtin(n)
	case *ast.CallNode:
		return c.call(n, nil)
	}
	return c.refused(n)
}

// refused is a node that packs do not have. The scan has told most of them.
func (c *checker) refused(n ast.Node) val {
	i := 0
	if n != nil {
		i = c.at(n)
	}
	if !c.scanned {
		p := c.addAt(NotAllowed, i, i, "this form is not written in conditions")
		if _, ok := n.(*ast.ArrayNode); ok {
			p.Message = "a list of words stands only after in"
			p.Hint("write x in ['a', 'b']")
		}
	}
	return c.badVal(i, i)
}

func (s *Scope) find(name string) int {
	for i := range s.Names {
		if s.Names[i].ID == name {
			return i
		}
	}
	return -1
}

func (s *Scope) ids() []string {
	var ids []string
	for i := range s.Names {
		ids = append(ids, s.Names[i].ID)
	}
	return ids
}

func (c *checker) identifier(n *ast.IdentifierNode) val {
	i := c.at(n)
	if v := c.scope.find(n.Value); v >= 0 {
		kind := c.scope.Names[v].Kind
		if kind == nil { // told where it was declared
			return c.silent(i, i)
		}
		e := c.expr(Name, Type{K: KPart, Kind: kind}, i, i)
		e.Var = v
		return val{e: e, a: i, b: i}
	}
	u, err := measure.UnitOf(n.Value)
	if err == nil {
		return c.unitName(u, i)
	}
	var te *measure.TextError
	switch {
	case i > 1 && c.toks[i-2].Kind == lexer.Number && (is(&c.toks[i-1], lexer.Operator, "*") || is(&c.toks[i-1], lexer.Operator, "/")) && errors.As(err, &te):
		p := c.addAt(UnknownName, i, i, "%q is no unit and no name of each", clip(n.Value))
		if te.Hint != "" {
			p.Hint("%s", te.Hint)
		} else if te.Nearest != "" {
			p.Hint("did you mean %q?", te.Nearest)
		}
	case strings.Contains(n.Value, "$") || n.Value == "null": // the scan told it
	default:
		c.unknownName(n.Value, i)
	}
	return c.badVal(i, i)
}

// silent is a bad value whose fault lies elsewhere and is told there.
func (c *checker) silent(a, b int) val {
	c.quiet = true
	return c.badVal(a, b)
}

func (c *checker) unknownName(name string, i int) {
	p := c.addAt(UnknownName, i, i, "%q is no name of each and no unit", clip(name))
	if strings.EqualFold(name, "and") || strings.EqualFold(name, "or") || strings.EqualFold(name, "not") || strings.EqualFold(name, "in") {
		c.ps = c.ps[:len(c.ps)-1] // the scan told it
		return
	}
	if len(c.elems) > 0 {
		if k := c.elems[len(c.elems)-1].t.Kind; k != nil && k.Property(name) != nil {
			p.Hint("for a property of the element write .%s", name)
			return
		}
	}
	for j := range c.scope.Names {
		if k := c.scope.Names[j].Kind; k != nil && k.Property(name) != nil {
			p.Hint("write whose property it is: %s.%s", c.scope.Names[j].ID, name)
			return
		}
		if k := c.scope.Names[j].Kind; k != nil {
			for _, q := range k.Properties {
				if q.Choice(name) >= 0 {
					p.Hint("quote the words of choices: '%s'", name)
					return
				}
			}
		}
	}
	p.DidYouMean(name, c.scope.ids())
	if len(p.Hints) == 0 && len(c.scope.Names) > 0 {
		p.Hint("bound here: %s", strings.Join(c.scope.ids(), ", "))
	}
}

func (c *checker) pointer(n *ast.PointerNode) val {
	i := c.at(n)
	if len(c.elems) == 0 || n.Name != "" {
		return c.refused(n)
	}
	top := &c.elems[len(c.elems)-1]
	top.used = true
	return val{e: c.expr(Elem, top.t, i, i), a: i, b: i}
}

func (c *checker) member(n *ast.MemberNode) val {
	s, ok := n.Property.(*ast.StringNode)
	i := c.at(n)
	if !ok || n.Optional || c.toks[i].Kind == lexer.Bracket {
		c.walk(n.Node)
		return c.refused(n)
	}
	if call, ok := n.Node.(*ast.CallNode); ok {
		return c.call(call, n)
	}
	whose := c.wide(c.walk(n.Node))
	p, ok := c.property(whose, s.Value, i)
	if !ok {
		return c.badVal(whose.a, i)
	}
	return c.read(whose, p, whose.a, i)
}

// read is the value of a property of a part.
func (c *checker) read(whose val, p *vocab.Property, a, b int) val {
	v := val{a: a, b: b}
	switch p.Type {
	case vocab.Number, vocab.Whole:
		v.in, v.whole = p.Unit, p.Type == vocab.Whole
	case vocab.Size:
		v.e = c.expr(Bad, Type{}, a, b)
		q := c.addAt(WrongType, b, b, "%s is a size of several readings", p.Label())
		if of := derived(p); len(of) > 0 {
			q.Hint("write one of its numbers: %s", strings.Join(of, ", "))
		}
		return v
	}
	v.e = c.expr(Prop, TypeOf(p), a, b, whose.e)
	v.e.Prop = p
	return v
}

// property finds the property id, written at token i, of a part.
func (c *checker) property(whose val, id string, i int) (*vocab.Property, bool) {
	t := whose.e.Type
	switch {
	case t.K == KBad:
		return nil, false
	case t.K == KPart && t.Kind == nil:
		whom := c.cut(whose)
		if whom == "." {
			whom = "the element"
		}
		c.addAt(WrongType, i, i, "%s may be a part of any kind, so that its properties are not known", whom).
			Hint("only == and in can be asked of it")
		return nil, false
	case t.K == KPart:
		if p := t.Kind.Property(id); p != nil {
			return p, true
		}
		c.unknownProperty(t.Kind, id, i)
		return nil, false
	case t.K == KList:
		p := c.addf(WrongType, whose, "%s is a list; it has no properties of its own", c.cut(whose))
		k := t.Kind
		switch {
		case k != nil && k.Property(id) != nil && k.Property(id).Type == vocab.YesNo:
			p.Hint("write any(%s, .%s)", c.cut(whose), id)
		case k != nil && k.Property(id) != nil && (k.Property(id).Type == vocab.Number || k.Property(id).Type == vocab.Whole):
			p.Hint("write max(%s, .%s) or the like", c.cut(whose), id)
		default:
			p.Hint("write any(%s, .%s …)", c.cut(whose), id)
		}
		return nil, false
	}
	c.addAt(WrongType, i, i, "%s is %s and has no properties", c.cut(whose), whose.what())
	return nil, false
}

func (c *checker) unknownProperty(k *vocab.Kind, id string, i int) {
	p := c.addAt(UnknownProperty, i, i, "a %s has no property %q", k.ID, clip(id))
	p.DidYouMean(id, ids(k))
	if len(p.Hints) > 0 {
		return
	}
	for _, list := range k.Properties { // perhaps that of the parts that refer to it
		if list.Type == vocab.Parts && list.OneWay && list.To != nil && list.To.ID != "work" && list.To.Property(id) != nil {
			p.Hint("a %s has one: write any(….%s, .%s …)", list.To.ID, list.ID, id)
			return
		}
	}
	for _, ref := range k.Properties { // perhaps that of a part it refers to
		if ref.Type == vocab.Part && ref.To != nil && ref.To.Property(id) != nil {
			p.Hint("a %s has one: write .%s.%s", ref.To.ID, ref.ID, id)
			return
		}
	}
	var having []string
	for _, other := range c.scope.Vocabulary.Kinds {
		if q := other.Property(id); q != nil && other != k {
			having = append(having, other.ID)
		}
	}
	if len(having) > 0 && len(having) <= 4 {
		p.Hint("%s is a property of %s: bind such a part in each", id, strings.Join(having, ", "))
	}
}

// what names the type of a value, with its article.
func (v *val) what() string {
	if v.word {
		return "a quoted word"
	}
	t := &v.e.Type
	switch t.K {
	case KBool:
		return "yes/no"
	case KNum:
		return "a number"
	case KPick:
		return "a choice"
	case KPart:
		if t.Kind == nil {
			return "a part"
		}
		return "a part (" + t.Kind.ID + ")"
	case KList:
		return "a list of parts"
	case KText:
		return "text"
	case KNumbers:
		return "a list of numbers"
	}
	return "not readable"
}

// yesNo demands yes/no of a value and gives its tree.
func (c *checker) yesNo(v val) *Expr {
	t := v.e.Type
	if t.K == KBool || t.K == KBad {
		return v.e
	}
	p := c.addf(WrongType, v, "%s is %s; yes/no is needed here", c.cut(v), v.what())
	switch {
	case v.word:
		p.Hint("compare something with it: name.property == %s", c.cut(v))
	case t.K == KPick && len(t.Prop.Choices) > 0:
		p.Hint("compare it: %s == '%s'", c.cut(v), t.Prop.Choices[0])
	case t.K == KNum && v.in != nil && v.in.Symbol != "1":
		p.Hint("compare it: %s > 1 (in %s)", c.cut(v), v.in.Symbol)
	case t.K == KNum:
		p.Hint("compare it: %s > 1", c.cut(v))
	case t.K == KList:
		p.Hint("say what must hold of its elements: any(%s, .property)", c.cut(v))
	case t.K == KPart:
		p.Hint("name one of its properties: %s.%s", c.cut(v), example(t.Kind))
	case t.K == KText:
		p.Hint("text is only shown: {%s} in a because", c.cut(v))
	}
	return c.bad(v)
}

func (c *checker) unary(n *ast.UnaryNode) val {
	i := c.at(n)
	switch n.Operator {
	case "not", "!":
		if c.toks[i].Value == "in" { // x not in y: both nodes stand at the word in
			if in, ok := n.Node.(*ast.BinaryNode); ok {
				return c.in(in, true)
			}
			return c.refused(n)
		}
		v := c.wide(c.walk(n.Node))
		out := val{a: min(i, v.a), b: v.b}
		out.e = c.expr(Not, Type{K: KBool}, out.a, out.b, c.yesNo(v))
		c.spoil(&out)
		return out
	case "-":
		v := c.wide(c.walk(n.Node))
		return c.negate(v, i)
	case "+":
		v := c.wide(c.walk(n.Node))
		c.addAt(NotAllowed, i, i, "a + before a number means nothing").Hint("leave it out")
		return c.badVal(min(i, v.a), v.b)
	}
	c.walk(n.Node)
	return c.refused(n)
}

// spoil makes a node bad if one of its arguments is.
func (c *checker) spoil(v *val) {
	for _, a := range v.e.Args {
		if a.Type.K == KBad {
			v.e.Op, v.e.Type = Bad, Type{}
			return
		}
	}
}

func (c *checker) binary(n *ast.BinaryNode) val {
	switch n.Operator {
	case "and", "&&", "or", "||":
		if c.isComparison(c.at(n)) {
			return c.chain(n)
		}
		return c.logic(n)
	case "<", "<=", ">", ">=", "==", "!=":
		return c.compare(n, c.wide(c.walk(n.Left)), c.wide(c.walk(n.Right)))
	case "in":
		return c.in(n, false)
	case "+", "-", "*", "/":
		return c.arithmetic(n, c.wide(c.walk(n.Left)), c.wide(c.walk(n.Right)))
	}
	return c.refused(n)
}

// isComparison tells a chain 1 < x < 3, which expr turns into an && located
// at its second comparison, from an author's own and.
func (c *checker) isComparison(i int) bool {
	switch c.toks[i].Value {
	case "<", "<=", ">", ">=":
		return c.toks[i].Kind == lexer.Operator
	}
	return false
}

func (c *checker) logic(n *ast.BinaryNode) val {
	op := And
	if n.Operator == "or" || n.Operator == "||" {
		op = Or
	}
	l, r := c.wide(c.walk(n.Left)), c.wide(c.walk(n.Right))
	out := val{a: l.a, b: r.b}
	left, right := c.yesNo(l), c.yesNo(r)
	args := make([]*Expr, 0, 2)
	if left.Op == op { // ours alone, so it may grow
		args = left.Args
	} else {
		args = append(args, left)
	}
	if right.Op == op {
		args = append(args, right.Args...)
	} else {
		args = append(args, right)
	}
	out.e = c.expr(op, Type{K: KBool}, out.a, out.b, args...)
	c.spoil(&out)
	return out
}

// chain is 1 < x < 3: every two neighbours compared, all must hold. The
// middle values are walked once and stand in both comparisons.
func (c *checker) chain(n *ast.BinaryNode) val {
	var parts []*ast.BinaryNode
	var node ast.Node = n
	for {
		b, ok := node.(*ast.BinaryNode)
		if !ok {
			return c.refused(n)
		}
		if b.Operator != "&&" {
			parts = append(parts, b)
			break
		}
		right, ok := b.Right.(*ast.BinaryNode)
		if !ok {
			return c.refused(n)
		}
		parts = append(parts, right)
		node = b.Left
	}
	left := c.wide(c.walk(parts[len(parts)-1].Left))
	out := val{a: left.a}
	var args []*Expr
	for i := len(parts) - 1; i >= 0; i-- {
		right := c.wide(c.walk(parts[i].Right))
		args = append(args, c.compare(parts[i], left, right).e)
		left, out.b = right, right.b
	}
	out.e = c.expr(And, Type{K: KBool}, out.a, out.b, args...)
	c.spoil(&out)
	return out
}
