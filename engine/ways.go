package engine

import (
	"cmp"
	"iter"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// asked is the session in which questions about a result are answered: bound
// once for a result, when first asked, and holding what the run found.
func asked(p *Program, r *record.Result) *Session {
	if s, ok := r.Asking.Session.(*Session); ok && s.p == p {
		return s
	}
	s := p.Bind(r.Facts)
	s.fresh = false
	copy(s.state, r.State)
	copy(s.round, r.Round)
	copy(s.flags, r.Flags)
	for _, n := range r.Numbers {
		s.calc[n.Slot] = n.Value
		if !s.given[n.Slot] {
			s.setNumber(p.id(n.Prop), s.ords[n.Part], &n.Value, true)
		}
	}
	w := &s.weights
	for i := range r.Weighed {
		e := &r.Weighed[i]
		w.lambda[e.Slot], w.prob[e.Slot] = e.Lambda, e.Probability
		w.sum[e.Slot], w.decided[e.Slot], w.settled[e.Slot] = e.Weight, e.Decided, e.Settled
	}
	r.Asking.Session = s
	return s
}

// Ways lists every rule and clue, bound to parts, that concludes, rules out,
// sets or speaks for a fact, or might have: first rules, those that fire by round,
// then those that are open, then those known not to fire, each by id and parts;
// then clues by id and parts. It may be called from several goroutines.
func Ways(p *Program, r *record.Result, part int32, prop *vocab.Property) []record.Way {
	r.Asking.Lock()
	defer r.Asking.Unlock()
	if part < 0 || int(part) >= len(r.Facts.Parts) || r.Facts.Parts[part].Kind != prop.Kind || r.Overrun != nil {
		return nil
	}
	s := asked(p, r)
	s.work, s.overrun = 0, nil
	x := &p.info[p.id(prop)]
	var out []record.Way
	for _, list := range [][]headOf{x.then, x.outs, x.sets} {
		for i := range list {
			h := &list[i]
			c := p.rules[h.rule]
			for b := range s.meeting(&c.binder, int(h.name), part) {
				out = append(out, s.ruleWay(c, h, b))
			}
		}
	}
	slices.SortStableFunc(out, func(a, b record.Way) int {
		return cmp.Or(cmp.Compare(wayOrder(&a), wayOrder(&b)), cmp.Compare(a.Round, b.Round),
			cmp.Compare(a.Rule.Index, b.Rule.Index), slices.Compare(a.Bound, b.Bound))
	})
	return append(out, s.clueWays(x, part, len(out))...)
}

// meeting goes blindly through the bindings that no tie between the names is known
// to keep apart. A walk goes along one tie for each name; what is told hangs on
// all of them.
func (s *Session) meeting(b *binder, name int, part int32) iter.Seq[[]int32] {
	return func(yield func([]int32) bool) {
		for bound := range s.blindly(b, name, part) {
			v := &env{r: s, bound: bound}
			apart := slices.ContainsFunc(b.conds, func(c cond) bool {
				return slices.ContainsFunc(c.cond.Ties, func(t condition.Tie) bool {
					return v.keptApart(&t, c.cond.Root.Op != condition.And)
				})
			})
			if !apart && !yield(bound) {
				return
			}
		}
	}
}

// keptApart tells whether both sides of a tie are wholly known and differ. A side
// that leads to no part meets nothing where the tie is alone in its condition. What
// a filter drops from a list is not kept apart by the tie.
func (v *env) keptApart(t *condition.Tie, alone bool) bool {
	switch t.Left.Type.K {
	case condition.KPart:
		p, q := v.part(t.Left), noPart
		if !t.Member {
			q = v.part(t.Right)
		}
		switch {
		case p == noPart || !t.Member && q == noPart:
			return alone
		case !t.Member:
			return sameParts(p, q) == truth.False
		}
		of := t.Right
		for of.Op == condition.Keep {
			of = of.Args[0]
		}
		items, ok := v.members(of)
		return inList(p, items, ok) == truth.False
	case condition.KNum:
		a, ok := v.number(t.Left)
		b, known := v.number(t.Right)
		return ok && known && a.IsValue() && b.IsValue() && a.Lo != b.Lo
	}
	a, b := v.mask(t.Left), v.mask(t.Right)
	return single(a) >= 0 && single(b) >= 0 && a != b
}

func wayOrder(w *record.Way) int {
	switch w.State {
	case truth.True:
		return 0
	case truth.Unknown:
		return 1
	}
	return 2
}

func (s *Session) ruleWay(c *ruleCode, h *headOf, bound []int32) record.Way {
	w := record.Way{Rule: c.rule, Bound: slices.Clone(bound)}
	v := &env{r: s, bound: w.Bound}
	in := truth.True
	round := int32(0)
	for i := range c.conds {
		seen := v.see(c.conds[i].cond, c.conds[i].cond.Root, -1)
		in = truth.And(in, seen.State)
		w.If = append(w.If, seen)
		if in == truth.True {
			round = max(round, v.round(c.conds[i].cond.Root))
		}
	}
	stands := true
	for i := range c.unless {
		seen := v.see(c.unless[i].cond, c.unless[i].cond.Root, -1)
		stands = stands && seen.State != truth.True
		w.Unless = append(w.Unless, seen)
	}
	if w.State = in; in == truth.True && !stands {
		w.State = truth.Unknown
	}
	if len(c.rule.Set) > 0 {
		a := &c.rule.Set[h.at]
		round = max(round, v.greatest(a.Value.Root))
		if n, ok := v.number(a.Value.Root); ok {
			w.Value = vocab.Value{Looked: vocab.Told, Number: n}
		}
		w.Sets = []record.Seen{v.see(a.Value, a.Value.Root, -1)}
		if w.State == truth.True && w.Value.Looked != vocab.Told {
			w.State = truth.Unknown
		}
	}
	if w.State == truth.True {
		w.Round = round + 1
	}
	return w
}

// clueWays lists the clues for a cause; at is where they will stand.
func (s *Session) clueWays(x *propInfo, part int32, at int) []record.Way {
	if len(x.clues) == 0 {
		return nil
	}
	items := s.instances(x, part)
	s.count(items)
	var out []record.Way
	place := make([]int, len(items)) // of each instance in out
	for _, c := range x.clues {
		k := s.p.clues[c]
		var list [][]int32
		for b := range s.meeting(&k.binder, k.clue.Cause.Var, part) {
			list = append(list, slices.Clone(b))
		}
		slices.SortFunc(list, slices.Compare)
		for _, b := range list {
			w := record.Way{Clue: k.clue, Bound: b, Through: -1, State: truth.True}
			v := &env{r: s, bound: w.Bound}
			for i := range k.conds {
				seen := v.see(k.conds[i].cond, k.conds[i].cond.Root, -1)
				w.State = truth.And(w.State, seen.State)
				w.If = append(w.If, seen)
			}
			w.Sign = v.see(k.clue.Sign, k.clue.Sign.Root, -1)
			w.Lambda = open.lambda
			if i := slices.IndexFunc(items, func(it instance) bool {
				return it.clue == c && slices.Equal(it.bound[:len(b)], b)
			}); i >= 0 {
				it := &items[i]
				place[i] = at + len(out)
				w.Lambda, w.Weight, w.Counted, w.Through = it.lambda, it.weight, it.counted, int(it.through)
				w.Rests, w.Round = s.restsOf(it, nil), it.round+1
			}
			out = append(out, w)
		}
	}
	for i := range out {
		if out[i].Through >= 0 {
			out[i].Through = place[out[i].Through]
		}
	}
	return out
}

// See evaluates a condition of the pack for parts bound to the names of its
// statement, with the values of every node.
func See(p *Program, r *record.Result, c *condition.Condition, bound []int32) record.Seen {
	r.Asking.Lock()
	defer r.Asking.Unlock()
	v := &env{r: asked(p, r), bound: bound}
	return v.see(c, c.Root, -1)
}

// SeeExpr is See for an expression of a text.
func SeeExpr(p *Program, r *record.Result, e *condition.Expr, bound []int32) record.Seen {
	r.Asking.Lock()
	defer r.Asking.Unlock()
	v := &env{r: asked(p, r), bound: bound}
	return v.see(nil, e, -1)
}
