// Package gauge turns readings taken along and round a part into its sizes:
// largest, smallest, mean, out-of-round, taper and worn side, each with the
// uncertainty its readings, their instrument and the temperature give it.
//
// Start with [Parse], which reads a string such as
// "14.920 14.971 / 14.902 14.970", then [Readings.Evaluate].
//
// Limits: a size is what was read, at the spots that were read; form between
// them is not guessed. The difference of the largest and smallest of several
// readings is a little larger, on average, than the true one, by about one
// standard uncertainty of a reading; the guard band covers it.
package gauge

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"whyworn/facts/measure"
)

// Layout says how readings are laid down: rows, parted by '/', go along the
// part; columns, parted by blanks, go round it.
type Layout struct {
	Rows   int       // 0: any number
	Angles []float64 // of the columns, in degrees; nil: any number of columns, angles unknown
	// Period is the turn after which a reading repeats, in degrees: 180 for a
	// diameter, 360 for a radius or a wall. 0: 180 if all angles lie in
	// [0, 180), else 360.
	Period float64
}

// period is the turn after which readings laid out so repeat, in degrees.
func (l Layout) period() float64 {
	if l.Period > 0 {
		return l.Period
	}
	for _, a := range l.Angles {
		if a < 0 || a >= 180 {
			return 360
		}
	}
	return 180
}

// Set is the size that readings with a sign are counted from: a ring or a
// gauge block.
type Set struct {
	Size     measure.Number // in base units; its terms are the ring's own uncertainty
	Decimals int            // as written, in Unit
	Unit     *measure.Unit
}

// Readings are the readings of one size as written, before any correction.
type Readings struct {
	Layout     Layout
	Rows, Cols int
	// Spots holds the readings row by row, len Rows × Cols, base units. Where a
	// set size is given they are differences from it.
	Spots []Spot
	Set   *Set
	// Unit and Decimals are what sizes are printed in: of a difference from a
	// set size those fine enough for both.
	Unit     *measure.Unit
	Decimals int
	Text     string
}

// Spot is the reading at one place: one value, or the mean of repeats.
type Spot struct {
	Value   float64 // base units
	Repeats int     // values taken, at least 1
	squares float64 // sum of squared deviations from the mean
}

const maxReadingRunes, maxSpots, maxRepeats = 4000, 400, 20

// Parse reads readings in the unit of their instrument: plain numbers, or, with
// a set size, differences from it with their sign (0 needs none). The string
// may end in a unit of its own. Repeats at one spot are joined by ';', as in
// "14.920;14.921;14.920 14.971". Each error is a [*measure.TextError] with its
// place in the text.
func Parse(text string, layout Layout, unit *measure.Unit, set *Set) (Readings, error) {
	if out, ok := plainReadings(text, layout, unit, set); ok {
		out.printedIn(unit, out.Decimals)
		return out, nil
	}
	return parse(text, layout, unit, set)
}

// parse reads any readings.
func parse(text string, layout Layout, unit *measure.Unit, set *Set) (Readings, error) {
	p := readingParser{runes: []rune(text), unit: unit, set: set}
	out := Readings{Layout: layout, Set: set, Text: strings.TrimSpace(text)}
	if len(p.runes) > maxReadingRunes {
		return Readings{}, textError(0, len(p.runes), "write the readings of one size only", "%d characters are too many for a row of readings", len(p.runes))
	}
	rows, err := p.rows()
	if err != nil {
		return Readings{}, err
	}
	if err := checkLayout(rows, layout, len(p.runes)); err != nil {
		return Readings{}, err
	}
	out.Rows, out.Cols = len(rows), len(rows[0].tokens)
	out.Spots = make([]Spot, 0, out.Rows*out.Cols)
	decimals := 0
	for _, row := range rows {
		for _, tok := range row.tokens {
			s, d, err := p.spot(tok)
			if err != nil {
				return Readings{}, err
			}
			decimals = max(decimals, d)
			out.Spots = append(out.Spots, s)
		}
	}
	out.printedIn(p.unit, decimals)
	return out, nil
}

// printedIn sets what sizes of readings in a unit, with so many decimals, are
// printed in.
func (r *Readings) printedIn(unit *measure.Unit, decimals int) {
	r.Unit, r.Decimals = unit, decimals
	if set := r.Set; set != nil {
		r.Unit = set.Unit
		step := unit.DifferenceToBase(math.Pow(10, float64(-decimals)))
		fine := -math.Log10(set.Unit.DifferenceFromBase(step))
		r.Decimals = max(set.Decimals, int(math.Ceil(fine-1e-9)))
	}
}

type token struct{ start, end int }

type tokenRow struct {
	tokens     []token
	start, end int
}

type readingParser struct {
	runes []rune
	unit  *measure.Unit
	set   *Set
}

func textError(start, end int, hint, format string, args ...any) error {
	return &measure.TextError{Start: start, End: max(end, start+1), Message: fmt.Sprintf(format, args...), Hint: hint}
}

// rows splits the text and takes off a unit at its end.
func (p *readingParser) rows() ([]tokenRow, error) {
	p.trailingUnit()
	var rows []tokenRow
	row := tokenRow{}
	count := 0
	flush := func(end int) {
		row.end = end
		rows = append(rows, row)
		row = tokenRow{start: end + 1}
	}
	for i := 0; i < len(p.runes); {
		switch r := p.runes[i]; {
		case r == '/':
			flush(i)
			i++
		case unicode.IsSpace(r):
			i++
		default:
			j := i
			for j < len(p.runes) && !unicode.IsSpace(p.runes[j]) && p.runes[j] != '/' {
				j++
			}
			row.tokens = append(row.tokens, token{i, j})
			if count++; count > maxSpots {
				return nil, textError(i, j, "", "more than %d readings of one size", maxSpots)
			}
			i = j
		}
	}
	flush(len(p.runes))
	if count == 0 {
		return nil, textError(0, len(p.runes), "leave the answer out if nothing was measured", "readings are wanted, nothing is written")
	}
	return rows, nil
}

