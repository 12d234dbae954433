package handbook

import (
	"math"
	"slices"
)

// e140 is ASTM E140 Table 1, non-austenitic steel: HRC, HV, HB (tungsten
// carbide ball, 3000 kgf; 0 where none is printed, above 60 HRC bracketed in
// the table). The lines in testdata were read, the others recalled.
var e140 = [][]float64{
	{20, 238, 226}, {21, 243, 231}, {22, 248, 237}, {23, 254, 243}, {24, 260, 247}, {25, 266, 253}, {26, 272, 258},
	{27, 279, 264}, {28, 286, 271}, {29, 294, 279}, {30, 302, 286}, {31, 310, 294}, {32, 318, 301}, {33, 327, 311},
	{34, 336, 319}, {35, 345, 327}, {36, 354, 336}, {37, 363, 344}, {38, 372, 353}, {39, 382, 362}, {40, 392, 371},
	{41, 402, 381}, {42, 412, 390}, {43, 423, 400}, {44, 434, 409}, {45, 446, 421}, {46, 458, 432}, {47, 471, 443},
	{48, 484, 455}, {49, 498, 469}, {50, 513, 481}, {51, 528, 496}, {52, 544, 512}, {53, 560, 525}, {54, 577, 543},
	{55, 595, 560}, {56, 613, 577}, {57, 633, 595}, {58, 653, 615}, {59, 674, 634}, {60, 697, 654}, {61, 720, 670},
	{62, 746, 688}, {63, 772, 705}, {64, 800, 722}, {65, 832, 739}, {66, 865, 0}, {67, 900, 0}, {68, 940, 0},
}

// iso18265 is DIN 50150 / ISO 18265 Table A.1, unalloyed and low-alloy steel:
// Rm in MPa, HV, HB, HRC (0 below 240 HV). The lines in testdata were read,
// the others recalled; a copy printing Rm 1115 at 360 HV is taken as 1155.
var iso18265 = [][]float64{
	{640, 200, 190, 0}, {675, 210, 199, 0}, {705, 220, 209, 0}, {740, 230, 219, 0}, {770, 240, 228, 20.3}, {800, 250, 238, 22.2},
	{835, 260, 247, 24.0}, {865, 270, 257, 25.6}, {900, 280, 266, 27.1}, {930, 290, 276, 28.5}, {965, 300, 285, 29.8},
	{995, 310, 295, 31.0}, {1030, 320, 304, 32.2}, {1060, 330, 314, 33.3}, {1095, 340, 323, 34.4}, {1125, 350, 333, 35.5},
	{1155, 360, 342, 36.6}, {1190, 370, 352, 37.7}, {1220, 380, 361, 38.8}, {1255, 390, 371, 39.8}, {1290, 400, 380, 40.8},
	{1320, 410, 390, 41.8}, {1350, 420, 399, 42.7}, {1385, 430, 409, 43.6}, {1420, 440, 418, 44.5}, {1455, 450, 428, 45.3},
	{1485, 460, 437, 46.1}, {1520, 470, 447, 46.9},
}

// between reads column `to` of a rising table at x in column `from`, in a
// straight line between lines that both hold a figure; NaN where they do not.
func between(table [][]float64, from, to int, x float64) float64 {
	for i, l := range table {
		switch {
		case l[from] == 0:
			continue
		case x == l[from]:
			return orNaN(l[to])
		case i > 0 && table[i-1][from] != 0 && table[i-1][from] < x && x < l[from]:
			p := table[i-1]
			if p[to] == 0 || l[to] == 0 {
				return open
			}
			return p[to] + (x-p[from])/(l[from]-p[from])*(l[to]-p[to])
		}
	}
	return open
}

// reachOf is the least and greatest figure of a column.
func reachOf(table [][]float64, col int) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, l := range table {
		if l[col] != 0 {
			lo, hi = min(lo, l[col]), max(hi, l[col])
		}
	}
	return lo, hi
}

func hardnessEntries() []*Entry {
	e140Units := []string{"HRC", "HV", "HB"}
	isoUnits := []string{"MPa", "HV", "HB", "HRC"}
	words := map[string]string{"HRC": "Rockwell C", "HV": "Vickers", "HB": "Brinell, carbide ball", "MPa": "tensile strength Rm"}
	names := map[string]string{"HRC": "hrc", "HV": "hv", "HB": "hb", "MPa": "tensile"}
	cautions := []string{
		"a conversion is worse than a measurement: about ±2 HRC or ±5 % (common practice, no source), more for worked or case-hardened steel",
		"the two standards differ slightly; each entry names whose value it gives",
		"not for austenitic steel, cast iron or bronze",
	}
	conversion := func(name, title string, table [][]float64, units []string, from int, source string) *Entry {
		lo, hi := reachOf(table, from)
		in := num(names[units[from]], units[from], words[units[from]], lo, hi).rises()
		var results []Param
		var cols []int
		for i, u := range units {
			if i != from {
				results, cols = append(results, anyNumber(names[u], u, words[u])), append(cols, i)
			}
		}
		return entry(Entry{
			Name: name, Title: title, Formula: "table, straight line between its lines; refused outside them",
			Params: []Param{in}, Results: results, Source: source, Cautions: cautions,
			Domain: "steel, " + in.DomainText() + "; a scale the table leaves out there is not given",
		}, func(a []Arg) ([]float64, error) {
			out := make([]float64, len(cols))
			for i, c := range cols {
				out[i] = between(table, from, c, a[0].Num)
			}
			if !slices.ContainsFunc(out, func(v float64) bool { return !math.IsNaN(v) }) {
				return nil, refuse(in.Name, in.DomainText(), "")
			}
			return out, nil
		})
	}
	const astm = "ASTM E140 Table 1, non-austenitic steel (22 lines read, the rest from memory; HB above 60 HRC is bracketed in the table)"
	const iso = "DIN 50150 / ISO 18265 Table A.1, unalloyed and low-alloy steel (17 lines read, the rest from memory)"
	return []*Entry{
		conversion("hrc_to_hv", "Rockwell C to Vickers and Brinell, ASTM E140", e140, e140Units, 0, astm),
		conversion("hv_to_hrc", "Vickers to Rockwell C and Brinell, ASTM E140", e140, e140Units, 1, astm),
		conversion("hb_to_hrc", "Brinell to Rockwell C and Vickers, ASTM E140", e140, e140Units, 2, astm),
		conversion("hv_to_tensile", "Vickers to tensile strength, Brinell and Rockwell C, ISO 18265", iso18265, isoUnits, 1, iso),
		conversion("hb_to_tensile", "Brinell to tensile strength, Vickers and Rockwell C, ISO 18265", iso18265, isoUnits, 2, iso),
	}
}
