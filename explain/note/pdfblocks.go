package note

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// block lays one block out.
func (p *pdfPage) block(b Block) {
	switch b := b.(type) {
	case Heading:
		p.heading(&b)
	case Paragraph:
		p.paragraph(&b)
	case List:
		for i, item := range b.Items {
			mark := "•"
			if b.Numbered {
				mark = strconv.Itoa(i + 1)
			}
			p.marked(marginX, 14, mark, led2(item.Lead, item.Text))
			if i == 0 || i == len(b.Items)-2 { // no point alone at either end
				p.pieces[len(p.pieces)-1].keep = true
			}
			p.space(2)
		}
		p.space(4)
	case Details:
		p.details(b)
	case Table:
		p.table(&b)
	case Tasks:
		for i := range b {
			p.task(i+1, &b[i])
		}
		p.space(6)
	case Figure:
		p.figure(&b)
	case Signing:
		p.signing(b)
	}
}

func (p *pdfPage) heading(h *Heading) {
	size, before := 13.0, 16.0
	if h.Level > 2 {
		size, before = 10.5, 10.0
	}
	p.space(before)
	text := p.faces.show(h.Text)
	p.add(piece{h: size * 1.3, keep: true, draw: func(y float64) {
		p.text(marginX, y+size, h.Text, "B", size, inkColour)
		p.f.Bookmark(text, h.Level-2, y)
	}})
	if h.Level == 2 {
		p.add(piece{h: 7, keep: true, draw: func(y float64) { p.rule(marginX, y+1, pageW-marginX, 1, inkColour) }})
	} else {
		p.add(piece{h: 3, keep: true, draw: func(float64) {}})
	}
}

func (p *pdfPage) paragraph(b *Paragraph) {
	switch b.Manner {
	case Small: // with what it explains
		for i := len(p.pieces) - 1; i >= 0; i-- {
			if !p.pieces[i].gap {
				p.pieces[i].keep = true
				break
			}
		}
		p.lines(marginX, bodyW, smallSize, led2(b.Lead, b.Text), softColour)
		p.space(6)
	case Notice:
		p.notice(b)
	default:
		p.lines(marginX, bodyW, textSize, led2(b.Lead, b.Text), inkColour)
		if strings.HasSuffix(b.Lead+b.Text, ":") { // it leads a list
			p.pieces[len(p.pieces)-1].keep = true
		}
		p.space(5)
	}
}

// notice is set on a wash with a bar at its side.
func (p *pdfPage) notice(b *Paragraph) {
	const pad, bar = 10.0, 4.0
	ground := func(h float64, then func(y float64)) piece {
		return piece{h: h, draw: func(y float64) {
			p.fill(marginX, y-0.2, bodyW, h+0.4, washColour)
			p.fill(marginX, y-0.2, bar, h+0.4, warnColour)
			then(y)
		}}
	}
	from := len(p.pieces)
	p.add(ground(5, func(float64) {}))
	p.pieces[from].keep = true
	for _, l := range p.wrapped(led2(b.Lead, b.Text), bodyW-2*pad-bar, textSize) {
		p.add(ground(textSize*lead, func(y float64) { p.setLine(marginX+bar+pad, y+textSize*1.02, textSize, l, inkColour) }))
	}
	p.pieces[len(p.pieces)-1].keep = true
	p.add(ground(6, func(float64) {}))
	p.keepTogether(from)
	p.space(7)
}

func (p *pdfPage) fill(x, y, w, h float64, c colour) {
	p.f.SetFillColor(c[0], c[1], c[2])
	p.f.Rect(x, y, w, h, "F")
}

// marked sets text behind a mark that hangs in the margin of its lines.
func (p *pdfPage) marked(x, indent float64, mark string, t [2]string) {
	from := len(p.pieces)
	p.lines(x+indent, pageW-marginX-x-indent, textSize, t, inkColour)
	first := p.pieces[from]
	p.pieces[from].draw = func(y float64) {
		p.text(x+2, y+textSize*1.02, mark, "", textSize, inkColour)
		first.draw(y)
	}
}

func (p *pdfPage) details(b Details) {
	wide := 0.0
	for _, d := range b {
		wide = max(wide, min(bodyW/3, p.width(p.faces.show(d.Lead), "", textSize)))
	}
	for _, d := range b {
		from := len(p.pieces)
		p.lines(marginX+wide+14, bodyW-wide-14, textSize, led2("", d.Text), inkColour)
		first := p.pieces[from]
		p.pieces[from].draw = func(y float64) {
			p.text(marginX, y+textSize*1.02, d.Lead, "", textSize, softColour)
			first.draw(y)
		}
		p.space(1.5)
	}
	p.space(4)
}

