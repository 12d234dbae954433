package engine

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// findAssumptions lists the exceptions that were unknown at a firing.
func (s *Session) findAssumptions(r *record.Result) {
	found := &s.fired
	for _, c := range s.p.rules {
		if len(c.unless) == 0 {
			continue
		}
		found.code, found.list = c, found.list[:0]
		for _, part := range s.l.OfKind[c.each[0].Kind.Index] {
			c.walk(&s.frame, 0, part, found)
		}
		for _, b := range found.list {
			for n := range c.each {
				s.frame.bind(n, b[n])
			}
			for u := range c.unless {
				if c.unless[u].fn(&s.frame) == truth.Unknown {
					s.assume(r, c.rule, b[:len(c.each)], u)
				}
			}
		}
	}
	slices.SortFunc(r.Assumptions, func(a, b record.Assumption) int {
		return cmp.Or(a.Fact.Compare(b.Fact), cmp.Compare(a.Rule.Index, b.Rule.Index),
			slices.Compare(a.Bound, b.Bound), cmp.Compare(a.Unless, b.Unless))
	})
}

func (s *Session) assume(r *record.Result, rule *rules.Rule, bound []int32, unless int) {
	bound = slices.Clone(bound)
	note := func(h rules.Head) {
		r.Assumptions = append(r.Assumptions, record.Assumption{
			Fact: record.FactID{Part: bound[h.Var], Prop: h.Prop}, Rule: rule, Bound: bound, Unless: unless})
	}
	for _, h := range rule.Then {
		note(h)
	}
	for _, h := range rule.RulesOut {
		note(h)
	}
	for _, a := range rule.Set {
		note(a.Head)
	}
}

// findBare lists the facts that a firing rule concluded over a comparison of
// measured numbers decided without any uncertainty given.
func (s *Session) findBare(r *record.Result) {
	found := &s.fired
	for _, c := range s.p.rules {
		if !c.measures {
			continue
		}
		found.code, found.list = c, found.list[:0]
		for _, part := range s.l.OfKind[c.each[0].Kind.Index] {
			c.walk(&s.frame, 0, part, found)
		}
		var heads map[record.FactID]bool
		for _, b := range found.list {
			v := &env{r: s, bound: b[:]}
			bare := slices.ContainsFunc(c.conds, func(k cond) bool { return v.bare(k.cond.Root) })
			if !bare {
				continue
			}
			if heads == nil {
				heads = map[record.FactID]bool{}
			}
			for _, h := range c.rule.Then {
				heads[record.FactID{Part: b[h.Var], Prop: h.Prop}] = true
			}
			for _, h := range c.rule.RulesOut {
				heads[record.FactID{Part: b[h.Var], Prop: h.Prop}] = true
			}
		}
		for id := range heads {
			r.WithoutU = append(r.WithoutU, record.Bare{Fact: id, Rule: c.rule})
		}
	}
	slices.SortFunc(r.WithoutU, func(a, b record.Bare) int {
		return cmp.Or(a.Fact.Compare(b.Fact), cmp.Compare(a.Rule.Index, b.Rule.Index))
	})
}

// bare tells whether a condition that holds contains a comparison of measured
// numbers that was decided without any uncertainty given.
func (v *env) bare(e *condition.Expr) bool {
	switch e.Op {
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return measured(e) && v.measuredHere(e) && v.compareMark(e)
	case condition.And, condition.Or, condition.Not:
		return slices.ContainsFunc(e.Args, v.bare)
	case condition.Any, condition.All, condition.None:
		if len(e.Args) < 2 || !measured(e.Args[1]) {
			return false
		}
		for _, part := range v.elements0(e.Args[0]) {
			v.push(part)
			b := v.bare(e.Args[1])
			v.pop()
			if b {
				return true
			}
		}
	}
	return false
}

func (v *env) compareMark(e *condition.Expr) bool {
	c := v.compare(e)
	return c.Truth != truth.Unknown && c.NoUncertainty
}

// measuredHere tells whether any number that is measured, not counted or fixed,
// is known here.
func (v *env) measuredHere(e *condition.Expr) bool {
	found := false
	v.facts(e, func(part int32, p *vocab.Property) bool {
		if isMeasured(p) {
			_, ok := v.r.numberOf(part, p)
			found = found || ok
		}
		return !found
	})
	return found
}

func isMeasured(p *vocab.Property) bool {
	return p.Type == vocab.Number && p.Role != vocab.Declared
}

// measured tells whether a tree compares measured numbers at all.
func measured(e *condition.Expr) bool {
	return e.Op == condition.Prop && isMeasured(e.Prop) || slices.ContainsFunc(e.Args, measured)
}
