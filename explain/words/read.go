package words

import (
	"whyworn/explain/account"
	"whyworn/facts"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Read tells a fact as a condition reads it, and where it is from.
func (w *Words) Read(id rules.FactID) account.Read {
	p := id.Prop
	r := account.Read{Fact: w.FactID(id), Part: w.PartID(id.Part), Property: p.ID, Name: w.FactName(id)}
	if p.Role.Concluded() {
		f := w.Fact(id)
		r.From, r.State, r.Value, r.Sure = account.FromConcluded, f.State.String(), State(f.State), Sure(f)
		return r
	}
	o, from := w.Facts.Lookup(id.Part, p), account.FromObserved
	if o == nil {
		o, from = w.Facts.Layout.Lookup(id.Part, p), account.FromDeclared
	}
	switch {
	case p.Type == vocab.Part || p.Type == vocab.Parts:
		r.From, r.Value = account.FromDeclared, w.reference(id)
	case o != nil && o.Value.Looked == vocab.Told:
		r.From, r.Value, r.Told = from, w.Observed(o), w.origin(o)
		if from == account.FromObserved {
			r.Look = w.Looking(id)
		}
		w.fill(&r, &o.Value, p)
	case p.Role == vocab.Computed:
		r.From, r.Value = account.FromNowhere, NotKnown
		if n, ok := w.Number(id); ok {
			v := vocab.Value{Looked: vocab.Told, Number: n}
			r.From, r.Value = account.FromComputed, w.PropertyValue(p, &v)
			w.fill(&r, &v, p)
		}
	case o != nil && o.Value.Looked == vocab.CouldNotTell:
		r.From, r.Value, r.Told = account.FromCouldNotTell, "looked at, could not tell", w.origin(o)
	case p.Role == vocab.Declared:
		r.From, r.Value = account.FromNowhere, "nobody gives it"
	default:
		r.From, r.Value, r.Look = account.FromNotLooked, "not looked at", w.Looking(id)
	}
	return r
}

// fill adds the value itself, beside its words.
func (w *Words) fill(r *account.Read, v *vocab.Value, p *vocab.Property) {
	switch p.Type {
	case vocab.YesNo:
		r.Choices = vocab.Possible(vocab.YesOrNo, v.Mask)
	case vocab.Choice:
		r.Choices = vocab.Possible(p.Choices, v.Mask)
	case vocab.Number, vocab.Whole:
		r.Number = w.Quantity(v.Number, p)
		if r.Number.Plus != "" {
			r.Value = Figure(r.Number)
		}
		if d := p.Directions(); d != "" {
			r.Value += " (" + d + ")"
		}
	}
}

func (w *Words) reference(id rules.FactID) string {
	part := &w.Facts.Parts[id.Part]
	if part.Kind != id.Prop.Kind {
		return NotKnown
	}
	if id.Prop.Type == vocab.Parts {
		var ids []string
		for _, n := range w.Facts.List(id.Prop, part.Ordinal) {
			ids = append(ids, w.PartID(n))
		}
		return List(ids, "and")
	}
	if n := w.Facts.Ref(id.Prop)[part.Ordinal]; n >= 0 {
		return w.PartID(n)
	}
	return "none"
}

// origin tells how an observation came to be known; a number worked out of a
// size as its readings did.
func (w *Words) origin(o *rules.Observation) *account.Origin {
	t := &account.Origin{Whose: o.Whose, ForAll: o.ForAll}
	answer := o.Answer
	if o.Prop.Role == vocab.Derived && o.Basis >= 0 {
		base := &w.Facts.Observations[o.Basis]
		t.Of = w.FactID(rules.FactID{Part: base.Part, Prop: base.Prop})
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
	for _, k := range o.Value.Number.Terms { // else by the uncertainty that the number carries
		if t.Tool == "" && k.Source >= 0 && int(k.Source) < len(w.Facts.Uncertainties) {
			t.Tool = w.tool(&facts.Answer{Tool: w.Facts.Uncertainties[k.Source].Tool})
		}
	}
	return t
}

// tool is what the instrument of an answer is.
func (w *Words) tool(a *facts.Answer) string {
	if in := w.Facts.Inspection; in != nil && a.Tool != "" {
		for _, t := range in.Tools {
			if t.Name.Text == a.Tool && t.Is != "" {
				return t.Is
			}
		}
	}
	return a.Tool
}

// Looking tells how a property is looked at, of a number worked out of a size
// how that size is measured; nil if its pack does not say.
func (w *Words) Looking(id rules.FactID) *account.Looking {
	p := Asked(id.Prop)
	if p.Ask == "" && p.Look == "" {
		return nil
	}
	return &account.Looking{Ask: p.Ask, How: p.Look, Tool: p.Tool, About: p.About, Minutes: p.Minutes, Past: p.Observable && w.Past(p)}
}

// Asked is the property that a person answers for the sake of p: the size
// behind a derived number, else p itself.
func Asked(p *vocab.Property) *vocab.Property {
	if p.Role == vocab.Derived && p.Of != nil {
		return p.Of
	}
	return p
}

// Past tells whether a property cannot be had any more, or not yet: what is
// seen running, before a nut is turned or uncleaned goes with its stage; what
// belongs after the repair waits for it. What stands on paper can always be had.
func (w *Words) Past(p *vocab.Property) bool {
	switch {
	case p.ID == "found" || p.OnPaper:
		return false
	case w.Stage == vocab.AfterRepair:
		return p.Stage != vocab.AfterRepair
	case p.Stage == vocab.AfterRepair:
		return true
	case p.Fleeting && w.Stage >= p.DestroyedBy:
		return true
	}
	return p.Stage < vocab.Cleaned && p.Stage < w.Stage
}

// Wanting tells what would have to be known.
func (w *Words) Wanting(id rules.FactID) account.Wanting {
	out := account.Wanting{Fact: w.FactID(id), Name: w.FactName(id), Reason: account.FromNotLooked, Look: w.Looking(id)}
	if o := w.Facts.Lookup(id.Part, id.Prop); o != nil && o.Value.Looked == vocab.CouldNotTell {
		out.Reason = account.FromCouldNotTell
	} else if o != nil || id.Prop.Role.Concluded() {
		out.Reason = "undecided"
	}
	return out
}
