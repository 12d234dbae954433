package check

import (
	"fmt"
	"slices"

	"whyworn/engine/meaning"
	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/explain/words"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// cond holds a condition of a way to what it comes to and what it reads, and
// sees that what decides it is told in a step, where aside does not excuse it.
func (k *Checker) cond(where string, c *account.Cond, so *condition.Condition, bound []int32, aside bool) {
	at := k.w.At(bound)
	value, t := at.See(so.Root), at.Trace(so.Root)
	told := k.say.Cond(so, bound, &value, k.reason(where, c, t))
	told.AndMore = t.More
	for i := range t.Compared {
		m := k.say.Compared(so, &t.Compared[i].Seen, bound)
		m.Decides = t.Compared[i].Decides
		told.Compared = append(told.Compared, m)
	}
	k.same(where, *c, told, "reads")
	if len(c.Reads) != len(t.Reads) {
		k.fault(where+".reads", "%d are told, %d are read", len(c.Reads), len(t.Reads))
		return
	}
	for i := range c.Reads {
		r, f := &c.Reads[i], t.Reads[i].Fact
		read := k.say.Read(f)
		read.Decides = t.Reads[i].Decides
		here := fmt.Sprintf("%s.reads[%d]", where, i)
		k.same(here, *r, read, "step")
		stands := f.Prop.Role.Concluded() || f.Prop.Role == vocab.Computed && k.w.Told(f) == nil
		switch {
		case r.Step == 0:
			if stands && r.Decides && !aside {
				k.fault(here+".step", "%s decides it and no step tells it", r.Fact)
			}
		case !stands || r.Step < 0 || r.Step > len(k.x.Steps) || k.x.Steps[r.Step-1].Fact != r.Fact: // what it tells is replayed there
			k.fault(here+".step", "that step does not tell %s", r.Fact)
		}
	}
}

// reason is the reason told for what is unknown, if it is one of those there
// are; which of several is told is nobody's promise.
func (k *Checker) reason(where string, c *account.Cond, t *meaning.Trace) record.Reason {
	why, ok := words.ReasonOf(c.Why)
	plain := ok
	switch why {
	case record.WithinU:
		plain = slices.ContainsFunc(t.Compared, func(m meaning.Comparison) bool { return m.Reason == why })
	case record.NobodyLooked, record.LookedCouldNot, record.OpenFinding, record.InConflict, record.NothingConcludes,
		record.NobodyGives:
		plain = slices.ContainsFunc(t.Reads, func(r meaning.Read) bool { return k.w.ReasonOf(r.Fact) == why })
	}
	if !plain {
		k.fault(where+".why", "%q is no reason here", c.Why)
	}
	return why
}
