package condition

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/parser/lexer"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/rules/vocab"
)

// Functions are the names of the functions of the condition language, those
// of the handbook left out.
var Functions = []string{"abs", "all", "angle_between", "any", "count", "filter", "least", "map", "max", "mean", "median", "min", "most", "new", "none", "others", "sum", "wanted"}

// callCures are functions people expect, and what is written here.
var callCures = map[string]string{
	"len": "write count(list)", "length": "write count(list)", "size": "write count(list)",
	"exists": "write any(list, .property)", "some": "write any(list, .property)", "one": "write count(list, .property) == 1",
	"avg": "write mean(list, .number)", "average": "write mean(list, .number)",
	"find": "write any(list, .property)", "not": "write not (…)", "maximum": "write max(list, .number)", "minimum": "write min(list, .number)",
	"select": "write filter(list, .property)", "where": "write filter(list, .property)",
}

// call is a call that expr does not know: others, the bounds and the
// handbook. of is the member read off its result, or nil.
func (c *checker) call(n *ast.CallNode, of *ast.MemberNode) val {
	i := c.at(n)
	callee, ok := n.Callee.(*ast.IdentifierNode)
	if !ok || i+1 >= len(c.toks) || !is(&c.toks[i+1], lexer.Bracket, "(") {
		return c.method(n, i)
	}
	name, end := callee.Value, c.match[i+1]
	var v val
	if e, ok := handbook.Lookup(name); ok && !slices.Contains(Functions, name) {
		if of != nil {
			return c.resultOf(e, n.Arguments, i, end, of)
		}
		return c.handbook(e, 0, n.Arguments, i, end)
	}
	switch name {
	case "others":
		v = c.others(n.Arguments, i, end)
	case "angle_between":
		v = c.between(n.Arguments, i, end)
	case "most":
		v = c.bound(vocab.Most, n.Arguments, i, end)
	case "least":
		v = c.bound(vocab.Least, n.Arguments, i, end)
	case "new":
		v = c.bound(vocab.New, n.Arguments, i, end)
	case "wanted":
		v = c.bound(vocab.Wanted, n.Arguments, i, end)
	default:
		v = c.unknownFunction(name, n.Arguments, i, end)
	}
	if of == nil {
		return v
	}
	j, v := c.at(of), c.wide(v)
	p, ok := c.property(v, c.toks[j].Value, j)
	if !ok {
		return c.badVal(v.a, j)
	}
	return c.read(v, p, v.a, j)
}

// method is a call of something that is no plain name.
func (c *checker) method(n *ast.CallNode, i int) val {
	end := i
	if i+1 < len(c.toks) && is(&c.toks[i+1], lexer.Bracket, "(") {
		end = c.match[i+1]
	}
	p := c.addAt(NotAllowed, i, end, "properties are not called")
	if m, ok := n.Callee.(*ast.MemberNode); ok {
		if id, ok := m.Node.(*ast.IdentifierNode); ok {
			if e, ok := handbook.Lookup(id.Value); ok {
				p.Hint("write the result behind the call: %s(…).%s", e.Name, c.toks[i].Value)
				return c.badVal(i, end)
			}
		}
		p.Hint("leave out the brackets: .%s", c.toks[i].Value)
	}
	return c.badVal(i, end)
}

func (c *checker) unknownFunction(name string, args []ast.Node, i, end int) val {
	p := c.addAt(UnknownFunction, i, i, "there is no function %q", clip(name))
	all := slices.Clone(Functions)
	for _, e := range handbook.All() {
		all = append(all, e.Name)
	}
	if cure := callCures[strings.ToLower(name)]; cure != "" {
		p.Hint("%s", cure)
	} else if u, err := measure.UnitOf(name); err == nil {
		p.Hint("a unit is joined by *: 0.05*%s", unitWord(u))
	} else {
		p.DidYouMean(name, all)
	}
	for _, a := range args {
		if _, ok := a.(*ast.PredicateNode); !ok {
			c.walk(a)
		}
	}
	return c.badVal(i, end)
}

func (c *checker) arguments(name string, args []ast.Node, i, end int, example string) bool {
	if len(args) == 1 {
		return true
	}
	c.addAt(BadArguments, i, end, "%s takes one argument, not %d", name, len(args)).Hint("write %s", example)
	return false
}

func (c *checker) abs(args []ast.Node, i, end int) val {
	out := val{a: i, b: end}
	if !c.arguments("abs", args, i, end, "abs(a.number - b.number)") {
		out.e = c.bad(out)
		return out
	}
	v := c.wide(c.walk(args[0]))
	if !c.number(&v) {
		out.e = c.bad(out)
		return out
	}
	if v.scale != nil {
		c.settleScale(&v, true)
	}
	if c.onScale(v) {
		out.e = c.bad(out)
		return out
	}
	out.in, out.mixed, out.whole = v.in, v.mixed, v.whole
	if v.e.Op == Const {
		out.e = c.expr(Const, v.e.Type, i, end)
		out.e.Num, out.e.Text = math.Abs(v.e.Num), strings.TrimPrefix(v.e.Text, "-")
		return out
	}
	out.e = c.expr(Abs, v.e.Type, i, end, v.e)
	return out
}

