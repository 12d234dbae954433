package engine

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// findTouched marks unknown findings of which something is known.
func (s *Session) findTouched(r *record.Result) {
	for _, c := range s.columns.Of {
		if !c.Prop.Role.Concluded() || c.Prop.Role == vocab.Verdict {
			continue
		}
		x := &s.p.info[s.p.id(c.Prop)]
		for o := range c.N {
			at := c.First + o
			if s.state[at] == truth.Unknown && s.touched(x, at, s.l.OfKind[c.Prop.Kind.Index][o], o) {
				r.Flags[at] |= record.TouchedFlag
			}
		}
	}
}

// look is where a fact stands that a finding looks up.
type look struct {
	at int32
	in lookIn
}

type lookIn uint8

const (
	lookState lookIn = iota // concluded
	lookYesNo               // observed
	lookChoice
	lookNumber
)

// looks is what each finding looks up, kept where it hangs on the layout alone
// from the second result on: a session that gives one has no use for it.
type looks struct {
	results int
	of      [][]look // by slot; nil: not made
	held    int
	making  []look
}

// mostLookers is how many findings a session may have that keeps what they look up.
const mostLookers = 1 << 16

// touched tells whether anything that the rules and clues of a fact look up is
// known.
func (s *Session) touched(x *propInfo, at, part, ord int32) bool {
	k := &s.looks
	if k.results < 2 || !x.fixed || s.columns.Size > mostLookers {
		return !s.eachLook(x, part, func(part int32, p *vocab.Property) bool { return !s.isKnown(part, p) })
	}
	if k.of == nil {
		k.of = make([][]look, s.columns.Size)
	}
	list := k.of[at]
	if list == nil {
		k.making = k.making[:0]
		s.eachLook(x, part, func(part int32, p *vocab.Property) bool {
			if l, ok := s.lookAt(part, p); ok && !slices.Contains(k.making, l) {
				k.making = append(k.making, l)
			}
			return true
		})
		list = k.making
		if k.held += len(list); k.held <= mostReach {
			k.of[at] = append(make([]look, 0, len(list)), list...)
		}
	}
	for _, l := range list {
		if s.knows(l) {
			return true
		}
	}
	return false
}

// lookAt is where a fact stands; false where nothing can be known of it.
func (s *Session) lookAt(part int32, p *vocab.Property) (look, bool) {
	id, ord := s.p.id(p), s.ords[part]
	switch {
	case p.Role.Concluded():
		return look{s.first[id] + ord, lookState}, true
	case p.Type == vocab.YesNo && s.maskAt[id] >= 0:
		return look{s.maskAt[id] + ord, lookYesNo}, true
	case p.Type == vocab.Choice && s.maskAt[id] >= 0:
		return look{s.maskAt[id] + ord, lookChoice}, true
	case (p.Type == vocab.Number || p.Type == vocab.Whole) && s.numAt[id] >= 0:
		return look{s.numAt[id] + ord, lookNumber}, true
	}
	return look{}, false
}

func (s *Session) knows(l look) bool {
	switch l.in {
	case lookState:
		return s.state[l.at] != truth.Unknown
	case lookYesNo:
		return within(s.mask[l.at], vocab.Yes) != truth.Unknown
	case lookChoice:
		return s.mask[l.at] != 0
	}
	if x := s.num[l.at]; x == x {
		return true
	}
	_, ok := s.odd[l.at]
	return ok
}

// eachLook visits what the rules and clues of a fact look up, not counting what
// the machine fixes, until visit stops it; false if it did.
func (s *Session) eachLook(x *propInfo, part int32, visit func(int32, *vocab.Property) bool) bool {
	look := func(part int32, p *vocab.Property) bool { return p.Role == vocab.Declared || visit(part, p) }
	for _, list := range [][]headOf{x.then, x.outs} {
		for _, h := range list {
			c := s.p.rules[h.rule]
			if c.word >= 0 {
				if slices.ContainsFunc(c.all, func(r read) bool { return !look(part, r.prop) }) {
					return false
				}
				continue
			}
			for b := range s.blindly(&c.binder, int(h.name), part) {
				for i := range c.conds {
					if v := (&env{r: s, bound: b}); !v.facts(c.conds[i].cond.Root, look) {
						return false
					}
				}
			}
		}
	}
	for _, k := range x.clues {
		c := s.p.clues[k]
		for b := range s.blindly(&c.binder, c.clue.Cause.Var, part) {
			if v := (&env{r: s, bound: b}); !v.facts(c.clue.Sign.Root, look) {
				return false
			}
		}
	}
	return true
}

// findFixedLooks tells of which findings what they look up hangs on the layout
// alone: references and lists are fixed, and no equality of facts ties names.
func (p *Program) findFixedLooks() {
	fixed := func(b *binder) bool {
		return !slices.ContainsFunc(b.plans, func(pl plan) bool {
			return slices.ContainsFunc(pl.steps, func(st planStep) bool { return st.how == lookup })
		})
	}
	for i := range p.info {
		x := &p.info[i]
		x.fixed = len(p.observedRefs) == 0
		for _, list := range [][]headOf{x.then, x.outs} {
			for _, h := range list {
				x.fixed = x.fixed && fixed(&p.rules[h.rule].binder)
			}
		}
		for _, k := range x.clues {
			x.fixed = x.fixed && fixed(&p.clues[k].binder)
		}
	}
}
