package check

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// conflicts words what is at odds about a fact.
func (w *world) conflicts(f fact) (out []string) {
	h := w.heads[f.Prop]
	if h == nil || !w.clash[f] {
		return nil
	}
	name := w.factName(f)
	if f.Prop.Role == vocab.Computed {
		words := func(b *bearing) string {
			n, _, _ := w.setBy(use{rule: b.rule, set: b.set}, b.bound)
			return numberWords(n, condition.Type{Prop: f.Prop})
		}
		var set []*bearing
		for _, b := range w.bearings(f) {
			if b.state == truth.True {
				set = append(set, b)
			}
		}
		slices.SortStableFunc(set, func(a, b *bearing) int {
			return cmp.Or(cmp.Compare(a.rule.Index, b.rule.Index), w.compareIDs(a.bound, b.bound))
		})
		type pair struct {
			a, b *bearing
			x, y measure.Number
		}
		var pairs []pair
		size := func(x, y measure.Number) int { return cmp.Or(cmp.Compare(x.Lo, y.Lo), cmp.Compare(x.Hi, y.Hi)) }
		for i, b := range set {
			for _, a := range set[:i] {
				x, _, _ := w.setBy(use{rule: a.rule, set: a.set}, a.bound)
				y, _, _ := w.setBy(use{rule: b.rule, set: b.set}, b.bound)
				p := pair{a, b, x, y}
				if a.rule == b.rule && size(x, y) > 0 {
					p = pair{b, a, y, x}
				}
				if !w.agree(x, y) {
					pairs = append(pairs, p)
				}
			}
		}
		slices.SortStableFunc(pairs, func(p, q pair) int {
			return cmp.Or(strings.Compare(p.a.rule.ID, q.a.rule.ID), strings.Compare(p.b.rule.ID, q.b.rule.ID), size(p.x, q.x), size(p.y, q.y))
		})
		for _, p := range pairs {
			out = append(out, fmt.Sprintf("%s comes out as %s and as %s (%s, %s): taken as not known", name, words(p.a), words(p.b), p.a.rule.ID, p.b.rule.ID))
		}
		if v, given := w.value(f); given && len(pairs) == 0 {
			out = append(out, fmt.Sprintf("%s was observed as %s and works out as %s (%s): the observed value is used",
				name, w.shown(f.Prop, v), words(set[0]), set[0].rule.ID))
		}
		return out
	}
	firing := func(uses []use) (ids []string) {
		for _, u := range uses {
			if w.ruleFor(u, f) == truth.True {
				ids = append(ids, u.rule.ID)
			}
		}
		return ids
	}
	then, outs := firing(h.then), firing(h.outs)
	by := strings.Join(append(then, outs...), ", ")
	if len(then) > 0 && len(outs) > 0 {
		out = append(out, name+" is concluded and ruled out at once ("+by+"): taken as not known")
	}
	if s := w.sums[f]; s != nil && (len(then) > 0 && s.state == truth.False || len(then) == 0 && s.state == truth.True) {
		out = append(out, name+" holds by a rule though its clues alone would exclude it ("+by+")")
	}
	return out
}
