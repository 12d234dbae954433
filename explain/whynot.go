package explain

import (
	"cmp"
	"slices"
	"strconv"

	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// WhyNot tells every way in which a finding, number or level of a verdict could
// have been concluded, and what stands against each, then the smallest sets of
// observations that would change the answer.
func (c *Case) WhyNot(id record.FactID) *account.Explanation {
	return c.WhyNotAsked(&Asked{Facts: []record.FactID{id}})
}

// Bounds of the search for what would change an answer.
const (
	mostCandidates = 40
	mostAtOnce     = 3
	mostTried      = 2000
	mostSets       = 8
)

// changes searches for what would make a finding true, or a level of a verdict;
// of one that is true, what would keep it from being so.
func (c *Case) changes(id record.FactID) *account.Changes {
	if id.Prop.Role == vocab.Computed {
		return nil
	}
	state := c.State(id)
	s := &search{Case: c, want: func(t *trials) bool { return t.session.State(id.Part, id.Prop) == truth.True }}
	s.out.To = "it would hold"
	if state == truth.True {
		s.out.To = "it would hold no longer"
		s.want = func(t *trials) bool { return t.session.State(id.Part, id.Prop) != truth.True }
	}
	s.from(id)
	s.run()
	return &s.out
}

// changesOfVerdict searches for what would make a part fit to go back; of one
// that is fit, what would keep it from going back.
func (c *Case) changesOfVerdict(part int32) *account.Changes {
	k := c.Facts.Parts[part].Kind
	v, ok := c.Result.Verdict(part)
	if !ok {
		return nil
	}
	var graver []record.FactID
	for _, l := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther} {
		if p := k.Property(vocab.VerdictID(l)); p != nil {
			graver = append(graver, record.FactID{Part: part, Prop: p})
		}
	}
	refit := func(t *trials) bool {
		for _, id := range graver {
			if s := t.session.State(id.Part, id.Prop); s == truth.True || s == truth.Unknown && id.Prop.Level > vocab.InspectFurther {
				return false
			}
		}
		return true
	}
	s := &search{Case: c, want: refit}
	s.out.To = "it could be refitted"
	if v.Level == vocab.Refit {
		s.out.To = "it could not be refitted as it is"
		s.want = func(t *trials) bool { return !refit(t) }
	}
	for _, id := range graver {
		s.from(id)
	}
	s.run()
	return &s.out
}

// search tries sets of answers on a session, smallest sets first.
type search struct {
	*Case
	want   func(*trials) bool
	pivots []*pivot
	out    account.Changes
	t      *trials
	found  []found
}

type found struct {
	pivots  []int
	answers []int
}

// otherwise tells whether a fact is known, so that it would have to have been
// otherwise; one known too coarsely can be measured again.
func (v *pivot) otherwise() bool { return v.known && v.finer == 0 }

// from takes up the facts that a conclusion rests on.
func (s *search) from(id record.FactID) {
	ways := s.Ways(id)
	ptr := make([]*record.Way, len(ways))
	for i := range ways {
		ptr[i] = &ways[i]
	}
	for _, v := range s.prober(true).behind(ptr...) {
		i := slices.IndexFunc(s.pivots, func(o *pivot) bool { return o.id == v.id })
		if i < 0 {
			s.pivots = append(s.pivots, v)
		} else {
			s.pivots[i].join(v)
		}
	}
}

func (s *search) run() {
	// What is still to be looked at goes before what would have to have been
	// otherwise.
	slices.SortStableFunc(s.pivots, func(a, b *pivot) int {
		return cmp.Or(cmp.Compare(b2i(a.otherwise()), b2i(b.otherwise())), a.id.Compare(b.id))
	})
	if len(s.pivots) > mostCandidates {
		s.out.Stopped = "too many facts: the first " + strconv.Itoa(mostCandidates) + " of " + strconv.Itoa(len(s.pivots)) + " were tried"
		s.pivots = s.pivots[:mostCandidates]
	}
	s.out.Candidates = len(s.pivots)
	s.out.Sets = []account.Set{}
	if len(s.pivots) == 0 {
		return
	}
	s.t = s.trials()
	for size := 1; size <= min(mostAtOnce, len(s.pivots)); size++ {
		s.out.Size = size
		if !s.sets(size, 0, nil, nil) || len(s.found) > 0 {
			break
		}
	}
	s.out.Tried = s.t.count
	s.tell()
}

