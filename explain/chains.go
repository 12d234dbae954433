package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/frequency"
	"whyworn/rules/vocab"
)

// chains groups the accepted findings by links and gives each its role.
func (s *storyteller) chains() {
	n := len(s.accepted)
	next := make([][]int, n)
	linked := make([]bool, n)
	s.chain = make([]int, n)
	for i := range s.chain {
		s.chain[i] = i
	}
	for _, l := range s.links {
		a, b := s.index[l.From], s.index[l.To]
		next[a] = append(next[a], b)
		linked[a], linked[b] = true, true
		from, to := max(s.chain[a], s.chain[b]), min(s.chain[a], s.chain[b])
		for i, c := range s.chain {
			if c == from {
				s.chain[i] = to
			}
		}
	}
	s.comp = components(next)
	size, entered := map[int]int{}, map[int]bool{}
	for i := range n {
		size[s.comp[i]]++
		for _, j := range next[i] {
			if s.comp[i] != s.comp[j] {
				entered[s.comp[j]] = true
			}
		}
	}
	depth := s.depths(next, entered)
	told := map[int]*Chain{}
	var firsts []int
	for i, f := range s.accepted {
		k := told[s.chain[i]]
		if k == nil {
			k = &Chain{}
			told[s.chain[i]] = k
			firsts = append(firsts, s.chain[i])
		}
		role := Root
		switch {
		case !linked[i]:
			role = Apart
		case entered[s.comp[i]]:
			role = KnockOn
		case size[s.comp[i]] > 1:
			role = Circle
		}
		k.Findings = append(k.Findings, Told{f, role, depth[s.comp[i]]})
	}
	for _, l := range s.links {
		k := told[s.chain[s.index[l.From]]]
		k.Links = append(k.Links, l)
	}
	for _, first := range firsts {
		k := told[first]
		slices.SortStableFunc(k.Findings, func(a, b Told) int {
			return cmp.Or(cmp.Compare(a.Depth, b.Depth), a.FactID.Compare(b.FactID))
		})
		k.Circles = s.circles(first, size)
		s.story.Chains = append(s.story.Chains, *k)
	}
}

// depths counts, for each component, the links from the nearest source.
func (s *storyteller) depths(next [][]int, entered map[int]bool) map[int]int {
	depth := map[int]int{}
	var queue []int
	for i := range s.accepted {
		if c := s.comp[i]; !entered[c] {
			if _, ok := depth[c]; !ok {
				depth[c] = 0
				queue = append(queue, c)
			}
		}
	}
	for len(queue) > 0 {
		c := queue[0]
		queue = queue[1:]
		for i := range s.accepted {
			if s.comp[i] != c {
				continue
			}
			for _, j := range next[i] {
				if _, ok := depth[s.comp[j]]; !ok {
					depth[s.comp[j]] = depth[c] + 1
					queue = append(queue, s.comp[j])
				}
			}
		}
	}
	return depth
}

// circles lists the circles of one chain and what started them.
func (s *storyteller) circles(chain int, size map[int]int) []SelfFeeding {
	var out []SelfFeeding
	done := map[int]bool{}
	for i := range s.accepted {
		c := s.comp[i]
		if s.chain[i] != chain || size[c] < 2 || done[c] {
			continue
		}
		done[c] = true
		circle := SelfFeeding{}
		inside := map[record.FactID]bool{}
		for j := range s.accepted {
			if s.comp[j] == c {
				circle.Members = append(circle.Members, s.accepted[j].FactID)
				inside[s.accepted[j].FactID] = true
			}
		}
		for _, l := range s.links {
			if inside[l.To] && !inside[l.From] && !slices.Contains(circle.Started, l.From) {
				circle.Started = append(circle.Started, l.From)
			}
		}
		for _, l := range s.into {
			if inside[l.To] {
				circle.Perhaps = append(circle.Perhaps, l)
			}
		}
		out = append(out, circle)
	}
	return out
}

// components numbers the strongly connected components of a graph (Tarjan
// 1972), without recursion: a circle may be as long as the machine.
func components(next [][]int) []int {
	n := len(next)
	comp, low, num := make([]int, n), make([]int, n), make([]int, n)
	for i := range comp {
		comp[i] = -1
	}
	var stack []int
	count, found := 0, 0
	type frame struct{ v, edge int }
	for root := range n {
		if num[root] != 0 {
			continue
		}
		work := []frame{{root, 0}}
		for len(work) > 0 {
			f := &work[len(work)-1]
			v := f.v
			if f.edge == 0 {
				count++
				num[v], low[v] = count, count
				stack = append(stack, v)
			}
			if f.edge < len(next[v]) {
				w := next[v][f.edge]
				f.edge++
				if num[w] == 0 {
					work = append(work, frame{w, 0})
				} else if comp[w] < 0 {
					low[v] = min(low[v], num[w])
				}
				continue
			}
			if low[v] == num[v] {
				for {
					w := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					comp[w] = found
					if w == v {
						break
					}
				}
				found++
			}
			work = work[:len(work)-1]
			if len(work) > 0 {
				u := work[len(work)-1].v
				low[u] = min(low[u], low[v])
			}
		}
	}
	return comp
}

