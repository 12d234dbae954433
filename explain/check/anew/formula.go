package anew

import (
	"math"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// Functions of the handbook, and angles round a circle.

// entry is one argument of a function at one point: words or numbers.
type entry struct {
	words   []string
	numbers []measure.Number
}

// entries reads the arguments of a call. known is false where nothing is known
// of one, fits where one leaves its domain.
func (c Place) entries(e *condition.Expr) (out []entry, known, fits bool) {
	known, fits = true, true
	for i, a := range e.Args {
		var x entry
		switch p := &e.Fn.Params[i]; {
		case p.Unit == "text":
			x.words = c.possibleWords(a)
			known = known && len(x.words) > 0
		case a.Op == condition.Map:
			list, there := c.List(a.Args[0])
			known = known && there && len(list) > 0
			for _, m := range list {
				n, ok := c.in(m.Part).span(a.Args[1])
				known, fits = known && m.in == truth.True && !isAnything(n), fits && ok
				x.numbers = append(x.numbers, n)
			}
		default:
			n, ok := c.span(a)
			known, fits = known && !isAnything(n), fits && ok
			x.numbers = []measure.Number{n}
		}
		if !known || !fits {
			return nil, false, fits
		}
		out = append(out, x)
	}
	return out, true, true
}

// mostWords is how many combinations of words are gone through.
const mostWords = 64

// combinations lists the arguments with each choice of words, the numbers taken
// by at(argument, which of it).
func combinations(e *condition.Expr, es []entry, at func(i, k int) float64) [][]handbook.Arg {
	all := [][]handbook.Arg{nil}
	for i, x := range es {
		p := &e.Fn.Params[i]
		var longer [][]handbook.Arg
		for _, args := range all {
			args = args[:len(args):len(args)]
			switch {
			case x.words != nil:
				for _, w := range x.words {
					longer = append(longer, append(args, handbook.Arg{Text: w}))
				}
			case p.List:
				var list []float64
				for k := range x.numbers {
					list = append(list, inUnit(p, at(i, k)))
				}
				longer = append(longer, append(args, handbook.Arg{List: list}))
			default:
				longer = append(longer, append(args, handbook.Arg{Num: inUnit(p, at(i, 0))}))
			}
		}
		if all = longer; len(all) > mostWords {
			return nil
		}
	}
	return all
}

// spanOfCall is the range of a function: at the ends of what enters, where it
// moves one way with it, over all words still possible.
func (c Place) spanOfCall(e *condition.Expr) (measure.Number, bool) {
	es, known, fits := c.entries(e)
	if !known || !fits {
		return anything, fits
	}
	for i, x := range es {
		for _, n := range x.numbers {
			if n.Lo != n.Hi && (e.Result != 0 || e.Fn.Params[i].Monotone == 0) {
				return anything, true
			}
		}
	}
	out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
	for _, high := range []bool{false, true} {
		at := func(i, k int) float64 {
			n := es[i].numbers[k]
			if high == (e.Fn.Params[i].Monotone >= 0) {
				return n.Hi
			}
			return n.Lo
		}
		for _, args := range combinations(e, es, at) {
			x, ok := call(e, args)
			if !ok {
				return anything, false
			}
			out.Lo, out.Hi = min(out.Lo, x), max(out.Hi, x)
		}
	}
	if out.Lo > out.Hi {
		return anything, true // too many words to go through
	}
	return out, true
}

// maskOfCall is the words a function may answer with when each number that
// enters may be off by k times its uncertainty; 0 if nothing is known.
func (c Place) maskOfCall(e *condition.Expr) (mask uint64) {
	es, known, fits := c.entries(e)
	if !known || !fits {
		return 0
	}
	var moves []func(i, k int) float64
	off := func(j, l int, d float64) {
		moves = append(moves, func(i, k int) float64 {
			if i == j && k == l {
				return es[i].numbers[k].Lo + d
			}
			return es[i].numbers[k].Lo
		})
	}
	off(-1, -1, 0)
	for i, x := range es {
		us := c.spreads(e.Args[i])
		for k, n := range x.numbers {
			if n.Lo != n.Hi {
				return 0
			}
			if u := us[k]; u > 0 {
				off(i, k, c.Facts.K*u)
				off(i, k, -c.Facts.K*u)
			}
		}
	}
	for _, at := range moves {
		for _, args := range combinations(e, es, at) {
			x, ok := call(e, args)
			if !ok {
				return 0
			}
			mask |= 1 << int(x)
		}
	}
	return mask
}

// spreads is the standard uncertainty of each number of an argument.
func (c Place) spreads(a *condition.Expr) (out []float64) {
	if a.Op != condition.Map {
		if a.Type.K != condition.KNum {
			return nil
		}
		n, _ := c.Number(a)
		return []float64{n.U()}
	}
	list, _ := c.List(a.Args[0])
	for _, m := range list {
		n, _ := c.in(m.Part).Number(a.Args[1])
		out = append(out, n.U())
	}
	return out
}

// possibleWords is the words that a text argument can be.
func (c Place) possibleWords(a *condition.Expr) (words []string) {
	if a.Op == condition.Const {
		return []string{a.Text}
	}
	choices := []string{"no", "yes"}
	if a.Type.K == condition.KPick {
		choices = a.Type.Prop.Choices
	}
	return Choices(c.still().Mask(a), choices)
}

func inUnit(p *handbook.Param, base float64) float64 {
	if u, err := measure.UnitOf(p.Unit); err == nil && p.Unit != "" {
		return u.FromBase(base)
	}
	return base
}

func call(e *condition.Expr, args []handbook.Arg) (float64, bool) {
	out, err := e.Fn.Call(args)
	if err != nil || e.Result >= len(out) || math.IsNaN(out[e.Result]) {
		return 0, false
	}
	x := out[e.Result]
	if p := e.Fn.Results[e.Result]; p.Unit != "" && p.Unit != "text" {
		if u, err := measure.UnitOf(p.Unit); err == nil {
			x = u.ToBase(x)
		}
	}
	return x, true
}

// apart is how far two angles that differ by d lie apart round a circle.
func apart(d, turn float64) float64 {
	if math.IsInf(d, 0) || math.IsNaN(d) {
		return d
	}
	return math.Abs(math.Remainder(d, turn))
}

// apartOver is apart for all differences of a range: its least and greatest lie
// at the ends, or where a half turn falls between them.
func apartOver(d measure.Number, turn float64) measure.Number {
	if !d.IsBounded() {
		return anything
	}
	a, b := apart(d.Lo, turn), apart(d.Hi, turn)
	out := measure.Between(min(a, b), max(a, b))
	for n, k := math.Ceil(2*d.Lo/turn), 0; n*turn/2 <= d.Hi && k < 2; n, k = n+1, k+1 {
		at := apart(n*turn/2, turn)
		out.Lo, out.Hi = min(out.Lo, at), max(out.Hi, at)
	}
	return out
}
