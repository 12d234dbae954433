package handbook

import (
	"math"
	"strings"
)

// walther returns A and B of ASTM D341 from two points:
//
//	log10 log10(ν + 0.7) = A − B log10 T
//
// with ν in mm²/s, T in K (°C + offset).
func walther(t1, v1, t2, v2, offset float64) (a, b float64) {
	w := func(v float64) float64 { return math.Log10(math.Log10(v + 0.7)) }
	x1, x2 := math.Log10(t1+offset), math.Log10(t2+offset)
	b = (w(v1) - w(v2)) / (x2 - x1)
	return w(v1) + b*x1, b
}

// viRow holds the coefficients of ISO 2909 for L = a Y² + b Y + c and
// H = d Y² + e Y + f, Y the viscosity at 100 °C in mm²/s, up to the bound.
// From memory; checked for continuity and against a published example. They
// join within 0.1 % at the bounds, which is why the index is not declared
// monotone in Y.
type viRow struct{ upTo, a, b, c, d, e, f float64 }

var viTable = []viRow{
	{3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077},
	{4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183},
	{5.0, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119},
	{6.4, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557},
	{7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656},
	{7.7, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610},
	{9.0, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240},
	{12, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810},
	{15, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490},
	{18, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930},
	{22, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730},
	{28, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230},
	{40, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750},
	{55, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620},
	{70, 0.85921, 11.1009, -83.19, 0.17130, 11.3680, -76.940},
	{math.Inf(1), 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947},
}

// viReference gives L and H, mm²/s at 40 °C of the reference oils of index 0
// and 100 with the same viscosity Y at 100 °C.
func viReference(y float64) (l, h float64) {
	for _, r := range viTable {
		if y <= r.upTo {
			return (r.a*y+r.b)*y + r.c, (r.d*y+r.e)*y + r.f
		}
	}
	panic("handbook: the last row has no bound")
}

// viscosityIndex is ASTM D2270: procedure A up to 100, B above.
func viscosityIndex(u, y, l, h float64) float64 {
	if u >= h {
		return (l - u) / (l - h) * 100
	}
	n := (math.Log10(h) - math.Log10(u)) / math.Log10(y)
	return (math.Pow(10, n)-1)/0.00715 + 100
}

