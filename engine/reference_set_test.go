package engine_test

import (
	"math"

	"whyworn/facts/measure"
)

// setNumbers works out the numbers that rules set in one stratum.
func (r *reference) setNumbers(s int) {
	values := map[slot][]measure.Number{}
	for _, rule := range r.pack.Rules {
		for _, a := range rule.Set {
			if r.stratum[a.Prop] != s {
				continue
			}
			for _, b := range r.instances(rule.Each) {
				if !r.fires(rule, b) {
					continue
				}
				n, ok := r.quantity(a.Value.Root, b)
				if !ok {
					continue
				}
				h := slot{b[a.Var], a.Prop}
				values[h] = append(values[h], n)
				need := r.deepest(a.Value.Root, b, nil)
				for _, c := range rule.If {
					need = max(need, r.rounds(c.Root, b, nil))
				}
				if old, ok := r.round[h]; !ok || need+1 < old {
					r.round[h] = need + 1
				}
			}
		}
	}
	for h, ns := range values {
		for _, x := range ns {
			for _, y := range ns {
				if !r.agree(x, y) {
					r.twoValues[h] = true
				}
			}
		}
		if r.twoValues[h] {
			delete(r.round, h)
		} else {
			r.number[h] = ns[0]
		}
	}
}

// agree tells whether two accounts of one number can both be right.
func (r *reference) agree(x, y measure.Number) bool {
	gap := max(x.Lo-y.Hi, y.Lo-x.Hi)
	tol := 1e-9 * largest(x.Lo, x.Hi, y.Lo, y.Hi)
	var square float64
	for _, s := range sourcesOf(x, y) {
		d := termOf(x, s) - termOf(y, s)
		square += d * d
	}
	if len(sourcesOf(x, y)) == 0 && (x.Lo-y.Hi > -tol && (x.LoOpen || y.HiOpen) || y.Lo-x.Hi > -tol && (y.LoOpen || x.HiOpen)) {
		return false // they touch where an end is left out
	}
	return gap <= 0 || gap < tol || gap <= r.facts.K*math.Sqrt(square)+tol
}
