package condition

import (
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/parser/lexer"

	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
)

// checker reads one text. It is used once, by one goroutine.
type checker struct {
	node  *written.Node
	text  string // what is read; node.Text or a piece of it
	off   int    // the rune of node.Text at which text begins
	scope *Scope
	ps    source.Problems

	toks    []lexer.Token // without the end
	match   []int         // of a bracket: the index of its partner
	ascii   bool          // a rune of text is a byte
	scanned bool          // the scan over the tokens has told a problem
	quiet   bool          // a fault that is told elsewhere lies in the text
	lent    bool          // an aggregate's name must be hidden from the parser

	elems []element // of the predicates round the node being walked, innermost last
	slab  []Expr
	args  []*Expr
}

// element is what a predicate runs over.
type element struct {
	t    Type
	used bool
}

// val is a walked node: its tree and its tokens a to b, both included.
type val struct {
	e    *Expr
	a, b int

	word  bool          // a quoted word that has not met its choices; e.Text holds it
	unit  bool          // the name of a unit alone
	scale *measure.Unit // a literal in °C or °F, point or difference still open; e.Num is in it
	in    *measure.Unit // of a number: the unit that a bare number beside it takes; nil = none
	mixed bool          // in is nil since two units met
	whole bool          // a whole number, exact
}

func is(t *lexer.Token, k lexer.Kind, v string) bool { return t.Kind == k && t.Value == v }

// runes cuts text by rune offsets, clamped.
func (c *checker) runes(from, to int) string {
	if c.ascii {
		from = max(0, min(from, len(c.text)))
		return c.text[from:max(from, min(to, len(c.text)))]
	}
	r := []rune(c.text)
	from = max(0, min(from, len(r)))
	return string(r[from:max(from, min(to, len(r)))])
}

// cut is a value's text as the author wrote it.
func (c *checker) cut(v val) string { return clip(c.runes(c.toks[v.a].From, c.toks[v.b].To)) }

// raw is a token as the author wrote it.
func (c *checker) raw(i int) string { return c.runes(c.toks[i].From, c.toks[i].To) }

func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:57]) + "…"
	}
	return s
}

// addf tells a problem at a value.
func (c *checker) addf(code source.Code, v val, format string, args ...any) *source.Problem {
	return c.addAt(code, v.a, v.b, format, args...)
}

// addAt tells a problem at the tokens a to b.
func (c *checker) addAt(code source.Code, a, b int, format string, args ...any) *source.Problem {
	return c.addRunes(code, c.toks[a].From, c.toks[b].To, format, args...)
}

func (c *checker) addRunes(code source.Code, from, to int, format string, args ...any) *source.Problem {
	return c.ps.Addf(code, c.node.TextSpan(c.off+from, c.off+to), format, args...)
}

// at is the index of the token a node of expr's tree is located at.
func (c *checker) at(n ast.Node) int {
	from := n.Location().From
	i := sort.Search(len(c.toks), func(i int) bool { return c.toks[i].From >= from })
	return min(i, len(c.toks)-1)
}

// wide takes in the brackets that group a value, but not those of a call.
func (c *checker) wide(v val) val {
	for v.a > 0 && v.b+1 < len(c.toks) && is(&c.toks[v.a-1], lexer.Bracket, "(") && c.match[v.a-1] == v.b+1 && !c.calls(v.a-1) {
		v.a--
		v.b++
	}
	return v
}

// calls tells whether the bracket at i belongs to a call.
func (c *checker) calls(i int) bool {
	if i == 0 || !is(&c.toks[i], lexer.Bracket, "(") {
		return false
	}
	p := &c.toks[i-1]
	return p.Kind == lexer.Identifier || p.Kind == lexer.Operator && i > 1 && is(&c.toks[i-2], lexer.Operator, ".")
}

// The aggregates that the grammar gives no predicate of their own.
func isLent(name string) bool {
	switch name {
	case "max", "min", "mean", "median":
		return true
	}
	return false
}

// lend gives the text for the parser: each max(, min(, mean( and median( reads
// sum( there, padded to its length so that all places stay, since the grammar
// takes a predicate only after names of its own. The walk reads the real name
// off the tokens.
func (c *checker) lend() string {
	if !c.lent {
		return c.text
	}
	var b strings.Builder
	b.Grow(len(c.text))
	at, bytes := 0, 0 // rune and byte copied up to
	upTo := func(r int) {
		if c.ascii {
			b.WriteString(c.text[bytes:r])
			at, bytes = r, r
			return
		}
		for at < r {
			_, w := utf8.DecodeRuneInString(c.text[bytes:])
			b.WriteString(c.text[bytes : bytes+w])
			at, bytes = at+1, bytes+w
		}
	}
	for i := range c.toks {
		t := &c.toks[i]
		if c.lentAt(i) {
			upTo(t.From)
			b.WriteString("sum   "[:len(t.Value)])
			at, bytes = t.To, bytes+len(t.Value)
		}
	}
	b.WriteString(c.text[bytes:])
	return b.String()
}

func (c *checker) lentAt(i int) bool {
	t := &c.toks[i]
	return t.Kind == lexer.Identifier && isLent(t.Value) && i+1 < len(c.toks) && is(&c.toks[i+1], lexer.Bracket, "(") &&
		!(i > 0 && is(&c.toks[i-1], lexer.Operator, "."))
}

// expr makes a node that spans the tokens a to b.
func (c *checker) expr(op Op, t Type, a, b int, args ...*Expr) *Expr {
	if len(c.slab) == cap(c.slab) {
		n := 4
		if c.slab == nil {
			n = 0
			for i := range c.toks {
				if k := c.toks[i].Kind; k != lexer.Bracket && !(k == lexer.Operator && (c.toks[i].Value == "." || c.toks[i].Value == ",")) {
					n++
				}
			}
		}
		c.slab = make([]Expr, 0, max(n, 2))
	}
	c.slab = append(c.slab, Expr{Op: op, Type: t, From: c.off + c.toks[a].From, To: c.off + c.toks[b].To})
	e := &c.slab[len(c.slab)-1]
	if len(args) > 0 {
		if cap(c.args)-len(c.args) < len(args) {
			c.args = make([]*Expr, 0, max(cap(c.slab)+1, len(args)))
		}
		at := len(c.args)
		c.args = append(c.args, args...)
		e.Args = c.args[at:len(c.args):len(c.args)]
	}
	return e
}

// bad is a node about which everything has been told.
func (c *checker) bad(v val) *Expr { return c.expr(Bad, Type{}, v.a, v.b) }

func (c *checker) badVal(a, b int) val { return val{e: c.expr(Bad, Type{}, a, b), a: a, b: b} }
