package engine

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// A plain rule has one name and asks properties of that very part, each against
// written values.

// plainCond is one condition of a plain rule: either a set of choices (for
// yes/no and findings: bit 0 no, bit 1 yes), or a threshold.
type plainCond struct {
	prop  *vocab.Property
	set   uint64
	isNum bool
	op    condition.Op
	limit float64
}

// direction is 0 for what is decided by a number over a limit, 1 for what is decided
// by one from a limit on, 2 for a set of choices.
func (c *plainCond) direction() int {
	switch {
	case !c.isNum:
		return 2
	case c.op == condition.Gt || c.op == condition.Le:
		return 0
	}
	return 1
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
// decides. Rules are told by a number: that of their word, or of their place in sets.
type propIndex struct {
	above, from thresholds // x > limit (flip: x <= limit); x >= limit (flip: x < limit)
	sets        []ruleSet
}

// ruleSet is the rules, ascending, with a condition on one set of choices.
type ruleSet struct {
	set   uint64
	rules []uint32
}

// thresholds are conditions on a number in order of limit: those before some
// place are decided one way, those from some place on the other. An entry is
// rule<<1 | flip.
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
		for i := range x.sets {
			if x.sets[i].set == c.set {
				x.sets[i].rules = append(x.sets[i].rules, r)
				return
			}
		}
		x.sets = append(x.sets, ruleSet{c.set, []uint32{r}})
		return
	}
	t, flip := &x.above, uint32(0)
	if c.direction() == 1 {
		t = &x.from
	}
	if c.op == condition.Le || c.op == condition.Lt {
		flip = 1
	}
	t.limit, t.entries = append(t.limit, c.limit), append(t.entries, r<<1|flip)
}

func (x *propIndex) finish() {
	sort.Sort(&x.above)
	sort.Sort(&x.from)
	for i := range x.sets {
		slices.Sort(x.sets[i].rules)
	}
}

// rules visits each rule with a condition here, perhaps repeatedly.
func (x *propIndex) rules(visit func(rule uint32)) {
	for _, list := range [][]uint32{x.above.entries, x.from.entries} {
		for _, e := range list {
			visit(e >> 1)
		}
	}
	for i := range x.sets {
		for _, r := range x.sets[i].rules {
			visit(r)
		}
	}
}

// most is how many conditions there are in all.
func (x *propIndex) most() int {
	n := len(x.above.entries) + len(x.from.entries)
	for i := range x.sets {
		n += len(x.sets[i].rules)
	}
	return n
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

// turned gathers the words whose truth changed: rules of n are written, one more
// may be.
type turned struct {
	rules []uint32
	n     int
}

// make room for so many, and one more.
func (t *turned) clear(most int) {
	if len(t.rules) <= most {
		t.rules = make([]uint32, most+1)
	}
	t.n = 0
}

func (t *turned) list() []uint32 { return t.rules[:t.n] }

// shift adds to the words of entries, by their flip, and gathers those that turn.
func (t *turned) shift(words, entries []uint32, by [2]uint32) {
	out, n := t.rules, t.n
	for _, e := range entries {
		r := e >> 1
		w := words[r]
		next := w + by[e&1]
		words[r] = next
		out[n] = r
		n += differ(w, next)
	}
	t.n = n
}

// at is how a number at a cut decides the entry i, flip left aside.
func (c cut) at(i int32) truth.Truth {
	switch {
	case i < c.yes:
		return truth.True
	case i >= c.no:
		return truth.False
	}
	return truth.Unknown
}

// move changes words from one place to another: between the ends of both cuts are
// stretches on which all entries change alike.
func (t *thresholds) move(words []uint32, was, is cut, out *turned) {
	ends := [4]int32{was.yes, was.no, is.yes, is.no}
	slices.Sort(ends[:])
	for i, from := range ends[:3] {
		to := ends[i+1]
		if from == to {
			continue
		}
		if a, b := was.at(from), is.at(from); a != b {
			out.shift(words, t.entries[from:to], [2]uint32{taken(a) - taken(b), taken(truth.Not(a)) - taken(truth.Not(b))})
		}
	}
}

func (x *propIndex) applyNumber(words []uint32, c cuts) {
	x.above.apply(words, c.above)
	x.from.apply(words, c.from)
}

// moveNumber changes the words of a part and gathers those that turn, some perhaps
// twice or back again.
func (x *propIndex) moveNumber(words []uint32, was, is cuts, out *turned) {
	out.clear(x.most())
	x.above.move(words, was.above, is.above, out)
	x.from.move(words, was.from, is.from, out)
}

// applyMask enters a first choice, or what is possible of it.
func (x *propIndex) applyMask(words []uint32, mask uint64) {
	for i := range x.sets {
		if by := taken(within(mask, x.sets[i].set)); by != 0 {
			for _, r := range x.sets[i].rules {
				words[r] -= by
			}
		}
	}
}

// moveMask is moveNumber for a choice.
func (x *propIndex) moveMask(words []uint32, was, is uint64, out *turned) {
	out.clear(x.most())
	for i := range x.sets {
		a, b := within(was, x.sets[i].set), within(is, x.sets[i].set)
		if a == b {
			continue
		}
		by, n := taken(a)-taken(b), out.n
		for _, r := range x.sets[i].rules {
			w := words[r]
			next := w + by
			words[r] = next
			out.rules[n] = r
			n += differ(w, next)
		}
		out.n = n
	}
}

// taken is what a condition that is known took from its word.
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
