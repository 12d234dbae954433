// Package written holds values as they were written, each with its place: one
// tree for TOML and JSON. It knows no vocabulary.
//
// Start with the parsers in facts/tomlfile and facts/jsonfile, then read tables
// with [Open], which reports unknown, missing and ill-typed keys where they stand.
package written

import (
	"fmt"

	"whyworn/facts/source"
)

// MaxDepth is how deep tables and arrays may lie in one another, in any format.
// Real files need five; the limit keeps every later walk of a tree shallow, and
// the time a parser takes for a megabyte of the longest dotted keys to seconds.
const MaxDepth = 24

// Codes for trees that cannot be made as written.
var (
	DuplicateKey  = source.Declare("duplicate-key", "a key or table is written twice")
	CommaInNumber = source.Declare("comma-in-number", "a number has a comma where it needs a point")
	TooDeep       = source.Declare("too-deep", "tables or arrays lie too deep in one another")
)

// DepthProblem is the problem that something at a place lies deeper than
// [MaxDepth].
func DepthProblem(at source.Span) *source.Problem {
	p := &source.Problem{Code: TooDeep, At: at}
	p.Message = fmt.Sprintf("tables and arrays lie more than %d deep in one another", MaxDepth)
	return p.Hint("flatten the file")
}

// Kind is what sort of value was written.
type Kind uint8

// The kinds of values. JSON has no Date.
const (
	Table Kind = iota
	Array
	String
	Integer
	Float
	Bool
	Date // date, time, or both
)

// String returns the kind with its article, as used in problems.
func (k Kind) String() string {
	switch k {
	case Table:
		return "a table"
	case Array:
		return "an array"
	case String:
		return "a string"
	case Integer:
		return "a whole number"
	case Float:
		return "a number"
	case Bool:
		return "true or false"
	case Date:
		return "a date"
	}
	return "a value"
}

// Node is one value. A tree is not changed after parsing and may be shared
// between goroutines.
type Node struct {
	Kind    Kind
	Text    string      // String: decoded. Scalars: the literal as written, 0.10, 2026-11-12, true. Else "".
	At      source.Span // the value, with its quotes or brackets; of a TOML table its header
	Key     source.Span // its key, when it stands in a table; else zero
	Entries []Entry     // Table: in file order, names unique
	Items   []*Node     // Array: in file order
}

// Entry is one key of a table and its value.
type Entry struct {
	Name  string      // decoded
	At    source.Span // the key where it is first written
	Value *Node       // never nil
}

// Get returns the value of a key, or nil when the table has none, or when n is
// nil or not a table.
func (n *Node) Get(name string) *Node {
	if n == nil {
		return nil
	}
	for i := range n.Entries {
		if n.Entries[i].Name == name {
			return n.Entries[i].Value
		}
	}
	return nil
}

// Place returns where to point for n: its key when it has one, else itself.
func (n *Node) Place() source.Span {
	switch {
	case n == nil:
		return source.Span{}
	case !n.Key.IsZero():
		return n.Key
	}
	return n.At
}

// IsNumber tells whether n is an Integer or a Float.
func (n *Node) IsNumber() bool { return n != nil && (n.Kind == Integer || n.Kind == Float) }
