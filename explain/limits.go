package explain

import (
	"math"

	"whyworn/explain/words"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Standing is how a number stands to one of its limits.
type Standing struct {
	Part  int32
	Prop  *vocab.Property
	Bound vocab.Bound // Most or Least
	Value measure.Number
	Limit measure.Number
	Whose string
	// Decision is true if the number breaks the limit, false if it keeps it,
	// unknown inside the guard band, where it is partly known, and where the number
	// cannot be.
	Decision truth.Truth
	// Keeps is the probability that the true value keeps the limit, from the
	// value and its uncertainty alone (JCGM 106:2012, 7.2 to 7.4); Given is false
	// where there is no uncertainty to reckon with.
	Keeps float64
	Given bool
}

// Stands tells how a number stands to a limit; false if it has none or its
// value is not known.
func (c *Case) Stands(part int32, p *vocab.Property, b vocab.Bound) (Standing, bool) {
	v, ok := c.Result.Value(part, p)
	limit, whose, has := c.Limit(part, p, b)
	if !ok || !has || v.Looked != vocab.Told {
		return Standing{}, false
	}
	s := Standing{Part: part, Prop: p, Bound: b, Value: v.Number, Limit: limit.Number, Whose: whose}
	op, lo, hi := measure.Gt, math.Inf(-1), limit.Number.Lo
	if b == vocab.Least {
		op, lo, hi = measure.Lt, limit.Number.Lo, math.Inf(1)
	}
	s.Decision = measure.Compare(op, v.Number, limit.Number, c.Facts.K).Truth
	u := v.Number.U()
	if p.Bounded && (v.Number.Hi+c.Facts.K*u < p.Possible.Lo || v.Number.Lo-c.Facts.K*u > p.Possible.Hi) {
		s.Decision = truth.Unknown // a slip of a reading keeps no limit
		return s, true
	}
	if u > 0 && v.Number.IsValue() {
		s.Keeps, s.Given = measure.ConformityProbability(v.Number.Lo, u, lo, hi), true
	}
	return s, true
}

// Standings lists how every known number stands to its limits, by part and
// property.
func (c *Case) Standings() []Standing {
	var out []Standing
	for n := range c.Facts.Parts {
		for _, p := range c.Facts.Parts[n].Kind.Properties {
			if p.Type != vocab.Number && p.Type != vocab.Whole || p.Role == vocab.Declared {
				continue
			}
			for _, b := range []vocab.Bound{vocab.Least, vocab.Most} {
				if s, ok := c.Stands(int32(n), p, b); ok {
					out = append(out, s)
				}
			}
		}
	}
	return out
}

// Figure shows a number that is known with its uncertainty, the same in every
// output; one that was written without, as it was written.
func (c *Case) Figure(part int32, p *vocab.Property) (string, bool) {
	v, ok := c.Result.Value(part, p)
	if !ok || v.Looked != vocab.Told {
		return "", false
	}
	if v.Number.U() > 0 {
		return c.NumberWords(v.Number, p), true
	}
	if o := c.Facts.Lookup(part, p); o != nil && o.Value.Looked == vocab.Told {
		return c.Observed(o), true
	}
	return c.PropertyValue(p, &v), true
}

// NumberWords shows a number of a property with its uncertainty.
func (c *Case) NumberWords(n measure.Number, p *vocab.Property) string {
	return words.Figure(c.Quantity(n, p))
}

// Word is the decision in one word: inside, over, under or undecided.
func (s *Standing) Word() string {
	switch {
	case s.Decision == truth.Unknown:
		return "undecided"
	case s.Decision == truth.False:
		return "inside"
	case s.Bound == vocab.Least:
		return "under"
	}
	return "over"
}
