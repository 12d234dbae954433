package engine

import (
	"math"
	"slices"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// terms are the contributions of all sources of uncertainty that enter the
// nodes to the range f, found by moving each up and down through the whole of f;
// the larger change of either end counts. False where a move leaves a domain.
// Nil if no uncertainty is given at all.
//
// Formula: U_s = max(|f(x+u) − f(x)|, |f(x−u) − f(x)|), JCGM 100:2008, 5.1.3
// note 2, with the sign of the upward move.
func (v *env) terms(nodes []*condition.Expr, f func(*env) (measure.Number, bool)) ([]measure.Term, bool) {
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
	moved := &shifted{reader: v.r, depth: len(v.elems)}
	w := &env{r: moved, bound: v.bound, elems: v.elems}
	base, ok := f(v)
	if !ok {
		return nil, false
	}
	for _, s := range slices.Compact(sources) {
		moved.source, moved.way = s, 1
		up, ok := f(w)
		moved.way = -1
		down, okay := f(w)
		if !ok || !okay {
			return nil, false
		}
		u := change(up.Lo-base.Lo, down.Lo-base.Lo)
		if high := change(up.Hi-base.Hi, down.Hi-base.Hi); math.Abs(high) > math.Abs(u) {
			u = high
		}
		if u != 0 {
			out = append(out, measure.Term{Source: s, U: u})
		}
	}
	return out, true
}

// change is the larger of two moves of an end, with the sign of the upward one;
// 0 for an end that is not bounded.
func change(up, down float64) float64 {
	if math.IsNaN(up) || math.IsInf(up, 0) || math.IsNaN(down) || math.IsInf(down, 0) {
		return 0
	}
	u := max(math.Abs(up), math.Abs(down))
	if up < 0 || up == 0 && down > 0 {
		return -u
	}
	return u
}

// shifted is the facts with one source of uncertainty moved.
type shifted struct {
	reader
	source int32
	way    float64
	// still is what arguments of calls come to with nothing moved, to be used
	// where the source moved is none of theirs: a call of ten arguments is asked
	// for each of some fifty sources. Only outside predicates, depth deep, where
	// an argument means one thing.
	still map[*condition.Expr]stillArgument
	depth int
}

// stillArgument is an argument with nothing moved.
type stillArgument struct {
	argument
	sources []int32 // that enter it, in order
}

// unmoved gives an argument that the source moved does not enter.
func (v *env) unmoved(a *condition.Expr, p *handbook.Param) (argument, bool) {
	s, ok := v.r.(*shifted)
	if !ok || len(v.elems) != s.depth {
		return argument{}, false
	}
	k, ok := s.still[a]
	if !ok {
		w := v.steady()
		k.argument = w.argument(a, p)
		given := false
		w.sources(a, &k.sources, &given)
		slices.Sort(k.sources)
		if s.still == nil {
			s.still = map[*condition.Expr]stillArgument{}
		}
		s.still[a] = k
	}
	_, enters := slices.BinarySearch(k.sources, s.source)
	return k.argument, !enters
}

func (s *shifted) numberOf(part int32, p *vocab.Property) (measure.Number, bool) {
	n, ok := s.reader.numberOf(part, p)
	for _, t := range n.Terms {
		if t.Source == s.source {
			n.Lo, n.Hi = n.Lo+s.way*t.U, n.Hi+s.way*t.U
		}
	}
	return n, ok
}

// steady is where inner conditions are judged: on the facts as they are. Outside
// the guard band no single move turns such a judgement.
func (v *env) steady() *env {
	if s, ok := v.r.(*shifted); ok {
		return &env{r: s.reader, bound: v.bound, elems: v.elems}
	}
	return v
}

// crosses tells whether a move carries a divisor to zero or past it, where the
// quotient is not defined.
func (v *env) crosses(divisor *condition.Expr, moved measure.Number) bool {
	if _, ok := v.r.(*shifted); !ok {
		return false
	}
	still, ok := v.steady().span(divisor, false)
	return !ok || (still.Lo > 0) != (moved.Lo > 0)
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
