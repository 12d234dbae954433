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
			c, in, round := w.at(b), truth.True, int32(0)
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
		for _, b := range w.meetings(each, ties, name, part) {
			for _, k := range conds {
				if k != nil {
					w.at(b).facts(k.Root, of)
				}
			}
		}
	}
	of = func(f fact) {
		if seen[f] {
			return
		}
		seen[f] = true
		if o := w.f.Lookup(f.Part, f.Prop); o != nil && o.Value.Looked == vocab.Told && o.Basis >= 0 && !f.Prop.Role.Concluded() {
			reached[o.Basis] = true
		}
		if !isHead(f.Prop) {
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
