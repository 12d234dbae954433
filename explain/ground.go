package explain

import (
	"whyworn/engine"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// instance is a statement bound to parts.
type instance struct {
	Bound []int32
	State truth.Truth // of its conditions together
}

// instances lists the bindings of a link's, remedy's or rivals' names under
// which its conditions are not known to be false. Names are found by their ties
// (a reference, a list), so that no product of kinds is tried.
func (c *Case) instances(each rules.Binding, conditions []*condition.Condition) []instance {
	return c.instancesOf(each, conditions, nil)
}

// instancesOf leaves out, before it looks at any condition, the instances that
// bind a name to a part which it may not have; nil: all may.
func (c *Case) instancesOf(each rules.Binding, conditions []*condition.Condition, may func(name int, part int32) bool) []instance {
	bound := make([]int32, len(each))
	for i := range bound {
		bound[i] = -1
	}
	var ties []condition.Tie
	for _, cond := range conditions {
		ties = append(ties, cond.Ties...)
	}
	var out []instance
	var bind func(done int)
	bind = func(done int) {
		if done == len(each) {
			state := truth.True
			for _, cond := range conditions {
				if state = truth.And(state, engine.See(c.Program, c.Result, cond, bound).State); state == truth.False {
					return
				}
			}
			out = append(out, instance{append([]int32(nil), bound...), state})
			return
		}
		v, parts := c.candidates(each, ties, bound)
		for _, p := range parts {
			if may != nil && !may(v, p) {
				continue
			}
			bound[v] = p
			bind(done + 1)
			bound[v] = -1
		}
	}
	bind(0)
	return out
}

// due lists the parts for which a remedy is not known to be out of place; an
// exception that holds keeps it back, as it does a rule.
func (c *Case) due(m *rules.Remedy) []instance {
	out := c.instances(m.Each, m.If)
	for i := range out {
		for _, k := range m.Unless {
			if engine.See(c.Program, c.Result, k, out[i].Bound).State == truth.True {
				out[i].State = truth.Unknown
			}
		}
	}
	return out
}

// mustNotRun tells whether a remedy that is due keeps the machine from running.
func (c *Case) mustNotRun() bool {
	for _, m := range c.Pack.Remedies {
		if m.DoNotRunUntil == nil {
			continue
		}
		for _, in := range c.due(m) {
			if in.State == truth.True {
				return true
			}
		}
	}
	return false
}

// candidates picks the next name to bind, one that a tie fixes if there is
// one, and lists the parts it can be.
func (c *Case) candidates(each rules.Binding, ties []condition.Tie, bound []int32) (int, []int32) {
	for _, t := range ties {
		for _, side := range [][2]*condition.Expr{{t.Left, t.Right}, {t.Right, t.Left}} {
			name, other := side[0], side[1]
			if name.Op != condition.Name || bound[name.Var] >= 0 || !allBound(other, bound) {
				continue
			}
			value := engine.SeeExpr(c.Program, c.Result, other, bound).Value
			if value.Looked != vocab.Told {
				return name.Var, nil
			}
			if other.Type.K == condition.KList {
				return name.Var, c.ofKind(value.Refs, each[name.Var].Kind)
			}
			return name.Var, c.ofKind([]int32{value.Ref}, each[name.Var].Kind)
		}
	}
	best := -1
	for v := range each {
		if bound[v] < 0 && (best < 0 || len(c.Facts.OfKind[each[v].Kind.Index]) > len(c.Facts.OfKind[each[best].Kind.Index])) {
			best = v // the most numerous first: from it references lead to the others
		}
	}
	return best, c.Facts.OfKind[each[best].Kind.Index]
}

// ofKind keeps the parts of a kind: a list such as the places of a work holds several.
func (c *Case) ofKind(parts []int32, k *vocab.Kind) []int32 {
	var out []int32
	for _, p := range parts {
		if p >= 0 && c.Facts.Parts[p].Kind == k {
			out = append(out, p)
		}
	}
	return out
}

func allBound(e *condition.Expr, bound []int32) bool {
	if e.Op == condition.Name {
		return bound[e.Var] >= 0
	}
	for _, a := range e.Args {
		if !allBound(a, bound) {
			return false
		}
	}
	return true
}
