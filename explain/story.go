package explain

import (
	"slices"

	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Role is the part that a finding plays in the story.
type Role uint8

const (
	NoRole  Role = iota
	Root         // nothing accepted leads to it
	Circle       // it feeds itself, and nothing accepted outside leads to the circle
	KnockOn      // something accepted led to it
	Apart        // it is linked to nothing
)

var roleNames = [...]string{"", "root", "circle", "knock_on", "apart"}

func (r Role) String() string { return roleNames[r] }

// Story is where it began, what followed, and what does not fit.
type Story struct {
	Chains      []Chain // the one that accounts for most stands first
	Unaccounted []Sign  // nothing accepted accounts for them
	Accounted   []Sign
	Missing     []Expected // what accepted causes should have shown, and did not
	// Fewest are the fewest accepted causes that together account for every sign
	// that causes account for; FewestOf counts those signs.
	Fewest      []record.FactID
	FewestOf    int
	FewestExact bool    // the fewest were searched for exactly
	Backwards   []Leads // links that the known order of events forbids
	LookAlso    []Reach
	// Bears tells of observations, by index, whether a finding held rests on them.
	Bears map[int32]bool
}

// Chain is findings joined by links.
type Chain struct {
	Findings []Told
	Links    []Leads
	Circles  []SelfFeeding
	Accounts int // signs accounted for
}

// Told is a finding in the story.
type Told struct {
	record.Finding
	Role Role
	// Depth counts links from the nearest root; a circle counts as one finding.
	Depth int
}

// Leads is a link between two findings of the case.
type Leads struct {
	Link     *rules.Link
	Bound    []int32
	From, To record.FactID
	Forbid   bool // it would run backwards in the known order of events
}

// SelfFeeding is a circle of links.
type SelfFeeding struct {
	Members []record.FactID
	Started []record.FactID // accepted findings outside that lead into it
	Perhaps []Leads         // links into it from findings not known, which could have started it
}

// Sign is an observation to account for, with what accounts for it.
type Sign struct {
	Observation int // index in Facts.Observations
	By          []record.FactID
}

// Expected is a sign that an accepted cause usually shows, and that is absent.
type Expected struct {
	Cause record.FactID
	Way   record.Way
}

// Reach is a piece of work behind the story, with the other places it reached.
type Reach struct {
	Work    int32
	Because record.FactID
	Places  []int32
}

// Story puts the accepted findings into order.
func (c *Case) Story() *Story {
	s := &storyteller{Case: c, index: map[record.FactID]int{}}
	for _, f := range c.Result.True() {
		s.index[f.FactID] = len(s.accepted)
		s.accepted = append(s.accepted, f)
	}
	s.findLinks()
	s.chains()
	s.account()
	s.expected()
	s.fewest()
	s.reach()
	s.rank()
	return &s.story
}

type storyteller struct {
	*Case
	accepted []record.Finding
	index    map[record.FactID]int // in accepted
	links    []Leads               // between accepted findings, in force
	into     []Leads               // from findings not known to accepted ones
	comp     []int                 // strongly connected component of each accepted finding
	chain    []int                 // chain of each accepted finding
	story    Story
}

// findLinks binds the links of the pack and keeps those whose ends are held.
func (s *storyteller) findLinks() {
	before := s.order()
	for _, l := range s.Pack.Links {
		may := func(name int, part int32) bool {
			if _, held := s.index[record.FactID{Part: part, Prop: l.To.Prop}]; name == l.To.Var && !held {
				return false
			}
			from := record.FactID{Part: part, Prop: l.From.Prop}
			_, held := s.index[from]
			return name != l.From.Var || held || s.State(from) == truth.Unknown
		}
		for _, in := range s.instancesOf(l.Each, l.If, may) {
			lead := Leads{Link: l, Bound: in.Bound,
				From: record.FactID{Part: in.Bound[l.From.Var], Prop: l.From.Prop},
				To:   record.FactID{Part: in.Bound[l.To.Var], Prop: l.To.Prop}}
			if lead.From == lead.To || in.State != truth.True {
				continue
			}
			_, to := s.index[lead.To]
			_, from := s.index[lead.From]
			lead.Forbid = before[[2]record.FactID{lead.To, lead.From}]
			switch {
			case !to:
			case lead.Forbid:
				if from {
					s.story.Backwards = append(s.story.Backwards, lead)
				}
			case from:
				s.links = append(s.links, lead)
			case s.State(lead.From) == truth.Unknown:
				s.into = append(s.into, lead)
			}
		}
	}
	byEnds := func(a, b Leads) int {
		if d := a.From.Compare(b.From); d != 0 {
			return d
		}
		if d := a.To.Compare(b.To); d != 0 {
			return d
		}
		return a.Link.Index - b.Link.Index
	}
	slices.SortStableFunc(s.links, byEnds)
	slices.SortStableFunc(s.into, byEnds)
	slices.SortStableFunc(s.story.Backwards, byEnds)
}

// account finds for every sign that calls for it what accounts for it.
func (s *storyteller) account() {
	supports := s.supports()
	s.story.Bears = map[int32]bool{}
	for o := range supports {
		s.story.Bears[o] = true
	}
	up := s.ancestors()
	for i := range s.Facts.Observations {
		o := &s.Facts.Observations[i]
		if o.Basis != int32(i) {
			continue
		}
		found := supports[int32(i)]
		if !outsideNormal(o) && !slices.ContainsFunc(found, func(e evidence) bool { return e.damage }) {
			continue
		}
		sign := Sign{Observation: i}
		for _, e := range found {
			f := s.accepted[e.finding].FactID
			if e.clue || f.Prop.Role == vocab.Cause {
				sign.By = append(sign.By, f)
			}
			for _, a := range up[e.finding] {
				sign.By = append(sign.By, s.accepted[a].FactID)
			}
		}
		slices.SortFunc(sign.By, record.FactID.Compare)
		sign.By = slices.Compact(sign.By)
		if len(sign.By) == 0 {
			s.story.Unaccounted = append(s.story.Unaccounted, sign)
		} else {
			s.story.Accounted = append(s.story.Accounted, sign)
		}
	}
}

// outsideNormal tells whether a choice or yes/no is known to lie outside what
// is normal.
func outsideNormal(o *rules.Observation) bool {
	return o.Prop.Role == vocab.Sign && o.Prop.Normal != 0 && o.Value.Looked == vocab.Told && o.Value.Mask != 0 && o.Value.Mask&o.Prop.Normal == 0
}

// evidence says that an observation stands behind an accepted finding.
type evidence struct {
	finding int  // in accepted
	clue    bool // by a counted clue that speaks for it
	damage  bool // by a firing rule that concludes damage
}

// supports lists, for each written observation, the accepted findings that
// stand on it.
func (s *storyteller) supports() map[int32][]evidence {
	out := map[int32][]evidence{}
	for i, f := range s.accepted {
		for _, w := range s.Ways(f.FactID) {
			if w.Rule != nil && w.State == truth.True {
				for _, o := range s.observationsOf(&w) {
					out[o] = append(out[o], evidence{finding: i, damage: f.Prop.Role == vocab.Damage})
				}
			}
			if w.Clue != nil && w.Counted && w.Weight > 0 {
				for _, o := range w.Rests {
					out[o] = append(out[o], evidence{finding: i, clue: true})
				}
			}
		}
	}
	return out
}

// observationsOf lists the written observations a fired way reads, through
// computed numbers, not through findings: those stand for themselves.
func (s *storyteller) observationsOf(w *record.Way) []int32 {
	seen := map[record.FactID]bool{}
	var out []int32
	var walk func(n *record.Seen)
	read := func(id record.FactID) {
		if seen[id] {
			return
		}
		seen[id] = true
		if o := s.Facts.Lookup(id.Part, id.Prop); o != nil {
			if o.Basis >= 0 && !slices.Contains(out, o.Basis) {
				out = append(out, o.Basis)
			}
			return
		}
		if id.Prop.Role == vocab.Computed {
			for _, w := range s.Ways(id) {
				if w.Rule != nil && w.State == truth.True {
					for i := range w.If {
						walk(&w.If[i])
					}
					for i := range w.Sets {
						walk(&w.Sets[i])
					}
				}
			}
		}
	}
	walk = func(n *record.Seen) {
		for _, id := range n.Reads {
			read(id)
		}
		for i := range n.Args {
			walk(&n.Args[i])
		}
	}
	for i := range w.If {
		walk(&w.If[i])
	}
	return out
}
