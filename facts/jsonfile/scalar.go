package jsonfile

import (
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"whyworn/facts/written"
)

// number reads a number by the grammar of RFC 8259, section 6.
func (s *scanner) number() *written.Node {
	start := s.pos
	if s.peek() == '-' {
		s.pos++
	}
	kind := written.Integer
	whole := s.digits()
	switch {
	case whole == 0:
		s.expected("a digit")
		return nil
	case whole > 1 && s.text[s.pos-whole] == '0':
		s.fail(start, s.pos-start, "a number does not begin with 0").Hint("delete the leading zeros")
		return nil
	}
	if s.peek() == '.' {
		s.pos++
		kind = written.Float
		if s.digits() == 0 {
			s.expected("a digit after the point")
			return nil
		}
	}
	if s.peek()|0x20 == 'e' {
		s.pos++
		kind = written.Float
		if c := s.peek(); c == '+' || c == '-' {
			s.pos++
		}
		if s.digits() == 0 {
			s.expected("a digit of the exponent")
			return nil
		}
	}
	n := s.node(kind, start)
	n.Text = s.text[start:s.pos]
	return n
}

// decimalComma reports a whole number followed by a comma and digits where a key
// should come, and tells whether it did.
func (s *scanner) decimalComma(whole *written.Node) bool {
	if s.text[s.pos-2] < '0' || s.digits() == 0 { // a space before the comma: another slip
		return false
	}
	s.failed = true
	at := s.file.At(whole.At.Start, s.pos)
	s.problems.Addf(written.CommaInNumber, at, "a number is written with a point, not a comma").
		Hint("write %s", strings.Replace(string(at.Text()), ",", ".", 1))
	return true
}

func (s *scanner) digits() int {
	start := s.pos
	for s.pos < len(s.text) && s.text[s.pos] >= '0' && s.text[s.pos] <= '9' {
		s.pos++
	}
	return s.pos - start
}

// str reads the string at pos and returns its decoded text: a piece of the
// file's text unless there are escapes.
func (s *scanner) str() string {
	open := s.pos
	s.pos++
	for i := s.pos; i < len(s.text); i++ {
		switch c := s.text[i]; {
		case c == '"':
			text := s.text[s.pos:i]
			s.pos = i + 1
			return text
		case c == '\\':
			return s.escaped(open)
		case c < ' ':
			s.control(i)
			return ""
		}
	}
	s.unclosed(open)
	return ""
}

func (s *scanner) unclosed(open int) {
	s.fail(open, 1, "the text that begins here has no closing quote")
}

func (s *scanner) control(i int) {
	if s.text[i] == '\n' || s.text[i] == '\r' {
		s.fail(i, 1, "a line ends inside a text").Hint(`close the quote, or write \n for a line break`)
		return
	}
	s.fail(i, 1, "a control code inside a text").Hint(`write \t for a tab`)
}

// escaped reads on in a string with escapes (RFC 8259, section 7).
func (s *scanner) escaped(open int) string {
	var b strings.Builder
	for s.pos < len(s.text) {
		rest := s.text[s.pos:]
		n := strings.IndexFunc(rest, func(r rune) bool { return r == '"' || r == '\\' || r < ' ' })
		if n < 0 {
			break
		}
		b.WriteString(rest[:n])
		s.pos += n
		switch s.text[s.pos] {
		case '"':
			s.pos++
			return b.String()
		case '\\':
			r := s.escape()
			if s.failed {
				return ""
			}
			b.WriteRune(r)
		default:
			s.control(s.pos)
			return ""
		}
	}
	s.unclosed(open)
	return ""
}

// escape reads the escape at pos.
func (s *scanner) escape() rune {
	at := s.pos
	s.pos++
	c := s.peek()
	s.pos++
	if i := strings.IndexByte(`"\/bfnrt`, c); i >= 0 {
		return rune("\"\\/\b\f\n\r\t"[i])
	}
	if c != 'u' {
		s.fail(at, min(2, len(s.text)-at), "there is no such escape").Hint(`write \\ for a backslash`)
		return 0
	}
	r := s.hex4(at)
	if s.failed || !utf16.IsSurrogate(r) {
		return r
	}
	if strings.HasPrefix(s.text[s.pos:], `\u`) {
		s.pos += 2
		second := s.hex4(s.pos - 2)
		if s.failed {
			return 0
		}
		if whole := utf16.DecodeRune(r, second); whole != utf8.RuneError {
			return whole
		}
	}
	s.fail(at, 6, "half of a surrogate pair").Hint("write the character itself")
	return 0
}

func (s *scanner) hex4(at int) rune {
	var r rune
	for range 4 {
		c := s.peek()
		switch {
		case c >= '0' && c <= '9':
			r = r<<4 | rune(c-'0')
		case c|0x20 >= 'a' && c|0x20 <= 'f':
			r = r<<4 | rune(c|0x20-'a'+10)
		default:
			s.fail(at, s.pos-at, `four hexadecimal digits are needed after \u`)
			return 0
		}
		s.pos++
	}
	return r
}
