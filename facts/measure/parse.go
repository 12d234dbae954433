package measure

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"unicode"
)

// TextError is what is wrong with a written number or unit, and where: runes
// [Start, End) of the text, counted from 0. Error gives the one line without
// the hint.
type TextError struct {
	Start, End int
	Message    string // one lower-case line without a full stop
	Hint       string // the cure; may be empty
	Nearest    string // the nearest known unit, if any is near
}

func (e *TextError) Error() string { return e.Message }

// Written is a number as it was written: its value, and what is needed to print
// it as it was.
type Written struct {
	Number   Number
	Text     string // as given, blanks round it trimmed
	Decimals int    // most digits after the point, in Unit
	Unit     *Unit  // the unit written; for a bare number the one it is in
}

// ParseOption changes how ParseNumber reads.
type ParseOption uint8

// BareInWant lets a number without unit be in the wanted unit.
const BareInWant ParseOption = 1

const maxNumberRunes = 80

// ParseNumber reads "0.10 mm", "+21 um", "1.41 to 1.43 mm", "over 5 h",
// "under 3 mm", "at least 45 N·m", "at most 0.1 mm". want gives the dimension
// (nil: any); a number without unit is accepted when want is a plain number or
// nil, or with [BareInWant]. Each error is a [*TextError].
func ParseNumber(text string, want *Unit, options ...ParseOption) (Written, error) {
	bare := false
	for _, o := range options {
		bare = bare || o == BareInWant
	}
	if w, ok := plainNumber(text, want, bare); ok {
		return w, nil
	}
	return parseNumber(text, want, bare)
}

// parseNumber reads any number, with exact arithmetic.
func parseNumber(text string, want *Unit, bare bool) (Written, error) {
	p := numberParser{runes: []rune(text), want: want, bare: bare}
	w, err := p.parse()
	if err != nil {
		return Written{}, err
	}
	w.Text = strings.TrimSpace(text)
	return w, nil
}

type numberParser struct {
	runes []rune
	at    int
	want  *Unit
	bare  bool
}

type decimal struct {
	value      *big.Rat
	decimals   int
	start, end int
}

func (p *numberParser) fail(start, end int, hint, format string, args ...any) *TextError {
	return &TextError{Start: start, End: max(end, start+1), Message: fmt.Sprintf(format, args...), Hint: hint}
}

func (p *numberParser) skip() {
	for p.at < len(p.runes) && (unicode.IsSpace(p.runes[p.at]) || normal(p.runes[p.at]) == ' ') {
		p.at++
	}
}

// word eats the words of a phrase, blanks between them, if it stands here.
func (p *numberParser) phrase(words ...string) bool {
	at := p.at
	for _, w := range words {
		p.skip()
		e := p.at
		for e < len(p.runes) && unicode.IsLetter(p.runes[e]) {
			e++
		}
		if string(p.runes[p.at:e]) != w {
			p.at = at
			return false
		}
		p.at = e
	}
	return true
}

func (p *numberParser) parse() (Written, error) {
	if len(p.runes) > maxNumberRunes {
		return Written{}, p.fail(0, len(p.runes), "write one number and its unit", "%d characters are too many for a number", len(p.runes))
	}
	p.skip()
	start := p.at
	if p.at == len(p.runes) {
		return Written{}, p.fail(0, len(p.runes), p.example(), "a number is wanted, nothing is written")
	}
	var bound func(x float64) Number
	switch {
	case p.phrase("over"):
		bound = func(x float64) Number { return Number{Lo: x, Hi: math.Inf(1), LoOpen: true} }
	case p.phrase("at", "least"):
		bound = func(x float64) Number { return Number{Lo: x, Hi: math.Inf(1)} }
	case p.phrase("under"):
		bound = func(x float64) Number { return Number{Lo: math.Inf(-1), Hi: x, HiOpen: true} }
	case p.phrase("at", "most"):
		bound = func(x float64) Number { return Number{Lo: math.Inf(-1), Hi: x} }
	}
	first, err := p.number()
	if err != nil {
		return Written{}, err
	}
	p.skip()
	unitStart := p.at
	firstUnit, to := p.unitText()
	if !to {
		u, err := p.unit(firstUnit, unitStart, first)
		if err != nil {
			return Written{}, err
		}
		x, err := p.base(u, first)
		if err != nil {
			return Written{}, err
		}
		w := Written{Number: Exact(x), Decimals: first.decimals, Unit: u}
		if bound != nil {
			w.Number = bound(x)
		}
		return w, nil
	}
	if bound != nil {
		return Written{}, p.fail(start, len(p.runes), "write a range as 1.41 to 1.43 mm, a bound as over 5 h", "both a bound and a range")
	}
	p.skip()
	second, err := p.number()
	if err != nil {
		return Written{}, err
	}
	p.skip()
	secondStart := p.at
	secondUnit, again := p.unitText()
	if again {
		return Written{}, p.fail(secondStart, len(p.runes), "write a range as 1.41 to 1.43 mm", "more than two ends in a range")
	}
	u2, err := p.unit(secondUnit, secondStart, second)
	if err != nil {
		return Written{}, err
	}
	u1 := u2
	if firstUnit != "" {
		if u1, err = p.unit(firstUnit, unitStart, first); err != nil {
			return Written{}, err
		}
	}
	if u1.Dim != u2.Dim || u1.Point != u2.Point {
		return Written{}, p.fail(unitStart, secondStart+len([]rune(secondUnit)), "write both ends in one unit", "the ends of the range differ in kind: %s and %s", u1.Symbol, u2.Symbol)
	}
	lo, err := p.base(u1, first)
	if err != nil {
		return Written{}, err
	}
	hi, err := p.base(u2, second)
	if err != nil {
		return Written{}, err
	}
	if lo > hi {
		return Written{}, p.fail(first.start, second.end, "write the smaller end first", "the range runs backwards")
	}
	return Written{Number: Between(lo, hi), Decimals: max(first.decimals, second.decimals), Unit: u2}, nil
}

