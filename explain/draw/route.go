package draw

// trail is the way of one edge in main and cross coordinates (X holds main, Y
// cross), until its direction on paper is known.
type trail struct {
	start  Point
	cubics [][3]Point
	// spots are indexes of cubics in open gaps, where a number may sit.
	spots []int
	// back marks the way home of a circle.
	back bool
}

func (t *trail) here() Point {
	if len(t.cubics) == 0 {
		return t.start
	}
	return t.cubics[len(t.cubics)-1][2]
}

// straight runs on in a straight line.
func (t *trail) straight(m, c float64) {
	p := t.here()
	if p.X == m && p.Y == c {
		return
	}
	dx, dy := (m-p.X)/3, (c-p.Y)/3
	t.cubics = append(t.cubics, [3]Point{{p.X + dx, p.Y + dy}, {p.X + 2*dx, p.Y + 2*dy}, {m, c}})
}

// ease crosses a gap: it leaves and arrives along the main axis.
func (t *trail) ease(m, c float64) {
	p := t.here()
	d := (m - p.X) * 0.5
	t.spots = append(t.spots, len(t.cubics))
	t.cubics = append(t.cubics, [3]Point{{p.X + d, p.Y}, {m - d, c}, {m, c}})
}

// corner turns a quarter: to (m, c), first along main if mainFirst.
func (t *trail) corner(m, c float64, mainFirst bool) {
	const k = 0.55 // a cubic near a quarter of a circle
	p := t.here()
	a, b := Point{p.X + (m-p.X)*k, p.Y}, Point{m, c - (c-p.Y)*k}
	if !mainFirst {
		a, b = Point{p.X, p.Y + (c-p.Y)*k}, Point{m - (m-p.X)*k, c}
	}
	t.cubics = append(t.cubics, [3]Point{a, b, {m, c}})
}

// forward follows an edge through the layers. om and oc are the origin of the
// layering.
func (l *layering) forward(t *trail, e *layerEdge, om, oc float64) {
	near := func(n int) float64 { return om + l.start[l.nodes[n].layer] }
	a, b := l.nodes[e.from], l.nodes[e.to]
	p := Point{near(e.from) + a.main, oc + a.at + e.fromOff}
	if len(t.cubics) == 0 {
		t.start = p
	}
	t.straight(p.X, p.Y)
	t.straight(om+l.start[a.layer]+l.size[a.layer], p.Y)
	for _, n := range e.chain[1 : len(e.chain)-1] {
		k := l.nodes[n].layer
		t.ease(om+l.start[k], oc+l.nodes[n].at)
		t.straight(om+l.start[k]+l.size[k], oc+l.nodes[n].at)
	}
	c := oc + b.at + e.toOff
	t.ease(near(e.to), c)
}

// home draws the way back of a circle: out of the far side of the box from, round
// to the track at cross position lane, back beneath everything, and into the near
// side of the box to. out and in are the distances from the layers' edges.
func (l *layering) home(from, to int, fromOff, toOff, out, in, lane, om, oc float64) *trail {
	a, b := l.nodes[from], l.nodes[to]
	endA := om + l.start[a.layer] + l.size[a.layer]
	startB := om + l.start[b.layer]
	ca, cb := oc+a.at+fromOff, oc+b.at+toOff
	lane += oc
	t := &trail{start: Point{om + l.start[a.layer] + a.main, ca}, back: true}
	r := func(space, drop float64) float64 { return max(1, min(9, space, drop/2)) }
	r1 := r(out, lane-ca)
	t.straight(endA+out-r1, ca)
	t.corner(endA+out, ca+r1, true)
	t.straight(endA+out, lane-r1)
	t.corner(endA+out-r1, lane, false)
	r2 := r(in, lane-cb)
	t.spots = append(t.spots, len(t.cubics))
	t.straight(startB-in+r2, lane)
	t.corner(startB-in, lane-r2, true)
	t.straight(startB-in, cb+r2)
	t.corner(startB-in+r2, cb, false)
	t.straight(startB, cb)
	return t
}
