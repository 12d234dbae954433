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
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules"
)

// Case is one inspection run through one pack.
type Case struct {
	*words.Words // its Facts are the inspection
	Program      *engine.Program
	Result       *record.Result
	Pack         *rules.Pack

	ways map[record.FactID][]record.Way // asked before
}

// New makes a case of a result and the program that made it.
func New(p *engine.Program, r *record.Result) *Case {
	return &Case{
		Words: words.New(ran{p, r}, r.Facts), Program: p, Result: r, Pack: r.Facts.Layout.Pack, ways: map[record.FactID][]record.Way{},
	}
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
			groups = append(groups, p.Table+"s "+words.List(rows, "and"))
		}
		i = j
	}
	return strings.Join(groups, "; ")
}
