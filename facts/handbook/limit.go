package handbook

import (
	"math"
	"slices"
	"strings"
)

// Published limits of other people's engines. They show what is usual where a
// maker's own figure is lost; none of them is the limit of the machine on the
// bench.

// A playLimit is a published radial play of rocker arms, bore less shaft, mm;
// 0 where the source gives none.
type playLimit struct {
	engine, source        string
	newMin, newMax, limit float64
}

var playLimits = []playLimit{
	{"two-stroke diesel with bushed rockers", "Army TM 5-4210-220-34", 0, 0, 0.1},
	{"two-stroke marine diesel", "Army TM 55-1930-209-14&P-21", 0, 0.064, 0.1},
	{"two-stroke vehicle diesel", "Army TM 9-2815-202-34", 0.0254, 0.0635, 0.1016},
	{"passenger-car overhead-cam engine B", "service manual, component inspection", 0.02, 0.074, 0.1},
	{"four-stroke outboard engine", "service manual, power unit", 0.012, 0.045, 0.09},
	{"small three-cylinder car engine", "service manual, engine mechanical", 0.006, 0.035, 0.07},
	{"sports-car multi-rocker engine", "service manual, rocker arms and shafts", 0.025, 0.052, 0.08},
	{"truck diesel with bushed rockers, 22 mm shaft", "service manual, valve rocker arm oil clearance", 0.043, 0.093, 0.15},
}

// A partLimit is a published size or wear limit, in unit; 0 where not given.
type partLimit struct {
	item, unit, source string
	newMin, newMax     float64
	limit              float64
	least              bool // the limit is a least size, else a greatest
}

var partLimits = []partLimit{
	{"rocker shaft diameter, 19 mm", "mm", "Army TM 9-2815-254-24", 18.98, 19.0, 18.9, true},
	{"rocker bush bore", "mm", "Army TM 9-2815-254-24", 19.036, 19.06, 19.1, false},
	{"rocker bore, unbushed", "mm", "Army TM 9-2815-255-24; TM 9-2815-259-24 accepts no wear beyond the new range", 20.07, 20.12, 20.17, false},
	{"shaft support bore", "mm", "Army TM 9-2815-255-24", 0, 0, 20.17, false},
	{"rocker shaft diameter and bore: shaft", "mm", "Army TM 10-3930-659-34", 0, 0, 19.939, true},
	{"rocker shaft diameter and bore: bore", "mm", "Army TM 10-3930-659-34", 0, 0, 20.168, false},
	{"rocker shaft and bore, small engine: shaft", "mm", "Army TM 10-3930-638-24&P", 0, 0, 15.799, true},
	{"rocker shaft and bore, small engine: bore", "mm", "Army TM 10-3930-638-24&P", 0, 0, 15.9, false},
	{"rocker lever shaft and housing bore: shaft", "mm", "Army TM 9-2320-260-34-1", 0, 0, 28.5, true},
	{"rocker lever shaft and housing bore: bore", "mm", "Army TM 9-2320-260-34-1", 0, 0, 28.58, false},
	{"rocker shaft, 22 mm", "mm", "service manual, valve rocker arm oil clearance", 21.959, 21.98, 21.92, true},
	{"rocker bush, 22 mm", "mm", "service manual, valve rocker arm oil clearance", 22.023, 22.052, 22.08, false},
	{"rocker shaft, 12 mm", "mm", "service manual, engine top end", 11.983, 11.994, 11.96, true},
	{"depth of scoring on rocker shaft", "mm", "Army TM 9-6115-604-34", 0, 0, 0.08, false},
	{"rocker shaft run-out at middle", "mm", "Army TM 9-2815-254-24; five to ten times other sources", 0, 0, 0.6, false},
	{"rocker shaft run-out", "mm", "service manual, power unit", 0, 0, 0.12, false},
	{"rocker shaft deflection", "mm", "service manual, engine mechanical", 0, 0, 0.06, false},
	{"push rod circle run-out at centre", "mm", "service manual, valve push rod; six times the other published figure", 0, 0, 0.3, false},
	{"metal that may be ground off a valve stem end", "mm", "service manual, valves; twice the other source", 0, 0, 0.5, false},
	{"valve head rim thickness", "mm", "Army TM 5-1940-322-24", 0, 0, 0.79, true},
}

// wearRules are allowances beyond the new-part limit; Army TM 10-3930-647-14&P.
var wearRules = []struct {
	item    string
	perSize bool    // for each inch (or mm) of diameter
	inches  float64 // in, or in/in
}{
	{"journal clearance beyond the high limit, per inch of diameter", true, 0.0005},
	{"camshaft bush bore beyond the high limit, per inch of diameter", true, 0.0005},
	{"pin and bush wear, total", false, 0.001},
	{"camshaft end play over the high limit", false, 0.01},
}

const othersLimits = "limits of other engines: the maker's figure for this machine goes first"

