package note

import (
	"bytes"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// Lengths of a page, in points: A4.
const (
	pageW, pageH   = 595.28, 841.89
	marginX        = 46.0
	marginTop      = 56.0
	marginBottom   = 42.0
	bodyW          = pageW - 2*marginX
	bodyH          = pageH - marginTop - marginBottom
	textSize       = 8.8
	smallSize      = 7.8
	tableSize      = 7.9
	lead           = 1.32 // distance of baselines, in type sizes
	bottom         = pageH - marginBottom
	keptWhole      = 0.55 * bodyH // what is taller may be broken
	undatedSeconds = 946684800    // 1 January 2000, where the inspection has no date
)

// PDF writes a note as PDF, A4, with its fonts in it and drawings as vectors.
// Errors are those of fpdf and of w.
func PDF(w io.Writer, c *Content) error {
	p, err := newPDF(c)
	if err != nil {
		return err
	}
	p.title(c)
	for i := 0; i < len(c.Blocks); i++ {
		if n := p.photographs(c.Blocks[i:]); n > 0 {
			i += n - 1
			continue
		}
		p.block(c.Blocks[i])
	}
	pages := paginate(p.pieces)
	for n, page := range pages {
		p.f.AddPage()
		p.furniture(c, n+1, len(pages))
		for _, at := range page {
			at.draw(at.y)
		}
	}
	var b bytes.Buffer
	if err := p.f.Output(&b); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// pdfPage lays a note out. Pieces are laid out first and drawn when it is known
// on which page they stand, and of how many.
type pdfPage struct {
	f      *fpdf.Fpdf
	faces  faces
	pieces []piece
}

// newPDF makes an empty document with fonts, metadata and a date of its own.
func newPDF(c *Content) (*pdfPage, error) {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", SizeStr: "A4"})
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetCellMargin(0)
	p := &pdfPage{f: f}
	if err := p.faces.load(); err != nil {
		return nil, err
	}
	for style, ttf := range map[string][]byte{"": regularTTF, "B": boldTTF, "I": obliqueTTF} {
		f.AddUTF8FontFromBytes(family, style, ttf)
	}
	at := c.Dated
	if at.IsZero() {
		at = time.Unix(undatedSeconds, 0).UTC()
	}
	f.SetCreationDate(at)
	f.SetModificationDate(at)
	f.SetCatalogSort(true)
	f.SetTitle(p.faces.show(joined(": ", c.Title, c.Machine)), true)
	f.SetAuthor(p.faces.show(c.Author), true)
	f.SetSubject("What became of a machine, why, and what to do about it", true)
	f.SetCreator("whyworn", true)
	f.SetLang("en")
	return p, f.Error()
}

// title stands at the head of the first page.
func (p *pdfPage) title(c *Content) {
	p.add(piece{h: 24, draw: func(y float64) { p.text(marginX, y+18, c.Title, "B", 19, inkColour) }})
	p.lines(marginX, bodyW, 11, led2("", c.Machine), softColour)
	p.space(8)
}

// furniture is what stands on every page.
func (p *pdfPage) furniture(c *Content, n, of int) {
	const size = 7.8
	number := fmt.Sprintf("page %d of %d", n, of)
	p.text(pageW-marginX-p.width(number, "", size), marginTop-26, number, "", size, softColour)
	room := bodyW - p.width(number, "", size) - 20
	left := joined(", ", c.Machine, dateWords(c.Date))
	if n == 1 {
		left = joined(", ", c.Author, dateWords(c.Date))
	}
	line := wrapWords(words(p.faces.show(left), false), room, p.width(" ", "", size), p.measure(size))
	p.text(marginX, marginTop-26, plainLine(line[0]), "", size, softColour)
	p.rule(marginX, marginTop-20, pageW-marginX, 0.6, lineColour)
}
