package written

import (
	"strconv"
	"strings"
)

// Int returns the value of an Integer; false when n is none or it does not fit.
// TOML's underscores and the prefixes 0x, 0o and 0b are read.
func (n *Node) Int() (int, bool) {
	if n == nil || n.Kind != Integer {
		return 0, false
	}
	text, base := strings.ReplaceAll(n.Text, "_", ""), 10
	if len(text) > 2 && text[0] == '0' {
		switch text[1] {
		case 'x':
			text, base = text[2:], 16
		case 'o':
			text, base = text[2:], 8
		case 'b':
			text, base = text[2:], 2
		}
	}
	v, err := strconv.ParseInt(text, base, strconv.IntSize)
	return int(v), err == nil
}

// Float returns the value of an Integer or Float as the nearest float64, which
// may be an infinity or NaN as TOML allows them; false when n is no number or
// is past the range of a float64.
func (n *Node) Float() (float64, bool) {
	switch {
	case n == nil:
		return 0, false
	case n.Kind == Integer:
		v, ok := n.Int()
		return float64(v), ok
	case n.Kind == Float:
		text := strings.ReplaceAll(n.Text, "_", "")
		if strings.HasSuffix(text, "nan") {
			text = "nan" // the sign TOML allows means nothing
		}
		v, err := strconv.ParseFloat(text, 64)
		return v, err == nil
	}
	return 0, false
}
