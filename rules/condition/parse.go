package condition

import (
	"errors"
	"strings"
	"sync"

	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser"

	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Want is what a condition must come to.
type Want uint8

const (
	WantBool   Want = iota // true, false or unknown
	WantNumber             // a number of any dimension
	WantSign               // yes/no or a choice: what a clue looks at
	wantShown              // anything that can be printed
	wantLike               // a number of a given property
)

// Caps on one condition or {expression}, from the measurements the design
// rests on: below them expr's recursive parser takes at most a few
// milliseconds whatever a stranger writes.
const (
	MaxBytes    = 4096
	MaxBrackets = 64 // nested
	MaxNodes    = 500

	// mostTold problems of one text are told; placing each costs a walk over it.
	mostTold = 20
)

// grammar is shared by all goroutines: the parser only reads it. (It is
// written to by expr's checker, which we do not use.)
var grammar = func() *conf.Config {
	c := conf.CreateNew()
	c.MaxNodes = MaxNodes
	return c
}()

// Parse reads the string n as a condition over the names of scope. All
// problems are told at once, placed inside the string; the condition is nil if
// there is any.
func Parse(n *written.Node, scope *Scope, want Want) (*Condition, source.Problems) {
	if old := scope.Shared.find(n.Text, scope, want); old != nil {
		cond := *old
		cond.Text, cond.Node = n.Text, n
		return &cond, nil
	}
	c := checker{node: n, text: n.Text, scope: scope}
	root := c.parse(want, nil)
	if len(c.ps) > 0 || c.quiet {
		return nil, c.told()
	}
	cond := &Condition{Text: n.Text, Root: root, Node: n, Deps: dependencies(nil, root)}
	if want == WantBool || want == WantSign {
		cond.Ties = ties(root)
	}
	scope.Shared.keep(cond, scope, want)
	return cond, nil
}

// ParseNumber reads the value of a computed number: it must have the
// dimension of like, and a bare number is in like's unit.
func ParseNumber(n *written.Node, scope *Scope, like *vocab.Property) (*Condition, source.Problems) {
	c := checker{node: n, text: n.Text, scope: scope}
	root := c.parse(wantLike, like)
	if len(c.ps) > 0 || c.quiet {
		return nil, c.told()
	}
	return &Condition{Text: n.Text, Root: root, Node: n, Deps: dependencies(nil, root)}, nil
}

// ParseHead reads a name of each and one of its properties,
// "seat.overheated". The property is nil if there are problems; whether it
// may be concluded or set is for the caller to check.
func ParseHead(n *written.Node, scope *Scope) (int, *vocab.Property, source.Problems) {
	c := checker{node: n, text: n.Text, scope: scope}
	name, id, dotted := strings.Cut(n.Text, ".")
	if !dotted || name == "" || id == "" || strings.ContainsAny(id, ". \t") || strings.ContainsAny(name, " \t") {
		p := c.ps.Addf(BadHead, n.At, "%q is not a name of each and one of its properties", clip(n.Text))
		if len(scope.Names) > 0 {
			p.Hint("write it with one dot, such as %s.%s", scope.Names[0].ID, example(scope.Names[0].Kind))
		}
		return 0, nil, c.ps
	}
	at := len([]rune(name))
	for i := range scope.Names {
		if scope.Names[i].ID != name {
			continue
		}
		kind := scope.Names[i].Kind
		if kind == nil {
			return 0, nil, c.ps // told where the kind was declared
		}
		if p := kind.Property(id); p != nil {
			return i, p, nil
		}
		c.ps.Addf(UnknownProperty, n.TextSpan(at+1, len([]rune(n.Text))), "a %s has no property %q", kind.ID, clip(id)).
			DidYouMean(id, ids(kind))
		return 0, nil, c.ps
	}
	c.ps.Addf(UnknownName, n.TextSpan(0, at), "%q is no name of each", clip(name)).DidYouMean(name, scope.ids())
	return 0, nil, c.ps
}

// parse reads c.text, which stands in c.node from rune c.off on.
func (c *checker) parse(want Want, like *vocab.Property) (root *Expr) {
	defer func() {
		// expr's parser was never seen to panic, but what it reads comes from strangers.
		if r := recover(); r != nil {
			c.ps.Addf(Syntax, c.whole(), "this cannot be read as a condition (%v)", r).
				Hint("write it in simpler steps")
			root = nil
		}
	}()
	if len(c.text) > MaxBytes {
		c.ps.Addf(TooLarge, c.whole(), "a condition of %d bytes; at most %d are read", len(c.text), MaxBytes).
			Hint("split it into several conditions or rules")
		return nil
	}
	if strings.TrimSpace(c.text) == "" {
		c.ps.Addf(Syntax, c.whole(), "nothing is written here").Hint("write a condition, or leave the line out")
		return nil
	}
	if !c.lex() || !c.scan() {
		return nil
	}
	c.scanned = len(c.ps) > 0
	if len(c.ps) >= mostTold {
		return nil
	}
	if n := c.quickTree(); n != nil {
		return c.result(c.wide(c.walk(n)), want, like)
	}
	tree, err := parser.ParseWithConfig(c.lend(), grammar)
	if err != nil {
		var fe *file.Error
		if c.scanned {
			return nil // it follows from what the scan has told
		}
		if !errors.As(err, &fe) {
			fe = &file.Error{Message: err.Error()}
		}
		c.syntax(fe)
		return nil
	}
	v := c.wide(c.walk(tree.Node))
	return c.result(v, want, like)
}

// result settles the root by what is wanted of it.
func (c *checker) result(v val, want Want, like *vocab.Property) *Expr {
	e := v.e
	if e.Type.K == KBad {
		return e
	}
	switch want {
	case WantBool:
		c.yesNo(v)
	case WantSign:
		if e.Type.K != KPick {
			c.yesNo(v)
		}
	case WantNumber:
		if !c.number(&v) {
			return c.bad(v)
		}
		v = c.plain(v)
	case wantLike:
		if !c.number(&v) {
			return c.bad(v)
		}
		t := val{e: &Expr{Type: numberType(like)}, in: like.Unit}
		c.meet(&v, &t, false)
		if v.e.Type.K == KNum && (v.e.Type.Dim != t.e.Type.Dim || v.e.Type.Point != t.e.Type.Point) {
			c.addf(UnitMismatch, v, "%s is %s, %s is %s", c.cut(v), v.quantity(), like.Label(), t.quantity())
		}
	case wantShown:
		if e.Type.K == KList {
			c.addf(WrongType, v, "%s is a list, which cannot be shown", c.cut(v)).Hint("show a number of it, such as {count(%s)}", c.cut(v))
		} else if e.Type.K == KNum {
			v = c.plain(v)
		}
	}
	if want != WantNumber && want != wantLike && len(c.ps) == 0 && !reads(v.e) {
		c.addf(ReadsNothing, v, "nothing is looked up here, so the answer never changes").
			Hint("leave it out, or name a property: name.property")
	}
	return v.e
}

// plain settles a number that met no unit: it is a plain number, or a
// difference where it is a literal on a temperature scale.
func (c *checker) plain(v val) val {
	if v.scale != nil {
		c.settleScale(&v, true)
	}
	if v.e.Type.Bare {
		v.e.Type.Bare = false
	}
	return v
}

func (c *checker) whole() source.Span {
	if c.off == 0 && len(c.text) == len(c.node.Text) {
		return c.node.At
	}
	return c.node.TextSpan(c.off, c.off+len([]rune(c.text)))
}

// told puts the problems in the order of the text.
func (c *checker) told() source.Problems {
	c.ps.Dedupe()
	c.ps.Sort()
	return c.ps
}

// Reserved tells whether a name of each cannot be called so: it is a word of
// the condition language or a unit.
func Reserved(name string) bool {
	switch name {
	case "in", "let", "and", "or", "not", "if", "else", "true", "false", "nil", "null", "matches", "contains", "startsWith", "endsWith":
		return true
	}
	return isUnit(name)
}

// notUnits keeps what was found to be no unit: the same few names come again
// in each rule, and telling that a name is none is dear. Bounded, since
// strangers choose names.
var notUnits struct {
	sync.RWMutex
	names map[string]bool
}

const mostNotUnits = 4096

func isUnit(name string) bool {
	notUnits.RLock()
	no := notUnits.names[name]
	notUnits.RUnlock()
	if no {
		return false
	}
	if _, err := measure.UnitOf(name); err == nil {
		return true
	}
	notUnits.Lock()
	defer notUnits.Unlock()
	if notUnits.names == nil {
		notUnits.names = map[string]bool{}
	}
	if len(notUnits.names) < mostNotUnits {
		notUnits.names[name] = true
	}
	return false
}
