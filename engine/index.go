package engine

import (
	"cmp"
	"math"
	"sort"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// A plain rule has one name and asks properties of that very part, each against
// written values. For each part it keeps a word
//
//	(conditions not yet known) << 16 | conditions known false
//
// so that a value entering or changing touches just the rules it decides: word 0
// fires, a low half above 0 is known not to fire.
const (
	oneUnknown = 1 << 16
	falseHalf  = oneUnknown - 1
	// maxWord is the most conditions a plain rule may have.
	maxWord = 1 << 15
)

func wordTruth(w uint32) truth.Truth {
	switch {
	case w == 0:
		return truth.True
	case w&falseHalf != 0:
		return truth.False
	}
	return truth.Unknown
}

// plainCond is one condition of a plain rule: either a set of choices (for
// yes/no and findings: bit 0 no, bit 1 yes), or a threshold.
type plainCond struct {
	prop  *vocab.Property
	set   uint64
	isNum bool
	op    condition.Op
	limit float64
}

// plainConds takes the conditions of a rule apart if they are all plain.
func plainConds(out []plainCond, e *condition.Expr) ([]plainCond, bool) {
	switch e.Op {
	case condition.And:
		for _, a := range e.Args {
			var ok bool
			if out, ok = plainConds(out, a); !ok {
				return nil, false
			}
		}
		return out, true
	case condition.Not:
		inner, ok := plainConds(nil, e.Args[0])
		if !ok || len(inner) != 1 {
			return nil, false
		}
		c := inner[0]
		if c.isNum {
			c.op = negated(c.op)
		} else {
			c.set = allOf(c.prop) &^ c.set
		}
		return append(out, c), true
	case condition.Prop:
		if e.Args[0].Op != condition.Name || e.Prop.Type != vocab.YesNo {
			return nil, false
		}
		return append(out, plainCond{prop: e.Prop, set: vocab.Yes}), true
	case condition.Within:
		a := e.Args[0]
		if a.Op != condition.Prop || a.Args[0].Op != condition.Name {
			return nil, false
		}
		return append(out, plainCond{prop: a.Prop, set: e.Mask}), true
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		a, b, op := e.Args[0], e.Args[1], e.Op
		if a.Op == condition.Const {
			a, b, op = b, a, mirrored(op)
		}
		if a.Op != condition.Prop || a.Args[0].Op != condition.Name || b.Op != condition.Const {
			return nil, false
		}
		return append(out, plainCond{prop: a.Prop, isNum: true, op: op, limit: b.Num}), true
	}
	return nil, false
}

func allOf(p *vocab.Property) uint64 {
	if p.Type == vocab.YesNo {
		return vocab.Yes | vocab.No
	}
	return uint64(1)<<len(p.Choices) - 1
}

func negated(op condition.Op) condition.Op {
	switch op {
	case condition.Lt:
		return condition.Ge
	case condition.Le:
		return condition.Gt
	case condition.Gt:
		return condition.Le
	}
	return condition.Lt
}

func mirrored(op condition.Op) condition.Op {
	switch op {
	case condition.Lt:
		return condition.Gt
	case condition.Le:
		return condition.Ge
	case condition.Gt:
		return condition.Lt
	}
	return condition.Le
}

// propIndex says which conditions of plain rules a value of one property
// decides. An entry is rule<<1 | flip, rule being the place of the rule's word.
type propIndex struct {
	above, from thresholds // x > limit (flip: x <= limit); x >= limit (flip: x < limit)
	sets        []uint64   // of choice conditions
	who         []uint32   // rule of each
	byValue     [][]uint32 // [choice]: rule<<1 | known false, in the order of sets
}

// thresholds are conditions on a number in order of limit: those before some
// place are decided one way, those from some place on the other.
type thresholds struct {
	limit   []float64
	entries []uint32
}

func (t *thresholds) Len() int { return len(t.limit) }
func (t *thresholds) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(t.limit[i], t.limit[j]), cmp.Compare(t.entries[i], t.entries[j])) < 0
}
func (t *thresholds) Swap(i, j int) {
	t.limit[i], t.limit[j] = t.limit[j], t.limit[i]
	t.entries[i], t.entries[j] = t.entries[j], t.entries[i]
}

func (x *propIndex) enter(rule int, c plainCond) {
	r := uint32(rule)
	if !c.isNum {
		x.sets, x.who = append(x.sets, c.set), append(x.who, r)
		return
	}
	t, flip := &x.above, uint32(0)
	switch c.op {
	case condition.Le:
		flip = 1
	case condition.Ge:
		t = &x.from
	case condition.Lt:
		t, flip = &x.from, 1
	}
	t.limit, t.entries = append(t.limit, c.limit), append(t.entries, r<<1|flip)
}

func (x *propIndex) finish(p *vocab.Property) {
	sort.Sort(&x.above)
	sort.Sort(&x.from)
	if len(x.sets) == 0 {
		return
	}
	n := 2
	if p.Type == vocab.Choice {
		n = len(p.Choices)
	}
	x.byValue = make([][]uint32, n)
	for v := range n {
		list := make([]uint32, len(x.sets))
		for i, set := range x.sets {
			list[i] = x.who[i]<<1 | uint32(^set>>v&1)
		}
		x.byValue[v] = list
	}
}

// rules visits the place of each rule with a condition here, perhaps repeatedly.
func (x *propIndex) rules(visit func(word uint32)) {
	for _, list := range [][]uint32{x.above.entries, x.from.entries} {
		for _, e := range list {
			visit(e >> 1)
		}
	}
	for _, w := range x.who {
		visit(w)
	}
}

