package engine

import (
	"math"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// outcome is what a number node comes to; not ok where it leaves a domain.
type outcome struct {
	measure.Number
	ok bool
}

func (o *outcome) unknown() bool { return !o.ok || isLine(o.Number) }

// moves is what a number node comes to with nothing moved, and with each source
// of uncertainty that enters it moved up and down by itself.
type moves struct {
	still outcome
	given bool   // some number that enters has an uncertainty
	list  []move // by source
}

type move struct {
	source   int32
	up, down outcome
}

// moves evaluates a number node that is not linear. A source is carried through
// the nodes it enters alone: a call of ten arguments may have fifty sources.
// Conditions inside are judged on the facts as they are: outside the guard band
// no single move turns such a judgement. Alone says that nothing is known of the
// whole where nothing is known of e: then its moves are left out.
func (v *env) moves(e *condition.Expr, alone bool) moves {
	switch e.Op {
	case condition.Prop:
		n, ok := v.span(e, true)
		return v.leaf(n, ok)
	case condition.Neg, condition.Abs:
		return v.carry([]moves{v.moves(e.Args[0], alone && e.Op == condition.Neg)}, alone, func(in []outcome, _ []int) outcome {
			if !in[0].ok {
				return in[0]
			}
			if e.Op == condition.Neg {
				return outcome{in[0].Neg(), true}
			}
			return outcome{absolute(in[0].Number), true}
		})
	case condition.Add, condition.Sub, condition.Mul, condition.Div:
		inner := alone && e.Op != condition.Mul // zero times anything is zero
		a := v.moves(e.Args[0], inner)
		if inner && a.still.unknown() {
			return moves{still: outcome{line, a.still.ok}}
		}
		b := v.moves(e.Args[1], inner && e.Op != condition.Div)
		var still measure.Number // the divisor
		return v.carry([]moves{a, b}, alone, func(in []outcome, moved []int) outcome {
			a, b := in[0], in[1]
			if moved == nil {
				still = b.Number
			}
			// A quotient is not defined where a move carries its divisor to zero or past it.
			if !a.ok || !b.ok || e.Op == condition.Div && (still.Lo > 0) != (b.Lo > 0) {
				return outcome{line, false}
			}
			n, ok := arithmetic(e.Op, a.Number, b.Number)
			return outcome{n, ok}
		})
	case condition.Apart:
		return v.carry([]moves{v.moves(e.Args[0], false), v.moves(e.Args[1], false)}, alone, func(in []outcome, _ []int) outcome {
			if !in[0].ok || !in[1].ok {
				return outcome{line, false}
			}
			return outcome{apart(in[0].Number, in[1].Number, e.Num), true}
		})
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return v.movedAggregate(e, alone)
	case condition.Call:
		return v.movedCall(e, alone)
	}
	n, ok := v.span(e, false)
	return moves{still: outcome{n, ok}}
}

// room is where moves are worked out.
func (v *env) room() *moveRoom {
	if s, ok := v.r.(*Session); ok {
		return &s.room
	}
	return &moveRoom{}
}

// leaf is a number that is read.
func (v *env) leaf(n measure.Number, ok bool) moves {
	m := moves{given: n.Terms != nil}
	terms := n.Terms
	if len(terms) > 0 {
		m.list = v.room().take(len(terms))
	}
	n.Terms = nil
	m.still = outcome{n, ok}
	for _, t := range terms {
		up, down := n, n
		up.Lo, up.Hi = n.Lo+t.U, n.Hi+t.U
		down.Lo, down.Hi = n.Lo-t.U, n.Hi-t.U
		m.list = append(m.list, move{t.Source, outcome{up, ok}, outcome{down, ok}})
	}
	if len(terms) > 0 {
		m.list = v.room().close(m.list)
	}
	return m
}

func (v *env) movedAggregate(e *condition.Expr, alone bool) moves {
	room := v.room()
	from := len(room.parts)
	defer func() { room.parts, room.sure = room.parts[:from], room.sure[:from] }()
	if !v.elements(e, func(m member, value *condition.Expr) bool {
		n := v.moves(value, false)
		room.sure, room.parts = append(room.sure, m.in == truth.True), append(room.parts, n)
		return true
	}) {
		return moves{still: outcome{line, true}}
	}
	sure := room.sure[from:]
	return v.carry(room.parts[from:], alone, func(in []outcome, _ []int) outcome {
		n, ok := aggregate(e.Op, sure, in)
		return outcome{n, ok}
	})
}

// carry works a node out of its parts: as they are, then with each source moved
// that enters any of them. It tells work which parts are moved, nil for none.
// Alone is as for moves.
func (v *env) carry(parts []moves, alone bool, work func(in []outcome, moved []int) outcome) moves {
	var m moves
	room := v.room()
	in, next, moved := room.in[:0], room.next[:0], room.moved[:0]
	most := 0
	for i := range parts {
		in, next = append(in, parts[i].still), append(next, 0)
		m.given = m.given || parts[i].given
		most += len(parts[i].list)
	}
	defer func() { room.in, room.next, room.moved = in, next, moved }()
	m.still = work(in, nil)
	if most == 0 || alone && m.still.unknown() {
		return m
	}
	m.list = room.take(most)
	for {
		source := int32(math.MaxInt32)
		for i := range parts {
			if k := next[i]; k < len(parts[i].list) {
				source = min(source, parts[i].list[k].source)
			}
		}
		moved = moved[:0]
		for i := range parts {
			if k := next[i]; k < len(parts[i].list) && parts[i].list[k].source == source {
				moved = append(moved, i)
				in[i] = parts[i].list[k].up
			}
		}
		if len(moved) == 0 {
			m.list = room.close(m.list)
			return m
		}
		up := work(in, moved)
		for _, i := range moved {
			in[i] = parts[i].list[next[i]].down
		}
		down := work(in, moved)
		m.list = append(m.list, move{source, up, down})
		for _, i := range moved {
			in[i] = parts[i].still
			next[i]++
		}
	}
}

// terms are the contributions of the sources to a number: of the two moves the
// larger change of either end. False where a move leaves a domain. Nil if no
// uncertainty is given at all.
//
// Formula: U_s = max(|f(x+u) − f(x)|, |f(x−u) − f(x)|), JCGM 100:2008, 5.1.3
// note 2, with the sign of the upward move.
func (m *moves) terms() ([]measure.Term, bool) {
	if !m.given {
		return nil, true
	}
	out := make([]measure.Term, 0, len(m.list))
	base := m.still
	for _, s := range m.list {
		if !s.up.ok || !s.down.ok {
			return nil, false
		}
		u := change(s.up.Lo-base.Lo, s.down.Lo-base.Lo)
		if high := change(s.up.Hi-base.Hi, s.down.Hi-base.Hi); math.Abs(high) > math.Abs(u) {
			u = high
		}
		if u != 0 {
			out = append(out, measure.Term{Source: s.source, U: u})
		}
	}
	return out, true
}

// change is the larger of two moves of an end, with the sign of the upward one;
// 0 for an end that is not bounded.
func change(up, down float64) float64 {
	if math.IsNaN(up) || math.IsInf(up, 0) || math.IsNaN(down) || math.IsInf(down, 0) {
		return 0
	}
	u := max(math.Abs(up), math.Abs(down))
	if up < 0 || up == 0 && down > 0 {
		return -u
	}
	return u
}
