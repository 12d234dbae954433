package draw

import (
	"fmt"
	"math"
	"strings"
)

type sectionDrawing struct {
	pen
	s           *Section
	bore, shaft Point // middles
	shaftR      float64
	key         []keyLine
	next        int
}

type keyLine struct {
	mark string
	text string
}

func (d *sectionDrawing) picture() *Picture {
	s := d.s
	y := d.lines(margin, margin+10, faceTitle.wrap(s.Title, sectionWidth-2*margin, 2), faceTitle, Start, Ink)
	top := y
	d.bore = Point{margin + 150, top + 150}
	if s.ZeroAt != "" {
		d.bore.Y += 10 // for its line over 0°
	}
	d.shaftR = boreR - drawnPlay/2
	d.shaft = d.bore
	if s.Load != nil {
		d.shaft = polar(d.bore, s.Load.Angle, drawnPlay/2)
	}
	d.solids()
	d.angles()
	d.load()
	d.wear()
	d.playMark()
	d.diameters()
	low := max(d.panel(top+8), d.bore.Y+boreR+housing+34)
	scale := d.exaggeration()
	low = d.lines(margin, low+10, faceBold.wrap(scale, sectionWidth-2*margin, 2), faceBold, Start, Ink)
	return d.pen.picture(sectionWidth, low, s.Title, d.desc(scale))
}

func (d *sectionDrawing) solids() {
	d.add(Circle{X: d.bore.X, Y: d.bore.Y, R: boreR + housing, Style: Style{Fill: Paper, Pattern: RisingThin, PatternColour: Soft, Stroke: Ink, Width: 1}})
	d.add(Circle{X: d.bore.X, Y: d.bore.Y, R: boreR, Style: Style{Fill: Paper, Stroke: Ink, Width: 1.6}})
	d.add(Circle{X: d.shaft.X, Y: d.shaft.Y, R: d.shaftR, Style: Style{Fill: Wash, Stroke: Ink, Width: 1.6}})
}

// angles marks the circle of degrees outside the housing.
func (d *sectionDrawing) angles() {
	r := boreR + housing
	for a := 0.0; a < 360; a += 30 {
		long := 4.0
		if math.Mod(a, 90) == 0 {
			long = 7
		}
		d.line(Style{Stroke: Soft, Width: 0.8}, polar(d.bore, a, r+2), polar(d.bore, a, r+2+long))
	}
	for _, a := range []float64{0, 90, 180, 270} {
		p := polar(d.bore, a, r+17)
		p.X += 5 * compass(a).X // figures are wider than high
		d.text(p.X, p.Y+3, 0, num(a)+"°", face{size: 8, bold: a == 0}, Middle, Ink)
	}
	if z := d.s.ZeroAt; z != "" {
		over := face{size: 8}
		p := polar(d.bore, 0, r+28)
		d.lines(p.X, p.Y+3, over.wrap(z, 280, 1), over, Middle, Ink)
	}
	// A bowed arrow shows which way they run.
	var pts []Point
	for a := 9.0; a <= 36; a += 3 {
		pts = append(pts, polar(d.bore, a, r+15))
	}
	d.line(Style{Stroke: Soft, Width: 1}, pts...)
	tip := polar(d.bore, 39, r+15)
	d.head(tip, tip.X-pts[len(pts)-1].X, tip.Y-pts[len(pts)-1].Y, 6, Soft)
}

// wornHalf is how far the drawn wear reaches to either side, in degrees.
const wornHalf = 62.0

// wearAt is the drawn depth at an angle from the middle of the worn side.
func wearAt(a float64) float64 {
	if a = math.Abs(a); a < wornHalf {
		return drawnWear * math.Pow(math.Cos(a/wornHalf*math.Pi/2), 1.5)
	}
	return 0
}

// surface is the drawn radius of shaft or bore at an angle, with its wear. Of
// sides that only may be worn none counts.
func (d *sectionDrawing) surface(bore bool, a float64) float64 {
	deepest := 0.0
	for _, w := range d.s.Worn {
		if w.OnBore == bore && len(w.Or) == 0 {
			deepest = max(deepest, wearAt(between(a, w.Angle)))
		}
	}
	if bore {
		return boreR + deepest
	}
	return d.shaftR - deepest
}

