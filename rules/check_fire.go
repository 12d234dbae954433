package rules

import (
	"math"

	"whyworn/facts/source"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// NeverHolds is the code of [conditionsCanHold].
var NeverHolds = source.Declare("never-holds", "the conditions of a statement can never all hold at once")

// conditionsCanHold warns of statements whose conditions contradict each other:
// moves == 'stuck' with moves == 'free', over 0.5 with under 0.2. What stands in
// one 'or' is not looked into.
func conditionsCanHold(l *loader) {
	l.eachStatement(func(what, id string, _ source.Span, conditions []*condition.Condition) {
		seen := demands{}
		for _, c := range conditions {
			if !l.consistent(seen, c, what, id) {
				return
			}
		}
	})
}

// demands are what conditions leave possible, by the text of what they ask of.
type demands map[string]*demand

// demand is the set of choices, or the range of a number, that is left.
type demand struct {
	mask           uint64
	lo, hi         float64
	loOpen, hiOpen bool
	by             source.Span // of the last condition that narrowed it
	text           string
}

func (d *demand) empty() bool {
	return d.mask == 0 || d.lo > d.hi || d.lo == d.hi && (d.loOpen || d.hiOpen)
}

// consistent narrows what was seen by a condition and tells, once, where
// nothing is left.
func (l *loader) consistent(seen demands, c *condition.Condition, what, id string) bool {
	for _, e := range allOf(c.Root, nil) {
		of, d := demandOf(c, e)
		if of == "" {
			continue
		}
		old := seen[of]
		if old == nil {
			old = &demand{mask: math.MaxUint64, lo: math.Inf(-1), hi: math.Inf(1)}
			seen[of] = old
		}
		before := *old
		old.mask &= d.mask
		if d.lo > old.lo || d.lo == old.lo && d.loOpen {
			old.lo, old.loOpen = d.lo, d.loOpen
		}
		if d.hi < old.hi || d.hi == old.hi && d.hiOpen {
			old.hi, old.hiOpen = d.hi, d.hiOpen
		}
		if old.empty() {
			// Alone no condition is empty: that is refused where it is read.
			l.ps.Addf(NeverHolds, c.At(e), "%s %q can never hold: %q goes against %q", what, id, c.Of(e), before.text).Warn().
				Beside(before.by, "the condition it goes against").
				Hint("conditions of one if must all hold; for one or the other write: this or that")
			return false
		}
		old.by, old.text = c.At(e), c.Of(e)
	}
	return true
}

// allOf lists what must all hold for e to hold.
func allOf(e *condition.Expr, out []*condition.Expr) []*condition.Expr {
	if e.Op == condition.And {
		for _, a := range e.Args {
			out = allOf(a, out)
		}
		return out
	}
	return append(out, e)
}

// demandOf reads what one condition asks of one property; "" where it is no
// such condition.
func demandOf(c *condition.Condition, e *condition.Expr) (string, demand) {
	d := demand{mask: math.MaxUint64, lo: math.Inf(-1), hi: math.Inf(1)}
	not := false
	for e.Op == condition.Not {
		e, not = e.Args[0], !not
	}
	switch e.Op {
	case condition.Prop:
		if e.Type.K != condition.KBool {
			return "", d
		}
		d.mask = vocab.Yes
		if not {
			d.mask = vocab.No
		}
		return pathOf(c, e), d
	case condition.Within:
		d.mask = e.Mask
		if not {
			d.mask = ^e.Mask
		}
		if p := e.Args[0].Type.Prop; p != nil && len(p.Choices) > 0 {
			d.mask &= 1<<len(p.Choices) - 1
		}
		return pathOf(c, e.Args[0]), d
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		left, right, op := e.Args[0], e.Args[1], e.Op
		if left.Op == condition.Const {
			left, right, op = right, left, turned[op]
		}
		if right.Op != condition.Const || left.Op == condition.Const {
			return "", d
		}
		if not {
			op = opposite[op]
		}
		switch op {
		case condition.Lt, condition.Le:
			d.hi, d.hiOpen = right.Num, op == condition.Lt
		default:
			d.lo, d.loOpen = right.Num, op == condition.Gt
		}
		return pathOf(c, left), d
	}
	return "", d
}

var (
	turned = map[condition.Op]condition.Op{condition.Lt: condition.Gt, condition.Le: condition.Ge, condition.Gt: condition.Lt, condition.Ge: condition.Le}
	// The opposites of comparisons.
	opposite = map[condition.Op]condition.Op{condition.Lt: condition.Ge, condition.Le: condition.Gt, condition.Gt: condition.Le, condition.Ge: condition.Lt}
)

// pathOf names a property reached from a name of each, seat.shaft.tint; "" for
// anything else.
func pathOf(c *condition.Condition, e *condition.Expr) string {
	for at := e; ; at = at.Args[0] {
		switch at.Op {
		case condition.Prop:
		case condition.Name:
			return c.Of(e)
		default:
			return ""
		}
	}
}
