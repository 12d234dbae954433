// Package draw makes the pictures of an explanation: the map of causes, the
// weights of one cause, a section of bore on shaft, readings against limits, and
// the assembly seat by seat.
//
// Start with the input of one picture ([CauseMap], [WeightChart], [Section],
// [LimitBars], [Assembly]); its Draw gives a [Picture], a list of shapes that any
// writer of lines and text can draw. [SVG] is one such writer; another draws what
// [Layers] gives for each shape in turn, and needs neither patterns nor clipping.
//
// The package knows nothing of packs and runs: the inputs are plain structs whose
// words and verdicts the caller has settled. It draws them and decides nothing.
// Every picture can be read without colour: what a colour says is also said by a
// pattern, a line or a word.
package draw

import (
	"errors"
	"fmt"
	"math"
)

// A Picture is a display list. All lengths are points (1/72 inch), x to the right,
// y downwards, the origin in the top left corner.
type Picture struct {
	Width, Height float64
	// Title is one line; Desc tells in words everything the picture shows.
	Title, Desc string
	// Shapes are drawn in order, later ones over earlier ones.
	Shapes []Shape
}

// A Shape is a [Line], [Curve], [Box], [Circle] or [Text].
type Shape interface{ shape() }

// Point is a place in the picture, in points.
type Point struct{ X, Y float64 }

// Line is a polyline, or a polygon if Closed.
type Line struct {
	Points []Point
	Closed bool
	Style
}

// Curve is a path of cubic Béziers. Each element of Cubics holds the two control
// points and the end point; the next cubic starts where this one ends.
type Curve struct {
	Start  Point
	Cubics [][3]Point
	Style
}

// Box is a rectangle with its top left corner at X, Y; Round is the corner radius.
type Box struct {
	X, Y, W, H, Round float64
	Style
}

// Circle has its middle at X, Y and the radius R.
type Circle struct {
	X, Y, R float64
	Style
}

// Text is one line of text; Y is the baseline.
type Text struct {
	X, Y   float64
	Text   string
	Size   float64
	Bold   bool
	Italic bool
	Anchor Anchor
	Colour Colour
	// Full is the whole text where Text was shortened, else empty.
	Full string
}

func (Line) shape()   {}
func (Curve) shape()  {}
func (Box) shape()    {}
func (Circle) shape() {}
func (Text) shape()   {}

// Style says how a shape is painted: first Fill, then Pattern, then Stroke. The
// zero value paints nothing.
type Style struct {
	Fill    Colour
	Pattern Pattern
	// PatternColour is Ink unless set.
	PatternColour Colour
	Stroke        Colour
	// Width of the stroke in points; 0 stands for 1.
	Width float64
	Dash  Dash
	// Note is the full text behind a shape, shown when pointed at; may be empty.
	Note string
}

// Anchor says which point of a text stands at its X.
type Anchor uint8

const (
	Start Anchor = iota
	Middle
	End
)

// Colour is a role, not a hue: each writer chooses hues for light and dark.
type Colour uint8

const (
	None   Colour = iota
	Paper         // the ground
	Ink           // lines and text
	Soft          // secondary text
	Faint         // guide lines
	Wash          // a light ground for a panel
	Accent        // what is wrong, or where to look first
	Calm          // what is right
)

// RGB gives the hue on white paper, 0 to 255 each. None is white.
func (c Colour) RGB() (r, g, b uint8) {
	h := lightHues[c]
	return uint8(h >> 16), uint8(h >> 8), uint8(h)
}

// Contrast against the ground is at least 4.5 to 1 for Ink, Soft, Accent and Calm
// in both lists (WCAG 2.2, success criterion 1.4.3); a test computes it.
var (
	lightHues = [...]uint32{None: 0xffffff, Paper: 0xffffff, Ink: 0x1b1f24, Soft: 0x535b65, Faint: 0xb9c0c8, Wash: 0xf0f2f4, Accent: 0xa3340f, Calm: 0x1f5f8b}
	darkHues  = [...]uint32{None: 0x15181c, Paper: 0x15181c, Ink: 0xe8eaed, Soft: 0xa9b2bc, Faint: 0x525b66, Wash: 0x23282e, Accent: 0xff9d73, Calm: 0x8cc4f0}
)

