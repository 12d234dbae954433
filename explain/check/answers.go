package check

import (
	"math"
	"strings"

	"whyworn/explain/words"
	"whyworn/facts/measure"
	"whyworn/rules/vocab"
)

// answersOf reads the words for a set of answers: choices by name or from one
// on, regions of a number by their ends, of each a value within.
func answersOf(p *vocab.Property, text string) (out []vocab.Value) {
	choices := p.Choices
	switch p.Type {
	case vocab.YesNo:
		choices = vocab.YesOrNo
	case vocab.Number, vocab.Whole:
		for _, w := range strings.Split(strings.ReplaceAll(text, ", ", " or "), " or ") {
			written, err := measure.ParseNumber(w, p.Unit)
			n := written.Number
			var x float64
			switch {
			case w == "known":
				x, err = 1, nil
			case math.IsInf(n.Lo, -1):
				x = n.Hi - max(math.Abs(n.Hi)/2, 1)
			case math.IsInf(n.Hi, 1):
				x = n.Lo + max(math.Abs(n.Lo)/2, 1)
			default:
				x = (n.Lo + n.Hi) / 2
			}
			if err != nil {
				return nil
			}
			if p.Type == vocab.Whole {
				x = math.Round(x)
			}
			out = append(out, vocab.Value{Looked: vocab.Told, Number: measure.Exact(x)})
		}
		return out
	case vocab.Choice:
	default:
		return nil
	}
	n := len(choices)
	for mask := uint64(1); mask < 1<<min(n, 12); mask++ { // longer lists: of their first choices alone
		if words.RangeOf(p, mask) != text {
			continue
		}
		for i := range choices {
			if mask>>i&1 == 1 {
				out = append(out, vocab.Value{Looked: vocab.Told, Mask: 1 << i})
			}
		}
		return out
	}
	return nil
}
