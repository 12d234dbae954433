package check

import (
	"math"
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
)

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
				in = truth.And(in, w.at(b).truth(k.Root))
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
