package engine

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Result copies what the last run found.
func (s *Session) Result() *record.Result {
	r := new(record.Result)
	s.ResultInto(r)
	return r
}

// ResultInto is Result into a result that is used again; what its slices held is
// gone.
func (s *Session) ResultInto(r *record.Result) {
	r.Facts, r.Columns = s.current(), s.columns
	r.State = append(r.State[:0], s.state...)
	r.Round = append(r.Round[:0], s.round...)
	r.Flags = append(r.Flags[:0], s.flags...)
	r.Verdicts, r.Conflicts, r.Assumptions = r.Verdicts[:0], r.Conflicts[:0], r.Assumptions[:0]
	r.WithoutU, r.Weighed, r.Numbers = r.WithoutU[:0], r.Weighed[:0], r.Numbers[:0]
	r.Overrun, r.Asking = nil, &record.Asking{}
	if s.overrun != nil {
		r.Overrun = s.overrun
	}
	s.copyWeighed(r)
	for slot, n := range s.calc {
		r.Numbers = append(r.Numbers, record.Computed{Slot: slot, Value: n})
	}
	slices.SortFunc(r.Numbers, func(a, b record.Computed) int { return cmp.Compare(a.Slot, b.Slot) })
	col := 0
	for i := range r.Numbers {
		n := &r.Numbers[i]
		for n.Slot >= s.columns.Of[col].First+s.columns.Of[col].N {
			col++
		}
		c := &s.columns.Of[col]
		n.Prop, n.Part = c.Prop, s.l.OfKind[c.Prop.Kind.Index][n.Slot-c.First]
	}
	if s.overrun == nil {
		s.work = 0
		s.findTouched(r)
		s.findConflicts(r)
		s.findAssumptions(r)
		s.findBare(r)
	}
	s.findVerdicts(r)
}

func (s *Session) copyWeighed(r *record.Result) {
	if !s.p.weighs {
		return
	}
	w := &s.weights
	for _, c := range s.columns.Of {
		x := &s.p.info[s.p.id(c.Prop)]
		if !x.tainted {
			continue
		}
		for at := c.First; at < c.First+c.N; at++ {
			r.Weighed = append(r.Weighed, record.Weighed{
				Slot: at, Lambda: w.lambda[at], Probability: w.prob[at], Weight: w.sum[at],
				Decided: w.decided[at], Settled: w.settled[at] || !x.weighed,
			})
		}
	}
}

// findTouched marks unknown findings of which something is known.
func (s *Session) findTouched(r *record.Result) {
	for _, c := range s.columns.Of {
		if !c.Prop.Role.Concluded() || c.Prop.Role == vocab.Verdict {
			continue
		}
		x := &s.p.info[s.p.id(c.Prop)]
		for o := range c.N {
			at := c.First + o
			if s.state[at] == truth.Unknown && s.touched(x, s.l.OfKind[c.Prop.Kind.Index][o], o) {
				r.Flags[at] |= record.TouchedFlag
			}
		}
	}
}

// touched tells whether anything that the rules and clues of a fact look up is
// known.
func (s *Session) touched(x *propInfo, part, ord int32) bool {
	for _, list := range [][]headOf{x.then, x.outs} {
		for _, h := range list {
			c := s.p.rules[h.rule]
			if c.word >= 0 {
				if slices.ContainsFunc(c.all, func(r read) bool {
					return r.prop.Role != vocab.Declared && s.isKnown(part, r.prop)
				}) {
					return true
				}
				continue
			}
			for _, b := range s.blindly(&c.binder, int(h.name), part) {
				for i := range c.conds {
					if s.anyKnown(c.conds[i].cond.Root, b, nil) {
						return true
					}
				}
			}
		}
	}
	for _, k := range x.clues {
		c := s.p.clues[k]
		for _, b := range s.blindly(&c.binder, c.clue.Cause.Var, part) {
			if s.anyKnown(c.clue.Sign.Root, b, nil) {
				return true
			}
		}
	}
	return false
}

// anyKnown tells whether a node reads a fact that is known, not counting what
// the machine fixes.
func (s *Session) anyKnown(e *condition.Expr, bound, elems []int32) bool {
	known := false
	v := &env{r: s, bound: bound, elems: elems}
	v.facts(e, func(part int32, p *vocab.Property) bool {
		known = known || p.Role != vocab.Declared && s.isKnown(part, p)
		return !known
	})
	return known
}

func (s *Session) isKnown(part int32, p *vocab.Property) bool {
	switch {
	case p.Type == vocab.YesNo:
		return s.truthOf(part, p) != truth.Unknown
	case p.Type == vocab.Choice:
		return s.maskOf(part, p) != 0
	case p.Type == vocab.Number || p.Type == vocab.Whole:
		_, ok := s.numberOf(part, p)
		return ok
	case p.Type == vocab.Part:
		return s.refOf(part, p) != unknownPart
	case p.Type == vocab.Parts:
		_, ok := s.listOf(part, p)
		return ok
	}
	return false
}