// wear draws what is lost as a dotted crescent inside the outline it had; where
// it is not known which of several sides it is, each as an empty outline.
func (d *sectionDrawing) wear() {
	for _, w := range d.s.Worn {
		d.next++
		mark := fmt.Sprint(d.next)
		for _, side := range w.sides() {
			d.crescent(&w, side)
			at := boreR - drawnPlay - 15 // inside the shaft, beyond its crescent
			if w.OnBore {
				at = boreR + housing*0.7
			}
			c := d.bore
			if !w.OnBore {
				c = d.shaft
			}
			d.mark(polar(c, d.clear(side, w.OnBore), at), mark, true)
		}
		d.key = append(d.key, keyLine{mark, d.wornText(&w)})
	}
}

func (d *sectionDrawing) crescent(w *WornSide, side float64) {
	c, r, sign := d.shaft, d.shaftR, -1.0
	if w.OnBore {
		c, r, sign = d.bore, boreR, 1
	}
	const half, step = wornHalf, 4.0
	var was, is []Point
	for a := -half; a <= half; a += step {
		was = append(was, polar(c, side+a, r))
		is = append(is, polar(c, side+a, r+sign*wearAt(a)))
	}
	if len(w.Or) > 0 {
		d.line(Style{Stroke: Ink, Width: 1, Dash: Dashed}, is...)
		d.text(polar(c, side, r+sign*drawnWear/2).X, polar(c, side, r+sign*drawnWear/2).Y+2.8, 0, "?", face{size: 8, bold: true}, Middle, Ink)
		return
	}
	whole := append([]Point{}, was...)
	for i := len(is) - 1; i >= 0; i-- {
		whole = append(whole, is[i])
	}
	d.polygon(Style{Fill: Paper, Pattern: Dots}, whole...)
	d.line(Style{Stroke: Paper, Width: 2}, was...)
	d.line(Style{Stroke: Ink, Width: 0.9, Dash: Dashed}, was...)
	d.line(Style{Stroke: Ink, Width: 1.6}, is...)
}

// wornText says which side is worn, how deep, how that is known and how it lies
// to the load.
func (d *sectionDrawing) wornText(w *WornSide) string {
	var at []string
	for _, a := range w.sides() {
		at = append(at, degrees(a))
	}
	text := "worn side of " + d.name(w.OnBore) + ", at " + strings.Join(at, " or ")
	if len(w.Or) > 0 {
		text = "worn side of " + d.name(w.OnBore) + ", not known which of these: " + strings.Join(at, " or ")
	}
	switch {
	case w.DepthText != "":
		text += ", " + w.DepthText + " deep"
	case w.Depth != nil:
		text += fmt.Sprintf(", %s %s deep", plain(*w.Depth), d.s.Unit)
	}
	if w.Text != "" {
		text += ": " + w.Text
	}
	if l := d.s.Load; l != nil {
		text += d.toLoad(w, l)
	}
	if len(w.Or) > 0 {
		return text + " (dashed: metal gone here or there)"
	}
	return text + " (dotted: metal gone)"
}

// onLoad is how near a worn side must lie to the load to be called the loaded side,
// in degrees: half the arc a new arm bears on. Common practice, no source.
const onLoad = 45

func (d *sectionDrawing) toLoad(w *WornSide, l *Pressing) string {
	near, far := 180.0, 0.0
	for _, a := range w.sides() {
		off := between(a, l.Angle)
		near, far = min(near, off), max(far, off)
	}
	switch {
	case far <= onLoad:
		return "; there the load presses"
	case near > onLoad:
		return fmt.Sprintf("; %s° from where the load presses", num(math.Round(near)))
	}
	return "; the load presses on one of them"
}

// clear moves an angle off the arrows of the diameters, and inside the shaft off
// the arrow of the load.
func (d *sectionDrawing) clear(a float64, bore bool) float64 {
	lines, near := d.s.Shaft.Readings, 14.0
	if bore {
		lines, near = d.s.Bore.Readings, 7
	}
	for _, off := range []float64{0, 8, -8, 16, -16, 24, -24, 32, -32} {
		free := bore || d.s.Load == nil || between(a+off, d.s.Load.Angle) > near
		for _, r := range lines {
			free = free && between(a+off, r.Angle) > near && between(a+off, r.Angle+180) > near
		}
		if free {
			return a + off
		}
	}
	return a
}

