package wording

import (
	"math"
	"strings"

	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

var yesNo = []string{"no", "yes"}

func listed(words []string, last string) string {
	switch n := len(words); n {
	case 0:
		return "none"
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " " + last + " " + words[n-1]
	}
}

func choiceWords(mask uint64, choices []string) string {
	return strings.ReplaceAll(listed(anew.Choices(mask, choices), "or"), "_", " ")
}

// NotKnown stands for a value that nobody knows.
const NotKnown = "not known"

func truthWords(t truth.Truth) string {
	return map[truth.Truth]string{truth.True: "yes", truth.False: "no", truth.Unknown: NotKnown}[t]
}

func stateWords(t truth.Truth) string {
	return map[truth.Truth]string{truth.True: "so", truth.False: "known not to be so", truth.Unknown: NotKnown}[t]
}

// shown is a value of a property in words.
func (w Words) shown(p *vocab.Property, v *vocab.Value) string {
	if v.Looked == vocab.CouldNotTell {
		return "could not tell"
	}
	if v.Looked != vocab.Told {
		return NotKnown
	}
	switch p.Type {
	case vocab.YesNo:
		return truthWords(v.Truth())
	case vocab.Choice:
		return choiceWords(v.Mask, p.Choices)
	case vocab.Number, vocab.Whole, vocab.Size:
		return measure.Format(v.Number, p.Unit, p.Decimals)
	case vocab.Part:
		return w.PartName(v.Ref)
	case vocab.Parts:
		return w.partNames(v.Refs)
	}
	return v.Text
}

func (w Words) partNames(parts []int32) string {
	var names []string
	for _, p := range parts {
		names = append(names, w.PartName(p))
	}
	return listed(names, "and")
}

// valueOf is the value of an expression in words.
func (c Place) valueOf(e *condition.Expr) string {
	switch e.Type.K {
	case condition.KBool:
		return truthWords(c.Truth(e))
	case condition.KNum:
		if n, ok := c.Number(e); ok {
			return numberWords(n, e.Type)
		}
	case condition.KPick:
		if m := c.Mask(e); m != 0 {
			return choiceWords(m, e.Type.Prop.Choices)
		}
	case condition.KPart:
		if p := c.Part(e); p != anew.UnknownPart {
			return c.PartName(p)
		}
	case condition.KList:
		if list, ok := c.List(e); ok {
			var parts []int32
			for _, m := range list {
				parts = append(parts, m.Part)
			}
			return Words{c.World}.partNames(parts)
		}
	case condition.KText:
		if e.Op == condition.Const {
			return e.Text
		}
		if f, ok := c.Fact(e); ok {
			if v, told := c.Value(f); told {
				return v.Text
			}
		}
	}
	return NotKnown
}

func numberWords(n measure.Number, t condition.Type) string {
	unit, own := measure.Display(t.Dim, t.Point), t.Prop != nil && t.Prop.Kind.Property(t.Prop.ID) == t.Prop
	if t.Prop != nil {
		unit = t.Prop.Unit
	}
	if own {
		return measure.Format(n, unit, t.Prop.Decimals)
	}
	x := 0.0 // to three significant figures
	for _, end := range []float64{n.Lo, n.Hi} {
		if !math.IsInf(end, 0) {
			if unit != nil {
				end = unit.FromBase(end)
			}
			x = max(x, math.Abs(end))
		}
	}
	decimals := 0
	if x != 0 {
		decimals = max(0, 2-int(math.Floor(math.Log10(x))))
	}
	return measure.Format(n, unit, decimals)
}

// Say fills a text of the pack.
func (c Place) Say(t *condition.Template) string {
	var b strings.Builder
	if t != nil {
		for _, p := range t.Pieces {
			switch {
			case p.Expr == nil:
				b.WriteString(p.Words)
			case p.Expr.Op == condition.Name:
				b.WriteString(c.PartName(c.Bound[p.Expr.Var]))
			default:
				b.WriteString(c.valueOf(p.Expr))
			}
		}
	}
	return b.String()
}

// here is the text of a node, the names replaced by the ids of their parts.
func (c Place) here(k *condition.Condition, root *condition.Expr) string {
	at := map[int]*condition.Expr{}
	var find func(e *condition.Expr)
	find = func(e *condition.Expr) {
		if e.Op == condition.Name {
			at[e.From] = e
		}
		for _, a := range e.Args {
			find(a)
		}
	}
	find(root)
	var b strings.Builder
	r := []rune(k.Text)
	from, to := root.From, root.To
	if root == k.Root {
		from, to = 0, len(r)
	}
	for i := from; i < to; i++ {
		if n := at[i]; n != nil {
			b.WriteString(c.PartID(c.Bound[n.Var]))
			i = n.To - 1
			continue
		}
		b.WriteRune(r[i])
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// quantity tells a number of a property.
func (w Words) quantity(n measure.Number, p *vocab.Property) *said.Quantity {
	q := &said.Quantity{Text: measure.Format(n, p.Unit, p.Decimals)}
	if !math.IsInf(n.Lo, 0) {
		q.Lo = &n.Lo
	}
	if !math.IsInf(n.Hi, 0) {
		q.Hi = &n.Hi
	}
	if p.Unit != nil {
		q.Unit = p.Unit.Symbol
	}
	if n.Terms != nil {
		u := n.U()
		if q.U = &u; u > 0 {
			q.Plus = expanded(w.Facts.K*u, p)
		}
	}
	return q
}

// expanded is an expanded uncertainty, never shown smaller than it is: rounded
// up to the decimals of its property, or where that doubles it to two digits.
func expanded(x float64, p *vocab.Property) string {
	if p.Decimals >= 0 && p.Unit != nil {
		digit := p.Unit.ToBase(math.Pow(10, -float64(p.Decimals))) - p.Unit.ToBase(0)
		if up := math.Ceil(x/digit-1e-9) * digit; up < 2*x {
			return measure.FormatDifference(up, p.Unit, p.Decimals)
		}
	}
	return measure.FormatDifference(twoDigits(x, 1), p.Unit, measure.Shortest)
}

// twoDigits rounds to two digits, up or down.
func twoDigits(x, way float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return x
	}
	scale := math.Pow(10, math.Floor(math.Log10(x))-1)
	if way > 0 {
		return math.Ceil(x/scale-1e-9) * scale
	}
	return math.Floor(x/scale+1e-9) * scale
}

func plus(q *said.Quantity) string {
	if q.Plus == "" {
		return ""
	}
	return " ± " + q.Plus
}
