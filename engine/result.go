package engine

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Result copies what the last run found.
func (s *Session) Result() *record.Result {
	r := new(record.Result)
	s.ResultInto(r)
	return r
}

// ResultInto is Result into a result that is used again; what its slices held, and
// those of its verdicts, is gone.
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
		s.looks.results++
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
