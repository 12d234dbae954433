package measure

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The short way gives what the exact way gives, to the last bit.
func TestPlainNumbersAreReadAsExactly(t *testing.T) {
	symbols := []string{"mm", "µm", "um", "m", "inch", "N·m", "N*m", "°", "deg", "°C", "K", "h", "d", "min", "bar", "1", "%", "mPa·s", "mm/h", "rpm", "thou", "psi", "°F", "1/min", "N/mm²", ""}
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		var want *Unit // any
		if symbol := rapid.SampledFrom(symbols).Draw(t, "unit"); symbol != "" {
			var err error
			if want, err = UnitOf(symbol); err != nil {
				t.Skip()
			}
		}
		text := rapid.StringMatching(`[+-]?[0-9]{0,5}[.]?[0-9]{0,13}`).Draw(t, "number")
		switch rapid.IntRange(0, 3).Draw(t, "with") {
		case 0:
			if want != nil {
				text += " " + want.Symbol
			}
		case 1:
			text += " " + rapid.SampledFrom(symbols).Draw(t, "other unit")
		}
		bare := rapid.Bool().Draw(t, "bare")
		short, ok := plainNumber(text, want, bare)
		if !ok {
			return
		}
		seen++
		long, err := parseNumber(text, want, bare)
		if err != nil {
			t.Fatalf("%q in %v: read as %v, the exact way says %v", text, want, short.Number, err)
		}
		if math.Float64bits(short.Number.Lo) != math.Float64bits(long.Number.Lo) || math.Float64bits(short.Number.Hi) != math.Float64bits(long.Number.Hi) ||
			short.Decimals != long.Decimals || short.Unit != long.Unit || short.Text != long.Text {
			t.Fatalf("%q in %v: %+v, exactly %+v", text, want, short, long)
		}
	})
	if seen == 0 {
		t.Error("no number was plain")
	}
}
