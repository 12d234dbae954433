package draw

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// anyMap is a random map of up to 60 boxes: sparse or dense, with or without cycles.
func anyMap() *rapid.Generator[CauseMap] {
	return rapid.Custom(func(t *rapid.T) CauseMap {
		n := rapid.IntRange(1, 60).Draw(t, "boxes")
		m := CauseMap{Title: "random"}
		words := rapid.StringMatching(`[a-z]{1,10}( [a-z]{1,10}){0,7}`)
		text := []string{words.Draw(t, "text"), words.Draw(t, "text"), words.Draw(t, "text")}
		for i := range n {
			m.Nodes = append(m.Nodes, CauseNode{ID: fmt.Sprint("n", i), Text: text[i%3], Role: Role(rapid.IntRange(0, 4).Draw(t, "role")), Sure: []string{"", "seen"}[i%2]})
		}
		forwardOnly := rapid.Bool().Draw(t, "forward only")
		edges := rapid.IntRange(0, min(2*n, 110)).Draw(t, "links")
		for range edges {
			a, b := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
			if forwardOnly {
				if a == b {
					continue
				}
				a, b = min(a, b), max(a, b)
			}
			m.Edges = append(m.Edges, CauseEdge{From: m.Nodes[a].ID, To: m.Nodes[b].ID, How: text[b%3]})
		}
		return m
	})
}

type rect struct{ x0, y0, x1, y1 float64 }

func (a rect) overlaps(b rect) bool {
	return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

func (a rect) contains(b rect) bool {
	return a.x0 <= b.x0 && a.y0 <= b.y0 && a.x1 >= b.x1 && a.y1 >= b.y1
}

func boxRect(b *mapBox) rect { return rect{b.x, b.y, b.x + b.w, b.y + b.h} }

// reach says for each pair whether one leads to the other, by Warshall's closure:
// another method than the one tested.
func reach(n int, pairs [][2]int) [][]bool {
	r := make([][]bool, n)
	for i := range r {
		r[i] = make([]bool, n)
	}
	for _, p := range pairs {
		r[p[0]][p[1]] = true
	}
	for k := range n {
		for i := range n {
			for j := range n {
				r[i][j] = r[i][j] || r[i][k] && r[k][j]
			}
		}
	}
	return r
}

func TestMapLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMap().Draw(t, "map")
		pairs, err := m.check()
		if err != nil {
			t.Fatal(err)
		}
		c := m.layout(pairs)
		n := len(c.boxes)

		for i := range c.boxes {
			for j := range i {
				if boxRect(&c.boxes[i]).overlaps(boxRect(&c.boxes[j])) {
					t.Fatalf("boxes %d and %d overlap", j, i)
				}
			}
			if r := boxRect(&c.boxes[i]); r.x0 < -0.01 || r.y0 < -0.01 || r.x1 > c.w+0.01 || r.y1 > c.h+0.01 {
				t.Fatalf("box %d at %v leaves %.0f by %.0f", i, r, c.w, c.h)
			}
		}
		if len(c.routes) != len(pairs) {
			t.Fatalf("%d links drawn of %d", len(c.routes), len(pairs))
		}

		// Circles: the boxes that lead to themselves, and no other, are marked and framed.
		r := reach(n, pairs)
		frames := make([]rect, len(c.frames))
		for i, f := range c.frames {
			frames[i] = rect{f.x, f.y, f.x + f.w, f.y + f.h}
			for j := range i {
				if frames[i].overlaps(frames[j]) {
					t.Fatalf("frames %d and %d overlap", j, i)
				}
			}
		}
		frameOf := make([]int, n)
		for i := range c.boxes {
			if c.boxes[i].circle != r[i][i] {
				t.Fatalf("box %d: marked as circle %v, leads to itself %v", i, c.boxes[i].circle, r[i][i])
			}
			frameOf[i] = -1
			for f := range frames {
				if frames[f].contains(boxRect(&c.boxes[i])) {
					frameOf[i] = f
				} else if frames[f].overlaps(boxRect(&c.boxes[i])) {
					t.Fatalf("box %d lies across the edge of frame %d", i, f)
				}
			}
			if (frameOf[i] >= 0) != r[i][i] {
				t.Fatalf("box %d: in frame %d, leads to itself %v", i, frameOf[i], r[i][i])
			}
		}
		for i := range n {
			for j := range n {
				if r[i][i] && r[j][j] && (frameOf[i] == frameOf[j]) != (r[i][j] && r[j][i]) {
					t.Fatalf("boxes %d and %d: frames %d and %d, one circle %v", i, j, frameOf[i], frameOf[j], r[i][j] && r[j][i])
				}
			}
		}

		for _, rt := range c.routes {
			a, b := pairs[rt.edge][0], pairs[rt.edge][1]
			if rt.back && !(r[b][a] || a == b) {
				t.Fatalf("link %d→%d is drawn as a way home, and is none", a, b)
			}
			pts := flatten(rt.curve)
			if !rt.back {
				last := math.Inf(-1)
				for _, p := range pts {
					along := p.X
					if c.down {
						along = p.Y
					}
					if along < last-0.01 {
						t.Fatalf("link %d→%d runs backwards", a, b)
					}
					last = along
				}
			}
			// It starts and ends on the edge of its boxes, and touches no other.
			for end, box := range map[int]int{0: a, len(pts) - 1: b} {
				q := boxRect(&c.boxes[box])
				p := pts[end]
				if p.X < q.x0-0.01 || p.X > q.x1+0.01 || p.Y < q.y0-0.01 || p.Y > q.y1+0.01 {
					t.Fatalf("link %d→%d ends at %v, off its box %v", a, b, p, q)
				}
			}
			for i := range c.boxes {
				q := boxRect(&c.boxes[i])
				in := rect{q.x0 + 0.2, q.y0 + 0.2, q.x1 - 0.2, q.y1 - 0.2}
				for _, p := range pts {
					if in.contains(rect{p.X, p.Y, p.X, p.Y}) {
						t.Fatalf("link %d→%d runs through box %d at %v", a, b, i, p)
					}
				}
			}
		}

		// Sane size: no more than some room for each box and link.
		if c.w > 800+60*float64(len(pairs)) || c.h > 800+60*float64(n+len(pairs)) {
			t.Fatalf("%d boxes and %d links take %.0f by %.0f points", n, len(pairs), c.w, c.h)
		}
	})
}

func TestMapPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMap().Draw(t, "map")
		p := mustDraw(t, m)
		inBounds(t, "map", p)
		if !reflect.DeepEqual(p, mustDraw(t, m)) {
			t.Fatal("two runs differ")
		}
		if _, err := examine(svgOf(p)); err != nil {
			t.Fatal(err)
		}
	})
}

// A chain and a fan must not be drawn on top of themselves or beyond all paper.
func TestMapExtremes(t *testing.T) {
	chain, fan, ring, all := CauseMap{}, CauseMap{}, CauseMap{}, CauseMap{}
	for i := range maxNodes {
		nd := CauseNode{ID: fmt.Sprint(i), Text: "box"}
		chain.Nodes, fan.Nodes, ring.Nodes = append(chain.Nodes, nd), append(fan.Nodes, nd), append(ring.Nodes, nd)
		if i < 20 {
			all.Nodes = append(all.Nodes, nd)
		}
		e := CauseEdge{From: fmt.Sprint(i), To: fmt.Sprint((i + 1) % maxNodes)}
		if i > 0 {
			fan.Edges = append(fan.Edges, CauseEdge{From: "0", To: fmt.Sprint(i)})
		}
		ring.Edges = append(ring.Edges, e)
		if i+1 < maxNodes {
			chain.Edges = append(chain.Edges, e)
		}
	}
	for i := range 20 {
		for j := range 20 {
			all.Edges = append(all.Edges, CauseEdge{From: fmt.Sprint(i), To: fmt.Sprint(j), How: fmt.Sprint(i, j)})
		}
	}
	for name, m := range map[string]CauseMap{"chain": chain, "fan": fan, "ring": ring, "all to all": all} {
		p := mustDraw(t, m)
		if p.Width*p.Height > 60e6 {
			t.Errorf("%s: %.0f by %.0f points", name, p.Width, p.Height)
		}
	}
}

