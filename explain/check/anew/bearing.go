package anew

import (
	"cmp"
	"fmt"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
)

// Bearing is a rule, a clue or a remedy for bound parts, as it bears on a fact:
// one of the three.
type Bearing struct {
	Rule   *rules.Rule
	Set    *condition.Condition
	Outs   bool // it rules out
	Clue   *rules.Clue
	Spoken *Spoken // of a clue whose conditions hold
	Remedy *rules.Remedy
	Bound  []int32
	State  truth.Truth
	Round  int32
}

// Key names what it is and its parts, unlike any other of one fact.
func (b *Bearing) Key() string {
	id := "remedy"
	if b.Rule != nil {
		id = "rule " + b.Rule.ID
	} else if b.Clue != nil {
		id = "clue " + b.Clue.ID
	}
	return fmt.Sprint(id, b.Bound)
}

// Bearings lists all rules and clues that bear on a fact: rules that fire by
// round, open ones, those known not to fire, each by id and parts; then clues.
func (w *World) Bearings(f Fact) (out []*Bearing) {
	h := w.heads[f.Prop]
	if h == nil {
		return nil
	}
	rulesOf := func(uses []use, outs bool) {
		for _, u := range uses {
			for _, bound := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
				b := &Bearing{Rule: u.rule, Set: u.set, Outs: outs, Bound: bound}
				if b.State, b.Round = w.Rule(u.rule, bound); u.set != nil {
					_, b.State, b.Round = w.setBy(u, bound)
				}
				if b.State != truth.True {
					b.Round = 0
				}
				out = append(out, b)
			}
		}
	}
	rulesOf(h.then, false)
	rulesOf(h.outs, true)
	rulesOf(h.sets, false)
	out = Telling(out)
	for _, clue := range h.clues {
		for _, bound := range w.bindings(clue.Each, clue.If, clue.Cause.Var, f.Part) {
			b := &Bearing{Clue: clue, Bound: bound, State: truth.True}
			for _, c := range clue.If {
				b.State = truth.And(b.State, w.At(bound).Truth(c.Root))
			}
			if s := w.sums[f]; s != nil {
				for _, it := range s.clues {
					if it.Clue == clue && slices.Equal(it.bound, bound) {
						b.Spoken, b.Round = it, it.round+1
					}
				}
			}
			out = append(out, b)
		}
	}
	return out
}

// Telling is the order in which ways are told: rules, those of the gravest
// verdict first, those that fire by round, then open ones, then those known not
// to; then clues that count for it, against it, those already counted, the silent,
// each the heaviest first.
func Telling(all []*Bearing) []*Bearing {
	states := map[truth.Truth]int{truth.True: 0, truth.Unknown: 1, truth.False: 2}
	heavy := func(b *Bearing) (rank int, weight int64) {
		switch it := b.Spoken; {
		case b.Clue == nil:
			return 0, 0
		case it == nil || it.Weight == 0:
			return 4, 0
		case !it.Counted:
			return 3, max(it.Weight, -it.Weight)
		case it.Weight > 0:
			return 1, it.Weight
		default:
			return 2, -it.Weight
		}
	}
	return slices.SortedStableFunc(slices.Values(all), func(a, b *Bearing) int {
		if a.Rule != nil && b.Rule != nil {
			return cmp.Or(cmp.Compare(b.Rule.Level, a.Rule.Level), cmp.Compare(states[a.State], states[b.State]),
				cmp.Compare(a.Round, b.Round), cmp.Compare(a.Rule.Index, b.Rule.Index), slices.Compare(a.Bound, b.Bound))
		}
		r, x := heavy(a)
		q, y := heavy(b)
		return cmp.Or(cmp.Compare(r, q), cmp.Compare(y, x))
	})
}

// Due lists the parts for which a remedy is not known to be out of place.
func (w *World) Due(m *rules.Remedy) (out []*Bearing) {
	for _, part := range w.Facts.OfKind[m.Each[0].Kind.Index] {
		for _, bound := range w.bindings(m.Each, m.If, 0, part) {
			state := truth.True
			for _, c := range m.If {
				state = truth.And(state, w.At(bound).Truth(c.Root))
			}
			if state != truth.False {
				out = append(out, &Bearing{Remedy: m, Bound: bound, State: state})
			}
		}
	}
	return out
}
