package explain

import (
	"math"

	"whyworn/engine/record"
	"whyworn/facts/measure"
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
	reads    []Read
	compared []Compared
	more     int
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
		g.compare(n, decides)
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
	r := g.read(id)
	r.Decides = decides && id.Prop.Type != vocab.Part && id.Prop.Type != vocab.Parts
	g.reads = append(g.reads, r)
}

// compare tells a comparison of numbers.
func (g *gathering) compare(n *record.Seen, decides bool) {
	e := n.Expr
	if len(n.Args) != 2 {
		return
	}
	a, b := &n.Args[0], &n.Args[1]
	unitOf := e.Args[0].Type
	if unitOf.Prop == nil {
		unitOf = e.Args[1].Type
	}
	out := Compared{
		Here: g.expr(g.cond.Of(e), shift(e, e.From), g.bound), Op: opText(e.Op), State: n.State.String(), Decides: decides,
		Left: g.numberWords(&a.Value, e.Args[0].Type, unitOf), Right: g.numberWords(&b.Value, e.Args[1].Type, unitOf),
		NoU: n.NoU,
	}
	if n.U > 0 {
		out.U, out.K = n.U, g.Facts.K
		if a.Value.Looked == vocab.Told && b.Value.Looked == vocab.Told && a.Value.Number.IsValue() && b.Value.Number.IsValue() {
			d := a.Value.Number.Lo - b.Value.Number.Lo
			lo, hi := 0.0, math.Inf(1)
			if e.Op == condition.Lt || e.Op == condition.Le {
				lo, hi = math.Inf(-1), 0
			}
			p := measure.ConformityProbability(d, n.U, lo, hi)
			out.Holds = &p
		}
	}
	if n.NeededU > 0 {
		out.NeededU = n.NeededU
		unit := measure.Display(e.Args[0].Type.Dim, false)
		if unitOf.Prop != nil {
			unit = unitOf.Prop.Unit
		}
		out.Needed = measure.FormatDifference(floor(n.NeededU), unit, measure.Shortest)
	}
	g.compared = append(g.compared, out)
}

// floor keeps two significant digits, rounded down: a u that large still decides.
func floor(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return x
	}
	scale := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Floor(x/scale+1e-9) * scale
}

func opText(op condition.Op) string {
	switch op {
	case condition.Lt:
		return "<"
	case condition.Le:
		return "<="
	case condition.Gt:
		return ">"
	}
	return ">="
}

// numberWords shows a side of a comparison, in the unit of the other where it
// has none of its own, with its expanded uncertainty.
func (c *Case) numberWords(v *vocab.Value, t, other condition.Type) string {
	if t.Prop == nil {
		t.Prop = other.Prop
	}
	out := c.Value(v, t)
	if v.Looked == vocab.Told && t.Prop != nil {
		if q := c.quantity(v, t.Prop); q.Plus != "" {
			out += " ± " + q.Plus
		}
	}
	return out
}