func limitEntries() []*Entry {
	mm := func(name, means string) Param { return anyNumber(name, "mm", means) }
	engines := []string{"all"}
	var playSources, items, partSources, rules []string
	for _, l := range playLimits {
		engines = append(engines, l.engine)
		playSources = append(playSources, l.engine+": "+l.source)
	}
	for _, p := range partLimits {
		items = append(items, p.item)
		if !slices.Contains(partSources, p.source) {
			partSources = append(partSources, p.source)
		}
	}
	for _, r := range wearRules {
		rules = append(rules, r.item)
	}
	kinds := []string{"greatest", "least"}
	return []*Entry{
		entry(Entry{
			Name: "play_range", Title: "Play of a shaft in its bore from the limits of both", Formula: "least = smallest bore − largest shaft;  greatest = largest bore − smallest shaft",
			Params: []Param{
				positive("bore_min", "mm", "smallest bore").rises(), positive("bore_max", "mm", "largest bore"),
				positive("shaft_min", "mm", "smallest shaft"), positive("shaft_max", "mm", "largest shaft").falls(),
			},
			Results: []Param{mm("least", "tightest pair; negative is interference"), mm("greatest", "loosest pair")},
			Domain:  "min not over max", Source: "definition; six service manuals as worked examples",
			Cautions: []string{"play is the whole movement a dial shows, never half of it"},
		}, func(a []Arg) ([]float64, error) {
			bl, bh, sl, sh := a[0].Num, a[1].Num, a[2].Num, a[3].Num
			if bl > bh {
				return nil, refuse("bore_min", "not over bore_max", "")
			}
			if sl > sh {
				return nil, refuse("shaft_min", "not over shaft_max", "")
			}
			return []float64{roundNano(bl - sh), roundNano(bh - sl)}, nil
		}),
		entry(Entry{
			Name: "published_play", Title: "Published radial play of rocker arms, new and at the limit", Formula: "table; all: the middle of the span of the limits",
			Params: []Param{word("engine", "kind of engine, or all", engines...).orText("all")},
			Results: []Param{
				mm("limit", "play at which the source rejects"), mm("new_min", "least when new"), mm("new_max", "greatest when new"),
				mm("limit_low", "least limit over the sources"), mm("limit_high", "greatest limit over the sources"),
			},
			Domain: "rocker arm bore to shaft, diametral", Source: strings.Join(playSources, "; "),
			Cautions: []string{othersLimits, "sources differ more than two to one, with size, speed and bush"},
		}, func(a []Arg) ([]float64, error) {
			lo, hi := math.Inf(1), math.Inf(-1)
			nl, nh := math.Inf(1), math.Inf(-1)
			for _, l := range playLimits {
				lo, hi, nh = min(lo, l.limit), max(hi, l.limit), max(nh, l.newMax)
				if l.newMin != 0 {
					nl = min(nl, l.newMin)
				}
			}
			for _, l := range playLimits {
				if l.engine == a[0].Text {
					return []float64{l.limit, orNaN(l.newMin), orNaN(l.newMax), lo, hi}, nil
				}
			}
			return []float64{(lo + hi) / 2, nl, nh, lo, hi}, nil
		}),
		entry(Entry{
			Name: "published_limit", Title: "Published wear limit of a rocker-gear part", Formula: "table",
			Params:  []Param{word("item", "the part and what is measured", items...)},
			Results: []Param{mm("limit", "size at which the source rejects"), word("kind", "whether it is a least or a greatest size", kinds...), mm("new_min", "least when new"), mm("new_max", "greatest when new")},
			Domain:  "the parts tabulated", Source: strings.Join(partSources, "; "),
			Cautions: []string{othersLimits, "run-out limits differ tenfold between sources; many manuals only ask for rolling a push rod on a flat plate"},
		}, func(a []Arg) ([]float64, error) {
			p := partLimits[int(indexOf(items, a[0].Text))]
			return []float64{p.limit, yes(p.least), orNaN(p.newMin), orNaN(p.newMax)}, nil
		}),
		entry(Entry{
			Name: "wear_allowance", Title: "Wear allowed beyond the new-part limit by general rule", Formula: "allowance, or allowance per diameter × diameter",
			Params:  []Param{word("item", "what wears", rules...), num("diameter", "mm", "nominal, for the rules per diameter", 1, 1000).or(25.4)},
			Results: []Param{mm("allowed", "beyond the high limit of a new part"), anyNumber("figure", "", "as printed: in, or in per in of diameter")},
			Domain:  "the rules tabulated", Source: "Army TM 10-3930-647-14&P, general wear limits",
			Cautions: []string{othersLimits},
		}, func(a []Arg) ([]float64, error) {
			r := wearRules[int(indexOf(rules, a[0].Text))]
			if r.perSize {
				return []float64{r.inches * a[1].Num, r.inches}, nil
			}
			return []float64{r.inches * 25.4, r.inches}, nil
		}),
	}
}
