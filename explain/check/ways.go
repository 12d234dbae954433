package check

import (
	"cmp"
	"fmt"
	"slices"

	"whyworn/engine/meaning"
	"whyworn/explain/account"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// tells says which rules and clues a step tells in full: whynot all of them; why
// those that made it what it is, of a thing not held all that might have. Unknown
// is a rule that may be left out: one that fires later than the fact came, and
// so perhaps because of it.
func (k *Checker) tells(b *meaning.Bearing, f meaning.Fact) truth.Truth {
	state := k.w.State(f)
	switch {
	case b.Clue != nil:
		return truth.Of(b.State != truth.False)
	case k.x.Question == "whynot":
		return truth.True
	case b.Outs():
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

// telling is the order in which ways are told: rules, those of the gravest
// verdict first, those that fire by round, then open ones, then those known not
// to; then clues that count for it, against it, those already counted, the silent,
// each the heaviest first.
func telling(all []*meaning.Bearing) []*meaning.Bearing {
	states := []truth.Truth{truth.True, truth.Unknown, truth.False}
	rank := func(b *meaning.Bearing) int {
		if b.Clue == nil {
			return 0
		}
		return words.ClueRank(b.Counted, b.Weight)
	}
	return slices.SortedStableFunc(slices.Values(all), func(a, b *meaning.Bearing) int {
		if a.Rule != nil && b.Rule != nil {
			return cmp.Or(cmp.Compare(b.Rule.Level, a.Rule.Level), cmp.Compare(slices.Index(states, a.State), slices.Index(states, b.State)),
				cmp.Compare(a.Round, b.Round), cmp.Compare(a.Rule.Index, b.Rule.Index), slices.Compare(a.Bound, b.Bound))
		}
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(b.Weight.Abs(), a.Weight.Abs()))
	})
}

// because is the sentence of the first rule that fires, else the mechanism of
// the weightiest clue that counts for it.
func (k *Checker) because(f meaning.Fact) string {
	for _, b := range telling(k.w.Bearings(f)) {
		switch {
		case b.Rule != nil && b.State == truth.True && !b.Outs() && b.Rule.Because != nil:
			return k.say.Say(b.Rule.Because, b.Bound)
		case b.Counted && b.Weight > 0:
			return b.Clue.Mechanism
		}
	}
	return ""
}

// mostTold is how many ways a step tells at most.
const mostTold = 60

// ways holds the ways told to those that bear on what a step tells: each told once
// and in order, none made up, and those not told counted.
func (k *Checker) ways(at string, s *account.Step, all []*meaning.Bearing, tells func(*meaning.Bearing) truth.Truth) {
	told := map[*meaning.Bearing]int{} // counted from 1
	for i := range s.Ways {
		v, where := &s.Ways[i], fmt.Sprintf("%s.ways[%d]", at, i)
		n := slices.IndexFunc(all, func(b *meaning.Bearing) bool { return b.Key() == k.keyOf(v) })
		switch {
		case n < 0:
			k.fault(where, "no such rule or clue bears on %s", s.Fact)
			continue
		case told[all[n]] > 0:
			k.fault(where, "is told twice")
		case tells(all[n]) == truth.False:
			k.fault(where, "does not belong to the answer")
		}
		told[all[n]] = i + 1
	}
	last, must, may := 0, 0, 0
	var left account.Left
	for _, b := range telling(all) {
		n := told[b]
		switch belongs := tells(b); {
		case belongs == truth.True:
			must++
		case belongs == truth.Unknown:
			may++
		}
		switch {
		case n > 0 && n < last:
			k.fault(fmt.Sprintf("%s.ways[%d]", at, n-1), "stands out of order")
		case n > 0:
			last = n
			k.way(fmt.Sprintf("%s.ways[%d]", at, n-1), &s.Ways[n-1], b, told)
		case b.State == truth.True:
			left.Fire++
		case b.State == truth.False:
			left.Not++
		default:
			left.Unknown++
		}
	}
	k.same(at+".left", s.Left, left)
	if n := len(told); n < min(must, mostTold) || n > min(must+may, mostTold) {
		k.fault(at+".ways", "%d are told, %d belong to the answer", n, must)
	}
}

// way holds one way told to what is so, and its conditions.
func (k *Checker) way(where string, v *account.Way, b *meaning.Bearing, told map[*meaning.Bearing]int) {
	var so account.Way
	if b.Remedy != nil {
		so = k.say.Remedy(b.Remedy, b.Bound, b.State).Ways[0]
	} else {
		so = k.say.Way(&b.Way)
	}
	if b.Through != nil && b.Weight != 0 {
		so.Through, so.ThroughWay = b.Through.Clue.ID, told[b.Through]
	}
	conds := v.Conditions()
	if len(conds) != len(b.All) || len(v.If) != len(b.When) {
		k.fault(where, "conditions are left out, or made up")
		return
	}
	for i, c := range conds {
		// Whynot need not go down what holds; a rule known to fail not what
		// does not make it fail.
		aside := k.x.Question == "whynot" && c.State == "true" || v.State == "false" && b.Clue == nil && (c.State != "false" || i >= len(v.If))
		k.cond(fmt.Sprintf("%s condition %d", where, i), c, b.All[i], b.Bound, aside)
		unless := i >= len(v.If) && i < len(v.If)+len(v.Unless)
		so.Assumed = so.Assumed || unless && v.State == "true" && c.State == "unknown"
	}
	k.same(where, *v, so, "if", "unless", "sets", "sign")
}

// boundOf is the parts that a way is told for.
func (k *Checker) boundOf(v *account.Way) (bound []int32) {
	for _, b := range v.Bound {
		n, ok := k.w.Facts.Find(b.Part)
		if !ok {
			n = meaning.UnknownPart
		}
		bound = append(bound, n)
	}
	return bound
}

// keyOf is the key of a way told.
func (k *Checker) keyOf(v *account.Way) string { return meaning.Key(v.Rule, v.Clue, k.boundOf(v)) }
