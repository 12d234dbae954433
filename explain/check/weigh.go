package check

import (
	"cmp"
	"math"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// The arithmetic of evidence, in decibans rounded to 1e-9 and summed as whole
// numbers.

// evidence is what is handed on: the likelihood ratio, infinite for seen, 0
// for absent, 1 for unknown, and the probability.
type evidence struct{ lambda, prob float64 }

var (
	seen   = evidence{math.Inf(1), 1}
	absent = evidence{0, 0}
	open   = evidence{1, 0.5}
)

func ofTruth(t truth.Truth) evidence {
	return map[truth.Truth]evidence{truth.True: seen, truth.False: absent, truth.Unknown: open}[t]
}

func (a evidence) and(b evidence) evidence {
	return evidence{min(a.lambda, b.lambda), min(a.prob, b.prob)}
}
func (a evidence) or(b evidence) evidence {
	return evidence{max(a.lambda, b.lambda), max(a.prob, b.prob)}
}

func (a evidence) not() evidence {
	l := 1 / a.lambda
	if math.IsInf(l, 1) && a.lambda != 0 { // neither seen nor absent stays so
		l = math.MaxFloat64
	}
	return evidence{l, 1 - a.prob}
}

func (c place) evidence(e *condition.Expr) evidence {
	switch e.Op {
	case condition.Prop:
		f, ok := c.fact(e)
		if ev, weighed := c.ev[f]; ok && weighed {
			return ev
		}
	case condition.And:
		out := seen
		for _, a := range e.Args {
			out = out.and(c.evidence(a))
		}
		return out
	case condition.Or:
		out := absent
		for _, a := range e.Args {
			out = out.or(c.evidence(a))
		}
		return out
	case condition.Not:
		return c.evidence(e.Args[0]).not()
	case condition.Any, condition.All, condition.None:
		if all, sure := c.evidences(e, e.Op == condition.All); sure {
			out := absent
			for _, ev := range all {
				out = out.or(ev)
			}
			if e.Op != condition.Any {
				out = out.not()
			}
			return out
		}
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		count, n, op := e.Args[0], e.Args[1], e.Op
		if count.Op == condition.Const {
			turned := map[condition.Op]condition.Op{condition.Lt: condition.Gt, condition.Gt: condition.Lt, condition.Le: condition.Ge, condition.Ge: condition.Le}
			count, n, op = n, count, turned[op]
		}
		if count.Op != condition.Count || n.Op != condition.Const || len(count.Args) < 2 {
			break
		}
		if _, known := c.list(count.Args[0]); !known {
			return open
		}
		atLeast := int(math.Ceil(n.Num))
		if op == condition.Gt || op == condition.Le {
			atLeast = int(math.Floor(n.Num)) + 1
		}
		all, _ := c.evidences(count, false)
		out := nth(all, atLeast)
		if op == condition.Lt || op == condition.Le {
			out = out.not()
		}
		return out
	}
	return ofTruth(c.truth(e))
}

// nth is the evidence that n or more hold: the n-th greatest.
func nth(all []evidence, n int) evidence {
	switch {
	case n <= 0:
		return seen
	case n > len(all):
		return absent
	}
	var l, p []float64
	for _, ev := range all {
		l, p = append(l, ev.lambda), append(p, ev.prob)
	}
	slices.Sort(l)
	slices.Sort(p)
	return evidence{l[len(l)-n], p[len(p)-n]}
}

// evidences is that each member is in the list and satisfies the predicate, or
// with lacks does not; sure if some member surely is in the list.
func (c place) evidences(e *condition.Expr, lacks bool) (out []evidence, sure bool) {
	list, _ := c.list(e.Args[0])
	for _, m := range list {
		ev, in := seen, c.in(m.part)
		if len(e.Args) > 1 {
			ev = in.evidence(e.Args[1])
		}
		if lacks {
			ev = ev.not()
		}
		for l := e.Args[0]; l.Op == condition.Keep; l = l.Args[0] {
			ev = ev.and(in.evidence(l.Args[1]))
		}
		out, sure = append(out, ev), sure || m.in == truth.True
	}
	return out, sure
}

// weighing is the clues of one cause of one part.
type weighing struct {
	clues   []*spoken
	sum     int64 // of those counted, in 1e-9 decibans
	decided bool
	inexact bool
	prob    float64
	state   truth.Truth // by clues alone
	round   int32
}

// spoken is one clue for bound parts.
type spoken struct {
	clue    *rules.Clue
	bound   []int32
	lambda  float64
	weight  int64
	round   int32
	rests   []int32
	counted bool
	through *spoken
}

const unit = 1e9 // of a deciban

func weightOf(p, q float64) int64 {
	switch {
	case p == q:
		return 0
	case p < q:
		return -weightOf(q, p)
	}
	return int64(math.Round(min(10*math.Log10(p/q), 4000) * unit))
}

func (w *world) weigh(h *head, f fact) *weighing {
	s := &weighing{}
	for _, k := range h.clues {
		for _, b := range w.bindings(k.Each, k.If, k.Cause.Var, f.Part) {
			c, in, round := place{w, b, nil}, truth.True, int32(0)
			for _, i := range k.If {
				in, round = truth.And(in, c.truth(i.Root)), max(round, c.round(i.Root))
			}
			if in != truth.True {
				continue
			}
			it := &spoken{clue: k, bound: b, lambda: 1}
			if k.Sign.Root.Type.K == condition.KPick {
				it.weight = choiceWeight(k, c.mask(k.Sign.Root))
			} else {
				p, q, l := k.WhenSo[0], k.Otherwise[0], c.evidence(k.Sign.Root).lambda
				it.lambda = l
				if math.IsInf(l, 1) {
					it.weight = weightOf(p, q)
				} else if l != 1 {
					it.weight = weightOf(float64(p*l)+(1-p), float64(q*l)+(1-q))
				}
			}
			it.round, it.rests = max(round, c.greatest(k.Sign.Root)), w.rests(c, k)
			if it.weight == 0 {
				it.round = 0
			}
			s.clues = append(s.clues, it)
		}
	}
	s.count()
	for _, it := range s.clues {
		s.decided = s.decided || it.weight != 0
		if it.counted {
			s.sum += it.weight
			s.round = max(s.round, it.round)
		}
	}
	s.round++
	s.prob = rivalProbabilities([]float64{f.Prop.HowCommon}, []float64{float64(s.sum)})[0]
	s.judge()
	return s
}

// choiceWeight is what a choice weighs: over all that is still possible.
func choiceWeight(k *rules.Clue, mask uint64) int64 {
	p, q, n := 0.0, 0.0, 0
	for i := range k.WhenSo {
		if mask>>i&1 == 1 {
			p, q, n = p+k.WhenSo[i], q+k.Otherwise[i], n+1
		}
	}
	if n == 0 || n == len(k.WhenSo) {
		return 0
	}
	return weightOf(p, q)
}

const rounding = 1e-9 // a probability may fall so far short of a bound

func (s *weighing) judge() {
	s.state = truth.Unknown
	switch {
	case !s.decided:
	case s.sum > 0 && s.prob >= 0.90-rounding:
		s.state = truth.True
	case s.sum < 0 && s.prob <= 0.10+rounding:
		s.state = truth.False
	}
}

// rests is the written observations that the sign of a clue can reach through
// all rules and clues.
func (w *world) rests(c place, k *rules.Clue) (out []int32) {
	reached := map[int32]bool{}
	seen := map[fact]bool{}
	var of func(f fact)
	within := func(each rules.Binding, name int, part int32, ties []*condition.Condition, conds ...*condition.Condition) {
		for _, b := range w.bindings(each, ties, name, part) {
			for _, k := range conds {
				if k != nil {
					place{w, b, nil}.facts(k.Root, of)
				}
			}
		}
	}
	of = func(f fact) {
		if seen[f] {
			return
		}
		seen[f] = true
		if _, given := w.value(f); !isHead(f.Prop) || given {
			if o := w.f.Lookup(f.Part, f.Prop); o != nil && o.Value.Looked == vocab.Told && o.Basis >= 0 {
				reached[o.Basis] = true
			}
			return
		}
		h := w.heads[f.Prop]
		for _, u := range slices.Concat(h.then, h.outs, h.sets) {
			within(u.rule.Each, u.name, f.Part, u.rule.If, append(slices.Concat(u.rule.If, u.rule.Unless), u.set)...)
		}
		for _, k := range h.clues {
			within(k.Each, k.Cause.Var, f.Part, k.If, append(slices.Clone(k.If), k.Sign)...)
		}
	}
	c.facts(k.Sign.Root, of)
	for o := range reached {
		out = append(out, o)
	}
	slices.Sort(out)
	return out
}

// count chooses the clues that count: of the instances of one clue the
// heaviest, and of those the set of greatest weight no two of which rest on one
// observation; of equal sets the one whose first clues come first. Beyond 20
// clues that hang together the heaviest are taken first.
func (s *weighing) count() {
	abs := func(it *spoken) int64 { return max(it.weight, -it.weight) }
	share := func(a, b *spoken) bool {
		return slices.ContainsFunc(a.rests, func(o int32) bool { return slices.Contains(b.rests, o) })
	}
	var compete []*spoken
	for _, it := range s.clues {
		best := it
		for _, o := range s.clues {
			if o.clue == it.clue && abs(o) > abs(best) {
				best = o
			}
		}
		for _, o := range s.clues { // of equals the first
			if o.clue == it.clue && abs(o) == abs(best) {
				best = o
				break
			}
		}
		switch {
		case it.weight == 0:
		case best != it:
			it.through = best
		default:
			compete = append(compete, it)
		}
	}
	var best func(left []*spoken) (int64, []*spoken)
	best = func(left []*spoken) (int64, []*spoken) {
		if len(left) == 0 {
			return 0, nil
		}
		first, rest := left[0], left[1:]
		apart := slices.DeleteFunc(slices.Clone(rest), func(o *spoken) bool { return share(first, o) })
		with, chosen := best(apart)
		if with += abs(first); len(apart) < len(rest) {
			if without, others := best(rest); without > with {
				return without, others
			}
		}
		return with, append([]*spoken{first}, chosen...)
	}
	for left := compete; len(left) > 0; {
		cluster := left[:1:1]
		for i := 0; i < len(cluster); i++ {
			for _, o := range left {
				if !slices.Contains(cluster, o) && share(cluster[i], o) {
					cluster = append(cluster, o)
				}
			}
		}
		left = slices.DeleteFunc(slices.Clone(left), func(o *spoken) bool { return slices.Contains(cluster, o) })
		order := func(a, b *spoken) int { return cmp.Compare(slices.Index(s.clues, a), slices.Index(s.clues, b)) }
		slices.SortFunc(cluster, order)
		var chosen []*spoken
		if len(cluster) <= 20 {
			_, chosen = best(cluster)
		} else {
			s.inexact = true
			slices.SortStableFunc(cluster, func(a, b *spoken) int { return cmp.Compare(abs(b), abs(a)) })
			for _, it := range cluster {
				if !slices.ContainsFunc(chosen, func(o *spoken) bool { return share(it, o) }) {
					chosen = append(chosen, it)
				}
			}
		}
		for _, it := range chosen {
			it.counted = true
		}
		for _, it := range cluster {
			for _, o := range chosen {
				if it.counted || !share(it, o) {
					continue
				}
				if t := it.through; t == nil || abs(o) > abs(t) || abs(o) == abs(t) && order(o, t) < 0 {
					it.through = o
				}
			}
		}
	}
}

// rivalProbabilities are those of causes that exclude each other, "none of
// them" being one more: π_i·L_i over their sum; the priors are scaled where they
// sum to more than 1.
func rivalProbabilities(priors, sums []float64) []float64 {
	total := 0.0
	for _, p := range priors {
		total += p
	}
	none, scale := max(0, 1-total), 1.0
	if total > 1+1e-12 {
		none, scale = 0, 1/total
	}
	top := 0.0 // likelihoods are taken relative to the greatest
	if none == 0 {
		top = slices.Max(sums)
	}
	for i := range priors {
		if priors[i] > 0 {
			top = max(top, sums[i])
		}
	}
	over := none * math.Pow(10, -top/unit/10)
	out := make([]float64, len(priors))
	for i, p := range priors {
		out[i] = p * scale * math.Pow(10, (sums[i]-top)/unit/10)
		over += out[i]
	}
	for i := range out {
		out[i] /= over
	}
	return out
}

// groups lists the causes that exclude each other, once for each set of parts.
func (w *world) groups(r *rules.Rivals) (out [][]fact) {
	for _, part := range w.f.OfKind[r.Each[0].Kind.Index] {
		for _, b := range w.bindings(r.Each, r.If, 0, part) {
			in := truth.True
			for _, k := range r.If {
				in = truth.And(in, place{w, b, nil}.truth(k.Root))
			}
			if in != truth.True {
				continue
			}
			var g []fact
			for _, h := range r.Causes {
				g = append(g, fact{Part: b[h.Var], Prop: h.Prop})
			}
			out = append(out, g)
		}
	}
	return out
}

// rivalry lets causes that exclude each other share their probability; one that
// a rule settles weighs as much as can be. Of several groups the least counts.
func (w *world) rivalry(heads []*head, settled map[fact]bool) {
	var done []*rules.Rivals
	least := map[fact]float64{}
	for _, h := range heads {
		for _, r := range h.rivals {
			if slices.Contains(done, r) {
				continue
			}
			done = append(done, r)
			for _, g := range w.groups(r) {
				var priors, sums []float64
				for _, f := range g {
					x := 0.0
					if s := w.sums[f]; s != nil {
						x = float64(s.sum)
					}
					state, _ := w.byRules(w.heads[f.Prop], f)
					switch {
					case settled[f]:
						x = 4000 * unit
					case w.sums[f] == nil && state == truth.False:
						x = -4000 * unit
					}
					priors, sums = append(priors, f.Prop.HowCommon), append(sums, x)
				}
				for i, p := range rivalProbabilities(priors, sums) {
					if old, ok := least[g[i]]; !ok || p < old {
						least[g[i]] = p
					}
				}
			}
		}
	}
	for f, p := range least {
		if s := w.sums[f]; s != nil {
			s.prob = p
			s.judge()
		}
	}
}

// handOn works out what facts that rest on clues hand on: their own sum, or the
// best evidence of a rule that concludes them. What rests on itself rises from
// nothing until it no longer changes.
func (w *world) handOn(heads []*head, settled map[fact]bool) {
	w.each(heads, func(h *head, f fact) {
		if h.tainted {
			w.ev[f] = absent
		}
	})
	byRules := func(uses []use, f fact) evidence {
		out := absent
		for _, u := range uses {
			for _, b := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
				c, ev := place{w, b, nil}, seen
				for _, k := range u.rule.If {
					ev = ev.and(c.evidence(k.Root))
				}
				for _, k := range u.rule.Unless {
					if c.truth(k.Root) == truth.True {
						ev = ev.and(open)
					}
				}
				out = out.or(ev)
			}
		}
		return out
	}
	for again := true; again; {
		again = false
		w.each(heads, func(h *head, f fact) {
			if !h.tainted {
				return
			}
			ev, s := open, w.sums[f]
			switch {
			case w.out[f] == truth.True && w.state[f] == truth.False:
				ev = byRules(h.outs, f).not()
			case w.out[f] == truth.True:
			case s != nil && !settled[f]:
				ev = evidence{math.Pow(10, min(max(float64(s.sum)/unit/10, -300), 300)), s.prob}
				if !s.decided {
					ev.lambda = 1
				}
			case len(h.then) > 0:
				ev = byRules(h.then, f)
			}
			if w.ev[f] != ev {
				w.ev[f], again = ev, true
			}
		})
	}
}
