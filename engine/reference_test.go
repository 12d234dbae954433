package engine_test

import (
	"math"
	"slices"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// The reference is a second reading of the design: slow, obvious, and sharing
// no line with the engine. Every rule is tried on every combination of parts,
// every stratum is gone through again and again until nothing changes, and every
// number is worked out anew wherever it is read.

// slot names one property of one part.
type slot struct {
	part int32
	prop *vocab.Property
}

type reference struct {
	facts *rules.Facts
	pack  *rules.Pack
	obs   map[slot]vocab.Value

	stratum map[*vocab.Property]int
	strata  int

	state     map[slot]truth.Truth
	round     map[slot]int32
	ruledOut  map[slot]bool
	conflict  map[slot]bool
	number    map[slot]measure.Number
	twoValues map[slot]bool // set values that disagree
	verdict   map[int32]vocab.Level

	// While a recursive stratum is worked out, what lies in the fixpoint so far.
	working map[slot]bool
	current int

	evidence // what clues say; see weighing_reference_test.go
}

// instance is a statement bound to parts.
type instance []int32

func newReference(f *rules.Facts) *reference {
	r := &reference{
		facts: f, pack: f.Pack, obs: map[slot]vocab.Value{},
		state: map[slot]truth.Truth{}, round: map[slot]int32{}, ruledOut: map[slot]bool{}, conflict: map[slot]bool{},
		number: map[slot]measure.Number{}, twoValues: map[slot]bool{}, verdict: map[int32]vocab.Level{}, current: -1,
	}
	for _, o := range f.Layout.Declared {
		r.obs[slot{o.Part, o.Prop}] = o.Value
	}
	for _, o := range f.Observations {
		r.obs[slot{o.Part, o.Prop}] = o.Value
	}
	return r
}

// instances lists every combination of parts for the names of each.
func (r *reference) instances(each rules.Binding) []instance {
	out := []instance{nil}
	for _, name := range each {
		var next []instance
		for _, b := range out {
			for _, p := range r.facts.OfKind[name.Kind.Index] {
				next = append(next, append(slices.Clone(b), p))
			}
		}
		out = next
	}
	slices.SortStableFunc(out, func(a, b instance) int { return slices.Compare(r.names(a), r.names(b)) })
	return out
}

// names are the ids of parts: where several would do, the first by id does, so
// that the order of places does not matter.
func (r *reference) names(b instance) []string {
	out := make([]string, len(b))
	for i, p := range b {
		out[i] = r.facts.Parts[p].ID
	}
	return out
}

// edges calls f for each property an expression reads and whether strictly.
// strict is what the place of e is already.
func edges(e *condition.Expr, strict bool, f func(*vocab.Property, bool)) {
	switch e.Op {
	case condition.Prop:
		f(e.Prop, strict || e.Type.K != condition.KBool)
	case condition.Not, condition.All, condition.None, condition.Count, condition.Sum, condition.Min, condition.Max,
		condition.Mean, condition.Median, condition.Lt, condition.Le, condition.Gt, condition.Ge, condition.Keep:
		strict = true
	}
	for _, a := range e.Args {
		edges(a, strict, f)
	}
}

// layers numbers the strata: a head lies no lower than what it reads, and higher
// than what it reads strictly.
func (r *reference) layers() {
	r.stratum = map[*vocab.Property]int{}
	raise := func(head *vocab.Property, conds []*condition.Condition, strict bool) bool {
		changed := false
		for _, c := range conds {
			edges(c.Root, strict, func(p *vocab.Property, s bool) {
				want := r.stratum[p]
				if s {
					want++
				}
				if r.stratum[head] < want {
					r.stratum[head] = want
					changed = true
				}
			})
		}
		return changed
	}
	for changed := true; changed; {
		changed = false
		for _, rule := range r.pack.Rules {
			for _, h := range rule.Then {
				changed = raise(h.Prop, rule.If, rule.Level != vocab.NoWord) || changed
				changed = raise(h.Prop, rule.Unless, true) || changed
			}
			for _, h := range rule.RulesOut {
				changed = raise(h.Prop, slices.Concat(rule.If, rule.Unless), true) || changed
			}
			for _, a := range rule.Set {
				changed = raise(a.Prop, append(slices.Concat(rule.If, rule.Unless), a.Value), true) || changed
			}
		}
		for _, c := range r.pack.Clues {
			changed = raise(c.Cause.Prop, append(slices.Clone(c.If), c.Sign), true) || changed
		}
		for _, v := range r.pack.Rivals { // causes that exclude each other are weighed together
			top := 0
			for _, h := range v.Causes {
				top = max(top, r.stratum[h.Prop])
			}
			for _, h := range v.Causes {
				if r.stratum[h.Prop] < top {
					r.stratum[h.Prop], changed = top, true
				}
			}
		}
	}
	for _, s := range r.stratum {
		r.strata = max(r.strata, s+1)
	}
	r.strata = max(r.strata, 1)
}

// run works out everything.
func (r *reference) run() *reference {
	r.layers()
	for s := range r.strata {
		r.ruleOut(s)
		r.setNumbers(s)
		r.weigh(s)
		r.conclude(s)
		r.handOn(s)
	}
	r.judge()
	return r
}

// all is the conjunction of conditions for one instance.
func (r *reference) all(conds []*condition.Condition, b instance) truth.Truth {
	out := truth.True
	for _, c := range conds {
		out = truth.And(out, r.truth(c.Root, b, nil))
	}
	return out
}

// excepted tells whether an exception is known to hold.
func (r *reference) excepted(rule *rules.Rule, b instance) bool {
	for _, c := range rule.Unless {
		if r.truth(c.Root, b, nil) == truth.True {
			return true
		}
	}
	return false
}

func (r *reference) fires(rule *rules.Rule, b instance) bool {
	return r.all(rule.If, b) == truth.True && !r.excepted(rule, b)
}

func (r *reference) ruleOut(s int) {
	for _, rule := range r.pack.Rules {
		for _, h := range rule.RulesOut {
			if r.stratum[h.Prop] != s {
				continue
			}
			for _, b := range r.instances(rule.Each) {
				if r.fires(rule, b) {
					r.ruledOut[slot{b[h.Var], h.Prop}] = true
				}
			}
		}
	}
}

// conclusions calls f for each rule instance that could conclude a finding of
// stratum s.
func (r *reference) conclusions(s int, f func(head slot, rule *rules.Rule, b instance)) {
	for _, rule := range r.pack.Rules {
		for _, h := range rule.Then {
			if r.stratum[h.Prop] != s {
				continue
			}
			for _, b := range r.instances(rule.Each) {
				f(slot{b[h.Var], h.Prop}, rule, b)
			}
		}
	}
}

// heads lists the findings of a stratum, and which of them rules conclude.
func (r *reference) heads(s int) (all []slot, byRule map[*vocab.Property]bool) {
	byRule = map[*vocab.Property]bool{}
	for _, rule := range r.pack.Rules {
		for _, h := range rule.Then {
			byRule[h.Prop] = true
		}
	}
	for _, k := range r.pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if p.Role.Concluded() && r.stratum[p] == s {
				for _, part := range r.facts.OfKind[k.Index] {
					all = append(all, slot{part, p})
				}
			}
		}
	}
	return all, byRule
}

