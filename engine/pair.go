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
	v := bothOf{code: c}
	for _, part := range s.l.OfKind[c.each[0].Kind.Index] {
		if !c.walk(&s.frame, 0, part, &v) {
			return
		}
	}
}

// keysKnown tells whether both sides of the equality are known for every part:
// an unknown one meets all parts, which is better gone through from each side.
func (s *Session) keysKnown(c *ruleCode) bool {
	step := &c.plans[0].steps[0]
	if len(s.keyTable(step.table).odd) > 0 {
		return false
	}
	f := &s.frame
	for _, part := range s.l.OfKind[c.each[0].Kind.Index] {
		f.bindOf(0, part, c.each[0].Kind.Index)
		if _, known, _ := step.key(f); !known {
			return false
		}
	}
	return true
}

// bothOf writes what a rule concludes, binding by binding.
type bothOf struct{ code *ruleCode }

func (b *bothOf) visit(f *frame, in truth.Truth) bool {
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
	return true
}

func (b *bothOf) enough(truth.Truth) bool { return false }