func (d *sectionDrawing) name(bore bool) string {
	if bore {
		if d.s.Bore.Name != "" {
			return d.s.Bore.Name
		}
		return "the bore"
	}
	if d.s.Shaft.Name != "" {
		return d.s.Shaft.Name
	}
	return "the shaft"
}

// badgeKey sets the next number at p and its text in the panel.
func (d *sectionDrawing) badgeKey(p Point, text string) {
	d.next++
	m := fmt.Sprint(d.next)
	d.mark(p, m, true)
	d.key = append(d.key, keyLine{m, text})
}

// mark draws a number in a ring or a letter in a box.
func (d *sectionDrawing) mark(p Point, m string, round bool) {
	st := Style{Fill: Paper, Stroke: Ink, Width: 0.7}
	if round {
		d.add(Circle{X: p.X, Y: p.Y, R: 5.8, Style: st})
	} else {
		d.add(Box{X: p.X - 5.2, Y: p.Y - 5.2, W: 10.4, H: 10.4, Style: st})
	}
	d.text(p.X, p.Y+2.6, 0, m, face{size: 7.5, bold: true}, Middle, Ink)
}

func (d *sectionDrawing) load() {
	l := d.s.Load
	if l == nil {
		return
	}
	a, b := polar(d.shaft, l.Angle, 16), polar(d.shaft, l.Angle, d.surface(false, l.Angle)-2)
	dir := compass(l.Angle)
	d.line(Style{Stroke: Ink, Width: 4}, a, Point{b.X - 8*dir.X, b.Y - 8*dir.Y})
	d.head(b, dir.X, dir.Y, 13, Ink)
	text := fmt.Sprintf("arrow: the load presses shaft and bore together at %s", degrees(l.Angle))
	if l.Text != "" {
		text += ": " + l.Text
	}
	d.badgeKey(polar(d.shaft, l.Angle, 16), text)
}

// diameters draws a line for each measured diameter, with a letter.
func (d *sectionDrawing) diameters() {
	letter := 'A'
	thin := Style{Stroke: Soft, Width: 0.8}
	for i, r := range d.s.Shaft.Readings {
		a := r.Angle
		if d.s.Load != nil && between(a, d.s.Load.Angle) < 60 {
			a += 180
		}
		// Letters of several lines stand at different distances from the middle.
		rest := 34 + 14*float64(i%2)
		for _, end := range []float64{a, a + 180} {
			if d.s.Load != nil && between(end, d.s.Load.Angle) < 4 {
				continue // the arrow of the load is there
			}
			d.arrow(thin, d.shaft, polar(d.shaft, end, d.surface(false, end)-1))
		}
		d.mark(polar(d.shaft, a, rest), string(letter), false)
		d.key = append(d.key, keyLine{string(letter), d.reading(d.name(false), d.s.Shaft.Station, r)})
		letter++
	}
	for _, r := range d.s.Bore.Readings {
		a := r.Angle
		for _, w := range d.s.Worn {
			if w.OnBore && between(a, d.clear(w.Angle, true)) < 16 {
				a += 180
				break
			}
		}
		for _, end := range []float64{a, a + 180} {
			d.arrow(Style{Stroke: Ink, Width: 0.8}, polar(d.bore, end, boreR+housing-1), polar(d.bore, end, d.surface(true, end)))
		}
		d.mark(polar(d.bore, a, boreR+housing*0.56), string(letter), false)
		d.key = append(d.key, keyLine{string(letter), d.reading(d.name(true), d.s.Bore.Station, r)})
		letter++
	}
}

func (d *sectionDrawing) reading(name, station string, r Across) string {
	if station != "" {
		name += ", " + station + ","
	}
	t := r.Text
	if t == "" {
		t = strings.TrimSpace(plain(r.Value) + " " + d.s.Unit)
	}
	return fmt.Sprintf("%s through %s and %s: %s", name, degrees(r.Angle), degrees(r.Angle+180), t)
}

