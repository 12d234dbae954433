package draw

import (
	"math"
	"strconv"
)

const margin = 14.0

// mapDrawing turns a laid-out map into shapes.
type mapDrawing struct {
	pen
	m     *CauseMap
	chart *chart
	pairs [][2]int
	dx    float64
	dy    float64
}

func (d *mapDrawing) picture() *Picture {
	width := max(d.chart.w, 430) + 2*margin
	d.dx = margin + (width-2*margin-d.chart.w)/2
	title := faceTitle.wrap(d.m.Title, width-2*margin, 2)
	y := d.lines(margin, margin+10, title, faceTitle, Start, Ink)
	if len(title.lines) == 0 {
		y = margin
	}
	d.dy = y + 4
	number, texts := d.m.hows()
	for _, f := range d.chart.frames {
		d.frame(f)
	}
	for _, r := range d.chart.routes {
		d.route(r)
	}
	for i := range d.chart.boxes {
		d.box(&d.chart.boxes[i])
	}
	d.badges(number)
	y = d.dy + d.chart.h + 18
	y = d.legend(y, width-2*margin)
	y = d.key(y, width-2*margin, texts)
	return d.pen.picture(width, y+4, d.m.Title, d.m.desc(d.chart))
}

func (d *mapDrawing) at(p Point) Point { return Point{p.X + d.dx, p.Y + d.dy} }

func (d *mapDrawing) frame(f mapFrame) {
	d.add(Box{X: f.x + d.dx, Y: f.y + d.dy, W: f.w, H: f.h, Round: 12,
		Style: Style{Fill: Wash, Stroke: Ink, Width: 1.3, Dash: Dashed}})
	x, y := f.x+d.dx+10, f.y+d.dy+14
	d.turn(x+3, y-2.6, 4.2)
	if d.chart.down {
		d.text(x-2, y+12, 0, "feeds", faceBold, Start, Ink)
		d.text(x-2, y+12+faceBold.leading(), 0, "itself", faceBold, Start, Ink)
		return
	}
	d.text(x+12, y, 0, "feeds itself", faceBold, Start, Ink)
}

// turn draws a small round arrow, the sign of a circle.
func (d *mapDrawing) turn(x, y, r float64) {
	const k = 0.5523 // quarter circle by a cubic
	d.add(Curve{Start: Point{x, y - r}, Cubics: [][3]Point{
		{{x + k*r, y - r}, {x + r, y - k*r}, {x + r, y}},
		{{x + r, y + k*r}, {x + k*r, y + r}, {x, y + r}},
		{{x - k*r, y + r}, {x - r, y + k*r}, {x - r, y}},
	}, Style: Style{Stroke: Ink, Width: 1.2}})
	d.head(Point{x - r, y - 3.4}, 0, -1, 4.6, Ink)
}

// lineOf says how an edge is drawn.
func (d *mapDrawing) lineOf(r mapRoute) Style {
	from, to := d.m.Nodes[d.pairs[r.edge][0]].Role, d.m.Nodes[d.pairs[r.edge][1]].Role
	switch {
	case to == Sign:
		return Style{Stroke: Soft, Width: 1, Dash: Dotted}
	case from >= Open || to >= Open:
		return Style{Stroke: Ink, Width: 1, Dash: Dashed}
	case r.inside:
		return Style{Stroke: Ink, Width: 2}
	}
	return Style{Stroke: Ink, Width: 1.1}
}

