package written

import (
	"slices"
	"strconv"
	"strings"

	"whyworn/facts/source"
)

// Codes for tables that do not hold what they should.
var (
	UnknownKey = source.Declare("unknown-key", "a table has a key that means nothing there")
	MissingKey = source.Declare("missing-key", "a table lacks a key it must have")
	WrongKind  = source.Declare("wrong-kind", "a value is of another kind than its key takes")
)

// Need says whether a key must be there.
type Need bool

// What a key may be.
const (
	Optional Need = false
	Required Need = true
)

// Reader takes the keys of one table and reports what is wrong with them. A key
// is optional unless its method is given Required: r.Text("id", Required). It
// holds no maps: tables have few keys. Not for several goroutines.
type Reader struct {
	Of *Node // the table; nil reads as a table without keys and reports nothing

	problems *source.Problems
	what     string // what the table is, "rule": begins the messages
	taken    uint64 // bit i: entry i was asked for
	takenTo  []bool // the same for entries from 64 on
	missed   []missed
	few      [24]string // the first keys asked for
	count    int        // of few in use
	more     []string   // the keys asked for after them
}

// Open begins to read a table. what names it in problems, without an article:
// "rule", "machine file". A node that is not a table is reported, and then
// reads as a table without keys about which nothing more is said.
func Open(node *Node, problems *source.Problems, what string) *Reader {
	// Short enough to be inlined, so that the reader stays on its caller's stack.
	r := &Reader{problems: problems, what: what}
	r.open(node)
	return r
}

func (r *Reader) open(node *Node) {
	if node == nil {
		return
	}
	if node.Kind != Table {
		r.problems.Addf(WrongKind, node.At, "%s: a table is needed here, this is %s", r.what, node.Kind)
		return
	}
	r.Of = node
	if len(node.Entries) > 64 {
		r.takenTo = make([]bool, len(node.Entries)-64)
	}
}

// take returns the value of a key and marks it as asked for.
func (r *Reader) take(name string, need ...Need) *Node {
	if r.count < len(r.few) {
		r.few[r.count] = name
		r.count++
	} else {
		r.more = append(r.more, name)
	}
	if r.Of == nil {
		return nil
	}
	for i := range r.Of.Entries {
		if e := &r.Of.Entries[i]; e.Name == name {
			if i < 64 {
				r.taken |= 1 << i
			} else {
				r.takenTo[i-64] = true
			}
			return e.Value
		}
	}
	if len(need) > 0 && bool(need[0]) {
		r.missing(name)
	}
	return nil
}

// missing is a problem at the table's place, withdrawn by Close if a misspelt
// key is what is missing.
func (r *Reader) missing(name string) {
	p := r.problems.Addf(MissingKey, r.Place(), "%s: the key %q is missing", r.what, name)
	r.missed = append(r.missed, missed{name, p})
}

type missed struct {
	name    string
	problem *source.Problem
}

// kind returns the value of a key if it is of one of the kinds, and reports it
// if it is of another.
func (r *Reader) kind(name string, need []Need, kinds ...Kind) *Node {
	n := r.take(name, need...)
	if n == nil || slices.Contains(kinds, n.Kind) {
		return n
	}
	r.Wrong(n, name, kinds[len(kinds)-1].String())
	return nil
}

// Wrong reports that the value n of a key is not what the key takes, "a string",
// and returns the problem for hints.
func (r *Reader) Wrong(n *Node, name, takes string) *source.Problem {
	return r.problems.Addf(WrongKind, n.At, "%s: %q takes %s, this is %s", r.what, name, takes, n.Kind)
}

// Place returns where to point for the table itself.
func (r *Reader) Place() source.Span {
	if r.Of == nil {
		return source.Span{}
	}
	if !r.Of.At.IsZero() {
		return r.Of.At
	}
	return r.Of.Key
}

// At returns the place of a key's value, or of the table if the key is not there.
func (r *Reader) At(name string) source.Span {
	if n := r.Of.Get(name); n != nil {
		return n.At
	}
	return r.Place()
}

// Has tells whether the key is there, without taking it.
func (r *Reader) Has(name string) bool { return r.Of.Get(name) != nil }

// Node returns the value of a key, of any kind; nil if it is not there.
func (r *Reader) Node(name string, need ...Need) *Node { return r.take(name, need...) }

// Text returns the string node of a key, or nil.
func (r *Reader) Text(name string, need ...Need) *Node {
	n := r.take(name, need...)
	if n == nil || n.Kind == String {
		return n
	}
	p := r.Wrong(n, name, String.String())
	if n.Kind != Table && n.Kind != Array {
		p.Hint("put it in quotes: %q", n.Text)
	}
	return nil
}

// String returns the text of a key, "" if it is not there.
func (r *Reader) String(name string, need ...Need) string {
	if n := r.Text(name, need...); n != nil {
		return n.Text
	}
	return ""
}

// Strings returns the strings of a key that takes one string or an array of
// strings; nil if it is not there.
func (r *Reader) Strings(name string, need ...Need) []*Node {
	n := r.take(name, need...)
	switch {
	case n == nil:
		return nil
	case n.Kind == String:
		return []*Node{n}
	case n.Kind != Array:
		r.Wrong(n, name, "a string or an array of strings")
		return nil
	}
	return r.items(n, name, String)
}

