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
	if s.overrun != nil {
		s.reload()
	}
	s.work = 0
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
		for _, c := range rank.comps {
			s.fixpoint(&s.p.comps[c], nil)
		}
		s.indexRank(rank)
		if s.overrun != nil {
			return
		}
	}
}

// emitPlain reads off the words of plain rules that alone conclude their
// findings.
func (s *Session) emitPlain(rank int) {
	for k := range s.p.plain {
		plain := &s.p.plain[k]
		if rank >= len(plain.emits) || len(plain.emits[rank]) == 0 {
			continue
		}
		emits := plain.emits[rank]
		n := int32(len(s.l.OfKind[k]))
		if !s.byWord[k] {
			for _, e := range emits {
				s.workOut(e.head)
			}
			continue
		}
		state, round, first := s.state, s.round, s.first
		for o := range n {
			words := s.wordsOf(k, o)
			for i := range emits {
				e := &emits[i]
				switch w := words[e.word]; {
				case w&falseHalf != 0:
					state[first[e.head]+o] = truth.False
				case w == 0:
					at := first[e.head] + o
					state[at], round[at] = truth.True, 1
					if e.deep {
						round[at] = s.wordRound(s.p.rules[plain.rules[e.word]], o)
					}
				}
			}
		}
		if !s.p.weighs {
			continue
		}
		for _, e := range emits {
			if x := &s.p.info[e.head]; x.tainted {
				for o := range n {
					s.handOn(x, e.head, s.l.OfKind[k][o], o)
				}
			}
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
		if w := s.wordsOf(c.each[0].Kind.Index, ord); w != nil {
			t := wordTruth(w[c.word])
			if t != truth.True {
				return t, 0
			}
			return t, s.wordRound(c, ord)
		}
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

// indexRank enters what a rank worked out into the words that read it.
func (s *Session) indexRank(r *rank) {
	for k, ids := range r.index {
		if len(ids) == 0 || !s.byWord[k] {
			continue
		}
		for o := range int32(len(s.l.OfKind[k])) {
			words := s.wordsOf(k, o)
			for _, id := range ids {
				x := &s.p.info[id]
				at := s.first[id] + o
				if x.prop.Role == vocab.Computed {
					if _, ok := s.calc[at]; ok && !s.given[at] {
						x.index.applyNumber(words, s.placed(id, o))
					}
					continue
				}
				t := s.state[at]
				if t == truth.Unknown {
					continue
				}
				for _, e := range x.index.byValue[t-truth.False] { // no, yes
					words[e>>1] -= oneUnknown - e&1
				}
			}
		}
	}
}
