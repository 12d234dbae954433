package rules

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts/measure"
)

// TestPlainQuantity: the short way gives what the exact way gives, to the last
// place, or gives up.
func TestPlainQuantity(t *testing.T) {
	symbols := []string{"mm", "µm", "in", "h", "%", "°C", "K", "N·m", "bar", "1", "°", "d"}
	taken := 0
	rapid.Check(t, func(rt *rapid.T) {
		unit, err := measure.UnitOf(rapid.SampledFrom(symbols).Draw(rt, "unit"))
		if err != nil {
			rt.Fatal(err)
		}
		text := fmt.Sprint(rapid.Uint64Range(0, 1_000_000_000_000).Draw(rt, "whole"))
		if rapid.Bool().Draw(rt, "fraction") {
			text += "." + rapid.StringMatching(`[0-9]{0,6}`).Draw(rt, "digits")
		}
		text += rapid.SampledFrom([]string{" ", "  ", ""}).Draw(rt, "blank") + unit.Symbol
		x, ok := plainQuantity(text, unit)
		if !ok {
			return
		}
		taken++
		w, err := measure.ParseNumber(text, unit)
		if err != nil || w.Number.Lo != x || w.Number.Hi != x {
			rt.Fatalf("%q is %v, %v; the short way says %v", text, w.Number, err, x)
		}
	})
	if taken < 10 {
		t.Errorf("the short way was taken %d times", taken)
	}
}
