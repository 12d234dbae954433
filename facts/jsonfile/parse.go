// Package jsonfile reads strict JSON (RFC 8259) into the tree of package
// written: the same tree that facts/tomlfile makes, without dates.
//
// Use [Parse]. Stricter than the RFC: a key written twice and null are refused,
// each at its place, and so is half of a surrogate pair. Numbers keep the text
// they were written as. It is made for batches of many small files: one pass,
// text shared with the file, nodes allocated in blocks.
package jsonfile

import (
	"strings"
	"sync"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Codes for text that is not JSON, or holds what we do not take.
var (
	Syntax    = source.Declare("json-syntax", "a file breaks the rules of JSON")
	NullValue = source.Declare("null-value", "a value is null, which says neither absent nor unknown")
)

// Parse reads a JSON file. The tree is nil when the text is not JSON; a key
// written twice keeps its first value and a null is left out, both reported.
func Parse(f *source.File) (*written.Node, source.Problems) {
	if p := f.CheckText(); p != nil {
		return nil, source.Problems{p}
	}
	s := scanners.Get().(*scanner)
	*s = scanner{file: f, text: string(f.Data), entries: s.entries[:0], items: s.items[:0]}
	root, problems := s.document()
	// What is kept for the next file must not hold on to this one.
	clear(s.entries[:cap(s.entries)])
	clear(s.items[:cap(s.items)])
	*s = scanner{entries: s.entries[:0], items: s.items[:0]}
	scanners.Put(s)
	return root, problems
}

var scanners = sync.Pool{New: func() any { return new(scanner) }}

const (
	wide         = 32  // keys past which repeated ones are sought in a map
	mostProblems = 200 // of one file; a file with more is told these
)

type scanner struct {
	file     *source.File
	text     string
	pos      int
	problems source.Problems
	failed   bool // the text is not JSON: stop

	entries []written.Entry // of the open objects, innermost last
	items   []*written.Node // of the open arrays, innermost last
	nodes   []written.Node  // blocks the tree is cut from
	table   []written.Entry
	list    []*written.Node
}

func (s *scanner) document() (*written.Node, source.Problems) {
	s.space()
	if s.pos == len(s.text) {
		s.fail(s.pos, 0, "the file is empty").Hint("begin with { and end with }")
		return nil, s.problems
	}
	root := s.value(0)
	if s.failed {
		return nil, s.problems
	}
	if s.space(); s.pos < len(s.text) {
		s.fail(s.pos, 1, "more text after the end of the value").Hint("a file holds one value")
		return nil, s.problems
	}
	return root, s.problems
}

func (s *scanner) fail(start, n int, format string, args ...any) *source.Problem {
	s.failed = true
	return s.problems.Addf(Syntax, s.file.At(start, start+n), format, args...)
}

// expected reports that something else stands at pos.
func (s *scanner) expected(what string) {
	if s.pos >= len(s.text) {
		s.fail(s.pos, 0, "the text ends where %s is needed", what)
		return
	}
	p := s.fail(s.pos, 1, "%s is needed here", what)
	switch c := s.text[s.pos]; {
	case c == '\'':
		p.Hint("JSON takes double quotes only")
	case c == '/' || c == '#':
		p.Hint("JSON has no comments")
	}
}

func (s *scanner) space() {
	for s.pos < len(s.text) {
		switch s.text[s.pos] {
		case ' ', '\n', '\t', '\r':
			s.pos++
		default:
			return
		}
	}
}

// peek returns the byte at pos, 0 at the end.
func (s *scanner) peek() byte {
	if s.pos < len(s.text) {
		return s.text[s.pos]
	}
	return 0
}

func (s *scanner) node(kind written.Kind, start int) *written.Node {
	if len(s.nodes) == 0 {
		s.nodes = make([]written.Node, min(64, 1+(len(s.text)-start)/8))
	}
	n := &s.nodes[0]
	s.nodes = s.nodes[1:]
	n.Kind, n.At = kind, s.file.At(start, s.pos)
	return n
}

// value reads the value at pos. It returns nil for null, and when failed.
func (s *scanner) value(depth int) *written.Node {
	start := s.pos
	switch c := s.peek(); {
	case c == '{' || c == '[':
		if depth++; depth > written.MaxDepth {
			s.failed = true
			s.problems.Add(written.DepthProblem(s.file.At(start, start+1)))
			return nil
		}
		if c == '{' {
			return s.object(depth)
		}
		return s.array(depth)
	case c == '"':
		text := s.str()
		if s.failed {
			return nil
		}
		n := s.node(written.String, start)
		n.Text = text
		return n
	case c == '-' || c >= '0' && c <= '9':
		return s.number()
	}
	for s.pos < len(s.text) && (s.text[s.pos]|0x20 >= 'a' && s.text[s.pos]|0x20 <= 'z') {
		s.pos++
	}
	switch word := s.text[start:s.pos]; word {
	case "true", "false":
		n := s.node(written.Bool, start)
		n.Text = word
		return n
	case "null":
		if len(s.problems) < mostProblems {
			s.problems.Addf(NullValue, s.file.At(start, s.pos), "null says neither absent nor unknown").
				Hint("leave the key out, or write what is meant")
		}
		return nil
	case "":
		s.expected("a value")
	default:
		p := s.fail(start, s.pos-start, "a value is needed here")
		if lower := strings.ToLower(word); lower == "true" || lower == "false" {
			p.Hint("write %s", lower)
			break
		}
		p.Hint("a text needs quotes: %q", word)
	}
	return nil
}

func (s *scanner) object(depth int) *written.Node {
	n := s.node(written.Table, s.pos)
	s.pos++
	base := len(s.entries)
	var index map[string]int // name to position after base, once there are many
	if s.space(); s.peek() == '}' {
		s.pos++
		n.At.End = s.pos
		return n
	}
	for {
		start := s.pos
		if s.peek() != '"' {
			s.expected("a key in double quotes")
			return nil
		}
		name := s.str()
		if s.failed {
			return nil
		}
		key := s.file.At(start, s.pos)
		first := s.find(base, index, name)
		if s.space(); s.peek() != ':' {
			s.expected("a colon")
			return nil
		}
		s.pos++
		s.space()
		value := s.value(depth)
		if s.failed {
			return nil
		}
		switch {
		case first != nil:
			if len(s.problems) < mostProblems {
				s.problems.Addf(written.DuplicateKey, key, "the key %q is written twice", name).
					Beside(first.At, "first written here").Hint("keep one of them")
			}
		case value != nil:
			value.Key = key
			s.entries = append(s.entries, written.Entry{Name: name, At: key, Value: value})
		default: // null: remembered so that a repeated key is found, dropped below
			s.entries = append(s.entries, written.Entry{Name: name, At: key})
		}
		if first == nil {
			index = s.remember(base, index)
		}
		if s.space(); s.peek() == ',' {
			s.pos++
			if value != nil && value.Kind == written.Integer && s.decimalComma(value) {
				return nil
			}
			if s.space(); s.peek() == '}' {
				s.expected("one more key")
				s.problems[len(s.problems)-1].Hint("delete the comma before it")
				return nil
			}
			continue
		}
		if s.peek() != '}' {
			s.expected("a comma or }")
			return nil
		}
		s.pos++
		n.At.End = s.pos
		n.Entries = s.cutEntries(base)
		return n
	}
}

// find returns the entry of the open object with a name, or nil.
func (s *scanner) find(base int, index map[string]int, name string) *written.Entry {
	if index != nil {
		if i, ok := index[name]; ok {
			return &s.entries[base+i]
		}
		return nil
	}
	for i := base; i < len(s.entries); i++ {
		if s.entries[i].Name == name {
			return &s.entries[i]
		}
	}
	return nil
}

// remember puts the entry added last into the index of a wide object.
func (s *scanner) remember(base int, index map[string]int) map[string]int {
	n := len(s.entries) - base
	if index == nil {
		if n < wide {
			return nil
		}
		index = make(map[string]int, 2*wide)
		for i := range n {
			index[s.entries[base+i].Name] = i
		}
	}
	index[s.entries[base+n-1].Name] = n - 1
	return index
}

// cutEntries takes the entries from base off the stack, without the nulls.
func (s *scanner) cutEntries(base int) []written.Entry {
	open := s.entries[base:]
	if len(open) > len(s.table) {
		s.table = make([]written.Entry, max(32, len(open)))
	}
	out := s.table[:0:len(open)]
	for _, e := range open {
		if e.Value != nil {
			out = append(out, e)
		}
	}
	s.table = s.table[len(open):]
	s.entries = s.entries[:base]
	return out
}

func (s *scanner) array(depth int) *written.Node {
	n := s.node(written.Array, s.pos)
	s.pos++
	base := len(s.items)
	if s.space(); s.peek() == ']' {
		s.pos++
		n.At.End = s.pos
		return n
	}
	for {
		item := s.value(depth)
		if s.failed {
			return nil
		}
		if item != nil {
			s.items = append(s.items, item)
		}
		if s.space(); s.peek() == ',' {
			s.pos++
			if s.space(); s.peek() == ']' {
				s.expected("one more value")
				s.problems[len(s.problems)-1].Hint("delete the comma before it")
				return nil
			}
			continue
		}
		if s.peek() != ']' {
			s.expected("a comma or ]")
			return nil
		}
		s.pos++
		n.At.End = s.pos
		open := s.items[base:]
		if len(open) > len(s.list) {
			s.list = make([]*written.Node, max(32, len(open)))
		}
		n.Items = append(s.list[:0:len(open)], open...)
		s.list = s.list[len(open):]
		s.items = s.items[:base]
		return n
	}
}
