package handbook

import "math"

// A hex head: bearing face outside diameter dw (ISO 4014, least) and through
// hole dh (ISO 273 medium), mm. From memory.
var hexHeads = map[float64][2]float64{
	3: {4.57, 3.4}, 4: {5.88, 4.5}, 5: {6.88, 5.5}, 6: {8.88, 6.6}, 8: {11.63, 9}, 10: {14.63, 11},
	12: {16.63, 13.5}, 14: {19.64, 15.5}, 16: {22.49, 17.5}, 18: {25.34, 20}, 20: {28.19, 22},
	22: {31.71, 24}, 24: {33.61, 26}, 27: {38, 30}, 30: {42.75, 33}, 33: {46.55, 36}, 36: {51.11, 39},
}

// headDiameter is DKm, the mean diameter in mm at which a hex head rubs.
func (t metricThread) headDiameter() float64 {
	h := hexHeads[t.d]
	return (h[0] + h[1]) / 2
}

// torqueArm is M_A / F_M in mm, VDI 2230:
//
//	M_A = F_M (0.16 P + 0.58 d2 μG + DKm/2 μK)
func (t metricThread) torqueArm(muThread, muHead float64) float64 {
	return 0.16*t.p + 0.58*t.pitchDiameter()*muThread + t.headDiameter()/2*muHead
}

// stressFactor is σ_equivalent / (F/As) while tightening, VDI 2230: pull and
// the twist of the thread together by von Mises, twist taken as fully plastic:
//
//	√(1 + 3 (3/2 · d2/d0 · (P/(π d2) + 1.155 μG))²),  d0 = (d2 + d3)/2
func (t metricThread) stressFactor(muThread float64) float64 {
	d2 := t.pitchDiameter()
	d0 := (d2 + t.minorExternal()) / 2
	k := 1.5 * d2 / d0 * (t.p/(math.Pi*d2) + 1.155*muThread)
	return math.Sqrt(1 + 3*k*k)
}

const tighteningSource = "VDI 2230 (2001/2003), assembly preload and tightening torque of shank bolts; hex head and medium hole sizes of ISO 4014 and ISO 273 from memory"

var yieldWords = []string{"no", "depends on friction", "yes"}

func muParam(name, means string, v float64) Param {
	return Param{Name: name, Means: means, Lo: 0.04, Hi: 0.4}.or(v)
}

