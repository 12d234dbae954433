package explain

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// remediesFor names what is to be done because of a fact: the remedies that are
// due and whose conditions read it.
func (c *Case) remediesFor(id record.FactID) []string {
	var out []string
	for _, m := range c.Pack.Remedies {
		if !slices.ContainsFunc(m.If, func(k *condition.Condition) bool {
			return slices.ContainsFunc(k.Deps, func(d condition.Dep) bool { return d.Prop == id.Prop })
		}) {
			continue
		}
		for _, in := range c.due(m) {
			if in.State != truth.True {
				continue
			}
			for _, k := range m.If {
				seen := c.see(k, in.Bound)
				if title := c.Say(m.Title, in.Bound); readsFact(&seen, id) && !slices.Contains(out, title) {
					out = append(out, title)
				}
			}
		}
	}
	return out
}

func readsFact(n *record.Seen, id record.FactID) bool {
	if slices.Contains(n.Reads, id) {
		return true
	}
	for i := range n.Args {
		if readsFact(&n.Args[i], id) {
			return true
		}
	}
	return false
}
