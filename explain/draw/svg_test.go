package draw

import (
	"bytes"
	"encoding/xml"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the golden pictures")

type drawer interface{ Draw() (*Picture, error) }

func demos() map[string]drawer {
	return map[string]drawer{"causemap": demoMap(), "weights": demoWeights(), "section": demoSection(), "limits": demoLimits(), "assembly": demoAssembly()}
}

func mustDraw(t interface {
	Helper()
	Fatal(...any)
}, d drawer) *Picture {
	t.Helper()
	p, err := d.Draw()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func svgOf(p *Picture) string {
	var b bytes.Buffer
	if err := SVG(&b, p); err != nil {
		panic(err) // a buffer takes everything
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	for name, d := range demos() {
		got := svgOf(mustDraw(t, d))
		file := filepath.Join("testdata", name+".svg")
		if *update {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s has changed: look at the new picture, then run go test -update", file)
		}
		if again := svgOf(mustDraw(t, d)); again != got {
			t.Errorf("%s: two runs differ", name)
		}
	}
}

// The elements and attributes we write. Nothing else may appear, whatever the text.
var (
	allowedElements   = "svg title desc style rect circle polyline polygon path text"
	allowedAttributes = "xmlns id class width height viewBox role aria-labelledby style x y rx cx cy r d points stroke-width stroke-dasharray stroke-linecap font-size font-weight font-style text-anchor"
)

// examine reads an SVG as XML and reports what must not be, with the text it shows.
func examine(svg string) (texts []string, fault error) {
	dec := xml.NewDecoder(strings.NewReader(svg))
	dec.Strict = true
	ids := map[string]bool{}
	labelled := ""
	in := ""
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			in = tok.Name.Local
			if !strings.Contains(" "+allowedElements+" ", " "+in+" ") {
				return nil, fmt.Errorf("element %q", in)
			}
			for _, a := range tok.Attr {
				if !strings.Contains(" "+allowedAttributes+" ", " "+a.Name.Local+" ") {
					return nil, fmt.Errorf("attribute %q of %s", a.Name.Local, in)
				}
				switch a.Name.Local {
				case "id":
					if ids[a.Value] {
						return nil, fmt.Errorf("id %q twice", a.Value)
					}
					ids[a.Value] = true
				case "aria-labelledby":
					labelled = a.Value
				case "style":
					if strings.Contains(a.Value, "url") || strings.Contains(a.Value, "--pic-)") {
						return nil, fmt.Errorf("style %q", a.Value)
					}
				}
			}
		case xml.CharData:
			if in == "text" || in == "title" || in == "desc" {
				texts = append(texts, string(tok))
			}
		case xml.Comment, xml.ProcInst, xml.Directive:
			return nil, fmt.Errorf("a comment or instruction: %v", tok)
		}
	}
	for _, id := range strings.Fields(labelled) {
		if !ids[id] {
			return nil, fmt.Errorf("aria-labelledby names %q, which is not there", id)
		}
	}
	if len(strings.Fields(labelled)) != 2 {
		return nil, fmt.Errorf("aria-labelledby is %q, want title and desc", labelled)
	}
	return texts, nil
}

func TestEveryDemoIsWellFormedAndSelfContained(t *testing.T) {
	for name, d := range demos() {
		p := mustDraw(t, d)
		svg := svgOf(p)
		if _, err := examine(svg); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if p.Title == "" || len(p.Desc) < 60 {
			t.Errorf("%s: title %q and description %q say too little", name, p.Title, p.Desc)
		}
		for _, bad := range []string{"url(", "@import", "@font-face", "<script", "href", "NaN", "Inf"} {
			if strings.Contains(svg, bad) {
				t.Errorf("%s contains %q", name, bad)
			}
		}
		if strings.Count(svg, "http") != 1 { // the namespace
			t.Errorf("%s names another address than the namespace", name)
		}
		if !strings.Contains(svg, `role="img"`) || !strings.Contains(svg, "@media screen and (prefers-color-scheme:dark)") {
			t.Errorf("%s lacks its role or its dark colours", name)
		}
		if p.Width > 540 {
			t.Errorf("%s is %.0f pt wide: too wide for A4 at full size", name, p.Width)
		}
	}
}

// hostileDrawers puts strange text into every field that takes text.
func hostileDrawers(t *rapid.T) map[string]drawer {
	s := func() string { return anyText().Draw(t, "text") }
	m := demoMap()
	m.Title = s()
	for i := range m.Nodes {
		m.Nodes[i].Text, m.Nodes[i].Sure = s(), s()
	}
	for i := range m.Edges {
		m.Edges[i].How = s()
	}
	w := demoWeights()
	w.Title, w.Cause, w.Word = s(), s(), s()
	for i := range w.Clues {
		w.Clues[i].Text = s()
		if w.Clues[i].Through != "" {
			w.Clues[i].Through = "x" + s()
		}
	}
	for i := range w.Scale {
		w.Scale[i].Word = s()
	}
	if rapid.Bool().Draw(t, "settled") {
		w.Settled = s()
	}
	c := demoSection()
	c.Title, c.Unit, c.PlayText, c.ZeroAt, c.SeenFrom = s(), s(), s(), s(), s()
	c.Shaft.Name, c.Bore.Name, c.Load.Text, c.Worn[0].Text = s(), s(), s(), s()
	for _, r := range [][]Across{c.Shaft.Readings, c.Bore.Readings} {
		for i := range r {
			r[i].Text = s()
		}
	}
	l := demoLimits()
	l.Title = s()
	for i := range l.Rows {
		r := &l.Rows[i]
		r.Label, r.Whose, r.Text, r.Unit, r.LeastText, r.MostText = s(), s(), s(), s(), s(), s()
	}
	a := demoAssembly()
	a.Title, a.Shaft, a.FeedEnd, a.FarEnd = s(), s(), s(), s()
	for i := range a.Stations {
		a.Stations[i].Name = s()
		for j := range a.Stations[i].Parts {
			q := &a.Stations[i].Parts[j]
			q.Name, q.Word = s(), s()
		}
	}
	return map[string]drawer{"causemap": m, "weights": w, "section": c, "limits": l, "assembly": a}
}

func TestHostileTextIsShownNotObeyed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for name, d := range hostileDrawers(t) {
			p := mustDraw(t, d)
			texts, err := examine(svgOf(p))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for _, s := range texts {
				for _, r := range s {
					if hidden(r) && r != '\n' {
						t.Fatalf("%s shows %U in %q", name, r, s)
					}
				}
			}
			inBounds(t, name, p)
			noTextOnText(t, name, p)
			if p.Height > 6000 {
				t.Fatalf("%s is %.0f pt high", name, p.Height)
			}
		}
	})
}

