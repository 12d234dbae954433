package check

import (
	"math"
	"slices"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// anything is what is known of a number of which nothing is.
var anything = measure.Number{Lo: math.Inf(-1), Hi: math.Inf(1)}

// number reads a number with its uncertainty; false if nothing is known of it.
func (c place) number(e *condition.Expr) (measure.Number, bool) {
	n, ok := c.span(e)
	if !ok || math.IsInf(n.Lo, -1) && math.IsInf(n.Hi, 1) {
		return n, false
	}
	n.Terms, ok = c.moves(func(m move) float64 { return c.point(e, m) }, e)
	return n, ok
}

// span is the range of a number by the arithmetic of ranges; false where it
// leaves a domain.
func (c place) span(e *condition.Expr) (measure.Number, bool) {
	out, ok := anything, true
	switch e.Op {
	case condition.Const:
		return measure.Exact(e.Num), true
	case condition.Prop:
		if f, there := c.fact(e); there {
			if n, known := c.numberOf(f); known {
				n.Terms = nil
				return n, true
			}
		}
		return anything, true
	case condition.Neg, condition.Abs:
		if out, ok = c.span(e.Args[0]); !ok {
			return out, false
		}
		switch {
		case e.Op == condition.Neg || out.Hi <= 0:
			return out.Neg(), true
		case out.Lo < 0:
			return measure.Between(0, max(-out.Lo, out.Hi)), true
		}
		return out, true
	case condition.Add, condition.Sub, condition.Mul, condition.Div:
		a, known := c.span(e.Args[0])
		b, alike := c.span(e.Args[1])
		if !known || !alike {
			return anything, false
		}
		switch e.Op {
		case condition.Add:
			out = a.Add(b)
		case condition.Sub:
			out = a.Sub(b)
		case condition.Mul:
			out = a.Mul(b)
		default:
			out, ok = a.Div(b)
		}
	case condition.Count:
		list, known := c.list(e.Args[0])
		if !known {
			return measure.Between(0, math.Inf(1)), true
		}
		out = measure.Exact(0)
		for _, m := range list {
			q := m.in
			if len(e.Args) > 1 {
				q = truth.And(q, c.in(m.part).truth(e.Args[1]))
			}
			if q == truth.True {
				out.Lo++
			}
			if q != truth.False {
				out.Hi++
			}
		}
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return c.spanOver(e)
	case condition.Call:
		return c.spanOfCall(e)
	default:
		return anything, false
	}
	return out, ok && !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
}

// spanOver is the range of a sum, least, greatest, mean or median. The members
// that may or may not be there are tried in every combination, up to ten of
// them; beyond that the range that holds all is told.
func (c place) spanOver(e *condition.Expr) (measure.Number, bool) {
	list, known := c.list(e.Args[0])
	if !known || len(e.Args) < 2 {
		return anything, true
	}
	var lo, hi, perhapsLo, perhapsHi []float64
	for _, m := range list {
		n, ok := c.in(m.part).span(e.Args[1])
		if !ok {
			n = anything
		}
		if m.in == truth.True {
			lo, hi = append(lo, n.Lo), append(hi, n.Hi)
		} else {
			perhapsLo, perhapsHi = append(perhapsLo, n.Lo), append(perhapsHi, n.Hi)
		}
	}
	switch {
	case e.Op == condition.Sum:
		for i := range perhapsLo {
			lo, hi = append(lo, min(0, perhapsLo[i])), append(hi, max(0, perhapsHi[i]))
		}
		out := measure.Between(reduce(e.Op, lo), reduce(e.Op, hi))
		return out, !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
	case len(lo) == 0:
		return anything, true
	case len(perhapsLo) > 10:
		all, allHi := append(slices.Clone(lo), perhapsLo...), append(slices.Clone(hi), perhapsHi...)
		switch e.Op {
		case condition.Min:
			return measure.Between(slices.Min(all), slices.Min(hi)), true
		case condition.Max:
			return measure.Between(slices.Max(lo), slices.Max(allHi)), true
		}
		return measure.Between(slices.Min(all), slices.Max(allHi)), true
	}
	out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
	for with := range 1 << len(perhapsLo) {
		l, h := slices.Clone(lo), slices.Clone(hi)
		for i := range perhapsLo {
			if with>>i&1 == 1 {
				l, h = append(l, perhapsLo[i]), append(h, perhapsHi[i])
			}
		}
		out.Lo, out.Hi = min(out.Lo, reduce(e.Op, l)), max(out.Hi, reduce(e.Op, h))
	}
	return out, !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi)
}

