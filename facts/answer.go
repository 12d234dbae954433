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
	// Repeats is how many readings the value is the mean of, 0 = not told.
	Repeats int
	At      source.Span
}

// BadRepeats is the code of a number of readings that cannot be.
var BadRepeats = source.Declare("bad-repeats", "the number of readings a value is the mean of is no whole number from 1")

const mostRepeats = 1000

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
	if n, ok := r.Int("repeats"); ok {
		if n < 1 || n > mostRepeats {
			ps.Addf(BadRepeats, r.At("repeats"), "answer: repeats is a whole number from 1 to %d", mostRepeats)
		} else {
			a.Repeats = n
		}
	}
	r.Close()
	if a.Is != nil {
		a.At = a.Is.At
	}
	return a
}
