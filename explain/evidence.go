package explain

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/facts/truth"
	"whyworn/rules"
)

// rivals lists the causes that exclude a finding.
func (b *builder) rivals(id record.FactID) []record.Rival {
	var out []record.Rival
	for _, v := range b.Pack.Rivals {
		if !slices.ContainsFunc(v.Causes, func(h rules.Head) bool { return h.Prop == id.Prop }) {
			continue
		}
		for _, in := range b.instances(v.Each, v.If) {
			if in.State != truth.True {
				continue
			}
			var group []record.FactID
			for _, h := range v.Causes {
				group = append(group, record.FactID{Part: in.Bound[h.Var], Prop: h.Prop})
			}
			if !slices.Contains(group, id) {
				continue
			}
			for _, r := range group {
				if r != id {
					out = append(out, record.Rival{Cause: r, Group: v})
				}
			}
		}
	}
	return out
}

// WhyRemedy tells why a remedy is to be done, once for each set of parts it is
// due for; for one that is nowhere due, why not. False if the pack has none of
// that id.
func (c *Case) WhyRemedy(id string) (*account.Explanation, bool) {
	b := c.builder("why")
	for _, m := range c.Pack.Remedies {
		if m.ID != id {
			continue
		}
		all := c.due(m)
		due := false
		for _, in := range all {
			due = due || in.State == truth.True
		}
		for _, in := range all {
			if due == (in.State == truth.True) {
				b.x.Asked = append(b.x.Asked, b.remedy(m, in))
			}
		}
		if len(all) == 0 { // every condition is known not to hold
			b.x.Asked = append(b.x.Asked, b.remedy(m, instance{State: truth.False}))
		}
		return b.finish(), true
	}
	return nil, false
}

// remedy tells one remedy for the parts it is bound to.
func (b *builder) remedy(m *rules.Remedy, in instance) int {
	n := b.add()
	s := b.Remedy(m, in.Bound, in.State)
	for i := range s.Ways { // one, where it is bound
		for _, cond := range m.If {
			seen := b.see(cond, in.Bound)
			s.Ways[i].If = append(s.Ways[i].If, b.cond(cond, &seen, in.Bound))
		}
		for _, cond := range m.Unless {
			seen := b.see(cond, in.Bound)
			s.Ways[i].Unless = append(s.Ways[i].Unless, b.cond(cond, &seen, in.Bound))
			s.Ways[i].Assumed = s.Ways[i].Assumed || in.State == truth.True && seen.State == truth.Unknown
		}
	}
	b.x.Steps[n-1] = s
	return n
}
