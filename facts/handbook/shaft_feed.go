package handbook

import (
	"fmt"
	"math"
	"slices"
)

// A feedLadder is a hollow shaft that feeds arms in a row: supply, one feed
// restriction into the hollow, a length of bore to each arm, and at each arm a
// leak to air. The feed may enter between arms; then it has two branches. All
// laminar, so every element is a conductance, m³/(s·Pa).
//
//	supply ──feed──┬──bore₁──┬──bore₂──┬── … ──boreₙ──┐
//	               ·       leak₁     leak₂          leakₙ
type feedLadder struct {
	supply float64 // Pa over air
	feed   float64 // conductance of the restriction
	// before is the number of arms on the near side of the feed: 0 when it
	// enters at the end. bore[i] joins arm i to its neighbour toward the feed,
	// or to the feed itself.
	before     int
	bore, leak []float64
}

// solve gives the pressure in Pa at each arm, exactly, in room for two numbers an
// arm: seen from the far
// end of a branch, arm k and all beyond it are one conductance
//
//	Yₖ = leakₖ + 1/(1/boreₖ₊₁ + 1/Yₖ₊₁),   Yₙ = leakₙ
//
// and the pressure divides at each length of bore by Ohm's law.
func (l feedLadder) solve(room []float64) []float64 {
	n := len(l.leak)
	p, y := room[:n:n], room[n:2*n]
	// branch is what arms from first to before end are as one conductance.
	branch := func(first, step, end int) (seen float64) {
		for k := end - step; k != first-step; k -= step {
			y[k] = l.leak[k] + seen
			seen = l.bore[k] * y[k] / (l.bore[k] + y[k]) // in a row
		}
		return seen
	}
	near, far := branch(l.before-1, -1, -1), branch(l.before, 1, n)
	behind := l.supply * l.feed / (l.feed + near + far) // the restriction
	divide := func(first, step, end int) {
		before := behind
		for i := first; i != end; i += step {
			p[i] = before * l.bore[i] / (l.bore[i] + y[i])
			before = p[i]
		}
	}
	divide(l.before-1, -1, -1)
	divide(l.before, 1, n)
	return p
}

// fourth is math.Pow(d, 4) to the bit, for diameters of bores.
func fourth(d float64) float64 {
	square := d * d
	return square * square
}

// armLeak is the conductance of one arm fed in the middle of its width: oil
// leaves both ways, each over half the width.
func armLeak(d, radial, width, mu, ecc float64) float64 {
	return 2 * annularFlow(d, radial, 1, mu, width/2, ecc)
}

// reynolds is the greatest Reynolds number in feed, bore and gaps, diameters in
// m, for a mineral oil of 870 kg/m³.
func (l feedLadder) reynolds(p []float64, feed, bore, shaft, mu float64) float64 {
	const density = 870
	total, most := 0.0, 0.0
	pipe := func(q, d float64) float64 { return 4 * density * q / (math.Pi * d * mu) }
	branch := func(from, step, end int) { // inward, so that the flow adds up
		q := 0.0
		for i := from; i != end; i += step {
			leak := p[i] * l.leak[i]
			q += leak
			most = max(most, pipe(q, bore), annularReynolds(leak/2, shaft, mu, density))
		}
		total += q
	}
	branch(0, 1, l.before)
	branch(len(p)-1, -1, l.before-1)
	return max(most, pipe(total, feed))
}

