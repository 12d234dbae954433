package weigh

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawItems draws up to max items over few observations, with small weights so
// that ties are common, ids out of order and some groups.
func drawItems(t *rapid.T, max, observations int) []Item {
	n := rapid.IntRange(0, max).Draw(t, "n")
	ids := rapid.Permutation(seq(n)).Draw(t, "ids")
	items := make([]Item, n)
	for i := range items {
		rests := rapid.SliceOfNDistinct(rapid.Int32Range(0, int32(observations-1)), 0, 3, rapid.ID[int32]).Draw(t, "rests")
		slices.Sort(rests)
		items[i] = Item{
			ID:    ids[i] * 3,
			Group: rapid.SampledFrom([]int32{NoGroup, NoGroup, NoGroup, 0, 1}).Draw(t, "group"),
			W:     Weight(rapid.Int64Range(-4, 4).Draw(t, "w")),
			Rests: rests,
		}
	}
	return items
}

func seq(n int) []int32 {
	s := make([]int32, n)
	for i := range s {
		s[i] = int32(i)
	}
	return s
}

func share(a, b Item) bool {
	return slices.ContainsFunc(a.Rests, func(o int32) bool { return slices.Contains(b.Rests, o) })
}

// bruteForce tries every subset. It returns the ids that count, sorted.
func bruteForce(items []Item) (ids []int32, total Weight) {
	var rivals []Item
	for i, it := range items {
		heaviest := it.W != 0
		for j, other := range items {
			if i != j && it.Group >= 0 && other.Group == it.Group &&
				(other.W.Abs() > it.W.Abs() || other.W.Abs() == it.W.Abs() && other.ID < it.ID) {
				heaviest = false
			}
		}
		if heaviest {
			rivals = append(rivals, it)
		}
	}
	first := true
next:
	for set := range 1 << len(rivals) {
		var in []int32
		var sum Weight
		for i, it := range rivals {
			if set>>i&1 == 0 {
				continue
			}
			for j := range i {
				if set>>j&1 != 0 && share(it, rivals[j]) {
					continue next
				}
			}
			in = append(in, it.ID)
			sum += it.W.Abs()
		}
		slices.Sort(in)
		if first || sum > total || sum == total && slices.Compare(in, ids) < 0 {
			ids, total, first = in, sum, false
		}
	}
	return ids, total
}

func countedIDs(items []Item, counted []bool) (ids []int32, total Weight) {
	for i, it := range items {
		if counted[i] {
			ids = append(ids, it.ID)
			total += it.W.Abs()
		}
	}
	slices.Sort(ids)
	return ids, total
}

func TestSelectAgreesWithEverySubset(t *testing.T) {
	var kept Selector // reused, as a run does
	rapid.Check(t, func(t *rapid.T) {
		items := drawItems(t, 10, 8)
		wantIDs, want := bruteForce(items)
		counted, through, exact := kept.Select(items)
		ids, total := countedIDs(items, counted)
		if !exact {
			t.Fatal("not exact with ten items")
		}
		if total != want || !slices.Equal(ids, wantIDs) {
			t.Fatalf("counts %v of %d, every subset gives %v of %d", ids, total, wantIDs, want)
		}
		checkThrough(t, items, counted, through)
	})
}

// checkThrough holds through against its words.
func checkThrough(t *rapid.T, items []Item, counted []bool, through []int32) {
	for i, it := range items {
		by := through[i]
		if counted[i] || it.W == 0 {
			if by != -1 {
				t.Fatalf("item %d counts or weighs nothing, but through %d", i, by)
			}
			continue
		}
		if by < 0 {
			t.Fatalf("item %d is left out for no reason", i)
		}
		best := items[by]
		if it.Group >= 0 && best.Group == it.Group {
			if best.W.Abs() < it.W.Abs() {
				t.Fatalf("item %d is left out for a lighter instance", i)
			}
			continue
		}
		if !counted[by] || !share(it, best) {
			t.Fatalf("item %d is counted through %d, which does not count or shares nothing", i, by)
		}
		for j, other := range items {
			if counted[j] && share(it, other) && (other.W.Abs() > best.W.Abs() || other.W.Abs() == best.W.Abs() && other.ID < best.ID) {
				t.Fatalf("item %d is counted through %d, heavier is %d", i, by, j)
			}
		}
	}
}

