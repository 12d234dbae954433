package check

import (
	"math"
	"slices"
	"strings"

	"whyworn/explain/check/anew"
	"whyworn/explain/words"
	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// amended is an inspection with one observation put in, or put otherwise.
func amended(f *rules.Facts, id anew.Fact, v vocab.Value) *rules.Facts {
	out := *f
	out.Observations = slices.Clone(f.Observations)
	at, found := slices.BinarySearchFunc(out.Observations, id, func(o rules.Observation, id anew.Fact) int {
		return anew.Fact{Part: o.Part, Prop: o.Prop}.Compare(id)
	})
	if !found {
		for j := range out.Observations {
			if o := &out.Observations[j]; o.Basis >= int32(at) {
				o.Basis++
			}
		}
		out.Observations = slices.Insert(out.Observations, at, rules.Observation{Part: id.Part, Prop: id.Prop})
	}
	o := &out.Observations[at]
	o.Value, o.Answer, o.Basis = v, nil, int32(at)
	return &out
}

// answersOf reads the words for a set of answers: choices by name or from one
// on, regions of a number by their ends, of each a value within.
func answersOf(p *vocab.Property, text string) (out []vocab.Value) {
	choices := p.Choices
	switch p.Type {
	case vocab.YesNo:
		choices = words.YesNo
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
