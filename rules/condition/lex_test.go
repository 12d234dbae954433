package condition

import (
	"testing"

	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser/lexer"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// The quick cutter gives expr's own tokens or steps aside.
func TestPlainTokensAreThoseOfExpr(t *testing.T) {
	pieces := []string{
		"seat", "b", "B", "_x", "x1", "not", "in", "and", "or", "let", "if", "else", "matches", "true", ".", "..", " ", "  ", "\t", "\n", "\r", "0", "12", "0.5", "1.", ".5", "1..2", "0x1", "1e3", "1_0",
		"'a'", `"a"`, "''", "'a", "`a`", "'\\'", "(", ")", "[", "]", "{", "}", ",", "+", "-", "*", "/", "**", "//", "/*", "<", "<=", ">", ">=", "=", "==", "!=", "!", "#", "##", "&", "&&", "|", "?", "?.", ":", ";", "%", "^", "$", "@", "é", "=*", "<&",
	}
	plain := 0
	rapid.Check(t, func(t *rapid.T) {
		for range 50 {
			text := ""
			for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(pieces)-1), 0, 6).Draw(t, "pieces") {
				text += pieces[i]
			}
			c := checker{text: text}
			if !c.lexPlain() {
				continue
			}
			plain++
			want, err := lexer.Lex(file.NewSource(text))
			if err != nil {
				t.Fatalf("%q: expr refuses it (%v), we cut %v", text, err, c.toks)
			}
			want = want[:len(want)-1] // the end
			if d := cmp.Diff(append([]lexer.Token{}, want...), append([]lexer.Token{}, c.toks...)); d != "" {
				t.Fatalf("%q: %s", text, d)
			}
		}
	})
	if plain < 1000 {
		t.Errorf("only %d plain texts", plain)
	}
}
