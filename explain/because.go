package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Because tells in one sentence what a finding stands on: the because of its
// first firing rule, else its weightiest counted clue; "" if it stands on none.
func (c *Case) Because(id record.FactID) string {
	ways := c.Ways(id)
	for i := range ways {
		if w := &ways[i]; w.Rule != nil && w.State == truth.True && len(w.Rule.RulesOut) == 0 && w.Rule.Because != nil {
			return c.Say(w.Rule.Because, w.Bound)
		}
	}
	for _, w := range c.Weighing(id).For {
		return w.Clue.Mechanism
	}
	return ""
}

// Weighing is what clues say of one finding.
type Weighing struct {
	For, Against   []record.Way // counted, the heaviest first
	AlreadyCounted []record.Way // decided, but resting on what another clue counts
	Silent         []record.Way // not decided
	All            []record.Way // as Way.Through indexes them
}

// Weighing sorts the clues of a finding.
func (c *Case) Weighing(id record.FactID) Weighing {
	g := Weighing{All: c.Ways(id)}
	for _, w := range g.All {
		switch {
		case w.Clue == nil:
		case w.Counted && w.Weight > 0:
			g.For = append(g.For, w)
		case w.Counted && w.Weight < 0:
			g.Against = append(g.Against, w)
		case w.Weight != 0:
			g.AlreadyCounted = append(g.AlreadyCounted, w)
		default:
			g.Silent = append(g.Silent, w)
		}
	}
	for _, list := range [][]record.Way{g.For, g.Against, g.AlreadyCounted} {
		slices.SortStableFunc(list, func(a, b record.Way) int { return cmp.Compare(b.Weight.Abs(), a.Weight.Abs()) })
	}
	return g
}

// SignWords tells a clue's sign in plain words, for these parts, and of a
// choice what it was.
func (c *Case) SignWords(w *record.Way) string {
	text := c.Plain(w.Clue.Sign, w.Bound)
	if w.Sign.Value.Looked == vocab.Told {
		text += ": " + c.Value(&w.Sign.Value, w.Clue.Sign.Root.Type)
	}
	return text
}

// Standing tells what a finding stands unless: the exceptions nobody has looked at.
func (c *Case) Standing(id record.FactID) []record.Assumption {
	var out []record.Assumption
	for _, a := range c.Result.Assumptions {
		if a.Fact == id {
			out = append(out, a)
		}
	}
	return out
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
