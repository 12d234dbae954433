package measure

import (
	"math"
	"slices"
)

// Direction says how a function moves with one input.
type Direction int8

const (
	Neither Direction = iota // not monotone, or not known: a range makes the result unknown
	Up                       // never falls while the input rises
	Down                     // never rises while the input rises
)

// Propagate carries values and uncertainty through f. Each independent source
// moves all inputs that carry it up together, then down together, by its U; the
// larger change counts, with the sign of the upward move:
//
//	U_s = max(|f(x+U) − f(x)|, |f(x−U) − f(x)|)
//
// a finite form of the law of propagation (JCGM 100:2008, 5.1.3 note 2). False
// when f is false or not finite at the values or at a move, or when an input is
// a range. f must not keep xs.
func Propagate(inputs []Number, f func(xs []float64) (float64, bool)) (Number, bool) {
	return PropagateRange(inputs, nil, f)
}

// PropagateRange is Propagate for inputs that may be ranges; directions has one
// entry an input (nil: all Neither). Ends of the result are closed, since f may
// be flat there. Of the two corners the larger change of each source counts.
func PropagateRange(inputs []Number, directions []Direction, f func(xs []float64) (float64, bool)) (Number, bool) {
	m, ok := MovesOf(inputs, directions)
	if !ok {
		return Number{}, false
	}
	return m.Through(f)
}

// Moves are inputs made ready for several functions of the same inputs: where
// they stand, and which of them each source moves.
type Moves struct {
	lo, hi, moved []float64
	ranged, given bool
	shares        []share // ascending by source, then by input
}

// share is what one source moves one input by.
type share struct {
	source, input int32
	u             float64
}

// MovesOf makes inputs ready, as [PropagateRange] takes them; false when one is
// a range without a direction.
func MovesOf(inputs []Number, directions []Direction) (*Moves, bool) {
	m := &Moves{}
	terms := 0
	for i := range inputs {
		n := &inputs[i]
		m.ranged = m.ranged || !n.IsValue()
		m.given = m.given || n.Terms != nil
		terms += len(n.Terms)
	}
	room := make([]float64, 0, 3*len(inputs))
	for i := range inputs {
		room = append(room, inputs[i].Lo)
	}
	m.lo, m.hi = room, room
	if m.ranged {
		for i := range inputs {
			room = append(room, inputs[i].Hi)
		}
		m.hi = room[len(inputs):]
		for i := range inputs {
			switch {
			case inputs[i].IsValue(), i < len(directions) && directions[i] == Up:
			case i < len(directions) && directions[i] == Down:
				m.lo[i], m.hi[i] = m.hi[i], m.lo[i]
			default:
				return nil, false
			}
		}
	}
	m.moved = room[len(room) : len(room)+len(inputs)]
	if terms > 0 {
		m.shares = make([]share, 0, terms)
		for i := range inputs {
			for _, t := range inputs[i].Terms {
				m.shares = append(m.shares, share{t.Source, int32(i), t.U})
			}
		}
		slices.SortStableFunc(m.shares, func(a, b share) int { return int(a.source) - int(b.source) })
	}
	return m, true
}

// Through carries the inputs through f, as [Propagate] says.
func (m *Moves) Through(f func(xs []float64) (float64, bool)) (Number, bool) {
	var out Number
	var ok bool
	if out.Lo, ok = f(m.lo); !ok || math.IsNaN(out.Lo) {
		return Number{}, false
	}
	out.Hi = out.Lo
	if m.ranged {
		if out.Hi, ok = f(m.hi); !ok || math.IsNaN(out.Hi) || out.Hi < out.Lo {
			return Number{}, false
		}
	} else if math.IsInf(out.Lo, 0) {
		return Number{}, false
	}
	if !m.given {
		return out, true
	}
	out.Terms = make([]Term, 0, m.sources())
	for rest := m.shares; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].source == rest[0].source {
			n++
		}
		u, ok := m.change(m.lo, out.Lo, rest[:n], f)
		if ok && m.ranged {
			var high float64
			high, ok = m.change(m.hi, out.Hi, rest[:n], f)
			u = larger(u, high)
		}
		if !ok {
			return Number{}, false
		}
		if u != 0 {
			out.Terms = append(out.Terms, Term{rest[0].source, u})
		}
		rest = rest[n:]
	}
	return out, true
}

// sources counts the sources of all inputs.
func (m *Moves) sources() int {
	n := 0
	for i := range m.shares {
		if i == 0 || m.shares[i].source != m.shares[i-1].source {
			n++
		}
	}
	return n
}

// change is how far f moves from base, its value at a corner, with one source:
// 0 where base is infinite.
func (m *Moves) change(corner []float64, base float64, shares []share, f func(xs []float64) (float64, bool)) (float64, bool) {
	if math.IsInf(base, 0) {
		return 0, true
	}
	var change [2]float64
	copy(m.moved, corner)
	for way, direction := range [2]float64{1, -1} {
		for _, s := range shares {
			m.moved[s.input] = corner[s.input] + direction*s.u
		}
		y, ok := f(m.moved)
		if !ok || math.IsNaN(y) || math.IsInf(y, 0) {
			return 0, false
		}
		change[way] = y - base
	}
	return signedMove(change[0], change[1]), true
}