func (c *checker) others(args []ast.Node, i, end int) val {
	out := val{a: i, b: end}
	if !c.arguments("others", args, i, end, "others(name)") {
		out.e = c.bad(out)
		return out
	}
	v := c.wide(c.walk(args[0]))
	t := v.e.Type
	switch {
	case t.K == KBad:
	case t.K != KPart:
		c.addf(WrongType, v, "%s is %s; others takes a part and gives all other parts of its kind", c.cut(v), v.what())
	case t.Kind == nil:
		c.addf(WrongType, v, "%s may be a part of any kind; others needs to know which", c.cut(v))
	default:
		out.e = c.expr(Others, Type{K: KList, Kind: t.Kind}, i, end, v.e)
		return out
	}
	out.e = c.bad(out)
	return out
}

// bound is least(x.p), most(x.p), new(x.p), wanted(x.p): the generated
// property that bounds p, read off x. p itself is not read.
func (c *checker) bound(b vocab.Bound, args []ast.Node, i, end int) val {
	out := val{a: i, b: end}
	name := vocab.BoundNames[b]
	out.e = c.bad(out)
	if !c.arguments(name, args, i, end, name+"(name.property)") {
		return out
	}
	m, ok := args[0].(*ast.MemberNode)
	if ok {
		_, ok = m.Property.(*ast.StringNode)
	}
	if !ok || m.Optional {
		v := c.wide(c.walk(args[0]))
		if v.e.Type.K != KBad {
			c.addf(BadArguments, v, "%s takes a property, %s is none", name, c.cut(v)).Hint("write %s(name.property)", name)
		}
		return out
	}
	j := c.at(m)
	whose := c.wide(c.walk(m.Node))
	p, ok := c.property(whose, c.toks[j].Value, j)
	if !ok {
		return out
	}
	q := p.Kind.BoundOf(p, b)
	if q == nil {
		t := c.addAt(BadArguments, i, end, "%s has no %s: it is %s", p.Label(), name, p.Type)
		switch {
		case p.Type == vocab.Size:
			if of := derived(p); len(of) > 0 {
				t.Hint("write one of its numbers: %s", strings.Join(of, ", "))
			}
		case p.Type == vocab.Choice:
			t.Hint("what belongs at a place is wanted(%s)", c.runes(c.toks[whose.a].From, c.toks[j].To))
		case b == vocab.Wanted:
			t.Hint("limits are least and most, the size when new is new")
		}
		return out
	}
	v := c.read(whose, q, i, end)
	return v
}

// resultOf is fn(…).name: another result of a handbook function than its first.
func (c *checker) resultOf(e *handbook.Entry, args []ast.Node, i, end int, of *ast.MemberNode) val {
	j := c.at(of)
	id := c.toks[j].Value
	var names []string
	for k := range e.Results {
		if e.Results[k].Name == id {
			v := c.handbook(e, k, args, i, end)
			v = c.wide(v)
			v.b, v.e.To = j, c.off+c.toks[j].To
			v.e.From = c.off + c.toks[v.a].From
			return v
		}
		names = append(names, e.Results[k].Name)
	}
	c.addAt(BadArguments, j, j, "%s has no result %q", e.Name, clip(id)).DidYouMean(id, names).
		Hint("its results: %s", strings.Join(names, ", "))
	return c.badVal(i, j)
}

// handbook is a call of a published table or formula. Arguments are typed by
// its parameters; defaults are filled in.
func (c *checker) handbook(e *handbook.Entry, result int, args []ast.Node, i, end int) val {
	out := val{a: i, b: end}
	need := len(e.Params)
	for need > 0 && (e.Params[need-1].Default != nil || e.Params[need-1].DefaultText != "") {
		need--
	}
	if len(args) < need || len(args) > len(e.Params) {
		c.addAt(BadArguments, i, end, "%s takes %s, %d given", e.Name, counted(need, len(e.Params)), len(args)).Hint("write %s", e.Signature())
		for _, a := range args {
			c.walk(a)
		}
		out.e = c.bad(out)
		return out
	}
	list := make([]*Expr, 0, len(e.Params))
	for k := range e.Params {
		p := &e.Params[k]
		if k < len(args) {
			list = append(list, c.argument(e, p, c.wide(c.walk(args[k]))))
			continue
		}
		d := c.expr(Const, Type{K: KText}, end, end)
		d.To = d.From // it stands nowhere
		if p.Unit == "text" {
			d.Text = p.DefaultText
		} else {
			u := paramUnit(p)
			d.Type = Type{K: KNum, Dim: u.Dim, Point: u.Point}
			d.Num, d.Text = u.ToBase(*p.Default), strconv.FormatFloat(*p.Default, 'g', -1, 64)
		}
		list = append(list, d)
	}
	r := &e.Results[result]
	if r.List {
		c.addAt(BadArguments, i, end, "the result %s of %s is a list, which conditions do not take", r.Name, e.Name)
		out.e = c.bad(out)
		return out
	}
	p := resultProperty(e, result)
	t := Type{K: KPick, Prop: p}
	if p.Type == vocab.Number {
		t, out.in = numberType(p), p.Unit
	}
	out.e = c.expr(Call, t, i, end, list...)
	out.e.Fn, out.e.Result = e, result
	c.spoil(&out)
	return out
}