// items returns the items of an array that are of a kind and reports the others.
func (r *Reader) items(n *Node, name string, kind Kind) []*Node {
	for i, item := range n.Items {
		if item.Kind == kind {
			continue
		}
		good := slices.Clone(n.Items[:i])
		for _, item := range n.Items[i:] {
			if item.Kind == kind {
				good = append(good, item)
			} else {
				r.problems.Addf(WrongKind, item.At, "%s: each item of %q is %s, this is %s", r.what, name, kind, item.Kind)
			}
		}
		return good
	}
	return n.Items
}

// Bool returns the value of a key that takes true or false, and whether it is
// there.
func (r *Reader) Bool(name string, need ...Need) (value, there bool) {
	n := r.take(name, need...)
	switch {
	case n == nil:
		return false, false
	case n.Kind == Bool:
		return n.Text == "true", true
	}
	p := r.Wrong(n, name, Bool.String())
	if n.Kind == String && (n.Text == "true" || n.Text == "false") {
		p.Hint("leave out the quotes: %s", n.Text)
	}
	return false, false
}

// Number returns the number of a key as written, an Integer or Float, or nil.
func (r *Reader) Number(name string, need ...Need) *Node {
	n := r.take(name, need...)
	if n == nil || n.IsNumber() {
		return n
	}
	p := r.Wrong(n, name, Float.String())
	if n.Kind == String {
		if _, err := strconv.ParseFloat(n.Text, 64); err == nil {
			p.Hint("leave out the quotes: %s", n.Text)
		} else if number, _, _ := strings.Cut(n.Text, " "); number != n.Text {
			if _, err := strconv.ParseFloat(number, 64); err == nil {
				p.Hint("write the number alone: %s = %s", name, number)
			}
		}
	}
	return nil
}

// Int returns the whole number of a key, and whether it is there.
func (r *Reader) Int(name string, need ...Need) (value int, there bool) {
	n := r.kind(name, need, Integer)
	if n == nil {
		return 0, false
	}
	v, ok := n.Int()
	if !ok {
		r.problems.Addf(WrongKind, n.At, "%s: the number of %q is too large", r.what, name)
	}
	return v, ok
}

// Date returns the date of a key as written: a TOML date, or a string, as JSON
// has it, whose content the caller checks; nil if it is not there.
func (r *Reader) Date(name string, need ...Need) *Node { return r.kind(name, need, String, Date) }

// Table returns the table of a key, or nil.
func (r *Reader) Table(name string, need ...Need) *Node { return r.kind(name, need, Table) }

// Array returns the items of an array of anything; nil if it is not there.
func (r *Reader) Array(name string, need ...Need) []*Node {
	if n := r.kind(name, need, Array); n != nil {
		return n.Items
	}
	return nil
}

// Tables returns the tables of an array of tables; nil if it is not there.
func (r *Reader) Tables(name string) []*Node {
	n := r.take(name)
	switch {
	case n == nil:
		return nil
	case n.Kind == Array:
		return r.items(n, name, Table)
	}
	p := r.Wrong(n, name, "an array of tables")
	switch raw := n.At.Text(); {
	case n.Kind != Table || len(raw) == 0:
	case raw[0] == '[':
		p.Hint("write [[%s]], with two brackets, for each", name)
	default:
		p.Hint("put it in brackets: [{ … }]")
	}
	return nil
}

// Rest returns the entries nobody has asked for yet and takes them: for tables
// whose keys are names of the author.
func (r *Reader) Rest() []Entry {
	if r.Of == nil {
		return nil
	}
	var rest []Entry
	for i, e := range r.Of.Entries {
		if r.left(i) {
			rest = append(rest, e)
		}
	}
	r.taken = ^uint64(0)
	for i := range r.takenTo {
		r.takenTo[i] = true
	}
	return rest
}

func (r *Reader) left(i int) bool {
	if i < 64 {
		return r.taken&(1<<i) == 0
	}
	return !r.takenTo[i-64]
}

// mostKeys is how many keys a hint lists.
const mostKeys = 12

// Close reports the keys nobody asked for, each with the nearest name that was
// asked for and is not there. If that one was reported missing, the two are one
// fault, told at the misspelt key.
func (r *Reader) Close() {
	if r.Of == nil {
		return
	}
	for i := range r.Of.Entries {
		if !r.left(i) {
			continue
		}
		e := &r.Of.Entries[i]
		p := r.problems.Addf(UnknownKey, e.At, "%s: the key %q means nothing here", r.what, e.Name)
		near, ok := source.Nearest(e.Name, r.absent())
		if !ok {
			if absent := r.absent(); len(absent) > 0 && len(absent) <= mostKeys {
				p.Hint("it can also have %s", strings.Join(absent, ", "))
			}
			continue
		}
		p.Hint("did you mean %q?", near)
		for _, m := range r.missed {
			if m.name == near {
				*r.problems = slices.DeleteFunc(*r.problems, func(p *source.Problem) bool { return p == m.problem })
			}
		}
	}
}

// absent returns the names asked for that the table does not have: a key that
// is there already is not what another was meant to be.
func (r *Reader) absent() []string {
	var names []string
	for _, name := range append(slices.Clone(r.few[:r.count]), r.more...) {
		if r.Of.Get(name) == nil && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}
