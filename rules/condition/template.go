package condition

import (
	"strings"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// ParseTemplate reads a text with {expressions} in it; {{ and }} are braces.
// An expression may be a part, a choice, a number, yes/no or text. All
// problems are told at once; the template is nil if there is any.
func ParseTemplate(n *written.Node, scope *Scope) (*Template, source.Problems) {
	t := &Template{Text: n.Text, Node: n}
	var ps source.Problems
	quiet := false
	var words strings.Builder
	flush := func() {
		if words.Len() > 0 {
			t.Pieces = append(t.Pieces, Piece{Words: words.String()})
			words.Reset()
		}
	}
	if !strings.ContainsAny(n.Text, "{}") {
		words.WriteString(n.Text)
		flush()
		return t, nil
	}
	r := []rune(n.Text)
	for i := 0; i < len(r) && len(ps) < mostTold; i++ {
		switch {
		case r[i] != '{' && r[i] != '}':
			words.WriteRune(r[i])
		case i+1 < len(r) && r[i+1] == r[i]:
			words.WriteRune(r[i])
			i++
		case r[i] == '}':
			ps.Addf(TextBraces, n.TextSpan(i, i+1), "this } closes nothing").Hint("for a brace in the text write }}")
		default:
			end := closing(r, i+1)
			if end < 0 {
				ps.Addf(TextBraces, n.TextSpan(i, i+1), "this { is never closed").Hint("for a brace in the text write {{")
				i = len(r)
				break
			}
			flush()
			c := checker{node: n, text: string(r[i+1 : end]), off: i + 1, scope: scope}
			e := c.parse(wantShown, nil)
			quiet = quiet || c.quiet
			if len(c.ps) > 0 {
				ps.Add(c.told()...)
			} else if e != nil {
				t.Pieces = append(t.Pieces, Piece{Expr: e})
				t.Deps = dependencies(t.Deps, e)
			}
			i = end
		}
	}
	flush()
	if len(ps) > 0 || quiet {
		return nil, ps
	}
	return t, nil
}

// closing finds the brace that ends an expression from rune i on, quoted
// words passed over; -1 if there is none.
func closing(r []rune, i int) int {
	quote := rune(0)
	for ; i < len(r); i++ {
		switch {
		case quote != 0:
			if r[i] == quote {
				quote = 0
			}
		case r[i] == '\'' || r[i] == '"':
			quote = r[i]
		case r[i] == '}':
			return i
		}
	}
	return -1
}
