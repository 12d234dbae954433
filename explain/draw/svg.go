package draw

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"io"
	"math"
	"strconv"
	"strings"
)

// fontStack asks for a sans serif the reader already has; nothing is fetched.
const fontStack = `system-ui, -apple-system, "Segoe UI", Roboto, "Helvetica Neue", Arial, "DejaVu Sans", sans-serif`

// SVG writes p as one self-contained SVG element: no script, no outside font, image
// or style. It may stand alone in a file or inside an HTML page, where several
// pictures do not disturb each other. Screens that ask for dark get dark; paper is
// always white. Equal pictures give equal bytes. The error is w's.
func SVG(w io.Writer, p *Picture) error {
	var body svgWriter
	for _, s := range p.Shapes {
		body.shape(s)
	}
	// The id is a digest of what is written, so that pictures in one page differ.
	h := fnv.New64a()
	h.Write(body.Bytes())
	fmt.Fprintf(h, "%q %q", p.Title, p.Desc)
	id := fmt.Sprintf("pic-%016x", h.Sum64())

	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" id="%s" class="pic" width="%spt" height="%spt" viewBox="0 0 %[2]s %[3]s" role="img" aria-labelledby="%[1]s-title %[1]s-desc">`+"\n",
		id, num(p.Width), num(p.Height))
	fmt.Fprintf(&b, "<title id=\"%s-title\">%s</title>\n<desc id=\"%[1]s-desc\">%[3]s</desc>\n", id, escape(p.Title), escape(p.Desc))
	fmt.Fprintf(&b, "<style>\n.pic{%s;font-family:%s;max-width:100%%;height:auto}\n", hues(lightHues[:]), fontStack)
	fmt.Fprintf(&b, "@media screen and (prefers-color-scheme:dark){.pic{%s}}\n", hues(darkHues[:]))
	b.WriteString(".pic text{unicode-bidi:isolate}\n@media print{.pic{max-height:240mm;break-inside:avoid;print-color-adjust:exact;-webkit-print-color-adjust:exact}}\n</style>\n")
	fmt.Fprintf(&b, "<rect width=\"%s\" height=\"%s\" style=\"fill:var(--pic-paper)\"/>\n", num(p.Width), num(p.Height))
	b.Write(body.Bytes())
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

var colourNames = [...]string{None: "", Paper: "paper", Ink: "ink", Soft: "soft", Faint: "faint", Wash: "wash", Accent: "accent", Calm: "calm"}

// hues declares the CSS variables of one list of hues.
func hues(list []uint32) string {
	var parts []string
	for c, name := range colourNames {
		if name != "" {
			parts = append(parts, fmt.Sprintf("--pic-%s:#%06x", name, list[c]))
		}
	}
	return strings.Join(parts, ";")
}

type svgWriter struct{ bytes.Buffer }

func (b *svgWriter) shape(s Shape) {
	if marks := Hatch(s); marks != nil {
		fill, stroke := split(s)
		b.element(fill)
		b.marks(marks)
		b.element(stroke)
		return
	}
	b.element(s)
}

// marks writes the hatching of one shape as a single path, or its dots.
func (b *svgWriter) marks(marks []Shape) {
	var d strings.Builder
	var st Style
	for _, m := range marks {
		switch m := m.(type) {
		case Line:
			st = m.Style
			fmt.Fprintf(&d, "M%s %sL%s %s", num(m.Points[0].X), num(m.Points[0].Y), num(m.Points[1].X), num(m.Points[1].Y))
		case Circle:
			// A dot is a stroke of no length with round ends.
			st = Style{Stroke: m.Fill, Width: 2 * m.R}
			fmt.Fprintf(&d, "M%s %sh0", num(m.X), num(m.Y))
		}
	}
	if d.Len() > 0 {
		fmt.Fprintf(b, "<path d=\"%s\" stroke-linecap=\"round\"%s/>\n", d.String(), paint(st))
	}
}

