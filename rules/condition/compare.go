package condition

import (
	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/parser/lexer"

	"whyworn/rules/vocab"
)

// compare lowers l op r, n being its node.
func (c *checker) compare(n *ast.BinaryNode, l, r val) val {
	out := val{a: l.a, b: r.b}
	op := n.Operator
	equality := op == "==" || op == "!="
	if c.notBefore(n, l, r) || l.e.Type.K == KBad || r.e.Type.K == KBad {
		out.e = c.bad(out)
		return out
	}
	lk, rk := l.e.Type.K, r.e.Type.K
	switch {
	case lk == KBool || rk == KBool:
		c.comparedYesNo(out, l, r)
	case l.word && r.word:
		c.addf(ReadsNothing, out, "two quoted words are compared, so the answer never changes").Hint("one side must be a property: name.property")
	case lk == KPick && r.word:
		if e := c.withWord(out, l, op, r); e != nil {
			out.e = e
			return out
		}
	case l.word && rk == KPick:
		if e := c.withWord(out, r, mirrored(op), l); e != nil {
			out.e = e
			return out
		}
	case lk == KPick && rk == KPick:
		if e := c.twoPicks(out, l, op, r); e != nil {
			out.e = e
			return out
		}
	case lk == KNum && rk == KNum:
		if e := c.twoNumbers(out, l, op, r); e != nil {
			out.e = e
			return out
		}
	case lk == KPart && rk == KPart:
		if e := c.twoParts(out, l, op, r); e != nil {
			out.e = e
			return out
		}
	case lk == KList || rk == KList:
		list, other := l, r
		if rk == KList {
			list, other = r, l
		}
		p := c.addf(WrongType, list, "%s is a list; lists are not compared", c.cut(list))
		if other.e.Type.K == KPart {
			p.Hint("write %s in %s", c.cut(other), c.cut(list))
		} else {
			p.Hint("compare a number of it, such as count(%s)", c.cut(list))
		}
	case lk == KText && !l.word || rk == KText && !r.word:
		text := l
		if lk != KText || l.word {
			text = r
		}
		c.addf(WrongType, text, "%s is text, which is only shown and never compared", c.cut(text)).
			Hint("declare a property with choices for what rules must know")
	default:
		p := c.addf(WrongType, out, "%s is %s, %s is %s; they cannot be compared", c.cut(l), l.what(), c.cut(r), r.what())
		if l.word || r.word {
			p.Hint("numbers are written without quotes, with the unit joined by *: 0.05*mm")
		} else if equality && (lk == KPick || rk == KPick) {
			p.Hint("quote the words of choices: == '…'")
		}
	}
	out.e = c.bad(out)
	return out
}

// notBefore tells `not x == 'a'`, which binds as `(not x) == 'a'`.
func (c *checker) notBefore(n *ast.BinaryNode, l, r val) bool {
	u, ok := n.Left.(*ast.UnaryNode)
	if !ok || u.Operator != "not" || !is(&c.toks[l.a], lexer.Operator, "not") {
		return false
	}
	kept := c.ps[:0] // the fault is the missing bracket, not what follows from it
	from := c.node.TextSpan(c.off+c.toks[l.a].From, c.off+c.toks[l.b].To)
	for _, p := range c.ps {
		if p.Code == WrongType && p.At.Start >= from.Start && p.At.End <= from.End {
			continue
		}
		kept = append(kept, p)
	}
	c.ps = kept
	whole := val{a: l.a, b: r.b}
	inner := c.runes(c.toks[l.a+1].From, c.toks[r.b].To)
	p := c.addf(Syntax, whole, "not binds to %s alone here", c.runes(c.toks[l.a+1].From, c.toks[l.b].To))
	if n.Operator == "in" {
		p.Hint("write %s not in %s", c.runes(c.toks[l.a+1].From, c.toks[l.b].To), c.cut(r))
	} else {
		p.Hint("write not (%s)", clip(inner))
	}
	return true
}

func (c *checker) comparedYesNo(out, l, r val) {
	yes, other := l, r
	if l.e.Type.K != KBool {
		yes, other = r, l
	}
	p := c.addf(NoEquality, out, "%s is yes/no already and is not compared", c.cut(yes))
	if other.word && other.e.Text == "no" {
		p.Hint("write not (%s)", c.cut(yes))
	} else {
		p.Hint("write %s for yes, not (%s) for no", c.cut(yes), c.cut(yes))
	}
}

func mirrored(op string) string {
	switch op {
	case "<":
		return ">"
	case "<=":
		return ">="
	case ">":
		return "<"
	case ">=":
		return "<="
	}
	return op
}

