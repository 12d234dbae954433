package note

import (
	_ "embed"
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/image/font/sfnt"

	"whyworn/facts/source"
)

// DejaVu Sans 2.37, see fonts/LICENSE. The bytes are parsed only when a PDF is written.
var (
	//go:embed fonts/DejaVuSans.ttf
	regularTTF []byte
	//go:embed fonts/DejaVuSans-Bold.ttf
	boldTTF []byte
	//go:embed fonts/DejaVuSans-Oblique.ttf
	obliqueTTF []byte
)

const family = "DejaVu"

// faces knows which characters the fonts can show.
type faces struct {
	fonts []*sfnt.Font
	buf   sfnt.Buffer
	has   map[rune]bool
}

func (f *faces) load() error {
	f.has = map[rune]bool{}
	for _, ttf := range [][]byte{regularTTF, boldTTF, obliqueTTF} {
		font, err := sfnt.Parse(ttf)
		if err != nil {
			return err
		}
		f.fonts = append(f.fonts, font)
	}
	return nil
}

// show makes text fit to be set: what cannot be seen, would turn the line round, or
// is in none of the fonts is written out as its code point.
func (f *faces) show(s string) string {
	s = source.Escape(s)
	var b strings.Builder
	for _, r := range s {
		if r < 0x7f || f.can(r) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\u{%x}`, r)
		}
	}
	return b.String()
}

// drawn makes the words of a drawing fit to be set. They have their room, so what
// is in none of the fonts is a square; the text beside the drawing writes it out.
func (f *faces) drawn(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp):
			return -1
		case r < 0x7f || f.can(r):
			return r
		}
		return '\u25a1'
	}, s)
}

func (f *faces) can(r rune) bool {
	has, known := f.has[r]
	if !known {
		has = r < 0xfffe // fpdf sets the basic plane only
		for _, font := range f.fonts {
			g, err := font.GlyphIndex(&f.buf, r)
			has = has && err == nil && g != 0
		}
		f.has[r] = has
	}
	return has
}

// A colour of print.
type colour [3]int

var (
	inkColour  = colour{20, 20, 20}
	softColour = colour{90, 90, 90}
	lineColour = colour{170, 170, 170}
	warnColour = colour{150, 30, 20}
	washColour = colour{250, 238, 236}
)

func (p *pdfPage) add(x piece) { p.pieces = append(p.pieces, x) }

func (p *pdfPage) space(h float64) {
	p.add(piece{h: h, gap: true, draw: func(float64) {}})
}

// keepTogether keeps the pieces from on together, if they are not too tall.
func (p *pdfPage) keepTogether(from int) {
	h := 0.0
	for _, x := range p.pieces[from:] {
		h += x.h
	}
	if h <= keptWhole {
		for i := from; i < len(p.pieces)-1; i++ {
			p.pieces[i].keep = true
		}
	}
}

func style(bold bool) string {
	if bold {
		return "B"
	}
	return ""
}

// width is how wide text is set, in points.
func (p *pdfPage) width(s, style string, size float64) float64 {
	p.f.SetFont(family, style, size)
	return float64(p.f.GetStringSymbolWidth(s)) * size / 1000
}

func (p *pdfPage) measure(size float64) func(word) float64 {
	return func(w word) float64 { return p.width(w.text, style(w.bold), size) }
}

// text sets one line; what it says is made fit to be shown.
func (p *pdfPage) text(x, y float64, s, style string, size float64, c colour) {
	p.f.SetFont(family, style, size)
	p.f.SetTextColor(c[0], c[1], c[2])
	p.f.Text(x, y, p.faces.show(s))
}

func (p *pdfPage) rule(x0, y, x1, width float64, c colour) {
	p.f.SetDrawColor(c[0], c[1], c[2])
	p.f.SetLineWidth(width)
	p.f.Line(x0, y, x1, y)
}

// led2 is words with a bold lead.
func led2(lead, text string) [2]string { return [2]string{lead, text} }

// wrapped breaks a text with its lead into lines.
func (p *pdfPage) wrapped(t [2]string, width, size float64) [][]word {
	in := append(words(p.faces.show(t[0]), true), words(p.faces.show(t[1]), false)...)
	return wrapWords(in, width, p.width(" ", "", size), p.measure(size))
}

// setLine sets a line of words that are fit to be shown already.
func (p *pdfPage) setLine(x, y, size float64, line []word, c colour) {
	p.f.SetTextColor(c[0], c[1], c[2])
	blank := p.width(" ", "", size)
	for i := 0; i < len(line); { // words of one face in one go, so that text can be copied
		j := i
		for j < len(line) && line[j].bold == line[i].bold {
			j++
		}
		s := plainLine(line[i:j])
		wide := p.width(s, style(line[i].bold), size)
		p.f.Text(x, y, s)
		x += wide + blank
		i = j
	}
}

// lines adds a text as lines of its own.
func (p *pdfPage) lines(x, width, size float64, t [2]string, c colour) {
	from := len(p.pieces)
	for _, l := range p.wrapped(t, width, size) {
		p.add(piece{h: size * lead, draw: func(y float64) { p.setLine(x, y+size*1.02, size, l, c) }})
	}
	if n := len(p.pieces); n-from <= 6 {
		p.keepTogether(from)
	} else { // no line alone at either end
		p.pieces[from].keep, p.pieces[n-2].keep = true, true
	}
}
