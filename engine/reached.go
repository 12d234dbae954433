package engine

import (
	"slices"

	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// factSpace numbers every property of every part, also those that nothing
// concludes: property v and ordinal o stand at at[v]+o.
type factSpace struct {
	at   []int32 // by pid
	size int32
}

func (f *factSpace) bind(s *Session) {
	f.at, f.size = make([]int32, len(s.p.info)), 0
	for i := range s.p.info {
		f.at[i] = f.size
		f.size += int32(len(s.l.OfKind[s.p.info[i].prop.Kind.Index]))
	}
}

func (s *Session) placeOf(part int32, p *vocab.Property) int32 {
	if s.space.at == nil {
		s.space.bind(s)
	}
	return s.space.at[s.p.id(p)] + s.ords[part]
}

// bases says which written observation stands behind each fact that is told:
// its index and one, 0 for none.
type bases struct {
	of *rules.Facts // for which; nil if it has to be made again
	at []int32      // by place in the factSpace
}

// basisOf is the written observation behind a fact that is told, or -1.
func (s *Session) basisOf(place int32) int32 {
	now := s.current()
	if s.bases.of != now {
		if len(s.bases.at) != int(s.space.size) {
			s.bases.at = make([]int32, s.space.size)
		}
		clear(s.bases.at)
		for i := range now.Observations {
			if o := &now.Observations[i]; o.Value.Looked == vocab.Told && o.Basis >= 0 {
				s.bases.at[s.placeOf(o.Part, o.Prop)] = o.Basis + 1
			}
		}
		s.bases.of = now
	}
	return s.bases.at[place] - 1
}

// wayOut is what a condition can reach in a layout where nothing but fixed
// references and lists leads on: then it is the same for every inspection.
type wayOut struct {
	places []int32
	work   int64 // that finding it took
}

// reachKey is a sign and its binding.
type reachKey struct {
	sign  *condition.Condition
	bound [maxNames]int32
}

// mostReach is how many places all ways out of a session may hold.
const mostReach = 1 << 18

// findFixedReach tells whether what a condition can reach hangs on the layout
// alone.
func (p *Program) findFixedReach() {
	p.fixedReach = len(p.observedRefs) == 0
	look := func(b *binder) {
		if b.loose != nil {
			for _, c := range b.loose.conds {
				p.fixedReach = p.fixedReach && !hasKeep(c.cond.Root)
			}
		}
	}
	for _, c := range p.rules {
		look(&c.binder)
	}
	for _, c := range p.clues {
		look(&c.binder)
	}
}

// placesFrom is where the observations can stand that a sign reaches, once each.
func (s *Session) placesFrom(sign *condition.Condition, bound []int32) []int32 {
	key := reachKey{sign: sign}
	copy(key.bound[:], bound)
	r := &s.rest
	if w, ok := r.ways[key]; ok {
		s.spend(w.work)
		return w.places
	}
	if r.stamp++; r.stamp == 0 || len(r.seen) < int(s.columns.Size) {
		r.seen, r.stamp = make([]uint32, s.columns.Size), 1
	}
	r.out = r.out[:0]
	before := s.work
	s.reach(sign.Root, bound, nil)
	if !s.p.fixedReach || s.overrun != nil || r.held+len(r.out) > mostReach {
		return r.out
	}
	slices.Sort(r.out)
	w := wayOut{slices.Clone(slices.Compact(r.out)), s.work - before}
	if r.ways == nil {
		r.ways = map[reachKey]wayOut{}
	}
	r.ways[key] = w
	r.held += len(w.places)
	return w.places
}
