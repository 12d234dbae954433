package draw

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// face is a type size in points with its weight and slope.
type face struct {
	size         float64
	bold, italic bool
}

func (f face) leading() float64 { return f.size * 1.25 }

// widthSafety covers faces a little wider than the table's and runs that are kerned apart.
const widthSafety = 1.03

// width estimates how wide s is set, in points: for the runes of widthRuns never
// less than DejaVu Sans needs, and for ASCII not less than Helvetica. Other runes
// are taken as wide ones.
func (f face) width(s string) float64 {
	n := 0
	for _, r := range s {
		n += runeWidth(r, f.bold)
	}
	return float64(n) / 1000 * f.size * widthSafety
}

// runeWidth is in thousandths of the type size.
func runeWidth(r rune, bold bool) int {
	for i := range widthRuns {
		w := &widthRuns[i]
		if k := int(r - w.first); k >= 0 && k < len(w.regular) {
			v := w.regular[k]
			if bold {
				v = w.bold[k]
			}
			switch {
			case v == 0:
				return 1050
			case r == 'J' || r == '?' || r == '_':
				return max(int(v), 600)
			case r >= 'A' && r <= 'Z' && !bold:
				// Some capitals of Helvetica and its like are wider than DejaVu's.
				return int(v) + 50
			}
			return int(v)
		}
	}
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1100:
		return 1400 // emoji are often wider than an em
	}
	return 1050
}

// clean makes text from strangers fit to be shown: one line, no control codes, no
// marks that reorder or hide text (Unicode Standard Annex 9, bidirectional
// formatting characters). What is taken out leaves U+FFFD, so that it is seen.
// Right-to-left scripts themselves, emoji and their joiners stay. It is idempotent.
func clean(s string) string {
	var b strings.Builder
	space, marks := false, 0
	for _, r := range s { // a byte that is not UTF-8 comes as U+FFFD
		switch {
		case r == '\t' || r == '\n' || r == '\r' || r == 0x85 || unicode.IsSpace(r) && r != 0xa0:
			space = b.Len() > 0
			continue
		case hidden(r):
			r = utf8.RuneError
		}
		if unicode.In(r, unicode.Mn, unicode.Me) || r == 0x200c || r == 0x200d {
			// A tower of marks would run over its neighbours.
			if marks++; marks > 3 {
				continue
			}
		} else {
			marks = 0
		}
		if space {
			b.WriteByte(' ')
			space = false
		}
		b.WriteRune(r)
	}
	return b.String()
}

// hidden reports runes that XML forbids, that reorder text, or that show nothing.
func hidden(r rune) bool {
	switch {
	case r < 0x20 || r >= 0x7f && r < 0xa0:
		return true
	case r == 0xad || r == 0x061c || r == 0x200b || r == 0x200e || r == 0x200f || r == 0xfeff:
		return true
	case r >= 0x202a && r <= 0x202e || r >= 0x2060 && r <= 0x206f:
		return true
	case r >= 0xfff0 && r <= 0xfffb || r&0xfffe == 0xfffe || r >= 0xfdd0 && r <= 0xfdef:
		return true
	case r >= 0xe000 && r <= 0xf8ff || r >= 0xe0000:
		return true
	}
	return false
}

// cut keeps at most n characters, the last one an ellipsis if any were dropped.
func cut(s string, n int) string {
	k := 0
	for i := range s {
		if k++; k == n {
			if utf8.RuneCountInString(s[i:]) > 1 {
				return s[:i] + "…"
			}
			break
		}
	}
	return s
}

// shorten drops the end of s until it is no wider than width, and says so by an ellipsis.
func (f face) shorten(s string, width float64) string {
	// No line holds more characters than this; it spares measuring a whole book.
	s2 := s
	if len(s2) > 4096 {
		s2 = cut(s2, 2000)
	}
	if f.width(s2) <= width && s2 == s {
		return s
	}
	limit := width - f.width("…")
	w, end := 0.0, 0
	for i, r := range s2 {
		w += float64(runeWidth(r, f.bold)) / 1000 * f.size * widthSafety
		if w > limit {
			break
		}
		end = i + utf8.RuneLen(r)
	}
	return strings.TrimRight(s2[:end], " ") + "…"
}

// wrapped is text broken into lines.
type wrapped struct {
	lines []string
	// full is the whole text if it did not fit, else empty.
	full string
	// torn says that a word was broken for want of room.
	torn bool
}

// wrap breaks s into most lines at the most of the given width. Words that are too long
// are broken; what does not fit is left out with an ellipsis.
func (f face) wrap(s string, width float64, most int) wrapped {
	s = clean(s)
	var out wrapped
	if s == "" {
		return out
	}
	rest := s
	for rest != "" {
		last := len(out.lines) == most-1
		if last {
			l := f.shorten(rest, width)
			if l != rest {
				out.full = cut(s, maxText)
			}
			out.lines = append(out.lines, l)
			break
		}
		end := f.breakAt(rest, width)
		if end < len(rest) && !strings.ContainsAny(rest[end-1:end+1], " -/_") {
			out.torn = true
		}
		out.lines = append(out.lines, strings.TrimRight(rest[:end], " "))
		rest = strings.TrimLeft(rest[end:], " ")
	}
	return out
}

// breakAt returns how many bytes of s go on one line: up to the last space, hyphen
// or slash that fits, else as much as fits, at least one character.
func (f face) breakAt(s string, width float64) int {
	w, fit, good := 0.0, 0, 0
	for i, r := range s {
		w += float64(runeWidth(r, f.bold)) / 1000 * f.size * widthSafety
		n := i + utf8.RuneLen(r)
		if w > width && i > 0 {
			if r == ' ' {
				return i
			}
			if good > 0 {
				return good
			}
			return fit
		}
		fit = n
		if r == ' ' || (r == '-' || r == '/' || r == '_') && n < len(s) && i > 3 {
			good = n
		}
	}
	return len(s)
}
