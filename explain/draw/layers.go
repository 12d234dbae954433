package draw

import (
	"cmp"
	"math"
	"slices"
)

// The layout of layered graphs, after Sugiyama, Tagawa and Toda (IEEE Trans. Syst.
// Man Cybern. 11, 1981): layers by the longest path, dummy nodes where an edge
// passes a layer, order by barycentres, then positions. It works along a main axis,
// the way edges run, and a cross axis; the caller says which is x.

// layerNode is a box to be laid out, or a dummy.
type layerNode struct {
	main, cross float64 // sizes; both 0 for dummies and ports
	// pin puts the node in the first (-1) or the last (+1) layer, 0 leaves it free.
	pin int

	layer int
	// at is the middle on the cross axis.
	at    float64
	dummy bool
}

// layerEdge runs from a layer to a later one. The offsets say where on the cross
// axis it leaves and enters, from the middle of the boxes.
type layerEdge struct {
	from, to       int
	fromOff, toOff float64
	// fixed ends keep their offset; the others are spread along the box.
	fromFixed, toFixed bool

	// chain holds from, the dummies passed and to.
	chain []int
}

type layering struct {
	nodes  []layerNode
	edges  []*layerEdge
	layers [][]int
	// start and size of each layer along the main axis.
	start, size []float64
	cross       float64 // extent on the cross axis, from 0
}

const (
	gapBoxes   = 13.0 // on the cross axis, between boxes
	gapDummies = 7.0
	gapLayers  = 30.0 // along the main axis
	sweeps     = 16
)

// arrange lays out nodes and edges, which must have no cycle.
func arrange(nodes []layerNode, edges []*layerEdge) *layering {
	l := &layering{nodes: slices.Clone(nodes), edges: edges}
	l.rank()
	l.addDummies()
	l.order()
	l.spreadPorts()
	l.place()
	l.spreadPorts() // now that it is known who lies where
	l.place()
	l.along(nil)
	return l
}

// rank sets layers by the longest path from the sources.
func (l *layering) rank() {
	out := make([][]int, len(l.nodes))
	missing := make([]int, len(l.nodes))
	for _, e := range l.edges {
		out[e.from] = append(out[e.from], e.to)
		missing[e.to]++
	}
	var queue []int
	pinned := false
	for i := range l.nodes {
		pinned = pinned || l.nodes[i].pin < 0
		if missing[i] == 0 {
			queue = append(queue, i)
		}
	}
	last := 0
	for ; len(queue) > 0; queue = queue[1:] {
		i := queue[0]
		if pinned && l.nodes[i].pin >= 0 {
			l.nodes[i].layer = max(l.nodes[i].layer, 1)
		}
		last = max(last, l.nodes[i].layer)
		for _, j := range out[i] {
			l.nodes[j].layer = max(l.nodes[j].layer, l.nodes[i].layer+1)
			if missing[j]--; missing[j] == 0 {
				queue = append(queue, j)
			}
		}
	}
	free := 0
	for i := range l.nodes {
		if l.nodes[i].pin <= 0 {
			free = max(free, l.nodes[i].layer)
		}
	}
	for i := range l.nodes {
		if l.nodes[i].pin > 0 {
			l.nodes[i].layer = free + 1
			last = free + 1
		}
	}
	l.layers = make([][]int, last+1)
	for i := range l.nodes {
		k := l.nodes[i].layer
		l.layers[k] = append(l.layers[k], i)
	}
}

func (l *layering) addDummies() {
	for _, e := range l.edges {
		e.chain = []int{e.from}
		for k := l.nodes[e.from].layer + 1; k < l.nodes[e.to].layer; k++ {
			l.nodes = append(l.nodes, layerNode{layer: k, dummy: true})
			l.layers[k] = append(l.layers[k], len(l.nodes)-1)
			e.chain = append(e.chain, len(l.nodes)-1)
		}
		e.chain = append(e.chain, e.to)
	}
}

// spreadPorts gives the free ends of edges their places along the box, in the
// order in which their other ends lie.
func (l *layering) spreadPorts() {
	rank := make([]float64, len(l.nodes))
	for _, layer := range l.layers {
		for r, n := range layer {
			rank[n] = float64(r)
		}
	}
	type port struct {
		off *float64
		key float64
	}
	ins, outs := make([][]port, len(l.nodes)), make([][]port, len(l.nodes))
	for _, e := range l.edges {
		if !e.fromFixed {
			next := e.chain[1]
			outs[e.from] = append(outs[e.from], port{&e.fromOff, rank[next] + boolShare(len(e.chain) == 2, l.portShare(next, e.toOff))})
		}
		if !e.toFixed {
			prev := e.chain[len(e.chain)-2]
			ins[e.to] = append(ins[e.to], port{&e.toOff, rank[prev] + boolShare(len(e.chain) == 2, l.portShare(prev, e.fromOff))})
		}
	}
	for n := range l.nodes {
		for _, side := range [][]port{ins[n], outs[n]} {
			slices.SortStableFunc(side, func(a, b port) int { return cmp.Compare(a.key, b.key) })
			step := 0.0
			if len(side) > 1 {
				step = max(0, min(7, (l.nodes[n].cross-10)/float64(len(side)-1)))
			}
			for i := range side {
				*side[i].off = (float64(i) - float64(len(side)-1)/2) * step
			}
		}
	}
}

