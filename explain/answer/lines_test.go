package answer

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Numbers of a batch line are written as tidy and encoding/json would have them.
func TestTidyNumbersAreWrittenAsTheirShortest(t *testing.T) {
	for i, x := range tens {
		if x != math.Pow(10, float64(i)) {
			t.Errorf("10^%d is %v", i, x)
		}
	}
	for _, x := range []float64{0, math.Copysign(0, -1), 1e-6, 9.9999999999999e-7, 5e-7, -2.5e-7, 1e-5, 999999999999.9, 1e12, 1e13, 1e15, 0.1 + 0.2, 1e-300, 1e300,
		math.MaxFloat64, math.Inf(1), math.NaN()} {
		checkTidy(t, x)
	}
	rapid.Check(t, func(t *rapid.T) {
		checkTidy(t, rapid.OneOf(rapid.Float64Range(-1e3, 1e3), rapid.Float64Range(-1e-4, 1e-4), rapid.Float64(),
			rapid.Map(rapid.IntRange(-100000, 100000), func(n int) float64 { return float64(n) / 1000 })).Draw(t, "x"))
	})
}

func checkTidy(t rapid.TB, x float64) {
	v := tidy(x)
	got, ok := appendTidy([]byte("x"), x)
	if ok != !(math.IsInf(v, 0) || math.IsNaN(v)) {
		t.Fatalf("%v, tidy %v: written %v", x, v, ok)
	}
	if want := string(appendFloat([]byte("x"), "", &v)); ok && string(got) != want {
		t.Fatalf("%v is written %s, want %s", x, got, want)
	}
}
