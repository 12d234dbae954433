package measure

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// Most that is kept of spellings met; strangers choose spellings.
const maxSpellings = 2048

var (
	units       = map[string]*Unit{} // by spelling, canonical ones included; atoms never change after init
	differences = map[string]*Unit{} // °C and °F as differences, inside compounds
	symbols     []string             // canonical symbols, for the nearest name

	seenMu sync.RWMutex
	seen   = map[string]*Unit{}
)

func init() {
	zero := new(big.Rat)
	for _, row := range unitRows {
		u := newUnit(row.symbol, row.dim, ratio(row.factor), zero, false)
		units[row.symbol] = u
		symbols = append(symbols, row.symbol)
		for _, o := range row.others {
			units[o] = u
		}
	}
	for _, row := range pointRows {
		u := newUnit(row.symbol, dimTemp, ratio(row.factor), ratio(row.offset), true)
		d := newUnit(row.symbol, dimTemp, ratio(row.factor), zero, false)
		units[row.symbol], differences[row.symbol] = u, d
		symbols = append(symbols, row.symbol)
		for _, o := range row.others {
			units[o], differences[o] = u, d
		}
	}
	symbols = append(symbols, "N·m", "lbf·ft", "lbf·in", "N/mm²", "1/min", "mm²/s", "kg/m³", "mm/h", "1/K", "N/mm", "l/min", "cm³/s")
}

// ratio reads an exact factor such as "25.4" or "4.4482216152605/645.16".
func ratio(text string) *big.Rat {
	over, under, divided := strings.Cut(text, "/")
	r, ok := new(big.Rat).SetString(over)
	if divided && ok {
		var d *big.Rat
		d, ok = new(big.Rat).SetString(under)
		if ok {
			r.Quo(r, d)
		}
	}
	if !ok {
		panic("unit table: bad factor " + text) // our own table
	}
	return r
}

// UnitOf returns the unit of a spelling, simple ("mm", "µm", "um", "°C") or
// compound ("N·m", "kg/m³", "W/(m·K)", "mm2", "1/min"). An empty spelling is the
// plain number. Inside a compound °C and °F are differences. The error, a
// [*TextError], names what is not known and the nearest unit.
func UnitOf(symbol string) (*Unit, error) {
	if u, ok := units[symbol]; ok {
		return u, nil
	}
	seenMu.RLock()
	u, ok := seen[symbol]
	seenMu.RUnlock()
	if ok {
		return u, nil
	}
	u, err := parseUnit(symbol)
	if err != nil {
		return nil, err
	}
	u = shared(u)
	if u.Symbol != symbol {
		seenMu.Lock()
		if len(seen) < maxSpellings {
			seen[symbol] = u
		}
		seenMu.Unlock()
	}
	return u, nil
}

// shared returns the one pointer of a canonical symbol.
func shared(u *Unit) *Unit {
	if known, ok := units[u.Symbol]; ok {
		return known
	}
	seenMu.Lock()
	defer seenMu.Unlock()
	if known, ok := seen[u.Symbol]; ok {
		return known
	}
	if len(seen) < maxSpellings {
		seen[u.Symbol] = u
	}
	return u
}

// normal brings the look-alikes of one sign to one rune, a rune for a rune, so
// that places in the text stay where they are.
func normal(r rune) rune {
	switch r {
	case 'μ': // Greek mu for the micro sign
		return 'µ'
	case '⋅', '•', '∙', '×', '*': // dot operator, bullet, bullet operator, times
		return '·'
	case '−', '‐', '‑', '–': // minus, hyphens, en dash
		return '-'
	case 'º', '˚': // ordinal, ring above
		return '°'
	case '″', '”', '“':
		return '"'
	case '\u00a0', '\u202f', '\u2009', '\t':
		return ' '
	}
	return r
}

type factorAt struct {
	name       string
	power      int
	start, end int // runes in the spelling
}

const maxUnitRunes, maxFactors, maxPower = 40, 6, 4