// ancestors lists, for each accepted finding, those that lead to it by links,
// itself left out.
func (s *storyteller) ancestors() [][]int {
	n := len(s.accepted)
	prev := make([][]int, n)
	for _, l := range s.links {
		a, b := s.index[l.From], s.index[l.To]
		prev[b] = append(prev[b], a)
	}
	out := make([][]int, n)
	for i := range n {
		seen := make([]bool, n)
		seen[i] = true
		queue := []int{i}
		for len(queue) > 0 {
			v := queue[0]
			queue = queue[1:]
			for _, p := range prev[v] {
				if !seen[p] {
					seen[p] = true
					out[i] = append(out[i], p)
					queue = append(queue, p)
				}
			}
		}
	}
	return out
}

// expected lists the signs that accepted causes usually show and that are
// known to be absent; of a choice the one that the cause usually shows.
func (s *storyteller) expected() {
	usually, _ := frequency.Of("usually")
	for _, f := range s.accepted {
		for _, w := range s.Ways(f.FactID) {
			if w.Clue == nil {
				continue
			}
			absent := len(w.Clue.WhenSo) == 1 && w.Clue.WhenSo[0] >= usually && w.Sign.State == truth.False
			if len(w.Clue.WhenSo) > 1 && w.Sign.Value.Looked == vocab.Told {
				for i, often := range w.Clue.WhenSo {
					absent = absent || often >= usually && w.Sign.Value.Mask&(1<<i) == 0
				}
			}
			if absent {
				s.story.Missing = append(s.story.Missing, Expected{f.FactID, w})
			}
		}
	}
}

// reach names, for each piece of work that the story's causes rest on, the
// other places it was done on: those the story has not told of.
func (s *storyteller) reach() {
	seen := map[int32]bool{}
	inStory := map[int32]bool{}
	for _, f := range s.accepted {
		inStory[f.Part] = true
	}
	add := func(work int32, because record.FactID) {
		if seen[work] {
			return
		}
		seen[work] = true
		r := Reach{Work: work, Because: because}
		if on := s.Facts.Parts[work].Kind.Property("on"); on != nil {
			for _, p := range s.Facts.List(on, s.Facts.Parts[work].Ordinal) {
				if !inStory[p] {
					r.Places = append(r.Places, p)
				}
			}
		}
		s.story.LookAlso = append(s.story.LookAlso, r)
	}
	for _, f := range s.accepted {
		if s.Facts.Parts[f.Part].Work != nil {
			add(f.Part, f.FactID)
		}
		for _, w := range s.Ways(f.FactID) {
			if w.State != truth.True && !(w.Counted && w.Weight > 0) {
				continue
			}
			for _, work := range s.worksRead(&w) {
				add(work, f.FactID)
			}
		}
	}
}

// worksRead lists the works that a way reads and that made it hold.
func (s *storyteller) worksRead(w *record.Way) []int32 {
	var out []int32
	var walk func(n *record.Seen)
	walk = func(n *record.Seen) {
		for _, id := range n.Reads {
			if s.Facts.Parts[id.Part].Work != nil && !slices.Contains(out, id.Part) {
				out = append(out, id.Part)
			}
		}
		for i := range n.Args {
			if n.Args[i].Part < 0 || n.Args[i].State == truth.True { // of the members of a list those that hold
				walk(&n.Args[i])
			}
		}
	}
	for i := range w.If {
		walk(&w.If[i])
	}
	walk(&w.Sign)
	return out
}

// rank puts the chain first that accounts for most.
func (s *storyteller) rank() {
	for i := range s.story.Chains {
		k := &s.story.Chains[i]
		for _, g := range s.story.Accounted {
			if slices.ContainsFunc(k.Findings, func(t Told) bool { return slices.Contains(g.By, t.FactID) }) {
				k.Accounts++
			}
		}
	}
	slices.SortStableFunc(s.story.Chains, func(a, b Chain) int {
		return cmp.Or(cmp.Compare(b.Accounts, a.Accounts), cmp.Compare(len(b.Findings), len(a.Findings)))
	})
}
