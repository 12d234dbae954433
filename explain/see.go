package explain

import (
	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// ran is what a run found, as words ask for it.
type ran struct {
	program *engine.Program
	result  *record.Result
}

func (r ran) Fact(id record.FactID) record.Fact { return r.result.Fact(id.Part, id.Prop) }

func (r ran) Number(id record.FactID) (measure.Number, bool) {
	v, ok := r.result.Number(id.Part, id.Prop)
	return v.Number, ok
}

func (r ran) See(e *condition.Expr, bound []int32) vocab.Value {
	n := engine.SeeExpr(r.program, r.result, e, bound)
	return cameTo(&n)
}

// cameTo is what a node came to, a yes/no as a choice.
func cameTo(n *record.Seen) vocab.Value {
	if n.Expr.Type.K == condition.KBool {
		return vocab.Answer(n.State)
	}
	return n.Value
}

// see evaluates a condition of the pack for bound parts, with values shown.
func (c *Case) see(cond *condition.Condition, bound []int32) record.Seen {
	return engine.See(c.Program, c.Result, cond, bound)
}

// reasonOf is the first reason given at or below a node that is not known.
func reasonOf(n *record.Seen) record.Reason {
	if n.Reason != record.NoReason {
		return n.Reason
	}
	for i := range n.Args {
		if n.Args[i].State == truth.True || n.Args[i].State == truth.False {
			continue
		}
		if r := reasonOf(&n.Args[i]); r != record.NoReason {
			return r
		}
	}
	return record.NoReason
}
