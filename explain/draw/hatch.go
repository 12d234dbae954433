package draw

import (
	"math"
	"slices"
)

// Pattern is a fill that can be told from another without colour.
type Pattern uint8

const (
	Plain      Pattern = iota
	Rising             // lines like / , material cut through or worn
	Falling            // lines like \
	Crossed            // both, dense
	Dots               // a grid of dots
	Upright            // vertical lines
	Level              // horizontal lines
	RisingThin         // lines like / , wide apart and thin
)

// hatching describes a family of parallel lines: direction in degrees, distance
// and thickness in points.
type hatching struct{ angle, gap, width float64 }

var hatchings = map[Pattern][]hatching{
	Rising:     {{-45, 4, 0.8}},
	Falling:    {{45, 4, 0.8}},
	Crossed:    {{-45, 3.4, 0.9}, {45, 3.4, 0.9}},
	Upright:    {{90, 3, 0.7}},
	Level:      {{0, 3, 0.7}},
	RisingThin: {{-45, 7, 0.5}},
}

// maxStrokes bounds the hatching of one shape.
const maxStrokes = 2000

// Hatch returns the marks of a shape's pattern as lines and dots already cut to the
// outline of the shape, so that a writer needs neither patterns nor clipping. It
// returns nil for shapes without a pattern.
func Hatch(s Shape) []Shape {
	var st Style
	var outline []Point
	switch s := s.(type) {
	case Line:
		st, outline = s.Style, s.Points
	case Curve:
		st, outline = s.Style, flatten(s)
	case Box:
		st = s.Style
		outline = rounded(s)
	case Circle:
		st, outline = s.Style, ring(s.X, s.Y, s.R, 48)
	default:
		return nil
	}
	if st.Pattern == Plain || len(outline) < 3 {
		return nil
	}
	colour := st.PatternColour
	if colour == None {
		colour = Ink
	}
	if st.Pattern == Dots {
		return dots(outline, colour)
	}
	var out []Shape
	for _, h := range hatchings[st.Pattern] {
		out = append(out, h.strokes(outline, colour)...)
	}
	return out
}

// Layers takes a shape apart into what a writer paints in turn: the ground, the marks
// of the pattern, the outline. None of them has a pattern left.
func Layers(s Shape) []Shape {
	marks := Hatch(s)
	if marks == nil {
		return []Shape{s}
	}
	fill, stroke := split(s)
	return append(append([]Shape{fill}, marks...), stroke)
}

// split separates a shape's ground from its outline, between which hatching goes.
// The note stays on the outline, which lies on top.
func split(s Shape) (fill, stroke Shape) {
	ground := func(st Style) Style { return Style{Fill: st.Fill} }
	edge := func(st Style) Style { st.Fill, st.Pattern = None, Plain; return st }
	switch s := s.(type) {
	case Line:
		f := s
		f.Style, s.Style = ground(s.Style), edge(s.Style)
		return f, s
	case Curve:
		f := s
		f.Style, s.Style = ground(s.Style), edge(s.Style)
		return f, s
	case Box:
		f := s
		f.Style, s.Style = ground(s.Style), edge(s.Style)
		return f, s
	case Circle:
		f := s
		f.Style, s.Style = ground(s.Style), edge(s.Style)
		return f, s
	}
	return s, s
}