func (b *svgWriter) element(s Shape) {
	switch s := s.(type) {
	case Line:
		if invisible(s.Style) || len(s.Points) < 2 {
			return
		}
		name := "polyline"
		if s.Closed {
			name = "polygon"
		}
		pts := make([]string, len(s.Points))
		for i, p := range s.Points {
			pts[i] = num(p.X) + "," + num(p.Y)
		}
		b.close(name, fmt.Sprintf(`points="%s"%s`, strings.Join(pts, " "), paint(s.Style)), s.Note)
	case Curve:
		if invisible(s.Style) {
			return
		}
		var d strings.Builder
		fmt.Fprintf(&d, "M%s %s", num(s.Start.X), num(s.Start.Y))
		for _, k := range s.Cubics {
			fmt.Fprintf(&d, "C%s %s %s %s %s %s", num(k[0].X), num(k[0].Y), num(k[1].X), num(k[1].Y), num(k[2].X), num(k[2].Y))
		}
		b.close("path", fmt.Sprintf(`d="%s"%s`, d.String(), paint(s.Style)), s.Note)
	case Box:
		if invisible(s.Style) {
			return
		}
		r := ""
		if s.Round > 0 {
			r = fmt.Sprintf(` rx="%s"`, num(s.Round))
		}
		b.close("rect", fmt.Sprintf(`x="%s" y="%s" width="%s" height="%s"%s%s`, num(s.X), num(s.Y), num(s.W), num(s.H), r, paint(s.Style)), s.Note)
	case Circle:
		if invisible(s.Style) {
			return
		}
		b.close("circle", fmt.Sprintf(`cx="%s" cy="%s" r="%s"%s`, num(s.X), num(s.Y), num(s.R), paint(s.Style)), s.Note)
	case Text:
		b.text(s)
	}
}

func (b *svgWriter) text(t Text) {
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s"`, num(t.X), num(t.Y), num(t.Size))
	if t.Bold {
		b.WriteString(` font-weight="700"`)
	}
	if t.Italic {
		b.WriteString(` font-style="italic"`)
	}
	switch t.Anchor {
	case Middle:
		b.WriteString(` text-anchor="middle"`)
	case End:
		b.WriteString(` text-anchor="end"`)
	}
	c := t.Colour
	if c == None {
		c = Ink
	}
	fmt.Fprintf(b, ` style="fill:var(--pic-%s)">%s`, colourNames[c], escape(t.Text))
	if t.Full != "" {
		fmt.Fprintf(b, "<title>%s</title>", escape(t.Full))
	}
	b.WriteString("</text>\n")
}

func (b *svgWriter) close(name, attrs, note string) {
	if note == "" {
		fmt.Fprintf(b, "<%s %s/>\n", name, attrs)
		return
	}
	fmt.Fprintf(b, "<%s %s><title>%s</title></%[1]s>\n", name, attrs, escape(cut(clean(note), maxText)))
}

func invisible(s Style) bool {
	return s.Fill == None && s.Stroke == None && s.Note == ""
}

// paint gives the attributes of a style, with a leading space.
func paint(s Style) string {
	var b strings.Builder
	fill, stroke := "none", ""
	if s.Fill != None {
		fill = "var(--pic-" + colourNames[s.Fill] + ")"
	}
	if s.Stroke != None {
		stroke = ";stroke:var(--pic-" + colourNames[s.Stroke] + ")"
		w := s.Width
		if w == 0 {
			w = 1
		}
		fmt.Fprintf(&b, ` stroke-width="%s"`, num(w))
		if d := s.Dash.Lengths(); d != nil {
			fmt.Fprintf(&b, ` stroke-dasharray="%s %s"`, num(d[0]), num(d[1]))
		}
	}
	fmt.Fprintf(&b, ` style="fill:%s%s"`, fill, stroke)
	return b.String()
}

// num writes a length to a hundredth of a point, which keeps the last bits of
// arithmetic out of the bytes.
func num(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	s := strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;")

// escape makes text safe for element content and for quoted attributes.
func escape(s string) string { return escaper.Replace(clean(s)) }
