package meaning

import (
	"cmp"
	"fmt"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
)

// Bearing is a rule, a clue or a remedy for bound parts, as it bears on a fact.
type Bearing struct {
	record.Way               // of a rule or clue
	Remedy     *rules.Remedy // or this
	Each       rules.Binding
	When, All  []*condition.Condition // those of if; with them unless, the number that is set, the sign
	Through    *Bearing               // of a clue: the one it is counted through
	does       effect
	name       int // which of its parts the fact is of
}

// effect is what a rule or clue does to a fact.
type effect int

const (
	concludes effect = iota
	rulesOut
	sets
	speaks
)

// Outs tells whether it rules the fact out.
func (b *Bearing) Outs() bool { return b.does == rulesOut }

// Key names what it is and its parts, unlike any other of one fact.
func (b *Bearing) Key() string {
	switch {
	case b.Rule != nil:
		return Key(b.Rule.ID, "", b.Bound)
	case b.Clue != nil:
		return Key("", b.Clue.ID, b.Bound)
	}
	return Key("", "", b.Bound)
}

// Key is the key of a rule, a clue or neither for bound parts.
func Key(rule, clue string, bound []int32) string { return fmt.Sprintf("%q %q %d", rule, clue, bound) }

// bearings lists the rules and clues that bear on a fact, for all parts that
// they can be bound to; with refs for all that references let meet.
func (w *World) bearings(f Fact, refs bool) []*Bearing {
	memo := &w.at(f).bearings[0]
	if refs {
		memo = &w.at(f).bearings[1]
	}
	if h := w.heads[f.Prop]; h != nil && *memo == nil {
		for i := range h.uses {
			use := &h.uses[i]
			for _, bound := range w.bindings(use.Each, use.When, use.name, f.Part, refs) {
				b := *use
				b.Bound = bound
				*memo = append(*memo, &b)
			}
		}
	}
	return *memo
}

// Bearings lists all rules and clues that bear on a fact, as they came out.
func (w *World) Bearings(f Fact) []*Bearing {
	all := w.bearings(f, false)
	for _, b := range all {
		if b.Rule != nil {
			b.State, b.Round, _ = w.Fires(b)
		}
	}
	return all
}

// Due lists the parts for which a remedy is not known to be out of place.
func (w *World) Due(m *rules.Remedy) (out []*Bearing) {
	for _, bound := range w.bindings(m.Each, m.If, -1, 0, false) {
		b := &Bearing{Remedy: m, Each: m.Each, When: m.If, All: slices.Concat(m.If, m.Unless)}
		b.Bound = bound
		c := w.At(bound)
		if b.State, _ = c.all(m.If); b.State == truth.False {
			continue
		}
		for _, k := range m.Unless {
			if c.Truth(k.Root) == truth.True {
				b.State = truth.Unknown // an exception holds it back
			}
		}
		out = append(out, b)
	}
	return out
}

// Conflicts lists what is at odds about a fact.
func (w *World) Conflicts(f Fact) (out []record.Conflict) {
	x, by := w.at(f), map[effect][]string{}
	if !x.Conflict {
		return nil
	}
	add := func(kind record.ConflictKind, a, b measure.Number, by ...string) {
		out = append(out, record.Conflict{Fact: f, Kind: kind, Rules: by, A: a, B: b})
	}
	for i := range x.setters {
		for _, a := range x.setters[:i] {
			if b := x.setters[i]; !w.agree(a.number, b.number) {
				if a.rule == b.rule && bySize(a.number, b.number) > 0 {
					a, b = b, a
				}
				add(record.ValuesDisagree, a.number, b.number, a.rule.ID, b.rule.ID)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b record.Conflict) int {
		return cmp.Or(slices.Compare(a.Rules, b.Rules), bySize(a.A, b.A), bySize(a.B, b.B))
	})
	if v := w.Told(f); v != nil && len(out) == 0 {
		add(record.ObservedDisagrees, v.Number, x.setters[0].number, x.setters[0].rule.ID)
	}
	for _, b := range w.bearings(f, false) {
		state, _, _ := w.Fires(b)
		if state == truth.True && b.does < sets && !slices.Contains(by[b.does], b.Rule.ID) {
			by[b.does] = append(by[b.does], b.Rule.ID)
		}
	}
	fire, both := len(by[concludes]) > 0, slices.Concat(by[concludes], by[rulesOut])
	if fire && len(by[rulesOut]) > 0 {
		add(record.ConcludedAndRuledOut, measure.Number{}, measure.Number{}, both...)
	}
	if fire && x.byClues == truth.False || !fire && x.byClues == truth.True {
		add(record.CluesAgainstRule, measure.Number{}, measure.Number{}, both...)
	}
	return out
}

func bySize(a, b measure.Number) int {
	return cmp.Or(cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi), cmp.Compare(a.U(), b.U()))
}
