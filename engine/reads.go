package engine

import (
	"slices"

	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// read is one property that a condition looks up, and how the part it belongs
// to is reached from a name: through fixed references and lists, in order. A
// read without a known way may concern any part of the kind.
type read struct {
	prop  *vocab.Property
	name  int // -1: no way
	steps []*vocab.Property
}

func (r *read) same(o *read) bool {
	return r.prop == o.prop && r.name == o.name && slices.Equal(r.steps, o.steps)
}

// way is how a part or the elements of a list are reached; name -1 if unknown.
type way struct {
	name  int
	steps []*vocab.Property
}

var anywhere = way{name: -1}

// readsOf collects what a tree looks up, each read once.
func readsOf(out []read, e *condition.Expr) []read {
	c := readCollector{out: out}
	c.visit(e)
	return c.out
}

type readCollector struct {
	out   []read
	elems []way
}

func (c *readCollector) add(p *vocab.Property, w way) {
	r := read{p, w.name, w.steps}
	for i := range c.out {
		if c.out[i].same(&r) {
			return
		}
	}
	c.out = append(c.out, r)
}

// visit collects what a node reads and says how its part or elements are
// reached.
func (c *readCollector) visit(e *condition.Expr) way {
	switch e.Op {
	case condition.Name:
		return way{name: e.Var}
	case condition.Elem:
		if i := len(c.elems) - 1 - e.Depth; i >= 0 {
			return c.elems[i]
		}
		return anywhere
	case condition.Prop:
		w := c.visit(e.Args[0])
		fixed := e.Prop.Role == vocab.Declared
		if isRef(e.Prop) && fixed {
			if w.name < 0 {
				return anywhere
			}
			return way{w.name, append(slices.Clone(w.steps), e.Prop)}
		}
		c.add(e.Prop, w)
		return anywhere
	case condition.Any, condition.All, condition.None, condition.Count, condition.Keep,
		condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median, condition.Map:
		w := c.visit(e.Args[0])
		for _, a := range e.Args[1:] {
			c.elems = append(c.elems, w)
			c.visit(a)
			c.elems = c.elems[:len(c.elems)-1]
		}
		if e.Op == condition.Keep {
			return w
		}
		return anywhere
	}
	for _, a := range e.Args {
		c.visit(a)
	}
	return anywhere
}

func isRef(p *vocab.Property) bool { return p.Type == vocab.Part || p.Type == vocab.Parts }

// namesOf is the set of names a tree mentions, as bits.
func namesOf(e *condition.Expr) uint8 {
	if e.Op == condition.Name {
		return 1 << e.Var
	}
	var s uint8
	for _, a := range e.Args {
		s |= namesOf(a)
	}
	return s
}

// depthOf is how many predicates stand inside each other.
func depthOf(e *condition.Expr) int {
	d := 0
	for i, a := range e.Args {
		n := depthOf(a)
		if i == 1 && opensElement(e.Op) {
			n++
		}
		d = max(d, n)
	}
	return d
}

func opensElement(op condition.Op) bool {
	switch op {
	case condition.Any, condition.All, condition.None, condition.Count, condition.Keep,
		condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median, condition.Map:
		return true
	}
	return false
}
