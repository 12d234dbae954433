package explain

import (
	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/rules/condition"
)

// see evaluates a condition of the pack for bound parts, with values shown.
func (c *Case) see(cond *condition.Condition, bound []int32) record.Seen {
	return engine.See(c.Program, c.Result, cond, bound)
}
