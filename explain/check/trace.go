package check

import (
	"math"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// trace goes through a condition and notes every fact that it reads, each
// comparison of numbers, and which of them decide it: of "and" known false only
// what is false, of what is open only what is open, else all.
type trace struct {
	reads    []traced
	compared []comparison
	more     int // members of lists that decide as the one told does
}

type traced struct {
	fact
	decides bool
}

type comparison struct {
	at      place
	e       *condition.Expr
	decides bool
}

func (t *trace) node(c place, e *condition.Expr, decides bool) {
	part := func(a *condition.Expr, alone, whole truth.Truth) {
		s := c.truth(a)
		t.node(c, a, decides && (whole != alone && whole != truth.Unknown || s == whole))
	}
	switch {
	case e.Op == condition.Prop:
		if f, ok := c.fact(e); ok && !fixed(f.Prop) {
			t.add(f, decides)
		}
		t.node(c, e.Args[0], decides)
	case e.Op == condition.And:
		for _, a := range e.Args {
			part(a, truth.False, c.truth(e))
		}
	case e.Op == condition.Or:
		for _, a := range e.Args {
			part(a, truth.True, c.truth(e))
		}
	case overList(e):
		t.list(c, e, decides)
	default:
		for _, a := range e.Args {
			t.node(c, a, decides)
		}
		if e.Op >= condition.Lt && e.Op <= condition.Ge {
			t.compared = append(t.compared, comparison{c, e, decides})
		}
	}
}

// list goes through what is asked of each member. Where one member alone
// decides, the one that came first is told in full and those like it counted.
func (t *trace) list(c place, e *condition.Expr, decides bool) {
	from := e.Args[0]
	if e.Op == condition.Keep {
		from = e
	}
	c.facts(from, func(f fact) { t.add(f, decides) }) // which members it has is read as well
	if e.Type.K == condition.KList || len(e.Args) < 2 {
		return
	}
	list, _ := c.list(e.Args[0])
	quantified := e.Op == condition.Any || e.Op == condition.All || e.Op == condition.None
	outcome, alone := truth.True, truth.True
	if quantified {
		outcome = c.truth(e)
	}
	if e.Op == condition.None {
		outcome = truth.Not(outcome)
	}
	if e.Op == condition.All {
		alone = truth.False
	}
	first, earliest := -1, int32(0)
	for i, m := range list {
		in := c.in(m.part)
		if quantified && outcome == alone && in.truth(e.Args[1]) == alone {
			if late := in.latest(e.Args[1]); first < 0 || late < earliest {
				first, earliest = i, late
			}
		}
	}
	for i, m := range list {
		in, d := c.in(m.part), decides
		if quantified {
			switch state := in.truth(e.Args[1]); {
			case first >= 0:
				if decides && i != first && state == alone {
					t.more++
				}
				d = decides && i == first
			case outcome == truth.Unknown:
				d = decides && state == truth.Unknown
			}
		}
		t.node(in, e.Args[1], d)
	}
}

// latest is the latest round among the facts that a condition reads.
func (c place) latest(e *condition.Expr) (out int32) {
	var t trace
	t.node(c, e, true)
	for _, r := range t.reads {
		out = max(out, c.world.round[r.fact])
	}
	return out
}

func (t *trace) add(f fact, decides bool) {
	decides = decides && !isRef(f.Prop)
	for i := range t.reads {
		if t.reads[i].fact == f {
			t.reads[i].decides = t.reads[i].decides || decides
			return
		}
	}
	t.reads = append(t.reads, traced{f, decides})
}

// comparison tells one comparison of numbers.
func (k *comparison) told(root *condition.Condition) compared {
	c, e := k.at, k.e
	l, r := e.Args[0], e.Args[1]
	prop := l.Type.Prop
	if prop == nil {
		prop = r.Type.Prop
	}
	out := c.compare(e)
	x, known := c.number(l)
	y, alike := c.number(r)
	side := func(n measure.Number, known bool, t condition.Type) string {
		if t.Prop == nil {
			t.Prop = prop
		}
		if !known {
			return notKnown
		}
		words := numberWords(n, t)
		if t.Prop != nil {
			words += plus(c.quantity(n, t.Prop))
		}
		return words
	}
	measured := false
	c.facts(e, func(f fact) {
		if f.Prop.Type == vocab.Number && f.Prop.Role != vocab.Declared {
			_, ok := c.numberOf(f)
			measured = measured || ok
		}
	})
	told := compared{
		Here: c.here(root, e), Op: map[condition.Op]string{condition.Lt: "<", condition.Le: "<=", condition.Gt: ">", condition.Ge: ">="}[e.Op],
		Left: side(x, known, l.Type), Right: side(y, alike, r.Type), State: out.state.String(), Decides: k.decides,
		NoU: out.state != truth.Unknown && !out.given && measured,
	}
	if out.u > 0 {
		told.U, told.K = out.u, c.f.K
		if known && alike && x.IsValue() && y.IsValue() {
			// The probability that the true values compare so (JCGM 106:2012, 7.2).
			z := (x.Lo - y.Lo) / out.u
			if e.Op == condition.Lt || e.Op == condition.Le {
				z = -z
			}
			p := math.Erfc(-z/math.Sqrt2) / 2
			told.Holds = &p
		}
	}
	if out.needed > 0 {
		unit := measure.Display(l.Type.Dim, false)
		if prop != nil {
			unit = prop.Unit
		}
		told.NeededU = out.needed
		told.Needed = measure.FormatDifference(twoDigits(out.needed, -1), unit, measure.Shortest)
	}
	return told
}
