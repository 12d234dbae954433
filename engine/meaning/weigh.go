package meaning

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// weigh works out what the clues of a fact weigh, each for its bound parts, and
// what those that count come to.
func (w *World) weigh(f Fact, x *found) {
	clues := slices.DeleteFunc(slices.Clone(w.bearings(f, false)), func(b *Bearing) bool { return b.Clue == nil })
	for _, b := range clues {
		c, k := w.At(b.Bound), b.Clue
		b.Lambda = weigh.Open
		if b.State, b.Round = c.all(k.If); b.State != truth.True {
			continue
		}
		if sign := k.Sign.Root; sign.Type.K == condition.KPick {
			v := c.See(sign)
			b.Weight = weigh.ChoiceClue(k.WhenSo, k.Otherwise, v.Mask)
		} else {
			b.Lambda = c.support(sign, ratio)
			b.Weight = weigh.Clue(k.WhenSo[0], k.Otherwise[0], b.Lambda)
		}
		b.Round, b.Rests = 1+max(b.Round, c.latest(k.Sign.Root)), w.rests(c, k.Sign)
		if b.Weight == 0 {
			b.Round = 1
		}
	}
	x.Inexact = count(clues)
	x.clueRound = 1
	for _, b := range clues {
		x.Decided = x.Decided || b.Weight != 0
		if b.Counted {
			x.Weight += b.Weight
			x.clueRound = max(x.clueRound, b.Round)
		}
	}
	x.judge(weigh.Posterior(f.Prop.HowCommon, x.Weight))
}

// judge settles what clues alone make of a fact of this probability.
func (x *found) judge(p float64) {
	x.byOdds, x.byClues = p, weigh.State(p, x.Weight, x.Decided)
}

// rests is the written observations that the sign of a clue can reach through
// all rules and clues.
func (w *World) rests(c Place, sign *condition.Condition) (out []int32) {
	seen := map[Fact]bool{}
	var of func(f Fact)
	of = func(f Fact) {
		if seen[f] {
			return
		}
		seen[f] = true
		o := w.Facts.Lookup(f.Part, f.Prop)
		if o != nil && o.Value.Looked == vocab.Told && o.Basis >= 0 && !slices.Contains(out, o.Basis) {
			out = append(out, o.Basis)
		}
		for _, b := range w.bearings(f, true) {
			for _, k := range b.All {
				w.At(b.Bound).Visit(k.Root, of)
			}
		}
	}
	c.Visit(sign.Root, of)
	slices.Sort(out)
	return out
}

// exactUpTo is how many clues that hang together are weighed against each other.
const exactUpTo = 20

// count chooses the clues that count: of the instances of one clue the
// heaviest, and of those the set of greatest weight no two of which rest on one
// observation; of equal sets the one whose first clues come first. Beyond 20
// clues that hang together the heaviest are taken first, and it says so.
func count(clues []*Bearing) (inexact bool) {
	share := func(a, b *Bearing) bool {
		return slices.ContainsFunc(a.Rests, func(o int32) bool { return slices.Contains(b.Rests, o) })
	}
	heavier := func(a, b *Bearing) int { return cmp.Compare(b.Weight.Abs(), a.Weight.Abs()) }
	var compete []*Bearing
	for _, b := range clues {
		same := slices.DeleteFunc(slices.Clone(clues), func(o *Bearing) bool { return o.Clue != b.Clue })
		switch first := slices.MinFunc(same, heavier); {
		case b.Weight == 0:
		case first != b:
			b.Through = first
		default:
			compete = append(compete, b)
		}
	}
	var best func(left []*Bearing) (weigh.Weight, []*Bearing)
	best = func(left []*Bearing) (weigh.Weight, []*Bearing) {
		if len(left) == 0 {
			return 0, nil
		}
		first, rest := left[0], left[1:]
		apart := slices.DeleteFunc(slices.Clone(rest), func(o *Bearing) bool { return share(first, o) })
		with, chosen := best(apart)
		if with += first.Weight.Abs(); len(apart) < len(rest) {
			if without, others := best(rest); without > with {
				return without, others
			}
		}
		return with, append([]*Bearing{first}, chosen...)
	}
	for len(compete) > 0 {
		cluster := cluster(compete, share)
		compete = slices.DeleteFunc(compete, func(b *Bearing) bool { return slices.Contains(cluster, b) })
		var chosen []*Bearing
		if len(cluster) <= exactUpTo {
			_, chosen = best(cluster)
		} else {
			inexact = true
			for _, b := range slices.SortedStableFunc(slices.Values(cluster), heavier) {
				if !slices.ContainsFunc(chosen, func(o *Bearing) bool { return share(b, o) }) {
					chosen = append(chosen, b)
				}
			}
		}
		for _, b := range cluster {
			instead := slices.DeleteFunc(slices.Clone(cluster), func(o *Bearing) bool { return !slices.Contains(chosen, o) || !share(b, o) })
			if b.Counted = slices.Contains(chosen, b); !b.Counted && len(instead) > 0 {
				b.Through = slices.MinFunc(instead, heavier)
			}
		}
	}
	return inexact
}

// cluster is the first of some clues and what hangs together with it, directly
// or through others, in the order in which they stand.
func cluster(all []*Bearing, share func(a, b *Bearing) bool) []*Bearing {
	in := all[:1:1]
	for i := 0; i < len(in); i++ {
		for _, b := range all {
			if !slices.Contains(in, b) && share(in[i], b) {
				in = append(in, b)
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(b *Bearing) bool { return !slices.Contains(in, b) })
}

// exclusive lists the causes that exclude each other, once for each set of parts.
func (w *World) exclusive(r *rules.Rivals) (out [][]Fact) {
	for _, b := range w.bindings(r.Each, r.If, -1, 0, false) {
		if in, _ := w.At(b).all(r.If); in == truth.True {
			var causes []Fact
			for _, h := range r.Causes {
				causes = append(causes, Fact{Part: b[h.Var], Prop: h.Prop})
			}
			out = append(out, causes)
		}
	}
	return out
}

// RivalsOf lists the causes that exclude a fact.
func (w *World) RivalsOf(f Fact) (out []record.Rival) {
	for _, r := range w.heads[f.Prop].rivals {
		for _, causes := range w.exclusive(r) {
			for _, o := range causes {
				if o != f && slices.Contains(causes, f) {
					out = append(out, record.Rival{Cause: o, Group: r})
				}
			}
		}
	}
	return out
}

// rivalry lets causes that exclude each other share their probability; one that
// a rule settles weighs as much as can be. Of several groups the least counts.
func (w *World) rivalry(group []*vocab.Property) {
	least := map[Fact]float64{}
	for _, r := range w.Pack.Rivals {
		if !slices.Contains(group, r.Causes[0].Prop) {
			continue
		}
		for _, causes := range w.exclusive(r) {
			var priors []float64
			var sums []weigh.Weight
			for _, f := range causes {
				x, h := w.at(f), w.heads[f.Prop]
				state, _ := w.byRules(f, concludes)
				sum := x.Weight
				switch {
				case x.settled:
					sum = weigh.MaxWeight
				case !h.has[speaks] && h.has[concludes] && state == truth.False:
					sum = -weigh.MaxWeight
				}
				priors, sums = append(priors, f.Prop.HowCommon), append(sums, sum)
			}
			for i, p := range weigh.Rivals(priors, sums)[:len(causes)] {
				if old, ok := least[causes[i]]; !ok || p < old {
					least[causes[i]] = p
				}
			}
		}
	}
	for f, p := range least {
		if w.heads[f.Prop].has[speaks] {
			w.at(f).judge(p)
		}
	}
}
