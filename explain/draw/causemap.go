package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// CauseMap is the input of the map of causes: what began it, what followed, by
// which signs it is known, and what stands apart or open. Circles may occur; they
// are found and drawn as what they are.
type CauseMap struct {
	Title string
	Nodes []CauseNode
	Edges []CauseEdge
}

// CauseNode is one box of the map.
type CauseNode struct {
	ID   string // unique, not shown
	Text string
	Role Role
	// Sure says in words how certain it is, such as "seen"; may be empty.
	Sure string
}

// CauseEdge says that one node led to another; to a Sign, that it shows in it.
type CauseEdge struct {
	From, To string // ids
	How      string // the physics, in a few words; may be empty
}

// Role says what part a node plays in the story.
type Role uint8

const (
	Root    Role = iota // it began here
	KnockOn             // it followed
	Sign                // what was observed
	Apart               // true, and no part of this
	Open                // not decided
)

// word is what the box says above its text.
func (r Role) word() string {
	return [...]string{"began here", "followed", "sign", "apart from this", "open"}[min(r, Open)]
}

func (r Role) face() face {
	if r == Sign {
		return faceBody
	}
	return faceBold
}

const (
	maxNodes = 200
	maxEdges = 500
	// The room on A4 with usual margins, in points.
	pageWidth, pageHeight = 510.0, 640.0
)

// mapBox is a node with its text set.
type mapBox struct {
	CauseNode
	text, sure wrapped
	w, h       float64
	x, y       float64 // top left corner, once placed
	circle     bool
}

// worded tells whether the box says its role in words. What followed is most of a map:
// its hatched edge and the legend are enough.
func (b *mapBox) worded() bool { return b.Role != KnockOn }

// mapRoute is the drawn way of one edge.
type mapRoute struct {
	edge   int
	curve  Curve
	spots  []int
	inside bool // both ends in one circle
	back   bool
}

type mapFrame struct{ x, y, w, h float64 }

// chart is a finished layout.
type chart struct {
	boxes  []mapBox
	routes []mapRoute
	frames []mapFrame
	w, h   float64
	down   bool // edges run from top to bottom
	torn   int  // words broken for want of room
}

var (
	faceTitle = face{size: 11, bold: true}
	faceBody  = face{size: 8}
	faceBold  = face{size: 8, bold: true}
	faceSmall = face{size: 7}
	faceWord  = face{size: 7, italic: true}
)

// check reports the first fault of the input, and gives edges as pairs of indexes.
func (m *CauseMap) check() ([][2]int, error) {
	if len(m.Nodes) == 0 {
		return nil, errEmpty
	}
	if len(m.Nodes) > maxNodes {
		return nil, fmt.Errorf("too much for one map: %d boxes, %d at the most", len(m.Nodes), maxNodes)
	}
	if len(m.Edges) > maxEdges {
		return nil, fmt.Errorf("too much for one map: %d links, %d at the most", len(m.Edges), maxEdges)
	}
	index := map[string]int{}
	for i, n := range m.Nodes {
		if _, twice := index[n.ID]; twice {
			return nil, fmt.Errorf("two boxes of the map have the id %q", cut(n.ID, 60))
		}
		index[n.ID] = i
	}
	pairs := make([][2]int, len(m.Edges))
	for i, e := range m.Edges {
		from, ok := index[e.From]
		to, ok2 := index[e.To]
		if !ok || !ok2 {
			return nil, fmt.Errorf("a link of the map runs from %q to %q, and one of them is no box", cut(e.From, 60), cut(e.To, 60))
		}
		pairs[i] = [2]int{from, to}
	}
	return pairs, nil
}

// layout tries both directions and some widths of box and keeps what shrinks
// least on a page of A4.
func (m *CauseMap) layout(pairs [][2]int) *chart {
	type try struct {
		width float64
		down  bool
	}
	var best *chart
	bestFit := 0.0
	for _, t := range []try{{124, false}, {108, false}, {94, false}, {140, true}, {126, true}, {114, true}, {98, true}, {84, true}} {
		c := m.arrange(pairs, t.width, t.down)
		fit := min(1, pageWidth/c.w, pageHeight/c.h) * math.Pow(0.97, float64(min(c.torn, 5)))
		if fit > bestFit+0.005 {
			best, bestFit = c, fit
		}
	}
	return best
}

