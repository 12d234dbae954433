package engine

import (
	"math"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// mostWords is how many combinations of words still possible are gone through.
const mostWords = 64

// question is a call of a handbook function with all that its arguments may be.
type question struct {
	e      *condition.Expr
	lo, hi []handbook.Arg // the ends that make the first result least and greatest
	words  [][]string     // by argument: the words it may be; nil for numbers
	ranged bool           // some number is a range
}

// ask gathers the arguments of a call. known is false where nothing is known of
// one, or of a range that the function does not follow one way; ok is false
// where one leaves its domain.
func (v *env) ask(e *condition.Expr) (q question, known, ok bool) {
	n := len(e.Args)
	q = question{e: e, lo: make([]handbook.Arg, n), hi: make([]handbook.Arg, n), words: make([][]string, n)}
	combinations := 1
	for i, a := range e.Args {
		p := &e.Fn.Params[i]
		if p.Unit == "text" {
			q.words[i] = v.wordsOf(a)
			if combinations *= len(q.words[i]); combinations == 0 || combinations > mostWords {
				return q, false, true
			}
			continue
		}
		x, still := v.unmoved(a, p)
		if !still {
			x = v.argument(a, p)
		}
		if !x.known || !x.ok {
			return q, false, x.ok
		}
		q.lo[i], q.hi[i], q.ranged = x.lo, x.hi, q.ranged || x.ranged
	}
	return q, true, true
}

// argument is what one argument may be: the ends that make the first result
// least and greatest.
type argument struct {
	lo, hi    handbook.Arg
	ranged    bool
	known, ok bool
}

func (v *env) argument(a *condition.Expr, p *handbook.Param) (x argument) {
	values, known, ok := v.argumentOf(a)
	x.known, x.ok = known, ok
	if !known || !ok {
		return x
	}
	if p.List {
		both := make([]float64, 2*len(values))
		x.lo.List, x.hi.List = both[:0:len(values)], both[len(values):len(values)]
	}
	for _, n := range values {
		if n.Lo != n.Hi {
			x.ranged = true
			if p.Monotone == 0 {
				return argument{ok: true}
			}
		}
		lo, hi := n.Lo, n.Hi
		if p.Monotone < 0 {
			lo, hi = hi, lo
		}
		x.lo, x.hi = with(p, x.lo, lo), with(p, x.hi, hi)
	}
	return x
}

// argumentOf is the numbers of an argument: one, or one for each member of a
// list, of which all members must be sure.
func (v *env) argumentOf(a *condition.Expr) (values []measure.Number, known, ok bool) {
	if a.Op != condition.Map {
		n, ok := v.span(a, false)
		return []measure.Number{n}, !isLine(n), ok
	}
	known, ok = true, true
	listed := v.elements(a, func(m member, value *condition.Expr) bool {
		n, fits := v.span(value, false)
		known, ok = known && fits && m.in == truth.True && !isLine(n), ok && fits
		values = append(values, n)
		return known
	})
	return values, known && listed && len(values) > 0, ok
}

// wordsOf is the words that a text argument may be.
func (v *env) wordsOf(a *condition.Expr) []string {
	if a.Op == condition.Const {
		return []string{a.Text}
	}
	choices := []string{"no", "yes"}
	if a.Type.K == condition.KPick {
		choices = a.Type.Prop.Choices
	}
	var out []string
	mask := v.mask(a)
	for i, c := range choices {
		if mask>>i&1 != 0 {
			out = append(out, c)
		}
	}
	return out
}

// each calls for every combination of words; false once ask is.
func (q *question) each(args []handbook.Arg, ask func([]handbook.Arg) bool) bool {
	var from func(i int) bool
	from = func(i int) bool {
		for i < len(args) && q.words[i] == nil {
			i++
		}
		if i == len(args) {
			return ask(args)
		}
		for _, w := range q.words[i] {
			args[i].Text = w
			if !from(i + 1) {
				return false
			}
		}
		return true
	}
	return from(0)
}

// call is a handbook function: of ranges where it is monotone, of a choice for
// every choice still possible.
func (v *env) call(e *condition.Expr) (measure.Number, bool) {
	q, known, ok := v.ask(e)
	if !known || !ok || q.ranged && e.Result != 0 {
		return line, ok
	}
	out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
	ends := [][]handbook.Arg{q.lo, q.hi}
	if !q.ranged {
		ends = ends[:1] // the two are one
	}
	for _, args := range ends {
		ok = ok && q.each(args, func(args []handbook.Arg) bool {
			x, fits := answer(e, args)
			out.Lo, out.Hi = min(out.Lo, x), max(out.Hi, x)
			return fits
		})
	}
	if !ok {
		return line, false
	}
	return out, true
}

// pick is a handbook function that answers with a word: the words that may be
// the answer, 0 if nothing is known. Each number is moved up and down by k times
// its uncertainty, so that a word is sure only outside the guard band.
func (v *env) pick(e *condition.Expr) uint64 {
	q, known, ok := v.ask(e)
	if !known || !ok || q.ranged {
		return 0
	}
	mask := uint64(0)
	ask := func(args []handbook.Arg) bool {
		x, fits := answer(e, args)
		if fits && x >= 0 && x < 64 {
			mask |= 1 << int(x)
		}
		return fits
	}
	if !q.each(q.lo, ask) {
		return 0
	}
	for i, a := range e.Args {
		p := &e.Fn.Params[i]
		if p.Unit == "text" {
			continue
		}
		for at, u := range v.uncertaintiesOf(a) {
			for _, way := range [2]float64{-1, 1} {
				if u == 0 {
					break
				}
				moved := q.moved(i, at, way*v.r.coverage()*u)
				if !q.each(moved, ask) {
					return 0
				}
			}
		}
	}
	return mask
}

// moved is the arguments with value at of number i moved by d, in base units.
func (q *question) moved(i, at int, d float64) []handbook.Arg {
	out := append([]handbook.Arg(nil), q.lo...)
	p := &q.e.Fn.Params[i]
	if u := unitOf(p); u != nil {
		d = u.DifferenceFromBase(d)
	}
	if p.List {
		out[i].List = append([]float64(nil), out[i].List...)
		out[i].List[at] += d
	} else {
		out[i].Num += d
	}
	return out
}

// uncertaintiesOf is the standard uncertainties of what argumentOf gives.
func (v *env) uncertaintiesOf(a *condition.Expr) []float64 {
	var out []float64
	if a.Op != condition.Map {
		n, _ := v.number(a)
		return []float64{n.U()}
	}
	v.elements(a, func(_ member, value *condition.Expr) bool {
		n, _ := v.number(value)
		out = append(out, n.U())
		return true
	})
	return out
}

// with adds a value in base units to an argument, which is one number or a list.
func with(p *handbook.Param, a handbook.Arg, base float64) handbook.Arg {
	x := base
	if u := unitOf(p); u != nil {
		x = u.FromBase(base)
	}
	if p.List {
		a.List = append(a.List, x)
	} else {
		a.Num = x
	}
	return a
}

func unitOf(p *handbook.Param) *measure.Unit {
	if p.Unit == "" || p.Unit == "text" {
		return nil
	}
	u, err := measure.UnitOf(p.Unit)
	if err != nil {
		return nil
	}
	return u
}

func answer(e *condition.Expr, args []handbook.Arg) (float64, bool) {
	out, err := e.Fn.Call(args)
	if err != nil || e.Result >= len(out) || math.IsNaN(out[e.Result]) {
		return 0, false
	}
	x := out[e.Result]
	if u := unitOf(&e.Fn.Results[e.Result]); u != nil {
		x = u.ToBase(x)
	}
	return x, true
}
