package draw

import (
	"cmp"
	"slices"
)

// hop is one step of an edge from a layer to the next, with the places of its ends
// as the order has them: the rank of the node, and a fraction for the port.
type hop struct{ from, to float64 }

// hops lists the steps between layer k and k+1.
func (l *layering) hops(k int, rank []int) []hop {
	var out []hop
	for _, e := range l.edges {
		i := k - l.nodes[e.from].layer
		if i < 0 || i+1 >= len(e.chain) {
			continue
		}
		h := hop{float64(rank[e.chain[i]]), float64(rank[e.chain[i+1]])}
		if i == 0 {
			h.from += l.portShare(e.from, e.fromOff)
		}
		if i+2 == len(e.chain) {
			h.to += l.portShare(e.to, e.toOff)
		}
		out = append(out, h)
	}
	return out
}

// portShare turns a fixed port into a fraction of a rank, -0.5 to 0.5.
func (l *layering) portShare(n int, off float64) float64 {
	if l.nodes[n].cross == 0 {
		return 0
	}
	return off / l.nodes[n].cross
}

// crossings counts the pairs of hops that cross.
func crossings(h []hop) int {
	slices.SortFunc(h, func(a, b hop) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	to := make([]float64, len(h))
	for i := range h {
		to[i] = h[i].to
	}
	return inversions(to, make([]float64, len(to)))
}

// inversions counts by merging; v ends up sorted.
func inversions(v, room []float64) int {
	if len(v) < 2 {
		return 0
	}
	m := len(v) / 2
	n := inversions(v[:m], room) + inversions(v[m:], room)
	out := room[:0]
	i, j := 0, m
	for i < m || j < len(v) {
		if j == len(v) || i < m && v[i] <= v[j] {
			out = append(out, v[i])
			i++
		} else {
			n += m - i
			out = append(out, v[j])
			j++
		}
	}
	copy(v, out)
	return n
}

// order sweeps over the layers, sorting by barycentre, and keeps the order with the
// fewest crossings.
func (l *layering) order() {
	rank := make([]int, len(l.nodes))
	note := func() {
		for _, layer := range l.layers {
			for r, n := range layer {
				rank[n] = r
			}
		}
	}
	count := func() int {
		n := 0
		for k := 0; k+1 < len(l.layers); k++ {
			n += crossings(l.hops(k, rank))
		}
		return n
	}
	before, after := make([][]end, len(l.nodes)), make([][]end, len(l.nodes))
	for _, e := range l.edges {
		for i := 0; i+1 < len(e.chain); i++ {
			a, b := e.chain[i], e.chain[i+1]
			ea, eb := end{node: a}, end{node: b}
			if i == 0 {
				ea.share = l.portShare(a, e.fromOff)
			}
			if i+2 == len(e.chain) {
				eb.share = l.portShare(b, e.toOff)
			}
			after[a] = append(after[a], eb)
			before[b] = append(before[b], ea)
		}
	}
	note()
	best, fewest := cloneLayers(l.layers), count()
	for s := 0; s < sweeps && fewest > 0; s++ {
		if s%2 == 0 {
			for k := 1; k < len(l.layers); k++ {
				sortByBarycentre(l.layers[k], before, rank)
			}
		} else {
			for k := len(l.layers) - 2; k >= 0; k-- {
				sortByBarycentre(l.layers[k], after, rank)
			}
		}
		if n := count(); n < fewest {
			best, fewest = cloneLayers(l.layers), n
		}
	}
	l.layers = best
}

type end struct {
	node  int
	share float64
}

// sortByBarycentre reorders one layer; a node without neighbours keeps its place.
func sortByBarycentre(layer []int, neighbours [][]end, rank []int) {
	type keyed struct {
		node int
		at   float64
	}
	keys := make([]keyed, len(layer))
	for i, n := range layer {
		at := float64(rank[n])
		if nb := neighbours[n]; len(nb) > 0 {
			at = 0
			for _, e := range nb {
				at += float64(rank[e.node]) + e.share
			}
			at /= float64(len(nb))
		}
		keys[i] = keyed{n, at}
	}
	slices.SortStableFunc(keys, func(a, b keyed) int { return cmp.Compare(a.at, b.at) })
	for i, k := range keys {
		layer[i] = k.node
		rank[k.node] = i
	}
}

func cloneLayers(v [][]int) [][]int {
	out := make([][]int, len(v))
	for i := range v {
		out[i] = slices.Clone(v[i])
	}
	return out
}
