package engine_test

import (
	"cmp"
	"math"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
)

// evidence is what the reference's clues say.
type evidence struct {
	byClues map[slot]truth.Truth
	settled map[slot]bool // a rule fires
	lambda  map[slot]float64
	sum     map[slot]int64 // 1e-9 decibans
	chance  map[slot]float64
	total   map[slot]int64 // Σ|weight| of what counts
	said    map[slot][]said
}

// said is what one instance of a clue says.
type said struct {
	clue    *rules.Clue
	b       instance
	weight  int64
	rests   []slot
	counted bool
}

func (s said) before(o said) int {
	return cmp.Or(cmp.Compare(s.clue.ID, o.clue.ID), slices.Compare(s.b, o.b))
}

// decibans is 10·log10(a/b) in units of 1e-9.
func decibans(a, b float64) int64 {
	if a < b {
		return -decibans(b, a)
	}
	return int64(math.Round(10 * math.Log10(a/b) * 1e9))
}

func ratio(weight int64) float64 { return math.Pow(10, float64(weight)/1e10) }

// says is what a clue adds, by the formula of the design.
func (r *reference) says(c *rules.Clue, b instance) int64 {
	if c.Sign.Root.Type.K == condition.KPick {
		possible := r.pick(c.Sign.Root, b, nil)
		if possible == 0 || possible == 1<<len(c.WhenSo)-1 {
			return 0
		}
		var p, q float64
		for k := range c.WhenSo {
			if possible>>k&1 == 1 {
				p += c.WhenSo[k]
				q += c.Otherwise[k]
			}
		}
		return decibans(p, q)
	}
	p, q := c.WhenSo[0], c.Otherwise[0]
	switch l := r.likelihood(c.Sign.Root, b, nil); {
	case math.IsInf(l, 1):
		return decibans(p, q)
	case l == 1:
		return 0
	default:
		return decibans(p*l+(1-p), q*l+(1-q))
	}
}

// weigh sums the clues for every weighed finding of a stratum.
func (r *reference) weigh(s int) {
	if r.byClues == nil {
		r.evidence = evidence{byClues: map[slot]truth.Truth{}, settled: r.settled, lambda: map[slot]float64{}, sum: map[slot]int64{},
			chance: map[slot]float64{}, total: map[slot]int64{}, said: map[slot][]said{}}
	}
	for _, c := range r.pack.Clues {
		if r.stratum[c.Cause.Prop] != s {
			continue
		}
		for _, b := range r.instances(c.Each) {
			if r.all(c.If, b) == truth.True {
				h := slot{b[c.Cause.Var], c.Cause.Prop}
				r.said[h] = append(r.said[h], said{clue: c, b: b, weight: r.says(c, b), rests: r.reach(c.Sign.Root, b)})
			}
		}
	}
	for _, k := range r.pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if !p.Weighed || r.stratum[p] != s {
				continue
			}
			for _, part := range r.facts.OfKind[k.Index] {
				h := slot{part, p}
				count(r.said[h])
				for _, x := range r.said[h] {
					if x.counted {
						r.sum[h] += x.weight
						r.total[h] += max(x.weight, -x.weight)
					}
				}
				odds := p.HowCommon / (1 - p.HowCommon) * ratio(r.sum[h])
				r.chance[h] = odds / (1 + odds)
			}
		}
	}
	r.rival(s)
	for h, p := range r.chance {
		if r.stratum[h.prop] != s {
			continue
		}
		t := truth.Unknown
		if sum := r.sum[h]; sum > 0 && p >= 0.9-1e-9 {
			t = truth.True
		} else if sum < 0 && p <= 0.1+1e-9 {
			t = truth.False
		}
		r.byClues[h] = t
	}
}

// rival normalises causes that exclude each other.
func (r *reference) rival(s int) {
	for _, v := range r.pack.Rivals {
		if r.stratum[v.Causes[0].Prop] != s {
			continue
		}
		for _, b := range r.instances(v.Each) {
			if r.all(v.If, b) != truth.True {
				continue
			}
			priors := 0.0
			for _, h := range v.Causes {
				priors += h.Prop.HowCommon
			}
			scale, none := 1.0, 1-priors
			if priors > 1 {
				scale, none = 1/priors, 0
			}
			whole := none
			for _, h := range v.Causes {
				whole += scale * h.Prop.HowCommon * ratio(r.sum[slot{b[h.Var], h.Prop}])
			}
			for _, h := range v.Causes {
				x := slot{b[h.Var], h.Prop}
				r.chance[x] = scale * h.Prop.HowCommon * ratio(r.sum[x]) / whole
			}
		}
	}
}

// count marks the clues that count: of the instances of one clue the heaviest,
// and of these the heaviest set in which no observation is used twice, found by
// trying every set.
func count(all []said) {
	slices.SortFunc(all, said.before)
	var rivals []int
	for i := range all {
		if all[i].weight == 0 {
			continue
		}
		heaviest := true
		for j := range all {
			if all[j].clue == all[i].clue && (abs(all[j].weight) > abs(all[i].weight) || j < i && abs(all[j].weight) == abs(all[i].weight)) {
				heaviest = false
			}
		}
		if heaviest {
			rivals = append(rivals, i)
		}
	}
	if len(rivals) > 16 {
		panic("too many clues for trying every set")
	}
	best, most := 0, int64(0)
	for set := range 1 << len(rivals) {
		used := map[slot]bool{}
		ok, weight := true, int64(0)
		for k, i := range rivals {
			if set>>k&1 == 0 {
				continue
			}
			weight += abs(all[i].weight)
			for _, o := range all[i].rests {
				ok = ok && !used[o]
				used[o] = true
			}
		}
		if !ok || weight < most {
			continue
		}
		if weight > most || comesFirst(set, best) {
			best, most = set, weight
		}
	}
	for k, i := range rivals {
		all[i].counted = best>>k&1 == 1
	}
}

