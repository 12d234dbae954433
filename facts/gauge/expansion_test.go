package gauge

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"whyworn/facts/measure"
)

func TestPublishedExpansion(t *testing.T) {
	text, err := os.ReadFile("testdata/published.txt")
	if err != nil {
		t.Fatal(err)
	}
	// Which entry of our table stands for the published material. A row marked
	// disagreement is tested as such: it lies in the span the entry states.
	entry := map[string]string{
		"cte_1040": "steel", "cte_4340": "alloy_steel", "cte_440A": "stainless_martensitic", "cte_304": "stainless_austenitic",
		"cte_gray": "cast_iron", "cte_ductile1": "ductile_iron", "cte_ductile2": "ductile_iron", "cte_al2024": "aluminium",
		"cte_al6061": "aluminium", "cte_al356": "cast_aluminium", "cte_brass260": "brass", "cte_brass360": "brass",
		"cte_bronze932": "bronze", "cte_sdp_gray": "cast_iron", "cte_sdp_4140": "alloy_steel", "cte_sdp_ductile": "ductile_iron",
		"cte_dooley_sttemp": "steel", "cte_gauge_block": "gauge_steel",
	}
	perF := unit(t, "1/°F")
	rows := 0
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		rows++
		c := strings.Split(strings.TrimSpace(line), " | ")
		topic, id, in, want, tol := c[0], c[1], pairs(c[2]), pairs(c[3]), pairs(c[4])
		switch topic {
		case "thermal_expansion":
			m, ok := MaterialOf(entry[id])
			if !ok {
				t.Errorf("%s: no material", id)
				continue
			}
			published := want["alpha_1e6_per_C"]
			if published < m.Low*1e6-1e-9 || published > m.High*1e6+1e-9 {
				t.Errorf("%s: %g is outside the span %g to %g of %s", id, published, m.Low*1e6, m.High*1e6, m.ID)
			}
			if c[7] == "disagreement" {
				if m.Others == "" {
					t.Errorf("%s: %s does not say that sources disagree", id, m.ID)
				}
				continue
			}
			near(t, id, m.Expansion*1e6, published, tol["alpha_1e6_per_C"])
			if f, ok := want["alpha_1e6_per_F"]; ok {
				near(t, id+" per °F", perF.FromBase(m.Expansion)*1e6, f, tol["alpha_1e6_per_F"])
			}
		case "thermal_growth":
			hot := &Thermal{Temperature: measure.Exact(ReferenceTemperature + in["dT_C"]), Expansion: measure.Exact(in["alpha_1e6_per_C"] * 1e-6)}
			grown := in["length_mm"] + want["growth_um"]/1000
			n, err := Correct(measure.Exact(grown), hot, nil)
			if err != nil {
				t.Errorf("%s: %v", id, err)
				continue
			}
			near(t, id, (grown-n.Lo)*1000, want["growth_um"], tol["growth_um"])
			near(t, id+" length at 20 °C", n.Lo, in["length_mm"], 1e-4*tol["growth_um"])
		case "reference_temperature":
			near(t, id, celsius.FromBase(ReferenceTemperature), want["reference_C"], tol["reference_C"])
		default:
			t.Errorf("no test for topic %s", topic)
		}
	}
	if rows != 22 {
		t.Errorf("%d rows", rows)
	}
}

func pairs(text string) map[string]float64 {
	out := map[string]float64{}
	for pair := range strings.SplitSeq(text, ";") {
		k, v, _ := strings.Cut(strings.TrimSpace(pair), "=")
		if x, err := strconv.ParseFloat(v, 64); err == nil {
			out[k] = x
		}
	}
	return out
}

// Part and instrument of one material at one temperature need no correction,
// and what they share leaves no uncertainty.
func TestCorrection(t *testing.T) {
	steel, _ := MaterialOf("steel")
	bronze, _ := MaterialOf("bronze")
	warm := measure.Reading(ReferenceTemperature+15, measure.Term{Source: 3, U: 1})
	n := measure.Reading(20, measure.Term{Source: 1, U: 0.001})
	same, err := Correct(n, steel.At(warm, 4), steel.At(warm, 4))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "same material", same.Lo, 20, 1e-12)
	near(t, "u of the same material", same.U(), 0.001, 1e-9)
	other, err := Correct(n, bronze.At(warm, 5), steel.At(warm, 4))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bronze in a steel micrometer", other.Lo, 20*(1-(18.0-11.3)*1e-6*15), 1e-6)
	// First order by hand: L·Δt·u(α) of each, L·(α_b − α_s)·u(t) shared.
	hand := math.Sqrt(1e-6 + math.Pow(20*15*1.8e-6/math.Sqrt(3), 2) + math.Pow(20*15*2e-6/math.Sqrt(3), 2) + math.Pow(20*6.7e-6*1, 2))
	near(t, "u of bronze in steel", other.U(), hand, 1e-6)
	if bare, _ := Correct(measure.Exact(20), bronze.At(warm, 5), nil); bare.Terms != nil {
		t.Error("a size without uncertainty got the thermometer's alone")
	}
	for _, hot := range []measure.Number{measure.Exact(400), measure.Exact(250), measure.Between(290, 300)} {
		if _, err := Correct(n, steel.At(hot, 4), nil); err == nil {
			t.Errorf("corrected at %+v", hot)
		}
	}
}
