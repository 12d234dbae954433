package check

import (
	"fmt"
	"math"
	"strings"

	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// How values and facts are worded. A word told otherwise than its value is a
// fault as much as a wrong value.

func (w *world) partID(part int32) string { return w.f.Parts[part].ID }

func (w *world) partName(part int32) string {
	if part < 0 {
		return "none"
	}
	return w.f.Parts[part].Name
}

func (w *world) factID(f fact) string   { return w.partID(f.Part) + "." + f.Prop.ID }
func (w *world) factName(f fact) string { return w.partName(f.Part) + ": " + f.Prop.Name }

func choicesOf(mask uint64, choices []string) (out []string) {
	for i, c := range choices {
		if mask>>i&1 == 1 {
			out = append(out, c)
		}
	}
	return out
}

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
	return strings.ReplaceAll(listed(choicesOf(mask, choices), "or"), "_", " ")
}

const notKnown = "not known"

func truthWords(t truth.Truth) string {
	return map[truth.Truth]string{truth.True: "yes", truth.False: "no", truth.Unknown: notKnown}[t]
}

func stateWords(t truth.Truth) string {
	return map[truth.Truth]string{truth.True: "so", truth.False: "known not to be so", truth.Unknown: notKnown}[t]
}

// shown is a value of a property in words.
func (w *world) shown(p *vocab.Property, v *vocab.Value) string {
	if v.Looked == vocab.CouldNotTell {
		return "could not tell"
	}
	if v.Looked != vocab.Told {
		return notKnown
	}
	switch p.Type {
	case vocab.YesNo:
		return truthWords(v.Truth())
	case vocab.Choice:
		return choiceWords(v.Mask, p.Choices)
	case vocab.Number, vocab.Whole, vocab.Size:
		return measure.Format(v.Number, p.Unit, p.Decimals)
	case vocab.Part:
		return w.partName(v.Ref)
	case vocab.Parts:
		return w.partNames(v.Refs)
	}
	return v.Text
}

func (w *world) partNames(parts []int32) string {
	var names []string
	for _, p := range parts {
		names = append(names, w.partName(p))
	}
	return listed(names, "and")
}