// choice finds the rank of a quoted word among a property's choices, or tells
// that it is none.
func (c *checker) choice(pick, word val) (int, bool) {
	p := pick.e.Type.Prop
	if rank := p.Choice(word.e.Text); rank >= 0 {
		return rank, true
	}
	q := c.addf(NotAChoice, word, "%s is never %s", c.cut(pick), c.cut(word)).DidYouMean(word.e.Text, p.Choices)
	q.Hint("it is one of %s", some(p.Choices))
	return 0, false
}

// withWord is a choice compared with a written one: it lies in a mask.
func (c *checker) withWord(out, pick val, op string, word val) *Expr {
	p := pick.e.Type.Prop
	rank, ok := c.choice(pick, word)
	if op != "==" && op != "!=" && !p.Ordered {
		c.addf(NotOrdered, out, "the choices of %s have no order", p.Label()).
			Hint("use == or in, or declare the property with ordered = true if its choices stand in order")
		return nil
	}
	if !ok {
		return nil
	}
	all := uint64(1)<<len(p.Choices) - 1
	one := uint64(1) << rank
	below := one - 1
	var mask uint64
	switch op {
	case "==":
		mask = one
	case "!=":
		mask = all &^ one
	case "<":
		mask = below
	case "<=":
		mask = below | one
	case ">":
		mask = all &^ (below | one)
	case ">=":
		mask = all &^ below
	}
	if mask == 0 || mask == all {
		always := "never"
		if mask == all {
			always = "always"
		}
		c.addf(ReadsNothing, out, "this %s holds: %s is at the end of the choices of %s", always, c.cut(word), p.Label())
		return nil
	}
	return c.within(out, pick, mask)
}

func (c *checker) within(out, pick val, mask uint64) *Expr {
	e := c.expr(Within, Type{K: KBool}, out.a, out.b, pick.e)
	e.Mask = mask
	return e
}

// same is Same, or Not over it.
func (c *checker) same(out, l val, op string, r val) *Expr {
	e := c.expr(Same, Type{K: KBool}, out.a, out.b, l.e, r.e)
	if op == "!=" {
		e = c.expr(Not, Type{K: KBool}, out.a, out.b, e)
	}
	return e
}

func (c *checker) twoPicks(out, l val, op string, r val) *Expr {
	p, q := l.e.Type.Prop, r.e.Type.Prop
	if op != "==" && op != "!=" {
		c.addf(NotOrdered, out, "two choices are compared only by == and !=").Hint("compare each with a written word: %s >= '%s'", c.cut(l), p.Choices[0])
		return nil
	}
	if !alike(p, q) {
		c.addf(WrongType, out, "%s and %s have different choices", p.Label(), q.Label()).Hint("only properties with the same list of choices can be equal")
		return nil
	}
	return c.same(out, l, op, r)
}

func alike(p, q *vocab.Property) bool {
	if p == q {
		return true
	}
	if len(p.Choices) != len(q.Choices) {
		return false
	}
	for i := range p.Choices {
		if p.Choices[i] != q.Choices[i] {
			return false
		}
	}
	return true
}

func (c *checker) twoParts(out, l val, op string, r val) *Expr {
	k, m := l.e.Type.Kind, r.e.Type.Kind
	if op != "==" && op != "!=" {
		c.addf(WrongType, out, "parts have no order").Hint("parts are compared by == and != alone")
		return nil
	}
	if k != nil && m != nil && k != m {
		c.addf(WrongType, out, "%s is a %s, %s is a %s; they are never the same part", c.cut(l), k.ID, c.cut(r), m.ID)
		return nil
	}
	return c.same(out, l, op, r)
}

