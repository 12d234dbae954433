package meaning

import (
	"slices"

	"whyworn/engine/weigh"
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
	moved *move // of numbers; nil: all stand where they are
}

// At is the place where the names of a statement are the parts bound.
func (w *World) At(bound []int32) Place { return Place{World: w, Bound: bound} }

// still is the place with all numbers where they are: conditions inside a number
// are judged so. Outside the guard band no single move turns such a judgement.
func (c Place) still() Place {
	c.moved = nil
	return c
}

func (c Place) in(part int32) Place {
	c.elems = append(slices.Clone(c.elems), part)
	return c
}

// See reads any expression; the zero value if nothing is known of it.
func (c Place) See(e *condition.Expr) vocab.Value {
	switch {
	case e.Type.K == condition.KNum:
		return ofNumber(c.Number(e))
	case e.Op == condition.Name:
		return vocab.Value{Looked: vocab.Told, Ref: c.Bound[e.Var]}
	case e.Op == condition.Elem:
		return vocab.Value{Looked: vocab.Told, Ref: c.elems[len(c.elems)-1-e.Depth]}
	case e.Op == condition.Prop:
		if f, ok := c.Fact(e); ok {
			return c.Value(f)
		}
		if c.Part(e.Args[0]) == noPart && e.Type.K == condition.KPart {
			return vocab.Value{Looked: vocab.Told, Ref: noPart}
		}
	case e.Op == condition.Picks:
		return vocab.Value{Looked: vocab.Told, Mask: e.Mask}
	case e.Op == condition.Const:
		return vocab.Value{Looked: vocab.Told, Text: e.Text}
	case e.Op == condition.Call:
		if m := c.pick(e); m != 0 {
			return vocab.Value{Looked: vocab.Told, Mask: m}
		}
	case e.Type.K == condition.KBool:
		return vocab.Answer(c.Truth(e))
	case e.Type.K == condition.KList:
		list, known := c.List(e)
		if !known {
			return vocab.Value{}
		}
		out := vocab.Value{Looked: vocab.Told}
		for _, m := range list {
			out.Refs = append(out.Refs, m.Part)
		}
		return out
	}
	return vocab.Value{}
}

// Fact is the fact that a property node reads; false if there is no such part.
func (c Place) Fact(e *condition.Expr) (Fact, bool) {
	part := c.Part(e.Args[0])
	if part < 0 || c.Facts.Parts[part].Kind != e.Prop.Kind {
		return Fact{}, false
	}
	return Fact{Part: part, Prop: e.Prop}, true
}

// Part is the part that an expression leads to, [UnknownPart] if nobody knows.
func (c Place) Part(e *condition.Expr) int32 {
	if v := c.See(e); v.Looked == vocab.Told {
		return v.Ref
	}
	return UnknownPart
}

// Truth reads a yes/no expression by Kleene's strong tables: those of certainty
// are the least, the greatest and the reverse, as of all support (evidence.go).
func (c Place) Truth(e *condition.Expr) truth.Truth {
	switch c.support(e, certainty) {
	case weigh.Seen:
		return truth.True
	case weigh.Absent:
		return truth.False
	}
	return truth.Unknown
}

// plain reads what is not made of other conditions.
func (c Place) plain(e *condition.Expr) truth.Truth {
	switch e.Op {
	case condition.Prop:
		v := c.See(e)
		return v.Truth()
	case condition.Within:
		v := c.See(e.Args[0])
		return v.Within(e.Mask)
	case condition.Same:
		return c.same(e.Args[0], e.Args[1])
	case condition.InList:
		part := c.Part(e.Args[0])
		list, known := c.List(e.Args[1])
		switch i := slices.IndexFunc(list, func(m Member) bool { return m.Part == part }); {
		case part == noPart || i < 0 && known && part != UnknownPart:
			return truth.False
		case i >= 0 && known:
			return list[i].in
		}
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return c.Compare(e).State
	}
	return truth.Unknown
}

// same tells whether two parts, whole numbers or choices are the same.
func (c Place) same(a, b *condition.Expr) truth.Truth {
	x, y := c.See(a), c.See(b)
	if x.Looked != vocab.Told || y.Looked != vocab.Told {
		return truth.Unknown
	}
	alike, apart := false, false
	switch a.Type.K {
	case condition.KPart:
		alike = x.Ref == y.Ref && x.Ref != noPart
		apart = !alike
	case condition.KNum:
		apart = x.Number.Hi < y.Number.Lo || y.Number.Hi < x.Number.Lo
		alike = x.Number.IsValue() && y.Number.IsValue()
	default:
		apart = x.Mask&y.Mask == 0
		alike = x.Mask == y.Mask && whole(x, condition.KPick)
	}
	switch {
	case apart:
		return truth.False
	case alike:
		return truth.True
	}
	return truth.Unknown
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
		v := c.See(e)
		for _, p := range v.Refs {
			out = append(out, Member{p, truth.True})
		}
		return out, v.Looked == vocab.Told
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

// Visit visits every fact that an expression can read, what is asked of every
// element its lists can draw from included; references that the machine fixes
// are no facts.
func (c Place) Visit(e *condition.Expr, visit func(Fact)) {
	if e.Op == condition.Prop {
		if f, ok := c.Fact(e); ok && !fixed(f.Prop) {
			defer visit(f) // after what leads to it
		}
	}
	for i, a := range e.Args {
		if i == 1 && overList(e) {
			for _, p := range c.drawnFrom(e.Args[0]) {
				c.in(p).Visit(a, visit)
			}
		} else {
			c.Visit(a, visit)
		}
	}
}