func counted(least, most int) string {
	if least == most {
		return strconv.Itoa(least) + " arguments"
	}
	return strconv.Itoa(least) + " to " + strconv.Itoa(most) + " arguments"
}

func paramUnit(p *handbook.Param) *measure.Unit {
	u, err := measure.UnitOf(p.Unit)
	if err != nil {
		u, _ = measure.UnitOf("")
	}
	return u
}

// argument types one argument of a handbook function.
func (c *checker) argument(e *handbook.Entry, p *handbook.Param, v val) *Expr {
	if v.e.Type.K == KBad {
		return v.e
	}
	switch {
	case p.Unit == "text":
		return c.wordArgument(e, p, v)
	case p.List:
		if v.e.Type.K != KNumbers {
			c.addf(BadArguments, v, "%s of %s takes a number of each element of a list", p.Name, e.Name).Hint("write map(list, .number)")
			return c.bad(v)
		}
	case !c.number(&v):
		return c.bad(v)
	}
	u := paramUnit(p)
	like := val{e: &Expr{Type: Type{K: KNum, Dim: u.Dim, Point: u.Point}}, in: u}
	if !c.meet(&v, &like, false) {
		return c.bad(v)
	}
	if v.e.Type.Dim != u.Dim || v.e.Type.Point != u.Point {
		c.addf(UnitMismatch, v, "%s of %s is %s, %s is %s", p.Name, e.Name, like.quantity(), c.cut(v), v.quantity())
		return c.bad(v)
	}
	if v.e.Op == Const {
		x := u.FromBase(v.e.Num)
		if x < p.Lo || x > p.Hi || p.LoOut && x == p.Lo || p.HiOut && x == p.Hi {
			c.addf(BadArguments, v, "%s of %s is never %s", p.Name, e.Name, c.cut(v)).Hint("it is %s", p.DomainText())
			return c.bad(v)
		}
	}
	return unbare(v.e)
}

// wordArgument is a quoted word, a choice some of whose words the function
// knows, or yes/no for a parameter that is no or yes.
func (c *checker) wordArgument(e *handbook.Entry, p *handbook.Param, v val) *Expr {
	t := v.e.Type
	switch {
	case v.word && p.Choices == nil:
		return v.e
	case v.word:
		for _, w := range p.Choices {
			if fold(w) == fold(v.e.Text) {
				v.e.Text = w
				return v.e
			}
		}
		c.addf(NotAChoice, v, "%s of %s is never %s", p.Name, e.Name, c.cut(v)).DidYouMean(v.e.Text, p.Choices).
			Hint("it is one of %s", some(p.Choices))
		return c.bad(v)
	case t.K == KPick:
		if p.Choices == nil {
			return v.e
		}
		for _, own := range t.Prop.Choices {
			for _, w := range p.Choices {
				if fold(w) == fold(own) {
					return v.e
				}
			}
		}
		c.addf(BadArguments, v, "no choice of %s is known to %s of %s", t.Prop.Label(), p.Name, e.Name).
			Hint("it is one of %s", some(p.Choices))
		return c.bad(v)
	case t.K == KBool && len(p.Choices) == 2 && p.Choices[0] == "no" && p.Choices[1] == "yes":
		return v.e
	}
	c.addf(BadArguments, v, "%s of %s takes a choice or a quoted word, %s is %s", p.Name, e.Name, c.cut(v), v.what())
	return c.bad(v)
}

// some lists words, the first dozen of many.
func some(words []string) string {
	if len(words) <= 14 {
		return strings.Join(words, ", ")
	}
	return strings.Join(words[:12], ", ") + fmt.Sprintf(" and %d more", len(words)-12)
}

// fold makes spellings equal that the handbook takes for equal.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '_', '-', '/', ',':
			return -1
		}
		return r
	}, strings.ToLower(s))
}

var resultProperties sync.Map // *handbook.Param → *vocab.Property

// resultProperty describes a result of a handbook function as if it were a
// property: its choices or its unit. It belongs to no kind of the vocabulary.
func resultProperty(e *handbook.Entry, result int) *vocab.Property {
	r := &e.Results[result]
	if p, ok := resultProperties.Load(r); ok {
		return p.(*vocab.Property)
	}
	p := &vocab.Property{Kind: &vocab.Kind{ID: e.Name, Name: e.Name}, ID: r.Name, Name: r.Means, Decimals: -1}
	if r.Unit == "text" {
		p.Type, p.Choices = vocab.Choice, r.Choices
	} else {
		p.Type, p.Unit = vocab.Number, paramUnit(r)
	}
	kept, _ := resultProperties.LoadOrStore(r, p)
	return kept.(*vocab.Property)
}