func TestMapRefusesWhatIsNoMap(t *testing.T) {
	a := CauseNode{ID: "a", Text: "a"}
	for name, m := range map[string]CauseMap{
		"nothing":    {},
		"id twice":   {Nodes: []CauseNode{a, a}},
		"loose link": {Nodes: []CauseNode{a}, Edges: []CauseEdge{{From: "a", To: "b"}}},
		"too many":   {Nodes: make([]CauseNode, maxNodes+1)},
	} {
		if p, err := m.Draw(); err == nil || p != nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func anyPairs(t *rapid.T, n, most int) [][2]int {
	var out [][2]int
	for range rapid.IntRange(0, most).Draw(t, "links") {
		out = append(out, [2]int{rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")})
	}
	return out
}

func TestBackEdgesBreakEveryCycleAndNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		pairs := anyPairs(t, n, 30)
		back := backEdges(n, pairs, make([]bool, n))
		var kept [][2]int
		for i, p := range pairs {
			if !back[i] {
				kept = append(kept, p)
			}
		}
		r := reach(n, kept)
		for i := range n {
			if r[i][i] {
				t.Fatalf("a cycle through %d is left", i)
			}
		}
		full := reach(n, pairs)
		for i, p := range pairs {
			if back[i] && !(p[0] == p[1] || full[p[1]][p[0]]) {
				t.Fatalf("link %v lies on no cycle and was turned", p)
			}
		}
	})
}

func TestCircleStartsWhereItIsEntered(t *testing.T) {
	// 0→1→2→0, entered at 2: the way home must lead to 2.
	back := backEdges(3, [][2]int{{0, 1}, {1, 2}, {2, 0}}, []bool{false, false, true})
	if !slices.Equal(back, []bool{false, true, false}) {
		t.Errorf("back edges %v, want the one into 2", back)
	}
}

func TestCrossingsAgainstCountingPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var h []hop
		for range rapid.IntRange(0, 40).Draw(t, "n") {
			h = append(h, hop{float64(rapid.IntRange(0, 9).Draw(t, "a")), float64(rapid.IntRange(0, 9).Draw(t, "b"))})
		}
		want := 0
		for i, a := range h {
			for _, b := range h[:i] {
				if (a.from-b.from)*(a.to-b.to) < 0 {
					want++
				}
			}
		}
		if got := crossings(h); got != want {
			t.Fatalf("%d crossings, counted by pairs %d", got, want)
		}
	})
}

// Order must undo what can be undone: a matching drawn askew has no crossing left.
func TestOrderUndoesCrossings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 10).Draw(t, "n")
		perm := rapid.Permutation(func() (v []int) {
			for i := range n {
				v = append(v, i)
			}
			return
		}()).Draw(t, "perm")
		nodes := make([]layerNode, 2*n)
		var edges []*layerEdge
		for i := range nodes {
			nodes[i] = layerNode{main: 10, cross: 10}
		}
		for i, p := range perm {
			edges = append(edges, &layerEdge{from: i, to: n + p})
		}
		l := arrange(nodes, edges)
		for i, a := range perm {
			for j, b := range perm {
				if (l.nodes[i].at-l.nodes[j].at)*(l.nodes[n+a].at-l.nodes[n+b].at) < 0 {
					t.Fatalf("links %d and %d still cross", i, j)
				}
			}
		}
	})
}

// nearest must keep order and gaps, and no small move that keeps them may be better.
func TestNearestIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "n")
		l := &layering{nodes: make([]layerNode, n)}
		layer, want, weight := make([]int, n), make([]float64, n), make([]float64, n)
		for i := range n {
			layer[i] = i
			l.nodes[i].cross = rapid.Float64Range(1, 40).Draw(t, "size")
			want[i] = rapid.Float64Range(-200, 200).Draw(t, "want")
			weight[i] = rapid.Float64Range(0.5, 4).Draw(t, "weight")
		}
		l.nearest(layer, want, weight)
		at := make([]float64, n)
		cost := func() (c float64) {
			for i := range n {
				c += weight[i] * (at[i] - want[i]) * (at[i] - want[i])
			}
			return
		}
		for i := range n {
			at[i] = l.nodes[i].at
			if i > 0 && at[i]-at[i-1] < l.apart(i-1, i)-1e-9 {
				t.Fatalf("%d and %d are too near", i-1, i)
			}
		}
		base := cost()
		for i := range n {
			for j := i; j < n; j++ { // move a run, keeping the gaps
				for _, d := range []float64{0.01, -0.01} {
					for k := i; k <= j; k++ {
						at[k] += d
					}
					ok := (i == 0 || at[i]-at[i-1] >= l.apart(i-1, i)) && (j == n-1 || at[j+1]-at[j] >= l.apart(j, j+1))
					if c := cost(); ok && c < base-1e-6 {
						t.Fatalf("moving %d to %d by %g is better: %g, was %g", i, j, d, c, base)
					}
					for k := i; k <= j; k++ {
						at[k] -= d
					}
				}
			}
		}
	})
}

func BenchmarkMapOfSixty(b *testing.B) {
	m := anyMap().Filter(func(m CauseMap) bool { return len(m.Nodes) > 50 && len(m.Edges) > 60 }).Example(1)
	for b.Loop() {
		if _, err := m.Draw(); err != nil {
			b.Fatal(err)
		}
	}
}