// valueOf is the value of an expression in words.
func (c place) valueOf(e *condition.Expr) string {
	switch e.Type.K {
	case condition.KBool:
		return truthWords(c.truth(e))
	case condition.KNum:
		if n, ok := c.number(e); ok {
			return numberWords(n, e.Type)
		}
	case condition.KPick:
		if m := c.mask(e); m != 0 {
			return choiceWords(m, e.Type.Prop.Choices)
		}
	case condition.KPart:
		if p := c.part(e); p != unknownPart {
			return c.partName(p)
		}
	case condition.KList:
		if list, ok := c.list(e); ok {
			var parts []int32
			for _, m := range list {
				parts = append(parts, m.part)
			}
			return c.partNames(parts)
		}
	case condition.KText:
		if e.Op == condition.Const {
			return e.Text
		}
		if f, ok := c.fact(e); ok {
			if v, told := c.value(f); told {
				return v.Text
			}
		}
	}
	return notKnown
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

// say fills a text of the pack.
func (c place) say(t *condition.Template) string {
	var b strings.Builder
	if t != nil {
		for _, p := range t.Pieces {
			switch {
			case p.Expr == nil:
				b.WriteString(p.Words)
			case p.Expr.Op == condition.Name:
				b.WriteString(c.partName(c.bound[p.Expr.Var]))
			default:
				b.WriteString(c.valueOf(p.Expr))
			}
		}
	}
	return b.String()
}

// here is the text of a node, the names replaced by the ids of their parts.
func (c place) here(k *condition.Condition, root *condition.Expr) string {
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
			b.WriteString(c.partID(c.bound[n.Var]))
			i = n.To - 1
			continue
		}
		b.WriteRune(r[i])
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// word is the published word for a probability, see DESIGN of the scale in
// package weigh: the IPCC guidance note of 2010, its bounds as quoted there.
func word(p float64) string {
	switch {
	case p >= 0.99-rounding:
		return "virtually certain"
	case p >= 0.90-rounding:
		return "very likely"
	case p >= 0.66-rounding:
		return "likely"
	case p <= 0.01+rounding:
		return "exceptionally unlikely"
	case p <= 0.10+rounding:
		return "very unlikely"
	case p <= 0.33+rounding:
		return "unlikely"
	}
	return "about as likely as not"
}

func odds(p float64) string {
	of := 100.0
	switch {
	case p > 0.999:
		return "over 999 in 1000"
	case p < 0.001:
		return "under 1 in 1000"
	case p >= 0.985 || p < 0.015:
		of = 1000
	}
	return fmt.Sprintf("%d in %d", int(math.Round(p*of)), int(of))
}

// decibans is a weight in words: its sign and one decimal, half away from zero.
func decibans(x int64) string {
	tenths := (max(x, -x) + 5e7) / 1e8
	sign := "+"
	switch {
	case tenths == 0:
		return "0.0"
	case x < 0:
		sign = "-"
	}
	return fmt.Sprintf("%s%d.%d", sign, tenths/10, tenths%10)
}

// quantity tells a number of a property.
func (w *world) quantity(n measure.Number, p *vocab.Property) *quantity {
	q := &quantity{Text: measure.Format(n, p.Unit, p.Decimals)}
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
			q.Plus = expanded(w.f.K*u, p)
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

func plus(q *quantity) string {
	if q.Plus == "" {
		return ""
	}
	return " ± " + q.Plus
}

// read tells a fact as a condition reads it.
func (w *world) read(f fact) read {
	p := f.Prop
	r := read{Fact: w.factID(f), Part: w.partID(f.Part), Property: p.ID, Name: w.factName(f)}
	if p.Role.Concluded() {
		r.From, r.State, r.Value, r.Sure = "concluded", w.state[f].String(), stateWords(w.state[f]), w.sure(f)
		return r
	}
	o := w.told(f)
	known := o != nil && o.Value.Looked == vocab.Told
	calc, computed := w.calc[f]
	switch {
	case isRef(p):
		r.From = "declared"
		switch {
		case p.Type == vocab.Part:
			r.Value = "none"
			if to := w.refOf(f); to >= 0 {
				r.Value = w.partID(to)
			}
		default:
			var ids []string
			parts, _ := w.listOf(f)
			for _, q := range parts {
				ids = append(ids, w.partID(q))
			}
			r.Value = listed(ids, "and")
		}
	case known:
		r.From, r.Value, r.Told = "declared", w.shown(p, &o.Value), w.origin(o)
		if w.f.Lookup(f.Part, p) == o {
			r.From, r.Look = "observed", w.looking(f)
		}
		w.values(&r, &o.Value, p)
	case computed:
		v := vocab.Value{Looked: vocab.Told, Number: calc}
		r.From, r.Value = "computed", w.shown(p, &v)
		w.values(&r, &v, p)
	case p.Role == vocab.Computed:
		r.From, r.Value = "not_known", notKnown
	case o != nil && o.Value.Looked == vocab.CouldNotTell:
		r.From, r.Value, r.Told = "could_not_tell", "looked at, could not tell", w.origin(o)
	case p.Role == vocab.Declared:
		r.From, r.Value = "not_known", "nobody gives it"
	default:
		r.From, r.Value, r.Look = "not_looked", "not looked at", w.looking(f)
	}
	return r
}

func (w *world) values(r *read, v *vocab.Value, p *vocab.Property) {
	switch p.Type {
	case vocab.YesNo:
		r.Choices = choicesOf(v.Mask, yesNo)
	case vocab.Choice:
		r.Choices = choicesOf(v.Mask, p.Choices)
	case vocab.Number, vocab.Whole:
		r.Number = w.quantity(v.Number, p)
		r.Value += plus(r.Number)
	}
}

func (w *world) origin(o *rules.Observation) *origin {
	t := &origin{Whose: o.Whose, ForAll: o.ForAll}
	answer := o.Answer
	if o.Prop.Role == vocab.Derived && o.Basis >= 0 {
		base := &w.f.Observations[o.Basis]
		t.Of = w.factID(fact{Part: base.Part, Prop: base.Prop})
		if answer == nil {
			answer = base.Answer
		}
	}
	if a := answer; a != nil {
		if a.Is != nil {
			t.Written = a.Is.Text
		}
		t.By, t.Where, t.Sure, t.Photo, t.Tool = a.By, a.Where, a.Sure, a.Photo, w.tool(a)
	}
	for _, k := range o.Value.Number.Terms {
		if t.Tool == "" && k.Source >= 0 && int(k.Source) < len(w.f.Uncertainties) {
			t.Tool = w.tool(&facts.Answer{Tool: w.f.Uncertainties[k.Source].Tool})
		}
	}
	return t
}

func (w *world) tool(a *facts.Answer) string {
	if w.f.Inspection != nil {
		for _, t := range w.f.Inspection.Tools {
			if t.Name.Text == a.Tool && t.Is != "" {
				return t.Is
			}
		}
	}
	return a.Tool
}

func (w *world) looking(f fact) *looking {
	p := f.Prop
	if p.Role == vocab.Derived && p.Of != nil {
		p = p.Of
	}
	if p.Ask == "" && p.Look == "" {
		return nil
	}
	l := &looking{Ask: p.Ask, How: p.Look, Tool: p.Tool, About: p.About, Minutes: p.Minutes}
	switch { // what goes with its stage, and what waits for the repair
	case !p.Observable || p.ID == "found":
	case w.stage == vocab.AfterRepair || p.Stage == vocab.AfterRepair:
		l.Past = w.stage != vocab.AfterRepair || p.Stage != vocab.AfterRepair
	default:
		l.Past = p.Fleeting && w.stage >= p.DestroyedBy || p.Stage < vocab.Cleaned && p.Stage < w.stage
	}
	return l
}

// sure is how sure a concluded fact is, in words.
func (w *world) sure(f fact) string {
	certain, prob, decided := w.certainty(f)
	switch {
	case certain:
		return stateWords(w.state[f]) + ", by rule"
	case decided || prob > 0:
		return word(prob) + ", " + odds(prob)
	}
	return stateWords(w.state[f])
}

// certainty is whether rules over observations alone settle a fact, else its
// probability and whether any clue was decided.
func (w *world) certainty(f fact) (certain bool, prob float64, decided bool) {
	ev, weighed := w.ev[f]
	known := w.state[f] != truth.Unknown
	if !weighed {
		return known, 0, false
	}
	s := w.sums[f]
	decided = s != nil && s.decided
	if known && (ev.lambda == 0 || math.IsInf(ev.lambda, 1)) {
		return true, 0, decided
	}
	return false, ev.prob, decided
}
