package check

import (
	"cmp"
	"fmt"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// use of a rule, a clue or a remedy for bound parts, as it bears on a step.
type bearing struct {
	rule   *rules.Rule
	set    *condition.Condition
	outs   bool // it rules out
	clue   *rules.Clue
	spoken *spoken // of a clue whose conditions hold
	remedy *rules.Remedy
	bound  []int32
	state  truth.Truth
	round  int32
}

func (b *bearing) key() string {
	id := "remedy"
	if b.rule != nil {
		id = "rule " + b.rule.ID
	} else if b.clue != nil {
		id = "clue " + b.clue.ID
	}
	return fmt.Sprint(id, b.bound)
}

// bearings lists all rules and clues that bear on a fact: rules that fire by
// round, open ones, those known not to fire, each by id and parts; then clues.
func (w *world) bearings(f fact) (out []*bearing) {
	h := w.heads[f.Prop]
	if h == nil {
		return nil
	}
	rulesOf := func(uses []use, outs bool) {
		for _, u := range uses {
			for _, bound := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
				b := &bearing{rule: u.rule, set: u.set, outs: outs, bound: bound}
				if b.state, b.round = w.rule(u.rule, bound); u.set != nil {
					_, b.state, b.round = w.setBy(u, bound)
				}
				if b.state != truth.True {
					b.round = 0
				}
				out = append(out, b)
			}
		}
	}
	rulesOf(h.then, false)
	rulesOf(h.outs, true)
	rulesOf(h.sets, false)
	out = telling(out)
	for _, clue := range h.clues {
		for _, bound := range w.bindings(clue.Each, clue.If, clue.Cause.Var, f.Part) {
			b := &bearing{clue: clue, bound: bound, state: truth.True}
			for _, c := range clue.If {
				b.state = truth.And(b.state, w.at(bound).truth(c.Root))
			}
			if s := w.sums[f]; s != nil {
				for _, it := range s.clues {
					if it.clue == clue && slices.Equal(it.bound, bound) {
						b.spoken, b.round = it, it.round+1
					}
				}
			}
			out = append(out, b)
		}
	}
	return out
}

// tells says which rules and clues a step tells in full: whynot all of them; why
// those that made it what it is, of a thing not held all that might have. Unknown
// is a rule that may be left out: one that fires later than the fact came, and
// so perhaps because of it.
func (k *Checker) tells(b *bearing, f fact) truth.Truth {
	state := k.w.state[f]
	switch {
	case b.clue != nil:
		return truth.Of(!slices.ContainsFunc(b.clue.If, func(c *condition.Condition) bool {
			return k.w.at(b.bound).truth(c.Root) == truth.False
		}))
	case k.x.Question == "whynot":
		return truth.True
	case b.outs:
		return truth.Of(b.state == truth.True || state == truth.Unknown && b.state == truth.Unknown)
	case state == truth.True && b.state == truth.True && b.round > k.w.round[f]:
		return truth.Unknown
	case state == truth.True || f.Prop.Role == vocab.Computed && b.state == truth.True:
		return truth.Of(b.state == truth.True)
	case state == truth.Unknown:
		return truth.Of(b.state != truth.False)
	}
	return truth.True
}

// mostTold is how many ways a step tells at most.
const mostTold = 60

