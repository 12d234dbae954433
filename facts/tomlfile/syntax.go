package tomlfile

import (
	"errors"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
	"github.com/pelletier/go-toml/v2/unstable"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// safeBrackets is the number of opening brackets up to which the second parser,
// which recurses at each without a limit, is asked about text the first one
// refused: 300,000 deep took it seconds, three million killed the process.
const safeBrackets = 50000

// invalid asks the second library, which knows all of TOML's rules, and returns
// its problem, or nil when the file is valid.
func invalid(f *source.File) *source.Problem {
	var nothing struct{}
	_, err := toml.Decode(string(f.Data), &nothing)
	if err == nil {
		return nil
	}
	var syntax toml.ParseError
	if !errors.As(err, &syntax) {
		return &source.Problem{Code: Syntax, At: f.At(0, 0), Message: sentence(err.Error())}
	}
	start := syntax.Position.Start
	if start < 0 || start > len(f.Data) {
		start = f.Offset(syntax.Position.Line, syntax.Position.Col)
	}
	return explain(f, start, start+max(1, syntax.Position.Len), syntax.Message)
}

// syntaxProblem turns an error of the positional pass into a problem. The
// second library words such things better and is asked first.
func (b *builder) syntaxProblem(err error) *source.Problem {
	if strings.Count(b.text, "[")+strings.Count(b.text, "{") <= safeBrackets {
		if p := invalid(b.file); p != nil {
			return p
		}
	}
	start, end := 0, 0
	var syntax *unstable.ParserError
	if errors.As(err, &syntax) {
		// A highlight is a piece of the input, known by what is left after it.
		start = max(0, min(cap(b.file.Data)-cap(syntax.Highlight), len(b.file.Data)))
		end = start + min(1, len(syntax.Highlight))
	}
	return explain(b.file, start, end, err.Error())
}

var (
	// A digit, a comma and a digit: never TOML after an equals sign, and two
	// numbers in an array.
	commaNumber  = regexp.MustCompile(`([=\[,{]\s*)([+-]?[0-9]+),([0-9]+)(?:[\s,\]}#]|$)`)
	bareText     = regexp.MustCompile(`=\s*([\pL\pN][^"'=\[\]{},#]*?)\s*(?:[,}\]#]|$)`)
	dayFirst     = regexp.MustCompile(`^([0-9]{1,2})[./-]([0-9]{1,2})[./-]([0-9]{4})$`)
	quotesInside = regexp.MustCompile(`"[^"]*"([\pL_][\pL\pN_ -]*)"`)
	plainNumber  = regexp.MustCompile(`^[-+0-9._:eExobTZ]*$`)
)

// cures are what to do about the library's messages, known by a piece of them.
var cures = []struct{ says, hint string }{
	{"invalid escape", `write \\ for a backslash, or put the text in '…'`},
	{"strings cannot contain newlines", `close the quote on its line, or use """ for a text of several lines`},
	{"expected value but found '\\n'", "write a value after the equals sign, or delete the key"},
	{"expected value but found '\\r'", "write a value after the equals sign, or delete the key"},
	{"to end table name", "close the header with ]"},
	{"array terminator", "put a comma between two values, or close the array with ]"},
	{"inline table terminator", "put a comma between two keys, or close the table with }"},
	{"expected '.' or '='", "put = between key and value; a key of several words needs quotes"},
	{"newline, comment, or EOF", "write one key a line, and put text in quotes"},
	{"'0x0d'", "end each line with a line feed"},
	{"invalid datetime", "write a day that exists, like 2026-11-12"},
	{"leading zero", "delete the zeros in front, or put a name in quotes"},
	{"must start with a digit", "write 0.5, not .5"},
	{"must be followed by one or more digits", "write 1.0 or 1, not 1."},
	{"out of range", "put it in quotes if it is a name"},
}

// explain makes the problem for a fault at start, recognising the slips people
// make most: a decimal comma, a text without quotes, a date day first, quotes a
// word processor bent.
func explain(f *source.File, start, end int, message string) *source.Problem {
	line, lineStart := f.LineAt(start)
	at := start - lineStart
	problem := func(code source.Code, from, to int, message string) *source.Problem {
		return &source.Problem{Code: code, At: f.At(lineStart+from, lineStart+to), Message: message}
	}
	for _, m := range commaNumber.FindAllSubmatchIndex(line, -1) {
		from, to := m[4], m[7]
		if from <= at && (at <= to || line[m[2]] == '=') {
			return problem(written.CommaInNumber, from, to, "a number is written with a point, not a comma").
				Hint("write %s.%s", line[m[4]:m[5]], line[m[6]:m[7]])
		}
	}
	for _, m := range bareText.FindAllSubmatchIndex(line, -1) {
		from, to := m[2], m[3]
		word := string(line[from:to])
		if from > at || at > to || word == "true" || word == "false" {
			continue
		}
		if d := dayFirst.FindStringSubmatch(word); d != nil {
			return problem(Syntax, from, to, "a date is written year, month, day").
				Hint("write %s-%s-%s if %s is the day", d[3], twoDigits(d[2]), twoDigits(d[1]), d[1])
		}
		if plainNumber.MatchString(word) {
			continue
		}
		p := problem(TextNotQuoted, from, to, "a text needs quotes")
		switch strings.ToLower(word) {
		case "true", "yes", "on":
			return p.Hint("write true, or \"%s\" if it is a text", word)
		case "false", "no", "off":
			return p.Hint("write false, or \"%s\" if it is a text", word)
		}
		return p.Hint("write \"%s\"", word)
	}
	// A word right behind a closing quote, and a quote right behind the word: the
	// text in double quotes has quotes inside.
	if m := quotesInside.FindSubmatchIndex(line); m != nil && m[2]-1 <= at && at <= m[3]+1 {
		return problem(Syntax, m[2]-1, m[3]+1, "a double quote inside a text in double quotes ends the text").
			Hint("inside it write single ones: '%s'", line[m[2]:m[3]])
	}
	start = max(0, min(start, len(f.Data)))
	end = max(start, min(end, len(f.Data))) // the library's length may run past the end
	p := &source.Problem{Code: Syntax, At: f.At(start, end), Message: sentence(message)}
	switch {
	case at < len(line) && (strings.HasPrefix(string(line[at:]), "“") || strings.HasPrefix(string(line[at:]), "”")):
		p.Message = "a text is put in straight quotes"
		p.Hint("replace “ and ” by \"")
	case strings.HasPrefix(p.Message, "invalid escape"):
		// The library points at the text's beginning.
		if i := strings.Index(p.Message, `\`); i > 0 && at < len(line) {
			if j := strings.Index(string(line[at:]), p.Message[i:i+2]); j >= 0 {
				p.At = f.At(start+j, start+j+2)
			}
		}
	}
	for _, c := range cures {
		if strings.Contains(p.Message, c.says) {
			p.Hint("%s", c.hint)
			break
		}
	}
	return p
}

// sentence makes a library's message one lower-case line without a full stop.
func sentence(message string) string {
	message = strings.TrimPrefix(strings.TrimPrefix(message, "toml: "), "unstable: ")
	message = strings.TrimRight(strings.Join(strings.Fields(message), " "), ".")
	first, size := utf8.DecodeRuneInString(message)
	second, _ := utf8.DecodeRuneInString(message[size:])
	if !unicode.IsUpper(second) { // keep EOF, UTF-8
		message = string(unicode.ToLower(first)) + message[size:]
	}
	return message
}

func twoDigits(s string) string {
	if len(s) == 1 {
		return "0" + s
	}
	return s
}
