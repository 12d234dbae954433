package measure

import (
	"math"
	"strconv"
	"strings"
)

// Shortest asks Format for as many decimals as the value needs, at most to nine
// significant digits.
const Shortest = -1

// Format writes n in the unit with that many decimals: "1.42 mm",
// "1.41 to 1.43 mm", "over 5 h", "at most 0.10 mm". Never an exponent, never a
// negative zero. A number that can be anything is "any value". unit nil is the
// plain number.
func Format(n Number, unit *Unit, decimals int) string {
	lo, hi := math.IsInf(n.Lo, -1), math.IsInf(n.Hi, 1)
	switch {
	case math.IsNaN(n.Lo) || math.IsNaN(n.Hi):
		return "no number"
	case lo && hi:
		return "any value"
	case hi && n.LoOpen:
		return "over " + FormatValue(n.Lo, unit, decimals)
	case hi:
		return "at least " + FormatValue(n.Lo, unit, decimals)
	case lo && n.HiOpen:
		return "under " + FormatValue(n.Hi, unit, decimals)
	case lo:
		return "at most " + FormatValue(n.Hi, unit, decimals)
	case n.Lo == n.Hi:
		return FormatValue(n.Lo, unit, decimals)
	}
	from, to := formatBare(n.Lo, unit, decimals), FormatValue(n.Hi, unit, decimals)
	if n.LoOpen {
		from = "over " + from
	}
	if n.HiOpen {
		to = "under " + to
	}
	return from + " to " + to
}

// FormatValue writes one base value in the unit: "14.920 mm", "90°", "12 %".
func FormatValue(x float64, unit *Unit, decimals int) string {
	return formatBare(x, unit, decimals) + suffix(unit)
}

// FormatDifference writes a difference or an uncertainty: °C and °F lose their
// zero point.
func FormatDifference(x float64, unit *Unit, decimals int) string {
	if unit != nil && unit.Point {
		return plain(unit.DifferenceFromBase(x), decimals) + suffix(unit)
	}
	return FormatValue(x, unit, decimals)
}

func suffix(unit *Unit) string {
	switch {
	case unit == nil || unit.Symbol == "1":
		return ""
	case unit.Symbol == "°":
		return "°"
	}
	return " " + unit.Symbol
}

func formatBare(x float64, unit *Unit, decimals int) string {
	if unit != nil {
		x = unit.FromBase(x)
	}
	return plain(x, decimals)
}

// plain rounds as the decimal that was meant: 2.675 at two decimals is 2.68
// though its float64 lies just below.
func plain(x float64, decimals int) string {
	switch {
	case math.IsNaN(x):
		return "no number"
	case math.IsInf(x, 1):
		return "unbounded"
	case math.IsInf(x, -1):
		return "-unbounded"
	}
	var s string
	if decimals < 0 {
		short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 8, 64), 64)
		s = strconv.FormatFloat(short, 'f', -1, 64)
	} else {
		s = strconv.FormatFloat(x+x*4e-16, 'f', min(decimals, 30), 64)
	}
	if strings.HasPrefix(s, "-") && !strings.ContainsAny(s, "123456789") {
		return s[1:]
	}
	return s
}
