package meaning

import (
	"math"
	"slices"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// mostWords is how many combinations of words are gone through.
const mostWords = 64

// entry is what enters one argument of a handbook call: the words it may be, or
// numbers with their uncertainty.
type entry struct {
	words   []string
	numbers []measure.Number
}

// entries reads the arguments of a call. known is false where nothing is known
// of one, fits where one leaves its domain.
func (c Place) entries(e *condition.Expr) (out []entry, known, fits bool) {
	for i, a := range e.Args {
		x, known, fits := entry{}, true, true
		if e.Fn.Params[i].Unit == "text" {
			x.words = c.possibleWords(a)
			known = len(x.words) > 0
		} else {
			x.numbers, known, fits = c.numbers(a)
		}
		if !known || !fits {
			return nil, false, fits
		}
		out = append(out, x)
	}
	return out, true, true
}

// numbers are those of one argument.
func (c Place) numbers(a *condition.Expr) (out []measure.Number, known, fits bool) {
	if c.moved != nil { // what enters the function is not what is compared
		defer func(largest float64) { c.moved.largest = largest }(c.moved.largest)
	}
	if a.Op != condition.Map {
		n, ok := c.withU(a)
		return []measure.Number{n}, !isAnything(n), ok
	}
	list, known := c.List(a.Args[0])
	for _, m := range list {
		n, ok := c.in(m.Part).withU(a.Args[1])
		if !ok {
			return nil, false, false
		}
		known = known && m.in == truth.True && !isAnything(n)
		out = append(out, n)
	}
	return out, known && len(list) > 0, true
}

// withU is a number, with its uncertainty where none is being moved.
func (c Place) withU(e *condition.Expr) (measure.Number, bool) {
	n, ok := c.span(e)
	if c.moved == nil && ok {
		n, _ = c.Number(e)
	}
	return n, ok
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
		return vocab.Possible(a.Type.Prop.Choices, v.Mask)
	}
	return vocab.Possible(vocab.YesOrNo, v.Mask)
}

// ask is what a function answers for every combination of words still possible,
// number k of argument i taken by at; false where it leaves its domain.
func ask(e *condition.Expr, in []entry, at func(i, k int) float64) (out []float64, ok bool) {
	all := [][]handbook.Arg{nil}
	for i, x := range in {
		var choices []handbook.Arg
		for _, w := range x.words {
			choices = append(choices, handbook.Arg{Text: w})
		}
		if x.words == nil {
			var one handbook.Arg
			for k := range x.numbers {
				one.Num = at(i, k)
				if u := unitOf(&e.Fn.Params[i]); u != nil {
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
		if all = longer; len(all) > mostWords {
			return nil, true
		}
	}
	for _, args := range all {
		results, err := e.Fn.Call(args)
		if err != nil || math.IsNaN(results[e.Result]) {
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

func unitOf(p *handbook.Param) *measure.Unit {
	if u, err := measure.UnitOf(p.Unit); err == nil && p.Unit != "" && p.Unit != "text" {
		return u
	}
	return nil
}

// spanOfCall is the range of a function: at the ends of what enters, where it
// moves one way with it.
func (c Place) spanOfCall(e *condition.Expr) (measure.Number, bool) {
	in, known, fits := c.entries(e)
	for i, x := range in {
		for _, n := range x.numbers {
			known = known && (n.IsValue() || e.Result == 0 && e.Fn.Params[i].Monotone != 0)
		}
	}
	if !known {
		return anything, fits
	}
	end := func(high bool) func(i, k int) float64 {
		return func(i, k int) float64 {
			if high == (e.Fn.Params[i].Monotone >= 0) {
				return in[i].numbers[k].Hi
			}
			return in[i].numbers[k].Lo
		}
	}
	low, ok := ask(e, in, end(false))
	high, okay := ask(e, in, end(true))
	if all := append(low, high...); ok && okay && len(all) > 0 {
		return measure.Between(slices.Min(all), slices.Max(all)), true
	}
	return anything, ok && okay
}

// pick is the words a function may answer with when each number that enters
// may be off by k times its uncertainty; 0 if nothing is known.
func (c Place) pick(e *condition.Expr) (mask uint64) {
	in, known, _ := c.still().entries(e)
	if !known {
		return 0
	}
	for i, x := range in {
		for k, n := range append(x.numbers, measure.Exact(0)) { // last none is off
			for _, way := range []float64{-1, 1} {
				all, ok := ask(e, in, func(j, l int) float64 {
					if i == j && k == l {
						return in[j].numbers[l].Lo + way*c.Facts.K*n.U()
					}
					return in[j].numbers[l].Lo
				})
				if !ok || !n.IsValue() {
					return 0
				}
				for _, x := range all {
					mask |= 1 << int(x)
				}
			}
		}
	}
	return mask
}
