package condition

import (
	"strings"
	"unicode"

	"github.com/expr-lang/expr/parser/lexer"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
)

// scan looks over the tokens for what packs do not have, or not so, and tells
// it with the cure. It pairs the brackets, and is false if they do not pair or
// lie too deep for the parser.
func (c *checker) scan() bool {
	c.match = make([]int, len(c.toks))
	if !c.brackets() {
		return false
	}
	for i := range c.toks {
		if len(c.ps) >= mostTold {
			return true
		}
		t := &c.toks[i]
		afterDot := i > 0 && is(&c.toks[i-1], lexer.Operator, ".")
		switch t.Kind {
		case lexer.Identifier:
			if !afterDot {
				c.scanWord(i)
			}
			if strings.Contains(t.Value, "$") {
				c.addAt(NotAllowed, i, i, "%q: names have no $", t.Value)
			}
		case lexer.Number:
			c.scanNumber(i)
		case lexer.String:
			c.scanString(i)
		case lexer.Bytes:
			c.addAt(NotAllowed, i, i, "a b before a quoted word means nothing here").Hint("leave out the b")
		case lexer.Bracket:
			c.scanBracket(i)
		case lexer.Operator:
			if !(afterDot && unicode.IsLetter([]rune(t.Value)[0])) {
				c.scanOperator(i)
			}
		}
	}
	if strings.Contains(c.text, "//") || strings.Contains(c.text, "/*") {
		c.scanComments()
	}
	return true
}

func (c *checker) brackets() bool {
	var buf [MaxBrackets]int
	open := buf[:0]
	for i := range c.toks {
		t := &c.toks[i]
		if t.Kind != lexer.Bracket {
			continue
		}
		switch t.Value {
		case "(", "[", "{":
			if len(open) == MaxBrackets {
				c.addAt(TooLarge, i, i, "brackets lie more than %d deep in one another", MaxBrackets).
					Hint("split it into several conditions or rules")
				return false
			}
			open = append(open, i)
		default:
			if len(open) == 0 {
				c.addAt(Syntax, i, i, "this %s closes nothing", t.Value).Hint("leave it out, or open a bracket before it")
				return false
			}
			o := open[len(open)-1]
			open = open[:len(open)-1]
			if want := map[string]string{"(": ")", "[": "]", "{": "}"}[c.toks[o].Value]; want != t.Value {
				c.addAt(Syntax, i, i, "this %s cannot close the %s before it", t.Value, c.toks[o].Value).Hint("write %s", want)
				return false
			}
			c.match[o], c.match[i] = i, o
		}
	}
	if len(open) > 0 {
		o := open[len(open)-1]
		c.addAt(Syntax, o, o, "this %s is never closed", c.toks[o].Value)
		return false
	}
	return true
}

func (c *checker) scanWord(i int) {
	t := &c.toks[i]
	c.lent = c.lent || c.lentAt(i)
	switch t.Value {
	case "true", "false":
		c.addAt(NotAllowed, i, i, "%s is not written in conditions: a yes/no property stands by itself", t.Value).
			Hint("write name.property for yes, not (name.property) for no")
		return
	case "nil", "null":
		if c.scope.find(t.Value) < 0 {
			c.addAt(NotAllowed, i, i, "%s is not written in conditions: what nobody has answered is unknown by itself", t.Value)
		}
		return
	}
	switch low := strings.ToLower(t.Value); low {
	case "and", "or", "not", "in":
		c.addAt(Syntax, i, i, "%s is written in small letters", t.Value).Hint("write %s", low)
	}
}

func (c *checker) scanNumber(i int) {
	t := &c.toks[i]
	v := t.Value
	digits := strings.Trim(v, "0123456789.") == ""
	switch {
	case strings.HasPrefix(v, "."):
		c.addAt(NotAllowed, i, i, "a number begins with a digit").Hint("write 0%s", v)
	case strings.HasSuffix(v, "."):
		c.addAt(NotAllowed, i, i, "a number does not end with its point").Hint("write %s", strings.TrimSuffix(v, "."))
	case strings.Contains(v, "_"):
		c.addAt(NotAllowed, i, i, "numbers are written without _").Hint("write %s", strings.ReplaceAll(v, "_", ""))
	case !digits:
		c.addAt(NotAllowed, i, i, "numbers are written out with digits and a point, such as 0.001")
	}
	if i+1 >= len(c.toks) {
		return
	}
	next := &c.toks[i+1]
	if next.Kind == lexer.Identifier && next.From > t.To {
		if _, err := measure.UnitOf(next.Value); err == nil {
			c.addAt(Syntax, i, i+1, "a unit is joined to its number by *").Hint("write %s*%s", v, next.Value)
		}
	}
	if is(next, lexer.Operator, "in") && (i+2 >= len(c.toks) || !is(&c.toks[i+2], lexer.Bracket, "[") && c.toks[i+2].Kind != lexer.Identifier) {
		c.addAt(Syntax, i, i+1, "the unit in is written inch, since in is a word of conditions").Hint("write %s*inch", v)
	}
	// 0,05: a comma with digits tight on both sides, where no function takes two numbers
	if is(next, lexer.Operator, ",") && next.From == t.To && i+2 < len(c.toks) && c.toks[i+2].Kind == lexer.Number &&
		c.toks[i+2].From == next.To && !c.inHandbookCall(i) {
		c.addAt(Syntax, i, i+2, "a decimal is written with a point").Hint("write %s.%s", v, c.toks[i+2].Value)
	}
}

