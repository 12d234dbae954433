package explain

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Undecided tells the comparisons that a part's verdict waits for and that the
// readings are too coarse to decide, each with the standard uncertainty that
// would decide it.
func (c *Case) Undecided(v *record.Verdict) []string {
	u := undecided{Case: c, seen: map[record.FactID]bool{}}
	for _, l := range v.Open {
		if p := c.Facts.Parts[v.Part].Kind.Property(vocab.VerdictID(l)); p != nil {
			u.fact(record.FactID{Part: v.Part, Prop: p})
		}
	}
	return u.out
}

type undecided struct {
	*Case
	seen  map[record.FactID]bool
	bound []int32
	out   []string
}

func (u *undecided) fact(id record.FactID) {
	if u.seen[id] || u.State(id).Known() {
		return
	}
	u.seen[id] = true
	for _, w := range u.Ways(id) {
		if w.Rule == nil || w.State != truth.Unknown {
			continue
		}
		for i := range w.If {
			u.bound = w.Bound
			u.node(&w.If[i])
		}
	}
}

func (u *undecided) node(n *record.Seen) {
	if n.Expr == nil || n.State.Known() {
		return
	}
	if n.Reason == record.WithinU && len(n.Args) == 2 && n.NeededU > 0 {
		text := u.PlainExpr(n.Expr, u.bound) + ": undecided"
		if t := n.Expr.Args[0].Type; t.Prop != nil {
			text += ", a standard uncertainty of " + words.Enough(n.NeededU, t.Prop.Unit) + " or less would decide"
		}
		if !slices.Contains(u.out, text) {
			u.out = append(u.out, text)
		}
		return
	}
	bound := u.bound
	for _, id := range n.Reads {
		if id.Prop.Role.Concluded() {
			u.fact(id)
			u.bound = bound
		}
	}
	for i := range n.Args {
		u.node(&n.Args[i])
	}
}