// cut is where a number stands among thresholds: entries before yes are decided
// for being above, entries from no on against it, those between are open.
type cut struct{ yes, no int32 }

// cuts is where a value stands in both lists of a propIndex.
type cuts struct{ above, from cut }

func (x *propIndex) open() cuts {
	return cuts{cut{0, int32(len(x.above.limit))}, cut{0, int32(len(x.from.limit))}}
}

// exact places a number without range and uncertainty: first by the numbers
// alone, then past those that are equal to it within rounding.
func (x *propIndex) exact(v float64) cuts {
	var c cuts
	if l := x.above.limit; len(l) > 0 {
		i := lower(l, v)
		for i > 0 && !over(v-l[i-1], measure.RelativeEqual*max(math.Abs(v), math.Abs(l[i-1]))) {
			i--
		}
		c.above = cut{int32(i), int32(i)}
	}
	if l := x.from.limit; len(l) > 0 {
		i := lower(l, v)
		for i < len(l) && !over(l[i]-v, measure.RelativeEqual*max(math.Abs(v), math.Abs(l[i]))) {
			i++
		}
		c.from = cut{int32(i), int32(i)}
	}
	return c
}

// lower is the first place whose limit is not below v.
func lower(limits []float64, v float64) int {
	base := 0
	for n := len(limits); n > 0; {
		half := (n + 1) / 2
		if limits[base+half-1] < v {
			base += half
		}
		n -= half
	}
	return base
}

// ranged places any number.
func (x *propIndex) ranged(n measure.Number, k float64) cuts {
	place := func(t *thresholds, op measure.Op) cut {
		yes := sort.Search(len(t.limit), func(i int) bool {
			return measure.Compare(op, n, measure.Exact(t.limit[i]), k).Truth != truth.True
		})
		no := sort.Search(len(t.limit), func(i int) bool {
			return measure.Compare(op, n, measure.Exact(t.limit[i]), k).Truth == truth.False
		})
		return cut{int32(yes), int32(max(yes, no))}
	}
	return cuts{place(&x.above, measure.Gt), place(&x.from, measure.Ge)}
}

// apply enters a first value into words: all before was open.
func (t *thresholds) apply(words []uint32, c cut) {
	for _, e := range t.entries[:c.yes] {
		words[e>>1] -= oneUnknown - e&1
	}
	for _, e := range t.entries[c.no:] {
		words[e>>1] -= oneUnknown - (^e & 1)
	}
}

// move changes words from one place to another and reports each rule whose
// truth changed.
func (t *thresholds) move(words []uint32, was, is cut, flipped func(rule uint32)) {
	lo, hi := min(was.yes, is.yes), max(was.no, is.no)
	class := func(c cut, i int32) uint32 {
		switch {
		case i < c.yes:
			return 0
		case i >= c.no:
			return 1
		}
		return 2
	}
	for i := lo; i < hi; i++ {
		a, b := class(was, i), class(is, i)
		if a == b {
			continue
		}
		e := t.entries[i]
		w := words[e>>1]
		next := w + undo(a, e) - undo(b, e)
		words[e>>1] = next
		if wordTruth(w) != wordTruth(next) {
			flipped(e >> 1)
		}
	}
}

// undo is what a condition in a class took from its word.
func undo(class, entry uint32) uint32 {
	if class == 2 {
		return 0
	}
	return oneUnknown - (class ^ entry&1)
}

func (x *propIndex) applyNumber(words []uint32, c cuts) {
	x.above.apply(words, c.above)
	x.from.apply(words, c.from)
}

func (x *propIndex) moveNumber(words []uint32, was, is cuts, flipped func(uint32)) {
	x.above.move(words, was.above, is.above, flipped)
	x.from.move(words, was.from, is.from, flipped)
}

// applyMask enters a first choice, or what is possible of it.
func (x *propIndex) applyMask(words []uint32, mask uint64) {
	if mask == 0 || len(x.sets) == 0 {
		return
	}
	if v := single(mask); v >= 0 && v < len(x.byValue) {
		for _, e := range x.byValue[v] {
			words[e>>1] -= oneUnknown - e&1
		}
		return
	}
	for i, set := range x.sets {
		switch within(mask, set) {
		case truth.True:
			words[x.who[i]] -= oneUnknown
		case truth.False:
			words[x.who[i]] -= oneUnknown - 1
		}
	}
}

func (x *propIndex) moveMask(words []uint32, was, is uint64, flipped func(uint32)) {
	if was == is {
		return
	}
	v, u := single(was), single(is)
	if v >= 0 && u >= 0 && v < len(x.byValue) && u < len(x.byValue) {
		before, after := x.byValue[v], x.byValue[u]
		after = after[:len(before)]
		for i, a := range before {
			if b := after[i]; a != b {
				r := a >> 1
				w := words[r]
				next := w - a&1 + b&1
				words[r] = next
				if wordTruth(w) != wordTruth(next) {
					flipped(r)
				}
			}
		}
		return
	}
	for i, set := range x.sets {
		a, b := within(was, set), within(is, set)
		if a == b {
			continue
		}
		r := x.who[i]
		w := words[r]
		next := w + taken(a) - taken(b)
		words[r] = next
		if wordTruth(w) != wordTruth(next) {
			flipped(r)
		}
	}
}

func taken(t truth.Truth) uint32 {
	switch t {
	case truth.True:
		return oneUnknown
	case truth.False:
		return oneUnknown - 1
	}
	return 0
}

// single is the only choice in a mask, or -1.
func single(mask uint64) int {
	v := vocab.Value{Looked: vocab.Told, Mask: mask}
	return v.One()
}
