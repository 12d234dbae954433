package engine

import (
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// setting is one rule, bound, that sets a number.
type setting struct {
	rule  int32
	bound [maxNames]int32
	value measure.Number
	round int32
}

// byPartID orders bindings by the ids of their parts, so that no choice hangs on
// the order in which places are written.
func (s *Session) byPartID(b *binder, x, y *[maxNames]int32) int {
	for n := range b.each {
		if x[n] != y[n] {
			if c := strings.Compare(s.l.Parts[x[n]].ID, s.l.Parts[y[n]].ID); c != 0 {
				return c
			}
		}
	}
	return 0
}

// settings gathers the rules that fire and set a number, in order of rule, then
// ids of bound parts.
func (s *Session) settings(x *propInfo, part int32) []setting {
	var out []setting
	f := &s.frame
	for i := range x.sets {
		h := &x.sets[i]
		c := s.p.rules[h.rule]
		a := &c.rule.Set[h.at]
		found := &s.fired
		found.code, found.list = c, found.list[:0]
		c.walk(f, int(h.name), part, found)
		from := len(out)
		for _, b := range found.list {
			for n := range c.each {
				f.bind(n, b[n])
			}
			n, ok := s.value(f, c.values[h.at], a.Value.Root)
			if !ok {
				continue
			}
			g := setting{rule: h.rule, bound: b, value: n, round: 1}
			if c.deep {
				g.round = max(s.ruleRound(f, c), f.env(0).greatest(a.Value.Root)+1)
			}
			out = append(out, g)
		}
		slices.SortFunc(out[from:], func(a, b setting) int { return s.byPartID(&c.binder, &a.bound, &b.bound) })
	}
	return out
}

// firing collects the bindings in which a rule fires.
type firing struct {
	bindings
	code *ruleCode
}

func (b *firing) visit(f *frame, in truth.Truth) bool {
	if in == truth.True && b.code.standsBack(f) == truth.True {
		b.list = append(b.list, f.bound)
	}
	return true
}

// value evaluates what is set: exactly if all that enters is exact.
func (s *Session) value(f *frame, fn numFn, e *condition.Expr) (measure.Number, bool) {
	if x := fn(f); x == x {
		return measure.Exact(x), true
	}
	return f.env(0).number(e)
}

// compute works out a number that rules set. Values that disagree leave it
// unknown. An observed value goes before it; the two are compared.
func (s *Session) compute(id pid, ord int32) {
	x := &s.p.info[id]
	at := s.first[id] + ord
	set := s.settings(x, s.l.OfKind[x.prop.Kind.Index][ord])
	var flags record.Flag
	for i := 1; i < len(set); i++ {
		if !s.agree(set[0].value, set[i].value) || disagreeing(set[:i], set[i], s.agree) {
			flags = record.InConflictFlag
		}
	}
	known := len(set) > 0 && flags == 0
	if known {
		s.calc[at], s.round[at] = set[0].value, set[0].round
		for _, g := range set[1:] {
			s.round[at] = min(s.round[at], g.round)
		}
	} else {
		delete(s.calc, at)
		s.round[at] = 0
	}
	if !s.given[at] {
		n := measure.Number{}
		if known {
			n = set[0].value
		}
		s.setNumber(id, ord, &n, known)
	} else if known {
		if n, ok := s.numberOf(s.l.OfKind[x.prop.Kind.Index][ord], x.prop); ok && !s.agree(n, set[0].value) {
			flags |= record.InConflictFlag
		}
	}
	s.flags[at] = flags
}

func disagreeing(before []setting, g setting, agree func(a, b measure.Number) bool) bool {
	return slices.ContainsFunc(before, func(b setting) bool { return !agree(b.value, g.value) })
}

// agree tells whether two numbers can both be right: they lie no further apart
// than k times the standard uncertainty of their difference, in which shared
// sources cancel. Without uncertainty they must meet, within rounding; where they
// touch at an end that is left out, they do not.
func (s *Session) agree(a, b measure.Number) bool {
	gap := max(a.Lo-b.Hi, b.Lo-a.Hi)
	tol := measure.RelativeEqual * max(finite(a.Lo), finite(a.Hi), finite(b.Lo), finite(b.Hi))
	u := a.Sub(b).U()
	if len(a.Terms)+len(b.Terms) == 0 {
		if a.Lo-b.Hi > -tol && (a.LoOpen || b.HiOpen) || b.Lo-a.Hi > -tol && (b.LoOpen || a.HiOpen) {
			return false
		}
	}
	return gap <= 0 || gap < tol || gap <= s.facts.K*u+tol
}
