package check

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/explain/account"
	"whyworn/explain/check/anew"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// mostReplayed is how many combinations of the answers of one set are replayed.
const mostReplayed = 64

// changes replays what is said to change an answer: each set of observations is
// put in the place of what is known, and all that holds is worked out anew. That
// no smaller set would do, and how many were tried, is the search's own word.
func (k *Checker) changes() {
	c := k.x.Changes
	if c == nil {
		return
	}
	holds, to := k.answer()
	if holds == nil {
		k.fault("changes", "what would change is told of one thing asked for alone")
		return
	}
	k.same("changes.to", c.To, to)
	was := holds(k.w)
	var all []string
	for i := range c.Sets {
		s, where := &c.Sets[i], fmt.Sprintf("changes.sets[%d]", i)
		if len(s.Would) == 0 || len(s.Would) != c.Size {
			k.fault(where, "%d observations, where the smallest sets have %d", len(s.Would), c.Size)
			continue
		}
		var facts []anew.Fact
		var answers [][]vocab.Value
		otherwise := false
		for j := range s.Would {
			f, a, other := k.would(fmt.Sprintf("%s.would[%d]", where, j), &s.Would[j])
			if len(a) == 0 || slices.Contains(facts, f) {
				k.fault(where, "%q is no answer for %s, or it stands here twice", s.Would[j].Be, s.Would[j].Fact)
				return
			}
			facts, answers, otherwise = append(facts, f), append(answers, a), otherwise || other
		}
		k.same(where+".otherwise", s.Otherwise, otherwise)
		key := fmt.Sprint(facts)
		if slices.Contains(all, key) {
			k.fault(where, "is told twice")
		}
		all = append(all, key)
		k.combinations(facts, answers, func(values []vocab.Value) {
			if k.after(facts, values, holds) == was {
				k.fault(where, "it would change nothing")
			}
		})
	}
	if c.Candidates < c.Size || c.Size > 3 || c.Tried < len(c.Sets) || c.More < 0 || c.More > 0 && len(c.Sets) == 0 {
		k.fault("changes", "the counts of the search do not go with what it found")
	}
}

// answer is whether what is asked for holds, and how its change is worded; nil
// unless one thing is asked.
func (k *Checker) answer() (holds func(*anew.World) bool, to string) {
	if len(k.x.Asked) != 1 || len(k.x.Steps) == 0 {
		return nil, ""
	}
	s := &k.x.Steps[0]
	part, ok := k.w.Facts.Find(s.Part)
	if !ok {
		return nil, ""
	}
	if s.Property == "verdict" {
		holds = func(w *anew.World) bool {
			v, _ := w.VerdictOf(part)
			return v.Level == vocab.Refit
		}
		if holds(k.w) {
			return holds, "it could not be refitted as it is"
		}
		return holds, "it could be refitted"
	}
	p := k.w.Facts.Parts[part].Kind.Property(s.Property)
	if p == nil || !p.Role.Concluded() {
		return nil, ""
	}
	holds = func(w *anew.World) bool { return w.State(anew.Fact{Part: part, Prop: p}) == truth.True }
	if holds(k.w) {
		return holds, "it would hold no longer"
	}
	return holds, "it would hold"
}

// would reads one observation that would have to be made, as the values it can
// be; otherwise if it is known and would have to have been otherwise.
func (k *Checker) would(where string, o *account.Would) (f anew.Fact, values []vocab.Value, otherwise bool) {
	id, prop, _ := strings.Cut(o.Fact, ".")
	part, ok := k.w.Facts.Find(id)
	if !ok {
		return f, nil, false
	}
	p := k.w.Facts.Parts[part].Kind.Property(prop)
	if p == nil || p.Role.Concluded() || p.Role == vocab.Declared {
		return f, nil, false
	}
	f = anew.Fact{Part: part, Prop: p}
	r := k.w.Read(f)
	if r.From == account.FromNotLooked || r.From == account.FromNowhere {
		r.Value = ""
	}
	k.same(where+".name", o.Name, k.w.FactName(f))
	k.same(where+".now", o.Now, r.Value)
	known := k.w.Known(f) || r.From == account.FromCouldNotTell
	if o.Finer != "" && (r.Number == nil || r.Number.U == nil) {
		k.fault(where+".finer", "it was told without any uncertainty")
	}
	otherwise = known && o.Finer == ""
	looks := []*account.Looking{k.w.Looking(f)}
	for _, a := range o.Asks {
		id, prop, _ := strings.Cut(a, ".")
		n, ok := k.w.Facts.Find(id)
		var q *vocab.Property
		if ok {
			q = k.w.Facts.Parts[n].Kind.Property(prop)
		}
		if q == nil || !q.Observable || p.Role != vocab.Computed && p.Of != q {
			k.fault(where+".asks", "%s is not what is measured for it", a)
			continue
		}
		looks = append(looks, k.w.Looking(anew.Fact{Part: n, Prop: q}))
	}
	told := slices.ContainsFunc(looks, func(l *account.Looking) bool {
		return l == nil && o.Look == nil || l != nil && o.Look != nil && *l == *o.Look
	})
	if otherwise && o.Look != nil || !otherwise && !told {
		k.fault(where+".look", "that is not how it is looked at")
	}
	return f, answersOf(p, o.Be), otherwise
}

// combinations visits the combinations of answers, up to a bound.
func (k *Checker) combinations(facts []anew.Fact, answers [][]vocab.Value, visit func([]vocab.Value)) {
	n := 0
	var next func(chosen []vocab.Value)
	next = func(chosen []vocab.Value) {
		if len(chosen) == len(facts) {
			if n++; n <= mostReplayed {
				visit(chosen)
			}
			return
		}
		for _, v := range answers[len(chosen)] {
			next(append(chosen[:len(chosen):len(chosen)], v))
		}
	}
	next(nil)
}

// after tells whether an answer holds once some observations are what they are
// said to be.
func (k *Checker) after(facts []anew.Fact, values []vocab.Value, holds func(*anew.World) bool) bool {
	key := fmt.Sprint(facts, values)
	w, tried := k.others[key]
	if !tried {
		w = anew.New(k.w.Pack, amended(k.w.Facts, facts, values))
		k.others[key] = w
	}
	return holds(w)
}
