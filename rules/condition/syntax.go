package condition

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser/lexer"
)

// signCures are signs that people write and the lexer does not know.
var signCures = map[rune]string{
	'≥': "write >=", '≤': "write <=", '≠': "write !=", '×': "write *", '·': "write units with *: N*m", '÷': "write /",
	'−': "write a plain -", '–': "write a plain -", '°': "write 90*deg for an angle, 80*degC for a temperature",
	'‘': "write a plain '", '’': "write a plain '", '“': "write a plain '", '”': "write a plain '", '„': "write a plain '",
	'∧': "write and", '∨': "write or", '¬': "write not (…)", '²': "multiply: mm*mm", '³': "multiply: mm*mm*mm",
	'\\': "quoted words need no escapes", '"': "write a plain '", '@': "", '~': "",
}

// lexError tells in our words why the text cannot be cut into tokens.
func (c *checker) lexError(err error) {
	var fe *file.Error
	if !errors.As(err, &fe) {
		c.ps.Addf(Syntax, c.whole(), "this cannot be read as a condition").Hint("write it in simpler steps")
		return
	}
	r := []rune(c.text)
	at := max(0, min(fe.From, len(r)-1))
	begin := 0 // of what the tokens do not cover
	if len(c.toks) > 0 {
		begin = c.toks[len(c.toks)-1].To
	}
	for begin < at && unicode.IsSpace(r[begin]) {
		begin++
	}
	switch {
	case strings.HasPrefix(fe.Message, "bad number"):
		c.badNumber(r, begin)
	case strings.HasPrefix(fe.Message, "literal not terminated"):
		c.addRunes(Syntax, begin, begin+1, "this quote is never closed").Hint("quote words on both sides: 'purple'")
	case strings.HasPrefix(fe.Message, "unclosed comment"):
		c.addRunes(NotAllowed, begin, len(r), "comments cannot stand inside a condition")
	case strings.HasPrefix(fe.Message, "unrecognized"):
		p := c.addRunes(Syntax, at, at+1, "the sign %q means nothing here", r[at])
		if cure := signCures[r[at]]; cure != "" {
			p.Hint("%s", cure)
		}
	default:
		c.addRunes(Syntax, begin, at+1, "quoted words have no escapes")
	}
}

// badNumber tells of digits with letters on their heels, from rune begin on.
func (c *checker) badNumber(r []rune, begin int) {
	dotted := begin < len(r) && r[begin] == '.'
	i := begin
	for i < len(r) && (unicode.IsDigit(r[i]) || r[i] == '.' || r[i] == '_') {
		i++
	}
	end := i
	for end < len(r) && (unicode.IsLetter(r[end]) || unicode.IsDigit(r[end]) || r[end] == '_' || r[end] == '$') {
		end++
	}
	number, word := string(r[begin:i]), string(r[i:end])
	if dotted && begin > 0 && !unicode.IsSpace(r[begin-1]) {
		c.addRunes(Syntax, begin, end, "no property begins with a digit, and stations are not written in conditions").
			Hint("rules speak of all parts of a kind: each = { seat = \"shaft_seat\" }, then seat.property")
		return
	}
	p := c.addRunes(Syntax, begin, end, "%s is neither a number nor a name", clip(number+word))
	switch word {
	case "and", "or", "not":
		p.Hint("put a blank between: %s %s", number, word)
		return
	case "in":
		word = "inch"
	}
	p.Hint("a unit is joined by *: %s*%s", number, word)
}

// operandEnds tells whether a value can end with the token, operandBegins
// whether one can begin with it.
func operandEnds(t *lexer.Token) bool {
	switch t.Kind {
	case lexer.Identifier, lexer.Number, lexer.String:
		return true
	}
	return t.Value == ")" || t.Value == "]" || t.Value == "#"
}

func operandBegins(t *lexer.Token) bool {
	switch t.Kind {
	case lexer.Identifier, lexer.Number, lexer.String:
		return true
	}
	switch t.Value {
	case "(", "[", "#", "not":
		return true
	}
	return false
}

