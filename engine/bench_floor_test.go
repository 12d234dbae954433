package engine_test

import (
	"math/bits"
	"slices"
)

// bitmap is the floor of W1 and W2: for each property the set of rules that
// each interval of its values leaves alive.
type bitmap struct {
	words int
	cuts  [allProps][]int
	alive [allProps][][]uint64
	full  []uint64
}

func newBitmap(rs [][3]test) *bitmap {
	b := &bitmap{words: (len(rs) + 63) / 64}
	b.full = make([]uint64, b.words)
	for i := range rs {
		b.full[i/64] |= 1 << (i % 64)
	}
	for p := range allProps {
		for _, r := range rs {
			for _, c := range r {
				if c.prop == p {
					b.cuts[p] = append(b.cuts[p], c.limit, c.limit+1)
				}
			}
		}
		slices.Sort(b.cuts[p])
		b.cuts[p] = slices.Compact(b.cuts[p])
		for k := 0; k <= len(b.cuts[p]); k++ {
			v := -1
			if k > 0 {
				v = b.cuts[p][k-1]
			}
			set := slices.Clone(b.full)
			for i, r := range rs {
				for _, c := range r {
					if c.prop == p && !c.holds(v) {
						set[i/64] &^= 1 << (i % 64)
					}
				}
			}
			b.alive[p] = append(b.alive[p], set)
		}
	}
	return b
}

func (b *bitmap) eval(c *values, out []uint64) {
	copy(out, b.full)
	for p := range b.cuts {
		k, found := slices.BinarySearch(b.cuts[p], c[p])
		if found {
			k++
		}
		alive := b.alive[p][k][:len(out)]
		for i := range out {
			out[i] &= alive[i]
		}
	}
}

func ones(s []uint64) (n int) {
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

func holds3(r *[3]test, c *values) bool {
	return r[0].holds(c[r[0].prop]) && r[1].holds(c[r[1].prop]) && r[2].holds(c[r[2].prop])
}

func upperLoop(us []upper, c *values, fired []uint64) {
	for i := range us {
		u := &us[i]
		if fired[u.a/64]>>(u.a%64)&1 == 1 && (fired[u.b/64]>>(u.b%64)&1 == 1) != u.not && u.test.holds(c[u.test.prop]) {
			k := firstLevel + i
			fired[k/64] |= 1 << (k % 64)
		}
	}
}

func spreadFloor(adj [][]int32, wet []bool, queue []int32) int {
	clear(wet)
	queue = queue[:0]
	for s := range int32(startNodes) {
		wet[s] = true
		queue = append(queue, s)
	}
	for i := 0; i < len(queue); i++ {
		for _, y := range adj[queue[i]] {
			if !wet[y] {
				wet[y] = true
				queue = append(queue, y)
			}
		}
	}
	return len(queue)
}

// joinFloor is a hash join with chains that marks both sides.
func joinFloor(seats, arms []sized, loose, carries []bool) (n int) {
	clear(loose)
	clear(carries)
	head := make(map[int]int32, len(seats)/2)
	next := make([]int32, len(seats))
	for i := len(seats) - 1; i >= 0; i-- {
		next[i] = head[seats[i].at]
		head[seats[i].at] = int32(i) + 1
	}
	for i := range arms {
		for j := head[arms[i].at]; j != 0; j = next[j-1] {
			if arms[i].size-seats[j-1].size > playLimit {
				loose[i], carries[j-1] = true, true
			}
		}
	}
	for _, list := range [][]bool{loose, carries} {
		for _, x := range list {
			if x {
				n++
			}
		}
	}
	return n
}
