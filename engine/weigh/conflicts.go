package weigh

import "math/bits"

// conflicts is a graph of up to ExactUpTo clues in order of ID, with an edge
// between two that rest on a common observation; weights are above 0.
type conflicts struct {
	weight [ExactUpTo]Weight
	with   [ExactUpTo]uint32 // neighbours as a bit set
}

// best is the independent set of greatest weight among the clues of set; among
// equal ones, the one that holds the smallest clue in which two of them differ.
//
// The clues are gone through upwards, each being taken when the greatest weight
// can still be reached with it. Which is why ties need no further care.
func (c *conflicts) best(set uint32) uint32 {
	var chosen uint32
	left := c.greatest(set)
	for set != 0 {
		j := bits.TrailingZeros32(set)
		set &^= 1 << j
		rest := set &^ c.with[j]
		if c.weight[j]+c.greatest(rest) == left {
			chosen |= 1 << j
			left -= c.weight[j]
			set = rest
		}
	}
	return chosen
}

// greatest is the greatest weight of an independent set among the clues of set.
// It branches on the clue with the most conflicts, so 20 clues need at most a
// few thousand steps: with three or more conflicts a branch loses four clues.
func (c *conflicts) greatest(set uint32) Weight {
	var sum Weight
	most, at := 0, -1
	for rest := set; rest != 0; rest &= rest - 1 {
		j := bits.TrailingZeros32(rest)
		d := bits.OnesCount32(c.with[j] & set)
		if d == 0 {
			sum += c.weight[j]
			set &^= 1 << j
		} else if d > most {
			most, at = d, j
		}
	}
	if at < 0 {
		return sum
	}
	set &^= 1 << at
	without := c.greatest(set)
	with := c.weight[at] + c.greatest(set&^c.with[at])
	return sum + max(with, without)
}
