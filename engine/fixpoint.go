package engine

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
)

// factAt is one fact: a property and the position of its part in the kind.
type factAt struct {
	id  pid
	ord int32
}

// buckets is facts waiting by round.
type buckets struct {
	by   [][]factAt
	next int
}

func (b *buckets) clear() {
	for i := range b.by {
		b.by[i] = b.by[i][:0]
	}
	b.next = 0
}

func (b *buckets) add(round int32, f factAt) {
	for int(round) >= len(b.by) {
		b.by = append(b.by, nil)
	}
	b.by[round] = append(b.by[round], f)
}

// fixpoint settles facts that rest on each other: all of a component, or some
// of it whose reach is closed. First what must be true: the least fixpoint with
// unknown conditions taken as not holding, in order of rounds. Then what may be:
// the least fixpoint with them taken as holding. True is what must, false what
// may not, the rest is unknown.
func (s *Session) fixpoint(c *component, some []factAt) {
	all := some == nil
	if all {
		some = s.region[:0]
		for _, id := range c.props {
			for o := range int32(len(s.l.OfKind[s.p.info[id].prop.Kind.Index])) {
				some = append(some, factAt{id, o})
			}
		}
		s.region = some
	}
	s.weighAll(c.props)
	if all && c.direct {
		s.empty(c)
	} else {
		s.blockRuledOut(c, some)
	}
	s.must(c, some, all)
	if s.p.weighs {
		s.clueSeeds(c, some)
	}
	s.may(c, some)
	if !c.direct {
		s.settleLoop(c, some)
	}
}

// empty empties the facts of a component of which none is ruled out.
func (s *Session) empty(c *component) {
	for _, id := range c.props {
		from := s.first[id]
		to := from + int32(len(s.l.OfKind[s.p.info[id].prop.Kind.Index]))
		clear(s.state[from:to])
		clear(s.round[from:to])
		clear(s.flags[from:to])
	}
}

// Marks of a fact while its component is worked out; they never leave it.
const (
	blocked   record.Flag = 1 << 7 // a ruling-out fires
	wouldHold record.Flag = 1 << 6 // blocked, though a rule concludes it
)

// blockRuledOut empties the facts and marks those that are ruled out, which is
// known before.
func (s *Session) blockRuledOut(c *component, some []factAt) {
	for _, f := range some {
		x := &s.p.info[f.id]
		at := s.first[f.id] + f.ord
		s.state[at], s.round[at], s.flags[at] = truth.Unknown, 0, 0
		if len(x.outs) == 0 {
			continue
		}
		part := s.l.OfKind[x.prop.Kind.Index][f.ord]
		out := truth.False
		for i := range x.outs {
			r, _ := s.rule(s.p.rules[x.outs[i].rule], x.outs[i].name, part, f.ord)
			out = truth.Or(out, r)
		}
		switch out {
		case truth.True:
			s.flags[at] |= blocked | record.RuledOutFlag
		case truth.Unknown:
			s.flags[at] |= record.PerhapsRuledOutFlag
		}
	}
}

// must finds what is true, and in which round: facts are taken in order of
// rounds, so that the first time one holds is in its least round.
func (s *Session) must(c *component, some []factAt, all bool) {
	q := &s.queue
	q.clear()
	for _, f := range some {
		x := &s.p.info[f.id]
		part := s.l.OfKind[x.prop.Kind.Index][f.ord]
		for i := range x.then {
			h := &x.then[i]
			if all && c.supported[h.rule] {
				continue
			}
			if t, r := s.rule(s.p.rules[h.rule], h.name, part, f.ord); t == truth.True {
				s.hold(f, r)
			}
		}
	}
	if c.direct {
		s.drainDirect(c)
	} else {
		s.drain(c)
	}
}

// hold notes that a fact is true by a round.
func (s *Session) hold(f factAt, round int32) {
	at := s.first[f.id] + f.ord
	if s.flags[at]&blocked != 0 {
		s.flags[at] |= wouldHold
		return
	}
	if r := s.round[at]; r != 0 && r <= round {
		return
	}
	s.round[at] = round
	s.queue.add(round, f)
}

// drain spreads what is true, round by round.
func (s *Session) drain(c *component) {
	q := &s.queue
	for round := 0; round < len(q.by); round++ {
		for i := 0; i < len(q.by[round]); i++ {
			f := q.by[round][i]
			at := s.first[f.id] + f.ord
			if s.round[at] != int32(round) {
				continue // it came earlier
			}
			s.state[at] = truth.True
			if s.spend(1) {
				return
			}
			s.spread(c, f, int32(round))
		}
		q.by[round] = q.by[round][:0]
	}
}

