package engine

import (
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// maxNames is the most names an each may bind.
const maxNames = 4

// frame is what compiled conditions run on: the session, and what the names
// and elements stand for. Bound holds part numbers, ord their positions within
// their kind.
type frame struct {
	s     *Session
	bound [maxNames]int32
	ord   [maxNames]int32
	elem  []int32
	scale float64 // largest number that entered the comparison so far
	// blind walks over bindings by their ties alone, asking no condition.
	blind bool
}

func (f *frame) bind(name int, part int32) {
	f.bound[name], f.ord[name] = part, f.s.ords[part]
}

// bindOf is bind for a part whose kind is known: where the parts of a kind follow
// each other, its position needs no looking up.
func (f *frame) bindOf(name int, part int32, kind int) {
	o := part - f.s.runs[kind]
	if f.s.runs[kind] < 0 {
		o = f.s.ords[part]
	}
	f.bound[name], f.ord[name] = part, o
}

// env is the frame as the plain evaluator wants it, inside depth predicates.
func (f *frame) env(depth int) *env {
	v := &f.s.plain
	v.r = f.s
	v.bound = f.bound[:]
	v.elems = append(v.elems[:0], f.elem[:depth]...)
	return v
}

// Compiled conditions. They do not allocate while numbers are exact; where one
// is not, they fall back on the plain evaluator, which gives the same truth.
type (
	boolFn func(*frame) truth.Truth
	partFn func(*frame) int32
	ordFn  func(*frame) int32   // position within its kind, below 0 for no part
	maskFn func(*frame) uint64  // what is possible, 0 = nothing told
	numFn  func(*frame) float64 // NaN unless known exactly
	// listFn gives the elements, one that is to be skipped (or −1), and whether
	// the list is known.
	listFn func(*frame) ([]int32, int32, bool)
)

// lowering compiles trees; depth is how many predicates are around the node.
type lowering struct {
	p     *Program
	depth int
}

func always(t truth.Truth) boolFn { return func(*frame) truth.Truth { return t } }

func (c lowering) bool(e *condition.Expr) boolFn {
	switch e.Op {
	case condition.Prop:
		return c.yesNo(e)
	case condition.Within:
		set, m := e.Mask, c.mask(e.Args[0])
		return func(f *frame) truth.Truth { return within(m(f), set) }
	case condition.Same:
		return c.same(e)
	case condition.InList:
		return c.inList(e)
	case condition.And, condition.Or:
		return c.junction(e)
	case condition.Not:
		a := c.bool(e.Args[0])
		return func(f *frame) truth.Truth { return truth.Not(a(f)) }
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return c.compare(e)
	case condition.Any, condition.All, condition.None:
		return c.quantified(e)
	}
	return always(truth.Unknown)
}

func (c lowering) yesNo(e *condition.Expr) boolFn {
	id := c.p.id(e.Prop)
	if e.Prop.Role.Concluded() {
		if e.Args[0].Op == condition.Name {
			v := e.Args[0].Var
			return func(f *frame) truth.Truth { return f.s.state[f.s.first[id]+f.ord[v]] }
		}
		ord := c.ord(e.Args[0])
		return func(f *frame) truth.Truth {
			o := ord(f)
			if o < 0 {
				return truth.Unknown
			}
			return f.s.state[f.s.first[id]+o]
		}
	}
	m := c.mask(e)
	return func(f *frame) truth.Truth { return within(m(f), vocab.Yes) }
}

// mask reads choices and observed yes/no.
func (c lowering) mask(e *condition.Expr) maskFn {
	switch {
	case e.Op == condition.Picks:
		set := e.Mask
		return func(*frame) uint64 { return set }
	case e.Op == condition.Prop && !e.Prop.Role.Concluded():
		id := c.p.id(e.Prop)
		if e.Args[0].Op == condition.Name {
			v := e.Args[0].Var
			return func(f *frame) uint64 { return f.s.mask[f.s.maskAt[id]+f.ord[v]] }
		}
		ord := c.ord(e.Args[0])
		return func(f *frame) uint64 {
			o := ord(f)
			if o < 0 {
				return 0
			}
			return f.s.mask[f.s.maskAt[id]+o]
		}
	case e.Type.K == condition.KBool:
		b := c.bool(e)
		return func(f *frame) uint64 { return maskOf(b(f)) }
	case e.Op == condition.Call:
		depth := c.depth
		return func(f *frame) uint64 { return f.env(depth).mask(e) }
	}
	return func(*frame) uint64 { return 0 }
}

func (c lowering) part(e *condition.Expr) partFn {
	switch e.Op {
	case condition.Name:
		v := e.Var
		return func(f *frame) int32 { return f.bound[v] }
	case condition.Elem:
		if i := c.depth - 1 - e.Depth; i >= 0 {
			return func(f *frame) int32 { return f.elem[i] }
		}
	case condition.Prop:
		id, of, kind := c.p.id(e.Prop), c.part(e.Args[0]), e.Args[0].Type.Kind
		return func(f *frame) int32 {
			p := of(f)
			if p < 0 {
				return p
			}
			if kind == nil && f.s.l.Parts[p].Kind != e.Prop.Kind {
				return unknownPart
			}
			return f.s.refs[id][f.s.ords[p]]
		}
	}
	return func(*frame) int32 { return unknownPart }
}

func (c lowering) ord(e *condition.Expr) ordFn {
	if e.Op == condition.Name {
		v := e.Var
		return func(f *frame) int32 { return f.ord[v] }
	}
	part := c.part(e)
	return func(f *frame) int32 {
		p := part(f)
		if p < 0 {
			return p
		}
		return f.s.ords[p]
	}
}

func (c lowering) same(e *condition.Expr) boolFn {
	switch e.Args[0].Type.K {
	case condition.KPart:
		a, b := c.part(e.Args[0]), c.part(e.Args[1])
		return func(f *frame) truth.Truth { return sameParts(a(f), b(f)) }
	case condition.KNum:
		a, b, depth := c.num(e.Args[0]), c.num(e.Args[1]), c.depth
		return func(f *frame) truth.Truth {
			x, y := a(f), b(f)
			if x == y {
				return truth.True
			}
			if x != x || y != y {
				return f.env(depth).same(e)
			}
			return truth.False
		}
	}
	a, b := c.mask(e.Args[0]), c.mask(e.Args[1])
	return func(f *frame) truth.Truth { return sameMasks(a(f), b(f)) }
}

func (c lowering) inList(e *condition.Expr) boolFn {
	part := c.part(e.Args[0])
	list, keeps := c.list(e.Args[1])
	depth := c.depth
	return func(f *frame) truth.Truth {
		p := part(f)
		if p == noPart {
			return truth.False
		}
		items, skip, ok := list(f)
		if !ok || p == unknownPart {
			return truth.Unknown
		}
		for _, x := range items {
			if x == p && x != skip {
				return kept(f, keeps, depth, x)
			}
		}
		return truth.False
	}
}

func (c lowering) junction(e *condition.Expr) boolFn {
	args := make([]boolFn, len(e.Args))
	for i, a := range e.Args {
		args[i] = c.bool(a)
	}
	decides, out := truth.False, truth.True
	if e.Op == condition.Or {
		decides, out = truth.True, truth.False
	}
	if len(args) == 2 {
		a, b := args[0], args[1]
		return func(f *frame) truth.Truth {
			x := a(f)
			if x == decides {
				return x
			}
			y := b(f)
			if y == decides || x == out {
				return y
			}
			return truth.Unknown
		}
	}
	return func(f *frame) truth.Truth {
		acc := out
		for _, a := range args {
			switch t := a(f); t {
			case decides:
				return t
			case truth.Unknown:
				acc = truth.Unknown
			}
		}
		return acc
	}
}

// list compiles a list to its elements and the filters they must pass.
func (c lowering) list(e *condition.Expr) (listFn, []boolFn) {
	switch e.Op {
	case condition.Prop:
		id := c.p.id(e.Prop)
		ord, kind := c.ord(e.Args[0]), e.Args[0].Type.Kind
		if kind == nil {
			break
		}
		return func(f *frame) ([]int32, int32, bool) {
			o := ord(f)
			if o < 0 {
				return nil, noPart, false
			}
			items, ok := f.s.lists[id].of(o)
			return items, noPart, ok
		}, nil
	case condition.Others:
		part := c.part(e.Args[0])
		return func(f *frame) ([]int32, int32, bool) {
			p := part(f)
			if p < 0 {
				return nil, noPart, false
			}
			return f.s.l.OfKind[f.s.l.Parts[p].Kind.Index], p, true
		}, nil
	case condition.Keep:
		list, keeps := c.list(e.Args[0])
		inner := c
		inner.depth++
		return list, append(keeps, inner.bool(e.Args[1]))
	}
	return func(*frame) ([]int32, int32, bool) { return nil, noPart, false }, nil
}

// kept tells whether an element passes all filters.
func kept(f *frame, keeps []boolFn, depth int, x int32) truth.Truth {
	if len(keeps) == 0 {
		return truth.True
	}
	f.elem[depth] = x
	in := truth.True
	for _, k := range keeps {
		if in = truth.And(in, k(f)); in == truth.False {
			break
		}
	}
	return in
}

func (c lowering) quantified(e *condition.Expr) boolFn {
	list, keeps := c.list(e.Args[0])
	inner := c
	inner.depth++
	pred := always(truth.True)
	if len(e.Args) > 1 {
		pred = inner.bool(e.Args[1])
	}
	depth, op := c.depth, e.Op
	if op == condition.Any && len(keeps) == 0 {
		return c.any(list, pred)
	}
	return func(f *frame) truth.Truth {
		items, skip, ok := list(f)
		if !ok {
			return truth.Unknown
		}
		q := quantifier{op: op}
		for _, x := range items {
			if x == skip {
				continue
			}
			if in := kept(f, keeps, depth, x); in != truth.False {
				f.elem[depth] = x
				q.add(in, pred(f))
			}
		}
		return q.result()
	}
}

// any is any over an unfiltered list: one true element is enough.
func (c lowering) any(list listFn, pred boolFn) boolFn {
	depth := c.depth
	return func(f *frame) truth.Truth {
		items, skip, ok := list(f)
		out, none := truth.False, true
		for _, x := range items {
			if x == skip {
				continue
			}
			none = false
			f.elem[depth] = x
			switch pred(f) {
			case truth.True:
				return truth.True
			case truth.Unknown:
				out = truth.Unknown
			}
		}
		if none || !ok {
			return truth.Unknown
		}
		return out
	}
}
