// Package explain tells what a run found, and why. Start with [New], which
// takes a program and its result, then [Case.Diagnose] for the whole of it,
// [Case.Why], [Case.WhyNot], [Case.WhatIf] and [Case.Next] for a question.
// Answers are plain values; the writers beside them (text, JSON) and the
// packages note and draw put them into a form. It concludes nothing itself.
package explain

import (
	"slices"
	"strings"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Case is one inspection run through one pack.
type Case struct {
	Program *engine.Program
	Result  *record.Result
	Facts   *rules.Facts
	Pack    *rules.Pack

	ways       map[record.FactID][]record.Way // asked before
	stageNow   vocab.Stage
	stageKnown bool
}

// New makes a case of a result and the program that made it.
func New(p *engine.Program, r *record.Result) *Case {
	return &Case{Program: p, Result: r, Facts: r.Facts, Pack: r.Facts.Layout.Pack, ways: map[record.FactID][]record.Way{}}
}

// Ways lists the rules and clues that conclude a fact, or might have.
func (c *Case) Ways(id record.FactID) []record.Way {
	w, ok := c.ways[id]
	if !ok {
		w = engine.Ways(c.Program, c.Result, id.Part, id.Prop)
		c.ways[id] = w
	}
	return w
}

// State is the state of a concluded fact.
func (c *Case) State(id record.FactID) truth.Truth { return c.Result.Fact(id.Part, id.Prop).State }

// PartName is the printed name of a part.
func (c *Case) PartName(part int32) string {
	if part < 0 {
		return "none"
	}
	return c.Facts.Parts[part].Name
}

// FactName is the printed name of a fact: "seat 2ex: overheated, steel changed".
func (c *Case) FactName(id record.FactID) string {
	return c.PartName(id.Part) + ": " + id.Prop.Name
}

// FactID is how a fact is named on the command line: seat_2ex.overheated.
func (c *Case) FactID(id record.FactID) string {
	return c.Facts.Parts[id.Part].ID + "." + id.Prop.ID
}

// Say fills a template for parts bound to the names of its statement.
func (c *Case) Say(t *condition.Template, bound []int32) string {
	if t == nil {
		return ""
	}
	var b strings.Builder
	for _, p := range t.Pieces {
		if p.Expr == nil {
			b.WriteString(p.Words)
			continue
		}
		b.WriteString(c.sayExpr(p.Expr, bound))
	}
	return b.String()
}

// SayAll fills each of several templates.
func (c *Case) SayAll(ts []*condition.Template, bound []int32) []string {
	var out []string
	for _, t := range ts {
		out = append(out, c.Say(t, bound))
	}
	return out
}

func (c *Case) sayExpr(e *condition.Expr, bound []int32) string {
	if e.Op == condition.Name {
		return c.PartName(bound[e.Var])
	}
	seen := engine.SeeExpr(c.Program, c.Result, e, bound)
	if e.Type.K == condition.KBool {
		return yesNo(seen.State)
	}
	return c.Value(&seen.Value, e.Type)
}

// unknownWords stand where a value that nobody knows is to be shown.
const unknownWords = "not known"

func yesNo(t truth.Truth) string {
	switch t {
	case truth.True:
		return "yes"
	case truth.False:
		return "no"
	}
	return unknownWords
}

// Value shows a value of a type in words, numbers in the unit of the property
// they come from.
func (c *Case) Value(v *vocab.Value, t condition.Type) string {
	if v.Looked == vocab.CouldNotTell {
		return "could not tell"
	}
	if v.Looked != vocab.Told {
		return unknownWords
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
		return measure.Format(v.Number, unit, threeFigures(v.Number, unit))
	case condition.KPick:
		return choiceWords(t.Prop.Choices, v.Mask)
	case condition.KPart:
		return c.PartName(v.Ref)
	case condition.KList:
		var names []string
		for _, r := range v.Refs {
			names = append(names, c.PartName(r))
		}
		return list(names, "and")
	case condition.KBool:
		return yesNo(v.Truth())
	}
	return v.Text
}

// Observed shows the value of an observation as it was written where that is
// more telling, else as it was understood.
func (c *Case) Observed(o *rules.Observation) string {
	return c.PropertyValue(o.Prop, &o.Value)
}

// PropertyValue shows a value of a property.
func (c *Case) PropertyValue(p *vocab.Property, v *vocab.Value) string {
	return c.Value(v, TypeOf(p))
}

// TypeOf is the type that a condition sees a property as.
func TypeOf(p *vocab.Property) condition.Type {
	switch p.Type {
	case vocab.YesNo:
		return condition.Type{K: condition.KBool}
	case vocab.Choice:
		return condition.Type{K: condition.KPick, Prop: p}
	case vocab.Number, vocab.Whole, vocab.Size:
		return condition.Type{K: condition.KNum, Dim: p.Unit.Dim, Point: p.Unit.Point, Prop: p}
	case vocab.Part:
		return condition.Type{K: condition.KPart, Kind: p.To}
	case vocab.Parts:
		return condition.Type{K: condition.KList, Kind: p.To}
	}
	return condition.Type{K: condition.KText}
}

// choiceWords names the possible choices: "brown or purple".
func choiceWords(choices []string, mask uint64) string {
	var names []string
	for i, ch := range choices {
		if mask&(1<<i) != 0 {
			names = append(names, strings.ReplaceAll(ch, "_", " "))
		}
	}
	return list(names, "or")
}

// list joins words: "a, b and c".
func list(words []string, last string) string {
	switch len(words) {
	case 0:
		return "none"
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}

// Together names parts briefly: those of one table by their stations, "seats
// 1ex, 2in and 2ex".
func (c *Case) Together(parts []int32) string {
	var groups []string
	for i := 0; i < len(parts); {
		p := &c.Facts.Parts[parts[i]]
		var rows []string
		j := i
		for ; j < len(parts); j++ {
			q := &c.Facts.Parts[parts[j]]
			if q.Kind != p.Kind || q.Table != p.Table {
				break
			}
			rows = append(rows, strings.ReplaceAll(q.Row, "_", " "))
		}
		if len(rows) == 1 || slices.Contains(rows, "") {
			for k := i; k < j; k++ {
				groups = append(groups, c.PartName(parts[k]))
			}
		} else {
			groups = append(groups, p.Table+"s "+list(rows, "and"))
		}
		i = j
	}
	return strings.Join(groups, "; ")
}
