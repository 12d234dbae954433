package explain

import (
	"cmp"
	"math"
	"slices"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/explain/words"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// pivot is a fact on which conditions turn, with one answer for each region
// that they can tell apart. What is tried on a session is the pivot itself; a
// person looks at asks, which for a computed number are the sizes it is worked
// out of.
type pivot struct {
	id      record.FactID
	asks    []record.FactID
	answers []answer
	known   bool    // wholly known as it stands
	finer   float64 // known, but undecided at its uncertainty: the u that would decide it, base units
}

// answer is one possible answer, as a value to try. From and to bound the
// region of a number that it stands for.
type answer struct {
	value    vocab.Value
	from, to float64
}

// finestAgain is the least part of its uncertainty with which a number can be
// measured again: nobody is sent to do better. Common practice, no source, after
// the four to one wanted between an instrument and what it is checked by.
const finestAgain = 0.25

// again tells whether measuring a number again can decide what turns on it.
func (p *prober) again(v *pivot) bool {
	now, ok := p.Result.Value(v.id.Part, v.id.Prop)
	return ok && v.finer > 0 && v.finer >= finestAgain*now.Number.U()
}

// prober finds the pivots behind rules and clues.
type prober struct {
	*Case
	all     bool // also behind what is decided: what is known could have been otherwise
	pivots  []*pivot
	at      map[record.FactID]*pivot
	cuts    map[record.FactID][]float64
	visited map[record.FactID]bool
}

func (c *Case) prober(all bool) *prober {
	return &prober{Case: c, all: all, at: map[record.FactID]*pivot{}, cuts: map[record.FactID][]float64{}, visited: map[record.FactID]bool{}}
}

// behind lists the pivots of some ways, in order of parts and properties.
func (p *prober) behind(ways ...*record.Way) []*pivot {
	for _, w := range ways {
		p.way(w)
	}
	return p.list()
}

// list makes the answers of the pivots met so far and leaves out those that
// cannot be had any more or turn nothing.
func (p *prober) list() []*pivot {
	var out []*pivot
	for _, v := range p.pivots {
		p.answer(v)
		if len(v.answers) > 0 && len(v.asks) > 0 {
			out = append(out, v)
		}
	}
	slices.SortFunc(out, func(a, b *pivot) int { return a.id.Compare(b.id) })
	return out
}

func (p *prober) way(w *record.Way) {
	for _, list := range [][]record.Seen{w.If, w.Unless, w.Sets} {
		for i := range list {
			p.node(&list[i])
		}
	}
	p.node(&w.Sign)
}

func (p *prober) node(n *record.Seen) {
	if n.Expr == nil || n.State.Known() && !p.all {
		return
	}
	if n.Expr.Op >= condition.Lt && n.Expr.Op <= condition.Ge && len(n.Args) == 2 {
		p.compare(n)
	}
	for _, id := range n.Reads {
		p.fact(id)
	}
	for i := range n.Args {
		p.node(&n.Args[i])
	}
}

// fact takes up what stands behind one fact that was read.
func (p *prober) fact(id record.FactID) {
	if id.Part < 0 || p.visited[id] {
		return
	}
	p.visited[id] = true
	q := id.Prop
	switch {
	case q.Role.Concluded():
		if p.all || !p.State(id).Known() {
			for _, w := range p.Ways(id) {
				if w.Clue == nil || w.State != truth.False {
					p.way(&w)
				}
			}
		}
	case q.Role == vocab.Sign || q.Role == vocab.Derived || q.Role == vocab.Computed:
		if q.Type == vocab.YesNo || q.Type == vocab.Choice || q.Type == vocab.Number || q.Type == vocab.Whole {
			p.add(id)
		}
	}
}

func (p *prober) add(id record.FactID) *pivot {
	v := p.at[id]
	if v == nil {
		v = &pivot{id: id, known: p.known(id) || p.all && p.couldNotTell(id)}
		p.at[id] = v
		p.pivots = append(p.pivots, v)
		v.asks = p.underlying(id)
	}
	return v
}

// known tells whether a fact is wholly known.
func (p *prober) known(id record.FactID) bool {
	v, ok := p.Result.Value(id.Part, id.Prop)
	return ok && v.Looked == vocab.Told && whole(id.Prop, &v)
}

func (c *Case) couldNotTell(id record.FactID) bool {
	o := c.Facts.Lookup(id.Part, id.Prop)
	return o != nil && o.Value.Looked == vocab.CouldNotTell
}

// underlying lists what a person looks at for the sake of a fact: of a computed
// number the sizes behind it that are not known, or all where all are.
func (p *prober) underlying(id record.FactID) []record.FactID {
	var open, known []record.FactID
	add := func(leaf record.FactID) {
		ask := record.FactID{Part: leaf.Part, Prop: words.Asked(leaf.Prop)}
		switch {
		case p.all && (p.known(leaf) || p.couldNotTell(leaf)):
			if !slices.Contains(known, ask) {
				known = append(known, ask)
			}
		case !p.askableNow(ask.Part, ask.Prop):
		case p.known(leaf):
			if !slices.Contains(known, ask) {
				known = append(known, ask)
			}
		case !slices.Contains(open, ask):
			open = append(open, ask)
		}
	}
	seen := map[record.FactID]bool{}
	var visit func(id record.FactID)
	var walk func(n *record.Seen)
	walk = func(n *record.Seen) {
		for _, r := range n.Reads {
			visit(r)
		}
		for i := range n.Args {
			walk(&n.Args[i])
		}
	}
	visit = func(id record.FactID) {
		if id.Part < 0 || seen[id] {
			return
		}
		seen[id] = true
		switch id.Prop.Role {
		case vocab.Sign, vocab.Derived:
			if id.Prop.Type != vocab.Part && id.Prop.Type != vocab.Parts {
				add(id)
			}
		case vocab.Computed:
			if id.Prop.Observable {
				add(id)
			}
			for _, w := range p.Ways(id) {
				for i := range w.Sets {
					walk(&w.Sets[i])
				}
			}
		}
	}
	visit(id)
	if len(open) > 0 {
		return open
	}
	return known
}

// askableNow tells whether a property can still be had: not past its stage, not
// answered with could-not-tell, not of a part out of place.
func (p *prober) askableNow(part int32, q *vocab.Property) bool {
	if !q.Observable || p.Past(q) {
		return false
	}
	if o := p.Facts.Lookup(part, q); o != nil && o.Value.Looked == vocab.CouldNotTell {
		return false
	}
	if found := p.Facts.Parts[part].Kind.Property("found"); found != nil && found != q {
		if o := p.Facts.Lookup(part, found); o != nil && o.Value.Within(1) == truth.False {
			return false
		}
	}
	return true
}

// compare finds where a comparison turns, for each number it hangs on.
func (p *prober) compare(n *record.Seen) {
	for i := range n.Args {
		var leaves []record.FactID
		numbersIn(&n.Args[i], &leaves)
		for _, id := range leaves {
			a, b, ok := linearIn(&n.Args[i], id)
			c, d, also := linearIn(&n.Args[1-i], id)
			if !ok || !also || a == c {
				continue
			}
			at := (d - b) / (a - c)
			if math.IsNaN(at) || math.IsInf(at, 0) {
				continue
			}
			p.cuts[id] = append(p.cuts[id], at)
			if !id.Prop.Role.Concluded() {
				v := p.add(id)
				if n.Reason == record.WithinU && n.NeededU > 0 && (v.finer == 0 || n.NeededU < v.finer) {
					v.finer = n.NeededU
				}
			}
		}
	}
}

// numbersIn lists the numbers read at or below a number node.
func numbersIn(n *record.Seen, out *[]record.FactID) {
	if n.Expr == nil {
		return
	}
	if n.Expr.Op == condition.Prop {
		for _, id := range n.Reads {
			if id.Prop == n.Expr.Prop {
				*out = append(*out, id)
			}
		}
		return
	}
	for i := range n.Args {
		numbersIn(&n.Args[i], out)
	}
}

// linearIn writes a number node as coefficient·fact + rest; false if it is not
// of that form, or the rest is not known.
func linearIn(n *record.Seen, id record.FactID) (coefficient, rest float64, ok bool) {
	if n.Expr == nil {
		return 0, 0, false
	}
	switch n.Expr.Op {
	case condition.Const:
		return 0, n.Expr.Num, true
	case condition.Prop:
		if slices.Contains(n.Reads, id) && n.Expr.Prop == id.Prop {
			return 1, 0, true
		}
	case condition.Neg:
		a, b, ok := linearIn(&n.Args[0], id)
		return -a, -b, ok
	case condition.Add, condition.Sub:
		a, b, ok := linearIn(&n.Args[0], id)
		c, d, also := linearIn(&n.Args[1], id)
		if n.Expr.Op == condition.Sub {
			c, d = -c, -d
		}
		return a + c, b + d, ok && also
	case condition.Mul:
		a, b, ok := linearIn(&n.Args[0], id)
		c, d, also := linearIn(&n.Args[1], id)
		if a != 0 && c != 0 {
			return 0, 0, false
		}
		return a*d + c*b, b * d, ok && also
	case condition.Div:
		a, b, ok := linearIn(&n.Args[0], id)
		c, d, also := linearIn(&n.Args[1], id)
		if c != 0 || d == 0 {
			return 0, 0, false
		}
		return a / d, b / d, ok && also
	}
	if n.Value.Looked == vocab.Told && n.Value.Number.IsBounded() && n.Value.Number.IsValue() {
		return 0, n.Value.Number.Lo, true
	}
	return 0, 0, false
}

// answer fills the answers of a pivot.
func (p *prober) answer(v *pivot) {
	q := v.id.Prop
	var possible *vocab.Value
	if o := p.Facts.Lookup(v.id.Part, q); o != nil && o.Value.Looked == vocab.Told && !v.known {
		possible = &o.Value
	}
	v.answers = nil
	switch q.Type {
	case vocab.YesNo, vocab.Choice:
		n := len(q.Choices)
		if q.Type == vocab.YesNo {
			n = 2
		}
		for i := range n {
			if m := uint64(1) << i; possible == nil || possible.Mask&m != 0 {
				v.answers = append(v.answers, answer{value: vocab.Value{Looked: vocab.Told, Mask: m}})
			}
		}
	default:
		at := slices.Clone(p.cuts[v.id])
		slices.SortFunc(at, func(a, b float64) int { return cmp.Compare(a, b) })
		at = slices.CompactFunc(at, func(a, b float64) bool { return measure.Equalish(a, b, 0) })
		if len(at) == 0 {
			return
		}
		from := math.Inf(-1)
		for _, to := range append(at, math.Inf(1)) {
			x := within(from, to)
			if q.Type == vocab.Whole {
				x = math.Round(x)
			}
			n := measure.Exact(x)
			if possible == nil || n.Lo >= possible.Number.Lo && n.Lo <= possible.Number.Hi {
				v.answers = append(v.answers, answer{vocab.Value{Looked: vocab.Told, Number: n}, from, to})
			}
			from = to
		}
	}
}

// within picks a value in a region, well clear of its ends.
func within(from, to float64) float64 {
	switch {
	case math.IsInf(from, -1):
		return to - max(math.Abs(to)*0.5, 1)
	case math.IsInf(to, 1):
		return from + max(math.Abs(from)*0.5, 1)
	}
	return (from + to) / 2
}

// whole tells whether a value leaves only one answer.
func whole(p *vocab.Property, v *vocab.Value) bool {
	switch p.Type {
	case vocab.YesNo, vocab.Choice:
		return v.Mask != 0 && v.Mask&(v.Mask-1) == 0
	}
	return v.Number.IsValue()
}

// trials is a session on which answers are tried, and which is put back.
type trials struct {
	*Case
	session *engine.Session
	count   int
}

func (c *Case) trials() *trials {
	t := &trials{Case: c, session: c.Program.Bind(c.Facts)}
	t.session.Run()
	return t
}

func (t *trials) set(id record.FactID, a *answer) { t.session.Set(id.Part, id.Prop, a.value) }

func (t *trials) restore(id record.FactID) {
	if o := t.Facts.Lookup(id.Part, id.Prop); o != nil {
		t.session.Set(id.Part, id.Prop, o.Value)
	} else {
		t.session.Forget(id.Part, id.Prop)
	}
}

func (t *trials) run() {
	t.count++
	t.session.Run()
}
