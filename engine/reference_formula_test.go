package engine_test

import (
	"math"
	"slices"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// apart is the angles two directions may lie apart: the distance round the
// circle at every half turn and end among the differences possible.
func (r *reference) apart(e *condition.Expr, b instance, elems []int32, m move) (span, bool) {
	x, ok := r.interval(e.Args[0], b, elems, m)
	y, also := r.interval(e.Args[1], b, elems, m)
	from, to := x.lo-y.hi, x.hi-y.lo
	if !ok || !also || math.IsInf(from, 0) || math.IsInf(to, 0) {
		return anything, ok && also
	}
	half := e.Num / 2
	at := func(d float64) float64 { // a triangle wave: 0 at whole turns, half at half turns
		d -= e.Num * math.Floor(d/e.Num)
		if d > half {
			return e.Num - d
		}
		return d
	}
	all := []float64{at(from), at(to)}
	for n := -20.0; n <= 20; n++ {
		if d := n * half; d > from && d < to {
			all = append(all, at(d))
		}
	}
	return span{lo: slices.Min(all), hi: slices.Max(all)}, true
}

// filled is one argument of a function: what words or numbers it may be.
type filled struct {
	words []string
	spans []span
}

func (r *reference) fill(e *condition.Expr, b instance, elems []int32, m move) (out []filled, known, fits bool) {
	known, fits = true, true
	for i, a := range e.Args {
		var x filled
		switch {
		case e.Fn.Params[i].Unit == "text" && a.Op == condition.Const:
			x.words = []string{a.Text}
		case e.Fn.Params[i].Unit == "text" && a.Type.K == condition.KBool:
			t := r.truth(a, b, elems)
			known = known && t != truth.Unknown
			x.words = []string{map[truth.Truth]string{truth.True: "yes", truth.False: "no"}[t]}
		case e.Fn.Params[i].Unit == "text":
			mask := r.pick(a, b, elems)
			known = known && mask != 0
			for k, c := range a.Type.Prop.Choices {
				if mask&(1<<k) != 0 {
					x.words = append(x.words, c)
				}
			}
		case a.Op == condition.Map:
			ms, ok := r.list(a.Args[0], b, elems)
			known = known && ok && len(ms) > 0
			for _, k := range ms {
				s, ok := r.interval(a.Args[1], b, append(slices.Clone(elems), k.part), m)
				known, fits = known && k.in == truth.True && s != anything, fits && ok
				x.spans = append(x.spans, s)
			}
		default:
			s, ok := r.interval(a, b, elems, m)
			known, fits = known && s != anything, fits && ok
			x.spans = []span{s}
		}
		if !known || !fits {
			return nil, false, fits
		}
		out = append(out, x)
	}
	return out, true, true
}

// answers is what a function may answer, each number at the end that at says.
func answers(e *condition.Expr, xs []filled, at func(i, k int, s span) float64) (all []float64, ok bool) {
	args := make([]handbook.Arg, len(xs))
	ok = true
	var fill func(i int)
	fill = func(i int) {
		if i == len(xs) {
			out, err := e.Fn.Call(args)
			if err != nil || math.IsNaN(out[e.Result]) {
				ok = false
				return
			}
			x := out[e.Result]
			if u, err := measure.UnitOf(e.Fn.Results[e.Result].Unit); err == nil {
				x = u.ToBase(x)
			}
			all = append(all, x)
			return
		}
		p := &e.Fn.Params[i]
		if xs[i].words != nil {
			for _, w := range xs[i].words {
				args[i] = handbook.Arg{Text: w}
				fill(i + 1)
			}
			return
		}
		var list []float64
		for k, s := range xs[i].spans {
			x := at(i, k, s)
			if u, err := measure.UnitOf(p.Unit); err == nil {
				x = u.FromBase(x)
			}
			list = append(list, x)
		}
		args[i] = handbook.Arg{Num: list[0], List: list}
		fill(i + 1)
	}
	fill(0)
	return all, ok
}

func (r *reference) call(e *condition.Expr, b instance, elems []int32, m move) (span, bool) {
	xs, known, fits := r.fill(e, b, elems, m)
	if !known || !fits {
		return anything, fits
	}
	for i := range xs {
		for _, s := range xs[i].spans {
			if s.lo != s.hi && (e.Result != 0 || e.Fn.Params[i].Monotone == 0) {
				return anything, true
			}
		}
	}
	low, ok := answers(e, xs, func(i, _ int, s span) float64 { return end(s, e.Fn.Params[i].Monotone < 0) })
	high, also := answers(e, xs, func(i, _ int, s span) float64 { return end(s, e.Fn.Params[i].Monotone >= 0) })
	if !ok || !also {
		return anything, false
	}
	return span{lo: slices.Min(low), hi: slices.Max(high)}, true
}

func end(s span, high bool) float64 {
	if high {
		return s.hi
	}
	return s.lo
}

// pickOfCall is the words a function may answer when each number it takes is
// off by up to k times its uncertainty.
func (r *reference) pickOfCall(e *condition.Expr, b instance, elems []int32) uint64 {
	xs, known, fits := r.fill(e, b, elems, still)
	if !known || !fits {
		return 0
	}
	var mask uint64
	off := func(j, l int, d float64) bool {
		all, ok := answers(e, xs, func(i, k int, s span) float64 {
			if i == j && k == l {
				return s.lo + d
			}
			return s.lo
		})
		for _, x := range all {
			mask |= 1 << int(x)
		}
		return ok
	}
	ok := off(-1, -1, 0)
	for i, x := range xs {
		for k, s := range x.spans {
			if s.lo != s.hi {
				return 0
			}
			value, inner := e.Args[i], elems
			if value.Op == condition.Map {
				ms, _ := r.list(value.Args[0], b, elems)
				value, inner = value.Args[1], append(slices.Clone(elems), ms[k].part)
			}
			u := r.spread(value, b, inner, s)
			ok = ok && off(i, k, r.facts.K*u) && off(i, k, -r.facts.K*u)
		}
	}
	if !ok {
		return 0
	}
	return mask
}

// spread is the standard uncertainty of a number.
func (r *reference) spread(e *condition.Expr, b instance, elems []int32, at span) float64 {
	var sources []int32
	r.leaves(e, b, elems, func(n measure.Number) { sources = append(sources, sourcesOf(n)...) })
	slices.Sort(sources)
	square := 0.0
	for _, s := range slices.Compact(sources) {
		up, _ := r.interval(e, b, elems, move{s, 1})
		down, _ := r.interval(e, b, elems, move{s, -1})
		u := max(math.Abs(up.lo-at.lo), math.Abs(down.lo-at.lo))
		square += u * u
	}
	return math.Sqrt(square)
}
