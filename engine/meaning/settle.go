package meaning

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// head is all that concludes, rules out, sets or speaks of a property.
type head struct {
	uses    []Bearing
	has     [speaks + 1]bool  // by effect
	on      []*vocab.Property // what it rests on, of what rules and clues say
	rivals  []*rules.Rivals
	weighed bool // clues speak of it, or of what it rests on
}

// readHeads gathers the heads of a pack.
func (w *World) readHeads() {
	w.heads = map[*vocab.Property]*head{}
	for _, k := range w.Pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if IsHead(p) {
				w.heads[p] = &head{}
			}
		}
	}
	rests := func(h *head, conds []*condition.Condition) {
		for _, c := range conds {
			for _, d := range c.Deps {
				if IsHead(d.Prop) {
					h.on = append(h.on, d.Prop)
				}
			}
		}
	}
	use := func(to rules.Head, does effect, b Bearing) {
		h := w.heads[to.Prop]
		b.does, b.name = does, to.Var
		h.uses, h.has[does] = append(h.uses, b), true
		rests(h, b.All)
	}
	for _, r := range w.Pack.Rules {
		b := Bearing{Way: record.Way{Rule: r}, Each: r.Each, When: r.If, All: slices.Concat(r.If, r.Unless)}
		for _, h := range r.Then {
			use(h, concludes, b)
		}
		for _, h := range r.RulesOut {
			use(h, rulesOut, b)
		}
		for _, a := range r.Set {
			set := b
			set.All = append(slices.Clone(b.All), a.Value)
			use(a.Head, sets, set)
		}
	}
	for _, k := range w.Pack.Clues {
		use(k.Cause, speaks, Bearing{Way: record.Way{Clue: k}, Each: k.Each, When: k.If, All: append(slices.Clone(k.If), k.Sign)})
	}
	for _, r := range w.Pack.Rivals {
		for _, a := range r.Causes {
			h := w.heads[a.Prop]
			if !slices.Contains(h.rivals, r) {
				h.rivals = append(h.rivals, r)
			}
			rests(h, r.If)
			for _, b := range r.Causes { // weighed together
				h.on = append(h.on, b.Prop)
			}
		}
	}
}

// spreadWeight marks what clues speak of, and what is concluded from that.
func (w *World) spreadWeight() {
	weighed := func(p *vocab.Property) bool { return w.heads[p].weighed }
	for again := true; again; {
		again = false
		for p, h := range w.heads {
			if !h.weighed && (h.has[speaks] || p.Role.Concluded() && slices.ContainsFunc(h.on, weighed)) {
				h.weighed, again = true, true
			}
		}
	}
}

// groups puts what rests on each other together, and what it rests on before it.
func (w *World) groups() (out [][]*vocab.Property) {
	below := map[*vocab.Property]map[*vocab.Property]bool{}
	for p := range w.heads {
		below[p] = map[*vocab.Property]bool{}
		var reach func(q *vocab.Property)
		reach = func(q *vocab.Property) {
			if !below[p][q] {
				below[p][q] = true
				for _, r := range w.heads[q].on {
					reach(r)
				}
			}
		}
		reach(p)
	}
	done := map[*vocab.Property]bool{}
	var add func(p *vocab.Property)
	add = func(p *vocab.Property) {
		var group []*vocab.Property
		for q := range below[p] {
			if below[q][p] && !done[q] {
				done[q] = true
				group = append(group, q)
			}
		}
		for q := range below[p] {
			if !done[q] {
				add(q)
			}
		}
		out = append(out, group)
	}
	for p := range w.heads {
		if !done[p] {
			add(p)
		}
	}
	return out
}

// each visits every fact of some properties.
func (w *World) each(group []*vocab.Property, visit func(h *head, f Fact, x *found)) {
	for _, p := range group {
		for _, part := range w.Facts.OfKind[p.Kind.Index] {
			f := Fact{Part: part, Prop: p}
			visit(w.heads[p], f, w.at(f))
		}
	}
}