func reduce(op condition.Op, xs []float64) float64 {
	total := 0.0
	for _, x := range xs {
		total += x
	}
	switch op {
	case condition.Sum:
		return total
	case condition.Mean:
		return total / float64(len(xs))
	case condition.Min:
		return slices.Min(xs)
	case condition.Max:
		return slices.Max(xs)
	}
	xs = slices.Sorted(slices.Values(xs))
	return (xs[(len(xs)-1)/2] + xs[len(xs)/2]) / 2
}

// move is one point among what is possible: every partly known number at its
// low or high end, and one source of uncertainty moved up or down by its u.
type move struct {
	high   bool
	source int32
	way    float64
}

// moves is the contribution of each source of uncertainty that enters some
// expressions to f: max(|f(x+u) − f(x)|, |f(x−u) − f(x)|), JCGM 100:2008, 5.1.3
// note 2, with the sign of the upward move, at the end of the range where it is
// larger. Nil if no uncertainty is given; false where a move leaves a domain.
func (c place) moves(f func(move) float64, es ...*condition.Expr) ([]measure.Term, bool) {
	var sources []int32
	given := false
	for _, e := range es {
		c.sources(e, func(n measure.Number) {
			given = given || n.Terms != nil
			for _, t := range n.Terms {
				sources = append(sources, t.Source)
			}
		})
	}
	if !given {
		return nil, true
	}
	slices.Sort(sources)
	terms := []measure.Term{}
	for _, s := range slices.Compact(sources) {
		u := 0.0
		for _, high := range []bool{false, true} {
			at := f(move{high: high})
			if math.IsInf(at, 0) {
				continue
			}
			up, down := f(move{high, s, 1})-at, f(move{high, s, -1})-at
			if math.IsNaN(up) || math.IsNaN(down) {
				return nil, false
			}
			d := max(math.Abs(up), math.Abs(down))
			if up < 0 || up == 0 && down > 0 {
				d = -d
			}
			if math.Abs(d) > math.Abs(u) {
				u = d
			}
		}
		if u != 0 {
			terms = append(terms, measure.Term{Source: s, U: u})
		}
	}
	return terms, true
}

// sources visits the numbers with uncertainty that enter an expression.
func (c place) sources(e *condition.Expr, visit func(measure.Number)) {
	switch {
	case e.Op == condition.Prop:
		if f, ok := c.fact(e); ok {
			if n, known := c.numberOf(f); known {
				visit(n)
			}
		}
	case e.Op == condition.Count:
	case overList(e) && len(e.Args) > 1:
		list, _ := c.list(e.Args[0])
		for _, m := range list {
			c.in(m.part).sources(e.Args[1], visit)
		}
	default:
		for _, a := range e.Args {
			if a.Type.K == condition.KNum {
				c.sources(a, visit)
			}
		}
	}
}

