package check

import (
	"math"

	"whyworn/facts"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

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
		if d := p.Directions(); d != "" {
			r.Value += " (" + d + ")"
		}
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
