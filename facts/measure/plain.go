package measure

import (
	"math"
	"math/big"
)

// The commonest numbers by far are a plain decimal, alone or with a unit by
// its symbol. They are read without exact arithmetic and without memory of their
// own, where it gives the same: a quotient of two whole numbers that float64
// holds exactly is rounded once, just as the exact one is.

// exactWhole is the greatest power of ten up to which no whole number is lost.
const exactWhole = 1e15

// wholes are a unit's factor and offset as quotients of whole numbers up to
// exactWhole; div 0 if they are none.
type wholes struct{ mul, div, offset, offsetDiv float64 }

func (u *Unit) inWholes() wholes {
	var all [4]float64
	for i, x := range [4]*big.Int{u.factor.Num(), u.factor.Denom(), u.offset.Num(), u.offset.Denom()} {
		if all[i] = float64(x.Int64()); !x.IsInt64() || math.Abs(all[i]) > exactWhole {
			return wholes{}
		}
	}
	return wholes{all[0], all[1], all[2], all[3]}
}

// ParsePlain reads a plain decimal without a unit, "14.920" or "-3", as one in
// unit: its value in base units and its digits after the point. False for any
// other, and where [ParseNumber] has to take more care.
func ParsePlain(text string, unit *Unit) (x float64, decimals int, ok bool) {
	whole, scale, decimals, end := plainDecimal(text)
	if end == 0 || end < len(text) {
		return 0, 0, false
	}
	x, ok = unit.exactly(whole, scale)
	return x, decimals, ok
}

// plainNumber reads a plain decimal with its unit; false for any other.
func plainNumber(text string, want *Unit, bare bool) (Written, bool) {
	whole, scale, decimals, end := plainDecimal(text)
	if end == 0 {
		return Written{}, false
	}
	unit, ok := plainUnit(text[end:], want, bare)
	if !ok {
		return Written{}, false
	}
	x, ok := unit.exactly(whole, scale)
	return Written{Number: Exact(x), Text: text, Decimals: decimals, Unit: unit}, ok
}

// plainDecimal reads the decimal whole/scale at the start of a text, up to end;
// end 0 if there is none, or one of more than 16 characters.
func plainDecimal(text string) (whole, scale float64, decimals, end int) {
	start := 0
	if len(text) > 0 && (text[0] == '-' || text[0] == '+') {
		start = 1
	}
	point := -1
	scale = 1
	for end = start; end < len(text); end++ {
		if c := text[end]; c >= '0' && c <= '9' {
			whole = whole*10 + float64(c-'0')
			if point >= 0 {
				scale *= 10
			}
		} else if c == '.' && point < 0 {
			point = end
		} else {
			break
		}
	}
	if end == start || end-start > 16 || point == start || point == end-1 {
		return 0, 0, 0, 0
	}
	if point >= 0 {
		decimals = end - point - 1
	}
	if text[0] == '-' && whole != 0 {
		whole = -whole
	}
	return whole, scale, decimals, end
}

// plainUnit finds the unit of what follows a plain number: nothing, or a blank
// and a unit.
func plainUnit(rest string, want *Unit, bare bool) (*Unit, bool) {
	if rest == "" {
		if want == nil || !bare && want.Dim.IsZero() {
			return units["1"], true
		}
		return want, bare
	}
	symbol := rest[1:]
	if rest[0] != ' ' || symbol == "" || symbol[0] >= '0' && symbol[0] <= '9' {
		return nil, false
	}
	if want != nil && want.Symbol == symbol {
		return want, true
	}
	unit, ok := units[symbol]
	return unit, ok && (want == nil || unit.Dim == want.Dim && (want.Point || !unit.Point))
}

// exactly is (whole/scale + offset) × factor rounded once; false where a whole
// number on the way is too great.
func (u *Unit) exactly(whole, scale float64) (float64, bool) {
	w := &u.whole
	if w.div == 0 || math.Abs(whole) > exactWhole {
		return 0, false
	}
	if w.offset != 0 {
		a, b := whole*w.offsetDiv, w.offset*scale
		scale *= w.offsetDiv
		if math.Abs(a) > exactWhole || math.Abs(b) > exactWhole {
			return 0, false
		}
		whole = a + b
	}
	whole, scale = whole*w.mul, scale*w.div
	if math.Abs(whole) > exactWhole || scale > exactWhole {
		return 0, false
	}
	return whole / scale, true
}