func (p *numberParser) example() string {
	if p.want == nil || p.want.Symbol == "1" {
		return "write a number such as 3"
	}
	return "write it as 1.5 " + p.want.Symbol
}

// exampleOf is the number that stands there with the unit that is wanted.
func (p *numberParser) exampleOf(d decimal) string {
	if p.want.Symbol == "1" {
		return "write it without a unit: " + string(p.runes[d.start:d.end])
	}
	return "write it as " + string(p.runes[d.start:d.end]) + " " + p.want.Symbol
}

// digitMeant are letters that are typed for digits.
var digitMeant = map[string]string{"O": "0", "o": "0", "I": "1"}

// number reads one signed decimal at p.at.
func (p *numberParser) number() (decimal, error) {
	p.skip()
	r, s := p.runes, p.at
	i := s
	negative := false
	if i < len(r) && (r[i] == '+' || r[i] == '-' || r[i] == '−') {
		negative = r[i] != '+'
		i++
	}
	body := i
	for i < len(r) && isNumeral(r, i) {
		i++
	}
	text := string(r[body:i])
	if !strings.ContainsAny(text, "0123456789") {
		e := s
		for e < len(r) && !unicode.IsSpace(r[e]) {
			e++
		}
		word := string(r[s:e])
		hint := p.example()
		switch {
		case word == "":
			return decimal{}, p.fail(s, s, hint, "a number is missing")
		case strings.ContainsAny(word, "<>≤≥≦≧"):
			hint = "write over, under, at least or at most"
		case strings.HasPrefix(word, "~") || word == "about" || word == "ca" || word == "circa" || word == "≈":
			hint = "write the range it lies in, as 1.4 to 1.5 mm"
		case strings.HasPrefix(word, "±"):
			hint = "give the uncertainty with the instrument"
		}
		return decimal{}, p.fail(s, e, hint, "a number is wanted, not %q", word)
	}
	if strings.ContainsAny(text, ",'’_") {
		return decimal{}, p.fail(s, i, "write "+plainHint(text), "%s", commaMessage(text))
	}
	if strings.Count(text, ".") > 1 {
		return decimal{}, p.fail(s, i, "one point only, before the decimals", "%q has more than one point", text)
	}
	_, fraction, _ := strings.Cut(text, ".")
	d := decimal{decimals: len(fraction), start: s}
	number := text
	// An exponent belongs to the number when digits follow it.
	if e := i; e < len(r) && (r[e] == 'e' || r[e] == 'E') {
		j := e + 1
		if j < len(r) && (r[j] == '+' || r[j] == '-' || r[j] == '−') {
			j++
		}
		k, power := j, 0
		for k < len(r) && r[k] >= '0' && r[k] <= '9' {
			power = min(power*10+int(r[k]-'0'), 1000)
			k++
		}
		if k > j {
			if power > 30 {
				return decimal{}, p.fail(s, k, "exponents run to 30", "%s is too large or too small", string(r[s:k]))
			}
			if j > e+1 && r[j-1] != '+' {
				power = -power
			}
			number += fmt.Sprintf("e%d", power)
			d.decimals = max(0, d.decimals-power)
			i = k
		}
	}
	value, ok := new(big.Rat).SetString(number)
	if !ok {
		return decimal{}, p.fail(s, i, p.example(), "%q is not a number", string(r[s:i]))
	}
	if negative {
		value.Neg(value)
	}
	d.value, d.end = value, i
	p.at = i
	// "1 234": a blank inside a number.
	j := i
	for j < len(r) && normal(r[j]) == ' ' {
		j++
	}
	if j > i && j < len(r) && r[j] >= '0' && r[j] <= '9' {
		k := j
		for k < len(r) && isNumeral(r, k) {
			k++
		}
		if string(r[j:k]) == "1" && k < len(r) && r[k] == '/' { // the unit 1/K
			return d, nil
		}
		return decimal{}, p.fail(s, k, "write one number, without blanks inside: "+text+string(r[j:k]), "a blank inside the number %q", string(r[s:k]))
	}
	return d, nil
}

