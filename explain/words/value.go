package words

import (
	"math"
	"regexp"
	"strings"

	"whyworn/explain/account"
	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Value shows a value of a type, numbers in the unit of the property they come
// from.
func (w *Words) Value(v *vocab.Value, t condition.Type) string {
	if v.Looked == vocab.CouldNotTell {
		return "could not tell"
	}
	if v.Looked != vocab.Told {
		return NotKnown
	}
	switch t.K {
	case condition.KNum:
		if t.Prop != nil && t.Prop.Kind.Property(t.Prop.ID) == t.Prop { // not a result of the handbook
			return w.shown(v.Number, t.Prop)
		}
		unit := measure.Display(t.Dim, t.Point)
		if t.Prop != nil {
			unit = t.Prop.Unit
		}
		return measure.Format(v.Number, unit, ThreeFigures(v.Number, unit))
	case condition.KPick:
		return Choices(t.Prop.Choices, v.Mask)
	case condition.KPart:
		return w.PartName(v.Ref)
	case condition.KList:
		var names []string
		for _, r := range v.Refs {
			names = append(names, w.PartName(r))
		}
		return List(names, "and")
	case condition.KBool:
		return yesNo(v.Truth())
	}
	return v.Text
}

// shown is a number of a property: a limit with the decimals it was written
// with, others with those of the property, or of its uncertainty where it sets
// none; two ends that look the same are one.
func (w *Words) shown(n measure.Number, p *vocab.Property) string {
	decimals := p.Decimals
	if d, ok := w.Facts.Layout.Decimals(p, n.Lo); ok && n.IsValue() {
		decimals = d
	} else if u := n.U(); u > 0 && n.IsValue() && decimals < 0 {
		decimals = places(Expanded(w.Facts.K*u, p))
	} else if decimals < 0 && n.IsValue() && digits(measure.FormatValue(n.Lo, p.Unit, decimals)) > mostDigits {
		decimals = max(0, ThreeFigures(n, p.Unit)+mostDigits-3)
	}
	if end := measure.FormatValue(n.Lo, p.Unit, decimals); !n.IsValue() && decimals >= 0 && !n.LoOpen && !n.HiOpen && end == measure.FormatValue(n.Hi, p.Unit, decimals) {
		return end
	}
	return measure.Format(n, p.Unit, decimals)
}

// mostDigits is how many significant digits a person writes of a reading; more are
// those of a conversion: 18 psi is 1.24106 bar.
const mostDigits = 6

func digits(text string) int {
	number, _, _ := strings.Cut(text, " ")
	return len(strings.TrimLeft(strings.Replace(strings.TrimPrefix(number, "-"), ".", "", 1), "0"))
}

// Observed shows the value of an observation; a number with the decimals that
// the person wrote: 0.30 mm.
func (w *Words) Observed(o *rules.Observation) string {
	text := w.PropertyValue(o.Prop, &o.Value)
	if o.Answer == nil || o.Answer.Is == nil || o.Prop.Role == vocab.Derived || o.Prop.Type != vocab.Number {
		return text
	}
	number, _, _ := strings.Cut(text, " ")
	if as := figures.FindString(o.Answer.Is.Text); as != number && strings.Contains(as, ".") && padded(number, places(as)) == as {
		return as + text[len(number):]
	}
	return text
}

var figures = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// places is how many decimals the first number of a text has.
func places(text string) int {
	_, fraction, _ := strings.Cut(figures.FindString(text), ".")
	return len(fraction)
}

// padded writes a decimal with at least that many decimals.
func padded(number string, places int) string {
	whole, fraction, _ := strings.Cut(number, ".")
	if len(fraction) >= places {
		return number
	}
	return whole + "." + fraction + strings.Repeat("0", places-len(fraction))
}

// PropertyValue shows a value of a property.
func (w *Words) PropertyValue(p *vocab.Property, v *vocab.Value) string {
	return w.Value(v, condition.TypeOf(p))
}

// ThreeFigures is how many decimals show a worked-out number to three
// significant figures: no formula or table here is good for more.
func ThreeFigures(n measure.Number, unit *measure.Unit) int {
	x := 0.0
	for _, end := range []float64{n.Lo, n.Hi} {
		if !math.IsInf(end, 0) {
			if unit != nil {
				end = unit.FromBase(end)
			}
			x = max(x, math.Abs(end))
		}
	}
	if x == 0 {
		return 0
	}
	return max(0, 2-int(math.Floor(math.Log10(x))))
}

// Quantity tells a number of a property, to the decimals of its uncertainty
// where that is finer.
func (w *Words) Quantity(n measure.Number, p *vocab.Property) *account.Quantity {
	v := vocab.Value{Looked: vocab.Told, Number: n}
	q := &account.Quantity{Text: w.PropertyValue(p, &v), Lo: end(n.Lo), Hi: end(n.Hi)}
	if p.Unit != nil {
		q.Unit = p.Unit.Symbol
	}
	if n.Terms == nil {
		return q
	}
	u := n.U()
	q.U = &u
	if !(u > 0) {
		return q
	}
	q.Plus = Expanded(w.Facts.K*u, p)
	switch {
	case n.IsValue() && p.Decimals >= 0 && places(q.Plus) > p.Decimals:
		q.Text = measure.FormatValue(n.Lo, p.Unit, places(q.Plus))
	case !n.IsValue() && p.Bounded: // an end that is all but the last possible cannot move out
		room := w.Facts.K * u
		lo, hi := n.Lo-room >= p.Possible.Lo, n.Hi+room <= p.Possible.Hi
		switch {
		case !strings.Contains(q.Text, " to ") && !(lo && hi), !lo && !hi:
			q.Plus = ""
		case !hi:
			q.Of = "the lower end"
		case !lo:
			q.Of = "the upper end"
		}
	}
	return q
}

// Figure is a number as people read it, with its expanded uncertainty: "0.168 ±
// 0.008 mm"; of a range "88 to 100 %, each end ± 7 %", or only the end that is
// not the last that is possible.
func Figure(q *account.Quantity) string {
	if q.Plus == "" {
		return q.Text
	}
	if strings.Contains(q.Text, " to ") {
		of := q.Of
		if of == "" {
			of = "each end"
		}
		return q.Text + ", " + of + " ± " + q.Plus
	}
	if q.Lo == nil || q.Hi == nil {
		return q.Text + ", ± " + q.Plus
	}
	number, unit, spaced := strings.Cut(q.Text, " ")
	if spaced {
		return number + " ± " + strings.TrimSuffix(q.Plus, " "+unit) + " " + unit
	}
	return q.Text + " ± " + q.Plus
}

func end(x float64) *float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return nil
	}
	return &x
}

