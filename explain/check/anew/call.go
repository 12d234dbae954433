package anew

import (
	"math"
	"slices"

	"whyworn/explain/words"
	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// mostWords is how many combinations of words are gone through.
const mostWords = 64

// arguments are those of a handbook call, once for each combination of words
// still possible, each number entered as at takes it. known is false where
// nothing is known of an argument, fits where one leaves its domain.
func (c Place) arguments(e *condition.Expr, at func(p *handbook.Param, n measure.Number) float64) (all [][]handbook.Arg, known, fits bool) {
	all = [][]handbook.Arg{nil}
	for i, a := range e.Args {
		p := &e.Fn.Params[i]
		var choices []handbook.Arg
		if p.Unit == "text" {
			for _, word := range c.possibleWords(a) {
				choices = append(choices, handbook.Arg{Text: word})
			}
		} else {
			numbers, known, fits := c.numbers(a)
			if !known || !fits {
				return nil, false, fits
			}
			var one handbook.Arg
			for _, n := range numbers {
				one.Num = at(p, n)
				if u := unitOf(p); u != nil {
					one.Num = u.FromBase(one.Num)
				}
				one.List = append(one.List, one.Num)
			}
			choices = []handbook.Arg{one}
		}
		var longer [][]handbook.Arg
		for _, args := range all {
			for _, arg := range choices {
				longer = append(longer, append(slices.Clone(args), arg))
			}
		}
		if all = longer; len(all) == 0 || len(all) > mostWords {
			return nil, false, true
		}
	}
	return all, true, true
}

// numbers are those of one argument, with their uncertainty.
func (c Place) numbers(a *condition.Expr) (out []measure.Number, known, fits bool) {
	if c.moved != nil { // what enters the function is not what is compared
		defer func(largest float64) { c.moved.largest = largest }(c.moved.largest)
	}
	list, known := []Member{{in: truth.True}}, true
	if a.Op == condition.Map {
		list, known = c.List(a.Args[0])
	}
	for _, m := range list {
		in, e := c, a
		if a.Op == condition.Map {
			in, e = c.in(m.Part), a.Args[1]
		}
		n, ok := in.span(e)
		if !ok {
			return nil, false, false
		}
		if c.moved == nil {
			n, _ = in.Number(e)
		}
		known = known && m.in == truth.True && !isAnything(n)
		out = append(out, n)
	}
	return out, known && len(list) > 0, true
}

// possibleWords is the words that a text argument can be.
func (c Place) possibleWords(a *condition.Expr) []string {
	v := c.still().See(a)
	switch {
	case a.Op == condition.Const:
		return []string{a.Text}
	case v.Looked != vocab.Told:
		return nil
	case a.Type.K == condition.KPick:
		return words.Possible(a.Type.Prop.Choices, v.Mask)
	}
	return words.Possible(words.YesNo, v.Mask)
}

func unitOf(p *handbook.Param) *measure.Unit {
	if u, err := measure.UnitOf(p.Unit); err == nil && p.Unit != "" && p.Unit != "text" {
		return u
	}
	return nil
}

// answers calls a function with each of some arguments; false where one leaves
// its domain.
func answers(e *condition.Expr, all [][]handbook.Arg) (out []float64, ok bool) {
	for _, args := range all {
		results, err := e.Fn.Call(args)
		if err != nil || e.Result >= len(results) || math.IsNaN(results[e.Result]) {
			return nil, false
		}
		x := results[e.Result]
		if u := unitOf(&e.Fn.Results[e.Result]); u != nil {
			x = u.ToBase(x)
		}
		out = append(out, x)
	}
	return out, true
}

// spanOfCall is the range of a function: at the ends of what enters, where it
// moves one way with it, over all words still possible.
func (c Place) spanOfCall(e *condition.Expr) (measure.Number, bool) {
	var all [][]handbook.Arg
	follows := true
	for _, high := range []bool{false, true} {
		some, known, fits := c.arguments(e, func(p *handbook.Param, n measure.Number) float64 {
			follows = follows && (n.Lo == n.Hi || e.Result == 0 && p.Monotone != 0)
			if high == (p.Monotone >= 0) {
				return n.Hi
			}
			return n.Lo
		})
		if !known {
			return anything, fits
		}
		all = append(all, some...)
	}
	if !follows {
		return anything, true
	}
	xs, ok := answers(e, all)
	if !ok {
		return anything, false
	}
	return measure.Between(slices.Min(xs), slices.Max(xs)), true
}

// pick is the words a function may answer with when each number that enters
// may be off by k times its uncertainty; 0 if nothing is known.
func (c Place) pick(e *condition.Expr) (mask uint64) {
	c = c.still()
	var us []float64
	ranged := false
	all, known, _ := c.arguments(e, func(_ *handbook.Param, n measure.Number) float64 {
		us, ranged = append(us, n.U()), ranged || n.Lo != n.Hi
		return n.Lo
	})
	if !known || ranged {
		return 0
	}
	for off, u := range us {
		for _, d := range []float64{-c.Facts.K * u, c.Facts.K * u} {
			at := -1
			some, _, _ := c.arguments(e, func(_ *handbook.Param, n measure.Number) float64 {
				if at++; at == off {
					return n.Lo + d
				}
				return n.Lo
			})
			all = append(all, some...)
		}
	}
	xs, ok := answers(e, all)
	if !ok {
		return 0
	}
	for _, x := range xs {
		mask |= 1 << int(x)
	}
	return mask
}
