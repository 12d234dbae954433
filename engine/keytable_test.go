package engine

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Whether keys lie close or far apart, each finds its parts, in order.
func TestKeyTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spread := rapid.SampledFrom([]int64{1, 3, 1 << 20, 1 << 40}).Draw(t, "spread")
		want := map[int64][]int32{}
		var table keyTable
		for i, k := range rapid.SliceOfN(rapid.Int64Range(-40, 40), 0, 60).Draw(t, "keys") {
			table.keys = append(table.keys, keyed{k * spread, int32(i)})
			want[k*spread] = append(want[k*spread], int32(i))
		}
		for range 2 { // a table is made again in the same memory
			again := slices.Clone(table.keys)
			table.arrange()
			for k := int64(-45); k <= 45; k++ {
				if got := table.find(k * spread); !slices.Equal(got, want[k*spread]) {
					t.Fatalf("key %d: %v, want %v", k*spread, got, want[k*spread])
				}
				if got := table.find(k*spread + spread/2 + 1); spread > 2 && len(got) > 0 {
					t.Fatalf("a key that is not there finds %v", got)
				}
			}
			table.keys = again
		}
	})
}

// A number's key is its own and no other's.
func TestNumberKey(t *testing.T) {
	seen := map[int64]float64{}
	for _, x := range []float64{0, 1, -1, 0.5, 0.25, 1 << 53, -(1 << 53), 1e300, -1e300, 3.5, 1e18} {
		if y, twice := seen[numberKey(x)]; twice {
			t.Errorf("%g and %g have one key", x, y)
		}
		seen[numberKey(x)] = x
	}
	var zero float64
	if numberKey(0) != numberKey(-zero) {
		t.Error("0 and -0 differ")
	}
}