// point is an expression at one point. Where that is not defined it is NaN.
// Which members a list has is judged on the facts as they are.
func (c place) point(e *condition.Expr, m move) float64 {
	switch e.Op {
	case condition.Const:
		return e.Num
	case condition.Prop:
		f, ok := c.fact(e)
		n, known := measure.Number{}, false
		if ok {
			n, known = c.numberOf(f)
		}
		if !known {
			return math.Inf(1) // its range is without end, and so no move of it is asked for
		}
		x := n.Lo
		if m.high {
			x = n.Hi
		}
		for _, t := range n.Terms {
			if t.Source == m.source {
				x += m.way * t.U
			}
		}
		return x
	case condition.Neg:
		return -c.point(e.Args[0], m)
	case condition.Abs:
		return math.Abs(c.point(e.Args[0], m))
	case condition.Add:
		return c.point(e.Args[0], m) + c.point(e.Args[1], m)
	case condition.Sub:
		return c.point(e.Args[0], m) - c.point(e.Args[1], m)
	case condition.Mul:
		return c.point(e.Args[0], m) * c.point(e.Args[1], m)
	case condition.Div:
		if by := c.point(e.Args[1], m); by != 0 {
			return c.point(e.Args[0], m) / by
		}
	case condition.Count:
		n, _ := c.span(e)
		return n.Lo
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		var xs []float64
		list, _ := c.list(e.Args[0])
		for _, k := range list {
			if x := c.in(k.part).point(e.Args[1], m); !math.IsInf(x, 0) && (k.in == truth.True || m.high) {
				xs = append(xs, x)
			}
		}
		if len(xs) > 0 || e.Op == condition.Sum {
			return reduce(e.Op, xs)
		}
		return math.Inf(1)
	case condition.Call:
		var args []handbook.Arg
		for i, a := range e.Args {
			p := &e.Fn.Params[i]
			if p.Unit == "text" {
				words := c.possibleWords(a)
				if len(words) != 1 {
					return math.Inf(1)
				}
				args = append(args, handbook.Arg{Text: words[0]})
				continue
			}
			x := c.point(a, m)
			if math.IsInf(x, 0) {
				return x
			}
			args = append(args, inUnit(p, x))
		}
		if x, ok := call(e, args); ok {
			return x
		}
	}
	return math.NaN()
}

// spanOfCall is the range of a function of the handbook: at the ends of what
// enters where it is monotone, over all choices still possible of a word.
func (c place) spanOfCall(e *condition.Expr) (measure.Number, bool) {
	word, ranged := -1, false
	lows, highs := make([]handbook.Arg, len(e.Args)), make([]handbook.Arg, len(e.Args))
	for i, a := range e.Args {
		p := &e.Fn.Params[i]
		if p.Unit == "text" {
			words := c.possibleWords(a)
			switch {
			case len(words) == 0 || word >= 0 && a.Op != condition.Const && e.Args[word].Op != condition.Const:
				return anything, true // two choices at once are not gone through
			case word < 0 || a.Op != condition.Const:
				word = i
			}
			lows[i] = handbook.Arg{Text: words[0]}
			continue
		}
		n, ok := c.span(a)
		switch {
		case !ok || math.IsInf(n.Lo, -1) && math.IsInf(n.Hi, 1):
			return anything, ok
		case n.Lo == n.Hi:
		case e.Result != 0 || p.Monotone == 0 || p.List:
			return anything, true
		case p.Monotone < 0:
			n.Lo, n.Hi = n.Hi, n.Lo
		}
		ranged = ranged || n.Lo != n.Hi
		lows[i], highs[i] = inUnit(p, n.Lo), inUnit(p, n.Hi)
	}
	if word < 0 {
		x, ok := call(e, lows)
		y, alike := call(e, highs)
		return measure.Between(x, y), ok && alike && x <= y
	}
	if ranged {
		return anything, true
	}
	out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
	for _, w := range c.possibleWords(e.Args[word]) {
		lows[word] = handbook.Arg{Text: w}
		x, ok := call(e, lows)
		if !ok {
			return anything, false
		}
		out.Lo, out.Hi = min(out.Lo, x), max(out.Hi, x)
	}
	return out, true
}

