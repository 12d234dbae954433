package explain

import (
	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// gathering collects what a condition read, each fact once, and marks what
// decides it.
type gathering struct {
	*builder
	cond     *condition.Condition
	bound    []int32
	reads    []read
	compared []account.Compared
	more     int
}

// read is what is told of a fact, with the fact.
type read struct {
	account.Read
	id record.FactID
}

// node walks a condition as this run saw it. A part of it decides when the
// outcome of the whole rests on it: of "and" known false only what is false.
func (g *gathering) node(n *record.Seen, decides bool) {
	e := n.Expr
	if e == nil {
		return
	}
	for _, id := range n.Reads {
		g.add(id, decides)
	}
	switch e.Op {
	case condition.And:
		g.each(n, decides, truth.False)
	case condition.Or:
		g.each(n, decides, truth.True)
	case condition.Any:
		g.members(n, decides, truth.True)
	case condition.All, condition.None:
		// All is decided false by a member that is false; none by one that is true.
		if e.Op == condition.All {
			g.members(n, decides, truth.False)
		} else {
			g.members(n, decides, truth.True)
		}
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		for i := range n.Args {
			g.node(&n.Args[i], decides)
		}
		c := g.Compared(g.cond, n, g.bound)
		c.Decides = decides
		g.compared = append(g.compared, c)
	default:
		for i := range n.Args {
			g.node(&n.Args[i], decides)
		}
	}
}

// each walks the arguments of and, or: those of the state that alone decides
// it where it is so, else those still unknown, else all.
func (g *gathering) each(n *record.Seen, decides bool, alone truth.Truth) {
	for i := range n.Args {
		a := &n.Args[i]
		d := decides
		switch {
		case n.State == alone:
			d = decides && a.State == alone
		case n.State == truth.Unknown:
			d = decides && a.State == truth.Unknown
		}
		g.node(a, d)
	}
}

// members walks the members of a list. Where one alone decides, the first that
// does is told in full and the others like it are counted.
func (g *gathering) members(n *record.Seen, decides bool, alone truth.Truth) {
	outcome := n.State
	if n.Expr.Op == condition.None {
		outcome = truth.Not(outcome)
	}
	first := -1
	if outcome == alone {
		for i := range n.Args {
			if n.Args[i].State == alone && (first < 0 || g.rounds(&n.Args[i]) < g.rounds(&n.Args[first])) {
				first = i
			}
		}
	}
	for i := range n.Args {
		a := &n.Args[i]
		d := decides
		switch {
		case first >= 0:
			d = decides && i == first
			if decides && i != first && a.State == alone {
				g.more++
			}
		case outcome == truth.Unknown:
			d = decides && a.State == truth.Unknown
		}
		g.node(a, d)
	}
}

// rounds is the latest round that a node reads.
func (g *gathering) rounds(n *record.Seen) int32 {
	var out int32
	for _, id := range n.Reads {
		out = max(out, g.Result.Fact(id.Part, id.Prop).Round)
	}
	for i := range n.Args {
		out = max(out, g.rounds(&n.Args[i]))
	}
	return out
}

func (g *gathering) add(id record.FactID, decides bool) {
	if id.Part < 0 {
		return
	}
	for i := range g.reads {
		if g.reads[i].id == id {
			g.reads[i].Decides = g.reads[i].Decides || decides && id.Prop.Type != vocab.Part && id.Prop.Type != vocab.Parts
			return
		}
	}
	r := read{g.Read(id), id}
	r.Decides = decides && id.Prop.Type != vocab.Part && id.Prop.Type != vocab.Parts
	g.reads = append(g.reads, r)
}