// conclude works out the findings of one stratum: must, then may.
func (r *reference) conclude(s int) {
	heads, byRule := r.heads(s)
	r.current = s

	must := map[slot]bool{}
	for h, t := range r.byClues {
		if r.stratum[h.prop] == s && t == truth.True && !r.ruledOut[h] {
			must[h] = true
		}
	}
	r.working = must
	for again := true; again; {
		again = false
		r.conclusions(s, func(h slot, rule *rules.Rule, b instance) {
			if !must[h] && !r.ruledOut[h] && r.fires(rule, b) {
				must[h], again = true, true
			}
		})
	}
	concluded := map[slot]bool{}
	r.conclusions(s, func(h slot, rule *rules.Rule, b instance) {
		if r.fires(rule, b) {
			concluded[h] = true
		}
	})

	may := map[slot]bool{}
	for _, h := range heads {
		switch {
		case r.ruledOut[h]:
			if concluded[h] {
				r.conflict[h] = true
				may[h] = true
			}
		case must[h]:
			may[h] = true
		case h.prop.Weighed:
			if t, ok := r.byClues[h]; !ok || t != truth.False {
				may[h] = true
			}
		case !byRule[h.prop]: // nothing concludes it
			may[h] = true
		}
	}
	r.working = may
	for again := true; again; {
		again = false
		r.conclusions(s, func(h slot, rule *rules.Rule, b instance) {
			if !may[h] && !r.ruledOut[h] && !h.prop.Weighed && r.all(rule.If, b) != truth.False {
				may[h], again = true, true
			}
		})
	}
	r.working, r.current = nil, -1
	for _, h := range heads {
		switch {
		case must[h]:
			r.state[h] = truth.True
		case !may[h]:
			r.state[h] = truth.False
		default:
			r.state[h] = truth.Unknown
		}
	}
	r.settled = mergeSlots(r.settled, concluded)
	r.countRounds(s)
}

