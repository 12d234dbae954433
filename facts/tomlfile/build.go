package tomlfile

import (
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// origin is how a table or array came to be, which decides what may be added to
// it later. Values, that is inline tables and plain arrays, have none and are
// closed once written.
type origin uint8

const (
	byValue      origin = iota
	byPath              // an inner part of a header: [a.b] makes a
	byHeader            // [a], or one element of [[a]]
	byDots              // an inner part of a dotted key: a.b = 1 makes a
	arrayHeaders        // the array of all [[a]]
)

// mostProblems of one file are told; reading stops there.
const mostProblems = 200

// wide is the number of keys past which a table gets an index for the search of
// repeated keys.
const wide = 32

// builder makes the tree from the expressions of the positional parser.
type builder struct {
	file     *source.File
	text     string // file content: scalars are pieces of it
	parser   unstable.Parser
	problems source.Problems
	names    map[string]string // each key name once
	origins  map[*written.Node]origin
	indexes  map[*written.Node]map[string]int // of wide tables
	slab     []written.Node
	entries  []written.Entry // keeps the entries of many tables
	items    []*written.Node // keeps the items of many arrays
	stopped  bool            // too deep or too many faults
	// doubtful: the file has something in which the positional parser is more
	// lenient than TOML, see plain.go.
	doubtful bool
}

// build returns the tree, and whether the second library must still be asked.
func build(f *source.File) (root *written.Node, problems source.Problems, doubtful bool) {
	b := &builder{
		file:    f,
		text:    string(f.Data),
		names:   map[string]string{},
		origins: map[*written.Node]origin{},
	}
	b.doubtful = strings.IndexByte(b.text, '\r') >= 0
	root = b.node(written.Table, 0, 0)
	table, depth := root, 0
	b.parser.Reset(f.Data)
	for !b.stopped && b.parser.NextExpression() {
		if len(b.problems) >= mostProblems {
			b.stopped = true
			break
		}
		switch e := b.parser.Expression(); e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table, depth = b.header(root, e)
		case unstable.KeyValue:
			b.keyValue(table, e, depth)
		}
	}
	if err := b.parser.Error(); err != nil && !b.stopped {
		b.problems.Add(b.syntaxProblem(err))
		return nil, b.problems, false
	}
	if b.stopped {
		return nil, b.problems, false
	}
	return root, b.problems, b.doubtful
}

func (b *builder) node(kind written.Kind, start, end int) *written.Node {
	if len(b.slab) == 0 {
		b.slab = make([]written.Node, 128)
	}
	n := &b.slab[0]
	b.slab = b.slab[1:]
	n.Kind, n.At = kind, b.file.At(start, end)
	return n
}

func (b *builder) name(key *unstable.Node) string {
	if s, ok := b.names[string(key.Data)]; ok {
		return s
	}
	b.doubtful = b.doubtful || strings.IndexByte(b.text[key.Raw.Offset:key.Raw.Offset+key.Raw.Length], '\\') >= 0
	s := string(key.Data)
	b.names[s] = s
	return s
}

func (b *builder) keySpan(key *unstable.Node) source.Span {
	return b.file.At(int(key.Raw.Offset), int(key.Raw.Offset+key.Raw.Length))
}

// find returns the entry of a table, or nil.
func (b *builder) find(table *written.Node, name string) *written.Entry {
	if len(table.Entries) <= wide {
		for i := range table.Entries {
			if table.Entries[i].Name == name {
				return &table.Entries[i]
			}
		}
		return nil
	}
	index := b.indexes[table]
	if index == nil {
		index = make(map[string]int, 2*wide)
		if b.indexes == nil {
			b.indexes = map[*written.Node]map[string]int{}
		}
		b.indexes[table] = index
		for i, e := range table.Entries {
			index[e.Name] = i
		}
	}
	if i, ok := index[name]; ok {
		return &table.Entries[i]
	}
	return nil
}

func (b *builder) add(table *written.Node, name string, key source.Span, value *written.Node) {
	value.Key = key
	if index := b.indexes[table]; index != nil {
		index[name] = len(table.Entries)
	}
	if table.Entries == nil {
		table.Entries = b.entriesFor(usualKeys)
	}
	table.Entries = append(table.Entries, written.Entry{Name: name, At: key, Value: value})
}

// usualKeys is how many keys a table under a header gets room for.
const usualKeys = 8

func (b *builder) entriesFor(n int) []written.Entry {
	if cap(b.entries)-len(b.entries) < n {
		b.entries = make([]written.Entry, 0, max(64, n))
	}
	at := len(b.entries)
	b.entries = b.entries[:at+n]
	return b.entries[at : at : at+n]
}

func (b *builder) itemsFor(n int) []*written.Node {
	if cap(b.items)-len(b.items) < n {
		b.items = make([]*written.Node, 0, max(128, n))
	}
	at := len(b.items)
	b.items = b.items[:at+n]
	return b.items[at : at : at+n]
}

// children counts what an array or inline table holds.
func children(n *unstable.Node) (count int) {
	for it := n.Children(); it.Next(); {
		count++
	}
	return count
}

func (b *builder) tooDeep(at source.Span) {
	b.stopped = true
	b.problems.Add(written.DepthProblem(at))
}