// task sets what to do with its box, and the place to sign it off.
func (p *pdfPage) task(n int, t *Task) {
	const box, indent = 9.5, 40.0
	from := len(p.pieces)
	x, width := marginX+indent, bodyW-indent
	title := t.Title
	p.lines(x, width, textSize+0.3, led2(title, prefixed("- ", t.Tag)), inkColour)
	first := p.pieces[from]
	p.pieces[from].draw = func(y float64) {
		p.f.SetDrawColor(inkColour[0], inkColour[1], inkColour[2])
		p.f.SetLineWidth(0.9)
		p.f.Rect(marginX+1, y+1.6, box, box, "D")
		no := strconv.Itoa(n)
		p.text(marginX+indent-8-p.width(no, "B", textSize), y+textSize*1.04, no, "B", textSize, inkColour)
		first.draw(y)
	}
	for _, s := range t.Steps {
		p.marked(x, 11, "–", led2("", s))
	}
	if t.Worked != "" {
		p.lines(x, width, textSize, led2("It worked when:", t.Worked), inkColour)
	}
	if t.Until != "" {
		p.lines(x, width, textSize, led2("Do not run until "+t.Until, ""), warnColour)
	}
	p.add(piece{h: 19, draw: func(y float64) {
		at := x
		for _, f := range []struct {
			name string
			room float64
		}{{"Done by", 130}, {"on", 90}} {
			p.text(at, y+13, f.name, "", smallSize, softColour)
			at += p.width(f.name, "", smallSize) + 4
			p.rule(at, y+14.5, at+f.room, 0.5, softColour)
			at += f.room + 14
		}
	}})
	p.add(piece{h: 6, draw: func(y float64) { p.rule(marginX, y+3.5, pageW-marginX, 0.4, lineColour) }})
	p.keepTogether(from)
}

func (p *pdfPage) signing(b Signing) {
	shares := []float64{0.4, 0.2, 0.4}
	for i := 0; i+2 < len(b); i += 3 {
		p.add(piece{h: 46, keep: true, draw: func(y float64) {
			x := float64(marginX)
			for k, name := range b[i : i+3] {
				w := bodyW * shares[k]
				p.rule(x, y+31, x+w-14, 0.7, inkColour)
				p.text(x, y+41, name, "", smallSize, softColour)
				x += w
			}
		}})
	}
	p.pieces[len(p.pieces)-1].keep = false
	p.space(4)
}

// photographs sets the photographs at the head of blocks, two beside each other,
// and tells how many blocks that were.
func (p *pdfPage) photographs(blocks []Block) int {
	var row []*Photograph
	n := 0
	for _, b := range blocks {
		ph, ok := b.(Photograph)
		if !ok {
			break
		}
		n++
		row = append(row, &ph)
		if len(row) == 2 {
			p.photoRow(row)
			row = nil
		}
	}
	if len(row) > 0 {
		p.photoRow(row)
	}
	return n
}

func (p *pdfPage) photoRow(row []*Photograph) {
	const between, tallest, gapH = 16.0, 190.0, 70.0
	w := (bodyW - between) / 2
	h := gapH
	sizes := make([][2]float64, len(row))
	for i, ph := range row {
		if ph.JPEG != nil {
			scale := min(w/float64(ph.W), tallest/float64(ph.H))
			sizes[i] = [2]float64{float64(ph.W) * scale, float64(ph.H) * scale}
			h = max(h, sizes[i][1])
		}
	}
	p.add(piece{h: h + 4, keep: true, draw: func(y float64) {
		for i, ph := range row {
			p.photo(ph, marginX+float64(i)*(w+between), y, w, gapH, sizes[i])
		}
	}})
	// Captions stand beside each other, line by line, so that a long one can go on overleaf.
	captions := make([][][]word, len(row))
	most := 0
	for i, ph := range row {
		captions[i] = p.wrapped(led2(fmt.Sprintf("Photo %d.", ph.Number), joined(" ", ph.Caption, "("+ph.File+")")), w, smallSize+0.4)
		most = max(most, len(captions[i]))
	}
	from := len(p.pieces)
	for k := range most {
		p.add(piece{h: (smallSize + 0.4) * lead, draw: func(y float64) {
			for i := range captions {
				if k < len(captions[i]) {
					p.setLine(marginX+float64(i)*(w+between), y+smallSize, smallSize+0.4, captions[i][k], inkColour)
				}
			}
		}})
	}
	p.keepTogether(from)
	p.space(10)
}

// photo draws one photograph, or the gap where it should be.
func (p *pdfPage) photo(ph *Photograph, x, y, w, gapH float64, size [2]float64) {
	if ph.JPEG == nil {
		p.f.SetDrawColor(softColour[0], softColour[1], softColour[2])
		p.f.SetLineWidth(0.8)
		p.f.SetDashPattern([]float64{4, 3}, 0)
		p.f.Rect(x, y, w, gapH, "D")
		p.f.SetDashPattern(nil, 0)
		lines := p.wrapped(led2("Not shown:", "the photograph "+ph.Gap), w-20, smallSize+0.4)
		for i, l := range lines[:min(len(lines), 5)] {
			p.setLine(x+10, y+18+float64(i)*11.5, smallSize+0.4, l, softColour)
		}
		return
	}
	name := fmt.Sprintf("photo-%d", ph.Number)
	opt := fpdf.ImageOptions{ImageType: "JPG"}
	p.f.RegisterImageOptionsReader(name, opt, bytes.NewReader(ph.JPEG))
	p.f.ImageOptions(name, x, y, size[0], size[1], false, opt, 0, "")
}