// spread looks again at all that a new true fact of the component can reach
// inside it.
func (s *Session) spread(c *component, f factAt, round int32) {
	x := &s.p.info[f.id]
	for i := range x.inside {
		rd := &x.inside[i]
		if rd.direct && len(rd.steps) == 1 {
			s.spreadDirect(rd, f, round+1)
			continue
		}
		part := s.l.OfKind[x.prop.Kind.Index][f.ord]
		if rd.direct {
			// The rule fires as soon as one such fact is true: nobody need look.
			s.upstream(rd.steps, part, func(q int32) bool {
				s.hold(factAt{rd.heads[0].prop, s.ords[q]}, round+1)
				return true
			})
			continue
		}
		s.reached(rd, part, func(g factAt) bool {
			at := s.first[g.id] + g.ord
			if s.state[at] == truth.True && s.round[at] <= round+1 || s.flags[at]&wouldHold != 0 {
				return true
			}
			y := &s.p.info[g.id]
			if t, r := s.rule(s.p.rules[rd.rule], rd.nameOf(g.id), s.l.OfKind[y.prop.Kind.Index][g.ord], g.ord); t == truth.True {
				s.hold(g, r)
			}
			return s.overrun == nil
		})
	}
}

// spreadDirect makes true, by a round, what a rule concludes as soon as one such
// fact is true. No fact can come in an earlier round than one above the round
// that is being drained, so that it is settled at once.
func (s *Session) spreadDirect(rd *reading, f factAt, round int32) {
	inv := s.directOf(rd, f.id)
	head := rd.heads[0].prop
	base := s.first[head]
	blockable := len(s.p.info[head].outs) > 0
	list := &s.queue.by
	for int(round) >= len(*list) {
		*list = append(*list, nil)
	}
	waiting := (*list)[round]
	for _, o := range inv.items[inv.starts[f.ord]:inv.starts[f.ord+1]] {
		at := base + o
		if s.state[at] == truth.True && (!s.p.weighs || s.round[at] <= round) {
			continue // without clues all that is true came no later
		}
		if blockable && s.flags[at]&blocked != 0 {
			s.flags[at] |= wouldHold
			continue
		}
		s.state[at] = truth.True
		if r := s.round[at]; r != 0 && r <= round {
			continue // it waits already
		}
		s.round[at] = round
		waiting = append(waiting, factAt{head, o})
	}
	(*list)[round] = waiting
}

// directOf lists, by position of a part that a reference or list of a direct rule
// may lead to, the positions of those that refer to it.
func (s *Session) directOf(rd *reading, read pid) *listColumn {
	col := &s.direct[rd.steps[0].id]
	if col.starts != nil {
		return col
	}
	inv := s.inverseOf(rd.steps[0].id)
	parts := s.l.OfKind[s.p.info[read].prop.Kind.Index]
	col.starts = make([]int32, 1, len(parts)+1)
	for _, p := range parts {
		for _, q := range inv.items[inv.starts[p]:inv.starts[p+1]] {
			col.items = append(col.items, s.ords[q])
		}
		col.starts = append(col.starts, int32(len(col.items)))
	}
	return col
}

// clueSeeds lets what clues make true hold, unless a rule has settled it.
func (s *Session) clueSeeds(c *component, some []factAt) {
	s.rivalry(c.props)
	w := &s.weights
	q := &s.queue
	q.clear()
	for _, f := range some {
		if !s.p.info[f.id].weighed {
			continue
		}
		at := s.first[f.id] + f.ord
		w.settled[at] = s.state[at] == truth.True || s.flags[at]&wouldHold != 0
		if !w.settled[at] && w.state[at] == truth.True && s.flags[at]&blocked == 0 {
			s.hold(f, w.round[at])
		}
	}
	s.drain(c)
}

// may finds what can be true at most. While it runs, unknown stands for what
// may be and is not known to be, false for what is not reached yet.
func (s *Session) may(c *component, some []factAt) {
	todo := s.todo[:0]
	for _, f := range some {
		at := s.first[f.id] + f.ord
		if s.state[at] != truth.True {
			s.state[at] = truth.False
			s.round[at] = 0
		}
	}
	reach := func(f factAt) {
		s.state[s.first[f.id]+f.ord] = truth.Unknown
		todo = append(todo, f)
	}
	for _, f := range some {
		at := s.first[f.id] + f.ord
		if s.state[at] != truth.False {
			continue
		}
		x := &s.p.info[f.id]
		switch {
		case s.flags[at]&wouldHold != 0:
			reach(f) // concluded and ruled out
		case s.flags[at]&blocked != 0:
		case x.weighed:
			if s.weights.state[at] == truth.Unknown {
				reach(f)
			}
		case len(x.then) == 0:
			reach(f)
		case s.perhaps(f):
			reach(f)
		}
	}
	for len(todo) > 0 && s.overrun == nil {
		f := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		s.spend(1)
		x := &s.p.info[f.id]
		part := s.l.OfKind[x.prop.Kind.Index][f.ord]
		for i := range x.inside {
			if rd := &x.inside[i]; rd.direct && len(rd.steps) == 1 {
				// its rule is open as soon as one such fact is
				inv, head := s.directOf(rd, f.id), rd.heads[0].prop
				for _, o := range inv.items[inv.starts[f.ord]:inv.starts[f.ord+1]] {
					at := s.first[head] + o
					if s.state[at] == truth.False && s.flags[at]&blocked == 0 && !s.p.info[head].weighed {
						reach(factAt{head, o})
					}
				}
				continue
			}
			s.reached(&x.inside[i], part, func(g factAt) bool {
				at := s.first[g.id] + g.ord
				if s.state[at] == truth.False && s.flags[at]&blocked == 0 && !s.p.info[g.id].weighed && s.perhaps(g) {
					reach(g)
				}
				return s.overrun == nil
			})
		}
	}
	s.todo = todo
}

