package draw

import (
	"cmp"
	"slices"
)

// mapGroup is one connected part of a map. Its circles are laid out first, each in
// a frame of its own; the frames then stand among the other boxes as if they were
// boxes, so that nothing foreign can lie in a frame.
type mapGroup struct {
	c      *chart
	outer  *layering
	item   map[int]int // component to node of outer
	frames []*circleFrame
	// frameOf is by component.
	frameOf map[int]*circleFrame
	single  map[int]int // component to its only box
	edges   []groupEdge
}

type groupEdge struct {
	edge  int // index in the input
	outer *layerEdge
	from  *circleFrame // nil for a plain box
	to    *circleFrame
}

// circleFrame is one circle laid out by itself.
type circleFrame struct {
	members []int
	in      *layering
	local   map[int]int // box to node of in
	// ports to outside edges, by edge: the inner edges that join them.
	entries, exits map[int]*layerEdge
	forward        []innerEdge
	back           []innerEdge
	lanes          []lane

	padStart, padCross, padEnd, main, cross float64
}

type innerEdge struct {
	edge int
	le   *layerEdge
}

// lane is the way home of one back edge.
type lane struct {
	edge, from, to              int
	fromOff, toOff, out, in, at float64
}

func (c *chart) size(b int) (main, cross float64) {
	if c.down {
		return c.boxes[b].h, c.boxes[b].w
	}
	return c.boxes[b].w, c.boxes[b].h
}

func newMapGroup(c *chart, group []int, pairs [][2]int, comp []int, isCircle []bool) *mapGroup {
	g := &mapGroup{c: c, item: map[int]int{}, frameOf: map[int]*circleFrame{}, single: map[int]int{}}
	in := map[int]bool{}
	for _, b := range group {
		in[b] = true
	}
	var nodes []layerNode
	for _, b := range group {
		k := comp[b]
		if _, seen := g.item[k]; seen {
			continue
		}
		g.item[k] = len(nodes)
		var n layerNode
		if isCircle[k] {
			f := newCircleFrame(c, k, pairs, comp)
			g.frames = append(g.frames, f)
			g.frameOf[k] = f
			n.main, n.cross = f.main, f.cross
		} else {
			g.single[k] = b
			n.main, n.cross = c.size(b)
		}
		nodes = append(nodes, n)
	}
	var edges []*layerEdge
	for i, p := range pairs {
		a, b := comp[p[0]], comp[p[1]]
		if !in[p[0]] || a == b {
			continue
		}
		e := groupEdge{edge: i, outer: &layerEdge{from: g.item[a], to: g.item[b]}, from: g.frameOf[a], to: g.frameOf[b]}
		if e.from != nil {
			e.outer.fromFixed, e.outer.fromOff = true, e.from.portOff(e.from.exits[i].to)
		}
		if e.to != nil {
			e.outer.toFixed, e.outer.toOff = true, e.to.portOff(e.to.entries[i].from)
		}
		g.edges = append(g.edges, e)
		edges = append(edges, e.outer)
	}
	g.outer = arrange(nodes, edges)
	return g
}

func newCircleFrame(c *chart, k int, pairs [][2]int, comp []int) *circleFrame {
	f := &circleFrame{local: map[int]int{}, entries: map[int]*layerEdge{}, exits: map[int]*layerEdge{}}
	var nodes []layerNode
	for b := range comp {
		if comp[b] == k {
			f.local[b] = len(nodes)
			f.members = append(f.members, b)
			main, cross := c.size(b)
			nodes = append(nodes, layerNode{main: main, cross: cross})
		}
	}
	own := len(nodes)
	var inner [][2]int
	var innerAt []int
	prefer := make([]bool, own)
	var edges []*layerEdge
	for i, p := range pairs {
		from, to := comp[p[0]] == k, comp[p[1]] == k
		switch {
		case from && to:
			inner = append(inner, [2]int{f.local[p[0]], f.local[p[1]]})
			innerAt = append(innerAt, i)
		case to:
			prefer[f.local[p[1]]] = true
			nodes = append(nodes, layerNode{pin: -1})
			e := &layerEdge{from: len(nodes) - 1, to: f.local[p[1]]}
			f.entries[i] = e
			edges = append(edges, e)
		case from:
			nodes = append(nodes, layerNode{pin: 1})
			e := &layerEdge{from: f.local[p[0]], to: len(nodes) - 1}
			f.exits[i] = e
			edges = append(edges, e)
		}
	}
	back := backEdges(own, inner, prefer)
	for j, e := range inner {
		le := &layerEdge{from: e[0], to: e[1]}
		if back[j] {
			f.back = append(f.back, innerEdge{innerAt[j], le})
			continue
		}
		f.forward = append(f.forward, innerEdge{innerAt[j], le})
		edges = append(edges, le)
	}
	f.in = arrange(nodes, edges)
	f.layLanes(c)
	return f
}

