package wording

import (
	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Read tells a fact as a condition reads it.
func (w Words) Read(f anew.Fact) said.Read {
	p := f.Prop
	r := said.Read{Fact: w.FactID(f), Part: w.PartID(f.Part), Property: p.ID, Name: w.FactName(f)}
	if p.Role.Concluded() {
		r.From, r.State, r.Value, r.Sure = "concluded", w.State(f).String(), stateWords(w.State(f)), w.sure(f)
		return r
	}
	o := w.Told(f)
	known := o != nil && o.Value.Looked == vocab.Told
	calc, computed := w.WorkedOut(f)
	switch {
	case anew.IsRef(p):
		r.From = "declared"
		switch {
		case p.Type == vocab.Part:
			r.Value = "none"
			if to := w.RefOf(f); to >= 0 {
				r.Value = w.PartID(to)
			}
		default:
			var ids []string
			parts, _ := w.ListOf(f)
			for _, q := range parts {
				ids = append(ids, w.PartID(q))
			}
			r.Value = listed(ids, "and")
		}
	case known:
		r.From, r.Value, r.Told = "declared", w.shown(p, &o.Value), w.origin(o)
		if w.Facts.Lookup(f.Part, p) == o {
			r.From, r.Look = "observed", w.Looking(f)
		}
		w.values(&r, &o.Value, p)
	case computed:
		v := vocab.Value{Looked: vocab.Told, Number: calc}
		r.From, r.Value = "computed", w.shown(p, &v)
		w.values(&r, &v, p)
	case p.Role == vocab.Computed:
		r.From, r.Value = "not_known", NotKnown
	case o != nil && o.Value.Looked == vocab.CouldNotTell:
		r.From, r.Value, r.Told = "could_not_tell", "looked at, could not tell", w.origin(o)
	case p.Role == vocab.Declared:
		r.From, r.Value = "not_known", "nobody gives it"
	default:
		r.From, r.Value, r.Look = "not_looked", "not looked at", w.Looking(f)
	}
	return r
}

func (w Words) values(r *said.Read, v *vocab.Value, p *vocab.Property) {
	switch p.Type {
	case vocab.YesNo:
		r.Choices = anew.Choices(v.Mask, yesNo)
	case vocab.Choice:
		r.Choices = anew.Choices(v.Mask, p.Choices)
	case vocab.Number, vocab.Whole:
		r.Number = w.quantity(v.Number, p)
		r.Value += plus(r.Number)
		if d := p.Directions(); d != "" {
			r.Value += " (" + d + ")"
		}
	}
}

func (w Words) origin(o *rules.Observation) *said.Origin {
	t := &said.Origin{Whose: o.Whose, ForAll: o.ForAll}
	answer := o.Answer
	if o.Prop.Role == vocab.Derived && o.Basis >= 0 {
		base := &w.Facts.Observations[o.Basis]
		t.Of = w.FactID(anew.Fact{Part: base.Part, Prop: base.Prop})
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
		if t.Tool == "" && k.Source >= 0 && int(k.Source) < len(w.Facts.Uncertainties) {
			t.Tool = w.tool(&facts.Answer{Tool: w.Facts.Uncertainties[k.Source].Tool})
		}
	}
	return t
}

func (w Words) tool(a *facts.Answer) string {
	if w.Facts.Inspection != nil {
		for _, t := range w.Facts.Inspection.Tools {
			if t.Name.Text == a.Tool && t.Is != "" {
				return t.Is
			}
		}
	}
	return a.Tool
}

// Looking tells how a fact is looked at; nil if its pack does not say.
func (w Words) Looking(f anew.Fact) *said.Looking {
	p := f.Prop
	if p.Role == vocab.Derived && p.Of != nil {
		p = p.Of
	}
	if p.Ask == "" && p.Look == "" {
		return nil
	}
	return &said.Looking{Ask: p.Ask, How: p.Look, Tool: p.Tool, About: p.About, Minutes: p.Minutes, Past: w.Past(p)}
}

// sure is how sure a concluded fact is, in words.
func (w Words) sure(f anew.Fact) string {
	certain, prob, decided := w.Certainty(f)
	switch {
	case certain:
		return stateWords(w.State(f)) + ", by rule"
	case decided || prob > 0:
		return word(prob) + ", " + odds(prob)
	}
	return stateWords(w.State(f))
}

// ReasonOf is why a fact is unknown, as a code; "" if it is known.
func (w Words) ReasonOf(f anew.Fact) string {
	_, given := w.Value(f)
	_, computed := w.WorkedOut(f)
	switch concluded, reachable := w.Concludes(f.Prop); {
	case given, computed, w.State(f) != truth.Unknown:
		return ""
	case !concluded:
		return w.Read(f).From
	case w.InConflict(f):
		return "in_conflict"
	case !reachable:
		return "nothing_concludes"
	}
	return "open"
}

// Wanting tells what would have to be known.
func (w Words) Wanting(f anew.Fact) said.Wanting {
	out := said.Wanting{Fact: w.FactID(f), Name: w.FactName(f), Reason: "not_looked", Look: w.Looking(f)}
	if o := w.Facts.Lookup(f.Part, f.Prop); o != nil && o.Value.Looked == vocab.CouldNotTell {
		out.Reason = "could_not_tell"
	} else if o != nil || f.Prop.Role.Concluded() {
		out.Reason = "undecided"
	}
	return out
}