// The exact search against every subset on full clusters, up to the bound.
func TestSelectOnFullClusters(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 4 {
		items := cluster(rng, ExactUpTo, 14)
		wantIDs, want := bruteForce(items)
		counted, _, exact := Select(items)
		ids, total := countedIDs(items, counted)
		if !exact || total != want || !slices.Equal(ids, wantIDs) {
			t.Errorf("counts %v of %d (exact %v), every subset gives %v of %d", ids, total, exact, wantIDs, want)
		}
	}
}

// cluster makes n items that hang together by shared observations.
func cluster(rng *rand.Rand, n, observations int) []Item {
	items := make([]Item, n)
	for i := range items {
		rests := []int32{int32(i % observations), int32((i + 1) % observations), rng.Int32N(int32(observations))}
		slices.Sort(rests)
		items[i] = Item{ID: int32(i), Group: NoGroup, W: Weight(1 + rng.IntN(9)), Rests: rests}
		if rng.IntN(2) == 0 {
			items[i].W = -items[i].W
		}
	}
	return items
}

// chain is a path: each item shares one observation with the next.
func chain(n int, weight func(i int) Weight) []Item {
	items := make([]Item, n)
	for i := range items {
		items[i] = Item{ID: int32(i), Group: NoGroup, W: weight(i), Rests: []int32{int32(i), int32(i + 1)}}
	}
	return items
}

func TestSelectExactnessBound(t *testing.T) {
	// 3 4 3 | 3 4 3 | …: heaviest first takes the fours, exact takes more.
	weight := func(i int) Weight { return []Weight{3, 4, 3}[i%3] }
	counted, _, exact := Select(chain(ExactUpTo, weight))
	if _, total := countedIDs(chain(ExactUpTo, weight), counted); !exact || total != 34 {
		t.Errorf("20 in a row: exact %v, total %d, want 34", exact, total)
	}
	counted, through, exact := Select(chain(ExactUpTo+1, weight))
	if ids, total := countedIDs(chain(ExactUpTo+1, weight), counted); exact || total != 28 || len(ids) != 7 {
		t.Errorf("21 in a row: exact %v, total %d of %d, want heaviest first, 28 of 7", exact, total, len(ids))
	}
	if through[0] != 1 || through[20] != 19 {
		t.Errorf("the ends are counted through %d and %d, want 1 and 19", through[0], through[20])
	}
	// The bound is for a cluster: two of 20 and many clues apart stay exact.
	far := chain(ExactUpTo, weight)
	for i := range far {
		far[i].ID += 100
		far[i].Rests = []int32{far[i].Rests[0] + 100, far[i].Rests[1] + 100}
	}
	both := append(chain(ExactUpTo, weight), far...)
	for i := range 50 {
		both = append(both, Item{ID: int32(1000 + i), Group: NoGroup, W: 1, Rests: []int32{int32(1000 + i)}})
	}
	if counted, _, exact := Select(both); !exact {
		t.Error("clusters of 20 apart from each other are not exact")
	} else if _, total := countedIDs(both, counted); total != 34+34+50 {
		t.Errorf("they count %d, want 118", total)
	}
}

func TestSelectWhatWeighsNothing(t *testing.T) {
	items := []Item{
		{ID: 0, Group: 0, W: 0, Rests: []int32{0, 1, 2}},
		{ID: 1, Group: NoGroup, W: 2, Rests: []int32{0}},
		{ID: 2, Group: NoGroup, W: -3, Rests: []int32{1}},
		{ID: 3, Group: 0, W: 1, Rests: []int32{3}},
	}
	counted, through, _ := Select(items)
	if !slices.Equal(counted, []bool{false, true, true, true}) || !slices.Equal(through, []int32{-1, -1, -1, -1}) {
		t.Errorf("counted %v through %v", counted, through)
	}
}

func TestSelectDoesNotCareAboutOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := drawItems(t, 40, 25) // beyond the exact bound too
		counted, through, exact := Select(items)
		ids, _ := countedIDs(items, counted)
		by := map[int32]int32{}
		for i, at := range through {
			if at >= 0 {
				by[items[i].ID] = items[at].ID
			}
		}
		shuffled := rapid.Permutation(items).Draw(t, "shuffled")
		counted2, through2, exact2 := Select(shuffled)
		ids2, _ := countedIDs(shuffled, counted2)
		if exact != exact2 || !slices.Equal(ids, ids2) {
			t.Fatalf("in another order %v instead of %v", ids2, ids)
		}
		for i, at := range through2 {
			if at < 0 {
				continue
			}
			if was, ok := by[shuffled[i].ID]; !ok || was != shuffled[at].ID {
				t.Fatalf("in another order %d is counted through %d, before %d", shuffled[i].ID, shuffled[at].ID, was)
			}
		}
	})
}

func TestAFurtherClue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := drawItems(t, 12, 8)
		counted, _, _ := Select(items)
		_, before := countedIDs(items, counted)
		signed := signedSum(items, counted)

		// A whole clue, with as many instances as it likes, on any observations.
		more := slices.Clone(items)
		for i := range rapid.IntRange(1, 4).Draw(t, "instances") {
			more = append(more, Item{
				ID: int32(rapid.SampledFrom([]int{-1 - i, 1000 + i}).Draw(t, "id")), Group: 7,
				W:     Weight(rapid.Int64Range(-4, 4).Draw(t, "w")),
				Rests: rapid.SliceOfN(rapid.Int32Range(0, 9), 0, 3).Draw(t, "rests"),
			})
		}
		counted, _, _ = Select(more)
		if _, after := countedIDs(more, counted); after < before {
			t.Fatalf("a further clue lowers the weight counted from %d to %d", before, after)
		}

		// A clue on observations nobody else uses.
		w := Weight(rapid.Int64Range(-9, 9).Draw(t, "alone"))
		alone := append(slices.Clone(items), Item{ID: 500, Group: NoGroup, W: w, Rests: []int32{90, 91}})
		counted, _, _ = Select(alone)
		if got := signedSum(alone, counted); got != signed+w {
			t.Fatalf("a clue of %d by itself moves the sum from %d to %d", w, signed, got)
		}
	})
}

func signedSum(items []Item, counted []bool) (sum Weight) {
	for i, it := range items {
		if counted[i] {
			sum += it.W
		}
	}
	return sum
}

func TestSelectorKeepsItsMemory(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	items := append(cluster(rng, ExactUpTo, 14), cluster(rng, 30, 20)...)
	var s Selector
	s.Select(items)
	if n := testing.AllocsPerRun(20, func() { s.Select(items) }); n != 0 {
		t.Errorf("%v allocations in a selector used before", n)
	}
}

// Stamps from 2^32 selections ago must not look fresh.
func TestStampsWrapAround(t *testing.T) {
	var s stamps
	s.fresh()
	s.set(3, 9)
	s.now = 1<<32 - 1
	s.fresh()
	if v, ok := s.get(3); ok {
		t.Errorf("an old stamp reads %d", v)
	}
}

func BenchmarkSelect(b *testing.B) {
	rng := rand.New(rand.NewPCG(5, 6))
	apart := make([]Item, 12)
	for i := range apart {
		apart[i] = Item{ID: int32(i), Group: int32(i / 2), W: Weight(i + 1), Rests: []int32{int32(2 * i), int32(2*i + 1)}}
	}
	for _, c := range []struct {
		name  string
		items []Item
	}{
		{"apart", apart},
		{"cluster8", cluster(rng, 8, 8)},
		{"cluster20", cluster(rng, 20, 14)},
		{"chain20", chain(20, func(i int) Weight { return Weight(3 + i%3) })},
		{"ties20", chain(20, func(int) Weight { return 1 })},
		{"greedy200", cluster(rng, 200, 150)},
	} {
		b.Run(fmt.Sprint(c.name, "_", len(c.items)), func(b *testing.B) {
			var s Selector
			b.ReportAllocs()
			for b.Loop() {
				s.Select(c.items)
			}
		})
	}
}
