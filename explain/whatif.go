package explain

import (
	"fmt"
	"math"
	"strings"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Change is an observation to be taken as otherwise, or as never made.
type Change struct {
	Fact   record.FactID
	Text   string // the value as an inspection writes it
	Forget bool
}

// Difference is what an inspection would say otherwise if some observations
// were otherwise. Nothing that stays the same is in it.
type Difference struct {
	Changes  []Swap `json:"changes"`
	Findings []Turn `json:"findings,omitempty"`
	Verdicts []Turn `json:"verdicts,omitempty"`
	Numbers  []Turn `json:"numbers,omitempty"`
	Same     bool   `json:"same,omitempty"` // nothing else would change
}

// Swap is a change of an observation in words.
type Swap struct {
	Fact   string `json:"fact"`
	Name   string `json:"name"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// Turn is one thing that would be otherwise.
type Turn struct {
	Fact   string `json:"fact"`
	Name   string `json:"name"`
	Before Held   `json:"before"`
	After  Held   `json:"after"`
}

// Held is how a thing stands, and what it stands on.
type Held struct {
	State       string  `json:"state"`
	Answer      string  `json:"answer"`
	Certain     bool    `json:"certain,omitempty"`
	Probability float64 `json:"probability,omitempty"`
	Total       string  `json:"total,omitempty"`   // prior and counted clues, in decibans
	Because     string  `json:"because,omitempty"` // what leads to it
	Rule        string  `json:"rule,omitempty"`    // the rule or clue that leads to it
}

// ParseChange reads part.property=value, the value as an inspection writes it:
// ? is looked at, could not tell, and nothing is not looked at. Part and
// property go by their ids or by their printed names.
func (c *Case) ParseChange(text string) (*Change, error) {
	name, value, ok := strings.Cut(text, "=")
	id, prop, dotted := c.splitName(name)
	if !ok || !dotted {
		return nil, &CallError{
			Message: fmt.Sprintf("%q is no change of an observation", text),
			Hints: []string{"write part.property=value, for example seat_2ex.tint=blue",
				"part.property=? is looked at, could not tell; part.property= is not looked at"},
		}
	}
	parts := c.partsNamed(id)
	if len(parts) != 1 {
		return nil, c.noSuchPart(id, len(parts))
	}
	part := parts[0]
	p := propertyOf(c.Facts.Parts[part].Kind, prop, func(q *vocab.Property) bool { return q.Observable })
	if p == nil || !p.Observable && p.Role != vocab.Derived && p.Role != vocab.Computed {
		return nil, c.notObserved(part, prop, p)
	}
	value = strings.TrimSpace(value)
	if value == "?" && !p.Observable {
		return nil, &CallError{Message: fmt.Sprintf("%s.%s is worked out, so nobody looks at it", id, prop),
			Hints: []string{"give it a number, or change what it is worked out of"}}
	}
	out := &Change{Fact: record.FactID{Part: part, Prop: p}, Text: value, Forget: value == ""}
	_, ps := c.Facts.Amend([]rules.Amendment{out.amendment()})
	for _, q := range ps {
		if !q.Warning || q.Code == rules.NotPossible || q.Code == rules.FarFromNew || q.Code == rules.OverTheMeter {
			return nil, &CallError{Message: text + ": " + q.Message, Hints: q.Hints}
		}
	}
	return out, nil
}

// noSuchPart says that an id or name is of no part, or of several.
func (c *Case) noSuchPart(id string, several int) error {
	if several > 1 {
		return &CallError{Message: fmt.Sprintf("%q is of %d parts", id, several), Hints: []string{"change them one by one: each goes by its id"}}
	}
	e := &CallError{Message: fmt.Sprintf("no part is called %q", id)}
	if near := nearestName(id, c.partNames()); near != "" {
		e.Hints = append(e.Hints, near)
	}
	return e
}

// notObserved says that a property is none that a person answers.
func (c *Case) notObserved(part int32, id string, p *vocab.Property) error {
	k := c.Facts.Parts[part].Kind
	if p != nil {
		return &CallError{
			Message: fmt.Sprintf("%s.%s is not looked at but concluded or given", c.Facts.Parts[part].ID, id),
			Hints:   []string{"change what it rests on; whyworn why tells what that is"},
		}
	}
	var names []string
	for _, q := range k.Properties {
		if q.Observable {
			names = append(names, q.ID)
		}
	}
	e := &CallError{Message: fmt.Sprintf("nothing of the name %q is looked at on %s", id, article(k.Name))}
	if near := nearestName(id, names); near != "" {
		e.Hints = append(e.Hints, near)
	} else if len(names) > 0 {
		e.Hints = append(e.Hints, "there are "+strings.Join(names, ", "))
	}
	return e
}

func (k *Change) amendment() rules.Amendment {
	return rules.Amendment{Part: k.Fact.Part, Prop: k.Fact.Prop, Text: k.Text, Forget: k.Forget}
}

// WhatIf runs the inspection with some observations changed and tells only
// what would be otherwise. The second case is the inspection as changed.
func (c *Case) WhatIf(changes []Change) (*Difference, *Case, error) {
	var amendments []rules.Amendment
	for i := range changes {
		amendments = append(amendments, changes[i].amendment())
	}
	now, ps := c.Facts.Amend(amendments)
	if ps.HasErrors() {
		return nil, nil, &CallError{Message: ps[0].Message, Hints: ps[0].Hints}
	}
	s := c.Program.Bind(now)
	s.Run()
	after := New(c.Program, s.Result())
	d := &Difference{Changes: []Swap{}}
	for i := range changes {
		k := &changes[i]
		before, then := c.swapWords(k.Fact), after.swapWords(k.Fact)
		d.Changes = append(d.Changes, Swap{c.FactID(k.Fact), c.FactName(k.Fact), before, then})
	}
	if after.Result.Overrun != nil {
		return nil, nil, after.Result.Overrun
	}
	d.turns(c, after)
	d.Same = len(d.Findings)+len(d.Verdicts)+len(d.Numbers) == 0
	return d, after, nil
}

// swapWords shows a changed observation; of a size its readings.
func (c *Case) swapWords(id record.FactID) string {
	if o := c.Facts.Lookup(id.Part, id.Prop); o != nil && id.Prop.Type == vocab.Size && o.Value.Looked == vocab.Told {
		return o.Value.Text
	}
	return c.Read(id).Value
}

// turns compares the two cases in order of parts and properties.
func (d *Difference) turns(before, after *Case) {
	for n := range before.Facts.Parts {
		part := int32(n)
		for _, p := range before.Facts.Parts[n].Kind.Properties {
			id := record.FactID{Part: part, Prop: p}
			switch p.Role {
			case vocab.Damage, vocab.Cause:
				f, g := before.Result.Fact(part, p), after.Result.Fact(part, p)
				if !alike(f, g) {
					d.Findings = append(d.Findings, Turn{before.FactID(id), before.FactName(id), before.held(id), after.held(id)})
				}
			case vocab.Computed:
				a, b := before.numberHeld(id), after.numberHeld(id)
				if a.Answer != b.Answer {
					d.Numbers = append(d.Numbers, Turn{before.FactID(id), before.FactName(id), a, b})
				}
			}
		}
		v, ok := before.Result.Verdict(part)
		w, also := after.Result.Verdict(part)
		if ok && also && v.Level != w.Level {
			d.Verdicts = append(d.Verdicts, Turn{before.Facts.Parts[n].ID + ".verdict", before.PartName(part), before.judged(&v), after.judged(&w)})
		}
	}
}

// alike tells whether two states of a finding would be told alike: what moves a
// probability by less than a hundredth, within one word of the scale, is not told.
func alike(f, g record.Fact) bool {
	if f.State != g.State || f.Certain != g.Certain {
		return false
	}
	return f.Certain || math.Abs(f.Probability-g.Probability) < 0.01 && weigh.Word(f.Probability) == weigh.Word(g.Probability)
}

// held is how a finding stands and what leads to it.
func (c *Case) held(id record.FactID) Held {
	f := c.Result.Fact(id.Part, id.Prop)
	h := Held{State: f.State.String(), Answer: words.Sure(f), Certain: f.Certain}
	if !f.Certain && (f.Decided || f.Probability > 0) {
		h.Probability, h.Total = f.Probability, c.Sum(id).String()
	}
	h.Because, h.Rule = c.leading(id, f.State)
	return h
}

// leading is the first rule that gives a state, else the heaviest clue that
// speaks for it, with its reason.
func (c *Case) leading(id record.FactID, state truth.Truth) (because, name string) {
	ways := c.Ways(id)
	switch state {
	case truth.True:
		for _, w := range firstOf(ways) {
			if w.Rule != nil && w.State == truth.True && len(w.Rule.RulesOut) == 0 {
				if because = c.Say(w.Rule.Because, w.Bound); because == "" {
					because = c.SignOf(&w)
				}
				return because, w.Rule.ID
			}
		}
	case truth.False:
		for _, w := range ways {
			if w.Rule != nil && w.State == truth.True && len(w.Rule.RulesOut) > 0 {
				return c.Say(w.Rule.Because, w.Bound), w.Rule.ID
			}
		}
	}
	g := c.Weighing(id)
	heaviest := g.For
	if state == truth.False || len(g.For) == 0 || len(g.Against) > 0 && state == truth.Unknown && g.Against[0].Weight.Abs() > g.For[0].Weight {
		heaviest = g.Against
	}
	if len(heaviest) > 0 {
		w := &heaviest[0]
		return c.signWords(w) + " (" + w.Weight.String() + ")", w.Clue.ID
	}
	if state == truth.Unknown {
		return c.openWords(ways), ""
	}
	return c.deniedWords(ways)
}

// signWords words the sign of a decided clue as it came out.
func (c *Case) signWords(w *record.Way) string {
	sign := w.Clue.Sign
	switch {
	case sign.Root.Type.K != condition.KBool:
		return c.Plain(sign, w.Bound) + ": " + c.Value(&w.Sign.Value, sign.Root.Type)
	case w.Sign.State == truth.False:
		return c.Denied(sign.Root, w.Bound)
	}
	return c.Plain(sign, w.Bound)
}

// SignOf words the first condition of a way.
func (c *Case) SignOf(w *record.Way) string {
	if w.Rule != nil && len(w.Rule.If) > 0 {
		return c.Plain(w.Rule.If[0], w.Bound)
	}
	return ""
}

// openWords names the first thing that nobody knows of ways that are open.
func (c *Case) openWords(ways []record.Way) string {
	for i := range ways {
		w := &ways[i]
		if w.Rule == nil || w.State != truth.Unknown {
			continue
		}
		for k := range w.If {
			if w.If[k].State == truth.Unknown {
				return c.Plain(w.Rule.If[k], w.Bound) + ": " + words.Reason(reasonOf(&w.If[k]))
			}
		}
		for k := range w.Unless {
			if w.Unless[k].State == truth.True {
				return "held back, because " + c.Plain(w.Rule.Unless[k], w.Bound)
			}
		}
	}
	return ""
}

// deniedWords names the first condition known not to hold.
func (c *Case) deniedWords(ways []record.Way) (because, name string) {
	for i := range ways {
		w := &ways[i]
		if w.Rule == nil || w.State != truth.False {
			continue
		}
		for k := range w.If {
			if w.If[k].State == truth.False {
				return c.Denied(w.Rule.If[k].Root, w.Bound), w.Rule.ID
			}
		}
	}
	return "", ""
}

// numberHeld is how a computed number stands.
func (c *Case) numberHeld(id record.FactID) Held {
	h := Held{State: truth.Unknown.String(), Answer: words.NotKnown}
	v, ok := c.Result.Value(id.Part, id.Prop)
	if ok && v.Looked == vocab.Told {
		q := c.Quantity(v.Number, id.Prop)
		h.State, h.Answer = truth.True.String(), words.Figure(q)
	}
	return h
}

// judged is how a verdict stands and which rule gives it.
func (c *Case) judged(v *record.Verdict) Held {
	h := Held{State: truth.True.String(), Answer: v.Level.String()}
	p := c.Facts.Parts[v.Part].Kind.Property(vocab.VerdictID(v.Level))
	if p != nil {
		h.Because, h.Rule = c.leading(record.FactID{Part: v.Part, Prop: p}, truth.True)
	}
	if h.Because == "" && v.Level == vocab.Refit {
		h.Because = "every rule that speaks against it is known not to hold"
	}
	if h.Because == "" && v.Level == vocab.InspectFurther {
		var names []string
		for _, id := range v.Missing {
			names = append(names, c.FactName(id))
		}
		if n := len(names); n > 3 {
			names = append(names[:3], fmt.Sprintf("%d more", n-3))
		}
		h.Because = "not known: " + words.List(names, "and")
	}
	return h
}