// comesFirst tells whether the smallest member that is in only one of two sets
// is in a.
func comesFirst(a, b int) bool {
	d := a ^ b
	return a&(d&-d) != 0
}

func abs(x int64) int64 { return max(x, -x) }

func ofTruth(t truth.Truth) float64 {
	switch t {
	case truth.True:
		return math.Inf(1)
	case truth.False:
		return 0
	}
	return 1
}

func inverse(l float64) float64 {
	switch {
	case l == 0:
		return math.Inf(1)
	case math.IsInf(l, 1):
		return 0
	}
	return 1 / l
}

// likelihood is the λ of a condition.
func (r *reference) likelihood(e *condition.Expr, b instance, elems []int32) float64 {
	switch e.Op {
	case condition.And:
		out := math.Inf(1)
		for _, a := range e.Args {
			out = min(out, r.likelihood(a, b, elems))
		}
		return out
	case condition.Or:
		out := 0.0
		for _, a := range e.Args {
			out = max(out, r.likelihood(a, b, elems))
		}
		return out
	case condition.Not:
		return inverse(r.likelihood(e.Args[0], b, elems))
	case condition.Prop:
		of, ok := r.part(e.Args[0], b, elems)
		if !ok || of < 0 {
			return 1
		}
		if !e.Prop.Role.Concluded() {
			return ofTruth(r.truth(e, b, elems))
		}
		if l, ok := r.lambda[slot{of, e.Prop}]; ok {
			return l
		}
		return ofTruth(r.state[slot{of, e.Prop}])
	case condition.Any, condition.All, condition.None:
		ls, ok := r.likelihoods(e, b, elems)
		if !ok {
			return 1
		}
		switch e.Op {
		case condition.Any:
			return slices.Max(ls)
		case condition.All:
			return slices.Min(ls)
		}
		return inverse(slices.Max(ls))
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		agg, n, op := e.Args[0], e.Args[1], e.Op
		if agg.Op == condition.Const {
			agg, n = n, agg
			op = map[condition.Op]condition.Op{condition.Lt: condition.Gt, condition.Le: condition.Ge,
				condition.Gt: condition.Lt, condition.Ge: condition.Le}[op]
		}
		if agg.Op == condition.Count && len(agg.Args) == 2 && n.Op == condition.Const {
			ls, ok := r.likelihoods(agg, b, elems)
			if !ok {
				return 1
			}
			slices.Sort(ls)
			slices.Reverse(ls)
			atLeast := func(n int) float64 {
				if n <= 0 {
					return math.Inf(1)
				}
				if n > len(ls) {
					return 0
				}
				return ls[n-1]
			}
			switch k := int(n.Num); op {
			case condition.Ge:
				return atLeast(k)
			case condition.Gt:
				return atLeast(k + 1)
			case condition.Lt:
				return inverse(atLeast(k))
			case condition.Le:
				return inverse(atLeast(k + 1))
			}
		}
	}
	return ofTruth(r.truth(e, b, elems))
}

// likelihoods are those of the members of a list, each together with its being
// a member; for all, of its holding if it is one. False where the list may be
// empty or is not known.
func (r *reference) likelihoods(e *condition.Expr, b instance, elems []int32) ([]float64, bool) {
	ms, ok := r.list(e.Args[0], b, elems)
	if !ok {
		return nil, false
	}
	sure := e.Op == condition.Count
	var out []float64
	for _, m := range ms {
		l, in := r.likelihood(e.Args[1], b, append(slices.Clone(elems), m.part)), ofTruth(m.in)
		sure = sure || m.in == truth.True
		if e.Op == condition.All {
			out = append(out, max(inverse(in), l))
		} else {
			out = append(out, min(in, l))
		}
	}
	return out, sure
}

// handOn gives every finding of a stratum the λ it hands on.
func (r *reference) handOn(s int) {
	if len(r.pack.Clues) == 0 {
		return
	}
	heads, byRule := r.heads(s)
	for _, h := range heads {
		switch {
		case r.conflict[h]:
			r.lambda[h] = 1
		case r.ruledOut[h]:
			r.lambda[h] = 0
		case h.prop.Weighed && !r.settled[h]:
			r.lambda[h] = ratio(r.sum[h])
		case byRule[h.prop]:
			r.lambda[h] = 0
		default:
			r.lambda[h] = 1
		}
	}
	for again := true; again; {
		again = false
		r.conclusions(s, func(h slot, rule *rules.Rule, b instance) {
			if r.conflict[h] || r.ruledOut[h] || h.prop.Weighed && !r.settled[h] {
				return
			}
			l := math.Inf(1)
			for _, c := range rule.If {
				l = min(l, r.likelihood(c.Root, b, nil))
			}
			if r.excepted(rule, b) {
				l = min(l, 1)
			}
			if l > r.lambda[h] {
				r.lambda[h], again = l, true
			}
		})
	}
}