func (d *sectionDrawing) playMark() {
	s := d.s
	if s.Play == nil && s.PlayText == "" {
		return
	}
	a, r := d.farFromWear(), (boreR+d.shaftR)/2
	if s.Load != nil {
		// Where the gap is widest, beside a measuring line that may be there.
		a, r = s.Load.Angle+180+14, boreR-drawnPlay/2
	}
	text := s.PlayText
	if text == "" {
		text = strings.TrimSpace(plain(*s.Play) + " " + s.Unit)
	}
	d.badgeKey(polar(d.bore, a, r), "play, bore less shaft, the whole movement: "+text)
}

// farFromWear is the direction farthest from all worn sides.
func (d *sectionDrawing) farFromWear() float64 {
	best, clearance := 0.0, -1.0
	for a := 38.0; a < 398; a += 15 {
		least := 180.0
		for _, w := range d.s.Worn {
			for _, side := range w.sides() {
				least = min(least, between(a, side))
			}
		}
		if least > clearance {
			best, clearance = a, least
		}
	}
	return best
}

// panel lists the key at the right of the figure and returns where it ends.
func (d *sectionDrawing) panel(y float64) float64 {
	x := margin + 312.0
	width := sectionWidth - margin - x
	for _, k := range d.key {
		round := k.mark[0] <= '9'
		w := faceBody.wrap(k.text, width-18, 7)
		d.mark(Point{x + 6, y + 5}, k.mark, round)
		y = d.lines(x+18, y+8, w, faceBody, Start, Ink) - 2
	}
	for _, n := range d.notes() {
		y = d.lines(x, y+8, faceBody.wrap(n, width, 6), faceBody, Start, Ink) - 2
	}
	y += 6
	where := "Angles run clockwise from 0° at the top"
	if d.s.SeenFrom != "" {
		where += ", seen from " + d.s.SeenFrom
	}
	if d.s.Load != nil || len(d.s.Worn) > 0 {
		where += ". Shaft and bore are drawn where they lay when new"
	}
	return d.lines(x, y+6, faceSmall.wrap(where+".", width, 5), faceSmall, Start, Soft)
}

// notes are what is said beside the key.
func (d *sectionDrawing) notes() []string {
	out := d.s.Notes
	if d.s.Load == nil {
		out = append(out[:len(out):len(out)], "Where the load presses is not known; the shaft is drawn in the middle.")
	}
	return out
}

// exaggeration says by how much play and wear are drawn too large, where the
// sizes are known.
func (d *sectionDrawing) exaggeration() string {
	s := d.s
	size := 0.0
	for _, r := range append(append([]Across{}, s.Shaft.Readings...), s.Bore.Readings...) {
		size = max(size, r.Value)
	}
	var parts []string
	times := func(drawn, real float64) string {
		f := drawn / (2 * boreR) / (real / size)
		unit := math.Pow(10, max(0, math.Floor(math.Log10(f))-1))
		return num(math.Round(f/unit) * unit)
	}
	if s.Play != nil && *s.Play > 0 && size > 0 {
		parts = append(parts, "play about "+times(drawnPlay, *s.Play)+" times as large as it is")
	}
	for _, w := range s.Worn {
		if w.Depth != nil && *w.Depth > 0 && size > 0 {
			parts = append(parts, "wear about "+times(drawnWear, *w.Depth)+" times")
			break
		}
	}
	if len(parts) == 0 {
		return "Exaggerated, not to scale: play and wear are drawn much larger than they are."
	}
	return "Exaggerated, not to scale: " + strings.Join(parts, ", ") + "."
}

func (d *sectionDrawing) desc(scale string) string {
	var b strings.Builder
	b.WriteString("Section of the shaft in its bore. ")
	for _, k := range d.key {
		b.WriteString(capital(cut(clean(k.text), 400)) + ". ")
	}
	for _, n := range d.notes() {
		b.WriteString(strings.TrimSuffix(capital(cut(clean(n), 400)), ".") + ". ")
	}
	if d.s.ZeroAt != "" {
		fmt.Fprintf(&b, "0° is %s. ", clean(d.s.ZeroAt))
	}
	if d.s.SeenFrom != "" {
		fmt.Fprintf(&b, "Seen from %s, angles clockwise. ", clean(d.s.SeenFrom))
	}
	b.WriteString(scale)
	return b.String()
}