// settle works out one group. First what needs only earlier ones: numbers,
// what is ruled out, what clues weigh. Then what must be true, unknown taken as
// not so; then what may be at most, unknown taken as so. True is what must, false
// what may not, the rest stays unknown.
func (w *World) settle(group []*vocab.Property) {
	w.each(group, func(h *head, f Fact, x *found) {
		if h.has[sets] {
			w.compute(f, x)
		}
		x.ruledOut, _ = w.byRules(f, rulesOut)
		if h.has[speaks] {
			w.weigh(f, x)
		}
	})
	// A rule concludes it, ruled out or not: before clues are heard, and at all.
	must := func(clues bool) {
		for again := true; again; {
			again = false
			w.each(group, func(h *head, f Fact, x *found) {
				if !f.Prop.Role.Concluded() {
					return
				}
				state, round := w.byRules(f, concludes)
				x.held = x.held || state == truth.True
				x.settled = x.settled || state == truth.True && !clues
				if clues && !x.settled && x.byClues == truth.True && (state != truth.True || x.clueRound < round) {
					state, round = truth.True, x.clueRound
				}
				if state == truth.True && x.ruledOut != truth.True && (x.State != truth.True || round < x.Round) {
					x.State, x.Round, again = truth.True, round, true
				}
			})
		}
	}
	must(false)
	w.rivalry(group)
	must(true)
	// May: false until something may make it so.
	w.each(group, func(h *head, f Fact, x *found) {
		if f.Prop.Role.Concluded() && x.State != truth.True {
			x.State = truth.False
		}
	})
	for again := true; again; {
		again = false
		w.each(group, func(h *head, f Fact, x *found) {
			if x.State != truth.False || !f.Prop.Role.Concluded() {
				return
			}
			may := false
			switch state, _ := w.byRules(f, concludes); {
			case x.held: // and ruled out: a conflict
				may = true
			case x.ruledOut == truth.True:
			case h.has[speaks]:
				may = x.byClues == truth.Unknown
			default:
				may = state != truth.False || !h.has[concludes]
			}
			if may {
				x.State, again = truth.Unknown, true
			}
		})
	}
	w.each(group, func(h *head, f Fact, x *found) {
		out := x.ruledOut == truth.True
		x.Conflict = x.Conflict || x.held && out || x.settled && x.byClues == truth.False || !x.settled && out && x.byClues == truth.True
	})
	w.handOn(group)
}

// byRules is what rules of one effect make of a fact: whether one fires, and in
// which round.
func (w *World) byRules(f Fact, does effect) (out truth.Truth, round int32) {
	out = truth.False
	for _, b := range w.bearings(f, false) {
		if b.does != does {
			continue
		}
		t, r, _ := w.Fires(b)
		if out = truth.Or(out, t); t == truth.True && (round == 0 || r < round) {
			round = r
		}
	}
	return out, round
}

// Fires tells whether a rule fires, in which round, and the number that it
// sets: one that nobody knows sets nothing.
func (w *World) Fires(b *Bearing) (state truth.Truth, round int32, n measure.Number) {
	c := w.At(b.Bound)
	if b.Rule == nil {
		return truth.Unknown, 0, n
	}
	state, round = c.all(b.Rule.If)
	for _, k := range b.Rule.Unless {
		if state == truth.True && c.Truth(k.Root) == truth.True {
			state = truth.Unknown // an exception holds it back
		}
	}
	if b.does == sets && state == truth.True {
		set, known := b.All[len(b.All)-1].Root, false
		if n, known = c.Number(set); !known {
			state = truth.Unknown
		}
		round = max(round, c.latest(set))
	}
	if state != truth.True {
		return state, 0, n
	}
	return state, round + 1, n
}

// setter is a rule that sets a number.
type setter struct {
	rule   *rules.Rule
	number measure.Number
}

// compute takes the first number that rules set, by their order in the pack and
// the ids of their parts, so that nothing hangs on the order in which places are
// written; unknown where they disagree.
func (w *World) compute(f Fact, x *found) {
	ids := func(p, q int32) int { return strings.Compare(w.Facts.Parts[p].ID, w.Facts.Parts[q].ID) }
	inOrder := slices.SortedStableFunc(slices.Values(w.bearings(f, false)), func(a, b *Bearing) int {
		return cmp.Or(cmp.Compare(a.Rule.Index, b.Rule.Index), slices.CompareFunc(a.Bound, b.Bound, ids))
	})
	round := int32(math.MaxInt32)
	for _, b := range inOrder {
		if state, r, n := w.Fires(b); state == truth.True {
			for _, o := range x.setters {
				x.Conflict = x.Conflict || !w.agree(o.number, n)
			}
			x.setters, round = append(x.setters, setter{b.Rule, n}), min(round, r)
		}
	}
	if len(x.setters) == 0 || x.Conflict {
		return
	}
	x.number, x.Round = &x.setters[0].number, round
	if v := w.Told(f); v != nil {
		x.Conflict = !w.agree(v.Number, *x.number)
	}
}

// agree tells whether two numbers can both be right; without uncertainty they
// must not just touch at an end that is left out.
func (w *World) agree(a, b measure.Number) bool {
	var ends move
	ends.note(a)
	ends.note(b)
	d, equal := a.Sub(b), measure.RelativeEqual*ends.largest
	if len(a.Terms)+len(b.Terms) == 0 && (d.LoOpen && d.Lo > -equal || d.HiOpen && d.Hi < equal) {
		return false
	}
	ok, _ := measure.Agree(a, b, w.Facts.K)
	return ok
}
