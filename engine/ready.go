package engine

import "math"

// ready is what decides the plain rules of a rank, in the shape in which a run
// from nothing goes through it: little of it, one after the other.
type ready struct {
	states  []readyState
	choices []readyChoice
	numbers []readyNumber
}

// readyState is what a finding decides of one set of 64 rules.
type readyState struct {
	id    pid
	set   int32
	fails [2]uint64 // if it is true, if it is false: by truth & 1
	reads uint64
}

type readyChoice struct {
	id    pid
	prop  int32 // in plainRank.props
	n     int
	fails []uint64 // by choice
}

// readyNumber finds the rules that fail by place where all limits are whole and
// lie close.
type readyNumber struct {
	id    pid
	prop  int32
	low   float64
	cells []uint16 // by number − low: its set
	above uint16   // the set of all greater numbers; set 0 is of all smaller
	fails []uint64
}

const (
	// mostCells bounds the numbers between the least and the greatest limit.
	mostCells = 1 << 11
	// mostWhole bounds the limits: numbers half apart are not equal to them
	// within rounding.
	mostWhole = 1e8
)

func makeReady(r *plainRank) ready {
	var out ready
	w := r.to - r.from
	for i := range r.props {
		b := &r.props[i]
		switch b.store {
		case inState:
			for set, reads := range b.reads {
				if reads != 0 {
					out.states = append(out.states, readyState{b.id, int32(set), [2]uint64{b.fails[w+set], b.fails[set]}, reads})
				}
			}
		case inNumber:
			out.numbers = append(out.numbers, b.ready(int32(i)))
		default:
			out.choices = append(out.choices, readyChoice{b.id, int32(i), len(b.fails) / w, b.fails})
		}
	}
	return out
}

func (b *bitProp) ready(at int32) readyNumber {
	q := readyNumber{id: b.id, prop: at}
	n := len(b.limits)
	if n == 0 || b.limits[n-1]-b.limits[0] >= mostCells {
		return q
	}
	for _, x := range b.limits {
		if x != math.Trunc(x) || math.Abs(x) > mostWhole {
			return q
		}
	}
	// sets: those between limits, then those on them
	q.fails = append(append(q.fails, b.gaps...), b.exact...)
	q.low, q.above = b.limits[0], uint16(n)
	q.cells = make([]uint16, int(b.limits[n-1]-q.low)+1)
	next := 0
	for i := range q.cells {
		q.cells[i] = uint16(next)
		if b.limits[next] == q.low+float64(i) {
			q.cells[i] = uint16(n + 1 + next)
			next++
		}
	}
	return q
}

// place is the set of rules that fail for a number, -1 if it has to be looked at
// closely.
func (q *readyNumber) place(v float64) int {
	d := v - q.low
	if k := int(d); uint(k) < uint(len(q.cells)) && float64(k) == d {
		return int(q.cells[k])
	}
	switch {
	case len(q.cells) == 0:
	case d <= -0.5:
		return 0
	case d >= float64(len(q.cells))-0.5:
		return int(q.above)
	}
	return -1
}
