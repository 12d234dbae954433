package engine

import (
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Values of a part that is not there. No part is known to be equal to no other
// part and in no list; of an unknown part nothing is known.
const (
	noPart      int32 = -1
	unknownPart int32 = -2
)

// reader gives the facts that conditions read: those of a running session, or
// of a result. Parts are numbers in the layout, 0 or greater.
type reader interface {
	layout() *rules.Layout
	coverage() float64
	// uncertain is false if no number at all has an uncertainty.
	uncertain() bool
	// truthOf is a yes/no property, observed or concluded.
	truthOf(part int32, p *vocab.Property) truth.Truth
	// maskOf is the set of choices still possible, 0 if nothing is told.
	maskOf(part int32, p *vocab.Property) uint64
	// numberOf is false if nothing is known of the number.
	numberOf(part int32, p *vocab.Property) (measure.Number, bool)
	// refOf is the part referred to, noPart or unknownPart.
	refOf(part int32, p *vocab.Property) int32
	// listOf is false if the list is not known.
	listOf(part int32, p *vocab.Property) ([]int32, bool)
	// roundOf is the round of a concluded or computed fact, 0 for all others.
	roundOf(part int32, p *vocab.Property) int32
	// evidenceOf is the likelihood ratio a fact hands on and the probability
	// it has; known of yes/no facts.
	evidenceOf(part int32, p *vocab.Property) evidence
}

// env is where a condition is evaluated: what its names are bound to, and the
// elements of the aggregates around the node, innermost last. It is the plain
// evaluator: it walks the tree. The closures of closure.go agree with it.
type env struct {
	r     reader
	bound []int32
	elems []int32
}

func (v *env) push(part int32) { v.elems = append(v.elems, part) }
func (v *env) pop()            { v.elems = v.elems[:len(v.elems)-1] }

// truth evaluates a yes/no node.
func (v *env) truth(e *condition.Expr) truth.Truth {
	switch e.Op {
	case condition.Prop:
		part := v.part(e.Args[0])
		if !ofKind(v.r.layout(), part, e.Prop.Kind) {
			return truth.Unknown
		}
		return v.r.truthOf(part, e.Prop)
	case condition.Within:
		return within(v.mask(e.Args[0]), e.Mask)
	case condition.Same:
		return v.same(e)
	case condition.InList:
		part := v.part(e.Args[0])
		items, ok := v.members(e.Args[1])
		return inList(part, items, ok)
	case condition.And:
		out := truth.True
		for _, a := range e.Args {
			if out = truth.And(out, v.truth(a)); out == truth.False {
				break
			}
		}
		return out
	case condition.Or:
		out := truth.False
		for _, a := range e.Args {
			if out = truth.Or(out, v.truth(a)); out == truth.True {
				break
			}
		}
		return out
	case condition.Not:
		return truth.Not(v.truth(e.Args[0]))
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return v.compare(e).Truth
	case condition.Any, condition.All, condition.None:
		items, ok := v.members(e.Args[0])
		if !ok {
			return truth.Unknown
		}
		acc := quantifier{op: e.Op}
		for _, m := range items {
			q := truth.True
			if len(e.Args) > 1 {
				v.push(m.part)
				q = v.truth(e.Args[1])
				v.pop()
			}
			acc.add(m.in, q)
		}
		return acc.result()
	}
	return truth.Unknown
}

// quantifier gathers any, all and none over members, each surely or perhaps in
// the list. Over no member they are unknown, so some member must be sure.
type quantifier struct {
	op         condition.Op
	sure       bool
	seen, open bool // some element shows it, or may; for all: some element lacks it, or may
}

func (q *quantifier) add(in, holds truth.Truth) {
	if q.op == condition.All {
		holds = truth.Not(holds)
	}
	q.sure = q.sure || in == truth.True
	switch truth.And(in, holds) {
	case truth.True:
		q.seen = true
	case truth.Unknown:
		q.open = true
	}
}

func (q *quantifier) result() truth.Truth {
	some := truth.False
	switch {
	case q.seen:
		some = truth.True
	case !q.sure || q.open:
		return truth.Unknown
	}
	if q.op == condition.Any {
		return some
	}
	return truth.Not(some)
}

// within tells whether a choice out of mask lies in set.
func within(mask, set uint64) truth.Truth {
	switch {
	case mask == 0:
		return truth.Unknown
	case mask&^set == 0:
		return truth.True
	case mask&set == 0:
		return truth.False
	}
	return truth.Unknown
}

func maskOf(t truth.Truth) uint64 {
	switch t {
	case truth.True:
		return vocab.Yes
	case truth.False:
		return vocab.No
	}
	return 0
}

// mask evaluates a choice (or yes/no) node to what is possible.
func (v *env) mask(e *condition.Expr) uint64 {
	switch {
	case e.Op == condition.Picks:
		return e.Mask
	case e.Op == condition.Prop && e.Prop.Type == vocab.Choice:
		part := v.part(e.Args[0])
		if !ofKind(v.r.layout(), part, e.Prop.Kind) {
			return 0
		}
		return v.r.maskOf(part, e.Prop)
	case e.Type.K == condition.KBool:
		return maskOf(v.truth(e))
	case e.Op == condition.Call:
		return v.pick(e)
	}
	return 0
}

// same evaluates an equality of choices, whole numbers or parts.
func (v *env) same(e *condition.Expr) truth.Truth {
	a, b := e.Args[0], e.Args[1]
	switch a.Type.K {
	case condition.KPart:
		return sameParts(v.part(a), v.part(b))
	case condition.KNum:
		x, ok := v.number(a)
		if !ok {
			return truth.Unknown
		}
		y, ok := v.number(b)
		if !ok {
			return truth.Unknown
		}
		return sameNumbers(x, y)
	}
	return sameMasks(v.mask(a), v.mask(b))
}

func sameParts(a, b int32) truth.Truth {
	switch {
	case a == unknownPart || b == unknownPart:
		return truth.Unknown
	case a == noPart || b == noPart:
		return truth.False
	}
	return truth.Of(a == b)
}

func sameMasks(a, b uint64) truth.Truth {
	switch {
	case a == 0 || b == 0:
		return truth.Unknown
	case a&b == 0:
		return truth.False
	case a == b && a&(a-1) == 0:
		return truth.True
	}
	return truth.Unknown
}

// sameNumbers compares whole numbers, which carry no uncertainty.
func sameNumbers(a, b measure.Number) truth.Truth {
	switch {
	case a.Lo == a.Hi && b.Lo == b.Hi:
		return truth.Of(a.Lo == b.Lo)
	case a.Hi < b.Lo || b.Hi < a.Lo:
		return truth.False
	}
	return truth.Unknown
}

func inList(part int32, items []member, ok bool) truth.Truth {
	switch {
	case part == noPart:
		return truth.False
	case !ok || part == unknownPart:
		return truth.Unknown
	}
	for _, m := range items {
		if m.part == part {
			return m.in
		}
	}
	return truth.False
}

func ofKind(l *rules.Layout, part int32, k *vocab.Kind) bool {
	return part >= 0 && l.Parts[part].Kind == k
}

// part evaluates a part node.
func (v *env) part(e *condition.Expr) int32 {
	switch e.Op {
	case condition.Name:
		return v.bound[e.Var]
	case condition.Elem:
		if i := len(v.elems) - 1 - e.Depth; i >= 0 {
			return v.elems[i]
		}
	case condition.Prop:
		of := v.part(e.Args[0])
		if of < 0 {
			return of
		}
		if v.r.layout().Parts[of].Kind != e.Prop.Kind {
			return unknownPart
		}
		return v.r.refOf(of, e.Prop)
	}
	return unknownPart
}

// member is an element of a list: in says whether it surely is one.
type member struct {
	part int32
	in   truth.Truth
}

// members evaluates a list node; elements surely not in it are left out. False
// if nothing is known of the list.
func (v *env) members(e *condition.Expr) ([]member, bool) {
	switch e.Op {
	case condition.Prop:
		of := v.part(e.Args[0])
		if !ofKind(v.r.layout(), of, e.Prop.Kind) {
			return nil, false
		}
		items, ok := v.r.listOf(of, e.Prop)
		if !ok {
			return nil, false
		}
		out := make([]member, len(items))
		for i, p := range items {
			out[i] = member{p, truth.True}
		}
		return out, true
	case condition.Others:
		of := v.part(e.Args[0])
		if of < 0 {
			return nil, false
		}
		l := v.r.layout()
		var out []member
		for _, p := range l.OfKind[l.Parts[of].Kind.Index] {
			if p != of {
				out = append(out, member{p, truth.True})
			}
		}
		return out, true
	case condition.Keep:
		items, ok := v.members(e.Args[0])
		if !ok {
			return nil, false
		}
		kept := items[:0]
		for _, m := range items {
			v.push(m.part)
			m.in = truth.And(m.in, v.truth(e.Args[1]))
			v.pop()
			if m.in != truth.False {
				kept = append(kept, m)
			}
		}
		return kept, true
	}
	return nil, false
}