// trailingUnit takes a unit written after the last reading, if there is one.
func (p *readingParser) trailingUnit() {
	end := len(p.runes)
	for end > 0 && unicode.IsSpace(p.runes[end-1]) {
		end--
	}
	start := end
	for start > 0 && !unicode.IsSpace(p.runes[start-1]) && p.runes[start-1] != '/' {
		start--
	}
	if start == end || start == 0 || !(unicode.IsLetter(p.runes[start]) || p.runes[start] == 'µ') {
		return
	}
	if u, err := measure.UnitOf(string(p.runes[start:end])); err == nil && u.Dim == p.unit.Dim && !u.Point {
		p.unit = u
		p.runes = p.runes[:start]
	}
}

func checkLayout(rows []tokenRow, l Layout, length int) error {
	if l.Rows > 0 && len(rows) != l.Rows {
		few := "few"
		if len(rows) > l.Rows {
			few = "many"
		}
		return textError(rows[0].start, rows[len(rows)-1].end, fmt.Sprintf("part %s along the part by /", plural(l.Rows, "row")),
			"too %s rows of readings: %d, wanted are %d", few, len(rows), l.Rows)
	}
	want := len(l.Angles)
	if want == 0 {
		want = len(rows[0].tokens)
	}
	for i, r := range rows {
		at, end := r.start, r.end
		if n := len(r.tokens); n > 0 {
			at, end = r.tokens[0].start, r.tokens[n-1].end
		}
		switch n := len(r.tokens); {
		case n == 0:
			return textError(min(r.start, length-1), r.end, "rows go along the part, parted by one /", "row %d has no readings", i+1)
		case n < want:
			return textError(at, end, columnsHint(l, want), "too few readings in row %d: %d, wanted are %d", i+1, n, want)
		case n > want:
			return textError(r.tokens[want].start, end, columnsHint(l, want), "too many readings in row %d: %d, wanted are %d", i+1, n, want)
		}
	}
	return nil
}

func columnsHint(l Layout, want int) string {
	if len(l.Angles) == 0 {
		return fmt.Sprintf("every row wants as many readings as the first: %d", want)
	}
	var b strings.Builder
	for i, a := range l.Angles {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(measure.FormatValue(a, nil, measure.Shortest) + "°")
	}
	return "every row is read at " + b.String()
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// spot reads one token: a number, or repeats joined by ';'.
func (p *readingParser) spot(tok token) (Spot, int, error) {
	var values [maxRepeats]float64
	n, decimals := 0, 0
	for s := tok.start; s <= tok.end; {
		e := s
		for e < tok.end && p.runes[e] != ';' {
			e++
		}
		if n == maxRepeats {
			return Spot{}, 0, textError(tok.start, tok.end, "", "more than %d repeats at one spot", maxRepeats)
		}
		x, d, err := p.value(s, e)
		if err != nil {
			return Spot{}, 0, err
		}
		values[n] = x
		n++
		decimals = max(decimals, d)
		s = e + 1
	}
	spot := Spot{Value: values[0], Repeats: n}
	if n > 1 {
		var sum float64
		for _, x := range values[:n] {
			sum += x - values[0]
		}
		spot.Value += sum / float64(n)
		for _, x := range values[:n] {
			spot.squares += (x - spot.Value) * (x - spot.Value)
		}
	}
	return spot, decimals, nil
}

func (p *readingParser) value(start, end int) (float64, int, error) {
	text := string(p.runes[start:end])
	if start == end {
		return 0, 0, textError(start, end, "join repeats at one spot by ; without blanks", "a reading is missing")
	}
	if text == "?" {
		return 0, 0, textError(start, end, "write ? for the whole size, or read the spot again", "one reading of the size is ?")
	}
	signed := strings.ContainsRune("+-−", p.runes[start])
	if signed && start+1 == end {
		return 0, 0, textError(start, end, "write the sign and its number together, as +21", "a sign without a number")
	}
	w, err := measure.ParseNumber(text, p.unit, measure.BareInWant)
	if err != nil {
		e := *err.(*measure.TextError)
		if strings.ContainsRune(text, ',') && strings.HasSuffix(e.Message, "cannot follow a number") {
			e.Hint = "part readings by blanks, repeats at one spot by ;"
		}
		e.Start += start
		e.End = max(e.Start+1, min(e.End+start, end))
		return 0, 0, &e
	}
	x := w.Number.Lo
	switch {
	case p.set == nil && signed && len(text) > 1:
		return 0, 0, textError(start, end, "give the instrument its set size, or write the size itself", "reading %s is a difference, and no set size is known", text)
	case p.set != nil && !signed && x != 0:
		return 0, 0, textError(start, end, fmt.Sprintf("write the difference from %s with its sign, as +21",
			measure.Format(p.set.Size, p.set.Unit, p.set.Decimals)), "reading %s has no sign, though the instrument reads from a set size", text)
	case p.set == nil && x <= 0:
		return 0, 0, textError(start, end, "write the size that was read", "a size of %s cannot be", text)
	case p.set != nil && p.set.Size.Lo+x <= 0:
		return 0, 0, textError(start, end, "write the difference that was read", "with %s the size falls to nothing", text)
	}
	return x, w.Decimals, nil
}
