package engine

import (
	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Run works out everything that follows from the facts: from nothing the first
// time, afterwards what changes since the last run can reach. The outcome is
// the same to the byte.
func (s *Session) Run() {
	if s.overrun != nil || s.startOver {
		s.reload()
	}
	s.work = 0
	if s.room.used > mostRoom/2 {
		s.forgetKept()
	}
	if s.fresh {
		s.runAll()
	} else {
		s.runChanged()
	}
	if s.overrun != nil {
		s.forgetAll()
	}
}

// forgetAll leaves nothing concluded after an overrun.
func (s *Session) forgetAll() {
	clear(s.state)
	clear(s.round)
	clear(s.flags)
	clear(s.calc)
	s.weights.clear()
}

func (s *Session) runAll() {
	s.fresh = false
	s.dirty.clear()
	for r := range s.p.ranks {
		rank := &s.p.ranks[r]
		s.emitPlain(r)
		for _, id := range rank.props {
			s.workOut(id)
		}
		for _, c := range rank.pairs {
			s.together(s.p.rules[c])
		}
		for _, c := range rank.comps {
			s.fixpoint(&s.p.comps[c], nil)
		}
		if s.overrun != nil {
			return
		}
	}
}

// wordRound is the round of what a plain rule that fires concludes.
func (s *Session) wordRound(c *ruleCode, ord int32) int32 {
	r := int32(0)
	for _, id := range c.reads {
		at := s.first[id] + ord
		if s.p.info[id].prop.Role == vocab.Computed && s.given[at] {
			continue
		}
		r = max(r, s.round[at])
	}
	return r + 1
}

// workOut settles a property that stands alone, for every part of its kind.
func (s *Session) workOut(id pid) {
	x := &s.p.info[id]
	if x.weighed {
		s.weighAll([]pid{id})
	}
	for o := range int32(len(s.l.OfKind[x.prop.Kind.Index])) {
		if s.overrun != nil {
			return
		}
		s.settle(id, o)
	}
}

// settle works out one fact of a property that stands alone.
func (s *Session) settle(id pid, ord int32) {
	x := &s.p.info[id]
	if x.prop.Role == vocab.Computed {
		s.compute(id, ord)
		return
	}
	part := s.l.OfKind[x.prop.Kind.Index][ord]
	t, round := s.concluded(x, part, ord)
	s.conclude(x, id, part, ord, t, round)
}

// concluded combines the rules that could conclude a fact: true if one fires,
// false if all are known not to, and the least round of those that fire.
func (s *Session) concluded(x *propInfo, part, ord int32) (truth.Truth, int32) {
	if len(x.then) == 0 {
		return truth.Unknown, 0
	}
	out, round := truth.False, int32(0)
	for i := range x.then {
		h := &x.then[i]
		t, r := s.rule(s.p.rules[h.rule], h.name, part, ord)
		switch {
		case t == truth.True:
			if out != truth.True || r < round {
				round = r
			}
			out = t
		case t == truth.Unknown && out == truth.False:
			out = t
		}
	}
	return out, round
}

// conclude writes a fact from what its rules, rulings-out and clues say.
func (s *Session) conclude(x *propInfo, id pid, part, ord int32, t truth.Truth, round int32) {
	at := s.first[id] + ord
	var flags record.Flag
	if x.weighed {
		t, round, flags = s.weighedState(x, at, t, round)
	}
	if len(x.outs) > 0 {
		out := truth.False
		for i := range x.outs {
			h := &x.outs[i]
			r, _ := s.rule(s.p.rules[h.rule], h.name, part, ord)
			out = truth.Or(out, r)
		}
		t, round, flags = ruledOut(t, round, flags, out, x.weighed && flags&byClues != 0)
	}
	s.state[at], s.round[at], s.flags[at] = t, round, flags&^byClues
	if x.tainted {
		s.handOn(x, id, part, ord)
	}
}

// byClues marks, while a fact is being settled, that clues and no rule made it
// true.
const byClues record.Flag = 1 << 7

// ruledOut combines what concludes a fact with what rules it out. A ruling-out
// that is unknown is taken as not firing, and noted. Against clues it settles the
// fact; against a rule that fires it is a conflict.
func ruledOut(t truth.Truth, round int32, flags record.Flag, out truth.Truth, clues bool) (truth.Truth, int32, record.Flag) {
	switch out {
	case truth.Unknown:
		flags |= record.PerhapsRuledOutFlag
	case truth.True:
		flags |= record.RuledOutFlag
		switch {
		case t == truth.True && clues:
			return truth.False, 0, flags | record.InConflictFlag
		case t == truth.True:
			return truth.Unknown, 0, flags | record.InConflictFlag
		}
		return truth.False, 0, flags
	}
	return t, round, flags
}

// bestOf gathers, over the bindings of one rule with its head fixed, whether it
// fires and in which round.
type bestOf struct {
	code  *ruleCode
	truth truth.Truth
	round int32
}

func (b *bestOf) visit(f *frame, in truth.Truth) bool {
	if in == truth.True {
		in = b.code.standsBack(f)
	}
	switch in {
	case truth.True:
		r := int32(1)
		if b.code.deep {
			r = f.s.ruleRound(f, b.code)
		}
		if b.truth != truth.True || r < b.round {
			b.round = r
		}
		b.truth = truth.True
		return b.round > 1
	case truth.Unknown:
		if b.truth == truth.False {
			b.truth = truth.Unknown
		}
	}
	return true
}

func (b *bestOf) enough(in truth.Truth) bool {
	return in == truth.Unknown && b.truth != truth.False
}

// standsBack is the truth of a rule whose conditions hold: unknown if an
// exception is known to hold.
func (c *ruleCode) standsBack(f *frame) truth.Truth {
	for i := range c.unless {
		if c.unless[i].fn(f) == truth.True {
			return truth.Unknown
		}
	}
	return truth.True
}

// rule is the truth of a rule for one part of one of its names, and its round if
// it fires.
func (s *Session) rule(c *ruleCode, name, part, ord int32) (truth.Truth, int32) {
	if c.word >= 0 {
		t := s.plainTruth(c, ord)
		if t != truth.True {
			return t, 0
		}
		return t, s.wordRound(c, ord)
	}
	f := &s.frame
	if len(c.each) > 1 {
		s.best = bestOf{code: c, truth: truth.False}
		c.walk(f, int(name), part, &s.best)
		return s.best.truth, s.best.round
	}
	f.bound[0], f.ord[0] = part, ord
	in := truth.True
	for i := range c.conds {
		if in = truth.And(in, c.conds[i].fn(f)); in == truth.False {
			return in, 0
		}
	}
	if in == truth.True {
		in = c.standsBack(f)
	}
	switch {
	case in != truth.True:
		return in, 0
	case !c.deep:
		return in, 1
	}
	return in, s.ruleRound(f, c)
}