// possibleWords is the words that a text argument can be.
func (c place) possibleWords(a *condition.Expr) (words []string) {
	if a.Op == condition.Const {
		return []string{a.Text}
	}
	choices := []string{"no", "yes"}
	if a.Type.K == condition.KPick {
		choices = a.Type.Prop.Choices
	}
	return choicesOf(c.mask(a), choices)
}

func inUnit(p *handbook.Param, base float64) handbook.Arg {
	if u, err := measure.UnitOf(p.Unit); err == nil && p.Unit != "" {
		base = u.FromBase(base)
	}
	if p.List {
		return handbook.Arg{List: []float64{base}}
	}
	return handbook.Arg{Num: base}
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

// outcome is how a comparison of numbers came out.
type outcome struct {
	state   truth.Truth
	u       float64 // of the difference
	needed  float64 // the u that would decide it
	given   bool    // some uncertainty was given
	withinU bool    // unknown for its uncertainty alone
}

// compare decides left op right outside the guard band of k times the
// uncertainty of the difference, both sides moved together.
func (c place) compare(e *condition.Expr) (out outcome) {
	a, b := e.Args[0], e.Args[1]
	x, ok := c.span(a)
	y, alike := c.span(b)
	if !ok || !alike {
		return out
	}
	terms, ok := c.moves(func(m move) float64 { return c.point(a, m) - c.point(b, m) }, a, b)
	if !ok {
		return out
	}
	out.u, out.given = measure.Number{Terms: terms}.U(), terms != nil
	return decide(e.Op, x, y, out, c.f.K, max(c.largest(a), c.largest(b)))
}

// decide compares two ranges: numbers that differ by less than 1e-9 of the
// largest that enters are equal.
func decide(op condition.Op, x, y measure.Number, out outcome, k, largest float64) outcome {
	equal := 1e-9 * max(finite(x.Lo), finite(x.Hi), finite(y.Lo), finite(y.Hi), largest)
	lo, hi := x.Lo-y.Hi, x.Hi-y.Lo
	loOpen := x.LoOpen || y.HiOpen
	if op == condition.Lt || op == condition.Ge {
		lo, hi, loOpen = -hi, -lo, x.HiOpen || y.LoOpen
	}
	strict := op == condition.Lt || op == condition.Gt
	distance := 0.0
	switch {
	case lo > 0 && lo >= equal, loOpen && (lo >= 0 || lo > -equal): // surely over (under)
		out.state, distance = truth.Of(strict), lo
	case hi <= 0 || hi < equal:
		out.state, distance = truth.Of(!strict), -hi
	default:
		return out
	}
	if distance = max(distance, 0); out.u > 0 && distance < k*out.u-equal {
		out.state, out.withinU, out.needed = truth.Unknown, true, distance/k
	}
	return out
}

// largest is the largest number that enters an expression.
func (c place) largest(e *condition.Expr) float64 {
	out := 0.0
	if n, ok := c.span(e); ok {
		out = max(finite(n.Lo), finite(n.Hi))
	}
	switch {
	case e.Op >= condition.Neg && e.Op <= condition.Div:
		for _, a := range e.Args {
			out = max(out, c.largest(a))
		}
	case overList(e) && e.Op != condition.Count && len(e.Args) > 1 && e.Type.K == condition.KNum:
		list, _ := c.list(e.Args[0])
		for _, m := range list {
			out = max(out, c.in(m.part).largest(e.Args[1]))
		}
	}
	return out
}

func finite(x float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return 0
	}
	return math.Abs(x)
}

// agree tells whether two numbers are compatible: neither surely over the other.
func (w *world) agree(a, b measure.Number) bool {
	d := a.Sub(b)
	at := outcome{u: d.U(), given: d.Terms != nil}
	return decide(condition.Gt, a, b, at, w.f.K, 0).state != truth.True && decide(condition.Lt, a, b, at, w.f.K, 0).state != truth.True
}
