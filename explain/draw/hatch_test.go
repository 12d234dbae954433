package draw

import (
	"io"
	"math"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"pgregory.net/rapid"
)

func TestHatchStaysInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pat := Pattern(rapid.IntRange(int(Rising), int(RisingThin)).Draw(t, "pattern"))
		x, y := rapid.Float64Range(-50, 500).Draw(t, "x"), rapid.Float64Range(-50, 500).Draw(t, "y")
		w, h := rapid.Float64Range(0, 200).Draw(t, "w"), rapid.Float64Range(0, 200).Draw(t, "h")
		st := Style{Pattern: pat}
		for _, s := range []Shape{Box{X: x, Y: y, W: w, H: h, Style: st}, Circle{X: x, Y: y, R: w / 2, Style: st}, Box{X: x, Y: y, W: w, H: h, Round: 9, Style: st}} {
			a0, b0, a1, b1 := extent(s)
			marks := Hatch(s)
			if len(marks) > 2*maxStrokes+2 {
				t.Fatalf("%d marks", len(marks))
			}
			for _, m := range marks {
				c0, d0, c1, d1 := extent(m)
				if c0 < a0-0.01 || d0 < b0-0.01 || c1 > a1+0.01 || d1 > b1+0.01 {
					t.Fatalf("%T: mark %v leaves %v", s, m, s)
				}
				if l, ok := m.(Line); ok {
					if c, ok := s.(Circle); ok {
						for _, p := range l.Points {
							if math.Hypot(p.X-c.X, p.Y-c.Y) > c.R+0.01 {
								t.Fatalf("stroke end %v outside %v", p, c)
							}
						}
					}
				}
			}
			if w >= 14 && h >= 14 && len(marks) == 0 {
				t.Fatalf("pattern %d leaves a %gx%g %T empty", pat, w, h, s)
			}
		}
	})
}

func TestHatchOfPlainIsNothing(t *testing.T) {
	if Hatch(Box{W: 20, H: 20}) != nil || Hatch(Text{Text: "a"}) != nil {
		t.Error("something without a pattern was hatched")
	}
}

func TestHatchHasItsPitch(t *testing.T) {
	// The strokes of a square of 100 at a pitch of 3 must sum to about 100·100/3.
	sum := 0.0
	for _, m := range Hatch(Box{X: 0, Y: 0, W: 100, H: 100, Style: Style{Pattern: Level}}) {
		l := m.(Line)
		sum += math.Hypot(l.Points[1].X-l.Points[0].X, l.Points[1].Y-l.Points[0].Y)
	}
	if math.Abs(sum-100*100/3.0) > 150 {
		t.Errorf("strokes are %.0f long together, want about 3333", sum)
	}
}

func TestHatchLeavesTheMouthOfAUOpen(t *testing.T) {
	u := Line{Closed: true, Style: Style{Pattern: Level}, Points: []Point{{0, 0}, {10, 0}, {10, 50}, {30, 50}, {30, 0}, {40, 0}, {40, 60}, {0, 60}}}
	marks := Hatch(u)
	left, right := false, false
	for _, m := range marks {
		l := m.(Line)
		a, b := l.Points[0], l.Points[1]
		if a.Y < 49 && min(a.X, b.X) < 29 && max(a.X, b.X) > 11 {
			t.Fatalf("stroke %v runs through the mouth", l.Points)
		}
		left, right = left || a.X < 10 && a.Y < 49, right || a.X > 29 && a.Y < 49
	}
	if !left || !right {
		t.Error("a leg of the U is bare")
	}
}

// A writer that knows only plain shapes must be able to draw every picture: here
// one with fpdf, as vectors and text.
func TestLayersAreEnoughForAPDF(t *testing.T) {
	for name, d := range demos() {
		p := mustDraw(t, d)
		pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "pt", Size: fpdf.SizeType{Wd: p.Width, Ht: p.Height}})
		pdf.AddPage()
		texts := 0
		for _, s := range p.Shapes {
			for _, l := range Layers(s) {
				switch l := l.(type) {
				case Line:
					if l.Pattern != Plain {
						t.Fatalf("%s: a pattern is left on %+v", name, l)
					}
					pdf.MoveTo(l.Points[0].X, l.Points[0].Y)
					for _, q := range l.Points[1:] {
						pdf.LineTo(q.X, q.Y)
					}
					pdf.DrawPath("D")
				case Curve:
					pdf.MoveTo(l.Start.X, l.Start.Y)
					for _, k := range l.Cubics {
						pdf.CurveBezierCubicTo(k[0].X, k[0].Y, k[1].X, k[1].Y, k[2].X, k[2].Y)
					}
					pdf.DrawPath("D")
				case Box:
					if l.Pattern != Plain {
						t.Fatalf("%s: a pattern is left on %+v", name, l)
					}
					pdf.Rect(l.X, l.Y, l.W, l.H, "D")
				case Circle:
					pdf.Circle(l.X, l.Y, l.R, "D")
				case Text:
					pdf.SetFont("Helvetica", "", l.Size)
					pdf.Text(l.X, l.Y, l.Text)
					texts++
				default:
					t.Fatalf("%s: shape %T", name, l)
				}
			}
		}
		if err := pdf.Output(io.Discard); err != nil || texts == 0 {
			t.Errorf("%s: %v, %d texts", name, err, texts)
		}
	}
}