// viscosityAt100 is the viscosity at 100 °C in mm²/s of an oil of viscosity u
// at 40 °C and that index, by bisection: the index rises with it. False if
// there is none from 2 mm²/s up to u.
func viscosityAt100(u, index float64) (float64, bool) {
	at := func(y float64) float64 {
		l, h := viReference(y)
		return viscosityIndex(u, y, l, h)
	}
	lo, hi := 2.0, u*(1-1e-9)
	if lo >= hi || at(lo) > index || at(hi) < index {
		return 0, false
	}
	for range 200 {
		if mid := (lo + hi) / 2; at(mid) < index {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, true
}

// vgMid are the mid-points of ISO 3448 in mm²/s at 40 °C; bounds are ±10 %.
var vgNames = []string{"VG 2", "VG 3", "VG 5", "VG 7", "VG 10", "VG 15", "VG 22", "VG 32", "VG 46", "VG 68", "VG 100", "VG 150", "VG 220", "VG 320", "VG 460", "VG 680", "VG 1000", "VG 1500"}
var vgMid = []float64{2.2, 3.2, 4.6, 6.8, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500}

// saeSummer holds SAE J300 lines without W: least and greatest (excluded)
// viscosity at 100 °C in mm²/s, least high-shear viscosity at 150 °C in mPa·s.
// 8, 12, 50 and 60 from memory.
var saeNames = []string{"8", "12", "16", "20", "30", "40", "50", "60"}
var saeSummer = [][3]float64{{4.0, 6.1, 1.7}, {5.0, 7.1, 2.0}, {6.1, 8.2, 2.3}, {6.9, 9.3, 2.6}, {9.3, 12.5, 2.9}, {12.5, 16.3, 3.7}, {16.3, 21.9, 3.7}, {21.9, 26.1, 3.7}}

var saeWinterNames = []string{"0W", "5W", "10W", "15W", "20W", "25W"}
var saeWinter = []float64{3.8, 3.8, 4.1, 5.6, 5.6, 9.3}

func oilEntries() []*Entry {
	const nu = "mm²/s"
	offset := Param{Name: "kelvin_offset", Unit: "K", Means: "0 °C in kelvin; one printed sheet uses 273", Lo: 273, Hi: 273.15}.or(273.15)
	t := func(name, means string) Param { return num(name, "°C", means, -70, 370) }
	v := func(name, means string) Param { return num(name, nu, means, 2, 2e7) }
	return []*Entry{
		entry(Entry{
			Name: "viscosity_walther", Title: "Viscosity of an oil at a temperature from two known points (Walther)",
			Formula: "log10 log10(ν + 0.7) = A − B log10 T, T in K",
			Params: []Param{
				t("temperature", "where it is wanted").falls(), v("v1", "viscosity at t1"), v("v2", "viscosity at t2"),
				t("t1", "first temperature known").or(40), t("t2", "second temperature known").or(100), offset,
			},
			Results: []Param{anyNumber("viscosity", nu, "kinematic viscosity ν"), anyNumber("A", "", "constant"), anyNumber("B", "", "slope"), noYes("outside", "whether the temperature lies outside the two points")},
			Domain:  "mineral oils, −70 to 370 °C, viscosities from 2 mm²/s (below, ASTM D341 adds terms)", Source: "ASTM D341, worked sheet and calculator examples",
			Cautions: []string{"outside the two points errors grow quickly; near pour point and near boiling the line fails", "old, thinned or sooty oil no longer has the viscosity on its can"},
		}, func(a []Arg) ([]float64, error) {
			x, v1, v2, t1, t2, off := a[0].Num, a[1].Num, a[2].Num, a[3].Num, a[4].Num, a[5].Num
			if t1 == t2 {
				return nil, refuse("t2", "another temperature than t1", "")
			}
			if (v1-v2)*(t2-t1) <= 0 {
				return nil, refuse("v2", "oil thins with heat: the viscosity must be lower at the hotter point", "")
			}
			A, B := walther(t1, v1, t2, v2, off)
			visc := math.Pow(10, math.Pow(10, A-B*math.Log10(x+off))) - 0.7
			if visc < 2 {
				return nil, refuse("temperature", "temperatures where the oil stays at 2 mm²/s or more", "it would be "+withUnit(visc, nu))
			}
			return []float64{visc, A, B, yes(x < min(t1, t2) || x > max(t1, t2))}, nil
		}),
		entry(Entry{
			Name: "viscosity_index", Title: "Viscosity index",
			Formula: "U ≥ H: VI = 100 (L − U)/(L − H);  U < H: VI = (10^N − 1)/0.00715 + 100, N = (log H − log U)/log Y;  L, H of Y from ISO 2909",
			Params:  []Param{num("v40", nu, "U, viscosity at 40 °C", 2, 5000).falls(), num("v100", nu, "Y, viscosity at 100 °C", 2, 500)},
			Results: []Param{anyNumber("index", "", "VI"), anyNumber("H", nu, "40 °C viscosity of the oil of index 100"), anyNumber("L", nu, "of index 0")},
			Domain:  "Y from 2 mm²/s, U over Y", Source: "ASTM D2270 / ISO 2909 (procedure B example read; coefficients of L and H from memory)",
		}, func(a []Arg) ([]float64, error) {
			u, y := a[0].Num, a[1].Num
			if u <= y {
				return nil, refuse("v40", "over the viscosity at 100 °C", "")
			}
			l, h := viReference(y)
			return []float64{viscosityIndex(u, y, l, h), h, l}, nil
		}),
		entry(Entry{
			Name: "viscosity_from_index", Title: "Viscosity of an oil at a temperature from its 40 °C viscosity and its index",
			Formula: "the 100 °C viscosity that gives the index (viscosity_index, by bisection), then Walther's line through both",
			Params: []Param{
				t("temperature", "where it is wanted").falls(), num("v40", nu, "viscosity at 40 °C, the middle of the ISO VG grade unless measured", 2, 5000),
				num("index", "", "VI; 95 to 105 for plain mineral oil", 0, 250).or(95),
			},
			Results: []Param{anyNumber("viscosity", nu, "kinematic viscosity"), anyNumber("v100", nu, "viscosity at 100 °C")},
			Domain:  "−70 to 370 °C, viscosities from 2 mm²/s", Source: "ASTM D2270 / ISO 2909 and ASTM D341 (coefficients of L and H from memory)",
			Cautions: []string{"a grade allows ±10 %; 95 for plain mineral oil is common practice, no source", "outside 40 to 100 °C errors grow quickly"},
		}, func(a []Arg) ([]float64, error) {
			y, ok := viscosityAt100(a[1].Num, a[2].Num)
			if !ok {
				return nil, refuse("index", "an index that an oil of this viscosity can have, with 2 mm²/s or more at 100 °C", "")
			}
			A, B := walther(40, a[1].Num, 100, y, 273.15)
			visc := math.Pow(10, math.Pow(10, A-B*math.Log10(a[0].Num+273.15))) - 0.7
			if visc < 2 || visc > 2e7 {
				return nil, refuse("temperature", "temperatures where the oil stays between 2 and 2e7 mm²/s", "")
			}
			return []float64{visc, y}, nil
		}),
		entry(Entry{
			Name: "iso_vg", Title: "Viscosity grade of industrial oil, ISO 3448",
			Formula: "mid-point ± 10 % at 40 °C", Params: []Param{word("grade", "grade on the can", vgNames...)},
			Results: []Param{anyNumber("middle", nu, "mid-point at 40 °C"), anyNumber("min", nu, "least"), anyNumber("max", nu, "greatest")},
			Domain:  "VG 2 to VG 1500", Source: "ISO 3448 (10 grades read; VG 7, 10, 32, 100, 460 and up from memory)",
		}, func(a []Arg) ([]float64, error) {
			m := vgMid[int(indexOf(vgNames, a[0].Text))]
			return []float64{m, 0.9 * m, 1.1 * m}, nil
		}),
		entry(Entry{
			Name: "sae_j300", Title: "Viscosity grade of engine oil without W, SAE J300",
			Formula: "table", Params: []Param{word("grade", "number after the W, or alone", saeNames...), word("edition", "edition of the standard", "2015", "1999").orText("2015")},
			Results: []Param{anyNumber("kv100_min", nu, "least viscosity at 100 °C"), anyNumber("kv100_max", nu, "greatest, itself excluded"), anyNumber("hths150_min", "mPa·s", "least high-shear viscosity at 150 °C")},
			Domain:  strings.Join(saeNames, " "), Source: "SAE J300 (16 to 40 read; 8, 12, 50, 60 from memory)",
			Cautions: []string{
				"editions differ: grade 20 began at 5.6 in December 1999, at 6.9 from April 2013",
				"40 with 15W, 20W, 25W or alone: 3.7 mPa·s; with 0W, 5W, 10W 3.5, in older editions 2.9",
			},
		}, func(a []Arg) ([]float64, error) {
			r := saeSummer[int(indexOf(saeNames, a[0].Text))]
			if a[1].Text == "1999" {
				switch a[0].Text {
				case "8", "12", "16":
					return nil, refuse("grade", "20 to 60: the 1999 edition has no thinner grade", "")
				case "20":
					r[0] = 5.6
				}
			}
			return r[:], nil
		}),
		entry(Entry{
			Name: "sae_j300_winter", Title: "Least viscosity at 100 °C of a winter grade, SAE J300",
			Formula: "table", Params: []Param{word("grade", "number with the W", saeWinterNames...)},
			Results: []Param{anyNumber("kv100_min", nu, "least viscosity at 100 °C")},
			Domain:  strings.Join(saeWinterNames, " "), Source: "SAE J300 (5W to 25W read, 0W from memory)",
		}, func(a []Arg) ([]float64, error) { return one(saeWinter[int(indexOf(saeWinterNames, a[0].Text))]) }),
		entry(Entry{
			Name: "dynamic_viscosity", Title: "Dynamic from kinematic viscosity",
			Formula: "μ = ν ρ", Params: []Param{positive("kinematic", nu, "ν").rises(), num("density", "kg/m³", "ρ at that temperature", 600, 1300).or(870).rises()},
			Results: []Param{anyNumber("dynamic", "mPa·s", "μ")}, Domain: "liquids of 600 to 1300 kg/m³",
			Source: "definition; 870 kg/m³ for mineral oil is common practice, no source",
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num * a[1].Num / 1000) }),
	}
}