func tighteningEntries() []*Entry {
	friction := "friction is assumed, not known: from about 0.08 (molybdenum paste) to 0.2 and over (dry, rusty); the same torque then pulls a screw about twice as hard (common practice, no source)"
	safety := "a maker's figure for the very joint goes before any of this"
	return []*Entry{
		entry(Entry{
			Name: "preload_from_torque", Title: "Preload and stress from a torque by the nut factor",
			Formula: "F = T / (K d);  σ = F / As",
			Params: []Param{
				positive("torque", "N·m", "T").rises(), positive("diameter", "mm", "d, nominal").falls(), positive("stress_area", "mm²", "As, for the stress"),
				Param{Name: "nut_factor", Means: "K, friction and thread in one figure", Lo: 0.08, Hi: 0.5}.or(0.2).falls(),
			},
			Results: []Param{anyNumber("preload", "kN", "F"), anyNumber("stress", "MPa", "σ, pull alone")},
			Domain:  "K from 0.08 to 0.5", Source: "T = K F d, worked examples; K 0.15 oiled, 0.20 as received, 0.30 dry",
			Cautions: []string{friction, safety, "the pull alone; twisting adds about a quarter while tightening (screw_torque_check)"},
		}, func(a []Arg) ([]float64, error) {
			f := a[0].Num * 1000 / (a[3].Num * a[1].Num)
			return []float64{f / 1000, f / a[2].Num}, nil
		}),
		entry(Entry{
			Name: "torque_for_preload", Title: "Torque for a preload by the nut factor",
			Formula:  "T = K F d",
			Params:   []Param{num("preload", "kN", "F", 0, open).rises(), positive("diameter", "mm", "d, nominal").rises(), Param{Name: "nut_factor", Means: "K", Lo: 0.08, Hi: 0.5}.or(0.2).rises()},
			Results:  []Param{anyNumber("torque", "N·m", "T")},
			Domain:   "K from 0.08 to 0.5",
			Source:   "T = K F d, worked examples",
			Cautions: []string{friction, safety},
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num * a[1].Num * a[2].Num) }),
		withThread(Entry{
			Name: "assembly_preload", Title: "Greatest preload of a screw and the torque that gives it, VDI 2230",
			Formula: "F_M = ν Rp0.2 As / √(1 + 3 (3/2 d2/d0 (P/(π d2) + 1.155 μ))²);  M_A = F_M (0.16 P + 0.58 d2 μ + DKm/2 μ)",
			Params: []Param{
				threadParam(), classParam(), muParam("mu", "μ, friction in thread and under the head", 0.12).falls(),
				Param{Name: "utilisation", Means: "ν, share of the least yield used", Lo: 0.1, Hi: 1}.or(0.9).rises(),
			},
			Results: []Param{anyNumber("preload", "kN", "F_M"), anyNumber("torque", "N·m", "M_A")},
			Domain:  "M3 to M36, hex head on a medium hole, μ 0.04 to 0.4", Source: tighteningSource,
			Cautions: []string{friction, safety},
		}, func(t metricThread, a []Arg) ([]float64, error) {
			c, err := classOf(a[1].Text, t.d)
			mu := a[2].Num
			f := a[3].Num * c.yield * t.stressArea() / t.stressFactor(mu)
			return []float64{f / 1000, f * t.torqueArm(mu, mu) / 1000}, err
		}),
		withThread(Entry{
			Name: "screw_torque_check", Title: "Whether a torque yields that screw",
			Formula: "F = M / (0.16 P + 0.58 d2 μ + DKm/2 μ);  σ = F/As √(1 + 3 (3/2 d2/d0 (P/(π d2) + 1.155 μ))²);  yields where σ ≥ Rp0.2",
			Params: []Param{
				threadParam(), classParam(), num("torque", "N·m", "M, as put on", 0, open).rises(),
				muParam("mu_low", "least friction it can have had", 0.10).falls(), muParam("mu_high", "greatest friction it can have had", 0.16),
			},
			Results: []Param{
				anyNumber("utilisation", "", "σ / least yield at the least friction: 1 and over yields"), word("yields", "whether it yields", yieldWords...),
				anyNumber("preload_high", "kN", "pull at the least friction"), anyNumber("preload_low", "kN", "pull at the greatest friction"),
				anyNumber("torque_at_yield_low", "N·m", "torque that yields it at the least friction"), anyNumber("torque_at_yield_high", "N·m", "at the greatest"),
			},
			Domain: "M3 to M36, hex head or nut on a medium hole, μ 0.04 to 0.4", Source: tighteningSource,
			Cautions: []string{
				"friction assumed: 0.10 to 0.16 unless given, oiled to as received, common practice, no source", friction,
				"least yield of the class: most screws bear somewhat more; past yield a screw may turn on without breaking",
				"the formula ends at yield: a preload shown past it is what an unyielding screw would have", safety,
			},
		}, func(t metricThread, a []Arg) ([]float64, error) {
			c, err := classOf(a[1].Text, t.d)
			if err != nil {
				return nil, err
			}
			m, lo, hi := a[2].Num*1000, a[3].Num, a[4].Num
			if lo > hi {
				return nil, refuse("mu_low", "not over mu_high = "+number(hi), "")
			}
			at := func(mu float64) (force, use float64) {
				force = m / t.torqueArm(mu, mu)
				return force, force / t.stressArea() * t.stressFactor(mu) / c.yield
			}
			most := func(mu float64) float64 {
				return c.yield * t.stressArea() / t.stressFactor(mu) * t.torqueArm(mu, mu) / 1000
			}
			fLo, useLo := at(lo)
			fHi, useHi := at(hi)
			verdict := 1.0
			switch {
			case useLo < 1 && useHi < 1:
				verdict = 0
			case useLo >= 1 && useHi >= 1:
				verdict = 2
			}
			return []float64{useLo, verdict, fLo / 1000, fHi / 1000, most(lo), most(hi)}, nil
		}),
		entry(Entry{
			Name: "preload_scatter", Title: "Least preload from the greatest and the tightening factor, VDI 2230",
			Formula:  "F_min = F_max / α",
			Params:   []Param{num("preload_max", "kN", "F_max", 0, open).rises(), Param{Name: "tightening_factor", Means: "α: 1.4 to 1.6 a good torque wrench, 1.8 estimated friction, 2.5 to 4 by feel or impact", Lo: 1, Hi: 4}.or(1.8).falls()},
			Results:  []Param{anyNumber("preload_min", "kN", "F_min")},
			Domain:   "α from 1 to 4",
			Source:   "VDI 2230, reference-value example M12x40 8.8; the other values of α from memory",
			Cautions: []string{friction},
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num / a[1].Num) }),
	}
}
