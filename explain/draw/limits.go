package draw

import (
	"fmt"
	"math"
	"strings"
)

// LimitBars is the input of the picture of readings against limits, one row each.
type LimitBars struct {
	Title string
	Rows  []LimitRow
}

// LimitRow is one measured or computed number. Numbers are in Unit.
type LimitRow struct {
	Label string
	Unit  string
	Value float64
	// Text is the value as it should be written, such as "0.104"; if empty it is
	// made from Value.
	Text string
	// U is the standard uncertainty, 0 if none was given; K the coverage factor of
	// the guard band, 2 if zero.
	U, K float64
	// Least and Most are the limits, nil where there is none; Whose says who set them.
	Least, Most *float64
	// LeastText and MostText are how to write them; made from the numbers if empty.
	LeastText, MostText string
	Whose               string
	Result              LimitResult
}

// LimitResult is what the comparison came to; the caller decides it.
type LimitResult uint8

const (
	NoLimit LimitResult = iota
	Inside
	Over
	Under
	Undecided
)

func (r LimitResult) word() string {
	return [...]string{"no limit given", "inside", "OVER", "UNDER", "UNDECIDED"}[min(r, Undecided)]
}

const maxRows = 200

func (r *LimitRow) band() float64 {
	k := r.K
	if k == 0 {
		k = 2
	}
	return k * r.U
}

func (r *LimitRow) least() string { return written(r.LeastText, *r.Least) }
func (r *LimitRow) most() string  { return written(r.MostText, *r.Most) }

// written is text, or the number if there is none.
func written(text string, v float64) string {
	if t := clean(text); t != "" {
		return t
	}
	return plain(v)
}

func (b *LimitBars) check() error {
	if len(b.Rows) == 0 {
		return errEmpty
	}
	if len(b.Rows) > maxRows {
		return fmt.Errorf("too much for one picture: %d rows, %d at the most", len(b.Rows), maxRows)
	}
	for i := range b.Rows {
		r := &b.Rows[i]
		vs := []float64{r.Value, r.U, r.K, r.band()}
		for _, p := range []*float64{r.Least, r.Most} {
			if p != nil {
				vs = append(vs, *p)
			}
		}
		name := cut(clean(r.Label), 60)
		if err := finite(fmt.Sprintf("a number of %q", name), vs...); err != nil {
			return err
		}
		if r.U < 0 || r.K < 0 {
			return fmt.Errorf("the uncertainty of %q is negative", name)
		}
		if r.Least != nil && r.Most != nil && *r.Least > *r.Most {
			return fmt.Errorf("the limits of %q are the wrong way round: least %v, most %v", name, *r.Least, *r.Most)
		}
	}
	return nil
}

// scaleKey joins the rows that share an axis.
type scaleKey struct {
	unit                     string
	least, most              float64
	hasLeast, hasMost, alone bool
	row                      int
}

func (b *LimitBars) key(i int) scaleKey {
	r := &b.Rows[i]
	k := scaleKey{unit: r.Unit}
	if r.Least != nil {
		k.least, k.hasLeast = *r.Least, true
	}
	if r.Most != nil {
		k.most, k.hasMost = *r.Most, true
	}
	if !k.hasLeast && !k.hasMost {
		k.alone, k.row = true, i
	}
	return k
}

// axis is what a scale must show, in the unit of its rows.
type axis struct{ low, high float64 }

func (b *LimitBars) axes() map[scaleKey]*axis {
	out := map[scaleKey]*axis{}
	for i := range b.Rows {
		r, k := &b.Rows[i], b.key(i)
		a := out[k]
		if a == nil {
			a = &axis{math.Inf(1), math.Inf(-1)}
			out[k] = a
			for _, p := range []*float64{r.Least, r.Most} {
				if p != nil {
					a.low, a.high = min(a.low, *p), max(a.high, *p)
				}
			}
		}
		a.low, a.high = min(a.low, r.Value-r.band()), max(a.high, r.Value+r.band())
	}
	for _, a := range out {
		span := a.high - a.low
		if span == 0 {
			span = max(math.Abs(a.high), 1)
		}
		// Nearness to zero helps the eye, if zero is near.
		if a.low > 0 && a.low < 1.2*span {
			a.low = 0
		} else {
			a.low -= 0.12 * span
		}
		a.high += 0.12 * span
	}
	return out
}

const (
	limitWidth = 510.0
	limitLabel = 142.0
	limitRight = 106.0
	limitRowH  = 34.0 // at the least
)

