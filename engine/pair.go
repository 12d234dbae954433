package engine

import "whyworn/facts/truth"

// A rule that ties two names by an observed equality and concludes something of
// both is gone through once for the two, not once for each.

// findPairs notes the rules for which that is the same: nothing else speaks of
// what they conclude.
func (p *Program) findPairs() {
	for i, c := range p.rules {
		if len(c.each) != 2 || len(c.rule.Then) < 2 || c.plans[0].steps[0].how != lookup {
			continue
		}
		names := uint8(0)
		fits := true
		for j, h := range c.rule.Then {
			names |= 1 << h.Var
			x := &p.info[c.heads[j]]
			fits = fits && len(x.then) == 1 && len(x.outs)+len(x.clues) == 0 && x.comp < 0 && !x.tainted &&
				x.rank == p.info[c.heads[0]].rank
		}
		if !fits || names != 3 {
			continue
		}
		for _, h := range c.heads {
			p.info[h].paired = true
		}
		r := &p.ranks[p.info[c.heads[0]].rank]
		r.pairs = append(r.pairs, int32(i))
	}
}

// together works out all that a paired rule concludes.
func (s *Session) together(c *ruleCode) {
	if !s.keysKnown(c) {
		for _, h := range c.heads {
			s.workOut(h)
		}
		return
	}
	for _, h := range c.heads {
		first := s.first[h]
		states := s.state[first : first+int32(len(s.l.OfKind[s.p.info[h].prop.Kind.Index]))]
		for i := range states {
			states[i] = truth.False
		}
	}
	s.meet(c, &bothOf{code: c})
}

// meet goes through the parts that have the same key, whose keys are in
// s.pairKeys for the first name's parts.
func (s *Session) meet(c *ruleCode, v *bothOf) {
	f, p := &s.frame, &c.plans[0]
	step := &p.steps[0]
	t := s.keyTable(step.table)
	kind, other := c.each[0].Kind.Index, c.each[step.name].Kind.Index
	var asked []boolFn
	for _, i := range step.conds {
		if i != step.implied {
			asked = append(asked, c.conds[i].fn)
		}
	}
parts:
	for i, part := range s.l.OfKind[kind] {
		found := t.find(s.pairKeys[i])
		if len(found) == 0 {
			continue
		}
		if s.spend(int64(len(found))) {
			return
		}
		f.bindOf(0, part, kind)
		first := truth.True
		for _, k := range p.first {
			if first = truth.And(first, c.conds[k].fn(f)); first == truth.False {
				continue parts
			}
		}
	pairs:
		for _, q := range found {
			f.bindOf(step.name, q, other)
			in := first
			for _, fn := range asked {
				if in = truth.And(in, fn(f)); in == truth.False {
					continue pairs
				}
			}
			v.visit(f, in)
		}
	}
}

// keysKnown tells whether both sides of the equality are known for every part:
// an unknown one meets all parts, which is better gone through from each side. It
// leaves the keys of the first name's parts in s.pairKeys.
func (s *Session) keysKnown(c *ruleCode) bool {
	step := &c.plans[0].steps[0]
	if len(s.keyTable(step.table).odd) > 0 {
		return false
	}
	f := &s.frame
	s.pairKeys = s.pairKeys[:0]
	for _, part := range s.l.OfKind[c.each[0].Kind.Index] {
		f.bindOf(0, part, c.each[0].Kind.Index)
		key, known, _ := step.key(f)
		if !known {
			return false
		}
		s.pairKeys = append(s.pairKeys, key)
	}
	return true
}

// bothOf writes what a rule concludes, binding by binding.
type bothOf struct{ code *ruleCode }

func (b *bothOf) visit(f *frame, in truth.Truth) {
	c, s := b.code, f.s
	if in == truth.True {
		in = c.standsBack(f)
	}
	round := int32(0)
	if in == truth.True {
		if round = 1; c.deep {
			round = s.ruleRound(f, c)
		}
	}
	for i, h := range c.heads {
		at := s.first[h] + f.ord[c.rule.Then[i].Var]
		switch {
		case in == truth.True:
			if s.state[at] != truth.True || round < s.round[at] {
				s.state[at], s.round[at] = truth.True, round
			}
		case s.state[at] == truth.False:
			s.state[at] = truth.Unknown
		}
	}
}
