package anew

import (
	"slices"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// head is all that concludes, rules out, sets or speaks of a property.
type head struct {
	prop             *vocab.Property
	then, outs, sets []use
	clues            []*rules.Clue
	rivals           []*rules.Rivals
	on               []*vocab.Property // what it rests on
	stratum          int
	tainted          bool // clues speak of it, or of what it rests on
}

// use is one consequence of a rule: the property of which of its names.
type use struct {
	rule *rules.Rule
	name int
	set  *condition.Condition // of a number
}

// strata orders what is concluded or computed: what it rests on stands in an
// earlier stratum, what rest on each other in the same.
func (w *World) strata() [][]*head {
	at := func(p *vocab.Property) *head {
		if w.heads[p] == nil {
			w.heads[p] = &head{prop: p}
		}
		return w.heads[p]
	}
	rests := func(to *head, conds ...*condition.Condition) {
		for _, c := range conds {
			for _, d := range c.Deps {
				if IsHead(d.Prop) {
					at(d.Prop)
					to.on = append(to.on, d.Prop)
				}
			}
		}
	}
	for _, k := range w.Pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if IsHead(p) {
				at(p)
			}
		}
	}
	for _, r := range w.Pack.Rules {
		for _, h := range r.Then {
			to := at(h.Prop)
			to.then = append(to.then, use{r, h.Var, nil})
			rests(to, slices.Concat(r.If, r.Unless)...)
		}
		for _, h := range r.RulesOut {
			to := at(h.Prop)
			to.outs = append(to.outs, use{r, h.Var, nil})
			rests(to, slices.Concat(r.If, r.Unless)...)
		}
		for _, a := range r.Set {
			to := at(a.Prop)
			to.sets = append(to.sets, use{r, a.Var, a.Value})
			rests(to, append(slices.Concat(r.If, r.Unless), a.Value)...)
		}
	}
	for _, k := range w.Pack.Clues {
		to := at(k.Cause.Prop)
		to.clues = append(to.clues, k)
		to.tainted = true
		rests(to, append(slices.Clone(k.If), k.Sign)...)
	}
	for _, r := range w.Pack.Rivals {
		for _, a := range r.Causes {
			to := at(a.Prop)
			if !slices.Contains(to.rivals, r) {
				to.rivals = append(to.rivals, r)
			}
			rests(to, r.If...)
			for _, b := range r.Causes {
				to.on = append(to.on, b.Prop)
			}
		}
	}
	// below is all that a property rests on, itself too if it rests on itself.
	below := map[*vocab.Property]map[*vocab.Property]bool{}
	for p := range w.heads {
		all, todo := map[*vocab.Property]bool{}, []*vocab.Property{p}
		for len(todo) > 0 {
			for _, q := range w.heads[todo[0]].on {
				if !all[q] {
					all[q] = true
					todo = append(todo, q)
				}
			}
			todo = todo[1:]
		}
		below[p] = all
	}
	for again := true; again; {
		again = false
		for p, h := range w.heads {
			for _, q := range h.on {
				from, least := w.heads[q], w.heads[q].stratum
				if !below[q][p] {
					least++
				}
				taint := from.tainted && p.Role.Concluded()
				if h.stratum < least || taint && !h.tainted {
					h.stratum, h.tainted, again = max(h.stratum, least), h.tainted || taint, true
				}
			}
		}
	}
	var out [][]*head
	for _, k := range w.Pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if h := w.heads[p]; h != nil {
				for len(out) <= h.stratum {
					out = append(out, nil)
				}
				out[h.stratum] = append(out[h.stratum], h)
			}
		}
	}
	return out
}

// IsHead tells whether rules or clues say what a property is.
func IsHead(p *vocab.Property) bool { return p.Role.Concluded() || p.Role == vocab.Computed }

// each visits every fact of some properties.
func (w *World) each(heads []*head, visit func(h *head, f Fact)) {
	for _, h := range heads {
		for _, p := range w.Facts.OfKind[h.prop.Kind.Index] {
			visit(h, Fact{Part: p, Prop: h.prop})
		}
	}
}

