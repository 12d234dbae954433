package record

import (
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Column is the run of slots that holds one property for all parts of its
// kind: the fact of the part with ordinal i stands in slot First+i.
type Column struct {
	Prop  *vocab.Property
	First int32
	N     int32
}

// Columns says in which slot the fact of a part and a concluded or computed
// property stands. It is immutable and shared by all results of one binding.
type Columns struct {
	Of   []Column // by kind index, then property index
	Size int32    // slots altogether
	at   [][]int32
	// By kind index, the columns of its findings: indexes in Of.
	findings [][]int32
}

// NewColumns lays out the properties that keep reports true for, for the parts
// of a layout.
func NewColumns(l *rules.Layout, keep func(*vocab.Property) bool) *Columns {
	kinds := l.Pack.Vocabulary.Kinds
	c := &Columns{at: make([][]int32, len(kinds)), findings: make([][]int32, len(kinds))}
	for k, kind := range kinds {
		at := make([]int32, len(kind.Properties))
		n := int32(len(l.OfKind[k]))
		for i, p := range kind.Properties {
			at[i] = -1
			if keep(p) {
				at[i] = c.Size
				if isFinding(p) {
					c.findings[k] = append(c.findings[k], int32(len(c.Of)))
				}
				c.Of = append(c.Of, Column{p, c.Size, n})
				c.Size += n
			}
		}
		c.at[k] = at
	}
	return c
}

// First is the first slot of a property, or -1 if it has none.
func (c *Columns) First(p *vocab.Property) int32 {
	if c == nil || p.Kind.Index >= len(c.at) || p.Index >= len(c.at[p.Kind.Index]) {
		return -1
	}
	return c.at[p.Kind.Index][p.Index]
}

// Slot is where the fact of a part stands, or -1 if the part is of another
// kind or the property is neither concluded nor computed.
func (c *Columns) Slot(p *rules.Part, prop *vocab.Property) int32 {
	first := c.First(prop)
	if first < 0 || p.Kind != prop.Kind {
		return -1
	}
	return first + p.Ordinal
}
