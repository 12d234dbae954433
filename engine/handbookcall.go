package engine

import (
	"math"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// call is a handbook function: of ranges where it is monotone.
func (v *env) call(e *condition.Expr) (measure.Number, bool) {
	lo, hi := make([]handbook.Arg, len(e.Args)), make([]handbook.Arg, len(e.Args))
	for i, a := range e.Args {
		p := &e.Fn.Params[i]
		if p.Unit == "text" {
			return v.callByWord(e, i)
		}
		n, ok := v.span(a, false)
		if !ok || isLine(n) {
			return line, ok
		}
		if n.Lo != n.Hi {
			if e.Result != 0 || p.Monotone == 0 || p.List {
				return line, true
			}
			if p.Monotone < 0 {
				n.Lo, n.Hi = n.Hi, n.Lo
			}
		}
		lo[i], hi[i] = argument(p, n.Lo), argument(p, n.Hi)
	}
	x, ok := answer(e, lo)
	y, okay := answer(e, hi)
	if !ok || !okay || y < x {
		return line, false
	}
	return measure.Between(x, y), true
}

// callByWord calls a function of a choice for every choice still possible.
func (v *env) callByWord(e *condition.Expr, at int) (measure.Number, bool) {
	a := e.Args[at]
	args := make([]handbook.Arg, len(e.Args))
	for i, b := range e.Args {
		if i == at {
			continue
		}
		p := &e.Fn.Params[i]
		if p.Unit == "text" {
			if b.Op != condition.Const {
				return line, true // two choices at once are not gone through
			}
			args[i] = handbook.Arg{Text: b.Text}
			continue
		}
		n, ok := v.span(b, false)
		if !ok || n.Lo != n.Hi {
			return line, ok
		}
		args[i] = argument(p, n.Lo)
	}
	if a.Op == condition.Const {
		args[at] = handbook.Arg{Text: a.Text}
		x, ok := answer(e, args)
		return measure.Exact(x), ok
	}
	mask := v.mask(a)
	if mask == 0 || a.Type.Prop == nil {
		return line, true
	}
	out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
	for i, c := range a.Type.Prop.Choices {
		if mask>>i&1 == 0 {
			continue
		}
		args[at] = handbook.Arg{Text: c}
		x, ok := answer(e, args)
		if !ok {
			return line, false
		}
		out.Lo, out.Hi = min(out.Lo, x), max(out.Hi, x)
	}
	return out, true
}

func argument(p *handbook.Param, base float64) handbook.Arg {
	x := base
	if u := unitOf(p); u != nil {
		x = u.FromBase(base)
	}
	if p.List {
		return handbook.Arg{List: []float64{x}}
	}
	return handbook.Arg{Num: x}
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

func (v *env) pointOfCall(e *condition.Expr) (float64, bool) {
	args := make([]handbook.Arg, len(e.Args))
	for i, a := range e.Args {
		p := &e.Fn.Params[i]
		if p.Unit == "text" {
			if a.Op == condition.Const {
				args[i] = handbook.Arg{Text: a.Text}
				continue
			}
			mask := v.mask(a)
			one := vocab.Value{Looked: vocab.Told, Mask: mask}
			if a.Type.Prop == nil || one.One() < 0 {
				return math.NaN(), true
			}
			args[i] = handbook.Arg{Text: a.Type.Prop.Choices[one.One()]}
			continue
		}
		x, ok := v.point(a)
		if !ok || math.IsNaN(x) {
			return x, ok
		}
		args[i] = argument(p, x)
	}
	return answer(e, args)
}