// ways holds the ways told to those that bear on a step: each told once, none
// made up, and those not told counted.
func (k *Checker) ways(at string, s *step, all []*bearing, tells func(*bearing) truth.Truth) {
	byKey := map[string]*bearing{}
	must, may, rest := 0, 0, left{}
	for _, b := range all {
		byKey[b.key()] = b
		switch tells(b) {
		case truth.True:
			must++
		case truth.Unknown:
			may++
		}
	}
	told := map[*bearing]int{}
	for i := range s.Ways {
		v, where := &s.Ways[i], fmt.Sprintf("%s.ways[%d]", at, i)
		b := byKey[k.keyOf(v)]
		if b == nil {
			if b = k.keptApart(v, s); b != nil {
				all, byKey[b.key()] = append(all, b), b
				switch tells(b) {
				case truth.True:
					must++
				case truth.Unknown:
					may++
				}
			}
		}
		switch {
		case b == nil:
			k.fault(where, "no such rule or clue bears on %s", s.Fact)
			continue
		case told[b] > 0:
			k.fault(where, "is told twice")
		case tells(b) == truth.False:
			k.fault(where, "does not belong to the answer")
		}
		told[b] = i + 1
	}
	last := 0
	for _, b := range telling(all) {
		if told[b] > 0 && told[b] < last {
			k.fault(fmt.Sprintf("%s.ways[%d]", at, told[b]-1), "stands out of order")
		}
		last = max(last, told[b])
	}
	for _, b := range all {
		switch {
		case told[b] > 0:
		case b.state == truth.True:
			rest.Fire++
		case b.state == truth.False:
			rest.Not++
		default:
			rest.Unknown++
		}
	}
	if s.Left.Not > rest.Not && (slices.ContainsFunc(k.w.pack.Rules, func(r *rules.Rule) bool {
		return several(r.If) && slices.ContainsFunc(headsOf(r), s.of)
	}) || slices.ContainsFunc(k.w.pack.Clues, func(c *rules.Clue) bool { return several(c.If) && s.of(c.Cause) })) {
		rest.Not = s.Left.Not
	}
	k.same(at+".left", s.Left, rest)
	if n := len(told); n < min(must, mostTold) || n > min(must+may, mostTold) {
		k.fault(at+".ways", "%d are told, %d belong to the answer", n, must)
	}
	for b, n := range told {
		v, where := &s.Ways[n-1], fmt.Sprintf("%s.ways[%d]", at, n-1)
		so := k.way(b)
		if it := b.spoken; it != nil && it.through != nil && it.weight != 0 {
			so.Through = it.through.clue.ID
			for o, m := range told {
				if o.spoken == it.through {
					so.ThroughWay = m
				}
			}
		}
		k.same(where, *v, so, "why", "words", "comes", "step", "reads")
		for i, c := range v.conditions() {
			k.rests(fmt.Sprintf("%s condition %d", where, i), v, i, c, b)
		}
	}
}

// headsOf lists the heads of a rule.
func headsOf(r *rules.Rule) []rules.Head {
	heads := slices.Concat(r.Then, r.RulesOut)
	for _, a := range r.Set {
		heads = append(heads, a.Head)
	}
	return heads
}

// of tells whether a head is what a step tells.
func (s *step) of(h rules.Head) bool {
	return h.Prop.ID == s.Property || h.Prop.Role == vocab.Verdict && s.Property == "verdict"
}

// several tells whether more than one tie joins the names of a rule or clue. Of
// such also parts that only one of the ties lets meet may be told, or counted:
// they are known not to fire.
func several(conds []*condition.Condition) bool {
	n := 0
	for _, c := range conds {
		n += len(c.Ties)
	}
	return n > 1
}

// keptApart is a rule of the fact for parts that its ties keep apart.
func (k *Checker) keptApart(v *way, s *step) *bearing {
	i := slices.IndexFunc(k.w.pack.Rules, func(r *rules.Rule) bool { return r.ID == v.Rule })
	if i < 0 {
		return nil
	}
	r := k.w.pack.Rules[i]
	b := &bearing{rule: r, outs: len(r.RulesOut) > 0}
	if len(v.Bound) != len(r.Each) {
		return nil
	}
	for n, e := range r.Each {
		part, ok := k.w.f.Find(v.Bound[n].Part)
		if !ok || k.w.f.Parts[part].Kind != e.Kind {
			return nil
		}
		b.bound = append(b.bound, part)
	}
	for _, a := range r.Set {
		if a.Prop.ID == s.Property {
			b.set = a.Value
		}
	}
	mine := slices.ContainsFunc(headsOf(r), func(h rules.Head) bool { return k.w.partID(b.bound[h.Var]) == s.Part && s.of(h) })
	if b.state, _ = k.w.rule(r, b.bound); !mine || b.state != truth.False || !several(r.If) {
		return nil
	}
	return b
}

