package draw

import (
	"fmt"
	"slices"
	"strings"
)

// Assembly is the input of the picture of the whole shaft, station by station from
// the feed, with the state of every part.
type Assembly struct {
	Title string
	Shaft string // what the shaft is called
	// FeedEnd and FarEnd are written at the ends of the shaft.
	FeedEnd, FarEnd string
	Stations        []Station
}

// Station is one place along the shaft.
type Station struct {
	Name  string
	Parts []StationPart
}

// StationPart is one piece at a station.
type StationPart struct {
	Name  string
	Form  Form
	State State
	// Word says the state more closely; if empty the state's own word is used.
	Word string
}

// Form says how a part is drawn.
type Form uint8

const (
	Piece    Form = iota // named below the shaft
	Pedestal             // carries the shaft from below
	Seat                 // a length of the shaft itself
	Arm                  // rides on the shaft
)

// State is what is known of a part.
type State uint8

const (
	NotLooked State = iota
	CouldNotTell
	Sound
	Worn
	Overheated
	Damaged
	Gone
)

func (s State) word() string {
	return [...]string{"not looked at", "could not tell", "sound", "worn", "overheated", "damaged", "not there"}[min(s, Gone)]
}

// style gives each state its own pattern or line.
func (s State) style() Style {
	st := Style{Fill: Paper, Stroke: Ink, Width: 1}
	switch min(s, Gone) {
	case NotLooked:
		st.Dash, st.Stroke = Dashed, Soft
	case CouldNotTell:
		st.Pattern, st.PatternColour = Dots, Ink
	case Worn:
		st.Pattern = Rising
	case Overheated:
		st.Pattern, st.PatternColour, st.Width = Crossed, Accent, 1.8
	case Damaged:
		st.Pattern, st.PatternColour, st.Width = Upright, Accent, 1.8
	case Gone:
		st.Dash = Dotted
	}
	return st
}

const (
	assemblyWidth = 510.0
	perRow        = 6   // at the most
	widest        = 124 // of a station
	maxStations   = 120
	maxParts      = 20
)

func (a *Assembly) check() error {
	if len(a.Stations) == 0 {
		return errEmpty
	}
	if len(a.Stations) > maxStations {
		return fmt.Errorf("too much for one picture: %d stations, %d at the most", len(a.Stations), maxStations)
	}
	for _, s := range a.Stations {
		if len(s.Parts) > maxParts {
			return fmt.Errorf("too much for one picture: %d parts at station %q, %d at the most", len(s.Parts), cut(clean(s.Name), 60), maxParts)
		}
	}
	return nil
}

// Draw makes the picture. Errors: no station, too many stations or parts.
func (a Assembly) Draw() (*Picture, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	var p pen
	y := p.lines(margin, margin+10, faceTitle.wrap(a.Title, assemblyWidth-2*margin, 2), faceTitle, Start, Ink)
	if a.Shaft != "" {
		p.text(margin, y, assemblyWidth-2*margin, a.Shaft, faceBody, Start, Soft)
		y += 8
	}
	// Rows of nearly equal length.
	n := len(a.Stations)
	rows := (n + perRow - 1) / perRow
	each := (n + rows - 1) / rows
	width := min(widest, (assemblyWidth-2*margin)/float64(each))
	for from := 0; from < n; from += each {
		y = p.assemblyRow(&a, from, min(from+each, n), width, y)
	}
	y = p.assemblyLegend(&a, y+8)
	return p.picture(assemblyWidth, y+2, a.Title, a.desc()), nil
}

const (
	armH    = 32.0
	shaftH  = 20.0
	footH   = 30.0
	partGap = 8.0
)

func (p *pen) assemblyRow(a *Assembly, from, to int, width, y float64) float64 {
	x0 := margin
	top := y + 8 + armH // upper edge of the shaft
	if clean(a.FeedEnd+a.FarEnd) != "" || to-from < len(a.Stations) {
		top += 8
	}
	x1 := x0 + width*float64(to-from)
	// What is written at the ends stands above the shaft, clear of the arms.
	half := (x1 - x0) / 2
	if from == 0 {
		p.text(x0, y+6, half, a.FeedEnd, faceBold, Start, Ink)
		if clean(a.FeedEnd) != "" {
			p.arrow(Style{Stroke: Ink, Width: 2}, Point{x0 + 3, y + 10}, Point{x0 + 3, top - 1})
		}
	} else {
		p.text(x0, y+6, half, "going on", faceWord, Start, Soft)
	}
	if to == len(a.Stations) {
		if room := assemblyWidth - margin - x1 - 8; room > 60 {
			p.text(x1+8, top+shaftH/2+3, room, a.FarEnd, faceBody, Start, Ink)
		} else {
			p.text(x1, y+6, half, a.FarEnd, faceBody, End, Ink)
		}
	} else {
		p.text(x1, y+6, half, "goes on below", faceWord, End, Soft)
	}
	p.add(Box{X: x0, Y: top, W: x1 - x0, H: shaftH, Style: Style{Fill: Wash, Stroke: Ink, Width: 1}})
	under := top + shaftH + 8
	if slices.ContainsFunc(a.Stations[from:to], func(s Station) bool {
		return slices.ContainsFunc(s.Parts, func(q StationPart) bool { return q.Form == Pedestal })
	}) {
		under += footH
	}
	low := under
	var borders []float64
	for i, s := range a.Stations[from:to] {
		cx := x0 + width*(float64(i)+0.5)
		p.station(&s, cx, top, width)
		low = max(low, p.stationWords(&s, x0+width*float64(i), under+10, width))
		if i > 0 {
			x := x0 + width*float64(i)
			borders = append(borders, x)
		}
	}
	for _, x := range borders {
		p.line(Style{Stroke: Faint, Width: 0.5}, Point{x, top + shaftH + 3}, Point{x, low})
	}
	return low + 6
}

