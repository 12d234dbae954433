package engine

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// weights is what evidence says of each fact, by slot.
type weights struct {
	lambda    []float64
	prob      []float64
	posterior []float64 // of the clues, rivals taken into account
	sum       []weigh.Weight
	decided   []bool
	settled   []bool // by a rule
	inexact   []bool
	state     []truth.Truth // by clues alone
	round     []int32       // of the clues counted
	selector  weigh.Selector
	items     []instance
	picks     []weigh.Item
	pool      []int32
	found     bindings
}

func (w *weights) bind(size int) {
	w.lambda, w.prob, w.posterior = make([]float64, size), make([]float64, size), make([]float64, size)
	w.sum, w.decided, w.settled = make([]weigh.Weight, size), make([]bool, size), make([]bool, size)
	w.inexact, w.state, w.round = make([]bool, size), make([]truth.Truth, size), make([]int32, size)
	w.clear()
}

func (w *weights) clear() {
	for i := range w.lambda {
		w.lambda[i], w.prob[i] = open.lambda, open.prob
	}
	clear(w.sum)
	clear(w.decided)
	clear(w.settled)
	clear(w.inexact)
	clear(w.state)
	clear(w.round)
}

// instance is one clue bound to parts, for one cause.
type instance struct {
	clue    int32
	bound   [maxNames]int32
	lambda  weigh.Lambda // of a yes/no sign
	weight  weigh.Weight
	round   int32
	rests   []int32
	counted bool
	through int32 // index of the instance it is counted through, or -1
}

// bindings collects the bindings of a walk.
type bindings struct {
	list [][maxNames]int32
	all  bool // also those whose conditions are open
}

func (b *bindings) visit(f *frame, in truth.Truth) bool {
	if in == truth.True || b.all {
		b.list = append(b.list, f.bound)
	}
	return true
}

func (b *bindings) enough(in truth.Truth) bool { return in != truth.True && !b.all }

// instances gathers the clue instances that apply to a cause, by clue, then by
// bound parts. What each rests on is left to rest.
func (s *Session) instances(x *propInfo, part int32) []instance {
	w := &s.weights
	w.items = w.items[:0]
	f := &s.frame
	for _, c := range x.clues {
		k := s.p.clues[c]
		w.found.list, w.found.all = w.found.list[:0], false
		k.walk(f, k.clue.Cause.Var, part, &w.found)
		from := len(w.items)
		for _, b := range w.found.list {
			in := instance{clue: c, bound: b, through: -1}
			f.bound = b
			v := f.env(0)
			in.lambda, in.weight = signWeight(v, k.clue.Sign, k.clue.WhenSo, k.clue.Otherwise)
			if in.weight != 0 {
				in.round = v.greatest(k.clue.Sign.Root)
				for i := range k.conds {
					in.round = max(in.round, v.round(k.conds[i].cond.Root))
				}
			}
			w.items = append(w.items, in)
		}
		slices.SortFunc(w.items[from:], func(a, b instance) int { return s.byPartID(&k.binder, &a.bound, &b.bound) })
	}
	return w.items
}

// signWeight is what a sign as it now stands weighs.
func signWeight(v *env, sign *condition.Condition, p, q []float64) (weigh.Lambda, weigh.Weight) {
	if sign.Root.Type.K == condition.KPick {
		return weigh.Open, weigh.ChoiceClue(p, q, v.mask(sign.Root))
	}
	l := v.evidence(sign.Root).lambda
	return l, weigh.Clue(p[0], q[0], l)
}

// weighCause sums the clues of one cause: those that count are the heaviest set
// in which no observation is used twice.
func (s *Session) weighCause(x *propInfo, id pid, ord int32) {
	w := &s.weights
	at := s.first[id] + ord
	items := s.instances(x, s.l.OfKind[x.prop.Kind.Index][ord])
	sum, decided, inexact := s.count(items)
	round := int32(0)
	for i := range items {
		if items[i].counted {
			round = max(round, items[i].round)
		}
	}
	w.sum[at], w.decided[at], w.inexact[at], w.round[at] = sum, decided, inexact, round+1
	w.posterior[at] = weigh.Posterior(x.prop.HowCommon, sum)
}

// count chooses which instances count and sums them.
func (s *Session) count(items []instance) (sum weigh.Weight, decided, inexact bool) {
	w := &s.weights
	w.picks, w.pool = w.picks[:0], w.pool[:0]
	several, first := false, int32(-1)
	for i := range items {
		if items[i].weight == 0 {
			continue
		}
		if first >= 0 && items[i].clue != first {
			several = true
		}
		first = items[i].clue
	}
	if first < 0 {
		return 0, false, false
	}
	for i := range items {
		it := &items[i]
		if several && it.weight != 0 {
			from := len(w.pool)
			w.pool = s.restsOf(it, w.pool)
			it.rests = w.pool[from:len(w.pool):len(w.pool)]
		}
		w.picks = append(w.picks, weigh.Item{ID: int32(i), Group: it.clue, W: it.weight, Rests: it.rests})
	}
	counted, through, exact := w.selector.Select(w.picks)
	for i := range items {
		items[i].counted, items[i].through = counted[i], through[i]
		if counted[i] {
			sum += items[i].weight
		}
	}
	return sum, true, !exact
}

