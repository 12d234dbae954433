package weigh

import (
	"cmp"
	"slices"
)

// ExactUpTo is how many clues that overlap each other, directly or through
// others, are weighed against each other exactly.
const ExactUpTo = 20

// NoGroup is the Group of an item that is the only instance of its clue.
const NoGroup int32 = -1

// Item is one instance of a clue for one cause.
type Item struct {
	ID    int32   // breaks ties; distinct within one selection
	Group int32   // the clue it is an instance of, counted from 0, or NoGroup
	W     Weight  // what it would add; 0 while nothing is known of its sign
	Rests []int32 // known observations it rests on, counted from 0; any order
}

// Select is [Selector.Select] with a new Selector.
func Select(items []Item) (counted []bool, through []int32, exact bool) {
	var s Selector
	return s.Select(items)
}

// Selector chooses the clues that count for one cause. The zero value is ready;
// kept and used again it does not allocate. It is not safe for concurrent
// use. Its memory grows with the greatest observation and group it has met.
type Selector struct {
	items   []Item
	counted []bool
	through []int32
	exact   bool

	cand   []int32 // indices of the items that compete: the heaviest of each group
	parent []int32 // union-find over items
	order  []int32 // candidates that overlap another, by component

	obs    stamps // by observation
	groups stamps // by group
}

// Select chooses, of the items that rest on no observation twice, the set with
// the greatest Σ|W|.
//
// First, of the instances in one group only the heaviest competes (at equal
// |W| the one with the smallest ID). Then, of all sets of competitors no two of
// which share an observation, the one with the greatest Σ|W| counts. Among equal
// ones it is the set whose IDs, sorted upwards, come first: where two sets
// differ, the smallest ID that is in only one of them decides for that one. The
// order of items has no influence. Items of weight 0 neither count nor
// stand in the way of others.
//
// counted[i] tells whether items[i] counts. through[i] is for an item that does
// not count the index of the heaviest counted item it shares an observation with
// (smallest ID at equal weight), or for a lesser instance the index of the
// heaviest of its group, counted or not; else -1, as for weight 0.
//
// The choice is exact while no more than [ExactUpTo] competitors hang together
// by shared observations. In a larger cluster they are taken heaviest first
// (smallest ID at equal weight), and exact is false. While it is exact, a further
// clue never lowers the total.
//
// The slices returned are good until the next call.
func (s *Selector) Select(items []Item) (counted []bool, through []int32, exact bool) {
	n := len(items)
	s.items, s.exact = items, true
	s.counted = resize(s.counted, n)
	s.through = resize(s.through, n)
	s.parent = resize(s.parent, n)
	for i := range items {
		s.counted[i] = false
		s.through[i] = -1
		s.parent[i] = int32(i)
	}
	s.heaviestOfGroups()
	if s.joinOverlapping() {
		s.settleClusters()
	} else {
		for _, i := range s.cand {
			s.counted[i] = true
		}
	}
	s.items = nil
	return s.counted, s.through, s.exact
}

// heavier orders items heaviest first, then by ID, then by place.
func (s *Selector) heavier(a, b int32) int {
	x, y := &s.items[a], &s.items[b]
	return cmp.Or(cmp.Compare(y.W.Abs(), x.W.Abs()), cmp.Compare(x.ID, y.ID), cmp.Compare(a, b))
}

func (s *Selector) byID(a, b int32) int {
	return cmp.Or(cmp.Compare(s.items[a].ID, s.items[b].ID), cmp.Compare(a, b))
}

// heaviestOfGroups fills cand and points the lesser instances to the heaviest.
func (s *Selector) heaviestOfGroups() {
	s.groups.fresh()
	grouped := false
	for i := range s.items {
		it := &s.items[i]
		if it.Group < 0 {
			continue
		}
		grouped = true
		if best, ok := s.groups.get(it.Group); !ok || s.heavier(int32(i), int32(best)) < 0 {
			s.groups.set(it.Group, uint32(i))
		}
	}
	s.cand = s.cand[:0]
	for i := range s.items {
		it := &s.items[i]
		if it.W == 0 {
			continue
		}
		if grouped && it.Group >= 0 {
			if best, _ := s.groups.get(it.Group); int(best) != i {
				s.through[i] = int32(best)
				continue
			}
		}
		s.cand = append(s.cand, int32(i))
	}
}

