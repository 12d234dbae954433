package words

import (
	"math"

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
			return measure.Format(v.Number, t.Prop.Unit, t.Prop.Decimals)
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

// Observed shows the value of an observation.
func (w *Words) Observed(o *rules.Observation) string { return w.PropertyValue(o.Prop, &o.Value) }

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

// Quantity tells a number of a property.
func (w *Words) Quantity(n measure.Number, p *vocab.Property) *account.Quantity {
	v := vocab.Value{Looked: vocab.Told, Number: n}
	q := &account.Quantity{Text: w.PropertyValue(p, &v), Lo: end(n.Lo), Hi: end(n.Hi)}
	if p.Unit != nil {
		q.Unit = p.Unit.Symbol
	}
	if n.Terms != nil {
		u := n.U()
		q.U = &u
		if u > 0 {
			q.Plus = Expanded(w.Facts.K*u, p)
		}
	}
	return q
}

func end(x float64) *float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return nil
	}
	return &x
}

// Plus is the expanded uncertainty as it follows a value: " ± 0.02 mm", or "".
func Plus(q *account.Quantity) string {
	if q.Plus == "" {
		return ""
	}
	return " ± " + q.Plus
}

// Expanded shows an expanded uncertainty, rounded up so that it is never shown
// smaller than it is: to the decimals of its property if that leaves a digit,
// else to two digits.
func Expanded(x float64, p *vocab.Property) string {
	if p.Decimals >= 0 && p.Unit != nil {
		step := p.Unit.ToBase(math.Pow(10, -float64(p.Decimals))) - p.Unit.ToBase(0)
		if up := math.Ceil(x/step-1e-9) * step; up < 2*x {
			return measure.FormatDifference(up, p.Unit, p.Decimals)
		}
	}
	if x > 0 && !math.IsInf(x, 0) {
		scale := math.Pow(10, math.Floor(math.Log10(x))-1)
		x = math.Ceil(x/scale-1e-9) * scale
	}
	return measure.FormatDifference(x, p.Unit, measure.Shortest)
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
