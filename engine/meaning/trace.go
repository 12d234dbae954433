package meaning

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// Trace is every fact that a condition reads, each comparison of numbers, and
// which of them decide it: of "and" known false only what is false, of what is
// open only what is open, else all.
type Trace struct {
	Reads    []Read
	Compared []Comparison
	More     int // members of lists that decide as the one told does
}

// Read is a fact that a condition reads.
type Read struct {
	Fact
	part
}

// part is what a fact or comparison has in what a condition comes to: whether it
// decides it, and whether it leaves it open, so that more about it might decide.
type part struct{ Decides, Open bool }

// Comparison is a comparison of numbers of a condition.
type Comparison struct {
	record.Seen
	Decides bool
}

// Trace goes through a condition.
func (c Place) Trace(e *condition.Expr) *Trace {
	t := &Trace{}
	t.node(c, e, part{true, true})
	return t
}

func (t *Trace) node(c Place, e *condition.Expr, has part) {
	has.Open = has.Open && (e.Type.K != condition.KBool || c.Truth(e) == truth.Unknown)
	switch {
	case overList(e):
		t.list(c, e, has)
		return
	case e.Op == condition.Prop:
		if f, ok := c.Fact(e); ok && !fixed(f.Prop) {
			t.add(f, has)
		}
	case e.Op >= condition.Lt && e.Op <= condition.Ge:
		defer func() { t.Compared = append(t.Compared, Comparison{c.Compare(e), has.Decides}) }() // after what it reads
	}
	for _, a := range e.Args {
		d := has
		if e.Op == condition.And || e.Op == condition.Or {
			// Where one alone decides the whole, those that do; else those open, if any is.
			switch whole := c.Truth(e); {
			case whole == truth.Unknown, whole == truth.Of(e.Op == condition.Or):
				d.Decides = d.Decides && c.Truth(a) == whole
			}
		}
		t.node(c, a, d)
	}
}

// list goes through what is asked of each member. Where one member alone
// decides, the one that came first is told in full and those like it counted.
func (t *Trace) list(c Place, e *condition.Expr, has part) {
	from := e.Args[0]
	if e.Op == condition.Keep {
		from = e
	}
	c.Visit(from, func(f Fact) { t.add(f, has) }) // which members it has is read as well
	if e.Type.K == condition.KList || len(e.Args) < 2 {
		return
	}
	list, _ := c.List(e.Args[0])
	quantified := e.Op == condition.Any || e.Op == condition.All || e.Op == condition.None
	alone := truth.Of(e.Op != condition.All) // what one member must be to decide
	first, earliest := -1, int32(0)
	outcome := c.Truth(e)
	if e.Op == condition.None {
		outcome = truth.Not(outcome)
	}
	for i, m := range list {
		in := c.in(m.Part)
		if quantified && outcome == alone && in.Truth(e.Args[1]) == alone {
			if late := in.latest(e.Args[1]); first < 0 || late < earliest {
				first, earliest = i, late
			}
		}
	}
	for i, m := range list {
		in, d := c.in(m.Part), has
		switch {
		case first >= 0:
			if d.Decides = d.Decides && i == first; has.Decides && i != first && in.Truth(e.Args[1]) == alone {
				t.More++
			}
		case quantified && outcome == truth.Unknown:
			d.Decides = d.Decides && in.Truth(e.Args[1]) == truth.Unknown
		}
		t.node(in, e.Args[1], d)
	}
}

func (t *Trace) add(f Fact, has part) {
	i := slices.IndexFunc(t.Reads, func(r Read) bool { return r.Fact == f })
	if i < 0 {
		i = len(t.Reads)
		t.Reads = append(t.Reads, Read{Fact: f})
	}
	r := &t.Reads[i]
	r.Decides = r.Decides || has.Decides && !isRef(f.Prop)
	r.Open = r.Open || has.Open
}
