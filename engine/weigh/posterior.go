package weigh

import (
	"math"

	"whyworn/facts/truth"
)

// Thresholds of the state of a weighed finding. They are the bounds of "very
// likely" and "very unlikely" on the scale of [Word].
const (
	TrueFrom  = 0.90 // true from this probability on, if the clues speak for it
	FalseUpTo = 0.10 // false up to this probability, if the clues speak against it
)

// probabilityRounding is how far below a bound a probability may fall and still
// reach it. A weight is rounded to 1e-9 deciban, which moves a probability by at
// most p·(1−p)·ln(10)/10·1e-9 < 6e-11; without this, two clues of 9:1 on a prior
// of 0.1 would reach 0.90 or not by the luck of rounding.
const probabilityRounding = 1e-9

func atLeast(p, bound float64) bool { return p >= bound-probabilityRounding }
func atMost(p, bound float64) bool  { return p <= bound+probabilityRounding }

// Posterior is the probability of one cause against its absence:
//
//	π·L / (π·L + 1 − π),  L = 10^(sum/10)
//
// π is the prior (how_common), in [0, 1]; sum is what the counted clues weigh.
// Formula: Bayes' rule in odds form, odds after = odds before · L.
func Posterior(prior float64, sum Weight) float64 {
	if prior <= 0 || prior >= 1 {
		return prior
	}
	if sum == 0 {
		return prior
	}
	// The power is never above 1, so nothing overflows.
	l := math.Pow(10, -sum.Abs().Decibans()/10)
	if sum > 0 {
		return prior / (prior + (1-prior)*l)
	}
	return prior * l / (prior*l + (1 - prior))
}

// Rivals gives the probabilities of n causes that exclude each other and, last,
// of none of them; the n+1 values sum to 1.
//
//	P_i = π_i·L_i / (π_0 + Σ π_j·L_j),  P_none = π_0 / (π_0 + Σ π_j·L_j)
//	π_0 = 1 − Σ π_j,  L_i = 10^(sums[i]/10)
//
// priors are the π_i, each in [0, 1), sums the counted weights; both of length
// n. Where the priors sum to more than 1 they are scaled to sum to 1, which
// leaves nothing for none; [PriorScale] tells, and the caller has to say so.
//
// The L_i are read as ratios against none of the rivals: `otherwise` is how
// often a sign shows on a part that has no such fault, and a rival without a
// clue on a sign shows it that often too. For one cause this is [Posterior].
// The ratio against the mere absence of cause i, which the other rivals may
// explain too, follows from them:
//
//	L_i against absence = L_i·(1 − π_i) / (π_0 + Σ_{j≠i} π_j·L_j)
//
// It equals L_i when the others explain the evidence no better than none does,
// and Posterior with it gives the same P_i. Derivation: Bayes' rule over the
// hypotheses 1…n and none, each likelihood divided by that of none.
func Rivals(priors []float64, sums []Weight) []float64 {
	n := len(priors)
	out := make([]float64, n+1)
	scale := PriorScale(priors)
	none := 1.0
	for _, p := range priors {
		none -= p * scale
	}
	if scale < 1 || none < 0 {
		none = 0
	}
	// Likelihoods are taken relative to the greatest, so that nothing overflows.
	top := Weight(math.MinInt64 / 4)
	if none > 0 {
		top = 0
	}
	for i, p := range priors {
		if p > 0 {
			top = max(top, sums[i])
		}
	}
	total := none * relative(0, top)
	out[n] = total
	for i, p := range priors {
		if p > 0 {
			out[i] = p * scale * relative(sums[i], top)
			total += out[i]
		}
	}
	for i := range out {
		out[i] /= total
	}
	return out
}

func relative(w, top Weight) float64 { return math.Pow(10, (w-top).Decibans()/10) }

// PriorScale is what [Rivals] multiplies the priors with: 1, or 1/Σ where they
// sum to more than 1. A sum that passes 1 only by rounding is not scaled.
func PriorScale(priors []float64) float64 {
	sum := 0.0
	for _, p := range priors {
		sum += p
	}
	if sum > 1+1e-12 {
		return 1 / sum
	}
	return 1
}

// State is the state of a weighed finding of probability p whose counted clues
// sum to sum: true when p reaches [TrueFrom] and the clues speak for it, false
// when p is [FalseUpTo] or less and they speak against it, else unknown. It is
// unknown while no clue is decided: a prior alone proves nothing.
func State(p float64, sum Weight, decided bool) truth.Truth {
	switch {
	case !decided:
		return truth.Unknown
	case sum > 0 && atLeast(p, TrueFrom):
		return truth.True
	case sum < 0 && atMost(p, FalseUpTo):
		return truth.False
	}
	return truth.Unknown
}