// arrange lays the map out in one way.
func (m *CauseMap) arrange(pairs [][2]int, width float64, down bool) *chart {
	c := &chart{down: down, boxes: make([]mapBox, len(m.Nodes))}
	comp, isCircle := circles(len(m.Nodes), pairs)
	for i, n := range m.Nodes {
		b := mapBox{CauseNode: n, w: width, circle: isCircle[comp[i]]}
		room := width - 16
		if b.circle && !b.worded() {
			room -= 11 // its sign stands beside the text
		}
		b.text, b.sure = n.Role.face().wrap(n.Text, room, 5), faceWord.wrap(n.Sure, width-16, 2)
		if b.text.torn {
			c.torn++
		}
		b.h = 10 + float64(len(b.text.lines))*faceBody.leading() + float64(len(b.sure.lines))*faceWord.leading()
		if b.worded() {
			b.h += 1 + faceSmall.leading()
		}
		c.boxes[i] = b
	}
	var lone []int
	s := shelf{limit: pageWidth}
	for _, group := range connected(len(m.Nodes), pairs) {
		if len(group) == 1 && !isCircle[comp[group[0]]] {
			lone = append(lone, group[0])
			continue
		}
		g := newMapGroup(c, group, pairs, comp, isCircle)
		x, y := s.put(g.extent())
		g.settle(x, y)
	}
	s.newRow()
	for _, n := range lone {
		b := &c.boxes[n]
		b.x, b.y = s.put(b.w, b.h)
	}
	c.w, c.h = s.w, s.y+s.rowH
	return c
}

// shelf puts rectangles in rows, as words on a page.
type shelf struct {
	limit            float64
	x, y, rowH, w    float64
	anythingInTheRow bool
}

func (s *shelf) put(w, h float64) (x, y float64) {
	if s.anythingInTheRow && s.x+w > s.limit {
		s.newRow()
	}
	x, y = s.x, s.y
	s.x += w + 16
	s.rowH = max(s.rowH, h)
	s.w = max(s.w, x+w)
	s.anythingInTheRow = true
	return x, y
}

func (s *shelf) newRow() {
	if s.anythingInTheRow {
		s.x, s.y, s.rowH, s.anythingInTheRow = 0, s.y+s.rowH+16, 0, false
	}
}

// Draw lays the map out and gives the picture. Errors: no box, too many boxes or
// links, an id twice, a link to no box.
func (m CauseMap) Draw() (*Picture, error) {
	pairs, err := m.check()
	if err != nil {
		return nil, err
	}
	c := m.layout(pairs)
	d := mapDrawing{m: &m, chart: c, pairs: pairs}
	return d.picture(), nil
}

// Desc tells the map in words.
func (m *CauseMap) desc(c *chart) string {
	var b strings.Builder
	name := map[string]string{}
	short := func(s string) string { return cut(clean(s), 200) }
	for _, r := range []Role{Root, KnockOn, Sign, Apart, Open} {
		var in []string
		for _, n := range c.boxes {
			name[n.ID] = short(n.Text)
			if min(n.Role, Open) != r {
				continue
			}
			t := short(n.Text)
			if n.Sure != "" {
				t += " (" + short(n.Sure) + ")"
			}
			in = append(in, t)
		}
		if len(in) > 0 {
			fmt.Fprintf(&b, "%s: %s. ", capital(r.word()), strings.Join(in, "; "))
		}
	}
	var round []string
	for _, n := range c.boxes {
		if n.circle {
			round = append(round, short(n.Text))
		}
	}
	if len(round) > 0 {
		fmt.Fprintf(&b, "Feeds itself: %s. ", strings.Join(round, "; "))
	}
	role := map[string]Role{}
	for _, n := range m.Nodes {
		role[n.ID] = n.Role
	}
	for _, e := range m.Edges {
		verb := "led to"
		switch {
		case role[e.To] == Sign:
			verb = "shows in"
		case role[e.From] >= Open || role[e.To] >= Open:
			verb = "would lead to"
		}
		fmt.Fprintf(&b, "%s %s %s", name[e.From], verb, name[e.To])
		if e.How != "" {
			fmt.Fprintf(&b, ": %s", short(e.How))
		}
		b.WriteString(". ")
	}
	return strings.TrimSpace(b.String())
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// hows numbers the distinct texts of edges in the order of the edges, signs left
// out; number is 0 for an edge without text.
func (m *CauseMap) hows() (number []int, texts []string) {
	number = make([]int, len(m.Edges))
	for i, e := range m.Edges {
		t := clean(e.How)
		if t == "" {
			continue
		}
		k := slices.Index(texts, t)
		if k < 0 {
			k = len(texts)
			texts = append(texts, t)
		}
		number[i] = k + 1
	}
	return number, texts
}
