package anew

import (
	"cmp"
	"slices"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
)

// Setter is a rule that sets a number, for bound parts.
type Setter struct {
	Rule   *rules.Rule
	bound  []int32
	Number measure.Number
}

// Setters lists the rules that set a number, in the order of the pack.
func (w *World) Setters(f Fact) (out []Setter) {
	for _, b := range w.Bearings(f) {
		if b.State == truth.True && b.Set != nil {
			n, _, _ := w.setBy(use{rule: b.Rule, set: b.Set}, b.Bound)
			out = append(out, Setter{b.Rule, b.Bound, n})
		}
	}
	slices.SortStableFunc(out, func(a, b Setter) int {
		return cmp.Or(cmp.Compare(a.Rule.Index, b.Rule.Index), w.compareIDs(a.bound, b.bound))
	})
	return out
}

// Disputes lists the pairs of rules that set a number so far apart that not both
// can be right.
func (w *World) Disputes(f Fact) (out [][2]Setter) {
	size := func(a, b Setter) int {
		return cmp.Or(cmp.Compare(a.Number.Lo, b.Number.Lo), cmp.Compare(a.Number.Hi, b.Number.Hi))
	}
	all := w.Setters(f)
	for i, b := range all {
		for _, a := range all[:i] {
			if w.agree(a.Number, b.Number) {
				continue
			}
			if a.Rule == b.Rule && size(a, b) > 0 {
				out = append(out, [2]Setter{b, a})
			} else {
				out = append(out, [2]Setter{a, b})
			}
		}
	}
	slices.SortStableFunc(out, func(p, q [2]Setter) int {
		return cmp.Or(strings.Compare(p[0].Rule.ID, q[0].Rule.ID), strings.Compare(p[1].Rule.ID, q[1].Rule.ID), size(p[0], q[0]), size(p[1], q[1]))
	})
	return out
}

// Firing names the rules that conclude a fact and those that rule it out.
func (w *World) Firing(f Fact) (then, outs []string) {
	fire := func(uses []use) (ids []string) {
		for _, u := range uses {
			if w.ruleFor(u, f) == truth.True {
				ids = append(ids, u.rule.ID)
			}
		}
		return ids
	}
	if h := w.heads[f.Prop]; h != nil {
		then, outs = fire(h.then), fire(h.outs)
	}
	return then, outs
}
