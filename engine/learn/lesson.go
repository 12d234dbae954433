package learn

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Frequency is how often a sign shows, with the cause or without it: the
// author's numbers and what was learned.
type Frequency struct {
	Author []float64 // as Clue.WhenSo: one, or one for each choice
	Word   string    // the author's word of frequency, "" if a number was written
	Side
	// Learned is (n+1)/(N+k) for each answer, k = 2 for yes/no, else the number of
	// choices (Laplace's correction). Nil: too few cases, the author's stands.
	Learned []float64
}

// Value is the number to go by: the learned one, else the author's.
func (f *Frequency) Value() []float64 {
	if f.Learned != nil {
		return f.Learned
	}
	return f.Author
}

// Clue is what was learned of one clue.
type Clue struct {
	*rules.Clue
	WhenSo, Otherwise Frequency
	// Apart is how far the two clues stand apart: the greatest difference, over
	// the answers, between what an answer weighs by the author's numbers and by
	// these, in decibans, 0 or greater.
	Apart float64
	// Mute: the sign shows exactly as often without the cause as with it. A pack
	// may not hold such a clue.
	Mute bool
	// ByDamage: it speaks for a damage, of which [confirmed] is no full list; it
	// is not counted.
	ByDamage bool
}

// Common is how common a cause is, per part.
type Common struct {
	Prop *vocab.Property
	Parts
	Author  float64
	Learned float64 // (n+1)/(N+2); 0: too few cases, the author's stands
	Apart   float64 // between the odds of the two, decibans, 0 or greater
}

// Value is the number to go by: the learned one, else the author's.
func (c *Common) Value() float64 {
	if c.Learned != 0 {
		return c.Learned
	}
	return c.Author
}

// Lesson is what a tally teaches.
type Lesson struct {
	Pack               *rules.Pack
	Cases, Unconfirmed int
	Least              int      // a number rests on at least so many inspections
	Clues              []Clue   // as Pack.Clues
	Common             []Common // by kind and property
}

// Learn makes frequencies of the counts. A number that would rest on fewer than
// least inspections stays the author's; for 0 none does, and what was never seen
// is as likely one way as another.
//
// Laplace's correction is the rule of succession for k answers, (n+1)/(N+k); it
// keeps a frequency from being 0 or 1, which no count can prove. Source: P. S.
// de Laplace, Essai philosophique sur les probabilités, 1814, seventh principle (from
// memory), where k = 2.
func (t *Tally) Learn(least int) *Lesson {
	out := &Lesson{Pack: t.Pack, Cases: t.Cases, Unconfirmed: t.Unconfirmed, Least: least}
	for i, c := range t.Pack.Clues {
		k := Clue{Clue: c, ByDamage: c.Cause.Prop.Role != vocab.Cause}
		k.WhenSo = frequency(c.WhenSo, c.WhenSoWord, &t.With[i], least, k.ByDamage)
		k.Otherwise = frequency(c.Otherwise, c.OtherwiseWord, &t.Without[i], least, k.ByDamage)
		k.Apart = apart(&k.WhenSo, &k.Otherwise)
		k.Mute = slices.Equal(k.WhenSo.Value(), k.Otherwise.Value())
		out.Clues = append(out.Clues, k)
	}
	for i, p := range t.Causes {
		c := Common{Prop: p, Parts: t.Common[i], Author: p.HowCommon}
		if c.Cases >= max(least, 1) {
			c.Learned = succession(c.N, c.Of, 2)
			c.Apart = rounded(math.Abs(decibans(c.Learned/(1-c.Learned), c.Author/(1-c.Author))))
		}
		out.Common = append(out.Common, c)
	}
	return out
}

func frequency(author []float64, word string, s *Side, least int, fixed bool) Frequency {
	f := Frequency{Author: author, Word: word, Side: Side{slices.Clone(s.N), s.Of, s.Cases}}
	if fixed || s.Cases < least {
		return f
	}
	k := max(len(author), 2)
	for _, n := range s.N {
		f.Learned = append(f.Learned, succession(n, s.Of, k))
	}
	return f
}

func succession(n, of, k int) float64 { return float64(n+1) / float64(of+k) }

func apart(p, q *Frequency) float64 {
	most := 0.0
	see := func(p0, q0, p1, q1 float64) { most = max(most, math.Abs(decibans(p1, q1)-decibans(p0, q0))) }
	for i := range p.Author {
		p0, q0, p1, q1 := p.Author[i], q.Author[i], p.Value()[i], q.Value()[i]
		see(p0, q0, p1, q1)
		if len(p.Author) == 1 {
			see(1-p0, 1-q0, 1-p1, 1-q1)
		}
	}
	return rounded(most)
}

// rounded is d to 1e-9 decibans, as weights are, so that the last digit of the
// processor does not show.
func rounded(d float64) float64 { return math.Round(d*1e9) / 1e9 }

// decibans is 10·log10(a/b).
func decibans(a, b float64) float64 { return 10 * math.Log10(a/b) }

// Choices are the choices of the clue's sign, nil if it is yes/no.
func (c *Clue) Choices() []string {
	if t := c.Sign.Root.Type; t.K == condition.KPick {
		return t.Prop.Choices
	}
	return nil
}

// Seen is the counts of a side in words: "14 of 17", or "none 2, straw 12 of 14".
func (c *Clue) Seen(f *Frequency) string {
	if c.Choices() == nil {
		return fmt.Sprintf("%d of %d", f.N[0], f.Of)
	}
	var words []string
	for i, choice := range c.Choices() {
		if f.N[i] > 0 {
			words = append(words, fmt.Sprintf("%s %d", choice, f.N[i]))
		}
	}
	if words == nil {
		return fmt.Sprintf("none of %d", f.Of)
	}
	return fmt.Sprintf("%s of %d", strings.Join(words, ", "), f.Of)
}

// Basis is the counts that learned numbers rest on, as the key counts of a clue
// holds them; "" if none was learned.
func (c *Clue) Basis() string {
	switch {
	case c.WhenSo.Learned == nil && c.Otherwise.Learned == nil:
		return ""
	case c.Otherwise.Learned == nil:
		return "when_so " + c.Seen(&c.WhenSo)
	case c.WhenSo.Learned == nil:
		return "otherwise " + c.Seen(&c.Otherwise)
	}
	between := ", "
	if c.Choices() != nil {
		between = "; "
	}
	return c.Seen(&c.WhenSo) + between + c.Seen(&c.Otherwise)
}

// Label is the cause as the pack's author names it, kind.property.
func (c *Clue) Label() string { return c.Cause.Prop.Label() }
