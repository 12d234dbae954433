package anew

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
	over := none * math.Pow(10, -top/Deciban/10)
	out := make([]float64, len(priors))
	for i, p := range priors {
		out[i] = p * scale * math.Pow(10, (sums[i]-top)/Deciban/10)
		over += out[i]
	}
	for i := range out {
		out[i] /= over
	}
	return out
}

// groups lists the causes that exclude each other, once for each set of parts.
func (w *World) groups(r *rules.Rivals) (out [][]Fact) {
	for _, part := range w.Facts.OfKind[r.Each[0].Kind.Index] {
		for _, b := range w.bindings(r.Each, r.If, 0, part) {
			in := truth.True
			for _, k := range r.If {
				in = truth.And(in, w.At(b).Truth(k.Root))
			}
			if in != truth.True {
				continue
			}
			var g []Fact
			for _, h := range r.Causes {
				g = append(g, Fact{Part: b[h.Var], Prop: h.Prop})
			}
			out = append(out, g)
		}
	}
	return out
}

// Rival is a cause that excludes another, by one group.
type Rival struct {
	Cause Fact
	Group *rules.Rivals
}

// RivalsOf lists the causes that exclude a fact.
func (w *World) RivalsOf(f Fact) (out []Rival) {
	for _, r := range w.heads[f.Prop].rivals {
		for _, g := range w.groups(r) {
			for _, o := range g {
				if o != f && slices.Contains(g, f) {
					out = append(out, Rival{o, r})
				}
			}
		}
	}
	return out
}

// rivalry lets causes that exclude each other share their probability; one that
// a rule settles weighs as much as can be. Of several groups the least counts.
func (w *World) rivalry(heads []*head, settled map[Fact]bool) {
	var done []*rules.Rivals
	least := map[Fact]float64{}
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
						x = float64(s.Sum)
					}
					state, _ := w.byRules(w.heads[f.Prop], f)
					switch {
					case settled[f]:
						x = 4000 * Deciban
					case w.sums[f] == nil && state == truth.False:
						x = -4000 * Deciban
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
