package measure

import "strings"

// The commonest numbers by far are a plain decimal, alone or with the unit that
// is wanted. They are read without exact arithmetic, at a tenth of the cost,
// where it would give the same: a quotient of two whole numbers that float64
// holds exactly is rounded once, just as the exact one is.

// exactWhole is the greatest power of ten up to which no whole number is lost.
const exactWhole = 1e15

// plainNumber reads such a number; false for any other.
func plainNumber(text string, want *Unit, bare bool) (Written, bool) {
	if want == nil || want.div == 0 {
		return Written{}, false
	}
	number, symbol, given := strings.Cut(text, " ")
	if given && (symbol != want.Symbol || symbol == "1") || !given && !bare {
		return Written{}, false
	}
	digits := strings.TrimLeft(number, "+-")
	if len(number)-len(digits) > 1 || len(digits) == 0 || len(digits) > 16 {
		return Written{}, false
	}
	whole, scale, decimals, pointed := 0.0, 1.0, 0, false
	for i := range len(digits) {
		c := digits[i]
		switch {
		case c >= '0' && c <= '9':
			whole = whole*10 + float64(c-'0')
			if pointed {
				scale *= 10
				decimals++
			}
		case c == '.' && !pointed && i > 0 && i+1 < len(digits):
			pointed = true
		default:
			return Written{}, false
		}
	}
	whole, scale = whole*want.mul, scale*want.div
	if whole > exactWhole || scale > exactWhole {
		return Written{}, false
	}
	x := whole / scale
	if number[0] == '-' && x != 0 {
		x = -x
	}
	return Written{Number: Exact(x), Text: text, Decimals: decimals, Unit: want}, true
}