// in lowers l in r and l not in r.
func (c *checker) in(n *ast.BinaryNode, negated bool) val {
	l := c.wide(c.walk(n.Left))
	arr, isArray := n.Right.(*ast.ArrayNode)
	if !isArray {
		r := c.wide(c.walk(n.Right))
		out := val{a: l.a, b: r.b}
		out.e = c.inList(out, n, l, r, negated)
		return out
	}
	i := c.at(arr)
	items := c.wide(val{a: i, b: c.match[i]})
	out := val{a: l.a, b: items.b}
	words := make([]val, 0, 8)
	bad := false
	for _, item := range arr.Nodes {
		w := c.wide(c.walk(item))
		bad = bad || w.e.Type.K == KBad
		words = append(words, w)
	}
	if c.notBefore(n, l, items) || bad || l.e.Type.K == KBad {
		out.e = c.bad(out)
		return out
	}
	switch {
	case len(words) == 0:
		c.addAt(Syntax, i, c.match[i], "the list is empty").Hint("write what it may be: in ['a', 'b']")
	case l.e.Type.K == KPick:
		if e := c.inWords(out, l, words, negated); e != nil {
			out.e = e
			return out
		}
	case l.whole:
		if e := c.inWholes(out, l, words, negated); e != nil {
			out.e = e
			return out
		}
	case l.e.Type.K == KNum:
		c.addf(NoEquality, out, "a measured number is never exactly one of a list").Hint("write a range: 0.02*mm <= %s and %s <= 0.05*mm", c.cut(l), c.cut(l))
	case l.e.Type.K == KBool:
		c.comparedYesNo(out, l, items.asWord())
	default:
		c.addf(WrongType, l, "%s is %s; in asks a choice whether it is one of some words", c.cut(l), l.what())
	}
	out.e = c.bad(out)
	return out
}

func (v val) asWord() val { return val{a: v.a, b: v.b, word: true, e: &Expr{Type: Type{K: KText}}} }

func (c *checker) inWords(out, l val, words []val, negated bool) *Expr {
	var mask uint64
	ok := true
	for _, w := range words {
		if !w.word {
			c.addf(WrongType, w, "%s is %s; the words of a choice are quoted", c.cut(w), w.what())
			ok = false
			continue
		}
		rank, known := c.choice(l, w)
		if known && mask&(1<<rank) != 0 {
			c.addf(Syntax, w, "%s stands twice in this list", c.cut(w)).Hint("leave one out")
			known = false
		}
		ok = ok && known
		mask |= 1 << rank
	}
	if !ok {
		return nil
	}
	all := uint64(1)<<len(l.e.Type.Prop.Choices) - 1
	if mask == all {
		c.addf(ReadsNothing, out, "these are all the choices of %s, so the answer never changes", l.e.Type.Prop.Label())
		return nil
	}
	if negated {
		mask = all &^ mask
	}
	return c.within(out, l, mask)
}

// inWholes is x in [1, 3], on whole numbers alone: x == 1 or x == 3.
func (c *checker) inWholes(out, l val, words []val, negated bool) *Expr {
	var args []*Expr
	for _, w := range words {
		if w.e.Type.K != KNum || !w.whole {
			c.addf(WrongType, w, "%s is a whole number, %s is not", c.cut(l), c.cut(w))
			return nil
		}
		left, right := l, w
		if !c.meet(&left, &right, false) {
			return nil
		}
		args = append(args, c.expr(Same, Type{K: KBool}, w.a, w.b, left.e, right.e))
	}
	e := args[0]
	if len(args) > 1 {
		e = c.expr(Or, Type{K: KBool}, out.a, out.b, args...)
	}
	if negated {
		e = c.expr(Not, Type{K: KBool}, out.a, out.b, e)
	}
	return e
}

// inList is a part in a list of parts.
func (c *checker) inList(out val, n *ast.BinaryNode, l, r val, negated bool) *Expr {
	if c.notBefore(n, l, r) || l.e.Type.K == KBad || r.e.Type.K == KBad {
		return c.bad(out)
	}
	switch {
	case r.e.Type.K != KList && l.e.Type.K == KPart:
		p := c.addf(WrongType, r, "%s is %s; a part is in a list of parts", c.cut(r), r.what())
		if r.e.Type.K == KPart {
			p.Hint("write %s == %s", c.cut(l), c.cut(r))
		}
		return c.bad(out)
	case r.e.Type.K != KList:
		p := c.addf(WrongType, r, "%s is %s; after in stands a list", c.cut(r), r.what())
		if r.word {
			p.Hint("write in [%s], or == %s", c.cut(r), c.cut(r))
		}
		return c.bad(out)
	case l.e.Type.K != KPart:
		p := c.addf(WrongType, l, "%s is %s; only a part can be in the list %s", c.cut(l), l.what(), c.cut(r))
		if l.word {
			p.Hint("write any(%s, .property == %s)", c.cut(r), c.cut(l))
		}
		return c.bad(out)
	}
	k, m := l.e.Type.Kind, r.e.Type.Kind
	if k != nil && m != nil && k != m {
		c.addf(WrongType, out, "%s is a %s, %s lists parts of kind %s; it is never in it", c.cut(l), k.ID, c.cut(r), m.ID)
		return c.bad(out)
	}
	e := c.expr(InList, Type{K: KBool}, out.a, out.b, l.e, r.e)
	if negated {
		e = c.expr(Not, Type{K: KBool}, out.a, out.b, e)
	}
	return e
}