// strokes cuts the family's lines to a polygon, by the even-odd rule. Lines keep
// their place in the picture, so that neighbouring shapes hatch alike.
func (h hatching) strokes(poly []Point, c Colour) []Shape {
	sin, cos := math.Sincos(h.angle * math.Pi / 180)
	// u runs along the lines, v across them.
	u := func(p Point) float64 { return p.X*cos + p.Y*sin }
	v := func(p Point) float64 { return -p.X*sin + p.Y*cos }
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range poly {
		low, high = min(low, v(p)), max(high, v(p))
	}
	gap := h.gap
	if (high-low)/gap > maxStrokes {
		gap = (high - low) / maxStrokes
	}
	var out []Shape
	for k := math.Floor(low/gap) + 0.5; k*gap < high; k++ {
		at := k * gap
		var cuts []float64
		for i, p := range poly {
			q := poly[(i+1)%len(poly)]
			if (v(p) <= at) != (v(q) <= at) {
				t := (at - v(p)) / (v(q) - v(p))
				cuts = append(cuts, u(p)+t*(u(q)-u(p)))
			}
		}
		slices.Sort(cuts)
		for i := 0; i+1 < len(cuts); i += 2 {
			if cuts[i+1]-cuts[i] < 0.3 {
				continue
			}
			out = append(out, Line{
				Points: []Point{{cuts[i]*cos - at*sin, cuts[i]*sin + at*cos}, {cuts[i+1]*cos - at*sin, cuts[i+1]*sin + at*cos}},
				Style:  Style{Stroke: c, Width: h.width},
			})
		}
	}
	return out
}

func dots(poly []Point, c Colour) []Shape {
	const r = 0.75
	x0, y0, x1, y1 := bounds(poly)
	// A large shape gets its dots wider apart, never none.
	gap := max(3.8, math.Sqrt((x1-x0)*(y1-y0)/maxStrokes))
	var out []Shape
	for j := math.Floor(y0 / gap); j*gap <= y1; j++ {
		for i := math.Floor(x0 / gap); i*gap <= x1; i++ {
			p := Point{i * gap, j * gap}
			if int(j)&1 != 0 {
				p.X += gap / 2
			}
			if inside(poly, Point{p.X - r, p.Y}) && inside(poly, Point{p.X + r, p.Y}) && inside(poly, Point{p.X, p.Y - r}) && inside(poly, Point{p.X, p.Y + r}) {
				out = append(out, Circle{X: p.X, Y: p.Y, R: r, Style: Style{Fill: c}})
			}
		}
	}
	return out
}

func inside(poly []Point, p Point) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

func bounds(pts []Point) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range pts {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
	}
	return
}

// ring is a circle as a polygon of n corners.
func ring(x, y, r float64, n int) []Point {
	pts := make([]Point, n)
	for i := range pts {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		pts[i] = Point{x + r*cos, y + r*sin}
	}
	return pts
}

// rounded is the outline of a box, its corners cut into four.
func rounded(b Box) []Point {
	r := min(b.Round, b.W/2, b.H/2)
	if r <= 0 {
		return []Point{{b.X, b.Y}, {b.X + b.W, b.Y}, {b.X + b.W, b.Y + b.H}, {b.X, b.Y + b.H}}
	}
	var pts []Point
	middles := []Point{{b.X + b.W - r, b.Y + b.H - r}, {b.X + r, b.Y + b.H - r}, {b.X + r, b.Y + r}, {b.X + b.W - r, b.Y + r}}
	for q, m := range middles {
		for i := 0; i <= 4; i++ {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(q) + float64(i)/4))
			pts = append(pts, Point{m.X + r*cos, m.Y + r*sin})
		}
	}
	return pts
}

// flatten turns a curve into points, twelve for each cubic.
func flatten(c Curve) []Point {
	pts := []Point{c.Start}
	from := c.Start
	for _, k := range c.Cubics {
		for i := 1; i <= 12; i++ {
			pts = append(pts, bezier(from, k, float64(i)/12))
		}
		from = k[2]
	}
	return pts
}

// bezier is the point at t, 0 to 1, of the cubic from a over k[0] and k[1] to k[2].
func bezier(a Point, k [3]Point, t float64) Point {
	s := 1 - t
	c0, c1, c2, c3 := s*s*s, 3*s*s*t, 3*s*t*t, t*t*t
	return Point{c0*a.X + c1*k[0].X + c2*k[1].X + c3*k[2].X, c0*a.Y + c1*k[0].Y + c2*k[1].Y + c3*k[2].Y}
}
