package anew

import (
	"cmp"
	"math"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Weighing is the clues of one cause of one part.
type Weighing struct {
	clues   []*Spoken
	Sum     int64 // of those counted, in 1e-9 decibans
	Decided bool
	Inexact bool
	prob    float64
	State   truth.Truth // by clues alone
	round   int32
}

// Spoken is one clue for bound parts.
type Spoken struct {
	Clue    *rules.Clue
	bound   []int32
	Lambda  float64
	Weight  int64
	round   int32
	Rests   []int32
	Counted bool
	Through *Spoken
}

// Deciban is the unit in which weights are summed, as whole numbers.
const Deciban = 1e9

// WeightOf is the weight of a likelihood ratio p:q in 1e-9 decibans.
func WeightOf(p, q float64) int64 {
	switch {
	case p == q:
		return 0
	case p < q:
		return -WeightOf(q, p)
	}
	return int64(math.Round(min(10*math.Log10(p/q), 4000) * Deciban))
}

func (w *World) weigh(h *head, f Fact) *Weighing {
	s := &Weighing{}
	for _, k := range h.clues {
		for _, b := range w.bindings(k.Each, k.If, k.Cause.Var, f.Part) {
			c, in, round := w.At(b), truth.True, int32(0)
			for _, i := range k.If {
				in, round = truth.And(in, c.Truth(i.Root)), max(round, c.round(i.Root))
			}
			if in != truth.True {
				continue
			}
			it := &Spoken{Clue: k, bound: b, Lambda: 1}
			if k.Sign.Root.Type.K == condition.KPick {
				it.Weight = choiceWeight(k, c.Mask(k.Sign.Root))
			} else {
				p, q, l := k.WhenSo[0], k.Otherwise[0], c.evidence(k.Sign.Root).lambda
				it.Lambda = l
				if math.IsInf(l, 1) {
					it.Weight = WeightOf(p, q)
				} else if l != 1 {
					it.Weight = WeightOf(float64(p*l)+(1-p), float64(q*l)+(1-q))
				}
			}
			it.round, it.Rests = max(round, c.greatest(k.Sign.Root)), w.rests(c, k)
			if it.Weight == 0 {
				it.round = 0
			}
			s.clues = append(s.clues, it)
		}
	}
	s.count()
	for _, it := range s.clues {
		s.Decided = s.Decided || it.Weight != 0
		if it.Counted {
			s.Sum += it.Weight
			s.round = max(s.round, it.round)
		}
	}
	s.round++
	s.prob = s.Alone(f)
	s.judge()
	return s
}

// Alone is the probability of a cause without rivals.
func (s *Weighing) Alone(f Fact) float64 {
	return rivalProbabilities([]float64{f.Prop.HowCommon}, []float64{float64(s.Sum)})[0]
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
	return WeightOf(p, q)
}

// Rounding is how far a probability may fall short of a bound.
const Rounding = 1e-9

func (s *Weighing) judge() {
	s.State = truth.Unknown
	switch {
	case !s.Decided:
	case s.Sum > 0 && s.prob >= 0.90-Rounding:
		s.State = truth.True
	case s.Sum < 0 && s.prob <= 0.10+Rounding:
		s.State = truth.False
	}
}

// rests is the written observations that the sign of a clue can reach through
// all rules and clues.
func (w *World) rests(c Place, k *rules.Clue) (out []int32) {
	reached := map[int32]bool{}
	seen := map[Fact]bool{}
	var of func(f Fact)
	within := func(each rules.Binding, name int, part int32, ties []*condition.Condition, conds ...*condition.Condition) {
		for _, b := range w.meetings(each, ties, name, part) {
			for _, k := range conds {
				if k != nil {
					w.At(b).Visit(k.Root, of)
				}
			}
		}
	}
	of = func(f Fact) {
		if seen[f] {
			return
		}
		seen[f] = true
		if o := w.Facts.Lookup(f.Part, f.Prop); o != nil && o.Value.Looked == vocab.Told && o.Basis >= 0 && !f.Prop.Role.Concluded() {
			reached[o.Basis] = true
		}
		if !IsHead(f.Prop) {
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
	c.Visit(k.Sign.Root, of)
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
func (s *Weighing) count() {
	abs := func(it *Spoken) int64 { return max(it.Weight, -it.Weight) }
	share := func(a, b *Spoken) bool {
		return slices.ContainsFunc(a.Rests, func(o int32) bool { return slices.Contains(b.Rests, o) })
	}
	var compete []*Spoken
	for _, it := range s.clues {
		best := it
		for _, o := range s.clues {
			if o.Clue == it.Clue && abs(o) > abs(best) {
				best = o
			}
		}
		for _, o := range s.clues { // of equals the first
			if o.Clue == it.Clue && abs(o) == abs(best) {
				best = o
				break
			}
		}
		switch {
		case it.Weight == 0:
		case best != it:
			it.Through = best
		default:
			compete = append(compete, it)
		}
	}
	var best func(left []*Spoken) (int64, []*Spoken)
	best = func(left []*Spoken) (int64, []*Spoken) {
		if len(left) == 0 {
			return 0, nil
		}
		first, rest := left[0], left[1:]
		apart := slices.DeleteFunc(slices.Clone(rest), func(o *Spoken) bool { return share(first, o) })
		with, chosen := best(apart)
		if with += abs(first); len(apart) < len(rest) {
			if without, others := best(rest); without > with {
				return without, others
			}
		}
		return with, append([]*Spoken{first}, chosen...)
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
		left = slices.DeleteFunc(slices.Clone(left), func(o *Spoken) bool { return slices.Contains(cluster, o) })
		order := func(a, b *Spoken) int { return cmp.Compare(slices.Index(s.clues, a), slices.Index(s.clues, b)) }
		slices.SortFunc(cluster, order)
		var chosen []*Spoken
		if len(cluster) <= 20 {
			_, chosen = best(cluster)
		} else {
			s.Inexact = true
			slices.SortStableFunc(cluster, func(a, b *Spoken) int { return cmp.Compare(abs(b), abs(a)) })
			for _, it := range cluster {
				if !slices.ContainsFunc(chosen, func(o *Spoken) bool { return share(it, o) }) {
					chosen = append(chosen, it)
				}
			}
		}
		for _, it := range chosen {
			it.Counted = true
		}
		for _, it := range cluster {
			for _, o := range chosen {
				if it.Counted || !share(it, o) {
					continue
				}
				if t := it.Through; t == nil || abs(o) > abs(t) || abs(o) == abs(t) && order(o, t) < 0 {
					it.Through = o
				}
			}
		}
	}
}
