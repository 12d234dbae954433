package explain

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules"
)

// Role is the role of a finding in the story, "" if it is not held.
func (c *Case) Role(id record.FactID) string {
	for _, k := range c.Story().Chains {
		for _, f := range k.Findings {
			if f.FactID == id {
				return f.Role.String()
			}
		}
	}
	return ""
}

// Due tells whether a remedy is to be done for parts of which one is this; part -1:
// for any.
func (c *Case) Due(m *rules.Remedy, part int32) truth.Truth {
	out := truth.False
	for _, in := range c.due(m) {
		if part < 0 || slices.Contains(in.Bound, part) {
			out = truth.Or(out, in.State)
		}
	}
	return out
}
