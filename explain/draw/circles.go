package draw

import "slices"

// circles finds the strongly connected components by Tarjan's method (SIAM J.
// Comput. 1, 1972), without recursion so that a long chain costs no stack. It gives
// each node its component, and says which components are circles: of two nodes or
// more, or one that leads to itself. Components are numbered by their first node.
func circles(n int, edges [][2]int) (of []int, isCircle []bool) {
	out := make([][]int, n)
	self := make([]bool, n)
	for _, e := range edges {
		out[e[0]] = append(out[e[0]], e[1])
		self[e[0]] = self[e[0]] || e[0] == e[1]
	}
	index, low := make([]int, n), make([]int, n)
	raw := make([]int, n)
	for i := range raw {
		raw[i] = -1
	}
	type frame struct{ node, next int }
	var stack []int
	var calls []frame
	count, comps := 0, 0
	for root := range n {
		if index[root] != 0 {
			continue
		}
		calls = append(calls, frame{root, 0})
		for len(calls) > 0 {
			f := &calls[len(calls)-1]
			v := f.node
			if f.next == 0 && index[v] == 0 {
				count++
				index[v], low[v] = count, count
				stack = append(stack, v)
			}
			if f.next < len(out[v]) {
				w := out[v][f.next]
				f.next++
				if index[w] == 0 {
					calls = append(calls, frame{w, 0})
				} else if raw[w] < 0 {
					low[v] = min(low[v], index[w])
				}
				continue
			}
			calls = calls[:len(calls)-1]
			if len(calls) > 0 {
				p := calls[len(calls)-1].node
				low[p] = min(low[p], low[v])
			}
			if low[v] == index[v] {
				for {
					w := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					raw[w] = comps
					if w == v {
						break
					}
				}
				comps++
			}
		}
	}
	number := make([]int, comps)
	for i := range number {
		number[i] = -1
	}
	of = make([]int, n)
	var size []int
	for v := range n {
		if number[raw[v]] < 0 {
			number[raw[v]] = len(size)
			size = append(size, 0)
			isCircle = append(isCircle, false)
		}
		of[v] = number[raw[v]]
		size[of[v]]++
		if size[of[v]] > 1 || self[v] {
			isCircle[of[v]] = true
		}
	}
	return of, isCircle
}

// backEdges picks edges whose removal leaves no cycle: those that a depth-first
// walk finds leading back. Of the walks from each node it takes the one with the
// fewest, from a preferred node if that is as good, so that the way round starts
// where the circle is entered.
func backEdges(n int, edges [][2]int, prefer []bool) []bool {
	out := make([][]int, n)
	for i, e := range edges {
		out[e[0]] = append(out[e[0]], i)
	}
	var best []bool
	fewest, preferred := 0, false
	for start := range n {
		back := walkBack(n, start, edges, out)
		k := 0
		for _, b := range back {
			if b {
				k++
			}
		}
		if best == nil || k < fewest || k == fewest && prefer[start] && !preferred {
			best, fewest, preferred = back, k, prefer[start]
		}
	}
	return best
}

func walkBack(n, start int, edges [][2]int, out [][]int) []bool {
	const fresh, open, done = 0, 1, 2
	state := make([]int, n)
	next := make([]int, n)
	back := make([]bool, len(edges))
	roots := []int{start}
	for i := range n {
		if i != start {
			roots = append(roots, i)
		}
	}
	for _, r := range roots {
		if state[r] != fresh {
			continue
		}
		path := []int{r}
		state[r] = open
		for len(path) > 0 {
			v := path[len(path)-1]
			if next[v] == len(out[v]) {
				state[v] = done
				path = path[:len(path)-1]
				continue
			}
			e := out[v][next[v]]
			next[v]++
			switch w := edges[e][1]; state[w] {
			case open:
				back[e] = true
			case fresh:
				state[w] = open
				path = append(path, w)
			}
		}
	}
	return back
}

// connected groups nodes that are joined by edges in whatever direction, each
// group in order, groups by their first node.
func connected(n int, edges [][2]int) [][]int {
	up := make([]int, n)
	for i := range up {
		up[i] = i
	}
	find := func(i int) int {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	for _, e := range edges {
		a, b := find(e[0]), find(e[1])
		up[max(a, b)] = min(a, b)
	}
	groups := map[int][]int{}
	var firsts []int
	for i := range n {
		r := find(i)
		if groups[r] == nil {
			firsts = append(firsts, r)
		}
		groups[r] = append(groups[r], i)
	}
	slices.Sort(firsts)
	var all [][]int
	for _, r := range firsts {
		all = append(all, groups[r])
	}
	return all
}