// settle works out one stratum. First what needs only earlier ones: numbers,
// what is ruled out, what clues weigh. Then what must be true, unknown taken as
// not so; then what may be at most, unknown taken as so. True is what must, false
// what may not, the rest stays unknown.
func (w *World) settle(heads []*head) {
	w.each(heads, func(h *head, f Fact) {
		if len(h.sets) > 0 {
			w.compute(h, f)
		}
		for _, u := range h.outs {
			w.out[f] = truth.Or(or(w.out[f], truth.False), w.ruleFor(u, f))
		}
		if len(h.clues) > 0 {
			w.sums[f] = w.weigh(h, f)
		}
	})
	// A rule concludes it, ruled out or not: before clues are heard, and at all.
	settled, held := map[Fact]bool{}, map[Fact]bool{}
	must := func(clues bool) {
		for again := true; again; {
			again = false
			w.each(heads, func(h *head, f Fact) {
				if !f.Prop.Role.Concluded() {
					return
				}
				state, round := w.byRules(h, f)
				held[f] = held[f] || state == truth.True
				settled[f] = settled[f] || state == truth.True && !clues
				if s := w.sums[f]; s != nil && clues && !settled[f] && s.State == truth.True && (state != truth.True || s.round < round) {
					state, round = truth.True, s.round
				}
				if state == truth.True && w.out[f] != truth.True && (w.state[f] != truth.True || round < w.round[f]) {
					w.state[f], w.round[f], again = truth.True, round, true
				}
			})
		}
	}
	must(false)
	w.rivalry(heads, settled)
	must(true)
	// May: false until something may make it so.
	w.each(heads, func(h *head, f Fact) {
		if f.Prop.Role.Concluded() && w.state[f] != truth.True {
			w.state[f] = truth.False
		}
	})
	for again := true; again; {
		again = false
		w.each(heads, func(h *head, f Fact) {
			if w.state[f] != truth.False || !f.Prop.Role.Concluded() {
				return
			}
			may := false
			switch s := w.sums[f]; {
			case held[f]: // and ruled out: a conflict
				may = true
			case w.out[f] == truth.True:
			case s != nil:
				may = s.State == truth.Unknown
			case len(h.then) == 0:
				may = true
			default:
				state, _ := w.byRules(h, f)
				may = state != truth.False
			}
			if may {
				w.state[f], again = truth.Unknown, true
			}
		})
	}
	w.each(heads, func(h *head, f Fact) {
		s := w.sums[f]
		w.clash[f] = w.clash[f] || held[f] && w.out[f] == truth.True ||
			settled[f] && s != nil && s.State == truth.False || !settled[f] && w.out[f] == truth.True && s != nil && s.State == truth.True
	})
	w.handOn(heads, settled)
}

// or is t, or instead if it is unknown.
func or(t, instead truth.Truth) truth.Truth {
	if t == truth.Unknown {
		return instead
	}
	return t
}

// byRules is what the rules that conclude a fact make of it.
func (w *World) byRules(h *head, f Fact) (out truth.Truth, round int32) {
	if len(h.then) == 0 {
		return truth.Unknown, 0
	}
	out = truth.False
	for _, u := range h.then {
		for _, b := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
			t, r := w.Rule(u.rule, b)
			if out = truth.Or(out, t); t == truth.True && (round == 0 || r < round) {
				round = r
			}
		}
	}
	return out, round
}

func (w *World) ruleFor(u use, f Fact) truth.Truth {
	out := truth.False
	for _, b := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
		t, _ := w.Rule(u.rule, b)
		out = truth.Or(out, t)
	}
	return out
}

// Rule tells whether a rule fires for bound parts, and in which round.
func (w *World) Rule(r *rules.Rule, bound []int32) (truth.Truth, int32) {
	c := w.At(bound)
	state, round := truth.True, int32(0)
	for _, k := range r.If {
		if state = truth.And(state, c.Truth(k.Root)); state == truth.False {
			return state, 0
		}
		if state == truth.True {
			round = max(round, c.round(k.Root))
		}
	}
	for _, k := range r.Unless {
		if state == truth.True && c.Truth(k.Root) == truth.True {
			state = truth.Unknown // an exception holds it back
		}
	}
	if state != truth.True {
		return state, 0
	}
	return state, round + 1
}

// setBy is the number that a rule sets for bound parts.
func (w *World) setBy(u use, bound []int32) (n measure.Number, state truth.Truth, round int32) {
	state, round = w.Rule(u.rule, bound)
	n, known := w.At(bound).Number(u.set.Root)
	if state == truth.True && !known {
		return n, truth.Unknown, 0
	}
	if state == truth.True {
		round = max(round, w.At(bound).greatest(u.set.Root)+1)
	}
	return n, state, round
}

// compute takes the number that rules set; unknown where they disagree.
func (w *World) compute(h *head, f Fact) {
	var all []measure.Number
	round := int32(0)
	for _, u := range h.sets {
		for _, b := range w.byID(w.bindings(u.rule.Each, u.rule.If, u.name, f.Part)) {
			if n, state, r := w.setBy(u, b); state == truth.True {
				for _, o := range all {
					w.clash[f] = w.clash[f] || !w.agree(o, n)
				}
				if all = append(all, n); round == 0 || r < round {
					round = r
				}
			}
		}
	}
	if len(all) == 0 || w.clash[f] {
		return
	}
	if v, given := w.Value(f); given && !w.agree(v.Number, all[0]) {
		w.clash[f] = true
	}
	w.calc[f], w.round[f] = all[0], round
}

// byID puts bindings in order of the ids of their parts, so that nothing hangs
// on the order in which places are written.
func (w *World) byID(all [][]int32) [][]int32 {
	return slices.SortedStableFunc(slices.Values(all), w.compareIDs)
}

func (w *World) compareIDs(a, b []int32) int {
	return slices.CompareFunc(a, b, func(p, q int32) int { return strings.Compare(w.PartID(p), w.PartID(q)) })
}