func (c *checker) inHandbookCall(i int) bool {
	o := c.around(i)
	if o < 1 || !c.calls(o) {
		return false
	}
	_, ok := handbook.Lookup(c.toks[o-1].Value)
	return ok
}

// around is the index of the bracket opened last round the token i, or -1.
func (c *checker) around(i int) int {
	for j := i - 1; j >= 0; j-- {
		if c.toks[j].Kind != lexer.Bracket {
			continue
		}
		if c.match[j] < j { // a closing one: pass what it closes
			j = c.match[j]
			continue
		}
		return j
	}
	return -1
}

func (c *checker) scanString(i int) {
	raw := c.raw(i)
	switch {
	case strings.HasPrefix(raw, "`"):
		c.addAt(NotAllowed, i, i, "words are quoted with '…'").Hint("write '%s'", c.toks[i].Value)
	case strings.Contains(raw, `\`):
		c.addAt(NotAllowed, i, i, "quoted words have no escapes")
	case i > 0 && c.toks[i-1].Kind == lexer.String:
		c.addAt(Syntax, i-1, i, "two quoted words stand side by side").Hint("join them by a comma in a list: x in ['a', 'b']; a quote cannot stand inside a word")
	}
}

func (c *checker) scanBracket(i int) {
	switch c.toks[i].Value {
	case "{":
		c.addAt(NotAllowed, i, c.match[i], "braces mean nothing in a condition").Hint("write what must hold of an element without them: any(list, .property)")
	case "[":
		if i == 0 {
			return
		}
		p := &c.toks[i-1]
		operand := p.Kind == lexer.Identifier || p.Kind == lexer.String || p.Kind == lexer.Bracket && (p.Value == ")" || p.Value == "]") ||
			p.Kind == lexer.Operator && (p.Value == "#" || i > 1 && is(&c.toks[i-2], lexer.Operator, ".") && unicode.IsLetter([]rune(p.Value)[0]))
		if operand {
			q := c.addAt(NotAllowed, i, c.match[i], "square brackets do not follow a name: they only list words after in")
			if c.match[i] == i+2 && c.toks[i+1].Kind == lexer.String {
				q.Hint("write .%s", c.toks[i+1].Value)
			} else {
				q.Hint("of a list ask any(list, …), all(list, …) or count(list, …)")
			}
		}
	}
}

func (c *checker) scanOperator(i int) {
	refuse := func(message string) {
		message, hint, _ := strings.Cut(message, "\n")
		p := c.addAt(NotAllowed, i, i, "%s", message)
		if hint != "" {
			p.Hint("%s", hint)
		}
	}
	next := ""
	if i+1 < len(c.toks) {
		next = c.toks[i+1].Value
	}
	switch op := c.toks[i].Value; op {
	case ".", "<", "<=", ">", ">=", "==", "!=", "+", "-", "*", "/", "and", "or", "not", "in":
	case ",":
		if next == ")" || next == "]" {
			refuse("nothing follows this comma\nleave it out")
		}
	case "#":
		if i+1 < len(c.toks) && c.toks[i+1].Kind == lexer.Identifier {
			refuse("# is the element itself; nothing is written to it\nwrite # alone, or .property for a property of the element")
		}
	case "&&":
		refuse("&& is not written here\nwrite and")
	case "||":
		refuse("|| is not written here\nwrite or")
	case "!":
		refuse("! is not written here\nwrite not (…)")
	case "=":
		if i+1 < len(c.toks) && c.toks[i+1].From == c.toks[i].To && (next == ">" || next == "<") {
			refuse("=" + next + " is no comparison\nwrite " + next + "=")
		} else {
			refuse("a single = compares nothing\nwrite ==")
		}
	case ";":
		refuse("a condition is one expression, without ;\nwrite several conditions as a list of strings: if = [\"…\", \"…\"]")
	case "let":
		refuse("nothing can be named inside a condition\nlet a rule set a computed number")
	case "if", "else", "?", ":", "?:":
		refuse(op + " is not written here: a condition only holds, does not hold or is unknown\nwrite one rule for each case")
	case "?.", "??":
		refuse(op + " is not written here: what nobody has answered is unknown by itself\nwrite . alone")
	case "|":
		refuse("| is not written here\nwrite or between conditions, and functions as name(…)")
	case "..":
		refuse("a range is not written with ..\nwrite two comparisons: 0.02*mm <= x and x <= 0.05*mm")
	case "**", "^":
		refuse(op + " is not written here\nmultiply: x*x")
	case "%":
		refuse("% is not written as a sign\nwrite 5*percent")
	case "matches", "contains", "startsWith", "endsWith":
		refuse(op + " is not written here: free words are never reasoned over\ndeclare a property with choices and compare it with == or in")
	default:
		refuse("the sign " + op + " means nothing here")
	}
}

// scanComments tells anything but blanks between two tokens: the lexer drops comments.
func (c *checker) scanComments() {
	at := 0
	for i := 0; i <= len(c.toks); i++ {
		end := len([]rune(c.text))
		if i < len(c.toks) {
			end = c.toks[i].From
		}
		if gap := c.runes(at, end); strings.TrimSpace(gap) != "" {
			at += len([]rune(gap)) - len([]rune(strings.TrimLeftFunc(gap, unicode.IsSpace)))
			c.addRunes(NotAllowed, at, end, "comments cannot stand inside a condition").Hint("write a TOML comment, # …, on a line of its own")
		}
		if i < len(c.toks) {
			at = c.toks[i].To
		}
	}
}
