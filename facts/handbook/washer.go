package handbook

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// Setting axial play from the washers at hand. Thicknesses and gaps are in mm
// and compared to 1e-9 mm, so that 0.30 − 0.25 is inside a limit of 0.05.
const washerSlack = 1e-9

// MaxWashers is the most washers one search takes: 2^20 subsets are tried.
const MaxWashers = 20

// washerSet tries every subset of at most `most` washers and returns the one
// whose play gap − Σ lies inside lo…hi nearest its middle, fewer washers first
// among equals, then the earlier ones; without one inside, the nearest.
func washerSet(gap, lo, hi float64, thick []float64, most int) (used uint32, play float64, inside bool) {
	sum := make([]float64, 1<<len(thick))
	middle := (lo + hi) / 2
	better := func(a, b uint32) bool { // a over b
		pa, pb := gap-sum[a], gap-sum[b]
		ia, ib := within(pa, lo, hi), within(pb, lo, hi)
		if ia != ib {
			return ia
		}
		da, db := math.Abs(pa-middle), math.Abs(pb-middle)
		if math.Abs(da-db) > washerSlack {
			return da < db
		}
		if na, nb := bits.OnesCount32(a), bits.OnesCount32(b); na != nb {
			return na < nb
		}
		return bits.Reverse32(a) > bits.Reverse32(b)
	}
	for s := uint32(0); s < uint32(len(sum)); s++ {
		if s > 0 {
			low := bits.TrailingZeros32(s)
			sum[s] = sum[s&(s-1)] + thick[low]
		}
		if bits.OnesCount32(s) <= most && better(s, used) {
			used = s
		}
	}
	play = gap - sum[used]
	return used, play, within(play, lo, hi)
}

func within(v, lo, hi float64) bool { return v >= lo-washerSlack && v <= hi+washerSlack }

// washerEach gives each gap one washer of its own so that the largest distance
// of any play from the middle of the limits is least; index of the washer for
// each gap. Exact: the answer is one of the distances, found by bisection with
// a maximum matching at each.
func washerEach(gaps []float64, lo, hi float64, thick []float64) (choice []int, worst float64) {
	middle := (lo + hi) / 2
	off := func(g, t int) float64 { return math.Abs(gaps[g] - thick[t] - middle) }
	var levels []float64
	for g := range gaps {
		for t := range thick {
			levels = append(levels, off(g, t))
		}
	}
	slices.Sort(levels)
	match := func(limit float64) []int {
		owner := make([]int, len(thick)) // gap that holds washer t, −1 none
		for t := range owner {
			owner[t] = -1
		}
		var seat func(g int, tried []bool) bool
		seat = func(g int, tried []bool) bool {
			for t := range thick {
				if tried[t] || off(g, t) > limit+washerSlack {
					continue
				}
				tried[t] = true
				if owner[t] < 0 || seat(owner[t], tried) {
					owner[t] = g
					return true
				}
			}
			return false
		}
		for g := range gaps {
			if !seat(g, make([]bool, len(thick))) {
				return nil
			}
		}
		out := make([]int, len(gaps))
		for t, g := range owner {
			if g >= 0 {
				out[g] = t
			}
		}
		return out
	}
	at, _ := slices.BinarySearchFunc(levels, true, func(level float64, _ bool) int {
		if match(level) != nil {
			return 1
		}
		return -1
	})
	return match(levels[at]), levels[at]
}

func washerEntries() []*Entry {
	thick := Param{Name: "thicknesses", Unit: "mm", Means: "of the washers at hand", Lo: 0.01, Hi: 100, List: true}
	lo := num("play_min", "mm", "least play allowed", 0, 100)
	hi := num("play_max", "mm", "greatest play allowed", 0, 100)
	cautions := []string{
		"measure each washer at three places: a worn washer is not of one thickness, and the thickest place sets the play",
		"sides and order matter where a washer has a groove or a chamfer",
	}
	limits := func(lo, hi float64) error {
		if lo > hi {
			return refuse("play_min", "not over play_max", "")
		}
		return nil
	}
	return []*Entry{
		entry(Entry{
			Name: "washer_set", Title: "Which set of the washers at hand brings the axial play inside its limits",
			Formula: "play = gap − sum of the washers used; every set is tried; inside the limits, nearest their middle, fewest washers",
			Params: []Param{
				thick, num("gap", "mm", "free length without washers", 0, 1000), lo, hi,
				Param{Name: "at_most", Means: "most washers used together", Lo: 0, Hi: MaxWashers}.or(MaxWashers),
			},
			Results: []Param{
				anyNumber("play", "mm", "with that set"), noYes("inside", "whether the play is inside the limits"), anyNumber("count", "", "washers used"),
				{Name: "used", Means: "1 for each washer used, in the order given", Lo: open, Hi: open, List: true},
			},
			Domain: fmt.Sprintf("up to %d washers", MaxWashers), Source: "exhaustive search; definition of axial play", Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			if len(a[0].List) > MaxWashers {
				return nil, refuse("thicknesses", fmt.Sprintf("up to %d washers", MaxWashers), "leave out those of equal thickness you will not need")
			}
			if err := limits(a[2].Num, a[3].Num); err != nil {
				return nil, err
			}
			set, play, inside := washerSet(a[1].Num, a[2].Num, a[3].Num, a[0].List, int(a[4].Num))
			out := []float64{roundNano(play), yes(inside), float64(bits.OnesCount32(set))}
			for i := range a[0].List {
				out = append(out, float64(set>>i&1))
			}
			return out, nil
		}),
		entry(Entry{
			Name: "washer_each", Title: "Which washer goes to which gap, one each",
			Formula: "play of gap i = gap i − its washer; the largest distance from the middle of the limits is made least, exactly (matching)",
			Params:  []Param{{Name: "gaps", Unit: "mm", Means: "free length at each place without washer", Lo: 0, Hi: 1000, List: true}, thick, lo, hi},
			Results: []Param{
				anyNumber("worst", "mm", "largest distance from the middle of the limits"), noYes("inside", "whether every play is inside the limits"),
				{Name: "washer", Means: "number of the washer for each gap, in the order given", Lo: open, Hi: open, List: true},
				{Name: "play", Unit: "mm", Means: "at each gap", Lo: open, Hi: open, List: true},
			},
			Domain: fmt.Sprintf("up to %d gaps and washers, at least as many washers as gaps", MaxList), Source: "bottleneck assignment by bisection and augmenting paths", Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			gaps, ts := a[0].List, a[1].List
			if len(ts) < len(gaps) {
				return nil, refuse("thicknesses", fmt.Sprintf("at least %d washers, one for each gap", len(gaps)), "")
			}
			if err := limits(a[2].Num, a[3].Num); err != nil {
				return nil, err
			}
			choice, worst := washerEach(gaps, a[2].Num, a[3].Num, ts)
			inside := true
			var numbers, plays []float64
			for g, t := range choice {
				play := gaps[g] - ts[t]
				inside = inside && within(play, a[2].Num, a[3].Num)
				numbers, plays = append(numbers, float64(t+1)), append(plays, roundNano(play))
			}
			return append(append([]float64{roundNano(worst), yes(inside)}, numbers...), plays...), nil
		}),
	}
}
