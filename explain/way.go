package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// ways tells the rules and clues that bear on a fact. Why keeps those that
// made it what it is; whynot keeps all.
func (b *builder) ways(id record.FactID, state truth.Truth, s *account.Step) {
	all := b.Ways(id)
	told := make([]int, len(all)) // number in s.Ways, from 1
	var through []int             // of the ways told, the index in all they are counted through
	for _, i := range telling(all) {
		w := &all[i]
		if !b.tells(w, id, state, s) {
			switch w.State {
			case truth.True:
				s.Left.Fire++
			case truth.False:
				s.Left.Not++
			default:
				s.Left.Unknown++
			}
			continue
		}
		s.Ways = append(s.Ways, b.way(w, all))
		through = append(through, w.Through)
		told[i] = len(s.Ways)
	}
	for i, t := range through {
		if k := &s.Ways[i]; k.Through != "" && t >= 0 && t < len(told) {
			k.ThroughWay = told[t]
		}
	}
}

// telling is the order in which ways are told: rules as they come, then clues
// that count, the heaviest first, those for it before those against it, then
// those counted already, then the silent ones.
func telling(all []record.Way) []int {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	rank := func(w *record.Way) int {
		if w.Clue == nil {
			return 0
		}
		return words.ClueRank(w.Counted, w.Weight)
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &all[i], &all[j]
		if d := cmp.Compare(rank(a), rank(b)); d != 0 || a.Clue == nil {
			return d
		}
		return cmp.Compare(b.Weight.Abs(), a.Weight.Abs())
	})
	return order
}

// mostWays is how many rules of one state are told in full for one fact.
const mostWays = 60

// tells whether a way belongs to the answer.
func (b *builder) tells(w *record.Way, id record.FactID, state truth.Truth, s *account.Step) bool {
	if len(s.Ways) >= mostWays {
		return false
	}
	if !b.why || w.Clue != nil {
		return w.Clue == nil || b.clueSpeaks(w)
	}
	rulesOut := w.Rule != nil && len(w.Rule.RulesOut) > 0
	switch {
	case rulesOut:
		return w.State == truth.True || state == truth.Unknown && w.State == truth.Unknown
	case state == truth.True:
		return w.State == truth.True && !b.circular(w, id)
	case id.Prop.Role == vocab.Computed && w.State == truth.True:
		return true
	case state == truth.Unknown:
		return w.State != truth.False
	}
	return true // false: every rule had to be known not to fire
}

// circular tells whether a rule that fires rests on the very fact it concludes:
// then it is no reason for it. What came in an earlier round cannot.
func (b *builder) circular(w *record.Way, id record.FactID) bool {
	f := b.Result.Fact(id.Part, id.Prop)
	if w.Round <= f.Round {
		return false
	}
	seen := map[record.FactID]bool{}
	var rests func(n *record.Seen) bool
	var way func(w *record.Way) bool
	rests = func(n *record.Seen) bool {
		for _, r := range n.Reads {
			if r == id {
				return true
			}
			g := b.Result.Fact(r.Part, r.Prop)
			if g.State != truth.True || g.Round <= f.Round || seen[r] || !r.Prop.Role.Concluded() {
				continue
			}
			seen[r] = true
			for _, v := range b.Ways(r) {
				if v.Rule != nil && v.State == truth.True && v.Round == g.Round && way(&v) {
					return true
				}
			}
		}
		for i := range n.Args {
			if n.Args[i].Expr == nil || n.Args[i].Expr.Type.K != condition.KBool || n.Args[i].State == n.State || n.Expr.Type.K != condition.KBool {
				if rests(&n.Args[i]) {
					return true
				}
			}
		}
		return false
	}
	way = func(w *record.Way) bool {
		for i := range w.If {
			if rests(&w.If[i]) {
				return true
			}
		}
		return false
	}
	return way(w)
}

// clueSpeaks tells whether a clue has a place in the sum: clues whose own
// condition excludes them are not told.
func (b *builder) clueSpeaks(w *record.Way) bool {
	for i := range w.If {
		if w.If[i].State == truth.False {
			return false
		}
	}
	return true
}

// way tells one rule or clue.
func (b *builder) way(w *record.Way, all []record.Way) account.Way {
	out := b.Way(w)
	var conds, unless []*condition.Condition
	switch {
	case w.Rule != nil:
		conds, unless = w.Rule.If, w.Rule.Unless
	case w.Clue != nil:
		conds = w.Clue.If
		if !w.Counted && w.Weight != 0 && w.Through >= 0 && w.Through < len(all) && all[w.Through].Clue != nil {
			out.Through = all[w.Through].Clue.ID
		}
	}
	for i := range w.If {
		// Of a rule known not to fire only what is false counts.
		b.aside = w.State == truth.False && w.If[i].State != truth.False
		out.If = append(out.If, b.cond(conds[i], &w.If[i], w.Bound))
		b.aside = false
	}
	for i := range w.Unless {
		b.aside = w.State == truth.False
		out.Unless = append(out.Unless, b.cond(unless[i], &w.Unless[i], w.Bound))
		b.aside = false
		out.Assumed = out.Assumed || w.State == truth.True && w.Unless[i].State == truth.Unknown
	}
	for i := range w.Sets {
		if v := w.Sets[i].Cond; v != nil && out.Sets == nil {
			c := b.cond(v, &w.Sets[i], w.Bound)
			out.Sets = &c
		}
	}
	if w.Clue != nil {
		c := b.cond(w.Clue.Sign, &w.Sign, w.Bound)
		out.Sign = &c
	}
	return out
}

// cond tells one condition and takes up the steps it rests on.
func (b *builder) cond(cond *condition.Condition, n *record.Seen, bound []int32) account.Cond {
	v := cameTo(n)
	out := b.Cond(cond, bound, &v, reasonOf(n))
	g := gathering{builder: b, cond: cond, bound: bound}
	g.node(n, true)
	out.Compared, out.AndMore = g.compared, g.more
	for _, r := range g.reads {
		out.Reads = append(out.Reads, b.down(r, n.State == truth.True))
	}
	return out
}

// down adds the step of what a read rests on, where it decides.
// Whynot leaves out what a condition that holds rests on.
func (b *builder) down(r read, holds bool) account.Read {
	p := r.id.Prop
	if !p.Role.Concluded() && p.Role != vocab.Computed {
		return r.Read
	}
	if r.From == account.FromObserved && !p.Role.Concluded() {
		return r.Read
	}
	n, told := b.at[r.id]
	switch {
	case told:
		r.Step = n
	case r.Decides && (b.why || !holds) && !b.aside:
		r.Step = b.step(r.id)
	}
	return r.Read
}
