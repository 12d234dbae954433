package tomlfile

import (
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"whyworn/facts/written"
)

// value makes the node of a value that begins at offset start, and returns it
// with the offset after it.
func (b *builder) value(n *unstable.Node, start, depth int) (*written.Node, int) {
	switch n.Kind {
	case unstable.Array:
		return b.array(n, start, depth)
	case unstable.InlineTable:
		return b.inline(n, start, depth)
	}
	end := int(n.Raw.Offset + n.Raw.Length)
	node := b.node(scalarKind(n.Kind), int(n.Raw.Offset), end)
	raw := b.text[n.Raw.Offset:end]
	b.doubtful = b.doubtful || !plain(node.Kind, raw)
	switch {
	case n.Kind != unstable.String:
		node.Text = raw
	case len(n.Data) == len(raw)-2: // no escapes: the text as it stands
		node.Text = raw[1 : len(raw)-1]
	default:
		node.Text = string(n.Data)
	}
	return node, end
}

func scalarKind(k unstable.Kind) written.Kind {
	switch k {
	case unstable.String:
		return written.String
	case unstable.Bool:
		return written.Bool
	case unstable.Integer:
		return written.Integer
	case unstable.Float:
		return written.Float
	case unstable.LocalDate, unstable.LocalTime, unstable.LocalDateTime, unstable.DateTime:
		return written.Date
	}
	panic(fmt.Sprintf("tomlfile: a value of kind %s", k)) // the library grew a kind
}

func (b *builder) array(n *unstable.Node, start, depth int) (*written.Node, int) {
	node := b.node(written.Array, start, start+1)
	if depth++; depth > written.MaxDepth {
		b.tooDeep(node.At)
		return node, start + 1
	}
	pos := start + 1
	if count := children(n); count > 0 {
		node.Items = b.itemsFor(count)
	}
	for it := n.Children(); it.Next() && !b.stopped; {
		if it.Node().Kind == unstable.Comment {
			continue
		}
		var item *written.Node
		item, pos = b.value(it.Node(), b.between(pos), depth)
		node.Items = append(node.Items, item)
	}
	end := min(b.between(pos)+1, len(b.text))
	node.At.End = end
	return node, end
}

func (b *builder) inline(n *unstable.Node, start, depth int) (*written.Node, int) {
	node := b.node(written.Table, start, start+1)
	pos := start + 1
	if count := children(n); count > 0 {
		node.Entries = b.entriesFor(count)
	}
	for it := n.Children(); it.Next() && !b.stopped; {
		if it.Node().Kind == unstable.KeyValue {
			pos = b.keyValue(node, it.Node(), depth)
		}
	}
	end := min(b.between(pos)+1, len(b.text))
	node.At.End = end
	b.doubtful = b.doubtful || strings.IndexByte(b.text[start:end], '\n') >= 0
	return node, end
}