// isNumeral: digits, points, and the thousands signs and decimal commas that
// are refused with a message of their own.
func isNumeral(r []rune, i int) bool {
	digit := func(j int) bool { return j >= 0 && j < len(r) && r[j] >= '0' && r[j] <= '9' }
	switch r[i] {
	case '.':
		return digit(i-1) || digit(i+1)
	case ',', '\'', '’', '_':
		return digit(i-1) && digit(i+1)
	}
	return digit(i)
}

func commaMessage(text string) string {
	if strings.ContainsAny(text, "'’_") {
		return fmt.Sprintf("a thousands sign in %q", text)
	}
	if strings.Contains(text, ".") || strings.Count(text, ",") > 1 {
		return fmt.Sprintf("a thousands sign in %q", text)
	}
	return fmt.Sprintf("a comma in the number %q", text)
}

func plainHint(text string) string {
	bare := strings.NewReplacer(",", "", "'", "", "’", "", "_", "").Replace(text)
	if strings.ContainsAny(text, "'’_") || strings.Contains(text, ".") || strings.Count(text, ",") > 1 {
		return bare
	}
	pointed := strings.Replace(text, ",", ".", 1)
	if _, after, _ := strings.Cut(text, ","); len(after) == 3 && !strings.HasPrefix(text, "0,") {
		return pointed + " for a decimal, " + bare + " for a thousand"
	}
	return pointed
}

// unitText takes what follows a number up to the word "to" or the end.
func (p *numberParser) unitText() (unit string, to bool) {
	s := p.at
	for i := s; i < len(p.runes); i++ {
		if p.runes[i] == 't' && i+1 < len(p.runes) && p.runes[i+1] == 'o' &&
			(i == s || normal(p.runes[i-1]) == ' ' || unicode.IsSpace(p.runes[i-1])) &&
			(i+2 == len(p.runes) || !unicode.IsLetter(p.runes[i+2])) {
			p.at = i + 2
			return strings.TrimRightFunc(string(p.runes[s:i]), unicode.IsSpace), true
		}
	}
	p.at = len(p.runes)
	return strings.TrimRightFunc(string(p.runes[s:]), unicode.IsSpace), false
}

// unit reads a unit at rune start and holds it against the wanted one.
func (p *numberParser) unit(text string, start int, d decimal) (*Unit, error) {
	end := start + len([]rune(text))
	if text == "" {
		switch {
		case p.want == nil:
			return units["1"], nil
		case p.bare:
			return p.want, nil
		case p.want.Dim.IsZero():
			return units["1"], nil
		}
		return nil, p.fail(d.start, d.end, "write "+string(p.runes[d.start:d.end])+" "+p.want.Symbol, "a unit is missing after %s", string(p.runes[d.start:d.end]))
	}
	switch first := normal([]rune(text)[0]); {
	case first == '±':
		return nil, p.fail(start, end, "give the uncertainty with the instrument", "%q cannot follow a number", text)
	case (first == '-' || first == '…') && strings.ContainsAny(text, "0123456789") && !strings.HasPrefix(text, "/"):
		return nil, p.fail(start, end, "write a range as 1.41 to 1.43 mm", "%q cannot follow a number", text)
	case first == ',' || first == ';':
		return nil, p.fail(start, end, "write one value, or the range it lies in, as 1.41 to 1.43 mm", "%q cannot follow a number", text)
	}
	letter, rest, parted := strings.Cut(text, " ")
	if digit := digitMeant[letter]; digit != "" && start == d.end {
		hint := "write " + string(p.runes[d.start:d.end]) + digit
		if parted {
			hint += " " + rest
		}
		return nil, p.fail(start, start+1, hint, "the letter %s stands in the number", letter)
	}
	u, err := UnitOf(text)
	if err != nil {
		te := *err.(*TextError)
		te.Start += start
		te.End = max(te.Start+1, min(te.End+start, end)) // what is missing at the end stands one past it
		if p.want != nil && te.Nearest == "" && !strings.HasPrefix(te.Hint, "write") && !strings.Contains(te.Hint, "torque") {
			te.Hint = p.exampleOf(d)
		}
		return nil, &te
	}
	if p.want == nil {
		return u, nil
	}
	if u.Dim != p.want.Dim {
		return nil, p.fail(start, end, "give "+p.want.Dim.Name()+", in "+p.want.Symbol+" or another unit of it", "%s is %s, wanted is %s in %s", u.Symbol, u.Dim.Name(), p.want.Dim.Name(), p.want.Symbol)
	}
	if u.Point && !p.want.Point {
		return nil, p.fail(start, end, p.exampleOf(d), "%s is a point on a scale, wanted is a difference in %s", u.Symbol, p.want.Symbol)
	}
	return u, nil
}

func (p *numberParser) base(u *Unit, d decimal) (float64, error) {
	x := u.toBase(d.value)
	if math.IsInf(x, 0) {
		return 0, p.fail(d.start, d.end, "", "%s is too large", string(p.runes[d.start:d.end]))
	}
	return x, nil
}