func boolShare(use bool, v float64) float64 {
	if use {
		return v
	}
	return 0
}

// place finds the cross positions: each layer in turn moves as near as its order
// and the gaps allow to where its neighbours pull it.
func (l *layering) place() {
	type pull struct {
		node   int
		off    float64 // where this node should be, seen from the neighbour's middle
		weight float64
	}
	before, after := make([][]pull, len(l.nodes)), make([][]pull, len(l.nodes))
	for _, e := range l.edges {
		for i := 0; i+1 < len(e.chain); i++ {
			a, b, oa, ob, w := e.chain[i], e.chain[i+1], 0.0, 0.0, 1.0
			if i == 0 {
				oa = e.fromOff
			}
			if i+2 == len(e.chain) {
				ob = e.toOff
			}
			if l.nodes[a].dummy && l.nodes[b].dummy {
				w = 4 // long edges should run straight
			}
			after[a] = append(after[a], pull{b, ob - oa, w})
			before[b] = append(before[b], pull{a, oa - ob, w})
		}
	}
	for _, layer := range l.layers { // stacked, as a start
		at := 0.0
		for i, n := range layer {
			if i > 0 {
				at += l.apart(layer[i-1], n)
			}
			l.nodes[n].at = at
		}
		for _, n := range layer {
			l.nodes[n].at -= at / 2
		}
	}
	want, weight := []float64{}, []float64{}
	relax := func(k int, sides ...[][]pull) {
		layer := l.layers[k]
		want, weight = want[:0], weight[:0]
		for _, n := range layer {
			sum, w := 0.0, 0.0
			for _, side := range sides {
				for _, p := range side[n] {
					sum += p.weight * (l.nodes[p.node].at + p.off)
					w += p.weight
				}
			}
			if w == 0 {
				sum, w = l.nodes[n].at*0.01, 0.01
			}
			want, weight = append(want, sum/w), append(weight, w)
		}
		l.nearest(layer, want, weight)
	}
	for range 12 {
		for k := 1; k < len(l.layers); k++ {
			relax(k, before)
		}
		for k := len(l.layers) - 2; k >= 0; k-- {
			relax(k, after)
		}
		for k := range l.layers {
			relax(k, before, after)
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range l.nodes {
		low = min(low, l.nodes[i].at-l.nodes[i].cross/2)
		high = max(high, l.nodes[i].at+l.nodes[i].cross/2)
	}
	for i := range l.nodes {
		l.nodes[i].at -= low
	}
	l.cross = max(0, high-low)
}

// apart is the least distance between the middles of neighbours a and b.
func (l *layering) apart(a, b int) float64 {
	gap := gapBoxes
	if l.nodes[a].cross == 0 || l.nodes[b].cross == 0 {
		gap = gapDummies
	}
	return l.nodes[a].cross/2 + gap + l.nodes[b].cross/2
}

// nearest moves the nodes of a layer to the positions with the least weighted
// squares of distance from want that keep order and gaps: isotonic regression by
// pooling adjacent violators (Barlow et al., Statistical Inference under Order
// Restrictions, 1972).
func (l *layering) nearest(layer []int, want, weight []float64) {
	type block struct {
		sum, w float64
		n      int
	}
	offset := make([]float64, len(layer))
	for i := 1; i < len(layer); i++ {
		offset[i] = offset[i-1] + l.apart(layer[i-1], layer[i])
	}
	var blocks []block
	for i := range layer {
		b := block{(want[i] - offset[i]) * weight[i], weight[i], 1}
		for len(blocks) > 0 {
			p := blocks[len(blocks)-1]
			if p.sum/p.w < b.sum/b.w {
				break
			}
			b = block{p.sum + b.sum, p.w + b.w, p.n + b.n}
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	i := 0
	for _, b := range blocks {
		for range b.n {
			l.nodes[layer[i]].at = b.sum/b.w + offset[i]
			i++
		}
	}
}

// along sets where each layer starts on the main axis. extra widens the gap before
// each layer; it may be nil.
func (l *layering) along(extra map[int]float64) {
	l.start, l.size = nil, nil
	at := extra[0]
	for k, layer := range l.layers {
		size := 0.0
		for _, n := range layer {
			size = max(size, l.nodes[n].main)
		}
		l.start, l.size = append(l.start, at), append(l.size, size)
		at += size + gapLayers + extra[k+1]
	}
}

// length is the extent on the main axis.
func (l *layering) length() float64 {
	k := len(l.start) - 1
	return l.start[k] + l.size[k]
}
