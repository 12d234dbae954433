package explain

import "whyworn/engine/record"

// order is the known order of events: true of a pair if the first is known to
// have come before the second, by one list of events or through several. Where
// the lists run in a circle nothing is known of the events on it.
func (s *storyteller) order() map[[2]record.FactID]bool {
	after := map[record.FactID][]record.FactID{}
	for _, o := range s.Facts.Orders {
		for i := 1; i < len(o); i++ {
			after[o[i-1]] = append(after[o[i-1]], o[i])
		}
	}
	before := map[[2]record.FactID]bool{}
	for first := range after {
		seen := map[record.FactID]bool{}
		queue := []record.FactID{first}
		for len(queue) > 0 {
			for _, next := range after[queue[0]] {
				if !seen[next] {
					seen[next] = true
					before[[2]record.FactID{first, next}] = true
					queue = append(queue, next)
				}
			}
			queue = queue[1:]
		}
	}
	for p := range before {
		if p[0] != p[1] && before[[2]record.FactID{p[1], p[0]}] {
			delete(before, p)
			delete(before, [2]record.FactID{p[1], p[0]})
		}
	}
	return before
}