// joinOverlapping unites the competitors that share an observation and tells
// whether any do.
func (s *Selector) joinOverlapping() bool {
	s.obs.fresh()
	overlap := false
	for _, i := range s.cand {
		for _, o := range s.items[i].Rests {
			if other, ok := s.obs.get(o); !ok {
				s.obs.set(o, uint32(i))
			} else if int32(other) != i {
				overlap = true
				s.parent[s.find(i)] = s.find(int32(other))
			}
		}
	}
	return overlap
}

func (s *Selector) find(i int32) int32 {
	for s.parent[i] != i {
		s.parent[i] = s.parent[s.parent[i]]
		i = s.parent[i]
	}
	return i
}

// settleClusters decides each cluster by itself: no choice in one touches
// another, and the tie rule decides smallest ID by smallest ID.
func (s *Selector) settleClusters() {
	s.order = append(s.order[:0], s.cand...)
	slices.SortFunc(s.order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(s.find(a), s.find(b)), s.byID(a, b))
	})
	for from := 0; from < len(s.order); {
		to := from + 1
		for to < len(s.order) && s.find(s.order[to]) == s.find(s.order[from]) {
			to++
		}
		cluster := s.order[from:to]
		from = to
		switch {
		case len(cluster) == 1:
			s.counted[cluster[0]] = true
			continue
		case len(cluster) <= ExactUpTo:
			s.takeBest(cluster)
		default:
			s.exact = false
			s.takeHeaviestFirst(cluster)
		}
		s.pointThrough(cluster)
	}
}

// takeBest marks the best independent set of a cluster sorted by ID.
func (s *Selector) takeBest(cluster []int32) {
	var c conflicts
	s.obs.fresh()
	for j, i := range cluster {
		c.weight[j] = s.items[i].W.Abs()
		for _, o := range s.items[i].Rests {
			users, _ := s.obs.get(o)
			c.with[j] |= users
			s.obs.set(o, users|1<<j)
		}
		c.with[j] &^= 1 << j
		for k := range j {
			c.with[k] |= c.with[j] >> k & 1 << j
		}
	}
	best := c.best(1<<len(cluster) - 1)
	for j, i := range cluster {
		s.counted[i] = best>>j&1 != 0
	}
}

func (s *Selector) takeHeaviestFirst(cluster []int32) {
	slices.SortFunc(cluster, s.heavier)
	s.obs.fresh()
next:
	for _, i := range cluster {
		for _, o := range s.items[i].Rests {
			if _, taken := s.obs.get(o); taken {
				continue next
			}
		}
		for _, o := range s.items[i].Rests {
			s.obs.set(o, 0)
		}
		s.counted[i] = true
	}
}

// pointThrough tells for each item left out through which it is counted already.
func (s *Selector) pointThrough(cluster []int32) {
	s.obs.fresh()
	for _, i := range cluster {
		if s.counted[i] {
			for _, o := range s.items[i].Rests {
				s.obs.set(o, uint32(i))
			}
		}
	}
	for _, i := range cluster {
		if s.counted[i] {
			continue
		}
		for _, o := range s.items[i].Rests {
			if by, ok := s.obs.get(o); ok {
				if t := s.through[i]; t < 0 || s.heavier(int32(by), t) < 0 {
					s.through[i] = int32(by)
				}
			}
		}
	}
}

// stamps is a sparse table by small number that is emptied in no time.
type stamps struct {
	now  uint32
	cell []stamp
}

type stamp struct{ when, value uint32 }

func (t *stamps) fresh() {
	t.now++
	if t.now == 0 { // after 2^32 rounds, old stamps would look new
		clear(t.cell)
		t.now = 1
	}
}

func (t *stamps) get(at int32) (uint32, bool) {
	if int(at) >= len(t.cell) || t.cell[at].when != t.now {
		return 0, false
	}
	return t.cell[at].value, true
}

func (t *stamps) set(at int32, value uint32) {
	if int(at) >= len(t.cell) {
		t.cell = append(t.cell, make([]stamp, int(at)+1-len(t.cell))...)
	}
	t.cell[at] = stamp{t.now, value}
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
