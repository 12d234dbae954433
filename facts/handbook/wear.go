package handbook

import "math"

// brinellMPa turns HB (kgf/mm²) into MPa: 1 kgf = 9.80665 N.
const brinellMPa = 9.80665

// archardVolume is V = K F s / (3 H): mm³ for F in N, s in m, H in MPa.
func archardVolume(k, f, s, h float64) float64 { return k * f * s * 1000 / (3 * h) }

// archardPairs are wear coefficients K for V = K F s/(3 H), unlubricated.
var archardPairs = []struct {
	pair string
	k    float64
}{
	{"polythene", 1.3e-7}, {"PMMA", 7e-6}, {"ferritic stainless steel", 1.7e-5}, {"PTFE", 2.5e-5},
	{"alpha/beta brass", 6e-4}, {"mild steel on mild steel", 7e-3},
}

var archardRanges = []struct {
	condition string
	lo, hi    float64
}{{"abrasive wear", 1e-2, 1e-1}, {"adhesive wear", 1e-4, 1e-4}, {"from mild to severe wear", 1e-8, 1e-2}}

// wearLife is the hours left at the wear rate so far and their standard
// uncertainty, from wear w, hours h, limit l and standard uncertainties:
//
//	left = h (l − w)/w;  ∂/∂w = −h l/w²;  ∂/∂h = (l − w)/w;  ∂/∂l = h/w
func wearLife(w, h, l, uw, uh, ul float64) (left, u float64) {
	return h * (l - w) / w, math.Sqrt(math.Pow(h*l/(w*w)*uw, 2) + math.Pow((l-w)/w*uh, 2) + math.Pow(h/w*ul, 2))
}

func wearEntries() []*Entry {
	var pairs, conditions []string
	for _, p := range archardPairs {
		pairs = append(pairs, p.pair)
	}
	for _, r := range archardRanges {
		conditions = append(conditions, r.condition)
	}
	k := Param{Name: "coefficient", Means: "K, see archard_k", Lo: 1e-10, Hi: 1}.rises()
	s := num("distance", "m", "s, slid in all", 0, open).rises()
	h := positive("hardness", "MPa", "H of the softer one, see brinell_as_pressure").falls()
	cautions := []string{
		"K is known within a factor of ten at best, and ranges differ by two decades between sources: use it to compare, not to promise",
		"some authors fold the 3 into K; here V = K F s/(3 H)",
	}
	const archard = "Archard (1953), as in an encyclopaedia article on the wear coefficient"
	return []*Entry{
		entry(Entry{
			Name: "archard_volume", Title: "Volume worn away by sliding (Archard)", Formula: "V = K F s / (3 H)",
			Params:  []Param{k, num("load", "N", "F", 0, open).rises(), s, h},
			Results: []Param{anyNumber("volume", "mm³", "V")}, Domain: "steady sliding", Source: archard, Cautions: cautions,
		}, func(a []Arg) ([]float64, error) { return one(archardVolume(a[0].Num, a[1].Num, a[2].Num, a[3].Num)) }),
		entry(Entry{
			Name: "archard_depth", Title: "Depth worn away by sliding (Archard)", Formula: "depth = K p s / (3 H)",
			Params:  []Param{k, num("pressure", "MPa", "p, load over the area that slides", 0, open).rises(), s, h},
			Results: []Param{anyNumber("depth", "mm", "evenly over the area")}, Domain: "steady sliding, even pressure", Source: archard, Cautions: cautions,
		}, func(a []Arg) ([]float64, error) { return one(archardVolume(a[0].Num, a[1].Num, a[2].Num, a[3].Num)) }),
		entry(Entry{
			Name: "archard_k", Title: "Wear coefficient of a pair, unlubricated", Formula: "table",
			Params:  []Param{word("pair", "the materials", pairs...)},
			Results: []Param{anyNumber("coefficient", "", "K for V = K F s/(3 H)")}, Domain: "unlubricated, the pairs tabulated",
			Source: "encyclopaedia article on the wear coefficient, table 1 (after Archard and Hirst); other sources disagree, see archard_k_range", Cautions: cautions,
		}, func(a []Arg) ([]float64, error) { return one(archardPairs[int(indexOf(pairs, a[0].Text))].k) }),
		entry(Entry{
			Name: "archard_k_range", Title: "Range of wear coefficients by kind of wear", Formula: "table",
			Params:  []Param{word("condition", "kind of wear", conditions...)},
			Results: []Param{anyNumber("middle", "", "geometric mean"), anyNumber("low", "", "least K"), anyNumber("high", "", "greatest K")},
			Domain:  "the kinds tabulated", Source: "Archard coefficient ranges, several sources, which differ by two decades", Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			r := archardRanges[int(indexOf(conditions, a[0].Text))]
			return []float64{math.Sqrt(r.lo * r.hi), r.lo, r.hi}, nil
		}),
		entry(Entry{
			Name: "brinell_as_pressure", Title: "Brinell hardness as a pressure", Formula: "H = HB · 9.80665 (kgf/mm² to MPa)",
			Params:  []Param{num("hardness", "HB", "Brinell number", 1, 800).rises()},
			Results: []Param{anyNumber("pressure", "MPa", "H")}, Domain: "1 to 800 HB", Source: "definition of the Brinell number; the article on the wear coefficient takes 9.8",
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num * brinellMPa) }),
		entry(Entry{
			Name: "wear_life", Title: "Hours left before a wear limit, at the rate so far, with the uncertainty",
			Formula: "left = h (limit − w)/w;  u² = (h limit/w² · u_w)² + ((limit − w)/w · u_h)² + (h/w · u_limit)²",
			Params: []Param{
				positive("wear", "mm", "w, wear so far: now less when new").falls(), positive("hours", "h", "h, run in that time").rises(),
				positive("limit", "mm", "wear allowed: limit less new size").rises(),
				num("u_wear", "mm", "standard uncertainty of w, new size included", 0, open).or(0), num("u_hours", "h", "of the hours", 0, open).or(0), num("u_limit", "mm", "of the limit", 0, open).or(0),
			},
			Results: []Param{
				anyNumber("hours_left", "h", "at the rate so far; 0 at or past the limit"), anyNumber("u", "h", "standard uncertainty"),
				anyNumber("low", "h", "hours left less 2 u, not below 0"), anyNumber("high", "h", "hours left and 2 u"),
				anyNumber("rate", "µm/h", "wear for each hour so far"), noYes("past_limit", "whether the limit is reached"),
			},
			Domain: "wear larger than twice its uncertainty, else there is no rate to speak of", Source: "linear extrapolation (Archard: depth grows with distance slid); law of propagation, JCGM 100:2008 5.1.2",
			Cautions: []string{
				"wear accelerates past the limit: play brings impact, starved oil and heat; the straight line then promises too much",
				"common practice, no source: running in wears fast and stops: a rate taken over the first hours is too high, a rate over a fault that began lately too low",
				"plan for the low figure, and measure again halfway",
			},
		}, func(a []Arg) ([]float64, error) {
			w, hrs, lim := a[0].Num, a[1].Num, a[2].Num
			if w < 2*a[3].Num {
				return nil, refuse("wear", "over twice its uncertainty, "+withUnit(2*a[3].Num, "mm"), "measure with a better instrument, or after more hours")
			}
			left, u := wearLife(w, hrs, lim, a[3].Num, a[4].Num, a[5].Num)
			past := yes(w >= lim)
			left = max(left, 0)
			return []float64{left, u, max(left-2*u, 0), left + 2*u, w / hrs * 1000, past}, nil
		}),
	}
}
