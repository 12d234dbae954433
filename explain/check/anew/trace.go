package anew

import (
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// Trace goes through a condition and notes every fact that it reads, each
// comparison of numbers, and which of them decide it: of "and" known false only
// what is false, of what is open only what is open, else all.
type Trace struct {
	Reads    []Traced
	Compared []Comparison
	More     int // members of lists that decide as the one told does
}

// Traced is a fact that a condition reads, and whether it decides it.
type Traced struct {
	Fact
	Decides bool
}

// Comparison is one comparison of numbers of a condition.
type Comparison struct {
	At      Place
	Expr    *condition.Expr
	Decides bool
}

// Trace goes through a condition as a whole.
func (c Place) Trace(e *condition.Expr) *Trace {
	t := &Trace{}
	t.node(c, e, true)
	return t
}

func (t *Trace) node(c Place, e *condition.Expr, decides bool) {
	part := func(a *condition.Expr, alone, whole truth.Truth) {
		s := c.Truth(a)
		t.node(c, a, decides && (whole != alone && whole != truth.Unknown || s == whole))
	}
	switch {
	case e.Op == condition.Prop:
		if f, ok := c.Fact(e); ok && !fixed(f.Prop) {
			t.add(f, decides)
		}
		t.node(c, e.Args[0], decides)
	case e.Op == condition.And:
		for _, a := range e.Args {
			part(a, truth.False, c.Truth(e))
		}
	case e.Op == condition.Or:
		for _, a := range e.Args {
			part(a, truth.True, c.Truth(e))
		}
	case overList(e):
		t.list(c, e, decides)
	default:
		for _, a := range e.Args {
			t.node(c, a, decides)
		}
		if e.Op >= condition.Lt && e.Op <= condition.Ge {
			t.Compared = append(t.Compared, Comparison{c, e, decides})
		}
	}
}

// list goes through what is asked of each member. Where one member alone
// decides, the one that came first is told in full and those like it counted.
func (t *Trace) list(c Place, e *condition.Expr, decides bool) {
	from := e.Args[0]
	if e.Op == condition.Keep {
		from = e
	}
	c.Visit(from, func(f Fact) { t.add(f, decides) }) // which members it has is read as well
	if e.Type.K == condition.KList || len(e.Args) < 2 {
		return
	}
	list, _ := c.List(e.Args[0])
	quantified := e.Op == condition.Any || e.Op == condition.All || e.Op == condition.None
	outcome, alone := truth.True, truth.True
	if quantified {
		outcome = c.Truth(e)
	}
	if e.Op == condition.None {
		outcome = truth.Not(outcome)
	}
	if e.Op == condition.All {
		alone = truth.False
	}
	first, earliest := -1, int32(0)
	for i, m := range list {
		in := c.in(m.Part)
		if quantified && outcome == alone && in.Truth(e.Args[1]) == alone {
			if late := in.latest(e.Args[1]); first < 0 || late < earliest {
				first, earliest = i, late
			}
		}
	}
	for i, m := range list {
		in, d := c.in(m.Part), decides
		if quantified {
			switch state := in.Truth(e.Args[1]); {
			case first >= 0:
				if decides && i != first && state == alone {
					t.More++
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
func (c Place) latest(e *condition.Expr) (out int32) {
	for _, r := range c.Trace(e).Reads {
		out = max(out, c.World.round[r.Fact])
	}
	return out
}

func (t *Trace) add(f Fact, decides bool) {
	decides = decides && !IsRef(f.Prop)
	for i := range t.Reads {
		if t.Reads[i].Fact == f {
			t.Reads[i].Decides = t.Reads[i].Decides || decides
			return
		}
	}
	t.Reads = append(t.Reads, Traced{f, decides})
}

// HoldsBefore tells whether a condition holds by what came before a round alone,
// so that nothing holds itself up.
func (c Place) HoldsBefore(round int32, root *condition.Condition, t *Trace) bool {
	hidden := map[Fact]truth.Truth{}
	for _, r := range t.Reads {
		if s := c.state[r.Fact]; s != truth.Unknown && c.World.round[r.Fact] >= round {
			hidden[r.Fact] = s
			c.state[r.Fact] = truth.Unknown
		}
	}
	holds := root.Root.Type.K != condition.KBool || c.Truth(root.Root) == truth.True
	for f, s := range hidden {
		c.state[f] = s
	}
	return holds
}
