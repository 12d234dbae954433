// Package condition turns the condition texts of a pack into typed trees. It
// is the only package that knows expr-lang: expr's lexer and parser are the
// grammar, and one walk of ours over expr's tree decides what is allowed
// (everything else is refused), types it against the vocabulary and lowers it
// to [Expr], the tree that every floor above reads. Start with [Parse].
// It evaluates nothing.
//
// What an author can write, beside the names of each and member chains:
//
//	and or not (…)  < <= > >= == !=  in ['a', 'b']  part in list  + - * /
//	any all none count(list, .property …)   # is the element, .p its property
//	count(list)  filter(list, .p)  others(part)  abs(x)
//	sum min max mean median(list, .number), also over map(list, .number)
//	angle_between(a, b)                     how far two directions lie apart, round the circle
//	least most new wanted(part.property)    the declared bound of a property
//	fn(…)  fn(…).result                     a handbook function, its first or another result
//	0.05*mm  80*degC  25*N*m                numbers with a unit
//
// A bare number takes the unit of what it is compared with, added to or
// subtracted from; in a product it is a plain number. A literal in °C or °F is
// a point on the scale where it is compared with one, and a difference in sums.
// A handbook function's last arguments may be left out where it has defaults;
// an argument that is a list of numbers is map(list, .number).
package condition

import (
	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Op is what a node of the tree does with its arguments.
type Op uint8

const (
	Bad Op = iota // an error was told; nothing that follows from it is

	Const // Num: a number in coherent base units, Text as it was written
	Picks // Mask: one or more choices of Type.Prop; Parse makes none, written choices are lowered into Within
	Name  // the part bound to Each[Var]
	Elem  // the element of the enclosing predicate, Depth levels out (0 = innermost; the grammar reaches no other)
	Prop  // Args[0] is a part: its property Prop, of any type but Size

	Neg // numbers
	Abs
	Add
	Sub
	Mul
	Div
	Apart // Args[0], Args[1] angles: the smaller angle between them round a circle of Num degrees

	Lt // numbers only; ordered choices become Within
	Le
	Gt
	Ge

	Within // Args[0] a choice or yes/no: lies in Mask (=, !=, in, <, <= … against written choices all become this; a yes/no property used as a condition is left as Prop)
	Same   // Args[0], Args[1]: two choices of like lists, two whole numbers, two parts; != is Not over Same
	InList // Args[0] a part, Args[1] a list

	And // two or more arguments
	Or
	Not

	Any // Args[0] a list, Args[1] the predicate
	All
	None
	Count // Args[1] may be missing: the length of the list
	Sum   // Args[1] the number of each element
	Min
	Max
	Mean
	Median

	Others // Args[0] a part: all other parts of its kind
	Keep   // filter: Args[0] a list, Args[1] the predicate
	Call   // Fn with Args, one for each parameter (defaults filled in); Result is which of its results. A Const of type KText is a word; a choice or yes/no given for a word parameter is passed by its id, no or yes
	Map    // Args[0] a list, Args[1] a number of each element; only as an argument of Call
)

// K is the shape of a value.
type K uint8

const (
	KBad     K = iota
	KBool      // true, false or unknown
	KNum       // a quantity
	KPick      // a choice
	KPart      // a part
	KList      // a list of parts
	KText      // free words: only {expressions} of texts show them
	KNumbers   // a number of each element of a list: only an argument of Call
)

// Type is the type of a node.
type Type struct {
	K     K
	Dim   measure.Dim
	Point bool            // a temperature on a scale, not a difference
	Bare  bool            // a written number without a unit that has not met one yet
	Prop  *vocab.Property // KPick: whose choices; KNum: in whose unit to print it, or nil
	Kind  *vocab.Kind     // KPart, KList: nil = any kind
}

// TypeOf is the type that a condition sees a property as.
func TypeOf(p *vocab.Property) Type {
	switch p.Type {
	case vocab.YesNo:
		return Type{K: KBool}
	case vocab.Choice:
		return Type{K: KPick, Prop: p}
	case vocab.Number, vocab.Whole, vocab.Size:
		return numberType(p)
	case vocab.Part:
		return Type{K: KPart, Kind: p.To}
	case vocab.Parts:
		return Type{K: KList, Kind: p.To}
	}
	return Type{K: KText, Prop: p}
}

// Expr is a node of a typed tree. Trees are immutable and shared.
type Expr struct {
	Op    Op
	Type  Type
	Args  []*Expr
	Num   float64
	Text  string
	Mask  uint64
	Var   int
	Depth int
	Prop  *vocab.Property
	Fn    *handbook.Entry
	// Result is the index of the handbook result that is read.
	Result int
	// From and To are rune offsets in the condition's text: the whole of the
	// node as the author wrote it, To excluded, outer brackets left out.
	From, To int
}

// Dep is a property that a condition reads. Strict: a change of it can turn
// the condition from true to false, so that no cycle may run through it.
type Dep struct {
	Prop   *vocab.Property
	Strict bool
}

// Tie joins two names of each: Left and Right are the two sides of an
// equality, one reading only name A and the other only B, or, with Member,
// Left is a part and Right a list that holds it.
type Tie struct {
	A, B        int
	Left, Right *Expr
	Member      bool
}

// Condition is one condition text with its tree.
type Condition struct {
	Text string
	Root *Expr
	Deps []Dep
	Ties []Tie
	Node *written.Node // where it stands; Node.TextSpan places a node of the tree
}

// At places a node of the tree in its file.
func (c *Condition) At(e *Expr) source.Span { return c.Node.TextSpan(e.From, e.To) }

// Of cuts a node's text out of the condition.
func (c *Condition) Of(e *Expr) string {
	r := []rune(c.Text)
	return string(r[e.From:e.To])
}

// Template is a text with {expressions} in it.
type Template struct {
	Text   string
	Pieces []Piece
	Deps   []Dep
	Node   *written.Node
}

// Piece is words, or an expression to be shown in their place.
type Piece struct {
	Words string
	Expr  *Expr // nil for words
}

// Scope is what a text may name.
type Scope struct {
	Vocabulary *vocab.Vocabulary
	Names      []EachName // Expr.Var indexes this
	Shared     *Shared    // nil: nothing is shared

	shape int // Shared's number for Names
}

// EachName is one name of a rule's each.
type EachName struct {
	ID   string
	Kind *vocab.Kind
}
