package handbook

import "math"

// An expansion is one published coefficient of linear expansion; c in 1e-6/K,
// f in 1e-6/°F as printed (0 where not).
type expansion struct {
	material, source string
	c, f             float64
}

const (
	callister = "Callister, Fundamentals of Materials Science and Engineering, Table B.6, room temperature"
	gearTable = "Elements of Metric Gear Technology, Table 18-10, mean over its range"
)

// expansions in the order of testdata. The gear table and the old table print
// °F and disagree with Callister because of their ranges.
var expansions = []expansion{
	{"plain carbon steel 1040", callister, 11.3, 6.3}, {"low alloy steel 4340", callister, 12.3, 6.8},
	{"stainless steel 440A", callister, 10.2, 5.7}, {"stainless steel 304", callister, 17.2, 9.6},
	{"grey cast iron G1800/G3000/G4000", callister, 11.4, 6.3}, {"ductile iron 60-40-18", callister, 11.2, 6.2},
	{"ductile iron 80-55-06", callister, 10.6, 5.9}, {"aluminium 2024", callister, 22.9, 12.7},
	{"aluminium 6061", callister, 23.6, 13.1}, {"cast aluminium 356.0", callister, 21.5, 11.9},
	{"cartridge brass C26000", callister, 19.9, 11.1}, {"free-cutting brass C36000", callister, 20.5, 11.4},
	{"bearing bronze C93200", callister, 18.0, 10.0},
	{"grey cast iron", gearTable + " 32 to 212 °F", 10.8, 6.0}, {"low alloy steel 4140", gearTable + " 32 to 212 °F", 11.16, 6.2},
	{"ductile iron", gearTable + " 68 to 750 °F", 14.76, 8.2},
	{"steel, tempered", "Dooley, Applied Science for Metal Workers (old table)", 12.4, 6.89},
	{"gauge-block steel", "JCGM 100:2008 H.1", 11.5, 0},
}

// expansionSpread holds, for materials whose sources differ, the least and
// greatest coefficient of the like materials above, 1e-6/K.
func expansionSpread(material string) (lo, hi float64) {
	kin := [][]string{
		{"grey cast iron", "grey cast iron G1800/G3000/G4000"}, {"ductile iron", "ductile iron 60-40-18", "ductile iron 80-55-06"},
		{"low alloy steel 4140", "low alloy steel 4340"}, {"steel, tempered", "plain carbon steel 1040", "gauge-block steel"},
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, family := range kin {
		for _, m := range family {
			if m != material {
				continue
			}
			for _, e := range expansions {
				for _, k := range family {
					if e.material == k {
						lo, hi = min(lo, e.c), max(hi, e.c)
					}
				}
			}
		}
	}
	for _, e := range expansions {
		if e.material == material {
			lo, hi = min(lo, e.c), max(hi, e.c)
		}
	}
	return lo, hi
}

func expansionEntries() []*Entry {
	var materials []string
	sources := ""
	for _, e := range expansions {
		materials = append(materials, e.material)
		if e.source == callister {
			continue
		}
		sources += "; " + e.material + ": " + e.source
	}
	alpha := func(name, means string) Param { return num(name, "ppm/K", means, -5, 100) }
	dt := num("rise", "K", "ΔT, difference of temperature", -250, 800)
	cautions := []string{"coefficients grow with temperature and differ with the alloy by some 5 to 10 % (common practice, no source)"}
	return []*Entry{
		entry(Entry{
			Name: "thermal_expansion", Title: "Coefficient of linear expansion of a material", Formula: "table",
			Params: []Param{word("material", "the material", materials...)},
			Results: []Param{
				anyNumber("coefficient", "ppm/K", "α"), anyNumber("per_fahrenheit", "", "α in 1e-6/°F as printed"),
				anyNumber("low", "ppm/K", "least over the sources for the like material"), anyNumber("high", "ppm/K", "greatest"),
			},
			Domain: "near room temperature unless the source names a range", Source: callister + " unless named: " + sources[2:], Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			e := expansions[int(indexOf(materials, a[0].Text))]
			lo, hi := expansionSpread(e.material)
			return []float64{e.c, orNaN(e.f), lo, hi}, nil
		}),
		entry(Entry{
			Name: "thermal_growth", Title: "Growth of a length with temperature", Formula: "ΔL = L α ΔT",
			Params:  []Param{positive("length", "mm", "L"), alpha("coefficient", "α"), dt},
			Results: []Param{anyNumber("growth", "µm", "ΔL")}, Domain: "−250 to 800 K of difference, free to grow", Source: "definition of α", Cautions: cautions,
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num * a[1].Num * a[2].Num / 1000) }),
		entry(Entry{
			Name: "size_at_20", Title: "Size at 20 °C of a part measured warm or cold", Formula: "L20 = L / (1 + α (T − 20))",
			Params:  []Param{positive("length", "mm", "L, measured at T, gauge at 20 °C").rises(), alpha("coefficient", "α of the part"), num("temperature", "°C", "T of the part", -60, 200)},
			Results: []Param{anyNumber("length_20", "mm", "L20")}, Domain: "−60 to 200 °C", Source: "ISO 1 (20 °C), definition of α", Cautions: cautions,
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num / (1 + a[1].Num*1e-6*(a[2].Num-20))) }),
		entry(Entry{
			Name: "play_when_hot", Title: "Play of a shaft in its bore when both are hot", Formula: "play = bore (1 + α_b ΔT_b) − shaft (1 + α_s ΔT_s)",
			Params: []Param{
				positive("bore", "mm", "at 20 °C").rises(), positive("shaft", "mm", "at 20 °C").falls(), alpha("coefficient_bore", "α of the arm or bush"), alpha("coefficient_shaft", "α of the shaft"),
				num("bore_temperature", "°C", "of the bore", -60, 400), num("shaft_temperature", "°C", "of the shaft", -60, 400),
			},
			Results: []Param{anyNumber("play", "mm", "hot, negative: it seizes"), anyNumber("change", "µm", "hot less cold")},
			Domain:  "parts free to grow; a bush pressed into iron grows as the iron lets it", Source: "definition of α", Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			b, s := a[0].Num, a[1].Num
			hot := b*(1+a[2].Num*1e-6*(a[4].Num-20)) - s*(1+a[3].Num*1e-6*(a[5].Num-20))
			return []float64{hot, (hot - (b - s)) * 1000}, nil
		}),
		entry(Entry{
			Name: "reference_temperature", Title: "Temperature at which sizes are defined", Formula: "20 °C",
			Results: []Param{anyNumber("reference", "°C", "ISO 1")}, Domain: "geometrical specification of workpieces", Source: "ISO 1 (from memory); used as 20 °C in JCGM 100 H.1",
		}, func([]Arg) ([]float64, error) { return one(20) }),
		entry(Entry{
			Name: "resolution_u", Title: "Standard uncertainty of a scale or display step", Formula: "u = step / (2 √3) = 0.29 step",
			Params:  []Param{num("step", "mm", "smallest step of the instrument", 0, open).rises()},
			Results: []Param{anyNumber("u", "mm", "standard uncertainty")}, Domain: "a reading that can lie anywhere in its step", Source: "JCGM 100:2008 F.2.2.1",
			Cautions: []string{"the step alone: calibration, force, temperature and hand come on top"},
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num / (2 * math.Sqrt(3))) }),
	}
}
