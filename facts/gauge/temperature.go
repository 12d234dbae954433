package gauge

import (
	"fmt"

	"whyworn/facts/measure"
)

// ReferenceTemperature is where sizes are stated, in K: 20 °C (ISO 1).
const ReferenceTemperature = 293.15

// Temperatures the correction takes, in K: 0 to 100 °C, where the coefficients
// near room temperature hold.
const lowestTemperature, highestTemperature = 273.15, 373.15

// Thermal is the temperature of a part or an instrument, in K, and its linear
// expansion coefficient, in 1/K. Their terms carry the thermometer's and the
// coefficient's uncertainty, with the ids the caller gives them: parts of one
// material read with one thermometer share both.
type Thermal struct {
	Temperature, Expansion measure.Number
}

// Correct gives the size at 20 °C of a part read as n:
//
//	L20 = n · (1 + α_t·(t_t − 20 °C)) / (1 + α_p·(t_p − 20 °C))
//
// α, t the expansion coefficients and temperatures of instrument (t) and part
// (p); nil: at 20 °C. Domain: one value, 0 to 100 °C. A size without
// uncertainty stays without. Source: the length relation of JCGM 100:2008,
// H.1, for a part against an instrument.
func Correct(n measure.Number, part, tool *Thermal) (measure.Number, error) {
	if part == nil && tool == nil {
		return n, nil
	}
	still := Thermal{Temperature: measure.Exact(ReferenceTemperature), Expansion: measure.Exact(0)}
	if part == nil {
		part = &still
	}
	if tool == nil {
		tool = &still
	}
	for _, c := range []struct {
		of string
		at *Thermal
	}{{"the part", part}, {"the instrument", tool}} {
		t := c.at.Temperature
		if !t.IsValue() || !c.at.Expansion.IsValue() {
			return measure.Number{}, fmt.Errorf("the temperature of %s is only partly known: sizes cannot be brought to 20 °C", c.of)
		}
		if t.Lo < lowestTemperature || t.Lo > highestTemperature {
			return measure.Number{}, fmt.Errorf("%s at %s is outside 0 to 100 °C, where sizes are brought to 20 °C", c.of, measure.FormatValue(t.Lo, celsius, measure.Shortest))
		}
	}
	inputs := []measure.Number{n, part.Temperature, part.Expansion, tool.Temperature, tool.Expansion}
	out, ok := measure.PropagateRange(inputs, []measure.Direction{measure.Up}, func(x []float64) (float64, bool) {
		over := 1 + x[4]*(x[3]-ReferenceTemperature)
		under := 1 + x[2]*(x[1]-ReferenceTemperature)
		return x[0] * (over / under), over > 0 && under > 0
	})
	if !ok {
		return measure.Number{}, fmt.Errorf("the size cannot be brought to 20 °C with these uncertainties")
	}
	if n.Terms == nil {
		out.Terms = nil // the thermometer's share alone would pass for the whole
	}
	return out, nil
}

var celsius, _ = measure.UnitOf("°C")

// Material is the expansion of a family of materials near room temperature.
type Material struct {
	ID, Name string
	// Expansion is the value used, 1/K, and HalfWidth how far a piece of the
	// family may lie from it: rectangular.
	Expansion, HalfWidth float64
	Source               string // whose value is used
	// Low and High span the values published for the family, 1/K; Others says
	// whose they are where sources disagree.
	Low, High float64
	Others    string
}

const callister = "Callister, Fundamentals of Materials Science and Engineering, Table B.6"

// Half widths: 2e-6/K for steel as JCGM 100:2008, H.1.3.3 takes it for gauge
// blocks; for the rest 10 % of the value, common practice, no source.
var materials = []Material{
	{"steel", "plain carbon steel", 11.3e-6, 2e-6, callister + " (1040)", 11.3e-6, 12.4e-6, "12.4e-6/K for tempered steel: Dooley, Applied Science for Metal Workers"},
	{"alloy_steel", "low alloy steel", 12.3e-6, 2e-6, callister + " (4340)", 11.16e-6, 12.3e-6, "11.16e-6/K for 4140, mean 0 to 100 °C: Elements of Metric Gear Technology, Table 18-10"},
	{"gauge_steel", "gauge-block steel", 11.5e-6, 2e-6, "JCGM 100:2008, H.1", 11.5e-6, 11.5e-6, ""},
	{"stainless_martensitic", "martensitic stainless steel", 10.2e-6, 1.02e-6, callister + " (440A)", 10.2e-6, 10.2e-6, ""},
	{"stainless_austenitic", "austenitic stainless steel", 17.2e-6, 1.72e-6, callister + " (304)", 17.2e-6, 17.2e-6, ""},
	{"cast_iron", "grey cast iron", 11.4e-6, 1.14e-6, callister + " (G1800, G3000, G4000)", 10.8e-6, 11.4e-6, "10.8e-6/K, mean 0 to 100 °C: Elements of Metric Gear Technology, Table 18-10"},
	{"ductile_iron", "ductile iron", 11.2e-6, 1.12e-6, callister + " (60-40-18)", 10.6e-6, 14.76e-6, "10.6e-6/K for 80-55-06: " + callister + "; 14.76e-6/K, mean 20 to 400 °C: Elements of Metric Gear Technology, Table 18-10"},
	{"aluminium", "wrought aluminium", 23.6e-6, 2.36e-6, callister + " (6061)", 22.9e-6, 23.6e-6, "22.9e-6/K for 2024: " + callister},
	{"cast_aluminium", "cast aluminium", 21.5e-6, 2.15e-6, callister + " (356.0)", 21.5e-6, 21.5e-6, ""},
	{"brass", "brass", 19.9e-6, 1.99e-6, callister + " (C26000)", 19.9e-6, 20.5e-6, "20.5e-6/K for C36000: " + callister},
	{"bronze", "bearing bronze", 18.0e-6, 1.8e-6, callister + " (C93200)", 18.0e-6, 18.0e-6, ""},
}

// Materials lists the table.
func Materials() []Material { return append([]Material(nil), materials...) }

// MaterialOf finds a material by its id; false when it is not in the table.
func MaterialOf(id string) (Material, bool) {
	for _, m := range materials {
		if m.ID == id {
			return m, true
		}
	}
	return Material{}, false
}

// At is the material at a temperature in K. source is the id of its coefficient's
// uncertainty, the same for all pieces of the material.
func (m Material) At(temperature measure.Number, source int32) *Thermal {
	return &Thermal{
		Temperature: temperature,
		Expansion:   measure.Reading(m.Expansion, measure.Term{Source: source, U: measure.UOfRectangular(m.HalfWidth)}),
	}
}