// shaft_feed is the sum behind "large play starves the arms": the leak of an
// arm grows with the third power of its play, all of it comes through one
// restriction, and what the restriction takes is missing at every arm, most at
// the arm farthest from the feed.
func shaftFeedEntries() []*Entry {
	play := Param{Name: "play", Unit: "µm", Means: "bore less shaft of each arm now, in order along the shaft", Lo: 1, Hi: 2000, List: true}.falls()
	playNew := Param{Name: "play_new", Unit: "µm", Means: "the same when new", Lo: 1, Hi: 2000, List: true}.rises() // the first result does not ask for it
	spacing := Param{Name: "spacing", Unit: "mm", Means: "bore from each arm to its neighbour toward the feed, or to the feed itself", Lo: 0.1, Hi: 5000, List: true}
	small := func(name, unit, means string, lo, hi, v float64) Param { return num(name, unit, means, lo, hi).or(v) }
	return []*Entry{entry(Entry{
		Name: "shaft_feed", Title: "Oil pressure along a shaft that feeds arms in a row; which arm starves",
		Formula: "leak of an arm: 2 · π D c³ p (1 + 1.5 ε²)/(12 μ w/2), c = play/2;  feed and bore: π d⁴ Δp/(128 μ L);\n" +
			"from the far end Yₖ = leakₖ + 1/(1/boreₖ₊₁ + 1/Yₖ₊₁), then the pressure divides from the feed outward: exact, no iteration",
		Params: []Param{
			play, playNew, spacing,
			positive("diameter", "mm", "D, of the shaft").falls(), positive("width", "mm", "w, of one arm on the shaft").rises(),
			num("supply", "bar", "pressure before the restriction, over air", 0.01, 20).or(2).rises(),
			positive("viscosity", "mPa·s", "μ, dynamic, hot").or(10),
			small("feed_diameter", "mm", "d of the restriction", 0.1, 20, 2).rises(), small("feed_length", "mm", "L of the restriction", 0.1, 5000, 10).falls(),
			small("bore_diameter", "mm", "d of the hollow of the shaft", 0.5, 100, 6).rises(),
			Param{Name: "eccentricity", Means: "ε: 1, the arm pulled to one side by its load", Lo: 0, Hi: 1}.or(1).falls(),
			Param{Name: "arms_before_feed", Means: "arms on the near side of the feed; 0: it enters at the end", Lo: 0, Hi: MaxList}.or(0),
		},
		Results: []Param{
			anyNumber("lowest_pressure", "bar", "at the arm that has least"), anyNumber("first_starved", "", "number of that arm along the shaft"),
			anyNumber("fall", "%", "how far the pressure at that arm has fallen from new"), anyNumber("total_flow", "ml/min", "through the feed now"),
			anyNumber("total_flow_new", "ml/min", "through the feed when new"), anyNumber("reynolds", "", "greatest anywhere now, at 870 kg/m³"),
			{Name: "pressure", Unit: "bar", Means: "at each arm now", Lo: open, Hi: open, List: true}, {Name: "flow", Unit: "ml/min", Means: "leaking at each arm now", Lo: open, Hi: open, List: true},
			{Name: "pressure_new", Unit: "bar", Means: "at each arm when new", Lo: open, Hi: open, List: true},
		},
		Domain: "laminar throughout; as many plays new, plays now and spacings as arms; thin gaps, play up to D/10",
		Source: "Kirchhoff's laws over Hagen–Poiseuille and the thin annulus (Merritt, Hydraulic Control Systems); one arm checked by its closed form, many by a general network solution",
		Cautions: []string{
			"this is the sum behind “large play starves the arms”: a leak grows with the third power of the play, all of it comes through one restriction, and what the restriction takes is missing at every arm",
			"arms that share one shaft share one supply: where play is large pressure falls for all, most beyond that arm",
			"a restriction shorter than some ten diameters passes less than this says; oil leaves a hole, not a full groove, so real leaks are smaller: read the falls, not the flows",
			"one viscosity for all; hot arms leak more",
		},
	}, func(a []Arg) ([]float64, error) {
		now, fresh, gap := a[0].List, a[1].List, a[2].List
		n := len(now)
		for i, l := range [][]float64{fresh, gap} {
			if len(l) != n {
				return nil, refuse([]string{"play_new", "spacing"}[i], fmt.Sprintf("%d values, one for each arm", n), "")
			}
		}
		d, w, ecc := a[3].Num*millim, a[4].Num*millim, a[10].Num
		p, mu := a[5].Num*barPa, a[6].Num*mPas
		before := a[11].Num
		if before != math.Trunc(before) || int(before) > n {
			return nil, refuse("arms_before_feed", fmt.Sprintf("a whole number from 0 to %d", n), "")
		}
		var few [7 * 8]float64 // most shafts have few arms
		room := few[:]
		if 7*n > len(few) {
			room = make([]float64, 7*n)
		}
		take := func(k int) []float64 {
			out := room[:k:k]
			room = room[k:]
			return out
		}
		bore, d4 := take(n), fourth(a[9].Num*millim)
		for i := range bore {
			bore[i] = pipeFlowOf(d4, 1, mu, gap[i]*millim)
		}
		feed := pipeFlowOf(fourth(a[7].Num*millim), 1, mu, a[8].Num*millim)
		build := func(plays []float64) (feedLadder, error) {
			l := feedLadder{supply: p, before: int(before), feed: feed, bore: bore, leak: take(n)}
			for i, v := range plays {
				if v*microm > d/10 {
					return l, refuse("play", "up to a tenth of the shaft diameter", "")
				}
				l.leak[i] = armLeak(d, v/2*microm, w, mu, ecc)
			}
			return l, nil
		}
		worn, err := build(now)
		if err != nil {
			return nil, err
		}
		asNew, pw := worn, worn.solve(take(2*n))
		pn := pw
		if !slices.Equal(now, fresh) {
			if asNew, err = build(fresh); err != nil {
				return nil, err
			}
			pn = asNew.solve(take(2 * n))
		}
		least := 0
		for i := range pw {
			if pw[i] < pw[least] {
				least = i
			}
		}
		var qw, qn float64
		for i := range pw {
			qw, qn = qw+pw[i]*worn.leak[i], qn+pn[i]*asNew.leak[i]
		}
		re := worn.reynolds(pw, a[7].Num*millim, a[9].Num*millim, d, mu)
		if most := max(re, asNew.reynolds(pn, a[7].Num*millim, a[9].Num*millim, d, mu)); most > laminar {
			return nil, refuse("supply", "laminar flow throughout, Reynolds number up to 2000", "it would be "+number(math.Round(most))+" at the fastest place; a pressure lower or an oil thicker keeps it laminar, or this sum does not hold")
		}
		out := make([]float64, 0, 6+3*n)
		out = append(out, pw[least]/barPa, float64(least+1), (1-pw[least]/pn[least])*100, qw/mlPerMin, qn/mlPerMin, re)
		for _, v := range pw {
			out = append(out, v/barPa)
		}
		for i, v := range pw {
			out = append(out, v*worn.leak[i]/mlPerMin)
		}
		for _, v := range pn {
			out = append(out, v/barPa)
		}
		return out, nil
	})}
}
