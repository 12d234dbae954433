package words

import (
	"math"
	"math/bits"

	"whyworn/facts/measure"
	"whyworn/rules/vocab"
)

// Range names choices: "purple or more", "brown or purple".
func Range(choices []string, mask uint64, ordered bool) string {
	all := uint64(1)<<len(choices) - 1
	mask &= all
	low, high := bits.TrailingZeros64(mask), 63-bits.LeadingZeros64(mask)
	if ordered && mask != 0 && mask != all && low != high {
		run := (all >> low << low) & (all >> (len(choices) - 1 - high))
		switch {
		case run == mask && high == len(choices)-1:
			return Choices(choices, 1<<low) + " or more"
		case run == mask && low == 0:
			return Choices(choices, 1<<high) + " or less"
		}
	}
	return Choices(choices, mask)
}

// RangeOf names answers to a property that is a choice or yes/no.
func RangeOf(p *vocab.Property, mask uint64) string {
	if p.Type == vocab.YesNo {
		return Range(vocab.YesOrNo, mask, false)
	}
	return Range(p.Choices, mask, p.Ordered)
}

// Region names a region of a number; ends are told as over and under, since
// whether the end itself belongs to it hangs on the comparison.
func (w *Words) Region(p *vocab.Property, from, to float64) string {
	switch {
	case math.IsInf(from, -1) && math.IsInf(to, 1):
		return "known"
	case math.IsInf(from, -1):
		return "under " + w.edge(p, to)
	case math.IsInf(to, 1):
		return "over " + w.edge(p, from)
	}
	return w.edge(p, from) + " to " + w.edge(p, to)
}

// edge shows the end of a region, a limit as it was written.
func (w *Words) edge(p *vocab.Property, x float64) string {
	for _, b := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
		if q := p.Kind.BoundOf(p, b); q != nil {
			if d, ok := w.Facts.Layout.Decimals(q, x); ok {
				return measure.FormatValue(x, p.Unit, d)
			}
		}
	}
	return measure.FormatValue(x, p.Unit, measure.Shortest)
}
