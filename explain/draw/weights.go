package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// WeightChart is the input of the picture of one cause's evidence: every clue for
// and against it in decibans (10·log10 of a likelihood ratio; I. J. Good,
// Probability and the Weighing of Evidence, 1950), and where the sum stands on the
// scale of words.
type WeightChart struct {
	Title string
	Cause string
	// Start is the weight before any clue, from how common the cause is, in decibans.
	Start float64
	Clues []WeighedClue
	// Probability is 0 to 1, as the run gave it; among rivals it is not a function
	// of the sum alone. Word is its step of the scale.
	Probability float64
	Word        string
	// Scale is the verbal scale from least to most likely, without gaps; may be empty.
	Scale []ScaleStep
	// Settled says what decided the cause instead, such as a rule that fired; the
	// clues are then shown and the scale is left out. Empty if the clues decide.
	Settled string
}

// WeighedClue is one clue with its weight in decibans, positive for the cause.
type WeighedClue struct {
	Text   string
	Weight float64
	// Through names the clue by which this one is already counted; empty if counted.
	Through string
}

// ScaleStep is a word for the probabilities up to and including To, from the step before.
type ScaleStep struct {
	Word string
	To   float64 // 0 to 1; the last is 1
}

const (
	maxClues = 100
	// Bars are cut here; the number beside them tells the rest.
	longestBar = 60.0
)

func (c *WeightChart) check() error {
	if len(c.Clues) > maxClues {
		return fmt.Errorf("too much for one chart: %d clues, %d at the most", len(c.Clues), maxClues)
	}
	if err := finite("the starting weight", c.Start); err != nil {
		return err
	}
	for _, k := range c.Clues {
		if err := finite(fmt.Sprintf("the weight of %q", cut(clean(k.Text), 60)), k.Weight); err != nil {
			return err
		}
	}
	if !(c.Probability >= 0 && c.Probability <= 1) {
		return fmt.Errorf("the probability %v is not between 0 and 1", c.Probability)
	}
	if len(c.Scale) > 12 {
		return fmt.Errorf("a scale of %d steps is too long to be drawn, 12 at the most", len(c.Scale))
	}
	last := 0.0
	for i, s := range c.Scale {
		if !(s.To > last && s.To <= 1) || i == len(c.Scale)-1 && s.To != 1 {
			return fmt.Errorf("the steps of the verbal scale do not rise to 1 at %q", cut(clean(s.Word), 60))
		}
		last = s.To
	}
	return nil
}

// sorted gives the counted clues, heaviest for the cause first, and the others.
func (c *WeightChart) sorted() (counted, already []WeighedClue) {
	for _, k := range c.Clues {
		if k.Through == "" {
			counted = append(counted, k)
		} else {
			already = append(already, k)
		}
	}
	by := func(a, b WeighedClue) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.Text, b.Text))
	}
	slices.SortStableFunc(counted, by)
	slices.SortStableFunc(already, by)
	return counted, already
}

// Sum is the weight of the start and all counted clues, in decibans.
func (c *WeightChart) Sum() float64 {
	// Added in one order, whatever the order of the input.
	counted, _ := c.sorted()
	sum := c.Start
	for _, k := range counted {
		sum += k.Weight
	}
	return sum
}

// decibans writes a weight with its sign, to a tenth.
func decibans(v float64) string {
	v = math.Round(v*10) / 10
	if v == 0 {
		return "0.0"
	}
	return strings.Replace(fmt.Sprintf("%+.1f", v), "-", "−", 1)
}

// Draw makes the picture. Errors: a weight that is not finite, a probability
// outside 0 to 1, a scale that does not rise to 1, too many clues.
func (c WeightChart) Draw() (*Picture, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	w := weightDrawing{c: &c}
	return w.picture(), nil
}

type weightDrawing struct {
	pen
	c *WeightChart
	// scale in points for a deciban, and where zero stands
	per, zero float64
}

const (
	weightWidth = 510.0
	weightLabel = 210.0 // room for the names of clues
	weightValue = 34.0  // room for a number beside a bar
)