// Draw makes the picture. Errors: no row or too many, a number that is not finite,
// a negative uncertainty, limits the wrong way round.
func (b LimitBars) Draw() (*Picture, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	var p pen
	y := p.lines(margin, margin+10, faceTitle.wrap(b.Title, limitWidth-2*margin, 2), faceTitle, Start, Ink) + 2
	x0, x1 := margin+limitLabel+8, limitWidth-margin-limitRight-8
	p.text(margin, y, 0, "what, and whose limit", faceSmall, Start, Soft)
	p.text((x0+x1)/2, y, 0, "reading against its limits", faceSmall, Middle, Soft)
	p.text(limitWidth-margin-limitRight, y, 0, "found", faceSmall, Start, Soft)
	y += 5
	axes := b.axes()
	for i := range b.Rows {
		p.line(Style{Stroke: Faint, Width: 0.6}, Point{margin, y}, Point{limitWidth - margin, y})
		y = p.limitRow(&b.Rows[i], axes[b.key(i)], y, x0, x1)
	}
	p.line(Style{Stroke: Faint, Width: 0.6}, Point{margin, y}, Point{limitWidth - margin, y})
	y = p.limitLegend(&b, y+13)
	return p.picture(limitWidth, y+6, b.Title, b.desc()), nil
}

// limitRow draws one row and returns where the next begins.
func (p *pen) limitRow(r *LimitRow, a *axis, y, x0, x1 float64) float64 {
	at := func(v float64) float64 { return x0 + (x1-x0)*(v-a.low)/(a.high-a.low) }
	ly := p.lines(margin, y+13, faceBold.wrap(r.Label, limitLabel, 2), faceBold, Start, Ink)
	ly = p.lines(margin, ly, faceSmall.wrap(r.Whose, limitLabel, 2), faceSmall, Start, Soft)
	bottom := max(y+limitRowH, ly-2)
	p.found(r, y)
	if r.Least == nil && r.Most == nil {
		p.text((x0+x1)/2, y+16, x1-x0, "nothing to compare it with", faceWord, Middle, Soft)
		return bottom
	}

	// The track: allowed plain, beyond a limit hatched.
	const trackH = 9.0
	ty := y + 8
	mid := ty + trackH/2
	lo, hi := x0, x1
	if r.Least != nil {
		lo = at(*r.Least)
		p.add(Box{X: x0, Y: ty, W: lo - x0, H: trackH, Style: Style{Pattern: Rising, PatternColour: Faint}})
	}
	if r.Most != nil {
		hi = at(*r.Most)
		p.add(Box{X: hi, Y: ty, W: x1 - hi, H: trackH, Style: Style{Pattern: Rising, PatternColour: Faint}})
	}
	if hi > lo {
		p.add(Box{X: lo, Y: ty, W: hi - lo, H: trackH, Style: Style{Fill: Wash}})
	}
	limit := Style{Stroke: Ink, Width: 2}
	lt := face{size: 6.5}
	var leastText, mostText string
	if r.Least != nil {
		p.line(limit, Point{lo, ty - 4}, Point{lo, ty + trackH + 4})
		leastText = lt.shorten("least "+r.least(), (x1-x0)/2)
	}
	if r.Most != nil {
		p.line(limit, Point{hi, ty - 4}, Point{hi, ty + trackH + 4})
		mostText = lt.shorten("most "+r.most(), (x1-x0)/2)
	}
	// The names of the limits, kept inside the track and off each other.
	lw, mw := lt.width(leastText), lt.width(mostText)
	lx := max(x0, min(lo-lw/2, x1-lw))
	mx := max(x0, min(hi-mw/2, x1-mw))
	if leastText != "" && mostText != "" && lx+lw+6 > mx {
		c := max(x0+lw+3, min((lx+lw+mx)/2, x1-mw-3))
		lx, mx = c-3-lw, c+3
	}
	p.text(lx, ty+trackH+13, 0, leastText, lt, Start, Soft)
	p.text(mx, ty+trackH+13, 0, mostText, lt, Start, Soft)

	// The reading: a bar of plus or minus k·u with its end strokes, and a mark.
	v, u := at(r.Value), r.band()
	if u > 0 {
		l, h := at(r.Value-u), at(r.Value+u)
		p.line(Style{Stroke: Ink, Width: 2.4}, Point{l, mid}, Point{h, mid})
		p.line(Style{Stroke: Ink, Width: 1.4}, Point{l, mid - 6}, Point{l, mid + 6})
		p.line(Style{Stroke: Ink, Width: 1.4}, Point{h, mid - 6}, Point{h, mid + 6})
	}
	p.mark(v, mid, r.Result)
	return bottom
}

