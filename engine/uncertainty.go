package engine

import (
	"math"
	"slices"

	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// terms are the contributions of all sources of uncertainty that enter the
// nodes to f, found by moving each up and down through the whole of f at both
// ends of what is partly known; the larger change counts. False where a move
// leaves a domain. Nil if no uncertainty is given at all.
//
// Formula: U_s = max(|f(x+u) − f(x)|, |f(x−u) − f(x)|), JCGM 100:2008, 5.1.3
// note 2, with the sign of the upward move.
func (v *env) terms(nodes []*condition.Expr, f func(*env) (float64, bool)) ([]measure.Term, bool) {
	var sources []int32
	given := false
	for _, e := range nodes {
		v.sources(e, &sources, &given)
	}
	if !given {
		return nil, true
	}
	slices.Sort(sources)
	out := []measure.Term{}
	moved := &shifted{reader: v.r}
	w := &env{r: moved, bound: v.bound, elems: v.elems}
	for _, s := range slices.Compact(sources) {
		worst := 0.0
		for _, high := range [2]bool{false, true} {
			*moved = shifted{reader: v.r, high: high}
			base, ok := f(w)
			if !ok {
				return nil, false
			}
			if math.IsInf(base, 0) || math.IsNaN(base) {
				continue
			}
			moved.source, moved.way = s, 1
			up, ok := f(w)
			moved.way = -1
			down, okay := f(w)
			if !ok || !okay || math.IsNaN(up) || math.IsNaN(down) {
				return nil, false
			}
			up, down = up-base, down-base
			u := max(math.Abs(up), math.Abs(down))
			if up < 0 || up == 0 && down > 0 {
				u = -u
			}
			if math.Abs(u) > math.Abs(worst) {
				worst = u
			}
		}
		if worst != 0 {
			out = append(out, measure.Term{Source: s, U: worst})
		}
	}
	return out, true
}

// shifted is the facts with every partly known number at one end, and one
// source of uncertainty moved.
type shifted struct {
	reader
	high   bool
	source int32
	way    float64
}

func (s *shifted) pointOf(part int32, p *vocab.Property) float64 {
	n, ok := s.numberOf(part, p)
	if !ok {
		return math.NaN()
	}
	x := n.Lo
	if s.high {
		x = n.Hi
	}
	if s.way != 0 {
		for _, t := range n.Terms {
			if t.Source == s.source {
				x += s.way * t.U
			}
		}
	}
	return x
}

// sources collects the sources of uncertainty of the numbers a node reads.
func (v *env) sources(e *condition.Expr, out *[]int32, given *bool) {
	switch e.Op {
	case condition.Prop:
		part := v.part(e.Args[0])
		if !ofKind(v.r.layout(), part, e.Prop.Kind) {
			return
		}
		if n, ok := v.r.numberOf(part, e.Prop); ok && n.Terms != nil {
			*given = true
			for _, t := range n.Terms {
				*out = append(*out, t.Source)
			}
		}
	case condition.Neg, condition.Abs, condition.Add, condition.Sub, condition.Mul, condition.Div, condition.Apart, condition.Call:
		for _, a := range e.Args {
			if a.Type.K == condition.KNum || a.Type.K == condition.KNumbers {
				v.sources(a, out, given)
			}
		}
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median, condition.Map:
		v.elements(e, func(_ member, value *condition.Expr) bool {
			v.sources(value, out, given)
			return true
		})
	}
}

// point is one value of a number node over shifted facts. Values that are not
// known are left out, as their range makes the node's range unbounded anyway:
// NaN stands for them. Which members a list has is judged on the facts as they are:
// outside the guard band no single move turns such a judgement.
func (v *env) point(e *condition.Expr) (float64, bool) {
	s := v.r.(*shifted)
	switch e.Op {
	case condition.Const:
		return e.Num, true
	case condition.Prop:
		part := v.part(e.Args[0])
		if !ofKind(v.r.layout(), part, e.Prop.Kind) {
			return math.NaN(), true
		}
		return s.pointOf(part, e.Prop), true
	case condition.Neg, condition.Abs:
		x, ok := v.point(e.Args[0])
		if e.Op == condition.Abs {
			return math.Abs(x), ok
		}
		return -x, ok
	case condition.Add, condition.Sub, condition.Mul, condition.Div:
		x, ok := v.point(e.Args[0])
		y, okay := v.point(e.Args[1])
		if !ok || !okay {
			return 0, false
		}
		switch e.Op {
		case condition.Add:
			return x + y, true
		case condition.Sub:
			return x - y, true
		case condition.Mul:
			return x * y, true
		}
		// A divisor that a move carries to zero or past it leaves the domain.
		way := s.way
		s.way = 0
		still, _ := v.point(e.Args[1])
		s.way = way
		return x / y, !(y*still <= 0)
	case condition.Apart:
		x, ok := v.point(e.Args[0])
		y, okay := v.point(e.Args[1])
		return gauge.Separation(x, y, e.Num), ok && okay
	case condition.Count:
		n, ok := v.count(e)
		return n.Lo, ok
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		var xs []float64
		fits := true
		v.elements(e, func(m member, value *condition.Expr) bool {
			x, ok := v.point(value)
			fits = fits && ok
			if !math.IsNaN(x) && (m.in == truth.True || s.high) {
				xs = append(xs, x)
			}
			return ok
		})
		switch {
		case !fits:
			return 0, false
		case len(xs) == 0 && e.Op != condition.Sum:
			return math.NaN(), true
		}
		return reduce(e.Op, xs), true
	case condition.Call:
		return v.pointOfCall(e)
	}
	return math.NaN(), true
}