func (w *weightDrawing) picture() *Picture {
	counted, already := w.c.sorted()
	sum := w.c.Sum()
	low, high := math.Min(0, w.c.Start), math.Max(0, w.c.Start)
	for _, v := range append([]float64{sum}, weights(w.c.Clues)...) {
		v = max(-longestBar, min(longestBar, v))
		low, high = min(low, v), max(high, v)
	}
	low, high = max(low, -longestBar), min(high, longestBar)
	// Neither side so narrow that the word above it has no room.
	span := max(high-low, 1)
	low, high = min(low, -0.22*span), max(high, 0.22*span)
	left, right := margin+weightLabel+weightValue, weightWidth-margin-weightValue
	w.per = (right - left) / (high - low)
	w.zero = left - low*w.per

	y := w.lines(margin, margin+10, faceTitle.wrap(w.c.Title, weightWidth-2*margin, 2), faceTitle, Start, Ink)
	if w.c.Cause != "" {
		lead := "How much each clue says for or against: " + w.c.Cause
		if strings.Contains(w.c.Title, w.c.Cause) {
			lead = "How much each clue says for it or against it"
		}
		y = w.lines(margin, y, faceBold.wrap(lead, weightWidth-2*margin, 2), faceBold, Start, Ink)
	}
	y += 6
	w.text(w.zero-8, y, 0, "◂ against", faceSmall, End, Soft)
	w.text(w.zero+8, y, 0, "for ▸", faceSmall, Start, Soft)
	w.text(margin, y, 0, "weights in decibans: 10 is ten times as likely", faceSmall, Start, Soft)
	y += 6
	top := y
	at := len(w.shapes)
	y = w.row(y, "start: how common it is before any clue", "", w.c.Start, Style{Fill: Faint, Stroke: Ink, Width: 0.8}, faceBody)
	for _, k := range counted {
		st := Style{Fill: Calm, Stroke: Ink, Width: 0.8}
		if k.Weight < 0 {
			st = Style{Fill: Paper, Stroke: Ink, Width: 0.8}
		}
		y = w.row(y, k.Text, "", k.Weight, st, faceBody)
	}
	y += 2
	w.line(Style{Stroke: Ink, Width: 0.8}, Point{margin, y}, Point{weightWidth - margin, y})
	y = w.row(y+2, "sum", "", sum, Style{Fill: Ink, Stroke: Ink, Width: 0.8}, faceBold)
	if len(already) > 0 {
		y += 4
		w.text(margin, y+8, 0, "Not counted again, being the same observation told twice (hatched):", faceSmall, Start, Soft)
		y += 12
		for _, k := range already {
			y = w.row(y, k.Text, "already counted through “"+k.Through+"”", k.Weight, Style{Fill: Paper, Pattern: Rising, PatternColour: Soft, Stroke: Soft, Width: 0.8, Dash: Dashed}, faceBody)
		}
	}
	// The axis goes beneath the bars.
	axis := Line{Points: []Point{{w.zero, top}, {w.zero, y}}, Style: Style{Stroke: Soft, Width: 0.8}}
	w.shapes = slices.Insert(w.shapes, at, Shape(axis))
	y += 14
	switch {
	case w.c.Settled != "":
		y = w.lines(margin, y+4, faceBold.wrap("Settled otherwise: "+w.c.Settled+". The clues are shown, not added to it.", weightWidth-2*margin, 3), faceBold, Start, Ink)
	case len(w.c.Scale) > 0:
		y = w.scale(y)
	}
	return w.pen.picture(weightWidth, y+margin-4, w.c.Title, w.desc(counted, already, sum))
}

func weights(clues []WeighedClue) []float64 {
	out := make([]float64, len(clues))
	for i, k := range clues {
		out[i] = k.Weight
	}
	return out
}

// row draws one bar with its name and number; more is a second, smaller text.
func (w *weightDrawing) row(y float64, name, more string, v float64, st Style, f face) float64 {
	text := f.wrap(name, weightLabel-4, 2)
	under := faceWord.wrap(more, weightLabel-4, 2)
	h := float64(len(text.lines))*f.leading() + float64(len(under.lines))*faceWord.leading() + 5
	h = max(h, 16)
	ty := w.lines(margin, y+f.size+2, text, f, Start, Ink)
	w.lines(margin, ty-1, under, faceWord, Start, Soft)
	mid := y + h/2
	cutV := max(-longestBar, min(longestBar, v))
	x0, x1 := w.zero, w.zero+cutV*w.per
	if x0 > x1 {
		x0, x1 = x1, x0
	}
	if x1-x0 > 0.2 {
		w.add(Box{X: x0, Y: mid - 5, W: x1 - x0, H: 10, Style: st})
	}
	if cutV != v {
		// A gap near the end says that the bar is cut.
		b := x1 - 8
		if v < 0 {
			b = x0 + 8
		}
		w.polygon(Style{Fill: Paper}, Point{b - 3, mid + 6}, Point{b, mid - 6}, Point{b + 3, mid - 6}, Point{b, mid + 6})
	}
	nf := face{size: 8, bold: f.bold}
	if v < 0 {
		w.text(x0-4, mid+3, 0, decibans(v), nf, End, Ink)
	} else {
		w.text(x1+4, mid+3, 0, decibans(v), nf, Start, Ink)
	}
	return y + h
}

