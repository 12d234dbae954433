package note

import (
	"fmt"

	"whyworn/explain/draw"
)

// How much smaller a drawing may become to stay on its page: beside its size on a page
// of its own, and beside the size it was drawn in, of which less is hard to read.
const leastShrink, leastScale = 0.72, 0.7

// figure sets a drawing as lines and text, as wide as the page or as large as one
// page holds, with its caption.
func (p *pdfPage) figure(b *Figure) {
	const size = smallSize + 0.4
	caption := p.wrapped(led2(fmt.Sprintf("Figure %d", b.Number), ""), bodyW, size) // its title stands in the drawing
	under := 4 + float64(len(caption))*size*lead
	room := bodyH - under - 60 // with a heading above it
	largest := min(1, bodyW/b.Picture.Width, room/b.Picture.Height)
	at := func(scale float64) piece {
		h := b.Picture.Height * scale
		return piece{h: h + under, draw: func(y float64) {
			for _, s := range b.Picture.Shapes {
				for _, layer := range draw.Layers(s) {
					p.shape(layer, marginX, y, scale)
				}
			}
			p.f.SetDashPattern(nil, 0)
			for i, l := range caption {
				p.setLine(marginX, y+h+4+smallSize+float64(i)*size*lead, size, l, softColour)
			}
		}}
	}
	x := at(largest)
	x.fit = func(h float64) (piece, bool) {
		scale := (h - under) / b.Picture.Height
		return at(scale), scale >= max(leastShrink*largest, leastScale)
	}
	p.space(6)
	p.add(x)
	p.space(floatGap)
}

// shape draws one layer of a shape.
func (p *pdfPage) shape(s draw.Shape, x0, y0, k float64) {
	f := p.f
	x := func(v float64) float64 { return x0 + v*k }
	y := func(v float64) float64 { return y0 + v*k }
	switch s := s.(type) {
	case draw.Box:
		if how := p.paint(&s.Style, k); how != "" {
			if s.Round > 0 {
				f.RoundedRect(x(s.X), y(s.Y), s.W*k, s.H*k, min(s.Round, s.W/2, s.H/2)*k, "1234", how)
			} else {
				f.Rect(x(s.X), y(s.Y), s.W*k, s.H*k, how)
			}
		}
	case draw.Circle:
		if how := p.paint(&s.Style, k); how != "" {
			f.Circle(x(s.X), y(s.Y), s.R*k, how)
		}
	case draw.Line:
		how := p.paint(&s.Style, k)
		if how == "" || len(s.Points) < 2 {
			return
		}
		f.MoveTo(x(s.Points[0].X), y(s.Points[0].Y))
		for _, pt := range s.Points[1:] {
			f.LineTo(x(pt.X), y(pt.Y))
		}
		if s.Closed {
			f.ClosePath()
		}
		f.DrawPath(how)
	case draw.Curve:
		how := p.paint(&s.Style, k)
		if how == "" || len(s.Cubics) == 0 {
			return
		}
		f.MoveTo(x(s.Start.X), y(s.Start.Y))
		for _, c := range s.Cubics {
			f.CurveBezierCubicTo(x(c[0].X), y(c[0].Y), x(c[1].X), y(c[1].Y), x(c[2].X), y(c[2].Y))
		}
		f.DrawPath(how)
	case draw.Text:
		p.label(&s, x(s.X), y(s.Y), k)
	}
}

// paint sets the colours of a shape, and tells how it is drawn: filled, stroked, both, or
// not at all.
func (p *pdfPage) paint(s *draw.Style, k float64) string {
	how := ""
	if s.Fill != draw.None {
		r, g, b := s.Fill.RGB()
		p.f.SetFillColor(int(r), int(g), int(b))
		how = "F"
	}
	if s.Stroke != draw.None {
		r, g, b := s.Stroke.RGB()
		p.f.SetDrawColor(int(r), int(g), int(b))
		width := s.Width
		if width == 0 {
			width = 1
		}
		p.f.SetLineWidth(width * k)
		dash := s.Dash.Lengths()
		scaled := make([]float64, len(dash))
		for i := range dash {
			scaled[i] = dash[i] * k
		}
		p.f.SetDashPattern(scaled, 0)
		how += "D"
	}
	return how
}

func (p *pdfPage) label(t *draw.Text, x, y, k float64) {
	st := ""
	if t.Bold {
		st = "B"
	} else if t.Italic {
		st = "I"
	}
	r, g, b := t.Colour.RGB()
	if t.Colour == draw.None {
		r, g, b = draw.Ink.RGB()
	}
	text := p.faces.drawn(t.Text)
	wide := p.width(text, st, t.Size*k)
	switch t.Anchor {
	case draw.Middle:
		x -= wide / 2
	case draw.End:
		x -= wide
	}
	p.f.SetTextColor(int(r), int(g), int(b))
	p.f.Text(x, y, text)
}
