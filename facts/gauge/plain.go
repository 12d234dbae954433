package gauge

import (
	"strings"

	"whyworn/facts/measure"
)

// plainReadings reads the commonest readings without splitting them into runes
// first: plain numbers in the unit of the instrument, one a spot, parted by
// blanks and '/', as many as the layout wants. False for all others, faulty ones
// among them.
func plainReadings(text string, layout Layout, unit *measure.Unit, set *Set) (Readings, bool) {
	if len(text) > maxReadingRunes {
		return Readings{}, false
	}
	out := Readings{Layout: layout, Set: set, Unit: unit, Text: strings.TrimSpace(text), Rows: 1}
	want := layout.Rows * len(layout.Angles)
	if want == 0 {
		want = 1 + len(out.Text)/6 // a guess at the room
	}
	out.Spots = make([]Spot, 0, min(want, maxSpots))
	row := 0 // the spots before this row
	for i := 0; i <= len(text); {
		if i == len(text) || text[i] == '/' {
			switch n := len(out.Spots) - row; {
			case n == 0, out.Rows > 1 && n != out.Cols:
				return Readings{}, false
			default:
				out.Cols, row = n, len(out.Spots)
			}
			if i < len(text) {
				out.Rows++
			}
			i++
			continue
		}
		if text[i] == ' ' {
			i++
			continue
		}
		end := i + 1
		for end < len(text) && text[end] != ' ' && text[end] != '/' {
			end++
		}
		x, decimals, ok := plainReading(text[i:end], unit, set)
		if !ok || len(out.Spots) == maxSpots {
			return Readings{}, false
		}
		out.Spots = append(out.Spots, Spot{Value: x, Repeats: 1})
		out.Decimals = max(out.Decimals, decimals)
		i = end
	}
	if layout.Rows > 0 && out.Rows != layout.Rows || len(layout.Angles) > 0 && out.Cols != len(layout.Angles) {
		return Readings{}, false
	}
	return out, true
}

// plainReading reads one number, and gives up where it would be refused.
func plainReading(text string, unit *measure.Unit, set *Set) (x float64, decimals int, ok bool) {
	x, decimals, ok = measure.ParsePlain(text, unit)
	signed := text[0] == '+' || text[0] == '-'
	switch {
	case !ok:
	case set == nil:
		ok = !signed && x > 0
	default:
		ok = (signed || x == 0) && set.Size.Lo+x > 0
	}
	return x, decimals, ok
}
