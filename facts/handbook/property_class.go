package handbook

import (
	"slices"
	"strconv"
	"strings"
)

// A boltClass is one line of ISO 898-1 Table 3, MPa and hardness numbers.
// Zero hardness: not given there.
type boltClass struct {
	name                   string
	rm, yield, proof       float64 // least tensile strength, least yield (ReL, Rpf or Rp0.2), proof stress
	hvMin, hvMax           float64
	hrcMin, hrcMax         float64
	overM16, upToM16, read bool // the line holds for d > 16 only, d ≤ 16 only; the strengths were read
}

// boltClasses is ISO 898-1:2013 Table 3. 8.8 up to M16, 10.9 and the proof
// loads of 12.9 were read; the others and every hardness are from memory.
var boltClasses = []boltClass{
	{name: "4.6", rm: 400, yield: 240, proof: 225, hvMin: 120, hvMax: 220},
	{name: "4.8", rm: 420, yield: 340, proof: 310, hvMin: 130, hvMax: 220},
	{name: "5.6", rm: 500, yield: 300, proof: 280, hvMin: 155, hvMax: 220},
	{name: "5.8", rm: 520, yield: 420, proof: 380, hvMin: 160, hvMax: 220},
	{name: "6.8", rm: 600, yield: 480, proof: 440, hvMin: 190, hvMax: 250},
	{name: "8.8", rm: 800, yield: 640, proof: 580, hvMin: 250, hvMax: 320, hrcMin: 22, hrcMax: 32, upToM16: true, read: true},
	{name: "8.8", rm: 830, yield: 660, proof: 600, hvMin: 255, hvMax: 335, hrcMin: 23, hrcMax: 34, overM16: true},
	{name: "9.8", rm: 900, yield: 720, proof: 650, hvMin: 290, hvMax: 360, hrcMin: 28, hrcMax: 37, upToM16: true},
	{name: "10.9", rm: 1040, yield: 940, proof: 830, hvMin: 320, hvMax: 380, hrcMin: 32, hrcMax: 39, read: true},
	{name: "12.9", rm: 1220, yield: 1100, proof: 970, hvMin: 385, hvMax: 435, hrcMin: 39, hrcMax: 44, read: true},
}

func classNames() []string {
	var names []string
	for _, c := range boltClasses {
		if !slices.Contains(names, c.name) {
			names = append(names, c.name)
		}
	}
	return names
}

// classOf finds the line for a class and a thread diameter in mm.
func classOf(name string, d float64) (boltClass, error) {
	for _, c := range boltClasses {
		if c.name == name && !(c.overM16 && d <= 16) && !(c.upToM16 && d > 16) {
			return c, nil
		}
	}
	return boltClass{}, refuse("class", "classes of ISO 898-1 for this diameter", "9.8 is made up to M16 only")
}

func classParam() Param { return word("class", "property class on the head", classNames()...) }

func diameterParam() Param {
	return Param{Name: "diameter", Unit: "mm", Means: "nominal thread diameter; 8.8 changes over M16", Lo: 1.6, Hi: 39}.or(10)
}

const classSource = "ISO 898-1:2013 Table 3 (8.8 up to M16, 10.9 and proof loads of 12.9 read; the rest from memory)"

func propertyClassEntries() []*Entry {
	mpa := func(name, means string) Param { return anyNumber(name, "MPa", means) }
	noStretch := "the figures are least values of new screws; a reused, stretched, corroded or reheated screw may have less"
	return []*Entry{
		entry(Entry{
			Name: "property_class", Title: "Strength of a screw by its property class, ISO 898-1",
			Formula: "table of least values; class name a.b: nominal strength 100 a, nominal yield 10 a b",
			Params:  []Param{classParam(), diameterParam()},
			Results: []Param{
				mpa("yield", "least yield, Rp0.2 (or ReL, Rpf)"), mpa("tensile", "least tensile strength Rm"), mpa("proof", "stress under proof load Sp"),
				anyNumber("proof_ratio", "", "Sp / yield"), mpa("nominal_tensile", "what the name says"), mpa("nominal_yield", "what the name says"),
			},
			Domain: "classes " + strings.Join(classNames(), " ") + ", M1.6 to M39", Source: classSource,
			Cautions: []string{noStretch, "the name gives nominal values: the least yield of 10.9 is 940, not 900"},
		}, func(a []Arg) ([]float64, error) {
			c, err := classOf(a[0].Text, a[1].Num)
			if err != nil {
				return nil, err
			}
			first, second, _ := strings.Cut(c.name, ".")
			x, _ := strconv.ParseFloat(first, 64) // names are our own
			y, _ := strconv.ParseFloat(second, 64)
			return []float64{c.yield, c.rm, c.proof, c.proof / c.yield, 100 * x, 10 * x * y}, nil
		}),
		entry(Entry{
			Name: "property_class_hardness", Title: "Hardness a screw of a property class must have, ISO 898-1",
			Formula: "table",
			Params:  []Param{classParam(), diameterParam()},
			Results: []Param{
				anyNumber("hv_min", "HV", "least Vickers hardness"), anyNumber("hv_max", "HV", "greatest"),
				anyNumber("hrc_min", "HRC", "least Rockwell hardness"), anyNumber("hrc_max", "HRC", "greatest"),
			},
			Domain: "classes with a Rockwell C figure: 8.8 and up; below that only HV is given",
			Source: "ISO 898-1:2013 Table 3, from memory; an older edition read gives 8.8 over M16 23 to 34 HRC, 10.9 33 to 39, 12.9 38 to 44",
			Cautions: []string{
				"editions differ by about 1 HRC, so a reading within 1 HRC of a bound settles nothing",
				"measure on the cross-section or a ground flat; plating and decarburised skin read soft",
			},
		}, func(a []Arg) ([]float64, error) {
			c, err := classOf(a[0].Text, a[1].Num)
			if err != nil {
				return nil, err
			}
			return []float64{c.hvMin, c.hvMax, orNaN(c.hrcMin), orNaN(c.hrcMax)}, nil
		}),
		withThread(Entry{
			Name: "proof_load", Title: "Proof load and least breaking load of a screw, ISO 898-1",
			Formula: "Fp = As Sp;  Fm = As Rm",
			Params:  []Param{threadParam(), classParam()},
			Results: []Param{
				anyNumber("proof_load", "N", "Fp, load it must bear without lasting stretch"), anyNumber("min_ultimate", "N", "Fm, least breaking load"),
				anyNumber("yield_load", "N", "As times the least yield"), anyNumber("stress_area", "mm²", "As"),
			},
			Domain: "M3 to M36", Source: classSource + "; printed loads are rounded (M10 8.8 is 33 700 where 580 × 58.0 = 33 640)",
			Cautions: []string{noStretch},
		}, func(t metricThread, a []Arg) ([]float64, error) {
			c, err := classOf(a[1].Text, t.d)
			as := t.stressArea()
			return []float64{as * c.proof, as * c.rm, as * c.yield, as}, err
		}),
		entry(Entry{
			Name: "load_at_stress", Title: "Load that puts a stress on an area",
			Formula: "F = A σ",
			Params:  []Param{positive("area", "mm²", "A").rises(), num("stress", "MPa", "σ", 0, open).rises()},
			Results: []Param{anyNumber("load", "N", "F")},
			Domain:  "even stress over the area", Source: "definition of stress",
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num * a[1].Num) }),
	}
}

func orNaN(v float64) float64 {
	if v == 0 {
		return open
	}
	return v
}