// perhaps tells whether some rule for a fact is not known to fail.
func (s *Session) perhaps(f factAt) bool {
	x := &s.p.info[f.id]
	part := s.l.OfKind[x.prop.Kind.Index][f.ord]
	for i := range x.then {
		h := &x.then[i]
		if t, _ := s.rule(s.p.rules[h.rule], h.name, part, f.ord); t != truth.False {
			return true
		}
	}
	return false
}

// settleLoop writes what the marks say and what evidence hands on.
func (s *Session) settleLoop(c *component, some []factAt) {
	tainted := false
	for _, f := range some {
		x := &s.p.info[f.id]
		at := s.first[f.id] + f.ord
		if s.flags[at]&wouldHold != 0 {
			s.flags[at] |= record.InConflictFlag
		}
		if x.weighed {
			w := &s.weights
			if w.inexact[at] {
				s.flags[at] |= record.InexactFlag
			}
			if s.flags[at]&blocked != 0 && !w.settled[at] && w.state[at] == truth.True ||
				w.settled[at] && w.state[at] == truth.False {
				s.flags[at] |= record.InConflictFlag
			}
		}
		s.flags[at] &^= blocked | wouldHold
		tainted = tainted || x.tainted
	}
	if tainted {
		s.spreadEvidence(some)
	}
}

// spreadEvidence finds what the facts of a component hand on to each other: the
// least fixpoint of greatest and least, which rises until nothing changes.
func (s *Session) spreadEvidence(some []factAt) {
	w := &s.weights
	for _, f := range some {
		at := s.first[f.id] + f.ord
		w.lambda[at], w.prob[at] = absent.lambda, absent.prob
	}
	for again := true; again && s.overrun == nil; {
		again = false
		for _, f := range some {
			x := &s.p.info[f.id]
			at := s.first[f.id] + f.ord
			l, p := w.lambda[at], w.prob[at]
			s.handOn(x, f.id, s.l.OfKind[x.prop.Kind.Index][f.ord], f.ord)
			if w.lambda[at] != l || w.prob[at] != p {
				again = true
			}
			s.spend(1)
		}
	}
}

// upstream visits the parts from which fixed references and lists, in order,
// lead to a part.
func (s *Session) upstream(steps []stepRef, part int32, visit func(int32) bool) bool {
	if len(steps) == 0 {
		return visit(part)
	}
	last := len(steps) - 1
	inv := s.inverseOf(steps[last].id)
	for _, q := range inv.items[inv.starts[part]:inv.starts[part+1]] {
		if !s.upstream(steps[:last], q, visit) {
			return false
		}
	}
	return true
}

// inverseOf lists for each part those that refer to it by a property.
func (s *Session) inverseOf(id pid) *listColumn {
	inv := &s.inverse[id]
	if inv.starts != nil {
		return inv
	}
	kind := s.p.info[id].prop.Kind.Index
	parts := s.l.OfKind[kind]
	inv.starts = make([]int32, len(s.l.Parts)+1)
	each := func(visit func(owner, to int32)) {
		for o, p := range parts {
			if s.p.info[id].store == inRef {
				if q := s.refs[id][o]; q >= 0 {
					visit(p, q)
				}
				continue
			}
			items, _ := s.lists[id].of(int32(o))
			for _, q := range items {
				visit(p, q)
			}
		}
	}
	each(func(_, to int32) { inv.starts[to+1]++ })
	for i := 1; i < len(inv.starts); i++ {
		inv.starts[i] += inv.starts[i-1]
	}
	inv.items = make([]int32, inv.starts[len(inv.starts)-1])
	at := slices.Clone(inv.starts)
	each(func(owner, to int32) {
		inv.items[at[to]] = owner
		at[to]++
	})
	return inv
}