func mergeSlots(a, b map[slot]bool) map[slot]bool {
	if a == nil {
		a = map[slot]bool{}
	}
	for k := range b {
		a[k] = true
	}
	return a
}

const never = math.MaxInt32 - 1

// countRounds gives each true finding of a stratum its fewest rounds.
func (r *reference) countRounds(s int) {
	var trues []slot
	for h, t := range r.state {
		if r.stratum[h.prop] == s && t == truth.True {
			r.round[h] = never
			trues = append(trues, h)
		}
	}
	for again := len(trues) > 0; again; {
		again = false
		r.conclusions(s, func(h slot, rule *rules.Rule, b instance) {
			if r.state[h] != truth.True || !r.fires(rule, b) {
				return
			}
			var need int32
			for _, c := range rule.If {
				need = max(need, r.rounds(c.Root, b, nil))
			}
			if need < never && need+1 < r.round[h] {
				r.round[h], again = need+1, true
			}
		})
	}
}

// judge gives the verdict of every part of a kind that rules judge.
func (r *reference) judge() {
	for _, k := range r.pack.Vocabulary.Kinds {
		judged := false
		for _, p := range k.Properties {
			judged = judged || p.Role == vocab.Verdict
		}
		if !judged {
			continue
		}
		for _, part := range r.facts.OfKind[k.Index] {
			level := vocab.NoWord
			open := false
			for _, p := range k.Properties {
				if p.Role != vocab.Verdict {
					continue
				}
				switch r.state[slot{part, p}] {
				case truth.True:
					level = max(level, p.Level)
				case truth.Unknown:
					open = open || p.Level > vocab.InspectFurther
				}
			}
			switch {
			case level != vocab.NoWord:
			case open:
				level = vocab.InspectFurther
			default:
				level = vocab.Refit
			}
			r.verdict[part] = level
		}
	}
}

// fact is the state of a finding as conditions read it.
func (r *reference) fact(h slot) truth.Truth {
	if r.current >= 0 && r.stratum[h.prop] == r.current {
		if _, concluded := r.obs[h]; !concluded && h.prop.Role.Concluded() {
			return truth.Of(r.working[h])
		}
	}
	return r.state[h]
}

func largest(xs ...float64) float64 {
	var out float64
	for _, x := range xs {
		if a := math.Abs(x); !math.IsInf(a, 0) && a > out {
			out = a
		}
	}
	return out
}