// weighAll weighs properties for every part, then settles what rivals do to
// each other.
func (s *Session) weighAll(ids []pid) {
	rivals := false
	for _, id := range ids {
		x := &s.p.info[id]
		if !x.weighed {
			continue
		}
		rivals = rivals || len(x.rivals) > 0
		for o := range int32(len(s.l.OfKind[x.prop.Kind.Index])) {
			if s.overrun != nil {
				return
			}
			s.weighCause(x, id, o)
			s.clueState(id, o)
		}
	}
	if rivals {
		s.rivalry(ids)
	}
}

// clueState is the state that clues alone give.
func (s *Session) clueState(id pid, ord int32) {
	w := &s.weights
	at := s.first[id] + ord
	w.state[at] = weigh.State(w.posterior[at], w.sum[at], w.decided[at])
}

// rivalry normalises the probabilities of causes that exclude each other, one
// binding at a time. A rival that a rule settles counts as heavy as can be. Of
// several groups the least probability is taken.
func (s *Session) rivalry(ids []pid) {
	w := &s.weights
	var groups []int32
	for _, id := range ids {
		for _, g := range s.p.info[id].rivals {
			if !slices.Contains(groups, g) {
				groups = append(groups, g)
			}
		}
	}
	slices.Sort(groups)
	type fact struct {
		id   pid
		ord  int32
		prob float64
	}
	var all []fact
	for _, g := range groups {
		r := s.p.rival[g]
		kind := r.each[0].Kind
		found := bindings{}
		for _, part := range s.l.OfKind[kind.Index] {
			r.walk(&s.frame, 0, part, &found)
		}
		for _, b := range found.list {
			priors, sums := make([]float64, 0, 4), make([]weigh.Weight, 0, 4)
			from := len(all)
			for _, h := range r.rivals.Causes {
				id, part := s.p.id(h.Prop), b[h.Var]
				ord := s.ords[part]
				sum := w.sum[s.first[id]+ord]
				switch t, _ := s.concluded(&s.p.info[id], part, ord); {
				case t == truth.True:
					sum = weigh.MaxWeight
				case !s.p.info[id].weighed && t == truth.False:
					sum = -weigh.MaxWeight
				}
				priors, sums = append(priors, h.Prop.HowCommon), append(sums, sum)
				all = append(all, fact{id: id, ord: ord})
			}
			for i, p := range weigh.Rivals(priors, sums)[:len(priors)] {
				all[from+i].prob = p
			}
		}
	}
	slices.SortFunc(all, func(a, b fact) int {
		return cmp.Or(cmp.Compare(a.id, b.id), cmp.Compare(a.ord, b.ord), cmp.Compare(a.prob, b.prob))
	})
	for i, f := range all {
		if i > 0 && all[i-1].id == f.id && all[i-1].ord == f.ord || !s.p.info[f.id].weighed {
			continue
		}
		w.posterior[s.first[f.id]+f.ord] = f.prob
		s.clueState(f.id, f.ord)
	}
}

// weighedState combines what rules and clues say of a weighed finding: a rule
// that fires settles it, clues decide otherwise.
func (s *Session) weighedState(x *propInfo, at int32, t truth.Truth, round int32) (truth.Truth, int32, record.Flag) {
	w := &s.weights
	var flags record.Flag
	if w.inexact[at] {
		flags |= record.InexactFlag
	}
	w.settled[at] = t == truth.True
	if t == truth.True {
		if w.state[at] == truth.False {
			flags |= record.InConflictFlag
		}
		return t, round, flags
	}
	if w.state[at] == truth.True {
		return truth.True, w.round[at], flags | byClues
	}
	return w.state[at], 0, flags
}

// handOn sets the likelihood ratio that a fact hands on: that of its clues, or
// of the rules that conclude it.
func (s *Session) handOn(x *propInfo, id pid, part, ord int32) {
	w := &s.weights
	at := s.first[id] + ord
	ev := absent
	switch {
	case x.weighed && !w.settled[at]:
		ev = evidence{w.sum[at].Ratio(), w.posterior[at]}
		if !w.decided[at] {
			ev.lambda = weigh.Open
		}
	case len(x.then) == 0:
		ev = open
	default:
		for i := range x.then {
			ev = ev.or(s.ruleEvidence(s.p.rules[x.then[i].rule], int(x.then[i].name), part))
		}
	}
	if s.flags[at]&record.RuledOutFlag != 0 {
		ev = open
		if s.state[at] == truth.False {
			ev = s.outEvidence(x, part).not()
		}
	}
	w.lambda[at], w.prob[at] = ev.lambda, ev.prob
}

func (s *Session) outEvidence(x *propInfo, part int32) evidence {
	ev := absent
	for i := range x.outs {
		ev = ev.or(s.ruleEvidence(s.p.rules[x.outs[i].rule], int(x.outs[i].name), part))
	}
	return ev
}

// ruleEvidence is the greatest evidence that a rule fires, over all bindings of
// its other names.
func (s *Session) ruleEvidence(c *ruleCode, name int, part int32) evidence {
	f := &s.aside
	found := bindings{all: true}
	f.blind = true
	c.walk(f, name, part, &found)
	f.blind = false
	out := absent
	for _, b := range found.list {
		for n := range c.each {
			f.bind(n, b[n])
		}
		v := f.env(0)
		ev := seen
		for i := range c.conds {
			ev = ev.and(v.evidence(c.conds[i].cond.Root))
		}
		for i := range c.unless {
			if v.truth(c.unless[i].cond.Root) == truth.True {
				ev = ev.and(open)
				break
			}
		}
		out = out.or(ev)
	}
	return out
}