// Expanded shows an expanded uncertainty, rounded up so that it is never shown
// smaller than it is (JCGM 100:2008, 7.2.6): to the decimals of its property if
// that leaves a digit, else to one digit where that adds a quarter at the most,
// else to two.
func Expanded(x float64, p *vocab.Property) string {
	if p.Decimals >= 0 && p.Unit != nil {
		step := p.Unit.ToBase(math.Pow(10, -float64(p.Decimals))) - p.Unit.ToBase(0)
		if up := math.Ceil(x/step-1e-9) * step; up < 2*x {
			return measure.FormatDifference(up, p.Unit, p.Decimals)
		}
	}
	if p.Unit == nil {
		return measure.FormatValue(x, nil, measure.Shortest)
	}
	if x = p.Unit.DifferenceFromBase(x); x > 0 && !math.IsInf(x, 0) {
		scale := math.Pow(10, math.Floor(math.Log10(x)))
		if up := math.Ceil(x/scale-1e-9) * scale; up <= 1.25*x {
			x = up
		} else {
			x = math.Ceil(10*x/scale-1e-9) * scale / 10
		}
	}
	return measure.FormatDifference(p.Unit.DifferenceToBase(x), p.Unit, measure.Shortest)
}

// Enough shows an uncertainty that would still do, to two digits, rounded down.
func Enough(x float64, unit *measure.Unit) string {
	return measure.FormatDifference(twoDigitsDown(x), unit, measure.Shortest)
}

// EnoughIn is the number of Enough, in the unit.
func EnoughIn(x float64, unit *measure.Unit) float64 {
	return unit.DifferenceFromBase(twoDigitsDown(x))
}

func twoDigitsDown(x float64) float64 {
	if x > 0 && !math.IsInf(x, 0) {
		scale := math.Pow(10, math.Floor(math.Log10(x))-1)
		x = math.Floor(x/scale+1e-9) * scale
	}
	return x
}
