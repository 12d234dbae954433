package check

import (
	"fmt"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// tell is what a condition tells of itself, what it reads aside.
func (c place) tell(k *condition.Condition) cond {
	out := cond{Text: k.Text, Here: c.here(k, k.Root), Plain: c.plain(k.Root)}
	if k.Root.Type.K == condition.KBool {
		out.State = c.truth(k.Root).String()
	} else {
		out.Value = c.valueOf(k.Root)
	}
	var t trace
	t.node(c, k.Root, true)
	out.AndMore = t.more
	for i := range t.compared {
		out.Compared = append(out.Compared, t.compared[i].told(k))
	}
	return out
}

// rests checks what a condition reads, and that what decides it is told in a
// step: one of the same state, and of what fires one of an earlier round.
func (k *Checker) rests(where string, v *way, nth int, c *cond, b *bearing) {
	root := k.conditionOf(b, c)
	if root == nil {
		return // told already
	}
	at := k.w.at(b.bound)
	var t trace
	t.node(at, root.Root, true)
	k.reason(where, c, at, root.Root, &t)
	if len(c.Reads) != len(t.reads) {
		k.fault(where+".reads", "%d are told, %d are read", len(c.Reads), len(t.reads))
		return
	}
	for i := range c.Reads {
		r, f := &c.Reads[i], t.reads[i].fact
		so := k.w.read(f)
		so.Decides = t.reads[i].decides
		here := fmt.Sprintf("%s.reads[%d]", where, i)
		k.same(here, *r, so, "step")
		_, given := k.w.value(f)
		stands := f.Prop.Role.Concluded() || f.Prop.Role == vocab.Computed && !given
		if r.Step == 0 {
			// Whynot need not go down what holds; a rule known to fail not what
			// does not make it fail.
			aside := k.x.Question == "whynot" && c.State == "true" ||
				v.State == "false" && b.clue == nil && (c.State != "false" || nth >= len(v.If))
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
		if on.Round != k.w.round[f] {
			k.fault(here+".step", "step %d came in round %d, not %d", r.Step, k.w.round[f], on.Round)
		}
	}
	if b.rule != nil && v.State == "true" && c.State == "true" && !slices.Contains(b.rule.Unless, root) && !k.earlier(at, root, &t, v.Round) {
		k.fault(where, "it holds only by what comes no earlier than round %d", v.Round)
	}
}

// earlier tells whether a condition holds by what came before a round alone, so
// that nothing holds itself up.
func (k *Checker) earlier(at place, root *condition.Condition, t *trace, round int32) bool {
	hidden := map[fact]truth.Truth{}
	for _, r := range t.reads {
		if s := k.w.state[r.fact]; s != truth.Unknown && k.w.round[r.fact] >= round {
			hidden[r.fact] = s
			k.w.state[r.fact] = truth.Unknown
		}
	}
	holds := root.Root.Type.K != condition.KBool || at.truth(root.Root) == truth.True
	for f, s := range hidden {
		k.w.state[f] = s
	}
	return holds
}

func (k *Checker) conditionOf(b *bearing, c *cond) *condition.Condition {
	var all []*condition.Condition
	switch {
	case b.rule != nil:
		all = append(slices.Concat(b.rule.If, b.rule.Unless), b.set)
	case b.clue != nil:
		all = append(slices.Clone(b.clue.If), b.clue.Sign)
	default:
		all = b.remedy.If
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
	"nothing_concludes": "no rule or clue of this pack could tell", "": notKnown,
}

// reason checks that the reason told for what is unknown is one of those there
// are.
func (k *Checker) reason(where string, c *cond, at place, e *condition.Expr, t *trace) {
	unknown := c.State == "unknown" || e.Type.K != condition.KBool && c.Value == notKnown
	comes := at.plain(e)
	switch {
	case unknown:
		comes += ": " + c.Words
	case c.State == "false":
		comes = at.denied(e)
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
		for _, m := range t.compared {
			plain = plain || m.at.compare(m.e).withinU
		}
	case "not_looked", "could_not_tell", "open", "in_conflict", "nothing_concludes":
		for _, r := range t.reads {
			why := k.reasonOf(r.fact)
			plain = plain || why == c.Why || why == "not_known" && c.Why == "not_looked" // nobody gives it
		}
	default:
		plain = true
	}
	if !plain {
		k.fault(where+".why", "%q is no reason here", c.Why)
	}
}

// reasonOf is why a fact is unknown, as a code; "" if it is known.
func (k *Checker) reasonOf(f fact) string {
	w, h := k.w, k.w.heads[f.Prop]
	if h == nil {
		if _, known := w.value(f); known {
			return ""
		}
		return w.read(f).From
	}
	_, computed := w.calc[f]
	if _, given := w.value(f); given || computed || w.state[f] != truth.Unknown {
		return ""
	}
	switch {
	case w.clash[f]:
		return "in_conflict"
	case len(h.then)+len(h.sets)+len(h.clues) == 0:
		return "nothing_concludes"
	}
	return "open"
}
