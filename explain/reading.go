package explain

import (
	"math"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// reason is why a condition is unknown: a code for JSON, words for people.
type reason struct{ code, words string }

var reasons = [...]reason{
	record.NoReason:         {"", ""},
	record.NobodyLooked:     {"not_looked", "nobody has looked"},
	record.LookedCouldNot:   {"could_not_tell", "looked at, could not tell"},
	record.PartlyKnown:      {"partly_known", "what is told leaves it open"},
	record.WithinU:          {"within_u", "undecided at this uncertainty"},
	record.NoMember:         {"no_member", "there is no such part here"},
	record.NoReference:      {"no_reference", "it has none here"},
	record.StoodBack:        {"stood_back", "an exception holds it back"},
	record.OpenFinding:      {"open", "what it rests on is not known"},
	record.OutOfDomain:      {"out_of_domain", "the table or formula does not reach so far"},
	record.InConflict:       {"in_conflict", "what it rests on is in conflict"},
	record.NothingConcludes: {"nothing_concludes", "no rule or clue of this pack could tell"},
}

// Reasons lists the codes of Cond.Why with their words.
func Reasons() map[string]string {
	out := map[string]string{}
	for _, r := range reasons[1:] {
		out[r.code] = r.words
	}
	return out
}

// reasonOf is the first reason given at or below a node.
func reasonOf(n *record.Seen) record.Reason {
	if n.Reason != record.NoReason {
		return n.Reason
	}
	for i := range n.Args {
		if n.Args[i].State == truth.True || n.Args[i].State == truth.False {
			continue
		}
		if r := reasonOf(&n.Args[i]); r != record.NoReason {
			return r
		}
	}
	return record.NoReason
}

// quantity tells a number of a property.
func (c *Case) quantity(v *vocab.Value, p *vocab.Property) *Quantity {
	n := v.Number
	q := &Quantity{Text: c.PropertyValue(p, v), Lo: end(n.Lo), Hi: end(n.Hi)}
	if p.Unit != nil {
		q.Unit = p.Unit.Symbol
	}
	if n.Terms != nil {
		u := n.U()
		q.U = &u
		if u > 0 {
			q.Plus = c.plusWords(c.Facts.K*u, p)
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

// plusWords shows an expanded uncertainty, rounded up: to the decimals of its
// property if that leaves a digit, else to two digits.
func (c *Case) plusWords(x float64, p *vocab.Property) string {
	if p.Decimals >= 0 && p.Unit != nil {
		step := p.Unit.ToBase(math.Pow(10, -float64(p.Decimals))) - p.Unit.ToBase(0)
		if up := math.Ceil(x/step-1e-9) * step; up < 2*x {
			return measure.FormatDifference(up, p.Unit, p.Decimals)
		}
	}
	return measure.FormatDifference(ceil(x), p.Unit, measure.Shortest)
}

// ceil keeps two significant digits, rounded up, so that an uncertainty is
// never shown smaller than it is.
func ceil(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return x
	}
	scale := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Ceil(x/scale-1e-9) * scale
}

// read tells a value that a condition read, and where it is from.
func (c *Case) read(id record.FactID) Read {
	p := id.Prop
	r := Read{Fact: c.FactID(id), Part: c.Facts.Parts[id.Part].ID, Property: p.ID, Name: c.FactName(id), id: id}
	if p.Role.Concluded() {
		f := c.Result.Fact(id.Part, p)
		r.From, r.State, r.Value, r.Sure = FromConcluded, f.State.String(), stateWords(f.State), c.sureWords(f)
		return r
	}
	o, from := c.Facts.Lookup(id.Part, p), FromObserved
	if o == nil {
		o, from = c.Facts.Layout.Lookup(id.Part, p), FromDeclared
	}
	switch {
	case p.Type == vocab.Part || p.Type == vocab.Parts:
		r.From, r.Value = FromDeclared, c.reference(id)
	case o != nil && o.Value.Looked == vocab.Told:
		r.From, r.Value, r.Told = from, c.Observed(o), c.told(o)
		if from == FromObserved {
			r.Look = c.looking(id)
		}
		c.valueRead(&r, &o.Value, p)
	case p.Role == vocab.Computed:
		r.From, r.Value = FromNowhere, unknownWords
		if v, ok := c.Result.Number(id.Part, p); ok {
			r.From, r.Value = FromComputed, c.PropertyValue(p, &v)
			c.valueRead(&r, &v, p)
		}
	case o != nil && o.Value.Looked == vocab.CouldNotTell:
		r.From, r.Value, r.Told = FromCouldNotTell, "looked at, could not tell", c.told(o)
	case p.Role == vocab.Declared:
		r.From, r.Value = FromNowhere, "nobody gives it"
	default:
		r.From, r.Value, r.Look = FromNotLooked, "not looked at", c.looking(id)
	}
	return r
}

func (c *Case) valueRead(r *Read, v *vocab.Value, p *vocab.Property) {
	switch p.Type {
	case vocab.YesNo:
		r.Choices = possible(yesNoWords, v.Mask)
	case vocab.Choice:
		r.Choices = possible(p.Choices, v.Mask)
	}
	if p.Type == vocab.Number || p.Type == vocab.Whole {
		r.Number = c.quantity(v, p)
		r.Value += plus(r.Number)
		if d := p.Directions(); d != "" {
			r.Value += " (" + d + ")"
		}
	}
}

// possible lists the choices of a mask.
func possible(choices []string, mask uint64) []string {
	var out []string
	for i, ch := range choices {
		if mask&(1<<i) != 0 {
			out = append(out, ch)
		}
	}
	return out
}

func (c *Case) reference(id record.FactID) string {
	part := &c.Facts.Parts[id.Part]
	if part.Kind != id.Prop.Kind {
		return unknownWords
	}
	if id.Prop.Type == vocab.Parts {
		var ids []string
		for _, n := range c.Facts.List(id.Prop, part.Ordinal) {
			ids = append(ids, c.Facts.Parts[n].ID)
		}
		return list(ids, "and")
	}
	if n := c.Facts.Ref(id.Prop)[part.Ordinal]; n >= 0 {
		return c.Facts.Parts[n].ID
	}
	return "none"
}

// told tells how an observation came to be known.
func (c *Case) told(o *rules.Observation) *Origin {
	t := &Origin{Whose: o.Whose, ForAll: o.ForAll}
	if o.Prop.Role == vocab.Derived && o.Basis >= 0 {
		base := &c.Facts.Observations[o.Basis]
		t.Of = c.FactID(record.FactID{Part: base.Part, Prop: base.Prop})
		if a := base.Answer; a != nil && o.Answer == nil {
			c.answer(t, &rules.Observation{Answer: a})
		}
	}
	c.answer(t, o)
	if t.Tool == "" {
		t.Tool = c.toolName(o)
	}
	return t
}

func (c *Case) answer(t *Origin, o *rules.Observation) {
	a := o.Answer
	if a == nil {
		return
	}
	if a.Is != nil {
		t.Written = a.Is.Text
	}
	t.By, t.Where, t.Sure, t.Photo = a.By, a.Where, a.Sure, a.Photo
	if a.Tool != "" {
		t.Tool = c.tool(a.Tool)
	}
}

// tool is what an instrument of the inspection is.
func (c *Case) tool(name string) string {
	if in := c.Facts.Inspection; in != nil {
		for _, t := range in.Tools {
			if t.Name.Text == name && t.Is != "" {
				return t.Is
			}
		}
	}
	return name
}

// toolName finds the instrument through the uncertainty that a number carries.
func (c *Case) toolName(o *rules.Observation) string {
	for _, t := range o.Value.Number.Terms {
		if int(t.Source) < len(c.Facts.Uncertainties) && t.Source >= 0 {
			if u := c.Facts.Uncertainties[t.Source]; u.Tool != "" {
				return c.tool(u.Tool)
			}
		}
	}
	return ""
}

// looking tells how a property is looked at; of a number worked out of a size,
// how that size is measured.
func (c *Case) looking(id record.FactID) *Looking {
	p := asked(id.Prop)
	if p.Ask == "" && p.Look == "" {
		return nil
	}
	return &Looking{Ask: p.Ask, How: p.Look, Tool: p.Tool, About: p.About, Minutes: p.Minutes, Past: p.Observable && c.past(p, c.stage())}
}

// asked is the property that a person answers for the sake of p: the size
// behind a derived number, else p itself.
func asked(p *vocab.Property) *vocab.Property {
	if p.Role == vocab.Derived && p.Of != nil {
		return p.Of
	}
	return p
}

// shift gives a copy of a node whose offsets count from from on: the text it
// goes with is cut out of its condition.
func shift(e *condition.Expr, from int) *condition.Expr {
	out := *e
	out.From, out.To = e.From-from, e.To-from
	out.Args = slices.Clone(e.Args)
	for i := range out.Args {
		out.Args[i] = shift(e.Args[i], from)
	}
	return &out
}
