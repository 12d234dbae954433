package anew

import (
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Parts that are not there: a reference that leads to none is equal to nothing
// and in no list; of one that nobody knows nothing is known.
const (
	noPart      int32 = -1
	UnknownPart int32 = -2
)

// Place is where a condition is read: the parts of its names, and the elements
// of the lists around it, innermost last.
type Place struct {
	*World
	Bound []int32
	elems []int32
	moved move // of numbers
}

// At is the place where the names of a statement are the parts bound.
func (w *World) At(bound []int32) Place { return Place{World: w, Bound: bound} }

// still is the place with all numbers where they are: conditions inside a number
// are judged so. Outside the guard band no single move turns such a judgement.
func (c Place) still() Place {
	c.moved = move{}
	return c
}

func (c Place) in(part int32) Place {
	c.elems = append(c.elems[:len(c.elems):len(c.elems)], part)
	return c
}

// Truth reads a yes/no expression by Kleene's strong tables.
func (c Place) Truth(e *condition.Expr) truth.Truth {
	switch e.Op {
	case condition.Prop:
		if f, ok := c.Fact(e); ok {
			return c.truthOf(f)
		}
	case condition.Within:
		return within(c.Mask(e.Args[0]), e.Mask)
	case condition.Same:
		return c.same(e.Args[0], e.Args[1])
	case condition.InList:
		part := c.Part(e.Args[0])
		list, known := c.List(e.Args[1])
		switch {
		case part == noPart:
			return truth.False
		case part == UnknownPart || !known:
			return truth.Unknown
		}
		for _, m := range list {
			if m.Part == part {
				return m.in
			}
		}
		return truth.False
	case condition.And, condition.Or:
		out := c.Truth(e.Args[0])
		for _, a := range e.Args[1:] {
			if e.Op == condition.And {
				out = truth.And(out, c.Truth(a))
			} else {
				out = truth.Or(out, c.Truth(a))
			}
		}
		return out
	case condition.Not:
		return truth.Not(c.Truth(e.Args[0]))
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return c.Compare(e).State
	case condition.Any, condition.All, condition.None:
		list, known := c.List(e.Args[0])
		if !known {
			return truth.Unknown
		}
		// All is none that does not; none is not any. Over no member all are
		// unknown, so one member at least must surely be there.
		some, sure := truth.False, false
		for _, m := range list {
			holds := truth.True
			if len(e.Args) > 1 {
				holds = c.in(m.Part).Truth(e.Args[1])
			}
			if e.Op == condition.All {
				holds = truth.Not(holds)
			}
			some = truth.Or(some, truth.And(m.in, holds))
			sure = sure || m.in == truth.True
		}
		if some == truth.False && !sure {
			some = truth.Unknown
		}
		if e.Op == condition.Any {
			return some
		}
		return truth.Not(some)
	}
	return truth.Unknown
}

// within tells whether what is possible lies in a set of choices.
func within(possible, set uint64) truth.Truth {
	switch {
	case possible == 0:
		return truth.Unknown
	case possible&^set == 0:
		return truth.True
	case possible&set == 0:
		return truth.False
	}
	return truth.Unknown
}

// Mask is the choices still possible; 0 if nothing is known.
func (c Place) Mask(e *condition.Expr) uint64 {
	switch {
	case e.Op == condition.Picks:
		return e.Mask
	case e.Type.K == condition.KBool:
		return map[truth.Truth]uint64{truth.True: vocab.Yes, truth.False: vocab.No}[c.Truth(e)]
	case e.Op == condition.Prop:
		if f, ok := c.Fact(e); ok {
			return c.maskOf(f)
		}
	case e.Op == condition.Call:
		return c.maskOfCall(e)
	}
	return 0
}

func (c Place) same(a, b *condition.Expr) truth.Truth {
	switch a.Type.K {
	case condition.KPart:
		p, q := c.Part(a), c.Part(b)
		switch {
		case p == UnknownPart || q == UnknownPart:
			return truth.Unknown
		case p == noPart || q == noPart:
			return truth.False
		}
		return truth.Of(p == q)
	case condition.KNum: // whole numbers
		x, known := c.Number(a)
		y, alike := c.Number(b)
		switch {
		case !known || !alike:
			return truth.Unknown
		case x.Hi < y.Lo || y.Hi < x.Lo:
			return truth.False
		case x.Lo == x.Hi && y.Lo == y.Hi:
			return truth.True
		}
		return truth.Unknown
	}
	p, q := c.Mask(a), c.Mask(b)
	switch {
	case p == 0 || q == 0:
		return truth.Unknown
	case p&q == 0:
		return truth.False
	case p == q && p&(p-1) == 0:
		return truth.True
	}
	return truth.Unknown
}

// Fact is the fact that a property node reads; false if there is no such part.
func (c Place) Fact(e *condition.Expr) (Fact, bool) {
	part := c.Part(e.Args[0])
	if part < 0 || c.Facts.Parts[part].Kind != e.Prop.Kind {
		return Fact{}, false
	}
	return Fact{Part: part, Prop: e.Prop}, true
}

// Part is the part that an expression leads to: [UnknownPart] if nobody knows,
// another below 0 if there is none.
func (c Place) Part(e *condition.Expr) int32 {
	switch e.Op {
	case condition.Name:
		return c.Bound[e.Var]
	case condition.Elem:
		if i := len(c.elems) - 1 - e.Depth; i >= 0 {
			return c.elems[i]
		}
	case condition.Prop:
		if of := c.Part(e.Args[0]); of < 0 {
			return of
		}
		if f, ok := c.Fact(e); ok {
			return c.RefOf(f)
		}
	}
	return UnknownPart
}

// Member is an element of a list, and whether it surely is one.
type Member struct {
	Part int32
	in   truth.Truth
}

// List gives the members of a list, those surely left out not among them;
// false if nothing is known of it.
func (c Place) List(e *condition.Expr) (out []Member, known bool) {
	switch e.Op {
	case condition.Prop:
		f, ok := c.Fact(e)
		if !ok {
			return nil, false
		}
		parts, known := c.ListOf(f)
		for _, p := range parts {
			out = append(out, Member{p, truth.True})
		}
		return out, known
	case condition.Others:
		of := c.Part(e.Args[0])
		if of < 0 {
			return nil, false
		}
		for _, p := range c.Facts.OfKind[c.Facts.Parts[of].Kind.Index] {
			if p != of {
				out = append(out, Member{p, truth.True})
			}
		}
		return out, true
	case condition.Keep:
		all, known := c.List(e.Args[0])
		for _, m := range all {
			if m.in = truth.And(m.in, c.still().in(m.Part).Truth(e.Args[1])); m.in != truth.False {
				out = append(out, m)
			}
		}
		return out, known
	}
	return nil, false
}

// drawnFrom is all parts that a list can draw from, filters left aside.
func (c Place) drawnFrom(e *condition.Expr) (out []int32) {
	for e.Op == condition.Keep {
		e = e.Args[0]
	}
	list, _ := c.List(e)
	for _, m := range list {
		out = append(out, m.Part)
	}
	return out
}

// overList tells whether the second argument of a node is asked of each
// element of the first.
func overList(e *condition.Expr) bool {
	switch e.Op {
	case condition.Any, condition.All, condition.None, condition.Count, condition.Keep,
		condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median, condition.Map:
		return true
	}
	return false
}

// Visit visits every fact that an expression can read, what is asked of every
// element its lists can draw from included; references that the machine fixes
// are no facts.
func (c Place) Visit(e *condition.Expr, visit func(Fact)) {
	switch {
	case e.Op == condition.Prop:
		c.Visit(e.Args[0], visit)
		if f, ok := c.Fact(e); ok && !fixed(f.Prop) {
			visit(f)
		}
	case overList(e) && len(e.Args) > 1:
		c.Visit(e.Args[0], visit)
		for _, p := range c.drawnFrom(e.Args[0]) {
			c.in(p).Visit(e.Args[1], visit)
		}
	default:
		for _, a := range e.Args {
			c.Visit(a, visit)
		}
	}
}

// fixed tells whether a property is a reference that the machine fixes.
func fixed(p *vocab.Property) bool { return IsRef(p) && p.Role == vocab.Declared }

// IsRef tells whether a property leads to parts.
func IsRef(p *vocab.Property) bool { return p.Type == vocab.Part || p.Type == vocab.Parts }
