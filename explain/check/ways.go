package check

import (
	"fmt"
	"slices"

	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// tells says which rules and clues a step tells in full: whynot all of them; why
// those that made it what it is, of a thing not held all that might have. Unknown
// is a rule that may be left out: one that fires later than the fact came, and
// so perhaps because of it.
func (k *Checker) tells(b *anew.Bearing, f anew.Fact) truth.Truth {
	state := k.w.State(f)
	switch {
	case b.Clue != nil:
		return truth.Of(!slices.ContainsFunc(b.Clue.If, func(c *condition.Condition) bool {
			return k.w.At(b.Bound).Truth(c.Root) == truth.False
		}))
	case k.x.Question == "whynot":
		return truth.True
	case b.Outs:
		return truth.Of(b.State == truth.True || state == truth.Unknown && b.State == truth.Unknown)
	case state == truth.True && b.State == truth.True && b.Round > k.w.Round(f):
		return truth.Unknown
	case state == truth.True || f.Prop.Role == vocab.Computed && b.State == truth.True:
		return truth.Of(b.State == truth.True)
	case state == truth.Unknown:
		return truth.Of(b.State != truth.False)
	}
	return truth.True
}

// mostTold is how many ways a step tells at most.
const mostTold = 60

// ways holds the ways told to those that bear on a step: each told once, none
// made up, and those not told counted.
func (k *Checker) ways(at string, s *said.Step, all []*anew.Bearing, tells func(*anew.Bearing) truth.Truth) {
	byKey := map[string]*anew.Bearing{}
	must, may := 0, 0
	enter := func(b *anew.Bearing) {
		byKey[b.Key()] = b
		switch tells(b) {
		case truth.True:
			must++
		case truth.Unknown:
			may++
		}
	}
	for _, b := range all {
		enter(b)
	}
	told := map[*anew.Bearing]int{} // counted from 1
	for i := range s.Ways {
		v, where := &s.Ways[i], fmt.Sprintf("%s.ways[%d]", at, i)
		b := byKey[k.keyOf(v)]
		if b == nil {
			if b = k.keptApart(v, s); b != nil {
				all = append(all, b)
				enter(b)
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
	for _, b := range anew.Telling(all) {
		if told[b] > 0 && told[b] < last {
			k.fault(fmt.Sprintf("%s.ways[%d]", at, told[b]-1), "stands out of order")
		}
		last = max(last, told[b])
	}
	k.same(at+".left", s.Left, k.left(s, all, told))
	if n := len(told); n < min(must, mostTold) || n > min(must+may, mostTold) {
		k.fault(at+".ways", "%d are told, %d belong to the answer", n, must)
	}
	for b, n := range told {
		k.way(fmt.Sprintf("%s.ways[%d]", at, n-1), &s.Ways[n-1], b, told)
	}
}

// left counts the ways that a step does not tell.
func (k *Checker) left(s *said.Step, all []*anew.Bearing, told map[*anew.Bearing]int) (rest said.Left) {
	for _, b := range all {
		switch {
		case told[b] > 0:
		case b.State == truth.True:
			rest.Fire++
		case b.State == truth.False:
			rest.Not++
		default:
			rest.Unknown++
		}
	}
	bears := func(conds []*condition.Condition, heads ...rules.Head) bool {
		return several(conds) && slices.ContainsFunc(heads, func(h rules.Head) bool { return tellsOf(s, h) })
	}
	if s.Left.Not > rest.Not && (slices.ContainsFunc(k.w.Pack.Rules, func(r *rules.Rule) bool { return bears(r.If, headsOf(r)...) }) ||
		slices.ContainsFunc(k.w.Pack.Clues, func(c *rules.Clue) bool { return bears(c.If, c.Cause) })) {
		rest.Not = s.Left.Not
	}
	return rest
}

// way holds one way told to what is so, and its conditions to what they rest on.
func (k *Checker) way(where string, v *said.Way, b *anew.Bearing, told map[*anew.Bearing]int) {
	so := k.w.Way(b)
	if it := b.Spoken; it != nil && it.Through != nil && it.Weight != 0 {
		so.Through = it.Through.Clue.ID
		for o, n := range told {
			if o.Spoken == it.Through {
				so.ThroughWay = n
			}
		}
	}
	k.same(where, *v, so, "why", "words", "comes", "step", "reads")
	for i, c := range v.Conditions() {
		k.rests(fmt.Sprintf("%s condition %d", where, i), v, i, c, b)
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

// tellsOf tells whether a head is what a step tells.
func tellsOf(s *said.Step, h rules.Head) bool {
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
func (k *Checker) keptApart(v *said.Way, s *said.Step) *anew.Bearing {
	i := slices.IndexFunc(k.w.Pack.Rules, func(r *rules.Rule) bool { return r.ID == v.Rule })
	if i < 0 {
		return nil
	}
	r := k.w.Pack.Rules[i]
	b := &anew.Bearing{Rule: r, Outs: len(r.RulesOut) > 0}
	if len(v.Bound) != len(r.Each) {
		return nil
	}
	for n, e := range r.Each {
		part, ok := k.w.Facts.Find(v.Bound[n].Part)
		if !ok || k.w.Facts.Parts[part].Kind != e.Kind {
			return nil
		}
		b.Bound = append(b.Bound, part)
	}
	for _, a := range r.Set {
		if a.Prop.ID == s.Property {
			b.Set = a.Value
		}
	}
	mine := slices.ContainsFunc(headsOf(r), func(h rules.Head) bool { return k.w.PartID(b.Bound[h.Var]) == s.Part && tellsOf(s, h) })
	if b.State, _ = k.w.Rule(r, b.Bound); !mine || b.State != truth.False || !several(r.If) {
		return nil
	}
	return b
}

func (k *Checker) keyOf(v *said.Way) string {
	var bound []int32
	for _, b := range v.Bound {
		n, ok := k.w.Facts.Find(b.Part)
		if !ok {
			n = anew.UnknownPart
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