// scale draws the words in steps of equal width and marks the probability.
func (w *weightDrawing) scale(y float64) float64 {
	steps := w.c.Scale
	width := weightWidth - 2*margin
	step := width / float64(len(steps))
	f := face{size: 7.5}
	w.text(margin, y, 0, "Where that stands (steps of equal width)", faceSmall, Start, Soft)
	y += 24
	most := 1
	words := make([]wrapped, len(steps))
	for i, s := range steps {
		words[i] = f.wrap(s.Word, step-6, 3)
		most = max(most, len(words[i].lines))
	}
	h := float64(most)*f.leading() + 8
	now, share := w.c.onScale()
	for i := range steps {
		x := margin + float64(i)*step
		st := Style{Fill: Paper, Stroke: Ink, Width: 0.8}
		wf := f
		if i == now {
			st = Style{Fill: Wash, Stroke: Ink, Width: 2}
		}
		w.add(Box{X: x, Y: y, W: step, H: h, Style: st})
		ty := y + (h-float64(len(words[i].lines))*f.leading())/2 + f.size
		w.lines(x+step/2, ty, words[i], wf, Middle, Ink)
		if i > 0 {
			w.text(x, y+h+9, 0, percent(steps[i-1].To), faceSmall, Middle, Soft)
		}
	}
	w.text(margin, y+h+9, 0, "0", faceSmall, Start, Soft)
	w.text(margin+width, y+h+9, 0, "100 in 100", faceSmall, End, Soft)
	x := margin + (float64(now)+share)*step
	w.polygon(Style{Fill: Ink}, Point{x, y - 1}, Point{x - 5, y - 9}, Point{x + 5, y - 9})
	label := percentLong(w.c.Probability)
	if w.c.Word != "" {
		label = clean(w.c.Word) + ", " + label
	}
	label = faceBold.shorten(label, width)
	half := faceBold.width(label) / 2
	lx := max(margin+half, min(margin+width-half, x))
	w.text(lx, y-12, 0, label, faceBold, Middle, Ink)
	return y + h + 14
}

// onScale finds the step of the probability and how far into it the mark stands,
// 0 to 1, in decibans; the open ends reach 20 decibans beyond their border.
func (c *WeightChart) onScale() (step int, share float64) {
	low := 0.0
	for i, s := range c.Scale {
		if c.Probability <= s.To || i == len(c.Scale)-1 {
			db := func(p float64) float64 { return 10 * math.Log10(p/(1-p)) }
			a, b := db(low), db(s.To)
			switch {
			case low == 0 && s.To == 1:
				return i, c.Probability
			case low == 0:
				a = b - 20
			case s.To == 1:
				b = a + 20
			}
			return i, max(0.04, min(0.96, (db(c.Probability)-a)/(b-a)))
		}
		low = s.To
	}
	return 0, 0
}

// percent writes a border of the scale, as in "90".
func percent(p float64) string {
	return num(math.Round(p*1e6) / 1e4)
}

// percentLong writes a probability as "99 in 100", never as certain when it is not.
func percentLong(p float64) string {
	n := math.Round(p * 100)
	switch {
	case p == 0 || p == 1:
	case p > 0.995:
		return "more than 99 in 100"
	case p < 0.005:
		return "less than 1 in 100"
	}
	return num(n) + " in 100"
}

func (w *weightDrawing) desc(counted, already []WeighedClue, sum float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Evidence for %s in decibans. Start %s. ", clean(w.c.Cause), decibans(w.c.Start))
	for _, k := range counted {
		side := "For"
		if k.Weight < 0 {
			side = "Against"
		}
		fmt.Fprintf(&b, "%s: %s %s. ", side, cut(clean(k.Text), 200), decibans(k.Weight))
	}
	for _, k := range already {
		fmt.Fprintf(&b, "Not counted again: %s %s, already counted through %s. ", cut(clean(k.Text), 200), decibans(k.Weight), cut(clean(k.Through), 200))
	}
	fmt.Fprintf(&b, "Sum %s. ", decibans(sum))
	if w.c.Settled != "" {
		fmt.Fprintf(&b, "Settled otherwise: %s.", w.c.Settled)
	} else {
		fmt.Fprintf(&b, "%s, %s.", capital(w.c.Word), percentLong(w.c.Probability))
	}
	return b.String()
}