// telling is the order in which ways are told: rules, those of the gravest
// verdict first, those that fire by round, then open ones, then those known not
// to; then clues that count for it, against it, those already counted, the silent,
// each the heaviest first.
func telling(all []*bearing) []*bearing {
	states := map[truth.Truth]int{truth.True: 0, truth.Unknown: 1, truth.False: 2}
	heavy := func(b *bearing) (rank int, weight int64) {
		switch it := b.spoken; {
		case b.clue == nil:
			return 0, 0
		case it == nil || it.weight == 0:
			return 4, 0
		case !it.counted:
			return 3, max(it.weight, -it.weight)
		case it.weight > 0:
			return 1, it.weight
		default:
			return 2, -it.weight
		}
	}
	return slices.SortedStableFunc(slices.Values(all), func(a, b *bearing) int {
		if a.rule != nil && b.rule != nil {
			return cmp.Or(cmp.Compare(b.rule.Level, a.rule.Level), cmp.Compare(states[a.state], states[b.state]),
				cmp.Compare(a.round, b.round), cmp.Compare(a.rule.Index, b.rule.Index), slices.Compare(a.bound, b.bound))
		}
		r, x := heavy(a)
		q, y := heavy(b)
		return cmp.Or(cmp.Compare(r, q), cmp.Compare(y, x))
	})
}

func (k *Checker) keyOf(v *way) string {
	var bound []int32
	for _, b := range v.Bound {
		n, ok := k.w.f.Find(b.Part)
		if !ok {
			n = unknownPart
		}
		bound = append(bound, n)
	}
	id := "remedy"
	if v.Rule != "" {
		id = "rule " + v.Rule
	} else if v.Clue != "" {
		id = "clue " + v.Clue
	}
	return fmt.Sprint(id, bound)
}

// way is what a rule, clue or remedy tells of itself.
func (k *Checker) way(b *bearing) way {
	c := k.w.at(b.bound)
	out := way{State: b.state.String(), Round: b.round}
	var each rules.Binding
	var ifs []*condition.Condition
	switch {
	case b.rule != nil:
		r := b.rule
		each, ifs = r.Each, r.If
		out.Rule, out.Because, out.How, out.Source = r.ID, c.say(r.Because), r.How, r.Source
		switch {
		case b.outs:
			out.Does = "rules_out"
		case b.set != nil:
			out.Does = "sets"
		case r.Level != vocab.NoWord:
			out.Does = "verdict"
		default:
			out.Does = "concludes"
		}
		for _, u := range r.Unless {
			t := c.truth(u.Root)
			out.Unless = append(out.Unless, c.tell(u))
			out.Assumed = out.Assumed || b.state == truth.True && t == truth.Unknown
		}
		if b.set != nil {
			s := c.tell(b.set)
			out.Sets = &s
		}
	case b.clue != nil:
		q := b.clue
		each, ifs = q.Each, q.If
		out.Clue, out.How, out.Source, out.Counts, out.Does = q.ID, q.Mechanism, q.Source, q.Counts, "speaks"
		s := c.tell(q.Sign)
		out.Sign, out.SignWords = &s, s.Plain
		out.WhenSo, out.Otherwise = frequencies(q, q.WhenSo, q.WhenSoWord), frequencies(q, q.Otherwise, q.OtherwiseWord)
		out.Lambda, out.Weight = 1, decibans(0)
		if it := b.spoken; it != nil {
			out.Lambda, out.Decibans, out.Weight, out.Counted = ratio(it.lambda), float64(it.weight)/unit, decibans(it.weight), it.counted
			for _, o := range it.rests {
				obs := &k.w.f.Observations[o]
				out.Rests = append(out.Rests, k.w.factID(fact{Part: obs.Part, Prop: obs.Prop}))
			}
		}
	default:
		each, ifs, out.Does = b.remedy.Each, b.remedy.If, "calls"
	}
	for i, e := range each {
		out.Bound = append(out.Bound, bound{e.ID, k.w.partID(b.bound[i])})
	}
	for _, i := range ifs {
		out.If = append(out.If, c.tell(i))
	}
	return out
}

func frequencies(q *rules.Clue, values []float64, word string) (out []often) {
	for i, v := range values {
		o := often{Value: v, Word: word}
		if len(values) > 1 {
			o.Choice = q.Sign.Root.Type.Prop.Choices[i]
		}
		out = append(out, o)
	}
	return out
}