// syntax tells in our words why expr's parser refused the text.
func (c *checker) syntax(fe *file.Error) {
	n := len(c.toks)
	i := 0
	for i < n-1 && c.toks[i].From < fe.From {
		i++
	}
	tok := &c.toks[i]
	ended := strings.Contains(fe.Message, "EOF") || strings.Contains(fe.Message, "unexpected end")
	prev := &lexer.Token{}
	if i > 0 {
		prev = &c.toks[i-1]
	}
	switch {
	case strings.Contains(fe.Message, "maximum allowed nodes"):
		c.ps.Addf(TooLarge, c.whole(), "a condition of more than %d names, numbers and signs", MaxNodes).Hint("split it into several conditions or rules")
	case ended:
		last := n - 1
		c.addAt(Syntax, last, last, "the condition breaks off after %s", c.raw(last))
	case strings.Contains(fe.Message, "expected at least"):
		name := "the function"
		if o := c.around(i); o > 0 {
			name = c.toks[o-1].Value
			c.addAt(BadArguments, o-1, i, "%s needs a list and what must hold of its elements", name).
				Hint("write %s(list, .property)", name)
			return
		}
		c.addAt(BadArguments, i, i, "an argument is missing here")
	case strings.Contains(fe.Message, "literal") && i > 0:
		for i > 0 && c.toks[i].Kind != lexer.Number {
			i--
		}
		c.addAt(Syntax, i, i, "this number is too large")
	case strings.Contains(fe.Message, "expected name"):
		c.addAt(Syntax, i, i, "the name of a property is missing after the dot")
	case i > 0 && operandEnds(prev) && operandBegins(tok):
		p := c.addAt(Syntax, i, i, "a sign is missing between %s and %s", c.raw(i-1), c.raw(i))
		switch strings.ToLower(tok.Value) {
		case "is", "equals":
			p.Hint("write ==")
		case "over", "above", "exceeds":
			p.Hint("write >")
		case "under", "below":
			p.Hint("write <")
		case "between":
			p.Hint("write 0.02*mm < x < 0.05*mm")
		default:
			p.Hint("join conditions by and or or, values by a comparison such as ==")
		}
	case (tok.Value == "." || tok.Value == "#") && prev.Value == "," && c.around(i) > 0 && c.calls(c.around(i)):
		o := c.around(i)
		name := c.toks[o-1].Value
		if slices.Contains(Functions, name) {
			c.addAt(BadArguments, o-1, c.match[o], "%s does not take this", name).Hint("%s", usage(name))
			return
		}
		c.unknownFunction(name, nil, o-1, c.match[o])
	case tok.Value == "." || tok.Value == "#":
		what := tok.Value
		if i+1 < n && what == "." {
			what += c.toks[i+1].Value
		}
		c.addAt(Syntax, i, i, "%s stands for an element of a list, and there is none here", what).
			Hint("write it inside any(list, …) or the like, or put a name of each before it")
	case tok.Value == ",":
		p := c.addAt(Syntax, i, i, "a comma cannot stand here")
		if o := c.around(i); o > 0 && c.calls(o) {
			p.Hint("%s", usage(c.toks[o-1].Value))
		} else {
			p.Hint("join conditions by and or or; write decimals with a point")
		}
	case tok.Value == ")" || tok.Value == "]":
		c.addAt(Syntax, i, i, "something is missing before this %s", tok.Value)
	case tok.Kind == lexer.Operator && i == 0:
		c.addAt(Syntax, i, i, "something is missing before %s", tok.Value)
	case tok.Kind == lexer.Operator && prev.Kind == lexer.Operator:
		p := c.addAt(Syntax, i-1, i, "something is missing between %s and %s", prev.Value, tok.Value)
		if prev.Value == "*" && tok.Value == "in" {
			p.Hint("an inch is written inch: in asks whether something lies in a list")
		}
	default:
		c.addAt(Syntax, i, i, "%s cannot stand here", c.raw(i))
	}
}

// usage is how a function of the language is written.
func usage(name string) string {
	switch name {
	case "any", "all", "none", "filter", "count":
		return fmt.Sprintf("write %s(list, .property), with one condition on the elements", name)
	case "sum", "min", "max", "mean", "median", "map":
		return fmt.Sprintf("write %s(list, .number), with one number of the elements", name)
	}
	return fmt.Sprintf("%s takes fewer arguments", name)
}
