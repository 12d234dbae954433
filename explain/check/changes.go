package check

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/engine/meaning"
	"whyworn/explain/account"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// mostReplayed is how many combinations of the answers of one set are replayed.
const mostReplayed = 64

// changes replays what is said to change an answer: each set of observations is
// put in the place of what is known, and all that holds is worked out meaning. That
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
	was := holds(k.w)
	k.same("changes.to", c.To, to[was])
	told := map[string]bool{}
	for i := range c.Sets {
		s, where := &c.Sets[i], fmt.Sprintf("changes.sets[%d]", i)
		if len(s.Would) == 0 || len(s.Would) != c.Size {
			k.fault(where, "%d observations, where the smallest sets have %d", len(s.Would), c.Size)
		}
		instead, otherwise := []instead{{facts: k.w.Facts}}, false
		var facts []meaning.Fact
		for j := range s.Would {
			f, answers, other := k.would(fmt.Sprintf("%s.would[%d]", where, j), &s.Would[j])
			if len(answers) == 0 || slices.Contains(facts, f) {
				k.fault(where, "%q is no answer for %s, or it stands here twice", s.Would[j].Be, s.Would[j].Fact)
				return
			}
			facts, otherwise, instead = append(facts, f), otherwise || other, combined(instead, f, answers)
		}
		k.same(where+".otherwise", s.Otherwise, otherwise)
		if key := fmt.Sprint(facts); told[key] {
			k.fault(where, "is told twice")
		} else {
			told[key] = true
		}
		for _, o := range instead {
			if k.others[o.key] == nil {
				k.others[o.key] = meaning.New(k.w.Pack, o.facts)
			}
			if holds(k.others[o.key]) == was {
				k.fault(where, "it would change nothing")
			}
		}
	}
	if c.Candidates < c.Size || c.Size > 3 || c.Tried < len(c.Sets) || c.More < 0 || c.More > 0 && len(c.Sets) == 0 {
		k.fault("changes", "the counts of the search do not go with what it found")
	}
	// A search that found nothing and was not stopped has gone as far as it could.
	if (c.Size == 0) != (c.Candidates == 0) || len(c.Sets) == 0 && c.Stopped == "" && c.Size != min(3, c.Candidates) {
		k.fault("changes.size", "%d at once of %d does not go with a search that found %d", c.Size, c.Candidates, len(c.Sets))
	}
}

// instead is an inspection with other answers; key names them.
type instead struct {
	facts *rules.Facts
	key   string
}

// combined puts each answer for a fact into each inspection, up to a bound.
func combined(all []instead, f meaning.Fact, answers []vocab.Value) (out []instead) {
	for _, o := range all {
		for _, v := range answers {
			out = append(out, instead{o.facts.With(f, v), o.key + fmt.Sprint(f, v)})
		}
	}
	return out[:min(len(out), mostReplayed)]
}

// answer is whether what is asked for holds, and how its change is worded once it
// does not and once it does; nil unless one thing is asked.
func (k *Checker) answer() (holds func(*meaning.World) bool, to map[bool]string) {
	if len(k.x.Asked) != 1 || len(k.x.Steps) == 0 {
		return nil, nil
	}
	s := &k.x.Steps[0]
	part, ok := k.w.Facts.Find(s.Part)
	if !ok {
		return nil, nil
	}
	if s.Property == "verdict" {
		return func(w *meaning.World) bool {
			v, _ := w.VerdictOf(part)
			return v.Level == vocab.Refit
		}, map[bool]string{false: "it could be refitted", true: "it could not be refitted as it is"}
	}
	p := k.w.Facts.Parts[part].Kind.Property(s.Property)
	if p == nil || !p.Role.Concluded() {
		return nil, nil
	}
	return func(w *meaning.World) bool { return w.State(meaning.Fact{Part: part, Prop: p}) == truth.True },
		map[bool]string{false: "it would hold", true: "it would hold no longer"}
}

// would reads one observation that would have to be made, as the values it can
// be; otherwise if it is known and would have to have been otherwise.
func (k *Checker) would(where string, o *account.Would) (f meaning.Fact, values []vocab.Value, otherwise bool) {
	id, prop, _ := strings.Cut(o.Fact, ".")
	part, ok := k.w.Facts.Find(id)
	if !ok {
		return f, nil, false
	}
	p := k.w.Facts.Parts[part].Kind.Property(prop)
	if p == nil || p.Role.Concluded() || p.Role == vocab.Declared {
		return f, nil, false
	}
	f = meaning.Fact{Part: part, Prop: p}
	r := k.say.Read(f)
	if r.From == account.FromNotLooked || r.From == account.FromNowhere {
		r.Value = ""
	}
	k.same(where+".name", o.Name, k.say.FactName(f))
	k.same(where+".now", o.Now, r.Value)
	known := k.w.Known(f) || r.From == account.FromCouldNotTell
	if o.Finer != "" && (r.Number == nil || r.Number.U == nil) {
		k.fault(where+".finer", "it was told without any uncertainty")
	}
	otherwise = known && o.Finer == ""
	looks := []*account.Looking{k.say.Looking(f)}
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
		looks = append(looks, k.say.Looking(meaning.Fact{Part: n, Prop: q}))
	}
	told := slices.ContainsFunc(looks, func(l *account.Looking) bool {
		return l == nil && o.Look == nil || l != nil && o.Look != nil && *l == *o.Look
	})
	if otherwise && o.Look != nil || !otherwise && !told {
		k.fault(where+".look", "that is not how it is looked at")
	}
	return f, answersOf(p, o.Be), otherwise
}
