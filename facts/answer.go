package facts

import (
	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Answer is what was written for one property: a value, and perhaps more.
type Answer struct {
	Is    *written.Node // the value itself
	By    string        // the means: dye, magnet, eye
	Where string
	Photo string
	Sure  string
	Tool  string        // name of the instrument
	Temp  *written.Node // temperature of the part when it was measured
	At    source.Span
}

// ReadAnswer reads a value, or { is = value, by = …, where = … }.
func ReadAnswer(n *written.Node, ps *source.Problems) *Answer {
	if n.Kind != written.Table {
		return &Answer{Is: n, At: n.At}
	}
	r := written.Open(n, ps, "answer")
	a := &Answer{
		Is: r.Node("is", written.Required), By: r.String("by"), Where: r.String("where"), Photo: r.String("photo"),
		Sure: r.String("sure"), Tool: r.String("tool"), Temp: r.Node("temp"), At: n.At,
	}
	r.Close()
	if a.Is != nil {
		a.At = a.Is.At
	}
	return a
}