// found writes the reading and its result at the right.
func (p *pen) found(r *LimitRow, y float64) {
	u := r.band()
	x := limitWidth - margin - limitRight
	text := written(r.Text, r.Value)
	tail := " " + clean(r.Unit)
	if u > 0 {
		tail = " ± " + plain(u) + tail
	}
	p.text(x, y+13, limitRight, text+tail, faceBody, Start, Ink)
	f, c := faceBold, Ink
	switch r.Result {
	case Over, Under:
		c = Accent
	case NoLimit:
		f, c = faceSmall, Soft
	}
	p.text(x, y+25, 0, r.Result.word(), f, Start, c)
	if u == 0 {
		w := f.width(r.Result.word()) + 5
		p.text(x+w, y+25, limitRight-w, "no ± given", faceWord, Start, Soft)
	}
}

// mark has a form for each result: ring inside, diamond undecided, filled arrow
// head where the limit is passed.
func (p *pen) mark(x, y float64, r LimitResult) {
	const s = 3.2
	switch r {
	case Over:
		p.polygon(Style{Fill: Accent, Stroke: Ink, Width: 0.8}, Point{x - s, y - s}, Point{x + s + 1, y}, Point{x - s, y + s})
	case Under:
		p.polygon(Style{Fill: Accent, Stroke: Ink, Width: 0.8}, Point{x + s, y - s}, Point{x - s - 1, y}, Point{x + s, y + s})
	case Undecided:
		p.polygon(Style{Fill: Paper, Stroke: Ink, Width: 1.4}, Point{x, y - s - 1}, Point{x + s + 1, y}, Point{x, y + s + 1}, Point{x - s - 1, y})
	case Inside:
		p.add(Circle{X: x, Y: y, R: s - 0.2, Style: Style{Fill: Paper, Stroke: Ink, Width: 1.4}})
	default: // a limit, and no result: a plain stroke
		p.line(Style{Stroke: Ink, Width: 1.6}, Point{x, y - s - 1}, Point{x, y + s + 1})
	}
}

func (p *pen) limitLegend(b *LimitBars, y float64) float64 {
	seen := map[LimitResult]bool{}
	bar, same := false, true
	k := 0.0
	for i := range b.Rows {
		r := &b.Rows[i]
		seen[min(r.Result, Undecided)] = true
		if r.U > 0 {
			rk := r.band() / r.U
			same = same && (k == 0 || k == rk)
			k, bar = rk, true
		}
	}
	x := margin
	for _, r := range []LimitResult{Inside, Undecided, Over, Under} {
		if !seen[r] {
			continue
		}
		p.mark(x+6, y-2.5, r)
		p.text(x+16, y, 0, r.word(), faceSmall, Start, Ink)
		x += 16 + faceSmall.width(r.word()) + 14
	}
	p.add(Box{X: x, Y: y - 6, W: 16, H: 8, Style: Style{Pattern: Rising, PatternColour: Faint}})
	p.text(x+21, y, 0, "beyond the limit", faceSmall, Start, Ink)
	y += 14
	if bar {
		word := "bar: the reading ± the guard band k·u; undecided where the bar reaches over a limit"
		if same {
			word = fmt.Sprintf("bar: the reading ± %s times its standard uncertainty; undecided where the bar reaches over a limit", plain(k))
		}
		p.text(margin, y, limitWidth-2*margin, word, faceSmall, Start, Soft)
		y += 10
	}
	if len(b.axes()) > 1 {
		p.text(margin, y, limitWidth-2*margin, "rows with the same unit and limits share a scale; other rows have their own", faceSmall, Start, Soft)
		y += 10
	}
	return y
}

// plain writes a number to six figures without trailing noughts or exponents
// where it can.
func plain(v float64) string {
	s := fmt.Sprintf("%.6g", v)
	if strings.Contains(s, "e") {
		return s
	}
	return strings.Replace(s, "-", "−", 1)
}

func (b *LimitBars) desc() string {
	var s strings.Builder
	for i := range b.Rows {
		r := &b.Rows[i]
		fmt.Fprintf(&s, "%s: %s", cut(clean(r.Label), 200), written(r.Text, r.Value))
		if u := r.band(); u > 0 {
			fmt.Fprintf(&s, " ± %s", plain(u))
		}
		fmt.Fprintf(&s, " %s", r.Unit)
		if r.Least != nil {
			fmt.Fprintf(&s, ", least %s", r.least())
		}
		if r.Most != nil {
			fmt.Fprintf(&s, ", most %s", r.most())
		}
		if r.Whose != "" {
			fmt.Fprintf(&s, " (%s)", cut(clean(r.Whose), 200))
		}
		fmt.Fprintf(&s, ": %s", strings.ToLower(r.Result.word()))
		if r.U == 0 {
			s.WriteString(", no uncertainty given")
		}
		s.WriteString(". ")
	}
	return strings.TrimSpace(s.String())
}