// inBounds fails if a shape leaves the picture.
func inBounds(t *rapid.T, name string, p *Picture) {
	for _, s := range p.Shapes {
		x0, y0, x1, y1 := extent(s)
		if x0 < -0.5 || y0 < -0.5 || x1 > p.Width+0.5 || y1 > p.Height+0.5 {
			t.Fatalf("%s: %T at %.1f %.1f to %.1f %.1f leaves the picture of %.0f by %.0f: %+v", name, s, x0, y0, x1, y1, p.Width, p.Height, s)
		}
	}
}

func extent(s Shape) (x0, y0, x1, y1 float64) {
	switch s := s.(type) {
	case Line:
		return bounds(s.Points)
	case Curve:
		return bounds(flatten(s))
	case Box:
		return s.X, s.Y, s.X + s.W, s.Y + s.H
	case Circle:
		return s.X - s.R, s.Y - s.R, s.X + s.R, s.Y + s.R
	case Text:
		w := face{size: s.Size, bold: s.Bold}.width(s.Text)
		x := s.X
		switch s.Anchor {
		case Middle:
			x -= w / 2
		case End:
			x -= w
		}
		return x, s.Y - 0.72*s.Size, x + w, s.Y + 0.2*s.Size
	}
	panic("unknown shape")
}

// noTextOnText fails if two texts overlap, by the estimated widths.
func noTextOnText(t *rapid.T, name string, p *Picture) {
	type placed struct {
		x0, y0, x1, y1 float64
		s              string
	}
	var all []placed
	for _, s := range p.Shapes {
		if s, ok := s.(Text); ok {
			x0, y0, x1, y1 := extent(s)
			for _, q := range all {
				if min(x1, q.x1)-max(x0, q.x0) > 0.5 && min(y1, q.y1)-max(y0, q.y0) > 0.5 {
					t.Fatalf("%s: %q at (%.0f, %.0f) and %q at (%.0f, %.0f) overlap", name, cut(s.Text, 60), x0, y0, cut(q.s, 60), q.x0, q.y0)
				}
			}
			all = append(all, placed{x0, y0, x1, y1, s.Text})
		}
	}
}

func TestLongTextIsShortenedAndKept(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("worn ", 2000)) // 10,000 characters but one
	l := LimitBars{Rows: []LimitRow{{Label: long, Unit: "mm", Value: 1}}}
	svg := svgOf(mustDraw(t, l))
	if !strings.Contains(svg, "…<title>"+long+"</title>") {
		t.Error("the full text is not behind the shortened one")
	}
	m := CauseMap{Nodes: []CauseNode{{ID: "a", Text: long}}}
	svg = svgOf(mustDraw(t, m))
	if !strings.Contains(svg, "<title>"+long+"</title>") {
		t.Error("the full text is not behind the box")
	}
}

// luminance and contrast as WCAG 2.2 defines them (relative luminance, contrast ratio).
func luminance(rgb uint32) float64 {
	channel := func(v uint32) float64 {
		c := float64(v&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(rgb>>16) + 0.7152*channel(rgb>>8) + 0.0722*channel(rgb)
}

func contrast(a, b uint32) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestContrast(t *testing.T) {
	if c := contrast(0, 0xffffff); math.Abs(c-21) > 1e-9 { // WCAG: black on white is 21 to 1
		t.Fatalf("black on white is %.2f, want 21", c)
	}
	for mode, list := range map[string][]uint32{"light": lightHues[:], "dark": darkHues[:]} {
		for _, ground := range []Colour{Paper, Wash} {
			for _, c := range []Colour{Ink, Soft, Accent, Calm} {
				if r := contrast(list[c], list[ground]); r < 4.5 {
					t.Errorf("%s: %s on %s is %.2f to 1, want 4.5", mode, colourNames[c], colourNames[ground], r)
				}
			}
		}
	}
}

// What a state, a role or a result says must not hang on the colour alone.
func TestStatesDifferWithoutColour(t *testing.T) {
	seen := map[string]State{}
	for s := NotLooked; s <= Gone; s++ {
		st := s.style()
		k := fmt.Sprint(st.Pattern, st.Dash, st.Fill == None)
		if o, twice := seen[k]; twice {
			t.Errorf("%s and %s look alike without colour", s.word(), o.word())
		}
		seen[k] = s
	}
}