func (d *mapDrawing) route(r mapRoute) {
	st := d.lineOf(r)
	c := Curve{Start: d.at(r.curve.Start), Style: st}
	for _, k := range r.curve.Cubics {
		c.Cubics = append(c.Cubics, [3]Point{d.at(k[0]), d.at(k[1]), d.at(k[2])})
	}
	if n := len(c.Cubics); n > 0 {
		c.Note = clean(d.m.Edges[r.edge].How)
		tip := c.Cubics[n-1][2]
		dir := Point{1, 0}
		if d.chart.down {
			dir = Point{0, 1}
		}
		// The line stops inside its head, so that its end does not blunt the tip.
		c.Cubics[n-1][2] = Point{tip.X - 3*dir.X, tip.Y - 3*dir.Y}
		c.Cubics[n-1][1] = Point{min(c.Cubics[n-1][1].X, tip.X-3*dir.X), min(c.Cubics[n-1][1].Y, tip.Y)}
		d.add(c)
		size := 6.0
		if st.Width >= 2 {
			size = 8
		}
		d.head(tip, dir.X, dir.Y, size, st.Stroke)
	}
}

func (d *mapDrawing) box(b *mapBox) {
	x, y := b.x+d.dx, b.y+d.dy
	st := Style{Fill: Paper, Stroke: Ink, Width: 1}
	round := 2.0
	var strip Style
	switch b.Role {
	case Root:
		st.Width = 2.2
		strip = Style{Fill: Ink}
	case KnockOn:
		strip = Style{Pattern: Rising}
	case Sign:
		round = 9
	case Apart:
		st.Stroke = Soft
		strip = Style{Pattern: Dots}
	default:
		st.Dash = Dashed
	}
	if b.text.full != "" {
		st.Note = b.text.full
	}
	d.add(Box{X: x, Y: y, W: b.w, H: b.h, Round: round, Style: st})
	if strip != (Style{}) {
		d.add(Box{X: x, Y: y, W: 6, H: b.h, Style: strip})
		d.line(Style{Stroke: st.Stroke, Width: 0.7}, Point{x + 6, y}, Point{x + 6, y + b.h})
	}
	tx, ty := x+11, y+4+faceBold.size
	if b.worded() {
		ty = y + 5 + faceSmall.size
		d.text(tx, ty, 0, b.Role.word(), faceSmall, Start, Soft)
		ty += faceBold.leading()
	}
	if b.circle {
		d.turn(x+b.w-10, y+9, 3.6)
	}
	ty = d.lines(tx, ty, b.text, b.Role.face(), Start, Ink)
	d.lines(tx, ty-faceBold.leading()+faceWord.leading()+0.8, b.sure, faceWord, Start, Soft)
}

// badges sets the numbers of the how-texts on their edges, each where it is
// farthest from other numbers and lines.
func (d *mapDrawing) badges(number []int) {
	const r, cell = 5.6, 8.0 // a badge's radius; cells are wider than the reach of a line
	type sample struct {
		p     Point
		route int
	}
	type square struct{ i, j int }
	where := func(p Point) square { return square{int(math.Floor(p.X / cell)), int(math.Floor(p.Y / cell))} }
	samples := map[square][]sample{}
	for i, rt := range d.chart.routes {
		from := rt.curve.Start
		for _, k := range rt.curve.Cubics {
			for t := 1; t <= 8; t++ {
				p := bezier(from, k, float64(t)/8)
				samples[where(p)] = append(samples[where(p)], sample{p, i})
			}
			from = k[2]
		}
	}
	var placed []Point
	for i, rt := range d.chart.routes {
		n := number[rt.edge]
		if n == 0 {
			continue
		}
		var best Point
		score := math.Inf(-1)
		for _, s := range rt.spots {
			from := rt.curve.Start
			if s > 0 {
				from = rt.curve.Cubics[s-1][2]
			}
			for j, t := range []float64{0.42, 0.3, 0.5, 0.2, 0.58} {
				p := bezier(from, rt.curve.Cubics[s], t)
				v := -0.05 * float64(j)
				for _, q := range placed {
					v += 4 * min(0, math.Hypot(p.X-q.X, p.Y-q.Y)-2*r-2)
				}
				at := where(p)
				for k := range 9 {
					for _, q := range samples[square{at.i + k%3 - 1, at.j + k/3 - 1}] {
						if q.route != i {
							v += min(0, math.Hypot(p.X-q.p.X, p.Y-q.p.Y)-r-1)
						}
					}
				}
				if v > score {
					best, score = p, v
				}
			}
		}
		if math.IsInf(score, -1) {
			continue
		}
		placed = append(placed, best)
		d.badge(d.at(best), n)
	}
}