// layLanes gives each way home a lane beneath the boxes, the shortest nearest, and
// room in the gaps at its ends; then the frame's size is known.
func (f *circleFrame) layLanes(c *chart) {
	l := f.in
	span := func(e innerEdge) int { return l.nodes[e.le.from].layer - l.nodes[e.le.to].layer }
	slices.SortStableFunc(f.back, func(a, b innerEdge) int { return cmp.Compare(span(a), span(b)) })
	const step = 6.0
	used := map[int]float64{} // room taken in each gap, by the layer after it
	leaving, entering := map[int]float64{}, map[int]float64{}
	atFrom, atTo := map[int]float64{}, map[int]float64{}
	for i, e := range f.back {
		g, h := l.nodes[e.le.from].layer+1, l.nodes[e.le.to].layer
		ln := lane{edge: e.edge, from: e.le.from, to: e.le.to}
		ln.out, ln.in = 9+leaving[g], 12+entering[h]
		leaving[g] += step
		entering[h] += step
		used[g] += step
		used[h] += step
		ln.at = l.cross + 12 + float64(i)*9
		half := func(n int) float64 { return l.nodes[n].cross / 2 }
		ln.fromOff = max(0, half(ln.from)-6-atFrom[ln.from])
		ln.toOff = max(0, half(ln.to)-6-atTo[ln.to])
		atFrom[ln.from] += 4
		atTo[ln.to] += 4
		f.lanes = append(f.lanes, ln)
	}
	last := len(l.layers)
	extra := map[int]float64{}
	for g, v := range used {
		extra[g] = v
	}
	f.padEnd = 14 + used[last]
	if len(f.exits) > 0 {
		// The last layer is the frame's edge.
		extra[last-1] += -14
		f.padEnd = 0
	}
	if len(f.entries) > 0 {
		extra[1] += -8
	} else {
		f.padStart = 18 + used[0]
	}
	delete(extra, 0)
	l.along(extra)
	f.padCross = 20
	if c.down {
		f.padCross = 46
	}
	f.main = f.padStart + l.length() + f.padEnd
	f.cross = f.padCross + f.lanes[len(f.lanes)-1].at + 10 // a circle has a way home
}

// portOff is where a port stands on the frame's edge, from the frame's middle.
func (f *circleFrame) portOff(n int) float64 {
	return f.padCross + f.in.nodes[n].at - f.cross/2
}

func (g *mapGroup) extent() (w, h float64) {
	if g.c.down {
		return g.outer.cross, g.outer.length()
	}
	return g.outer.length(), g.outer.cross
}

// settle puts the group on paper with its top left corner at x, y.
func (g *mapGroup) settle(x, y float64) {
	c := g.c
	paper := func(p Point) Point {
		if c.down {
			return Point{x + p.Y, y + p.X}
		}
		return Point{x + p.X, y + p.Y}
	}
	put := func(b int, m, cr float64) {
		p := paper(Point{m, cr})
		c.boxes[b].x, c.boxes[b].y = p.X-c.boxes[b].w/2, p.Y-c.boxes[b].h/2
	}
	o := g.outer
	// Boxes of a layer are lined up at its start.
	middle := func(n int) (m, cr float64) {
		return o.start[o.nodes[n].layer] + o.nodes[n].main/2, o.nodes[n].at
	}
	for k, n := range g.item {
		if _, circle := g.frameOf[k]; !circle {
			m, cr := middle(n)
			put(g.single[k], m, cr)
		}
	}
	draw := func(edge int, t *trail, inside bool) {
		r := mapRoute{edge: edge, spots: t.spots, inside: inside, back: t.back, curve: Curve{Start: paper(t.start)}}
		for _, k := range t.cubics {
			r.curve.Cubics = append(r.curve.Cubics, [3]Point{paper(k[0]), paper(k[1]), paper(k[2])})
		}
		c.routes = append(c.routes, r)
	}
	origin := map[*circleFrame]Point{}
	for k, n := range g.item {
		if f := g.frameOf[k]; f != nil {
			m, cr := middle(n)
			origin[f] = Point{m - f.main/2, cr - f.cross/2}
		}
	}
	for _, f := range g.frames {
		at := origin[f]
		om, oc := at.X+f.padStart, at.Y+f.padCross
		p := paper(at)
		w, h := f.main, f.cross
		if c.down {
			w, h = h, w
		}
		c.frames = append(c.frames, mapFrame{p.X, p.Y, w, h})
		for _, b := range f.members {
			n := f.in.nodes[f.local[b]]
			put(b, om+f.in.start[n.layer]+n.main/2, oc+n.at)
		}
		for _, e := range f.forward {
			var t trail
			f.in.forward(&t, e.le, om, oc)
			draw(e.edge, &t, true)
		}
		for _, ln := range f.lanes {
			draw(ln.edge, f.in.home(ln.from, ln.to, ln.fromOff, ln.toOff, ln.out, ln.in, ln.at, om, oc), true)
		}
	}
	for _, e := range g.edges {
		var t trail
		if e.from != nil {
			at := origin[e.from]
			e.from.in.forward(&t, e.from.exits[e.edge], at.X+e.from.padStart, at.Y+e.from.padCross)
		}
		o.forward(&t, e.outer, 0, 0)
		if e.to != nil {
			at := origin[e.to]
			e.to.in.forward(&t, e.to.entries[e.edge], at.X+e.to.padStart, at.Y+e.to.padCross)
		}
		draw(e.edge, &t, false)
	}
	slices.SortFunc(c.routes, func(a, b mapRoute) int { return cmp.Compare(a.edge, b.edge) })
}