// Dash is the manner of a stroke.
type Dash uint8

const (
	Solid Dash = iota
	Dashed
	Dotted
)

// Lengths gives the strokes and gaps of d in points, nil if solid.
func (d Dash) Lengths() []float64 {
	switch d {
	case Dashed:
		return []float64{4, 2.5}
	case Dotted:
		return []float64{1, 2}
	}
	return nil
}

// maxText is the longest text, in characters, that is kept behind a shortened one.
const maxText = 20_000

// finite reports an error naming the first number that is not finite.
func finite(what string, vs ...float64) error {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%s is not a finite number, so it cannot be drawn", what)
		}
		if math.Abs(v) > 1e12 {
			return fmt.Errorf("%s is too large to be drawn", what)
		}
	}
	return nil
}

var errEmpty = errors.New("there is nothing to draw")

// pen collects shapes. Its methods clean and measure text, so that no picture
// handles text from strangers by itself.
type pen struct{ shapes []Shape }

func (p *pen) add(s ...Shape) { p.shapes = append(p.shapes, s...) }

func (p *pen) line(st Style, pts ...Point) {
	p.add(Line{Points: pts, Style: st})
}

func (p *pen) polygon(st Style, pts ...Point) {
	p.add(Line{Points: pts, Closed: true, Style: st})
}

// text writes s in one line no wider than width (0: any), shortened if need be.
func (p *pen) text(x, y, width float64, s string, f face, a Anchor, c Colour) {
	s = clean(s)
	if s == "" {
		return
	}
	t := Text{X: x, Y: y, Text: s, Size: f.size, Bold: f.bold, Italic: f.italic, Anchor: a, Colour: c}
	if width > 0 {
		if short := f.shorten(s, width); short != s {
			t.Text, t.Full = short, s
		}
	}
	p.add(t)
}

// lines writes wrapped lines from the first baseline y on and returns the next
// baseline. The last line carries full if the text was shortened.
func (p *pen) lines(x, y float64, w wrapped, f face, a Anchor, c Colour) float64 {
	for i, l := range w.lines {
		t := Text{X: x, Y: y, Text: l, Size: f.size, Bold: f.bold, Italic: f.italic, Anchor: a, Colour: c}
		if i == len(w.lines)-1 {
			t.Full = w.full
		}
		p.add(t)
		y += f.leading()
	}
	return y
}

// head draws a filled arrow head whose tip is at tip, pointing along (dx, dy).
func (p *pen) head(tip Point, dx, dy, size float64, c Colour) {
	l := math.Hypot(dx, dy)
	if l == 0 {
		return
	}
	dx, dy = dx/l, dy/l
	bx, by := tip.X-dx*size, tip.Y-dy*size
	h := size * 0.42
	p.polygon(Style{Fill: c}, tip, Point{bx - dy*h, by + dx*h}, Point{bx + dy*h, by - dx*h})
}

// arrow draws a straight arrow from a to b.
func (p *pen) arrow(st Style, a, b Point) {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return
	}
	const size = 6
	k := (l - size*0.8) / l
	p.line(st, a, Point{a.X + (b.X-a.X)*k, a.Y + (b.Y-a.Y)*k})
	p.head(b, b.X-a.X, b.Y-a.Y, size, st.Stroke)
}

// picture closes the list. Title and desc are cleaned here, once.
func (p *pen) picture(w, h float64, title, desc string) *Picture {
	return &Picture{Width: math.Ceil(w), Height: math.Ceil(h), Title: cut(clean(title), 300), Desc: cut(clean(desc), maxText), Shapes: p.shapes}
}