// facts visits each fact that a node reads, elements of lists and filters
// included, until visit stops it. Fixed references are no facts.
func (v *env) facts(e *condition.Expr, visit func(int32, *vocab.Property) bool) bool {
	switch {
	case e.Op == condition.Prop:
		if !v.facts(e.Args[0], visit) {
			return false
		}
		part := v.part(e.Args[0])
		if !ofKind(v.r.layout(), part, e.Prop.Kind) || isRef(e.Prop) && e.Prop.Role == vocab.Declared {
			return true
		}
		return visit(part, e.Prop)
	case opensElement(e.Op) && len(e.Args) > 1:
		if !v.facts(e.Args[0], visit) {
			return false
		}
		for _, part := range v.elements0(e.Args[0]) {
			v.push(part)
			on := v.facts(e.Args[1], visit)
			v.pop()
			if !on {
				return false
			}
		}
		return true
	}
	for _, a := range e.Args {
		if !v.facts(a, visit) {
			return false
		}
	}
	return true
}

// findConflicts writes out what the flags mark.
func (s *Session) findConflicts(r *record.Result) {
	for _, c := range s.columns.Of {
		for o := range c.N {
			if at := c.First + o; s.flags[at]&record.InConflictFlag != 0 {
				s.conflict(r, c.Prop, o, at)
			}
		}
	}
	slices.SortFunc(r.Conflicts, func(a, b record.Conflict) int {
		return cmp.Or(a.Fact.Compare(b.Fact), cmp.Compare(a.Kind, b.Kind), slices.Compare(a.Rules, b.Rules),
			compareNumbers(a.A, b.A), compareNumbers(a.B, b.B))
	})
}

func compareNumbers(a, b measure.Number) int {
	return cmp.Or(cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi), cmp.Compare(a.U(), b.U()))
}

func (s *Session) conflict(r *record.Result, p *vocab.Property, ord, at int32) {
	part := s.l.OfKind[p.Kind.Index][ord]
	id := record.FactID{Part: part, Prop: p}
	x := &s.p.info[s.p.id(p)]
	if p.Role == vocab.Computed {
		set := s.settings(x, part)
		for i := range set {
			for j := range i {
				if a, b := &set[j], &set[i]; !s.agree(a.value, b.value) {
					if a.rule == b.rule && compareNumbers(a.value, b.value) > 0 {
						a, b = b, a
					}
					r.Conflicts = append(r.Conflicts, record.Conflict{Fact: id, Kind: record.ValuesDisagree,
						Rules: []string{s.p.rules[a.rule].rule.ID, s.p.rules[b.rule].rule.ID}, A: a.value, B: b.value})
				}
			}
		}
		if n, ok := s.calc[at]; ok && s.given[at] {
			seen, _ := s.numberOf(part, p)
			r.Conflicts = append(r.Conflicts, record.Conflict{Fact: id, Kind: record.ObservedDisagrees,
				Rules: []string{s.p.rules[set[0].rule].rule.ID}, A: seen, B: n})
		}
		return
	}
	firing := func(list []headOf) []string {
		var ids []string
		for _, h := range list {
			if t, _ := s.rule(s.p.rules[h.rule], h.name, part, ord); t == truth.True {
				ids = append(ids, s.p.rules[h.rule].rule.ID)
			}
		}
		return ids
	}
	then, outs := firing(x.then), firing(x.outs)
	if len(then) > 0 && len(outs) > 0 {
		r.Conflicts = append(r.Conflicts, record.Conflict{Fact: id, Kind: record.ConcludedAndRuledOut, Rules: append(then, outs...)})
	}
	if !x.weighed {
		return
	}
	w := &s.weights
	if settledBy := append(then, outs...); len(then) > 0 && w.state[at] == truth.False || len(then) == 0 && w.state[at] == truth.True {
		r.Conflicts = append(r.Conflicts, record.Conflict{Fact: id, Kind: record.CluesAgainstRule, Rules: settledBy})
	}
}

// findAssumptions lists the exceptions that were unknown at a firing.
func (s *Session) findAssumptions(r *record.Result) {
	for _, c := range s.p.rules {
		if len(c.unless) == 0 {
			continue
		}
		found := firing{code: c}
		for _, part := range s.l.OfKind[c.each[0].Kind.Index] {
			c.walk(&s.frame, 0, part, &found)
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
	for _, c := range s.p.rules {
		if !c.measures {
			continue
		}
		found := firing{code: c}
		for _, part := range s.l.OfKind[c.each[0].Kind.Index] {
			c.walk(&s.frame, 0, part, &found)
		}
		heads := map[record.FactID]bool{}
		for _, b := range found.list {
			v := &env{r: s, bound: b[:]}
			bare := slices.ContainsFunc(c.conds, func(k cond) bool { return v.bare(k.cond.Root) })
			if !bare {
				continue
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
