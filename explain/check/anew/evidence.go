package anew

import (
	"math"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// The arithmetic of evidence, in decibans rounded to 1e-9 and summed as whole
// numbers.

// evidence is what is handed on: the likelihood ratio, infinite for seen, 0
// for absent, 1 for unknown, and the probability.
type evidence struct{ lambda, prob float64 }

var (
	seen   = evidence{math.Inf(1), 1}
	absent = evidence{0, 0}
	open   = evidence{1, 0.5}
)

func ofTruth(t truth.Truth) evidence {
	return map[truth.Truth]evidence{truth.True: seen, truth.False: absent, truth.Unknown: open}[t]
}

func (a evidence) and(b evidence) evidence {
	return evidence{min(a.lambda, b.lambda), min(a.prob, b.prob)}
}

func (a evidence) or(b evidence) evidence {
	return evidence{max(a.lambda, b.lambda), max(a.prob, b.prob)}
}

func (a evidence) not() evidence {
	l := 1 / a.lambda
	if math.IsInf(l, 1) && a.lambda != 0 { // neither seen nor absent stays so
		l = math.MaxFloat64
	}
	return evidence{l, 1 - a.prob}
}

func (c Place) evidence(e *condition.Expr) evidence {
	switch e.Op {
	case condition.Prop:
		f, ok := c.Fact(e)
		if ev, weighed := c.ev[f]; ok && weighed {
			return ev
		}
	case condition.And:
		out := seen
		for _, a := range e.Args {
			out = out.and(c.evidence(a))
		}
		return out
	case condition.Or:
		out := absent
		for _, a := range e.Args {
			out = out.or(c.evidence(a))
		}
		return out
	case condition.Not:
		return c.evidence(e.Args[0]).not()
	case condition.Any, condition.All, condition.None:
		if all, sure := c.evidences(e, e.Op == condition.All); sure {
			out := absent
			for _, ev := range all {
				out = out.or(ev)
			}
			if e.Op != condition.Any {
				out = out.not()
			}
			return out
		}
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		count, n, op := e.Args[0], e.Args[1], e.Op
		if count.Op == condition.Const {
			turned := map[condition.Op]condition.Op{condition.Lt: condition.Gt, condition.Gt: condition.Lt, condition.Le: condition.Ge, condition.Ge: condition.Le}
			count, n, op = n, count, turned[op]
		}
		if count.Op != condition.Count || n.Op != condition.Const || len(count.Args) < 2 {
			break
		}
		if _, known := c.List(count.Args[0]); !known {
			return open
		}
		atLeast := int(math.Ceil(n.Num))
		if op == condition.Gt || op == condition.Le {
			atLeast = int(math.Floor(n.Num)) + 1
		}
		all, _ := c.evidences(count, false)
		out := nth(all, atLeast)
		if op == condition.Lt || op == condition.Le {
			out = out.not()
		}
		return out
	}
	return ofTruth(c.Truth(e))
}

// nth is the evidence that n or more hold: the n-th greatest.
func nth(all []evidence, n int) evidence {
	switch {
	case n <= 0:
		return seen
	case n > len(all):
		return absent
	}
	var l, p []float64
	for _, ev := range all {
		l, p = append(l, ev.lambda), append(p, ev.prob)
	}
	slices.Sort(l)
	slices.Sort(p)
	return evidence{l[len(l)-n], p[len(p)-n]}
}

// evidences is that each member is in the list and satisfies the predicate, or
// with lacks does not; sure if some member surely is in the list.
func (c Place) evidences(e *condition.Expr, lacks bool) (out []evidence, sure bool) {
	list, _ := c.List(e.Args[0])
	for _, m := range list {
		ev, in := seen, c.in(m.Part)
		if len(e.Args) > 1 {
			ev = in.evidence(e.Args[1])
		}
		if lacks {
			ev = ev.not()
		}
		for l := e.Args[0]; l.Op == condition.Keep; l = l.Args[0] {
			ev = ev.and(in.evidence(l.Args[1]))
		}
		out, sure = append(out, ev), sure || m.in == truth.True
	}
	return out, sure
}

// handOn works out what facts that rest on clues hand on: their own sum, or the
// best evidence of a rule that concludes them. What rests on itself rises from
// nothing until it no longer changes.
func (w *World) handOn(heads []*head, settled map[Fact]bool) {
	w.each(heads, func(h *head, f Fact) {
		if h.tainted {
			w.ev[f] = absent
		}
	})
	byRules := func(uses []use, f Fact) evidence {
		out := absent
		for _, u := range uses {
			for _, b := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
				c, ev := w.At(b), seen
				for _, k := range u.rule.If {
					ev = ev.and(c.evidence(k.Root))
				}
				for _, k := range u.rule.Unless {
					if c.Truth(k.Root) == truth.True {
						ev = ev.and(open)
					}
				}
				out = out.or(ev)
			}
		}
		return out
	}
	for again := true; again; {
		again = false
		w.each(heads, func(h *head, f Fact) {
			if !h.tainted {
				return
			}
			ev, s := open, w.sums[f]
			switch {
			case w.out[f] == truth.True && w.state[f] == truth.False:
				ev = byRules(h.outs, f).not()
			case w.out[f] == truth.True:
			case s != nil && !settled[f]:
				ev = evidence{math.Pow(10, min(max(float64(s.Sum)/Deciban/10, -300), 300)), s.prob}
				if !s.Decided {
					ev.lambda = 1
				}
			case len(h.then) > 0:
				ev = byRules(h.then, f)
			}
			if w.ev[f] != ev {
				w.ev[f], again = ev, true
			}
		})
	}
}
