package engine

import (
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// Decide evaluates a condition of the pack on the session as of its last run,
// for parts bound to the names of its statement: its truth, or for a sign that
// is a choice the set of choices still possible (0 = nothing is known).
func (s *Session) Decide(c *condition.Condition, bound []int32) (truth.Truth, uint64) {
	v := &env{r: s, bound: bound}
	if c.Root.Type.K == condition.KBool {
		return v.truth(c.Root), 0
	}
	return truth.Unknown, v.mask(c.Root)
}
