package explain

import (
	"fmt"
	"math"

	"whyworn/facts/measure"
)

func count(p float64, of int) string {
	return fmt.Sprintf("%d in %d", int(math.Round(p*float64(of))), of)
}

// threeFigures is how many decimals show a worked-out number to three
// significant figures: no formula or table here is good for more.
func threeFigures(n measure.Number, unit *measure.Unit) int {
	x := 0.0
	for _, end := range []float64{n.Lo, n.Hi} {
		if !math.IsInf(end, 0) {
			if unit != nil {
				end = unit.FromBase(end)
			}
			x = max(x, math.Abs(end))
		}
	}
	if x == 0 {
		return 0
	}
	return max(0, 2-int(math.Floor(math.Log10(x))))
}
