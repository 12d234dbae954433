package engine

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// graver lists the levels that rules give, gravest first.
var graver = [...]vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther}

// findVerdicts gives each part of a kind that has verdict rules the gravest
// verdict that fires. Refit needs every rule for rework and replace known not
// to fire; while any is open and none fires it is inspect further, and what
// would have to be known is named.
func (s *Session) findVerdicts(r *record.Result) {
	for _, j := range s.judged {
		k, props := s.p.verdicts[j].kind, &s.p.verdicts[j].props
		for o, part := range s.l.OfKind[k] {
			v := record.Verdict{Part: part, Level: vocab.Refit}
			if n := len(r.Verdicts); n < cap(r.Verdicts) { // a result used again
				old := &r.Verdicts[:n+1][n]
				v.Open, v.Missing = old.Open[:0], old.Missing[:0]
			}
			open := false
			for i, l := range graver {
				p := props[i]
				if p == nil || len(s.p.info[s.p.id(p)].then) == 0 {
					continue
				}
				t := s.state[s.first[s.p.id(p)]+int32(o)]
				if t == truth.True {
					v.Level = l
					break
				}
				if t == truth.Unknown && l > vocab.InspectFurther {
					open = true
					v.Open = append(v.Open, l)
				}
			}
			if open && v.Level == vocab.Refit {
				v.Level = vocab.InspectFurther
			}
			if s.overrun == nil {
				for i, l := range graver {
					if slices.Contains(v.Open, l) {
						v.Missing = s.missing(v.Missing, part, props[i])
					}
				}
				slices.SortFunc(v.Missing, v.Nearer)
				v.Missing = slices.Compact(v.Missing)
			}
			if len(v.Open) == 0 {
				v.Open = nil
			}
			if len(v.Missing) == 0 {
				v.Missing = nil
			}
			r.Verdicts = append(r.Verdicts, v)
		}
	}
	byPart := func(a, b record.Verdict) int { return int(a.Part - b.Part) }
	if !slices.IsSortedFunc(r.Verdicts, byPart) {
		slices.SortFunc(r.Verdicts, byPart)
	}
}

// judgedKind is a kind that has verdict rules, with its verdicts as in graver.
type judgedKind struct {
	kind  int
	props [len(graver)]*vocab.Property
}

// bindJudged puts the kinds that have verdict rules in the order of their parts.
func (s *Session) bindJudged() {
	for j := range s.p.verdicts {
		if len(s.l.OfKind[s.p.verdicts[j].kind]) > 0 {
			s.judged = append(s.judged, j)
		}
	}
	slices.SortFunc(s.judged, func(a, b int) int {
		return int(s.l.OfKind[s.p.verdicts[a].kind][0] - s.l.OfKind[s.p.verdicts[b].kind][0])
	})
}

// missing adds the observations nobody told that an unknown fact rests on.
func (s *Session) missing(out []record.FactID, part int32, p *vocab.Property) []record.FactID {
	at := s.placeOf(part, p)
	if s.asking++; s.asking == 0 || len(s.asked) != int(s.space.size) {
		s.asked, s.asking = make([]uint32, s.space.size), 1
	}
	m := missingFinder{s: s, out: out}
	m.fact(part, p, at)
	return m.out
}

type missingFinder struct {
	s   *Session
	out []record.FactID
}

func (m *missingFinder) fact(part int32, p *vocab.Property, at int32) {
	id := record.FactID{Part: part, Prop: p}
	s := m.s
	if s.asked[at] == s.asking || s.spend(1) {
		return
	}
	s.asked[at] = s.asking
	if p.Role == vocab.Declared || s.settledValue(part, p) {
		return
	}
	head := s.p.isHead(s.p.id(p))
	if !head || p.Observable {
		m.out = append(m.out, id)
	}
	if !head {
		return
	}
	x := &s.p.info[s.p.id(p)]
	for _, list := range [][]headOf{x.then, x.outs, x.sets} {
		for _, h := range list {
			c := s.p.rules[h.rule]
			for b := range s.meeting(&c.binder, int(h.name), part) {
				m.rule(c, &h, b)
			}
		}
	}
	for _, k := range x.clues {
		c := s.p.clues[k]
		for b := range s.meeting(&c.binder, c.clue.Cause.Var, part) {
			v := &env{r: s, bound: b}
			v.facts(c.clue.Sign.Root, m.visit)
		}
	}
}

func (m *missingFinder) visit(part int32, p *vocab.Property) bool {
	m.fact(part, p, m.s.placeOf(part, p))
	return true
}

// rule goes into the conditions of a rule that is open: of one that is known to
// fail nothing is missing.
func (m *missingFinder) rule(c *ruleCode, h *headOf, bound []int32) {
	f := &m.s.frame
	for n := range c.each {
		f.bind(n, bound[n])
	}
	unknown := uint64(0)
	for i := range c.conds {
		switch c.conds[i].fn(f) {
		case truth.False:
			return
		case truth.Unknown:
			unknown |= 1 << (i % 64)
		}
	}
	v := &env{r: m.s, bound: bound}
	for i := range c.conds {
		if unknown>>(i%64)&1 != 0 {
			m.open(v, c.conds[i].cond.Root)
		}
	}
	if len(c.rule.Set) > 0 {
		v.facts(c.rule.Set[h.at].Value.Root, m.visit)
	}
}

// open goes into what is unknown of a condition: which members a list has, and
// what is asked of those it may have.
func (m *missingFinder) open(v *env, e *condition.Expr) {
	switch {
	case e.Type.K == condition.KBool && v.truth(e) != truth.Unknown:
	case e.Op == condition.Prop || e.Op == condition.Keep:
		v.facts(e, m.visit)
	case opensElement(e.Op) && len(e.Args) > 1:
		v.facts(e.Args[0], m.visit)
		members, _ := v.members(e.Args[0])
		for _, x := range members {
			v.push(x.part)
			m.open(v, e.Args[1])
			v.pop()
		}
	default:
		for _, a := range e.Args {
			m.open(v, a)
		}
	}
}

// settledValue tells whether a property of a part is wholly known, so that
// looking again would tell nothing new.
func (s *Session) settledValue(part int32, p *vocab.Property) bool {
	switch {
	case p.Type == vocab.YesNo:
		return s.truthOf(part, p) != truth.Unknown
	case p.Type == vocab.Choice:
		return single(s.maskOf(part, p)) >= 0
	case p.Type == vocab.Number || p.Type == vocab.Whole:
		n, ok := s.numberOf(part, p)
		return ok && n.IsValue()
	}
	return s.isKnown(part, p)
}
