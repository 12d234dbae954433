package engine

import (
	"math"

	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// over tells whether a difference is above zero and not equal to it.
func over(d, tol float64) bool { return d > 0 && d >= tol }

// compareExact is what measure.CompareScaled says of two numbers without
// range and uncertainty.
func compareExact(op condition.Op, x, y, scale float64) truth.Truth {
	tol := measure.RelativeEqual * max(math.Abs(x), math.Abs(y), scale)
	switch op {
	case condition.Gt:
		return truth.Of(over(x-y, tol))
	case condition.Le:
		return truth.Of(!over(x-y, tol))
	case condition.Lt:
		return truth.Of(over(y-x, tol))
	}
	return truth.Of(!over(y-x, tol))
}

// own takes name.property apart.
func (c lowering) own(e *condition.Expr) (id pid, name int, ok bool) {
	if e.Op != condition.Prop || e.Args[0].Op != condition.Name {
		return 0, 0, false
	}
	return c.p.id(e.Prop), int(e.Args[0].Var), true
}

// compareDifference compiles name.property − name.property against a number,
// which is what clearances are.
func (c lowering) compareDifference(e *condition.Expr) boolFn {
	diff, limit, op := e.Args[0], e.Args[1], e.Op
	if diff.Op != condition.Sub || limit.Op != condition.Const {
		return nil
	}
	a, v, ok := c.own(diff.Args[0])
	b, w, too := c.own(diff.Args[1])
	if !ok || !too {
		return nil
	}
	bound, depth := limit.Num, c.depth
	return func(f *frame) truth.Truth {
		s := f.s
		x, y := s.num[s.numAt[a]+f.ord[v]], s.num[s.numAt[b]+f.ord[w]]
		d := x - y
		if d-bound != d-bound {
			if f.s.nothing(a, f.ord[v]) || f.s.nothing(b, f.ord[w]) {
				return truth.Unknown
			}
			return f.env(depth).compare(e).Truth
		}
		return compareExact(op, d, bound, max(math.Abs(x), math.Abs(y)))
	}
}

func (c lowering) compare(e *condition.Expr) boolFn {
	if fn := c.compareDifference(e); fn != nil {
		return fn
	}
	idA, nameA, ownA := c.own(e.Args[0])
	idB, nameB, ownB := c.own(e.Args[1])
	a, b, op, depth := c.num(e.Args[0]), c.num(e.Args[1]), e.Op, c.depth
	return func(f *frame) truth.Truth {
		outer := f.scale
		f.scale = 0
		x := a(f)
		y := math.NaN()
		if x == x {
			y = b(f)
		}
		scale := f.scale
		f.scale = outer
		if d := x - y; d != d {
			if ownA && f.s.nothing(idA, f.ord[nameA]) || ownB && f.s.nothing(idB, f.ord[nameB]) {
				return truth.Unknown
			}
			return f.env(depth).compare(e).Truth
		}
		return compareExact(op, x, y, scale)
	}
}

// nothing tells whether nothing is known of a number.
func (s *Session) nothing(id pid, ord int32) bool {
	at := s.numAt[id] + ord
	if x := s.num[at]; x == x {
		return false
	}
	if len(s.odd) == 0 {
		return true
	}
	_, ok := s.odd[at]
	return !ok
}

// num compiles a number; every number that enters is noted in f.scale.
func (c lowering) num(e *condition.Expr) numFn {
	switch e.Op {
	case condition.Const:
		x := e.Num
		return func(f *frame) float64 { return f.note(x) }
	case condition.Prop:
		id := c.p.id(e.Prop)
		if e.Args[0].Op == condition.Name {
			v := e.Args[0].Var
			return func(f *frame) float64 { return f.note(f.s.num[f.s.numAt[id]+f.ord[v]]) }
		}
		ord := c.ord(e.Args[0])
		return func(f *frame) float64 {
			o := ord(f)
			if o < 0 {
				return math.NaN()
			}
			return f.note(f.s.num[f.s.numAt[id]+o])
		}
	case condition.Neg:
		a := c.num(e.Args[0])
		return func(f *frame) float64 { return -a(f) }
	case condition.Abs:
		a := c.num(e.Args[0])
		return func(f *frame) float64 { return math.Abs(a(f)) }
	case condition.Add:
		a, b := c.num(e.Args[0]), c.num(e.Args[1])
		return func(f *frame) float64 { return f.note(a(f) + b(f)) }
	case condition.Sub:
		a, b := c.num(e.Args[0]), c.num(e.Args[1])
		return func(f *frame) float64 { return f.note(a(f) - b(f)) }
	case condition.Mul:
		a, b := c.num(e.Args[0]), c.num(e.Args[1])
		return func(f *frame) float64 { return f.note(a(f) * b(f)) }
	case condition.Div:
		a, b := c.num(e.Args[0]), c.num(e.Args[1])
		return func(f *frame) float64 {
			x, y := a(f), b(f)
			if y == 0 {
				return math.NaN()
			}
			return f.note(x / y)
		}
	case condition.Apart:
		a, b, period := c.num(e.Args[0]), c.num(e.Args[1]), e.Num
		return func(f *frame) float64 { return f.note(gauge.Separation(a(f), b(f), period)) }
	case condition.Count:
		return c.count(e)
	case condition.Sum, condition.Min, condition.Max:
		return c.reduced(e)
	}
	return func(*frame) float64 { return math.NaN() }
}

func (f *frame) note(x float64) float64 {
	if a := math.Abs(x); a > f.scale {
		f.scale = a
	}
	return x
}

func (c lowering) count(e *condition.Expr) numFn {
	list, keeps := c.list(e.Args[0])
	inner := c
	inner.depth++
	pred := always(truth.True)
	if len(e.Args) > 1 {
		pred = inner.bool(e.Args[1])
	}
	depth := c.depth
	return func(f *frame) float64 {
		items, skip, ok := list(f)
		if !ok {
			return math.NaN()
		}
		n := 0.0
		for _, x := range items {
			if x == skip {
				continue
			}
			in := kept(f, keeps, depth, x)
			if in == truth.False {
				continue
			}
			f.elem[depth] = x
			switch truth.And(in, pred(f)) {
			case truth.True:
				n++
			case truth.Unknown:
				return math.NaN()
			}
		}
		return f.note(n)
	}
}

func (c lowering) reduced(e *condition.Expr) numFn {
	if len(e.Args) < 2 || e.Args[0].Type.K != condition.KList {
		return func(*frame) float64 { return math.NaN() }
	}
	list, keeps := c.list(e.Args[0])
	inner := c
	inner.depth++
	value, depth, op := inner.num(e.Args[1]), c.depth, e.Op
	return func(f *frame) float64 {
		items, skip, ok := list(f)
		if !ok {
			return math.NaN()
		}
		acc, n := 0.0, 0
		base := len(f.s.sums)
		defer func() { f.s.sums = f.s.sums[:base] }()
		for _, x := range items {
			if x == skip {
				continue
			}
			in := kept(f, keeps, depth, x)
			if in == truth.False {
				continue
			}
			if in == truth.Unknown {
				return math.NaN()
			}
			f.elem[depth] = x
			y := value(f)
			switch {
			case y != y:
				return y
			case n == 0 && op != condition.Sum:
				acc = y
			case op == condition.Sum:
				f.s.sums = append(f.s.sums, y)
			case op == condition.Min:
				acc = min(acc, y)
			default:
				acc = max(acc, y)
			}
			n++
		}
		if op == condition.Sum {
			acc = sumOf(f.s.sums[base:])
		} else if n == 0 {
			return math.NaN()
		}
		return f.note(acc)
	}
}
