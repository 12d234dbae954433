package written

import (
	"unicode/utf8"

	"whyworn/facts/source"
)

// TextSpan returns where the runes from up to, not including, to of n.Text
// stand in the file. For a String it walks the escapes of the token; a place
// never leaves the quotes. The end of the text may be asked for: it is the
// closing quote.
func (n *Node) TextSpan(fromRune, toRune int) source.Span {
	raw := n.At.Text()
	if n.Kind != String || len(raw) < 2 || (raw[0] != '"' && raw[0] != '\'') {
		return n.At.Within(runeOffset(n.Text, fromRune), runeOffset(n.Text, toRune))
	}
	toRune = max(fromRune, toRune)
	w := newWalk(raw)
	for w.rune < fromRune && w.step() {
	}
	start, end := w.pos, w.pos
	for w.rune < toRune && w.step() {
		end = w.last
	}
	return n.At.Within(start, max(start, end))
}

func runeOffset(s string, n int) int {
	i := 0
	for ; n > 0 && i < len(s); n-- {
		_, w := utf8.DecodeRuneInString(s[i:])
		i += w
	}
	return i
}

// walk goes through the raw token of a string, rune by rune of what it decodes
// to: TOML 1.0 and 1.1 strings of all four kinds, and JSON strings.
type walk struct {
	raw       []byte
	escapes   bool // basic string: a backslash begins an escape
	multiline bool
	pos       int // of the next rune's first byte, folded line breaks skipped
	last      int // end of the rune passed last
	end       int // of the text: the closing quotes
	rune      int // runes passed
}

func newWalk(raw []byte) *walk {
	w := &walk{raw: raw, escapes: raw[0] == '"', pos: 1}
	if len(raw) >= 6 && raw[1] == raw[0] && raw[2] == raw[0] {
		w.multiline, w.pos = true, 3
	}
	w.end = len(raw) - w.pos
	if w.multiline { // a line break right after the quotes is not part of the text
		if w.at(w.pos) == '\r' && w.at(w.pos+1) == '\n' {
			w.pos += 2
		} else if w.at(w.pos) == '\n' {
			w.pos++
		}
	}
	w.fold()
	return w
}

func (w *walk) at(i int) byte {
	if i < w.end {
		return w.raw[i]
	}
	return 0
}

// fold skips a backslash at the end of a line and the white space after it.
func (w *walk) fold() {
	for w.multiline && w.escapes && w.at(w.pos) == '\\' {
		i := w.pos + 1
		for w.at(i) == ' ' || w.at(i) == '\t' {
			i++
		}
		if w.at(i) == '\r' {
			i++
		}
		if w.at(i) != '\n' {
			return
		}
		for w.at(i) == ' ' || w.at(i) == '\t' || w.at(i) == '\n' || w.at(i) == '\r' {
			i++
		}
		w.pos = i
	}
}

// step passes one rune; false at the end of the text.
func (w *walk) step() bool {
	if w.pos >= w.end {
		return false
	}
	size := 1
	if w.escapes && w.raw[w.pos] == '\\' {
		switch w.at(w.pos + 1) {
		case 'u':
			size = 6
			if w.surrogate(w.pos) && w.at(w.pos+6) == '\\' && w.at(w.pos+7) == 'u' {
				size = 12 // JSON writes one rune past U+FFFF as two escapes
			}
		case 'U':
			size = 10
		case 'x':
			size = 4
		default:
			size = 2
		}
	} else {
		_, size = utf8.DecodeRune(w.raw[w.pos:w.end])
	}
	w.pos = min(w.pos+size, w.end)
	w.last = w.pos
	w.rune++
	w.fold()
	return true
}

// surrogate tells whether the escape \uXXXX at i is the first half of a pair.
func (w *walk) surrogate(i int) bool {
	d, x := w.at(i+2)|0x20, w.at(i+3)|0x20
	return d == 'd' && (x == '8' || x == '9' || x == 'a' || x == 'b')
}