// sets tries all sets of a size that begin with those chosen; false when the
// search was stopped.
func (s *search) sets(size, from int, chosen, answers []int) bool {
	if len(chosen) == size {
		s.t.run()
		if s.want(s.t) {
			s.found = append(s.found, found{slices.Clone(chosen), slices.Clone(answers)})
		}
		if s.t.count >= mostTried {
			s.out.Stopped = "stopped after " + strconv.Itoa(mostTried) + " trials"
			return false
		}
		return true
	}
	for i := from; i < len(s.pivots); i++ {
		v := s.pivots[i]
		for k := range v.answers {
			s.t.set(v.id, &v.answers[k])
			if !s.sets(size, i+1, append(chosen, i), append(answers, k)) {
				return false
			}
		}
		s.t.restore(v.id)
	}
	return true
}

// tell groups what was found by the facts of each set, and words it.
func (s *search) tell() {
	for len(s.found) > 0 {
		first := s.found[0]
		var same []found
		s.found = slices.DeleteFunc(s.found, func(f found) bool {
			if slices.Equal(f.pivots, first.pivots) {
				same = append(same, f)
				return true
			}
			return false
		})
		if len(s.out.Sets) >= mostSets {
			s.out.More++
			continue
		}
		set := account.Set{}
		for at, i := range first.pivots {
			v := s.pivots[i]
			var ks []int
			for _, f := range same {
				if !slices.Contains(ks, f.answers[at]) {
					ks = append(ks, f.answers[at])
				}
			}
			set.Otherwise = set.Otherwise || v.otherwise()
			set.Would = append(set.Would, s.would(v, ks))
		}
		if !product(same, set.Would) { // the answers hang on each other: tell the first
			for at, i := range first.pivots {
				set.Would[at] = s.would(s.pivots[i], []int{first.answers[at]})
			}
		}
		s.out.Sets = append(s.out.Sets, set)
	}
	slices.SortStableFunc(s.out.Sets, func(a, b account.Set) int { return cmp.Compare(b2i(a.Otherwise), b2i(b.Otherwise)) })
}

// product tells whether every combination of the single answers was found.
func product(same []found, would []account.Would) bool {
	n := 1
	for at := range would {
		var ks []int
		for _, f := range same {
			if !slices.Contains(ks, f.answers[at]) {
				ks = append(ks, f.answers[at])
			}
		}
		n *= len(ks)
	}
	return n == len(same)
}

func (s *search) would(v *pivot, answers []int) account.Would {
	w := account.Would{Fact: s.FactID(v.id), Name: s.FactName(v.id), Be: s.answerWords(v, answers)}
	if r := s.Read(v.id); r.From != account.FromNotLooked && r.From != account.FromNowhere {
		w.Now = r.Value
	}
	for _, ask := range v.asks {
		if ask != v.id {
			w.Asks = append(w.Asks, s.FactID(ask))
		}
	}
	if !v.otherwise() {
		w.Look = s.Looking(v.asks[0])
	}
	if v.finer > 0 {
		w.Finer = words.Enough(v.finer, v.id.Prop.Unit)
	}
	return w
}

// answerWords words a set of answers of one fact.
func (c *Case) answerWords(v *pivot, answers []int) string {
	p := v.id.Prop
	switch p.Type {
	case vocab.YesNo, vocab.Choice:
		var mask uint64
		for _, k := range answers {
			mask |= v.answers[k].value.Mask
		}
		return words.RangeOf(p, mask)
	}
	var regions []string
	slices.SortFunc(answers, func(a, b int) int { return cmp.Compare(v.answers[a].from, v.answers[b].from) })
	for i := 0; i < len(answers); {
		j := i + 1
		for j < len(answers) && v.answers[answers[j]].from == v.answers[answers[j-1]].to {
			j++
		}
		regions = append(regions, c.Region(p, v.answers[answers[i]].from, v.answers[answers[j-1]].to))
		i = j
	}
	return words.List(regions, "or")
}
