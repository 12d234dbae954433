package engine

import (
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// binder is the names of a rule, clue or rivals with their conditions, and how
// to find the other names' parts once one name is bound.
type binder struct {
	each   rules.Binding
	conds  []cond
	unless []cond
	all    []read // what the conditions and exceptions look up
	keys   []*vocab.Property
	plans  []plan // by the name that is bound first
	// loose has the conditions alone that tie parts by reference or list; nil for
	// one name, or if nothing is weighed.
	loose *binder
}

type cond struct {
	fn    boolFn
	cond  *condition.Condition
	names uint8
}

// plan is the order in which names are bound, and what can be asked when.
type plan struct {
	first []int32 // conditions over the first name alone
	steps []planStep
}

// how the parts of a further name are found.
type how uint8

const (
	substitute how = iota // it is the part that an expression gives
	items                 // it is an element of a list
	lookup                // by the key of an equality
	scan                  // all parts of its kind
)

type planStep struct {
	how  how
	name int
	// part, list or key of what is bound already
	part    partFn
	list    listFn
	key     keyFn
	table   int32
	implied int32   // the condition that holds of parts found this way, -1 if none
	conds   []int32 // conditions that can be asked from here on
}

// keyFn gives the key of one side of an equality. Known is false when the side
// is unknown or partly known; never is set when it is known to equal nothing.
type keyFn func(*frame) (key int64, known, never bool)

// tableCode is a key table: the parts of a kind by one side of an equality.
type tableCode struct {
	kind  *vocab.Kind
	name  int
	key   keyFn  // nil for a list
	list  listFn // each element is a key
	fixed bool   // hangs on fixed references alone
}

func (p *Program) binder(each rules.Binding, ifs, unless []*condition.Condition) binder {
	b := binder{each: each}
	low := lowering{p: p}
	lower := func(cs []*condition.Condition) []cond {
		var out []cond
		for _, c := range cs {
			b.all = readsOf(b.all, c.Root)
			p.depth = max(p.depth, depthOf(c.Root))
			out = append(out, cond{low.bool(c.Root), c, namesOf(c.Root)})
		}
		return out
	}
	b.conds, b.unless = lower(ifs), lower(unless)
	p.markReads(b.all)
	b.plans = make([]plan, len(each))
	for start := range each {
		b.plans[start] = p.plan(&b, start)
	}
	if len(each) > 1 && len(p.pack.Clues) > 0 {
		var parts []*condition.Condition
		for _, c := range ifs {
			if root := c.Root; root.Op == condition.InList || root.Op == condition.Same && root.Args[0].Type.K == condition.KPart {
				parts = append(parts, c)
			}
		}
		b.loose = &binder{each: each, conds: lower(parts), plans: make([]plan, len(each))}
		for start := range each {
			b.loose.plans[start] = p.plan(b.loose, start)
		}
	}
	return b
}

// plan finds the parts of the other names from the first, by the cheapest tie
// at hand.
func (p *Program) plan(b *binder, start int) plan {
	var out plan
	bound := uint8(1) << start
	asked := make([]bool, len(b.conds))
	ask := func() []int32 {
		var now []int32
		for i, c := range b.conds {
			if !asked[i] && c.names&^bound == 0 {
				asked[i] = true
				now = append(now, int32(i))
			}
		}
		return now
	}
	out.first = ask()
	for range len(b.each) - 1 {
		step := p.nextStep(b, bound)
		bound |= 1 << step.name
		step.conds = ask()
		out.steps = append(out.steps, step)
	}
	return out
}

func (p *Program) nextStep(b *binder, bound uint8) planStep {
	best := planStep{how: scan, implied: -1, name: -1}
	var mine, other *condition.Expr
	var member bool
	for i, c := range b.conds {
		for _, t := range c.cond.Ties {
			for _, turned := range [2]bool{false, true} {
				l, r, name, from := t.Left, t.Right, t.A, t.B
				if turned {
					l, r, name, from = t.Right, t.Left, t.B, t.A
				}
				if bound>>from&1 == 0 || bound>>name&1 != 0 {
					continue
				}
				h := lookup
				switch {
				case t.Member && l.Op == condition.Name && !turned:
					h = items
				case !t.Member && l.Op == condition.Name:
					h = substitute
				}
				if best.name >= 0 && h >= best.how {
					continue
				}
				implied := int32(-1)
				if root := c.cond.Root; root.Op == condition.Same || root.Op == condition.InList {
					implied = int32(i)
				}
				best = planStep{how: h, name: name, implied: implied}
				mine, other, member = l, r, t.Member
			}
		}
	}
	if best.name < 0 {
		for n := range b.each {
			if bound>>n&1 == 0 {
				best.name = n
				return best
			}
		}
	}
	low := lowering{p: p}
	switch best.how {
	case substitute:
		best.part = low.part(other)
	case items:
		list, keeps := low.list(other)
		best.list = list
		if len(keeps) > 0 {
			best.implied = -1
		}
	case lookup:
		best.table = p.table(b, mine, best.name)
		if member && mine.Type.K != condition.KList {
			// the bound side is the list, mine an expression: go through its elements' keys
			best.how = scan
			break
		}
		if mine.Type.K == condition.KList && hasKeep(mine) {
			best.implied = -1
		}
		best.key = low.key(other)
	}
	for _, side := range []*condition.Expr{mine, other} {
		for _, r := range readsOf(nil, side) {
			b.keys = append(b.keys, r.prop)
		}
	}
	return best
}

func hasKeep(e *condition.Expr) bool {
	return e.Op == condition.Keep || slices.ContainsFunc(e.Args, hasKeep)
}

// table enters a key table for one side of an equality.
func (p *Program) table(b *binder, e *condition.Expr, name int) int32 {
	rs := readsOf(nil, e)
	t := tableCode{kind: b.each[name].Kind, name: name, fixed: len(rs) == 0}
	low := lowering{p: p}
	if e.Type.K == condition.KList {
		t.list, _ = low.list(e)
	} else {
		t.key = low.key(e)
	}
	at := int32(len(p.tables))
	p.tables = append(p.tables, t)
	for _, r := range rs {
		x := &p.info[p.id(r.prop)]
		x.tables = append(x.tables, at)
	}
	return at
}

// visitor is what a walk over the bindings of a binder calls.
type visitor interface {
	// visit is called with all names bound: in is true if all conditions hold,
	// unknown if that is open. It tells whether to go on.
	visit(f *frame, in truth.Truth) bool
	// enough tells that bindings of this truth are of no further use.
	enough(in truth.Truth) bool
}

// walk visits all bindings in which a name is bound to a part and no condition
// is false. It tells whether it came to its end.
func (b *binder) walk(f *frame, name int, part int32, v visitor) bool {
	p := &b.plans[name]
	f.bindOf(name, part, b.each[name].Kind.Index)
	in := truth.True
	for _, c := range p.first {
		if f.blind {
			break
		}
		if in = truth.And(in, b.conds[c].fn(f)); in == truth.False {
			return true
		}
	}
	if v.enough(in) {
		return true
	}
	return b.step(f, p, 0, in, v)
}

func (b *binder) step(f *frame, p *plan, at int, in truth.Truth, v visitor) bool {
	if at == len(p.steps) {
		return v.visit(f, in)
	}
	st := &p.steps[at]
	s := f.s
	switch st.how {
	case substitute:
		q := st.part(f)
		switch {
		case q >= 0:
			if s.l.Parts[q].Kind != b.each[st.name].Kind {
				return true
			}
			return b.try(f, p, at, q, in, true, v)
		case q == noPart && st.implied >= 0:
			return true
		}
	case items:
		list, skip, ok := st.list(f)
		if !ok {
			break
		}
		kind := b.each[st.name].Kind
		for _, q := range list {
			if q != skip && s.l.Parts[q].Kind == kind && !b.try(f, p, at, q, in, true, v) {
				return false
			}
		}
		return true
	case lookup:
		t := s.keyTable(st.table)
		key, known, never := st.key(f)
		if never && st.implied >= 0 {
			return true
		}
		if !known {
			break
		}
		for _, q := range t.find(key) {
			if !b.try(f, p, at, q, in, true, v) {
				return false
			}
		}
		for _, q := range t.odd {
			if !b.try(f, p, at, q, in, false, v) {
				return false
			}
		}
		return true
	}
	for _, q := range s.l.OfKind[b.each[st.name].Kind.Index] {
		if !b.try(f, p, at, q, in, false, v) {
			return false
		}
	}
	return true
}

// try binds one candidate, asks what can be asked, and goes on.
func (b *binder) try(f *frame, p *plan, at int, part int32, in truth.Truth, tied bool, v visitor) bool {
	st := &p.steps[at]
	if f.s.spend(1) {
		return false
	}
	f.bindOf(st.name, part, b.each[st.name].Kind.Index)
	for _, c := range st.conds {
		if f.blind || tied && c == st.implied {
			continue
		}
		if in = truth.And(in, b.conds[c].fn(f)); in == truth.False {
			return true
		}
	}
	if v.enough(in) {
		return true
	}
	return b.step(f, p, at+1, in, v)
}
