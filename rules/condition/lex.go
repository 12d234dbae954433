package condition

import (
	"io"
	"strings"
	"unicode/utf8"

	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser/lexer"
)

// lex cuts the text into tokens; false if that fails, which is then told. The
// parser lexes once more: it gives no ranges and hides the decimal texts.
func (c *checker) lex() bool {
	c.ascii = utf8.RuneCountInString(c.text) == len(c.text)
	c.toks = make([]lexer.Token, 0, 8+len(c.text)/4)
	if c.ascii && c.lexPlain() {
		return true
	}
	c.toks = c.toks[:0]
	l := lexer.New()
	l.Reset(file.NewSource(c.text))
	for {
		t, err := l.Next()
		if err == io.EOF {
			return true
		}
		if err != nil {
			c.lexError(err)
			return false
		}
		if t.Kind != lexer.EOF {
			c.toks = append(c.toks, t)
		}
	}
}

func letter(b byte) bool { return b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b == '_' }
func digit(b byte) bool  { return b >= '0' && b <= '9' }

// lexPlain does for plain texts what expr's lexer does, at a tenth of the cost:
// a quarter of the time of reading a pack went there. False for any text with
// something unusual in it, which expr's lexer then cuts. A test holds the two
// to the same tokens.
func (c *checker) lexPlain() bool {
	s := c.text
	for i := 0; i < len(s); {
		b, next := s[i], byte(0)
		if i+1 < len(s) {
			next = s[i+1]
		}
		kind, end := lexer.Operator, i+1
		switch {
		case b == ' ' || b == '\t' || b == '\n' || b == '\r':
			i++
			continue
		case letter(b):
			if (b == 'b' || b == 'B') && (next == '\'' || next == '"') {
				return false
			}
			for end < len(s) && (letter(s[end]) || digit(s[end])) {
				end++
			}
			if end < len(s) && s[end] == '$' {
				return false
			}
			kind = wordKind(s[i:end])
		case digit(b):
			kind = lexer.Number
			for end < len(s) && digit(s[end]) {
				end++
			}
			if end < len(s) && s[end] == '.' {
				end++
				for end < len(s) && digit(s[end]) {
					end++
				}
			}
			if end < len(s) && (letter(s[end]) || s[end] == '$' || s[end] == '.') {
				return false
			}
		case b == '\'' || b == '"':
			n := strings.IndexByte(s[i+1:], b)
			if n < 0 || strings.ContainsAny(s[i+1:i+1+n], "\\\r\n") {
				return false
			}
			end = i + n + 2
			c.toks = append(c.toks, lexer.Token{Location: file.Location{From: i, To: end}, Kind: lexer.String, Value: s[i+1 : end-1]})
			i = end
			continue
		case strings.IndexByte("()[]{}", b) >= 0:
			kind = lexer.Bracket
		case b == ',' || b == '+' || b == '-':
		case b == '.':
			if digit(next) || next == '.' {
				return false
			}
		case b == '#':
			if next == '#' || next == '$' || letter(next) || digit(next) {
				return false
			}
		case b == '*' || b == '/':
			if next == '*' || next == '/' || next == '=' || next == '&' {
				return false
			}
		case b == '<' || b == '>' || b == '=' || b == '!':
			switch {
			case next == '=':
				end++
			case next == '&' || next == '*' || b == '=' || b == '!':
				return false
			}
		default:
			return false
		}
		c.toks = append(c.toks, lexer.Token{Location: file.Location{From: i, To: end}, Kind: kind, Value: s[i:end]})
		i = end
	}
	return true
}

func wordKind(word string) lexer.Kind {
	switch word {
	case "not", "in", "or", "and", "matches", "contains", "startsWith", "endsWith", "let", "if", "else":
		return lexer.Operator
	}
	return lexer.Identifier
}
