package meaning

import (
	"math"

	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// scale is how well something is supported. A likelihood ratio is infinite for
// seen, 0 for absent, 1 for unknown; certainty is the same of what is settled; a
// probability ends at 1.
type scale struct {
	of        func(*found) float64 // a fact that clues speak of
	top, open float64
	not       func(float64) float64
}

var (
	certainty   = scale{nil, weigh.Seen, weigh.Open, weigh.Not}
	ratio       = scale{func(x *found) float64 { return x.Lambda }, weigh.Seen, weigh.Open, weigh.Not}
	probability = scale{func(x *found) float64 { return x.Probability }, 1, 0.5, func(p float64) float64 { return 1 - p }}
)

func (s scale) ofTruth(t truth.Truth) float64 {
	switch t {
	case truth.True:
		return s.top
	case truth.False:
		return 0
	}
	return s.open
}

// support is how well a condition is supported: of "and" the least, of "or" and
// any the greatest, of n or more the n-th greatest; none is not any, all is none
// that does not. Over no member any, all and none are open, so one at least must
// surely be there.
func (c Place) support(e *condition.Expr, s scale) float64 {
	var all []float64
	switch e.Op {
	case condition.Prop:
		if f, ok := c.Fact(e); ok && s.of != nil && c.at(f).weighed {
			return s.of(c.at(f))
		}
	case condition.And, condition.Or:
		for _, a := range e.Args {
			all = append(all, c.support(a, s))
		}
		if e.Op == condition.And {
			return weigh.And(all...)
		}
		return weigh.Or(all...)
	case condition.Not:
		return s.not(c.support(e.Args[0], s))
	case condition.Any, condition.All, condition.None:
		all, sure := c.supports(e, s, e.Op == condition.All)
		switch {
		case !sure:
			return s.open
		case e.Op == condition.Any:
			return weigh.Or(all...)
		}
		return s.not(weigh.Or(all...))
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		if out, counts := c.supportOfCount(e, s); counts && s.of != nil {
			return out
		}
	}
	return s.ofTruth(c.plain(e))
}

// supports is that each member is in the list and satisfies the predicate, or
// with lacks does not; sure if some member surely is in the list.
func (c Place) supports(e *condition.Expr, s scale, lacks bool) (out []float64, sure bool) {
	list, _ := c.List(e.Args[0])
	for _, m := range list {
		x, in := s.top, c.in(m.Part)
		if len(e.Args) > 1 {
			x = in.support(e.Args[1], s)
		}
		if lacks {
			x = s.not(x)
		}
		for l := e.Args[0]; l.Op == condition.Keep; l = l.Args[0] {
			x = min(x, in.support(l.Args[1], s))
		}
		out, sure = append(out, x), sure || m.in == truth.True
	}
	return out, sure
}

// supportOfCount is support for a count compared with a number, either way round;
// false if e is no such comparison.
func (c Place) supportOfCount(e *condition.Expr, s scale) (float64, bool) {
	count, n := e.Args[0], e.Args[1]
	over := e.Op == condition.Gt || e.Op == condition.Ge
	strict := e.Op == condition.Gt || e.Op == condition.Lt
	if count.Op == condition.Const {
		count, n, over = n, count, !over
	}
	if count.Op != condition.Count || n.Op != condition.Const || len(count.Args) < 2 {
		return 0, false
	}
	if _, known := c.List(count.Args[0]); !known {
		return s.open, true
	}
	least := math.Ceil(n.Num)
	if over == strict { // over n, or at most n and so not over it
		least = math.Floor(n.Num) + 1
	}
	all, _ := c.supports(count, s, false)
	out := min(s.top, weigh.AtLeast(int(least), all))
	if !over {
		out = s.not(out)
	}
	return out, true
}

// handOn works out what facts that rest on clues hand on: their own sum, or the
// best support of a rule that concludes them. What rests on itself rises from
// nothing until it no longer changes.
func (w *World) handOn(group []*vocab.Property) {
	w.each(group, func(h *head, f Fact, x *found) {
		x.weighed = h.weighed
		x.Lambda, x.Probability = 0, 0
	})
	for again := true; again; {
		again = false
		w.each(group, func(h *head, f Fact, x *found) {
			if !h.weighed {
				return
			}
			handed := func(s scale, own float64) float64 {
				switch {
				case x.ruledOut == truth.True && x.State == truth.False:
					return s.not(w.bySupport(f, rulesOut, s))
				case x.ruledOut == truth.True:
				case h.has[speaks] && !x.settled:
					return own
				case h.has[concludes]:
					return w.bySupport(f, concludes, s)
				}
				return s.open
			}
			own := weigh.Open
			if x.Decided {
				own = x.Weight.Ratio()
			}
			l, p := handed(ratio, own), handed(probability, x.byOdds)
			if l != x.Lambda || p != x.Probability {
				x.Lambda, x.Probability, again = l, p, true
			}
		})
	}
}

// bySupport is the best support of a rule of one effect for a fact; an exception
// that is known to hold leaves it open at most.
func (w *World) bySupport(f Fact, does effect, s scale) (out float64) {
	for _, b := range w.bearings(f, false) {
		if b.does != does {
			continue
		}
		c, x := w.At(b.Bound), s.top
		for _, k := range b.Rule.If {
			x = min(x, c.support(k.Root, s))
		}
		for _, k := range b.Rule.Unless {
			if c.Truth(k.Root) == truth.True {
				x = min(x, s.open)
			}
		}
		out = max(out, x)
	}
	return out
}
