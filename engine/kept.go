package engine

import (
	"fmt"
	"strings"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Sums of several rules ask a handbook function of the same lists and means. What
// such an argument comes to, each source of uncertainty moved, is kept until a
// number it reads changes.

// keptArg is an argument of a call that is worth keeping: it is reached from one
// name through what the machine fixes, and reads numbers alone. Arguments that
// read alike share one.
type keptArg struct {
	id    int
	name  int
	kind  *vocab.Kind
	reads []pid
}

// keptMoves is what such an argument came to for one part.
type keptMoves struct {
	since int64 // Session.tick when it was worked out; 0: never
	in    []moves
	sure  []bool
	fails bool
}

// findKept looks for arguments worth keeping in what rules set.
func (p *Program) findKept() {
	p.keptArgs = map[*condition.Expr]*keptArg{}
	alike := map[string]*keptArg{}
	var visit func(each rules.Binding, e *condition.Expr)
	visit = func(each rules.Binding, e *condition.Expr) {
		if opensElement(e.Op) {
			return // what is inside may hang on the element
		}
		for _, a := range e.Args {
			if e.Op == condition.Call && len(a.Args) > 1 {
				key := keyOf{p: p, name: -1}
				if key.put(a); key.other || key.name < 0 {
					continue
				}
				kind := each[key.name].Kind
				text := fmt.Sprint(kind.Index, key.String())
				if alike[text] == nil {
					alike[text] = &keptArg{id: len(alike), name: key.name, kind: kind, reads: key.reads}
				}
				p.keptArgs[a] = alike[text]
				continue
			}
			visit(each, a)
		}
	}
	for _, c := range p.rules {
		for _, a := range c.rule.Set {
			visit(c.rule.Each, a.Value.Root)
		}
	}
	p.kept = len(alike)
}

// keyOf writes an argument so that arguments that read alike are one text.
type keyOf struct {
	strings.Builder
	p     *Program
	name  int // the one name it is reached from
	reads []pid
	other bool // it is of another form
}

func (k *keyOf) put(e *condition.Expr) {
	fmt.Fprintf(k, "(%d", e.Op)
	switch e.Op {
	case condition.Const:
		fmt.Fprintf(k, " %x", e.Num)
	case condition.Name:
		k.other = k.other || k.name >= 0 && k.name != e.Var
		k.name = e.Var
		fmt.Fprintf(k, " %d", e.Var)
	case condition.Elem:
		fmt.Fprintf(k, " %d", e.Depth)
	case condition.Prop:
		id := k.p.id(e.Prop)
		fmt.Fprintf(k, " %d", id)
		switch {
		case e.Type.K == condition.KNum:
			k.reads = append(k.reads, id)
		case !isRef(e.Prop) || e.Prop.Role != vocab.Declared:
			k.other = true
		}
	case condition.Apart:
		fmt.Fprintf(k, " %x", e.Num)
	case condition.Neg, condition.Abs, condition.Add, condition.Sub, condition.Mul, condition.Div, condition.Map,
		condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
	default:
		k.other = true
	}
	for _, a := range e.Args {
		k.put(a)
	}
	k.WriteByte(')')
}

// keptOf is what an argument came to, if it is worth keeping and at hand; with
// work it is worked out where it is not.
func (v *env) keptOf(a *condition.Expr, work bool) *keptMoves {
	s, ok := v.r.(*Session)
	if !ok {
		return nil
	}
	arg := s.p.keptArgs[a]
	if arg == nil || !ofKind(s.l, v.bound[arg.name], arg.kind) {
		return nil
	}
	if s.kept == nil {
		s.kept = make([][]keptMoves, s.p.kept)
	}
	if s.kept[arg.id] == nil {
		s.kept[arg.id] = make([]keptMoves, len(s.l.OfKind[arg.kind.Index]))
	}
	k := &s.kept[arg.id][s.ords[v.bound[arg.name]]]
	if s.holds(arg, k) {
		return k
	}
	if !work {
		return nil
	}
	*k = keptMoves{since: s.tick, in: k.in[:0], sure: k.sure[:0]}
	if a.Op != condition.Map {
		k.in, k.sure = append(k.in, v.moves(a, false)), append(k.sure, true)
		return k
	}
	k.fails = !v.elements(a, func(m member, value *condition.Expr) bool {
		k.in, k.sure = append(k.in, v.moves(value, false)), append(k.sure, m.in == truth.True)
		return true
	})
	return k
}

// holds tells whether no number that an argument reads has changed since.
func (s *Session) holds(arg *keptArg, k *keptMoves) bool {
	if k.since < s.loaded {
		return false
	}
	for _, id := range arg.reads {
		if s.wrote[id] > k.since {
			return false
		}
	}
	return true
}

// forgetKept drops all that is kept, and the room it took.
func (s *Session) forgetKept() {
	s.tick++
	s.loaded = s.tick
	s.room.used = 0
}

// moveRoom is room for moves, used again once nothing kept points into it, and
// for what carry and the aggregates need for a moment.
type moveRoom struct {
	moves []move
	used  int
	in    []outcome
	next  []int
	moved []int
	parts []moves // stacks
	sure  []bool
}

// mostRoom is how many moves a session keeps room for.
const mostRoom = 1 << 12

// take is an empty list with room for n moves; what stays free is given back by
// close.
func (r *moveRoom) take(n int) []move {
	if len(r.moves)-r.used < n {
		if r.used > 0 || n > mostRoom {
			return make([]move, 0, n)
		}
		r.moves = make([]move, mostRoom)
	}
	return r.moves[r.used : r.used : r.used+n]
}

// close ends a list that was taken last.
func (r *moveRoom) close(list []move) []move {
	if n := r.used + len(list); len(list) > 0 && n <= len(r.moves) && &r.moves[r.used] == &list[0] {
		r.used = n
	}
	return list[:len(list):len(list)]
}