// header enters the table of a [header] or [[header]] and returns it with its
// depth. After a clash it returns a table that is not in the tree, so that the
// keys that follow are still checked among themselves.
func (b *builder) header(root *written.Node, e *unstable.Node) (*written.Node, int) {
	table, depth := root, 0
	at := b.headerSpan(e)
	for it := e.Key(); it.Next(); {
		part := it.Node()
		name, key := b.name(part), b.keySpan(part)
		if depth++; depth > written.MaxDepth {
			b.tooDeep(key)
			return root, 0
		}
		entry := b.find(table, name)
		last := it.IsLast()
		array := last && e.Kind == unstable.ArrayTable
		switch {
		case entry == nil && array:
			list := b.node(written.Array, at.Start, at.End)
			b.origins[list] = arrayHeaders
			b.add(table, name, key, list)
			table = b.element(list, at)
		case entry == nil:
			next := b.node(written.Table, at.Start, at.End)
			b.origins[next] = byPath
			if last {
				b.origins[next] = byHeader
			}
			b.add(table, name, key, next)
			table = next
		default:
			next := b.enter(entry, at, key, last, array)
			if next == nil {
				return b.node(written.Table, at.Start, at.End), depth
			}
			table = next
		}
	}
	return table, depth
}

// enter goes to the table an entry leads to for a header, or reports why it
// cannot and returns nil.
func (b *builder) enter(entry *written.Entry, at, key source.Span, last, array bool) *written.Node {
	next := entry.Value
	from := b.origins[next]
	switch {
	case array && from == arrayHeaders:
		return b.element(next, at)
	case !last && from == arrayHeaders:
		return next.Items[len(next.Items)-1]
	case !last && from != byValue:
		return next
	case last && !array && from == byPath:
		b.origins[next] = byHeader
		next.At = at
		return next
	case last && !array && (from == byHeader || from == byDots):
		p := b.problems.Addf(written.DuplicateKey, at, "the table %q is written twice", entry.Name)
		p.Beside(next.Place(), "first written here")
		if from == byHeader {
			p.Beside(next.At, "first written here").
				Hint("put the keys of both under one header, or write [[%s]] for several of a kind", entry.Name)
		}
		return nil
	}
	if !array && next.Kind == written.Table {
		b.closed(entry, key)
		return nil
	}
	what := next.Kind.String()
	if from == arrayHeaders {
		what = "an array of tables"
	}
	wants := "a table"
	if array {
		wants = "an array of tables"
	}
	p := b.problems.Addf(KeyClash, key, "%q is %s already and cannot be %s too", entry.Name, what, wants).
		Beside(entry.At, "first written here")
	if from == arrayHeaders {
		p.Hint("write [[%s]] for one more of a kind", entry.Name)
	}
	return nil
}

func (b *builder) element(list *written.Node, at source.Span) *written.Node {
	n := b.node(written.Table, at.Start, at.End)
	list.Items = append(list.Items, n)
	return n
}

// headerSpan returns the place of a header with its brackets.
func (b *builder) headerSpan(e *unstable.Node) source.Span {
	brackets := 1
	if e.Kind == unstable.ArrayTable {
		brackets = 2
	}
	start, end := -1, 0
	for it := e.Key(); it.Next(); {
		raw := it.Node().Raw
		if start < 0 {
			start = int(raw.Offset)
		}
		end = int(raw.Offset + raw.Length)
	}
	for start > 0 && b.text[start] != '[' {
		start--
	}
	for end < len(b.text) && b.text[end] != ']' {
		end++
	}
	return b.file.At(start-brackets+1, min(end+brackets, len(b.text)))
}

// keyValue puts the value of key = value into a table and returns the offset
// after the value.
func (b *builder) keyValue(table *written.Node, e *unstable.Node, depth int) int {
	blocked := false // a clash was reported: read the value, but leave it out
	for it := e.Key(); it.Next(); {
		part := it.Node()
		key := b.keySpan(part)
		if depth++; depth > written.MaxDepth {
			b.tooDeep(key)
			return key.End
		}
		var name string
		var entry *written.Entry
		if !blocked {
			name = b.name(part)
			entry = b.find(table, name)
		}
		if it.IsLast() {
			if entry != nil {
				b.problems.Addf(written.DuplicateKey, key, "the key %q is written twice", name).
					Beside(entry.At, "first written here").Hint("keep one of them")
			}
			value, end := b.value(e.Value(), b.afterEquals(key.End), depth)
			if entry == nil && !blocked {
				b.add(table, name, key, value)
			}
			return end
		}
		switch {
		case blocked:
		case entry == nil:
			next := b.node(written.Table, key.Start, key.End)
			b.origins[next] = byDots
			b.add(table, name, key, next)
			table = next
		case entry.Value.Kind == written.Table && (b.origins[entry.Value] == byDots || b.origins[entry.Value] == byPath):
			table = entry.Value
		default:
			blocked = true
			b.closed(entry, key)
		}
	}
	return 0
}

// closed reports a dotted key that reaches into something that takes no more.
func (b *builder) closed(entry *written.Entry, key source.Span) {
	value := entry.Value
	switch {
	case value.Kind != written.Table && value.Kind != written.Array:
		b.problems.Addf(KeyClash, key, "%q is %s already and cannot be a table too", entry.Name, value.Kind).
			Beside(entry.At, "first written here")
	default:
		b.problems.Addf(written.DuplicateKey, key, "%q is written in full elsewhere and takes no more keys here", entry.Name).
			Beside(value.Place(), "written here").Hint("put the key there")
	}
}

// The positional parser gives no range for arrays and only the bracket for
// inline tables: their ends are found from the end of the last child.

// afterEquals returns the offset of the value that follows a key ending at pos.
func (b *builder) afterEquals(pos int) int {
	for pos < len(b.text) && strings.IndexByte(" \t=", b.text[pos]) >= 0 {
		pos++
	}
	return pos
}

// between skips what may stand between two values: white space, line breaks,
// commas and comments.
func (b *builder) between(pos int) int {
	for pos < len(b.text) {
		switch b.text[pos] {
		case ' ', '\t', '\r', '\n', ',':
			pos++
		case '#':
			for pos < len(b.text) && b.text[pos] != '\n' {
				pos++
			}
		default:
			return pos
		}
	}
	return pos
}
