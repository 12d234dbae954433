package handbook

import "math"

// Torque units. 1 lbf·ft = 0.45359237 kg × 9.80665 m/s² × 0.3048 m, exact;
// 1 kgf·m = 9.80665 N·m, exact (NIST SP 811, Appendix B).
const (
	lbfFoot  = 0.45359237 * 9.80665 * 0.3048 // N·m, 1.35582
	lbfInch  = lbfFoot / 12                  // N·m
	kgfMetre = 9.80665                       // N·m
)

// torqueSlips names what the ratio put on / specified tells of: the figure of
// one unit set on a wrench of another.
var torqueSlips = []struct {
	ratio float64
	name  string
}{
	{lbfFoot, "N·m set as lbf·ft"}, {1 / lbfFoot, "lbf·ft set as N·m"},
	{12, "lbf·in set as lbf·ft"}, {1.0 / 12, "lbf·ft set as lbf·in"},
	{kgfMetre, "N·m set as kgf·m"}, {1 / kgfMetre, "kgf·m set as N·m"},
	{kgfMetre / lbfFoot, "lbf·ft set as kgf·m"}, {lbfFoot / kgfMetre, "kgf·m set as lbf·ft"},
}

func torqueUnitEntries() []*Entry {
	words := []string{"no"}
	for _, s := range torqueSlips {
		words = append(words, s.name)
	}
	return []*Entry{
		entry(Entry{
			Name: "torque_unit_slip", Title: "Whether a torque found and the torque specified differ by a mix-up of units",
			Formula: "ratio = found / specified, compared with 1.356 (N·m set as lbf·ft), 0.738, 12, 9.81, 7.23 and their inverses",
			Params: []Param{
				positive("found", "N·m", "torque put on, or at which it moved").rises(), positive("specified", "N·m", "torque the maker gives").falls(),
				Param{Name: "within", Unit: "%", Means: "how near the ratio must come", Lo: 0.5, Hi: 10}.or(4),
			},
			Results: []Param{anyNumber("ratio", "", "found / specified"), word("slip", "unit slip that fits", words...)},
			Domain:  "torques over 0; a window of at most 10 %, so that neighbouring ratios stay apart",
			Source:  "unit definitions, NIST SP 811 (2008) Appendix B",
			Cautions: []string{
				"a fitting ratio is a hint, not proof: torque scatters by 20 % and more (common practice, no source), and a screw that has set or rusted moves at another torque than it was tightened with",
				"look for a second screw by the same hand with the same ratio",
			},
		}, func(a []Arg) ([]float64, error) {
			ratio := a[0].Num / a[1].Num
			best, off := 0, math.Log1p(a[2].Num/100)
			for i, s := range torqueSlips {
				if d := math.Abs(math.Log(ratio / s.ratio)); d <= off {
					best, off = i+1, d
				}
			}
			return []float64{ratio, float64(best)}, nil
		}),
		entry(Entry{
			Name: "torque_in_pound_feet", Title: "The same figure as lbf·ft: what a number read in the wrong unit means",
			Formula: "N·m = figure × 1.35582;  back: figure × 0.73756",
			Params:  []Param{num("figure", "", "the bare number as printed or set", 0, open).rises()},
			Results: []Param{anyNumber("as_pound_feet", "N·m", "torque if the figure is lbf·ft"), anyNumber("as_newton_metres", "N·m", "torque if it is N·m"), anyNumber("ratio", "", "one to the other")},
			Domain:  "figures from 0", Source: "unit definitions, NIST SP 811 (2008) Appendix B",
		}, func(a []Arg) ([]float64, error) { return []float64{a[0].Num * lbfFoot, a[0].Num, lbfFoot}, nil }),
	}
}
