package check

import (
	"fmt"
	"slices"

	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/explain/check/wording"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// rests checks what a condition reads, and that what decides it is told in a
// step: one of the same state, and of what fires one of an earlier round.
func (k *Checker) rests(where string, v *said.Way, nth int, c *said.Cond, b *anew.Bearing) {
	root := k.conditionOf(b, c)
	if root == nil {
		return // told already
	}
	at := k.w.At(b.Bound)
	t := at.Trace(root.Root)
	k.reason(where, c, at, root.Root, t)
	if len(c.Reads) != len(t.Reads) {
		k.fault(where+".reads", "%d are told, %d are read", len(c.Reads), len(t.Reads))
		return
	}
	for i := range c.Reads {
		r, f := &c.Reads[i], t.Reads[i].Fact
		so := k.w.Read(f)
		so.Decides = t.Reads[i].Decides
		here := fmt.Sprintf("%s.reads[%d]", where, i)
		k.same(here, *r, so, "step")
		_, given := k.w.Value(f)
		stands := f.Prop.Role.Concluded() || f.Prop.Role == vocab.Computed && !given
		if r.Step == 0 {
			// Whynot need not go down what holds; a rule known to fail not what
			// does not make it fail.
			aside := k.x.Question == "whynot" && c.State == "true" ||
				v.State == "false" && b.Clue == nil && (c.State != "false" || nth >= len(v.If))
			if stands && r.Decides && !aside {
				k.fault(here+".step", "%s decides it and no step tells it", r.Fact)
			}
			continue
		}
		if !stands || r.Step < 0 || r.Step > len(k.x.Steps) {
			k.fault(here+".step", "no step tells %s", r.Fact)
			continue
		}
		on := &k.x.Steps[r.Step-1]
		if on.Fact != r.Fact || f.Prop.Role.Concluded() && on.State != r.State {
			k.fault(here+".step", "step %d tells %s: %s, not %s: %s", r.Step, on.Fact, on.State, r.Fact, r.State)
		}
		if on.Round != k.w.Round(f) {
			k.fault(here+".step", "step %d came in round %d, not %d", r.Step, k.w.Round(f), on.Round)
		}
	}
	if b.Rule != nil && v.State == "true" && c.State == "true" && !slices.Contains(b.Rule.Unless, root) && !at.HoldsBefore(v.Round, root, t) {
		k.fault(where, "it holds only by what comes no earlier than round %d", v.Round)
	}
}

func (k *Checker) conditionOf(b *anew.Bearing, c *said.Cond) *condition.Condition {
	var all []*condition.Condition
	switch {
	case b.Rule != nil:
		all = append(slices.Concat(b.Rule.If, b.Rule.Unless), b.Set)
	case b.Clue != nil:
		all = append(slices.Clone(b.Clue.If), b.Clue.Sign)
	default:
		all = b.Remedy.If
	}
	for _, o := range all {
		if o != nil && o.Text == c.Text {
			return o
		}
	}
	return nil
}

// reasons are the codes of why something is unknown, with their words.
var reasons = map[string]string{
	"not_looked": "nobody has looked", "could_not_tell": "looked at, could not tell", "partly_known": "what is told leaves it open",
	"within_u": "undecided at this uncertainty", "no_member": "there is no such part here", "no_reference": "it has none here",
	"stood_back": "an exception holds it back", "open": "what it rests on is not known",
	"out_of_domain": "the table or formula does not reach so far", "in_conflict": "what it rests on is in conflict",
	"nothing_concludes": "no rule or clue of this pack could tell", "": wording.NotKnown,
}

// reason checks that the reason told for what is unknown is one of those there
// are.
func (k *Checker) reason(where string, c *said.Cond, at wording.Place, e *condition.Expr, t *anew.Trace) {
	unknown := c.State == "unknown" || e.Type.K != condition.KBool && c.Value == wording.NotKnown
	comes := at.Plain(e)
	switch {
	case unknown:
		comes += ": " + c.Words
	case c.State == "false":
		comes = at.Denied(e)
	}
	k.same(where+".comes", c.Comes, comes)
	if !unknown {
		if c.Why != "" || c.Words != "" {
			k.fault(where+".why", "a reason is given for what is known")
		}
		return
	}
	words, ok := reasons[c.Why]
	if !ok || words != c.Words {
		k.fault(where+".words", "%q are no words for %q", c.Words, c.Why)
	}
	plain := false
	switch c.Why {
	case "within_u":
		for _, m := range t.Compared {
			plain = plain || m.At.Compare(m.Expr).WithinU
		}
	case "not_looked", "could_not_tell", "open", "in_conflict", "nothing_concludes":
		for _, r := range t.Reads {
			why := k.w.ReasonOf(r.Fact)
			plain = plain || why == c.Why || why == "not_known" && c.Why == "not_looked" // nobody gives it
		}
	default:
		plain = true
	}
	if !plain {
		k.fault(where+".why", "%q is no reason here", c.Why)
	}
}