func parseUnit(symbol string) (*Unit, error) {
	runes := []rune(symbol)
	for i := range runes {
		runes[i] = normal(runes[i])
	}
	start, end := 0, len(runes)
	for start < end && runes[start] == ' ' {
		start++
	}
	for end > start && runes[end-1] == ' ' {
		end--
	}
	whole := string(runes[start:end])
	if whole == "" {
		return units["1"], nil
	}
	fail := func(a, b int, hint, format string, args ...any) (*Unit, error) {
		return nil, &TextError{Start: a, End: b, Message: fmt.Sprintf(format, args...), Hint: hint}
	}
	if end-start > maxUnitRunes {
		return fail(start, end, "write a unit such as mm or N·m", "a unit of %d characters is too long", end-start)
	}
	if u, ok := units[whole]; ok {
		return u, nil
	}
	if s, ok := compoundSpellings[whole]; ok && s != whole {
		return UnitOf(s)
	}

	slash := slices.Index(runes[start:end], '/')
	over, underStart := end, end
	if slash >= 0 {
		over = start + slash
		underStart = over + 1
		if again := slices.Index(runes[underStart:end], '/'); again >= 0 {
			at := underStart + again
			return fail(at, at+1, "write the divisor in brackets, as in W/(m·K)", "a second / in the unit %s", whole)
		}
	}
	top, err := unitFactors(runes, start, over)
	if err != nil {
		return nil, err
	}
	var bottom []factorAt
	if slash >= 0 {
		a, b := underStart, end
		for a < b && runes[a] == ' ' {
			a++
		}
		bracketed := b-a >= 2 && runes[a] == '(' && runes[b-1] == ')'
		if bracketed {
			a, b = a+1, b-1
		}
		if bottom, err = unitFactors(runes, a, b); err != nil {
			return nil, err
		}
		if len(bottom) > 1 && !bracketed {
			return fail(underStart, end, "write the divisor in brackets, as in W/(m·K)", "the divisor of the unit %s is ambiguous", whole)
		}
	}
	if len(top)+len(bottom) > maxFactors {
		return fail(start, end, "", "the unit %s has more than %d factors", whole, maxFactors)
	}

	factor, dim := big.NewRat(1, 1), Dim{}
	var names [2][]string
	for side, list := range [2][]factorAt{top, bottom} {
		for _, f := range list {
			u, ok := units[f.name]
			if ok && u.Point {
				if len(top)+len(bottom) == 1 && f.power == 1 {
					return u, nil
				}
				u = differences[f.name]
			}
			if !ok {
				return nil, unknownUnit(f, whole, start, end)
			}
			power := f.power
			if side == 1 {
				power = -power
			}
			dim = dim.Mul(u.Dim.Pow(power))
			for range max(power, -power) {
				if power > 0 {
					factor.Mul(factor, &u.factor)
				} else {
					factor.Quo(factor, &u.factor)
				}
			}
			if u.Symbol != "1" {
				at := 0
				if power < 0 {
					at = 1
				}
				names[at] = append(names[at], u.Symbol+superscript(max(power, -power)))
			}
		}
	}
	canonical := strings.Join(names[0], "·")
	if canonical == "" {
		canonical = "1"
	}
	switch len(names[1]) {
	case 0:
	case 1:
		canonical += "/" + names[1][0]
	default:
		canonical += "/(" + strings.Join(names[1], "·") + ")"
	}
	if s, ok := compoundSpellings[canonical]; ok && s != canonical {
		return UnitOf(s)
	}
	if hint, ok := meantInstead[canonical]; ok {
		return fail(start, end, hint, "the unit %s is not what is meant", whole)
	}
	if u, ok := units[canonical]; ok {
		return u, nil
	}
	return newUnit(canonical, dim, factor, new(big.Rat), false), nil
}

// unitFactors splits runes[a:b] at product signs and reads exponents.
func unitFactors(runes []rune, a, b int) ([]factorAt, error) {
	var out []factorAt
	for i := a; i <= b; {
		j := i
		for j < b && !isProduct(runes, j, b) {
			j++
		}
		s, e := i, j
		for s < e && runes[s] == ' ' {
			s++
		}
		for e > s && runes[e-1] == ' ' {
			e--
		}
		if s == e {
			return nil, &TextError{Start: a, End: max(b, a+1), Message: "a part of the unit is missing", Hint: "write a unit such as mm or N·m"}
		}
		f, err := unitFactor(runes, s, e)
		if err != nil {
			return nil, err
		}
		out = append(out, f)
		i = j + 1
	}
	return out, nil
}

func isProduct(runes []rune, i, end int) bool {
	letter := func(j int) bool { return j < end && (unicode.IsLetter(runes[j]) || runes[j] == '°') }
	switch runes[i] {
	case '·', '.':
		return true
	case '-': // lbf-ft, but not s-1
		return letter(i + 1)
	case ' ': // N m, but not the blanks round a dot and not "deg C"
		word := i
		for word > 0 && (unicode.IsLetter(runes[word-1]) || runes[word-1] == '°') {
			word--
		}
		before := string(runes[word:i])
		return letter(i+1) && i > 0 && !strings.ContainsRune("·.- ", runes[i-1]) && before != "deg" && before != "°"
	}
	return false
}

