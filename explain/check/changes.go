package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
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
		var facts []fact
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
func (k *Checker) answer() (holds func(*world) bool, to string) {
	if len(k.x.Asked) != 1 || len(k.x.Steps) == 0 {
		return nil, ""
	}
	s := &k.x.Steps[0]
	part, ok := k.w.f.Find(s.Part)
	if !ok {
		return nil, ""
	}
	if s.Property == "verdict" {
		holds = func(w *world) bool {
			v, _ := w.verdictOf(part)
			return v.level == vocab.Refit
		}
		if holds(k.w) {
			return holds, "it could not be refitted as it is"
		}
		return holds, "it could be refitted"
	}
	p := k.w.f.Parts[part].Kind.Property(s.Property)
	if p == nil || !p.Role.Concluded() {
		return nil, ""
	}
	holds = func(w *world) bool { return w.state[fact{Part: part, Prop: p}] == truth.True }
	if holds(k.w) {
		return holds, "it would hold no longer"
	}
	return holds, "it would hold"
}

// would reads one observation that would have to be made, as the values it can
// be; otherwise if it is known and would have to have been otherwise.
func (k *Checker) would(where string, o *would) (f fact, values []vocab.Value, otherwise bool) {
	id, prop, _ := strings.Cut(o.Fact, ".")
	part, ok := k.w.f.Find(id)
	if !ok {
		return f, nil, false
	}
	p := k.w.f.Parts[part].Kind.Property(prop)
	if p == nil || p.Role.Concluded() || p.Role == vocab.Declared {
		return f, nil, false
	}
	f = fact{Part: part, Prop: p}
	r := k.w.read(f)
	if r.From == "not_looked" || r.From == "not_known" {
		r.Value = ""
	}
	k.same(where+".name", o.Name, k.w.factName(f))
	k.same(where+".now", o.Now, r.Value)
	known := k.w.known(f) || r.From == "could_not_tell"
	if o.Finer != "" && (r.Number == nil || r.Number.U == nil) {
		k.fault(where+".finer", "it was told without any uncertainty")
	}
	otherwise = known && o.Finer == ""
	looks := []*looking{k.w.looking(f)}
	for _, a := range o.Asks {
		id, prop, _ := strings.Cut(a, ".")
		n, ok := k.w.f.Find(id)
		var q *vocab.Property
		if ok {
			q = k.w.f.Parts[n].Kind.Property(prop)
		}
		if q == nil || !q.Observable || p.Role != vocab.Computed && p.Of != q {
			k.fault(where+".asks", "%s is not what is measured for it", a)
			continue
		}
		looks = append(looks, k.w.looking(fact{Part: n, Prop: q}))
	}
	told := slices.ContainsFunc(looks, func(l *looking) bool {
		return l == nil && o.Look == nil || l != nil && o.Look != nil && *l == *o.Look
	})
	if otherwise && o.Look != nil || !otherwise && !told {
		k.fault(where+".look", "that is not how it is looked at")
	}
	return f, answersOf(p, o.Be), otherwise
}

// answersOf reads the words for a set of answers: choices by name or from one
// on, regions of a number by their ends, of each a value within.
func answersOf(p *vocab.Property, words string) (out []vocab.Value) {
	choices := p.Choices
	switch p.Type {
	case vocab.YesNo:
		choices = yesNo
	case vocab.Number, vocab.Whole:
		for _, w := range strings.Split(strings.ReplaceAll(words, ", ", " or "), " or ") {
			written, err := measure.ParseNumber(w, p.Unit)
			n := written.Number
			var x float64
			switch {
			case w == "known":
				x, err = 1, nil
			case math.IsInf(n.Lo, -1):
				x = n.Hi - max(math.Abs(n.Hi)/2, 1)
			case math.IsInf(n.Hi, 1):
				x = n.Lo + max(math.Abs(n.Lo)/2, 1)
			default:
				x = (n.Lo + n.Hi) / 2
			}
			if err != nil {
				return nil
			}
			if p.Type == vocab.Whole {
				x = math.Round(x)
			}
			out = append(out, vocab.Value{Looked: vocab.Told, Number: measure.Exact(x)})
		}
		return out
	case vocab.Choice:
	default:
		return nil
	}
	n := len(choices)
	for mask := uint64(1); mask < 1<<min(n, 12); mask++ { // longer lists: of their first choices alone
		if rangeOf(mask, choices, p.Ordered) != words {
			continue
		}
		for i := range choices {
			if mask>>i&1 == 1 {
				out = append(out, vocab.Value{Looked: vocab.Told, Mask: 1 << i})
			}
		}
		return out
	}
	return nil
}

// combinations visits the combinations of answers, up to a bound.
func (k *Checker) combinations(facts []fact, answers [][]vocab.Value, visit func([]vocab.Value)) {
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
func (k *Checker) after(facts []fact, values []vocab.Value, holds func(*world) bool) bool {
	key := fmt.Sprint(facts, values)
	w := k.others[key]
	if w == nil {
		w = newWorld(k.w.pack, amended(k.w.f, facts, values))
		k.others[key] = w
	}
	return holds(w)
}

// amended is an inspection with some observations put in or put otherwise.
func amended(f *rules.Facts, facts []fact, values []vocab.Value) *rules.Facts {
	out := *f
	out.Observations = slices.Clone(f.Observations)
	for i, id := range facts {
		at, found := slices.BinarySearchFunc(out.Observations, id, func(o rules.Observation, id fact) int {
			return cmp.Or(cmp.Compare(o.Part, id.Part), cmp.Compare(o.Prop.Index, id.Prop.Index))
		})
		if !found {
			for j := range out.Observations {
				if o := &out.Observations[j]; o.Basis >= int32(at) {
					o.Basis++
				}
			}
			out.Observations = slices.Insert(out.Observations, at, rules.Observation{Part: id.Part, Prop: id.Prop, Basis: int32(at)})
		}
		o := &out.Observations[at]
		o.Value, o.Answer, o.Basis = values[i], nil, int32(at)
	}
	return &out
}
