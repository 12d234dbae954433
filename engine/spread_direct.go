package engine

import "whyworn/facts/truth"

// A component is direct if all its facts make each other true one for one, by
// one reference or list, and nothing rules them out or weighs them. Then what is
// true spreads round by round through flat lists, and no rule is asked.

func (p *Program) findDirect() {
	for i := range p.comps {
		c := &p.comps[i]
		c.direct = !p.weighs
		for _, id := range c.props {
			x := &p.info[id]
			c.direct = c.direct && len(x.outs) == 0 && x.prop.Role.Concluded()
			for j := range x.inside {
				c.direct = c.direct && x.inside[j].direct && len(x.inside[j].steps) == 1
			}
		}
	}
}

// drainDirect is drain for a direct component. What spreads in a round is settled
// as soon as it is reached: no fact can come earlier.
func (s *Session) drainDirect(c *component) {
	if s.front == nil {
		s.front, s.ahead = make([][]int32, len(s.p.info)), make([][]int32, len(s.p.info))
	}
	for _, id := range c.props {
		n := len(s.l.OfKind[s.p.info[id].prop.Kind.Index]) + 1 // one more is written than taken
		for _, lists := range [2][][]int32{s.front, s.ahead} {
			if cap(lists[id]) < n {
				lists[id] = make([]int32, 0, n)
			}
			lists[id] = lists[id][:0]
		}
	}
	q := &s.queue
	for round, left := 0, 0; round < len(q.by) || left > 0; round++ {
		if round < len(q.by) {
			for _, f := range q.by[round] {
				at := s.first[f.id] + f.ord
				if s.round[at] == int32(round) && s.state[at] != truth.True {
					s.state[at] = truth.True
					s.front[f.id] = append(s.front[f.id], f.ord)
				}
			}
			q.by[round] = q.by[round][:0]
		}
		left = 0
		for _, id := range c.props {
			if s.spend(int64(len(s.front[id]))) {
				return
			}
			x := &s.p.info[id]
			for i := range x.inside {
				s.spreadAll(&x.inside[i], id)
			}
		}
		for _, id := range c.props {
			rounds := s.round[s.first[id]:]
			for _, o := range s.ahead[id] {
				rounds[o] = int32(round) + 1
			}
			left += len(s.ahead[id])
			s.front[id], s.ahead[id] = s.ahead[id], s.front[id][:0]
		}
	}
}

// spreadAll makes true what the facts in front fire by a rule. Whether one is new
// is as good as random, so that it is counted and not branched on.
func (s *Session) spreadAll(rd *reading, id pid) {
	inv := s.directOf(rd, id)
	head := rd.heads[0].prop
	first := s.first[head]
	states := s.state[first : first+int32(len(s.l.OfKind[s.p.info[head].prop.Kind.Index]))]
	ahead := s.ahead[head]
	n := len(ahead)
	ahead = ahead[:cap(ahead)]
	starts, items := inv.starts, inv.items
	for _, f := range s.front[id] {
		for _, o := range items[starts[f]:starts[f+1]] {
			ahead[n] = o
			n += int(^states[o] >> 1 & 1) // true alone has the second bit
			states[o] = truth.True
		}
	}
	s.ahead[head] = ahead[:n]
}