func unitFactor(runes []rune, s, e int) (factorAt, error) {
	text := runes[s:e]
	cut := len(text)
	for cut > 0 && strings.ContainsRune("⁰¹²³⁴⁵⁶⁷⁸⁹⁻0123456789-^+", text[cut-1]) {
		cut--
	}
	f := factorAt{name: string(text[:cut]), power: 1, start: s, end: e}
	mark := text[cut:]
	if len(mark) == 0 {
		return f, nil
	}
	if cut == 0 {
		if string(mark) == "1" {
			f.name = "1"
			return f, nil
		}
		return f, &TextError{Start: s, End: e, Message: fmt.Sprintf("number %s where a unit is wanted", string(mark)), Hint: "write one number, then one unit"}
	}
	if mark[0] == '^' {
		mark = mark[1:]
	}
	sign, digits, value := 1, 0, 0
	for i, r := range mark {
		switch at := strings.IndexRune("⁰0¹1²2³3⁴4⁵5⁶6⁷7⁸8⁹9", r); {
		case (r == '-' || r == '⁻') && i == 0:
			sign = -1
		case at >= 0:
			digits++
			value = value*10 + digitOf(r)
		default:
			digits = 99
		}
	}
	if digits != 1 || value == 0 || value > maxPower {
		return f, &TextError{Start: s, End: e, Message: fmt.Sprintf("bad exponent in the unit %s", string(text)), Hint: fmt.Sprintf("exponents run from 1 to %d, as in mm²", maxPower)}
	}
	f.power = sign * value
	return f, nil
}

func digitOf(r rune) int {
	if r >= '0' && r <= '9' {
		return int(r - '0')
	}
	return slices.Index([]rune("⁰¹²³⁴⁵⁶⁷⁸⁹"), r)
}

func unknownUnit(f factorAt, whole string, start, end int) error {
	e := &TextError{Start: f.start, End: f.end, Message: fmt.Sprintf("unknown unit %s", f.name)}
	if hint, ok := meantInstead[whole]; ok {
		e.Start, e.End = start, end
		e.Message, e.Hint = fmt.Sprintf("unknown unit %s", whole), hint
		return e
	}
	if hint, ok := meantInstead[f.name]; ok {
		e.Hint = hint
		return e
	}
	if symbol := spelledOut(f.name); symbol != "" {
		e.Hint = "write " + symbol
		return e
	}
	e.Nearest = nearestUnit(f.name)
	if e.Nearest != "" {
		e.Hint = "did you mean " + e.Nearest + "?"
	} else {
		e.Hint = "known are mm, µm, in, thou, N, N·m, lbf·ft, bar, psi, MPa, °C, rpm, h, km, cSt, HRC, HB, HV, ° and others"
	}
	return e
}

// spelledOut is the symbol of a unit whose name was written out, perhaps
// misspelt by a letter; "" for anything else.
func spelledOut(name string) string {
	folded := strings.TrimSuffix(strings.ToLower(name), "s")
	best, at := "", 2
	for _, n := range unitNames {
		if d := editDistance([]rune(folded), []rune(n.name)); d < at && len([]rune(folded)) > 3 {
			best, at = n.symbol, d
		}
	}
	return best
}

// unitNames are names of units with the symbols that are read for them.
var unitNames = []struct{ name, symbol string }{
	{"millimetre", "mm"}, {"millimeter", "mm"}, {"micrometre", "µm"}, {"micrometer", "µm"}, {"micron", "µm"}, {"metre", "m"}, {"meter", "m"},
	{"kilometre", "km"}, {"kilometer", "km"}, {"inch", "in"}, {"inche", "in"}, {"thousandth", "thou"}, {"newton", "N"},
	{"newtonmetre", "N·m"}, {"newtonmeter", "N·m"}, {"hour", "h"}, {"minute", "min"}, {"second", "s"}, {"degree", "deg"}, {"percent", "%"},
	{"kilogram", "kg"}, {"gram", "g"}, {"pascal", "Pa"}, {"kelvin", "K"}, {"celsiu", "°C"}, {"fahrenheit", "°F"}, {"centistoke", "cSt"},
}

// alikeLetters is made once: every name that is no unit is compared with all units.
var alikeLetters = strings.NewReplacer("·", "", "u", "µ")

// nearestUnit is the known symbol closest to s: the same letters in another
// case first, then the least edit distance, ties in table order; "" when
// nothing is near.
func nearestUnit(s string) string {
	fold := func(s string) string { return strings.ToLower(alikeLetters.Replace(s)) }
	best, bestDistance := "", 1+len([]rune(s))/3
	folded := fold(s)
	for _, c := range symbols {
		known := fold(c)
		if known == folded {
			return c
		}
		if d := editDistance([]rune(folded), []rune(known)); d < bestDistance || (d == bestDistance && best == "" && len([]rune(s)) > 2) {
			best, bestDistance = c, d
		}
	}
	return best
}

func editDistance(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range b {
			next := diagonal
			if x != y {
				next = 1 + min(diagonal, row[j], row[j+1])
			}
			diagonal, row[j+1] = row[j+1], next
		}
	}
	return row[len(b)]
}
