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
	lo, hi := make([]float64, len(inputs)), make([]float64, len(inputs))
	ranged, given := false, false
	for i, n := range inputs {
		lo[i], hi[i] = n.Lo, n.Hi
		given = given || n.Terms != nil
		if n.IsValue() {
			continue
		}
		ranged = true
		switch {
		case i < len(directions) && directions[i] == Up:
		case i < len(directions) && directions[i] == Down:
			lo[i], hi[i] = n.Hi, n.Lo
		default:
			return Number{}, false
		}
	}
	var out Number
	var ok bool
	if out.Lo, ok = f(lo); !ok || math.IsNaN(out.Lo) {
		return Number{}, false
	}
	out.Hi = out.Lo
	if ranged {
		if out.Hi, ok = f(hi); !ok || math.IsNaN(out.Hi) || out.Hi < out.Lo {
			return Number{}, false
		}
	} else if math.IsInf(out.Lo, 0) {
		return Number{}, false
	}
	if !given {
		return out, true
	}

	sources := sourcesOf(inputs)
	out.Terms = make([]Term, 0, len(sources))
	moved := make([]float64, len(inputs))
	for _, s := range sources {
		var worst float64
		for corner, at := range [2][]float64{lo, hi} {
			base := out.Lo
			if corner == 1 {
				if !ranged {
					break
				}
				base = out.Hi
			}
			if math.IsInf(base, 0) {
				continue
			}
			var change [2]float64
			for way, direction := range [2]float64{1, -1} {
				copy(moved, at)
				for i, n := range inputs {
					if j, found := findTerm(n.Terms, s); found {
						moved[i] += direction * n.Terms[j].U
					}
				}
				y, ok := f(moved)
				if !ok || math.IsNaN(y) || math.IsInf(y, 0) {
					return Number{}, false
				}
				change[way] = y - base
			}
			worst = larger(worst, signedMove(change[0], change[1]))
		}
		if worst != 0 {
			out.Terms = append(out.Terms, Term{s, worst})
		}
	}
	return out, true
}

func findTerm(terms []Term, source int32) (int, bool) {
	return slices.BinarySearchFunc(terms, source, func(t Term, s int32) int {
		switch {
		case t.Source < s:
			return -1
		case t.Source > s:
			return 1
		}
		return 0
	})
}

// sourcesOf lists the sources of all inputs in order, each once.
func sourcesOf(inputs []Number) []int32 {
	var out []int32
	for _, n := range inputs {
		for _, t := range n.Terms {
			out = append(out, t.Source)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