func (d *mapDrawing) badge(p Point, n int) {
	f := face{size: 7, bold: true}
	if n > 99 {
		f.size = 5.5
	}
	d.add(Circle{X: p.X, Y: p.Y, R: 5.6, Style: Style{Fill: Paper, Stroke: Ink, Width: 0.7}})
	d.text(p.X, p.Y+f.size*0.36, 0, strconv.Itoa(n), f, Middle, Ink)
}

// legend explains the kinds of box and line that occur.
func (d *mapDrawing) legend(y, width float64) float64 {
	x := margin
	entry := func(w float64, s string, draw func(x, y float64)) {
		full := w + 5 + faceSmall.width(s)
		if x > margin && x+full > margin+width {
			x = margin
			y += 15
		}
		draw(x, y-3)
		d.text(x+w+5, y, 0, s, faceSmall, Start, Ink)
		x += full + 16
	}
	var roles [Open + 1]bool
	for _, n := range d.m.Nodes {
		roles[min(n.Role, Open)] = true
	}
	for r, there := range roles {
		if !there {
			continue
		}
		entry(18, Role(r).word(), func(x, y float64) {
			d.swatch(x, y-5, Role(r))
		})
	}
	seen := map[Style]bool{}
	word := func(st Style) string {
		switch {
		case st.Dash == Dotted:
			return "shows in"
		case st.Dash == Dashed:
			return "would lead to"
		case st.Width >= 2:
			return "goes round and feeds itself"
		}
		return "led to"
	}
	for _, r := range d.chart.routes {
		st := d.lineOf(r)
		if seen[st] {
			continue
		}
		seen[st] = true
		entry(24, word(st), func(x, y float64) {
			d.line(st, Point{x, y}, Point{x + 19, y})
			d.head(Point{x + 24, y}, 1, 0, 6, st.Stroke)
		})
	}
	return y + 8
}

func (d *mapDrawing) swatch(x, y float64, r Role) {
	b := mapBox{CauseNode: CauseNode{Role: r}, w: 18, h: 10, x: x - d.dx, y: y - d.dy}
	before := len(d.shapes)
	d.box(&b)
	// Keep the outline and the strip, not the words.
	kept := d.shapes[:before]
	for _, s := range d.shapes[before:] {
		if _, text := s.(Text); !text {
			kept = append(kept, s)
		}
	}
	d.shapes = kept
}

// key lists the numbered texts in two columns if there is room.
func (d *mapDrawing) key(y, width float64, texts []string) float64 {
	if len(texts) == 0 {
		return y
	}
	y += 8
	d.line(Style{Stroke: Faint, Width: 0.7}, Point{margin, y - 4}, Point{margin + width, y - 4})
	d.text(margin, y+8, 0, "How one leads to the other", faceSmall, Start, Soft)
	y += 14
	columns := max(1, int(width/215))
	colWidth := width / float64(columns)
	type row struct {
		w wrapped
		h float64
	}
	rows := make([]row, len(texts))
	total := 0.0
	f := face{size: 8}
	for i, t := range texts {
		w := f.wrap(t, colWidth-30, 4)
		rows[i] = row{w, max(14, float64(len(w.lines))*f.leading()+4)}
		total += rows[i].h
	}
	column, top, at, low := 0, y, y, y
	for i, r := range rows {
		if at > top && at-top+r.h/2 > total/float64(columns) && column < columns-1 {
			column++
			at = top
		}
		x := margin + float64(column)*colWidth
		d.badge(Point{x + 6, at + 6}, i+1)
		d.lines(x+17, at+8.8, r.w, f, Start, Ink)
		at += r.h
		low = max(low, at)
	}
	return low
}
