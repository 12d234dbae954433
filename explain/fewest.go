package explain

import (
	"cmp"
	"math/bits"
	"slices"

	"whyworn/engine/record"
	"whyworn/rules/vocab"
)

// fewestUpTo is how many causes that share signs are searched exactly for the
// fewest that account for all.
const fewestUpTo = 16

// signSet is a set of accounted signs, by index.
type signSet []uint64

func (s signSet) add(i int) { s[i/64] |= 1 << (i % 64) }

// new counts the members of s that are not in have.
func (s signSet) new(have signSet) int {
	n := 0
	for i := range s {
		n += bits.OnesCount64(s[i] &^ have[i])
	}
	return n
}

func (s signSet) join(o signSet) {
	for i := range o {
		s[i] |= o[i]
	}
}

// fewest finds the smallest set of accepted causes that accounts for every sign
// that a cause accounts for; among equals the one nearest to where it began,
// then the first in order of parts and properties. A cause that alone accounts
// for a sign is in every such set; of more than fewestUpTo others those are taken
// that account for most of what is left, and the set may not be the smallest.
func (s *storyteller) fewest() {
	signs := len(s.story.Accounted)
	empty := func() signSet { return make(signSet, (signs+63)/64) }
	depth := map[record.FactID]int{}
	for _, k := range s.story.Chains {
		for _, f := range k.Findings {
			depth[f.FactID] = f.Depth
		}
	}
	var causes []record.FactID
	covers := map[record.FactID]signSet{}
	all, have := empty(), empty()
	for j, g := range s.story.Accounted {
		for _, id := range g.By {
			if id.Prop.Role != vocab.Cause {
				continue
			}
			if covers[id] == nil {
				covers[id] = empty()
				causes = append(causes, id)
			}
			covers[id].add(j)
			all.add(j)
		}
	}
	slices.SortFunc(causes, func(a, b record.FactID) int {
		return cmp.Or(cmp.Compare(depth[a], depth[b]), a.Compare(b))
	})
	var picked []record.FactID
	for _, g := range s.story.Accounted {
		alone := slices.DeleteFunc(slices.Clone(g.By), func(id record.FactID) bool { return id.Prop.Role != vocab.Cause })
		if len(alone) == 1 && !slices.Contains(picked, alone[0]) {
			picked = append(picked, alone[0])
			have.join(covers[alone[0]])
		}
	}
	var rest []signSet
	var ids []record.FactID
	for _, id := range causes {
		if covers[id].new(have) > 0 {
			rest, ids = append(rest, covers[id]), append(ids, id)
		}
	}
	s.story.FewestOf = all.new(empty())
	s.story.FewestExact = len(rest) <= fewestUpTo
	var more []int
	if s.story.FewestExact {
		for k := 0; more == nil && k <= len(rest); k++ {
			more = choose(rest, have, all, k)
		}
	} else {
		more = chooseMost(rest, have, all)
	}
	for _, i := range more {
		picked = append(picked, ids[i])
	}
	slices.SortFunc(picked, func(a, b record.FactID) int {
		return cmp.Compare(slices.Index(causes, a), slices.Index(causes, b))
	})
	s.story.Fewest = picked
}

// choose finds the first k sets, in order, that together with have hold all;
// nil if there are none.
func choose(sets []signSet, have, all signSet, k int) []int {
	pick := make([]int, 0, k)
	var try func(from int, have signSet) bool
	try = func(from int, have signSet) bool {
		if len(pick) == k {
			return all.new(have) == 0
		}
		for i := from; i <= len(sets)-(k-len(pick)); i++ {
			more := slices.Clone(have)
			more.join(sets[i])
			pick = append(pick, i)
			if try(i+1, more) {
				return true
			}
			pick = pick[:len(pick)-1]
		}
		return false
	}
	if try(0, have) {
		return pick
	}
	return nil
}

// chooseMost takes the set that adds most, again and again.
func chooseMost(sets []signSet, have, all signSet) []int {
	have = slices.Clone(have)
	var out []int
	for all.new(have) > 0 {
		best := 0
		for i := range sets {
			if sets[i].new(have) > sets[best].new(have) {
				best = i
			}
		}
		out = append(out, best)
		have.join(sets[best])
	}
	return out
}
