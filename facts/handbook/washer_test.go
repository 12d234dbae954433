package handbook

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func hundredths(rt *rapid.T, label string, lo, hi int) float64 {
	return float64(rapid.IntRange(lo, hi).Draw(rt, label)) / 100
}

func thicknesses(rt *rapid.T, lo, hi int) []float64 {
	out := make([]float64, rapid.IntRange(lo, hi).Draw(rt, "washers"))
	for i := range out {
		out[i] = hundredths(rt, "thickness", 20, 200)
	}
	return out
}

// The second way: plain recursion, take it or leave it.
func bestPlay(gap, lo, hi float64, thick []float64, most int) (offMiddle float64, inside bool) {
	offMiddle = math.Inf(1)
	try := func(play float64) {
		d, in := math.Abs(play-(lo+hi)/2), play >= lo-1e-9 && play <= hi+1e-9
		if in && !inside || in == inside && d < offMiddle {
			offMiddle, inside = d, in
		}
	}
	var walk func(i, used int, left float64)
	walk = func(i, used int, left float64) {
		if i == len(thick) {
			try(left)
			return
		}
		walk(i+1, used, left)
		if used < most {
			walk(i+1, used+1, left-thick[i])
		}
	}
	walk(0, 0, gap)
	return offMiddle, inside
}

func TestWasherSetIsTheBestSet(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		thick := thicknesses(rt, 1, 9)
		gap, lo := hundredths(rt, "gap", 50, 600), hundredths(rt, "least", 0, 20)
		hi := lo + hundredths(rt, "span", 0, 20)
		most := rapid.IntRange(0, 9).Draw(rt, "most")
		used, play, inside := washerSet(gap, lo, hi, thick, most)
		sum, n := 0.0, 0
		for i, w := range thick {
			if used>>i&1 == 1 {
				sum, n = sum+w, n+1
			}
		}
		if n > most || math.Abs(gap-sum-play) > 1e-9 {
			rt.Fatalf("%d washers of at most %d, play %v is not %v", n, most, play, gap-sum)
		}
		want, wantIn := bestPlay(gap, lo, hi, thick, most)
		if got := math.Abs(play - (lo+hi)/2); inside != wantIn || math.Abs(got-want) > 1e-8 {
			rt.Fatalf("off the middle %v (inside %v), recursion finds %v (%v)", got, inside, want, wantIn)
		}
	})
}

func TestWasherEachIsTheBestAssignment(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		thick := thicknesses(rt, 2, 6)
		gaps := make([]float64, rapid.IntRange(1, len(thick)).Draw(rt, "gaps"))
		for i := range gaps {
			gaps[i] = hundredths(rt, "gap", 30, 230)
		}
		choice, worst := washerEach(gaps, 0.05, 0.15, thick)
		taken := map[int]bool{}
		for g, c := range choice {
			if taken[c] {
				rt.Fatalf("washer %d is used twice", c+1)
			}
			taken[c] = true
			if math.Abs(gaps[g]-thick[c]-0.1) > worst+1e-9 {
				rt.Fatalf("gap %d is farther off than the worst", g+1)
			}
		}
		best := math.Inf(1)
		var walk func(g int, used map[int]bool, w float64)
		walk = func(g int, used map[int]bool, w float64) {
			if g == len(gaps) {
				best = min(best, w)
				return
			}
			for c := range thick {
				if !used[c] {
					used[c] = true
					walk(g+1, used, max(w, math.Abs(gaps[g]-thick[c]-0.1)))
					used[c] = false
				}
			}
		}
		walk(0, map[int]bool{}, 0)
		if math.Abs(best-worst) > 1e-8 {
			rt.Fatalf("worst %v, all permutations find %v", worst, best)
		}
	})
}

// At an exact limit: 1.55 − 1.50 is 0.05 and inside 0.05 to 0.10, whatever the
// binary sums say.
func TestWasherLimitBelongsToIt(t *testing.T) {
	a := ask(t, "washer_set", "thicknesses", "1.50 mm", "gap", "1.55 mm", "play_min", "0.05 mm", "play_max", "0.10 mm")
	if a.word(t, "inside") != "yes" {
		t.Error("0.05 is not inside 0.05 to 0.10")
	}
	none := ask(t, "washer_set", "thicknesses", "1.0 1.1 mm", "gap", "1.55 mm", "play_min", "0.05 mm", "play_max", "0.10 mm")
	if none.word(t, "inside") != "no" {
		t.Error("no set fits, yet it says inside")
	}
}

func BenchmarkWasherSetOfTwenty(b *testing.B) {
	thick := make([]float64, MaxWashers)
	for i := range thick {
		thick[i] = 1 + float64(i)*0.013
	}
	for b.Loop() {
		washerSet(7.77, 0.05, 0.1, thick, MaxWashers)
	}
}
