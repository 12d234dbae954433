package engine_test

import (
	"fmt"
	"math"
	"slices"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// span is the values a number may have.
type span struct {
	lo, hi         float64
	loOpen, hiOpen bool
}

var anything = span{lo: math.Inf(-1), hi: math.Inf(1)}

func (s span) whole() span {
	out := span{lo: math.Ceil(s.lo), hi: math.Floor(s.hi)}
	if s.loOpen && out.lo == s.lo {
		out.lo++
	}
	if s.hiOpen && out.hi == s.hi {
		out.hi--
	}
	return out
}

// move shifts all that one source of uncertainty carries, up or down.
type move struct {
	source    int32
	direction float64
}

var still = move{source: -1}

func termOf(n measure.Number, source int32) float64 {
	for _, t := range n.Terms {
		if t.Source == source {
			return t.U
		}
	}
	return 0
}

func sourcesOf(ns ...measure.Number) []int32 {
	var out []int32
	for _, n := range ns {
		for _, t := range n.Terms {
			out = append(out, t.Source)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// value is the number conditions read of a part: the observed one, else the one
// that rules set.
func (r *reference) value(h slot) (measure.Number, bool) {
	if v, ok := r.obs[h]; ok && v.Looked == vocab.Told {
		return v.Number, true
	}
	n, ok := r.number[h]
	return n, ok
}

// leaves calls f for every number that enters an expression: what is read and
// what is written.
func (r *reference) leaves(e *condition.Expr, b instance, elems []int32, f func(measure.Number)) {
	switch e.Op {
	case condition.Const:
		if e.Type.K == condition.KNum {
			f(measure.Exact(e.Num))
		}
		return
	case condition.Prop:
		if e.Type.K == condition.KNum {
			if of, ok := r.part(e.Args[0], b, elems); ok && of >= 0 {
				if n, known := r.value(slot{of, e.Prop}); known {
					f(n)
				}
			}
			return
		}
	case condition.Count:
		return // its inner comparisons are comparisons of their own
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median, condition.Map:
		if ms, ok := r.list(e.Args[0], b, elems); ok {
			for _, m := range ms {
				r.leaves(e.Args[1], b, append(slices.Clone(elems), m.part), f)
			}
		}
		return
	}
	for _, a := range e.Args {
		if a.Type.K == condition.KNum || a.Type.K == condition.KNumbers {
			r.leaves(a, b, elems, f)
		}
	}
}

// interval is the values that a number expression may have after a move; false
// where it leaves its domain.
func (r *reference) interval(e *condition.Expr, b instance, elems []int32, m move) (span, bool) {
	switch e.Op {
	case condition.Const:
		return span{lo: e.Num, hi: e.Num}, true
	case condition.Prop:
		of, ok := r.part(e.Args[0], b, elems)
		if !ok || of < 0 {
			return anything, true
		}
		n, known := r.value(slot{of, e.Prop})
		if !known {
			return anything, true
		}
		d := m.direction * termOf(n, m.source)
		return span{n.Lo + d, n.Hi + d, n.LoOpen, n.HiOpen}, true
	case condition.Neg:
		x, ok := r.interval(e.Args[0], b, elems, m)
		return span{-x.hi, -x.lo, x.hiOpen, x.loOpen}, ok
	case condition.Abs:
		x, ok := r.interval(e.Args[0], b, elems, m)
		switch {
		case x.lo >= 0:
			return x, ok
		case x.hi <= 0:
			return span{-x.hi, -x.lo, x.hiOpen, x.loOpen}, ok
		}
		return span{lo: 0, hi: max(-x.lo, x.hi), hiOpen: -x.lo != x.hi && (-x.lo > x.hi && x.loOpen || x.hi > -x.lo && x.hiOpen)}, ok
	case condition.Add, condition.Sub, condition.Mul, condition.Div:
		x, ok := r.interval(e.Args[0], b, elems, m)
		y, also := r.interval(e.Args[1], b, elems, m)
		if !ok || !also {
			return anything, false
		}
		switch e.Op {
		case condition.Add:
			return span{x.lo + y.lo, x.hi + y.hi, x.loOpen || y.loOpen, x.hiOpen || y.hiOpen}, true
		case condition.Sub:
			return span{x.lo - y.hi, x.hi - y.lo, x.loOpen || y.hiOpen, x.hiOpen || y.loOpen}, true
		case condition.Div:
			if y.lo <= 0 && y.hi >= 0 {
				return anything, false
			}
			// A move over zero passes where the quotient is not defined.
			if at, _ := r.interval(e.Args[1], b, elems, still); at.lo > 0 != (y.lo > 0) {
				return anything, false
			}
			y = span{1 / y.hi, 1 / y.lo, y.hiOpen, y.loOpen}
		}
		return product(x, y), true
	case condition.Count, condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return r.aggregate(e, b, elems, m)
	case condition.Apart:
		return r.apart(e, b, elems, m)
	case condition.Call:
		return r.call(e, b, elems, m)
	}
	panic(fmt.Sprintf("no number: op %d", e.Op))
}

func product(x, y span) span {
	type corner struct {
		v    float64
		open bool
	}
	var all []corner
	for _, p := range []corner{{x.lo, x.loOpen}, {x.hi, x.hiOpen}} {
		for _, q := range []corner{{y.lo, y.loOpen}, {y.hi, y.hiOpen}} {
			v := p.v * q.v
			if p.v == 0 || q.v == 0 {
				v = 0
			}
			all = append(all, corner{v, p.open || q.open})
		}
	}
	out := span{all[0].v, all[0].v, all[0].open, all[0].open}
	for _, c := range all[1:] {
		if c.v < out.lo || c.v == out.lo && !c.open {
			out.lo, out.loOpen = c.v, c.open
		}
		if c.v > out.hi || c.v == out.hi && !c.open {
			out.hi, out.hiOpen = c.v, c.open
		}
	}
	return out
}

// aggregate takes the ends of its members as closed, which can only leave more
// unknown.
func (r *reference) aggregate(e *condition.Expr, b instance, elems []int32, m move) (span, bool) {
	ms, ok := r.list(e.Args[0], b, elems)
	if !ok {
		return anything, true
	}
	if e.Op == condition.Count {
		var out span
		for _, x := range ms {
			t := x.in
			if len(e.Args) > 1 {
				t = truth.And(t, r.truth(e.Args[1], b, append(slices.Clone(elems), x.part)))
			}
			if t == truth.True {
				out.lo++
			}
			if t != truth.False {
				out.hi++
			}
		}
		return out, true
	}
	var los, his []float64
	sure := 0
	var sum span
	least, greatest := math.Inf(1), math.Inf(-1) // over the certain members: the upper end of min, the lower end of max
	for _, x := range ms {
		v, ok := r.interval(e.Args[1], b, append(slices.Clone(elems), x.part), m)
		if !ok {
			return anything, false
		}
		los, his = append(los, v.lo), append(his, v.hi)
		if x.in == truth.True {
			sure++
			sum.lo, sum.hi = sum.lo+v.lo, sum.hi+v.hi
			least, greatest = min(least, v.hi), max(greatest, v.lo)
		} else {
			sum.lo, sum.hi = sum.lo+min(0, v.lo), sum.hi+max(0, v.hi)
		}
	}
	if e.Op == condition.Sum {
		return sum, true
	}
	if sure == 0 { // perhaps over no member
		return anything, true
	}
	switch e.Op {
	case condition.Min:
		return span{lo: slices.Min(los), hi: least}, true
	case condition.Max:
		return span{lo: greatest, hi: slices.Max(his)}, true
	}
	// Of the members that are not certain every choice is tried.
	out := span{lo: math.Inf(1), hi: math.Inf(-1)}
	for with := range 1 << len(ms) {
		var low, high []float64
		fits := true
		for i, x := range ms {
			if with>>i&1 == 1 {
				low, high = append(low, los[i]), append(high, his[i])
			} else if x.in == truth.True {
				fits = false
			}
		}
		if !fits {
			continue
		}
		if e.Op == condition.Median {
			out.lo, out.hi = min(out.lo, median(low)), max(out.hi, median(high))
			continue
		}
		out.lo, out.hi = min(out.lo, mean(low)), max(out.hi, mean(high))
	}
	return out, true
}

func mean(xs []float64) float64 {
	var sum float64
	for _, x := range xs {
		sum += x
	}
	return sum / float64(len(xs))
}

func median(xs []float64) float64 {
	slices.Sort(xs)
	n := len(xs)
	if n%2 == 1 {
		return xs[n/2]
	}
	return (xs[n/2-1] + xs[n/2]) / 2
}

// compare decides left op right, the whole as one function of what enters it.
func (r *reference) compare(e *condition.Expr, b instance, elems []int32) truth.Truth {
	difference := func(m move) (span, bool) {
		x, ok := r.interval(e.Args[0], b, elems, m)
		y, also := r.interval(e.Args[1], b, elems, m)
		return span{x.lo - y.hi, x.hi - y.lo, x.loOpen || y.hiOpen, x.hiOpen || y.loOpen}, ok && also
	}
	d, ok := difference(still)
	if !ok || math.IsNaN(d.lo) || math.IsNaN(d.hi) {
		return truth.Unknown
	}
	var scale float64
	var sources []int32
	for _, side := range e.Args {
		r.leaves(side, b, elems, func(n measure.Number) {
			scale = max(scale, largest(n.Lo, n.Hi))
			sources = append(sources, sourcesOf(n)...)
		})
	}
	slices.Sort(sources)
	sources = slices.Compact(sources)
	tol := 1e-9 * scale

	// over: every possibility is above zero and not equal to it; under likewise.
	// Left and right are equal where they differ by less than tol.
	over := d.lo >= tol && d.lo > 0 || d.loOpen && d.lo > -tol
	notOver := d.hi < tol || d.hi <= 0
	under := d.hi <= -tol && d.hi < 0 || d.hiOpen && d.hi < tol
	notUnder := d.lo > -tol || d.lo >= 0
	out, distance := truth.Unknown, 0.0
	decide := func(yes, no bool, above bool) {
		switch {
		case yes:
			out, distance = truth.True, d.lo
			if !above {
				distance = -d.hi
			}
		case no:
			out, distance = truth.False, -d.hi
			if !above {
				distance = d.lo
			}
		}
	}
	switch e.Op {
	case condition.Gt:
		decide(over, notOver, true)
	case condition.Ge:
		decide(notUnder, under, true)
	case condition.Lt:
		decide(under, notUnder, false)
	case condition.Le:
		decide(notOver, over, false)
	}
	if out == truth.Unknown || len(sources) == 0 {
		return out
	}
	var square float64
	for _, s := range sources {
		var worst float64
		for _, way := range []float64{1, -1} {
			moved, ok := difference(move{s, way})
			if !ok {
				return truth.Unknown
			}
			for _, change := range []float64{moved.lo - d.lo, moved.hi - d.hi} {
				if !math.IsNaN(change) && !math.IsInf(change, 0) {
					worst = max(worst, math.Abs(change))
				}
			}
		}
		square += worst * worst
	}
	if max(distance, 0) < r.facts.K*math.Sqrt(square)-tol {
		return truth.Unknown
	}
	return out
}

// quantity is a number that a rule sets: its values and what each source
// contributes. False if it is not known at all.
func (r *reference) quantity(e *condition.Expr, b instance) (measure.Number, bool) {
	at, ok := r.interval(e, b, nil, still)
	if !ok || math.IsInf(at.lo, -1) && math.IsInf(at.hi, 1) || math.IsNaN(at.lo) || math.IsNaN(at.hi) {
		return measure.Number{}, false
	}
	out := measure.Number{Lo: at.lo, Hi: at.hi, LoOpen: at.loOpen, HiOpen: at.hiOpen}
	var sources []int32
	given := false
	r.leaves(e, b, nil, func(n measure.Number) {
		sources = append(sources, sourcesOf(n)...)
		given = given || n.Terms != nil
	})
	slices.Sort(sources)
	if given {
		out.Terms = []measure.Term{}
	}
	for _, s := range slices.Compact(sources) {
		up, ok := r.interval(e, b, nil, move{s, 1})
		down, also := r.interval(e, b, nil, move{s, -1})
		if !ok || !also {
			return measure.Number{}, false
		}
		var size float64
		for _, c := range [][2]float64{{up.lo - at.lo, down.lo - at.lo}, {up.hi - at.hi, down.hi - at.hi}} {
			if math.IsNaN(c[0]) || math.IsInf(c[0], 0) {
				continue // an open end
			}
			change := max(math.Abs(c[0]), math.Abs(c[1]))
			if c[0] < 0 || c[0] == 0 && c[1] > 0 {
				change = -change
			}
			if math.Abs(change) > math.Abs(size) {
				size = change
			}
		}
		if math.Abs(size) > 1e-12*largest(at.lo, at.hi) {
			out.Terms = append(out.Terms, measure.Term{Source: s, U: size})
		}
	}
	return out, true
}