func (p *pen) station(s *Station, cx, top, width float64) {
	var n [Arm + 1]int
	var k [Arm + 1]int
	for _, q := range s.Parts {
		n[min(q.Form, Arm)]++
	}
	for _, q := range s.Parts {
		f := min(q.Form, Arm)
		st := q.State.style()
		st.Note = clean(q.Name) + ": " + q.words()
		if f == Piece {
			continue
		}
		// Parts of one form at one station share its width.
		room := width - 12
		w := (room+partGap)/float64(max(n[f], 1)) - partGap
		x := cx - room/2 + float64(k[f])*(w+partGap)
		switch f {
		case Seat:
			w2 := min(w, 52)
			x += (w - w2) / 2
			p.add(Box{X: x, Y: top, W: w2, H: shaftH, Style: st})
			p.gone(q.State, x, top, w2, shaftH)
		case Arm:
			w2 := min(w, 34)
			x += (w - w2) / 2
			p.add(Box{X: x, Y: top - armH, W: w2, H: armH, Round: 6, Style: st})
			p.gone(q.State, x, top-armH, w2, armH)
		case Pedestal:
			w2 := min(w, 40)
			x += (w - w2) / 2
			y := top + shaftH
			p.polygon(st, Point{x + w2*0.2, y}, Point{x + w2*0.8, y}, Point{x + w2, y + footH}, Point{x, y + footH})
			p.gone(q.State, x, y, w2, footH)
		}
		k[f]++
	}
}

// gone crosses out a part that is not there.
func (p *pen) gone(s State, x, y, w, h float64) {
	if s != Gone {
		return
	}
	st := Style{Stroke: Accent, Width: 1.3}
	p.line(st, Point{x, y}, Point{x + w, y + h})
	p.line(st, Point{x, y + h}, Point{x + w, y})
}

func (q *StationPart) words() string {
	if w := clean(q.Word); w != "" {
		return w
	}
	return q.State.word()
}

// stationWords writes the name of the station, a line for each part that is not
// simply sound, and one for all that are.
func (p *pen) stationWords(s *Station, x, y, width float64) float64 {
	width -= 6
	y = p.lines(x+3, y, faceBold.wrap(s.Name, width, 2), faceBold, Start, Ink)
	const size = 7.5
	f := face{size: size}
	line := func(state State, name, words string, bold bool) {
		p.add(Box{X: x + 3, Y: y - 7.4, W: 10, H: 9, Style: swatchOf(state)})
		p.gone(state, x+3, y-7.4, 10, 9)
		fw := face{size: size, bold: bold}
		if name != "" {
			y = p.lines(x+16, y, f.wrap(name, width-16, 2), f, Start, Soft)
		}
		y = p.lines(x+16, y, fw.wrap(words, width-16, 8), fw, Start, Ink) + 2.5
	}
	var sound []string
	for _, q := range s.Parts {
		if q.State == Sound && clean(q.Word) == "" {
			sound = append(sound, clean(q.Name))
			continue
		}
		line(q.State, q.Name, q.words(), q.State > Sound)
	}
	if len(sound) > 0 {
		line(Sound, "", Sound.word()+": "+strings.Join(sound, ", "), false)
	}
	return y
}

func swatchOf(s State) Style {
	st := s.style()
	st.Width = 0.8
	return st
}

func (p *pen) assemblyLegend(a *Assembly, y float64) float64 {
	var seen [Gone + 1]bool
	for _, s := range a.Stations {
		for _, q := range s.Parts {
			seen[min(q.State, Gone)] = true
		}
	}
	p.line(Style{Stroke: Faint, Width: 0.7}, Point{margin, y - 6}, Point{assemblyWidth - margin, y - 6})
	y += 8
	x := margin
	for s := NotLooked; s <= Gone; s++ {
		if !seen[s] {
			continue
		}
		if full := 25 + faceSmall.width(s.word()); x > margin && x+full > assemblyWidth-margin {
			x = margin
			y += 17
		}
		p.add(Box{X: x, Y: y - 9, W: 20, H: 12, Style: s.style()})
		p.gone(s, x, y-9, 20, 12)
		p.text(x+25, y, 0, s.word(), faceSmall, Start, Ink)
		x += 25 + faceSmall.width(s.word()) + 14
	}
	return y + 10
}

func (a *Assembly) desc() string {
	var b strings.Builder
	if a.FeedEnd != "" {
		fmt.Fprintf(&b, "From %s. ", clean(a.FeedEnd))
	}
	for _, s := range a.Stations {
		var parts []string
		for _, q := range s.Parts {
			parts = append(parts, cut(clean(q.Name), 100)+" "+cut(q.words(), 200))
		}
		fmt.Fprintf(&b, "%s: %s. ", cut(clean(s.Name), 100), strings.Join(parts, ", "))
	}
	return strings.TrimSpace(b.String())
}
