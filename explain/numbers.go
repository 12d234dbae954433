package explain

import (
	"fmt"
	"math"
)

func count(p float64, of int) string {
	return fmt.Sprintf("%d in %d", int(math.Round(p*float64(of))), of)
}
