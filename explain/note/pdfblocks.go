package note

import (
	"bytes"
	"fmt"
	"slices"
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
		p.list(&b)
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

// list sets points below each other, short ones in two columns.
func (p *pdfPage) list(b *List) {
	const indent, between = 13.0, 16.0
	size, gap := textSize, 1.5
	if b.Dense {
		size, gap = tableSize, 0.8
	}
	half := (bodyW - between) / 2
	if short := p.short(b, half-indent, size); short {
		for i := 0; i < len(b.Items); i += 2 {
			row := b.Items[i:min(i+2, len(b.Items))]
			p.add(piece{h: size * lead, keep: i == 0 || i+4 >= len(b.Items) && i+2 < len(b.Items), draw: func(y float64) {
				for k, item := range row {
					x := marginX + float64(k)*(half+between)
					p.text(x+2, y+size*1.02, "•", "", size, inkColour)
					p.setLine(x+indent, y+size*1.02, size, p.wrapped(led2(item.Lead, item.Text), half-indent, size)[0], inkColour)
				}
			}})
			p.space(gap)
		}
		p.space(4)
		return
	}
	for i, item := range b.Items {
		mark := "•"
		if b.Numbered {
			mark = strconv.Itoa(i + 1)
		}
		p.marked(marginX, indent, size, mark, led2(item.Lead, item.Text))
		if i == 0 || i == len(b.Items)-2 { // no point alone at either end
			p.pieces[len(p.pieces)-1].keep = true
		}
		p.space(gap)
	}
	p.space(4)
}

// short tells whether the points of a list take one line each in so much width.
func (p *pdfPage) short(b *List, width, size float64) bool {
	if b.Numbered || len(b.Items) < 4 {
		return false
	}
	for _, item := range b.Items {
		if len(item.Lead)+len(item.Text) > 200 || len(p.wrapped(led2(item.Lead, item.Text), width, size)) > 1 {
			return false
		}
	}
	return true
}

func (p *pdfPage) heading(h *Heading) {
	size, before := 12.0, 11.0
	if h.Level > 2 {
		size, before = 9.8, 7.0
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
func (p *pdfPage) marked(x, indent, size float64, mark string, t [2]string) {
	from := len(p.pieces)
	p.lines(x+indent, pageW-marginX-x-indent, size, t, inkColour)
	first := p.pieces[from]
	p.pieces[from].draw = func(y float64) {
		p.text(x+2, y+size*1.02, mark, "", size, inkColour)
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

// task sets what to do with its box, and the place to sign it off: at the end of its
// first line where that has room for it, else below.
func (p *pdfPage) task(n int, t *Task) {
	const box, indent, signed = 9.5, 36.0, 196.0
	from := len(p.pieces)
	x, width := marginX+indent, bodyW-indent
	title := p.wrapped(led2(t.Title, prefixed("- ", t.Tag)), width-signed-10, textSize+0.3)
	sign := func(at, y float64) {
		for _, f := range []struct {
			name string
			room float64
		}{{"Done by", 112}, {"on", 72}} {
			p.text(at, y, f.name, "", smallSize, softColour)
			w := p.width(f.name, "", smallSize) + 4
			p.rule(at+w, y+1.5, at+f.room, 0.5, softColour)
			at += f.room + 12
		}
	}
	beside := len(title) <= 2
	if beside {
		for i, l := range title {
			p.add(piece{h: (textSize + 0.3) * lead, draw: func(y float64) {
				p.setLine(x, y+textSize*1.04, textSize+0.3, l, inkColour)
				if i == 0 {
					sign(pageW-marginX-signed, y+textSize*1.04)
				}
			}})
		}
	} else {
		p.lines(x, width, textSize+0.3, led2(t.Title, prefixed("- ", t.Tag)), inkColour)
	}
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
		p.marked(x, 11, textSize, "–", led2("", s))
	}
	if t.Worked != "" {
		p.lines(x, width, textSize, led2("It worked when:", t.Worked), inkColour)
	}
	if t.Until != "" {
		p.lines(x, width, textSize, led2("Do not run until "+t.Until, ""), warnColour)
	}
	if !beside {
		p.add(piece{h: 19, draw: func(y float64) { sign(x, y+13) }})
	}
	p.add(piece{h: 7, draw: func(y float64) { p.rule(marginX, y+3.5, pageW-marginX, 0.4, lineColour) }})
	p.keepTogether(from)
}

func (p *pdfPage) signing(b Signing) {
	shares := []float64{0.4, 0.2, 0.4}
	for i := 0; i+2 < len(b); i += 3 {
		p.add(piece{h: 42, keep: true, draw: func(y float64) {
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

// photographs sets the photographs at the head of blocks, two beside each other, of
// more than four three, and tells how many blocks that were.
func (p *pdfPage) photographs(blocks []Block) int {
	var all []*Photograph
	for _, b := range blocks {
		ph, ok := b.(Photograph)
		if !ok {
			break
		}
		all = append(all, &ph)
	}
	beside := 2
	if len(all) > 4 {
		beside = 3
	}
	for row := range slices.Chunk(all, beside) {
		p.photoRow(row, beside)
	}
	return len(all)
}

func (p *pdfPage) photoRow(row []*Photograph, beside int) {
	const between, tallest, gapH = 14.0, 190.0, 70.0
	w := (bodyW - between*float64(beside-1)) / float64(beside)
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
