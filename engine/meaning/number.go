package meaning

import (
	"math"
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// anything is what is known of a number of which nothing is.
var anything = measure.Number{Lo: math.Inf(-1), Hi: math.Inf(1)}

// move is how numbers are read: one source of uncertainty moved up or down by
// its u (way 1 or -1), or none (0), and what enters is noted.
type move struct {
	source  int32
	way     float64
	given   bool // some uncertainty is
	sources []int32
	largest float64 // the largest number that enters, handbook calls taken as one
}

// of is a number after the move.
func (m *move) of(n measure.Number) measure.Number {
	if m == nil {
		return n
	}
	m.given = m.given || n.Terms != nil
	for _, t := range n.Terms {
		m.sources = append(m.sources, t.Source)
		if t.Source == m.source {
			n.Lo, n.Hi = n.Lo+m.way*t.U, n.Hi+m.way*t.U
		}
	}
	return n
}

func (m *move) note(n measure.Number) {
	for _, x := range []float64{n.Lo, n.Hi} {
		if m != nil && !math.IsInf(x, 0) {
			m.largest = max(m.largest, math.Abs(x))
		}
	}
}

// Number reads a number with its uncertainty; false if nothing is known of it.
func (c Place) Number(e *condition.Expr) (measure.Number, bool) {
	n, _, ok := c.spread(func(c Place) (measure.Number, bool) { return c.span(e) })
	return n, ok && !isAnything(n)
}

// spread is a number f with the contribution of each source of uncertainty that
// enters it: max(|f(x+u) − f(x)|, |f(x−u) − f(x)|), JCGM 100:2008, 5.1.3 note 2,
// with the sign of the upward move, of a range that of the end where it is
// larger; also the largest number that enters. False where f or a move leaves a
// domain.
func (c Place) spread(f func(Place) (measure.Number, bool)) (n measure.Number, largest float64, ok bool) {
	read := func(source int32, way float64) (measure.Number, *move, bool) {
		c := c
		c.moved = &move{source: source, way: way}
		n, ok := f(c)
		n.Terms = nil
		return n, c.moved, ok && !math.IsNaN(n.Lo) && !math.IsNaN(n.Hi)
	}
	n, entered, ok := read(0, 0)
	if !ok || !entered.given || isAnything(n) {
		return n, entered.largest, ok
	}
	n.Terms = []measure.Term{}
	slices.Sort(entered.sources)
	for _, s := range slices.Compact(entered.sources) {
		up, _, rises := read(s, 1)
		down, _, falls := read(s, -1)
		if !rises || !falls {
			return n, entered.largest, false
		}
		u := 0.0
		for _, end := range [][2]float64{{up.Lo - n.Lo, down.Lo - n.Lo}, {up.Hi - n.Hi, down.Hi - n.Hi}} {
			d := max(math.Abs(end[0]), math.Abs(end[1]))
			if math.IsInf(d, 0) || math.IsNaN(d) || d <= math.Abs(u) {
				continue // of an end that is not bounded nothing moves
			}
			if u = d; end[0] < 0 || end[0] == 0 && end[1] > 0 {
				u = -d
			}
		}
		if u != 0 {
			n.Terms = append(n.Terms, measure.Term{Source: s, U: u})
		}
	}
	return n, entered.largest, true
}

// span is the range of a number by the arithmetic of ranges; false where it
// leaves a domain.
func (c Place) span(e *condition.Expr) (out measure.Number, ok bool) {
	out, ok = c.spanOf(e)
	if ok = ok && !math.IsNaN(out.Lo) && !math.IsNaN(out.Hi); ok {
		c.moved.note(out)
	}
	return out, ok
}

func (c Place) spanOf(e *condition.Expr) (out measure.Number, ok bool) {
	var args []measure.Number
	if e.Op >= condition.Neg && e.Op <= condition.Apart {
		for _, a := range e.Args {
			n, ok := c.span(a)
			if !ok {
				return anything, false
			}
			n.Terms = nil
			args = append(args, n)
		}
	}
	switch e.Op {
	case condition.Const:
		return measure.Exact(e.Num), true
	case condition.Prop:
		if f, there := c.Fact(e); there {
			if v := c.Value(f); v.Looked == vocab.Told {
				return c.moved.of(v.Number), true
			}
		}
		return anything, true
	case condition.Neg:
		return args[0].Neg(), true
	case condition.Abs:
		switch n := args[0]; {
		case n.Hi <= 0:
			return n.Neg(), true
		case n.Lo < 0:
			return measure.Between(0, max(-n.Lo, n.Hi)), true
		}
		return args[0], true
	case condition.Add:
		return args[0].Add(args[1]), true
	case condition.Sub:
		return args[0].Sub(args[1]), true
	case condition.Mul:
		return args[0].Mul(args[1]), true
	case condition.Div:
		// A move that carries the divisor to zero or past it leaves the domain.
		if at, ok := c.still().span(e.Args[1]); !ok || (at.Lo > 0) != (args[1].Lo > 0) {
			return anything, false
		}
		return args[0].Div(args[1])
	case condition.Apart:
		return apart(args[0].Sub(args[1]), e.Num), true
	case condition.Count:
		list, known := c.List(e.Args[0])
		if !known {
			return measure.Between(0, math.Inf(1)), true
		}
		for _, m := range list {
			in := m.in
			if len(e.Args) > 1 {
				in = truth.And(in, c.still().in(m.Part).Truth(e.Args[1]))
			}
			if in == truth.True {
				out.Lo++
			}
			if in != truth.False {
				out.Hi++
			}
		}
		return out, true
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return c.spanOver(e), true
	case condition.Call:
		return c.spanOfCall(e)
	}
	return anything, false
}

// apart is how far two angles that differ by d lie apart round a circle: least
// and greatest lie at the ends, or where a half turn falls between them.
func apart(d measure.Number, turn float64) measure.Number {
	if !d.IsBounded() {
		return anything
	}
	at := []float64{d.Lo, d.Hi}
	for n, k := math.Ceil(2*d.Lo/turn), 0; n*turn/2 <= d.Hi && k < 2; n, k = n+1, k+1 {
		at = append(at, n*turn/2)
	}
	for i := range at {
		at[i] = math.Abs(math.Remainder(at[i], turn))
	}
	return measure.Between(slices.Min(at), slices.Max(at))
}

// spanOver is the range of a sum, least, greatest, mean or median. A member that
// may be missing adds at least nothing to a sum and leaves the least or greatest
// to others; for a mean or median all combinations of them are tried, up to ten
// members; beyond that the range that holds all is told.
func (c Place) spanOver(e *condition.Expr) measure.Number {
	list, known := c.List(e.Args[0])
	var lo, hi, perhapsLo, perhapsHi []float64
	sure := e.Op == condition.Sum
	for _, m := range list {
		n, ok := c.in(m.Part).span(e.Args[1])
		if !ok {
			n = anything
		}
		switch sure = sure || m.in == truth.True; {
		case m.in == truth.True:
		case e.Op == condition.Sum:
			n = measure.Between(min(0, n.Lo), max(0, n.Hi))
		case e.Op == condition.Min:
			n.Hi = math.Inf(1)
		case e.Op == condition.Max:
			n.Lo = math.Inf(-1)
		default:
			perhapsLo, perhapsHi = append(perhapsLo, n.Lo), append(perhapsHi, n.Hi)
			continue
		}
		lo, hi = append(lo, n.Lo), append(hi, n.Hi)
	}
	switch {
	case !known || !sure:
		return anything
	case len(perhapsLo) > 10:
		return measure.Between(slices.Min(append(lo, perhapsLo...)), slices.Max(append(hi, perhapsHi...)))
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
	return out
}

func reduce(op condition.Op, xs []float64) float64 {
	slices.Sort(xs)
	n, sum := len(xs), 0.0
	for _, x := range xs {
		sum += x
	}
	switch op {
	case condition.Sum:
		return sum
	case condition.Min:
		return xs[0]
	case condition.Max:
		return xs[n-1]
	case condition.Median:
		return (xs[(n-1)/2] + xs[n/2]) / 2
	}
	return sum / float64(n)
}

// Compare decides left op right outside the guard band of k times the
// uncertainty of the difference, both sides moved together; of the outcome the
// reason is told where it is the uncertainty alone.
func (c Place) Compare(e *condition.Expr) record.Seen {
	l, r := e.Args[0], e.Args[1]
	x, known := c.Number(l)
	y, alike := c.Number(r)
	out := record.Seen{Expr: e, Args: []record.Seen{{Value: ofNumber(x, known)}, {Value: ofNumber(y, alike)}}}
	difference := func(c Place) (measure.Number, bool) {
		x, ok := c.span(l)
		y, alike := c.span(r)
		return x.Sub(y), ok && alike
	}
	d, largest, ok := c.spread(difference)
	if !ok {
		return out
	}
	x.Terms, y.Terms = nil, d.Terms // the uncertainty of the difference stands for both
	k := measure.CompareScaled(measure.Op(e.Op-condition.Lt), x, y, c.Facts.K, largest)
	out.State, out.U, out.NeededU = k.Truth, k.U, k.UThatWouldDecide
	if k.Reason == measure.Uncertainty {
		out.Reason = record.WithinU
	}
	if k.Truth.Known() && d.Terms == nil {
		c.Visit(e, func(f Fact) {
			v := c.Value(f)
			out.NoU = out.NoU || f.Prop.Type == vocab.Number && f.Prop.Role != vocab.Declared && v.Looked == vocab.Told
		})
	}
	return out
}
