// Package note makes the note that goes to the owner: what became of a machine,
// why, and what to do about it, on paper or on a screen. Start with [Of], which
// makes the [Content] of a diagnosis and its photographs; [Text], [Markdown],
// [HTML] and [PDF] write it. Every form says the same, because each is a loop
// over the same blocks.
//
// No form holds a clock: equal inspections, packs and photographs give equal
// bytes. All strings of a Content are as strangers wrote them; each writer
// escapes them for its own form.
package note

import (
	"time"

	"whyworn/explain/draw"
)

// Content is one note: what it says, without any form.
type Content struct {
	Title   string // of the note
	Machine string // what it is about, for the head of every page
	Author  string // who made the inspection, "" if nobody said
	Date    string // of the inspection, as written
	// Dated is the inspection's date, the zero time if none was given. Forms that
	// must have a date in them take this one.
	Dated  time.Time
	Blocks []Block
}

// A Block is a [Heading], [Paragraph], [List], [Details], [Table], [Tasks],
// [Figure], [Photograph] or [Signing].
type Block interface{ block() }

// Heading begins a section (level 2) or a piece of one (level 3).
type Heading struct {
	Level int
	Text  string
}

// Paragraph is running text. Lead is set in bold before it.
type Paragraph struct {
	Lead, Text string
	Manner     Manner
}

// Manner says how a paragraph stands on the page.
type Manner uint8

const (
	Normal Manner = iota
	Notice        // what must not be missed
	Small         // an explanation below something else
)

// List is a list of points, numbered or not.
type List struct {
	Numbered bool
	Dense    bool // long, and looked up rather than read: set small
	Items    []Item
}

// Item is one point of a list.
type Item struct{ Lead, Text string }

// Details are names with what stands to each.
type Details []Item

// Table is rows under a head that is repeated on each page.
type Table struct {
	Caption string // what the table holds; forms may leave it to screen readers
	Head    []string
	Rows    [][]string // the first cell names the row
	// Shares says how wide the columns want to be, beside each other.
	Shares []float64
	// Right marks columns of numbers.
	Right []bool
	// Strong marks rows that call for attention.
	Strong []bool
}

// Tasks is what to do, in order, each with a box to tick.
type Tasks []Task

// Task is one thing to do.
type Task struct {
	Title  string
	Tag    string // when it is to be done, such as "before new parts go in"
	Steps  []string
	Worked string // by what it shows that it worked
	Until  string // the machine does not run until this is so
}

// Figure is a drawing.
type Figure struct {
	Number  int
	Picture *draw.Picture
	Repeats bool // what it shows stands in words beside it; forms of text leave it out
}

// Photograph is one photograph with its caption, or the gap where it should be.
type Photograph struct {
	Number  int
	File    string // as the inspection names it
	Caption string
	JPEG    []byte // upright, resized; nil if it cannot be shown
	W, H    int    // in pixels
	Gap     string // why it cannot be shown
}

// Signing is the place for names and signatures.
type Signing []string

func (Heading) block()    {}
func (Paragraph) block()  {}
func (List) block()       {}
func (Details) block()    {}
func (Table) block()      {}
func (Tasks) block()      {}
func (Figure) block()     {}
func (Photograph) block() {}
func (Signing) block()    {}
