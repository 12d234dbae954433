package handbook

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// topicRuns asks each topic's entry. Formulas and tables are the package's;
// here stands only which argument a row's key is.
var topicRuns = func() map[string]topicRun {
	all := maps.Clone(standardTopics)
	maps.Copy(all, valveGearTopics)
	return all
}()

// standardTopics are the standards, materials and formulas.
var standardTopics = map[string]topicRun{
	"temper_colour": func(t *testing.T, r row) found {
		// The id names the table: temper_<table>_<line>.
		source := map[string]string{
			"mh": "machinery", "five": "five_compared", "ws26": "working_of_steel", "dooley": "dooley", "butt": "butt",
			"sgp": "gauge_plate", "gun": "gunsmith", "ger": "german", "gal": "plating", "enc": "encyclopaedia",
		}[strings.Split(r.id, "_")[1]]
		c := ask(t, "tint_celsius", "colour", r.text("colour"), "source", source)
		f := ask(t, "tint_fahrenheit", "colour", r.text("colour"), "source", source)
		all := ask(t, "tint_celsius", "colour", r.text("family"))
		out := found{entry: "tint_celsius", got: map[string]any{"temp_C": c.in(t, "middle", "°C"), "temp_F": f.in(t, "middle", "°F")}}
		out.lo, out.hi, out.at = all.in(t, "low", "°C"), all.in(t, "high", "°C"), c.in(t, "middle", "°C")
		if r.expected["oxide_nm"] != nil {
			out.got["oxide_nm"] = ask(t, "tint_oxide", "colour", r.text("colour")).in(t, "thickness", "nm")
		}
		if r.has("source_low_F") { // the compared sources' spread is stated, and lies in the family's
			if lo, hi := f.in(t, "low", "°F"), f.in(t, "high", "°F"); math.Abs(lo-r.num("source_low_F")) > 1e-9 || math.Abs(hi-r.num("source_high_F")) > 1e-9 {
				t.Errorf("spread %v to %v °F, published %v to %v", lo, hi, r.num("source_low_F"), r.num("source_high_F"))
			}
			if (r.num("source_low_F")-32)/1.8 < out.lo-1e-9 || (r.num("source_high_F")-32)/1.8 > out.hi+1e-9 {
				t.Errorf("the span %v to %v °C of the family leaves out the compared sources", out.lo, out.hi)
			}
		}
		return out
	},
	"temper_colour_time": func(t *testing.T, r row) found {
		a := ask(t, "tint_after_hold", "temperature", r.q("temp_C", "°C"), "hold", r.q("hold_min", "min"))
		out := found{entry: "tint_after_hold", got: map[string]any{"family_at_least": a.word(t, "least")}}
		if a.word(t, "least") == a.word(t, "most") {
			out.got["family"] = a.word(t, "least")
		}
		return out
	},
	"iso286_it": func(t *testing.T, r row) found {
		a := ask(t, "it_tolerance", "nominal", r.q("nominal_mm", "mm"), "grade", r.text("grade"))
		if r.num("nominal_mm") > 3 { // the second way, before rounding; the table rounds to whole µm and by up to 8 %
			f := ask(t, "it_by_formula", "nominal", r.q("nominal_mm", "mm"), "grade", r.text("grade")).in(t, "tolerance", "µm")
			if v := a.in(t, "tolerance", "µm"); math.Abs(f-v) > 0.08*v+0.5 {
				t.Errorf("table %v µm, formula %v µm", v, f)
			}
		}
		return found{entry: "it_tolerance", got: map[string]any{"tolerance_um": a.in(t, "tolerance", "µm")}, says: "ISO 286-1:2010 Table 1"}
	},
	"iso286_shaft": isoDeviation,
	"iso286_hole":  isoDeviation,
	"iso286_fit": func(t *testing.T, r row) found {
		a := ask(t, "fit", "fit", plainNumber(r.num("nominal_mm"))+" "+r.text("hole")+"/"+r.text("shaft"))
		got := map[string]any{"kind": a.word(t, "kind")}
		for _, k := range []string{"EI", "ES", "ei", "es", "min_clearance", "max_clearance"} {
			got[k+"_um"] = a.in(t, k, "µm")
		}
		return found{entry: "fit", got: got, says: "ISO 286-1:2010"}
	},
	"thread_pitch_diameter": func(t *testing.T, r row) found {
		a := ask(t, "thread_dimensions", "thread", r.text("thread"))
		if a.in(t, "diameter", "mm") != r.num("d_mm") || a.in(t, "pitch", "mm") != r.num("pitch_mm") {
			t.Errorf("%s is not %v x %v", r.text("thread"), r.num("d_mm"), r.num("pitch_mm"))
		}
		return found{entry: "thread_dimensions", got: map[string]any{"pitch_diameter_mm": a.in(t, "pitch_diameter", "mm")}}
	},
	"thread_stress_area": func(t *testing.T, r row) found {
		a := ask(t, "thread_stress_area", "thread", r.text("thread"))
		return found{entry: "thread_stress_area", got: map[string]any{"stress_area_mm2": a.in(t, "stress_area", "mm²")}}
	},
	"thread_6H_limits": func(t *testing.T, r row) found {
		a := ask(t, "thread_limits_6h", "thread", r.text("thread"))
		got := map[string]any{}
		for _, k := range []string{"pitch_dia_min", "pitch_dia_max", "minor_dia_min", "minor_dia_max"} {
			got[k+"_mm"] = a.in(t, k, "mm")
		}
		return found{entry: "thread_limits_6h", got: got}
	},
	"thread_minor_diameter": func(t *testing.T, r row) found {
		a := ask(t, "thread_dimensions", "thread", r.text("thread"))
		return found{entry: "thread_dimensions", got: map[string]any{"d3_mm": a.in(t, "minor_external", "mm"), "D1_mm": a.in(t, "minor_internal", "mm")}}
	},
	"property_class": func(t *testing.T, r row) found {
		a := ask(t, "property_class", "class", r.text("class")) // 10 mm unless given: inside both ranges of the rows
		return found{entry: "property_class", says: "the name gives nominal values", got: map[string]any{
			"Rm_min_MPa": a.in(t, "tensile", "MPa"), "Rp02_min_MPa": a.in(t, "yield", "MPa"), "proof_MPa": a.in(t, "proof", "MPa"), "proof_ratio": a.in(t, "proof_ratio", ""),
		}}
	},
	"property_class_nominal": func(t *testing.T, r row) found {
		a := ask(t, "property_class", "class", r.text("class"))
		return found{entry: "property_class", says: "the least yield of 10.9 is 940, not 900", got: map[string]any{
			"Rm_nom_MPa": a.in(t, "nominal_tensile", "MPa"), "yield_nom_MPa": a.in(t, "nominal_yield", "MPa"),
		}}
	},
	"property_class_hardness": func(t *testing.T, r row) found {
		class, _, _ := strings.Cut(r.text("class"), " ")
		a := ask(t, "property_class_hardness", "class", class, "diameter", "12 mm")
		return found{entry: "property_class_hardness", says: "an older edition read gives", got: map[string]any{
			"HRC_min": a.in(t, "hrc_min", "HRC"), "HRC_max": a.in(t, "hrc_max", "HRC"), "HV_min": a.in(t, "hv_min", "HV"), "HV_max": a.in(t, "hv_max", "HV"),
		}}
	},
	"proof_load":      proofLoad,
	"proof_load_fine": proofLoad,
	"torque_preload": func(t *testing.T, r row) found {
		got := map[string]any{}
		area, force := "58 mm²", ""
		if r.has("stress_area_mm2") {
			area = r.q("stress_area_mm2", "mm²")
		}
		if r.has("fraction") {
			f := ask(t, "load_at_stress", "area", area, "stress", plainNumber(r.num("proof_MPa")*r.num("fraction"))+" MPa").in(t, "load", "kN")
			got["F_kN"], force = f, plainNumber(f)+" kN"
		}
		if r.has("F_kN") {
			force = r.q("F_kN", "kN")
		}
		if force != "" {
			got["T_Nm"] = ask(t, "torque_for_preload", "preload", force, "nut_factor", r.q("K", ""), "diameter", r.q("d_mm", "mm")).in(t, "torque", "N·m")
			return found{entry: "torque_for_preload", got: got}
		}
		a := ask(t, "preload_from_torque", "torque", r.q("T_Nm", "N·m"), "nut_factor", r.q("K", ""), "diameter", r.q("d_mm", "mm"), "stress_area", area)
		got["F_kN"], got["stress_MPa"] = a.in(t, "preload", "kN"), a.in(t, "stress", "MPa")
		if r.disagreement { // the page calls this preload past proof; by the tables it is not
			proof := ask(t, "proof_load", "thread", "M12", "class", "8.8").in(t, "proof_load", "kN")
			if f := got["F_kN"].(float64); f >= proof {
				t.Errorf("%v kN is past the proof load %v kN", f, proof)
			}
		}
		return found{entry: "preload_from_torque", got: got, says: "T = K F d, worked examples"}
	},
	"vdi2230": func(t *testing.T, r row) found {
		if r.has("alpha_A") {
			a := ask(t, "preload_scatter", "preload_max", r.q("F_M_max_kN", "kN"), "tightening_factor", r.q("alpha_A", ""))
			return found{entry: "preload_scatter", got: map[string]any{"F_M_min_kN": a.in(t, "preload_min", "kN")}}
		}
		a := ask(t, "assembly_preload", "thread", r.text("thread"), "class", r.text("class"), "mu", r.q("mu", ""), "utilisation", r.q("utilisation", ""))
		return found{entry: "assembly_preload", got: map[string]any{"F_M_kN": a.in(t, "preload", "kN"), "M_A_Nm": a.in(t, "torque", "N·m")}}
	},
	"thread_pitch_check": func(t *testing.T, r row) found {
		if r.has("error_a_um") {
			a := ask(t, "pitch_error_between", "error_near", r.q("error_a_um", "µm"), "error_far", r.q("error_h_um", "µm"))
			return found{entry: "pitch_error_between", got: map[string]any{"cumulative_error_um": a.in(t, "error", "µm")}}
		}
		a := ask(t, "pitch_error_as_diameter", "pitch_error", r.q("pitch_error_um", "µm"), "angle", r.q("angle_deg", "°"))
		return found{entry: "pitch_error_as_diameter", got: map[string]any{"d2_equivalent_um": a.in(t, "diameter", "µm")}}
	},
	"thread_three_wire": func(t *testing.T, r row) found {
		a := ask(t, "three_wire", "diameter", r.q("d_in", "in"), "pitch", r.q("pitch_in", "in"), "wire", r.q("wire_in", "in"))
		return found{entry: "three_wire", got: map[string]any{"over_wires_in": a.in(t, "over_wires", "in")}}
	},
	"resolution": func(t *testing.T, r row) found {
		a := ask(t, "resolution_u", "step", r.q("resolution_mm", "mm"))
		return found{entry: "resolution_u", got: map[string]any{"u_mm": a.in(t, "u", "mm")}}
	},
	"thermal_expansion": func(t *testing.T, r row) found {
		a := ask(t, "thermal_expansion", "material", r.text("material"))
		out := found{entry: "thermal_expansion", got: map[string]any{"alpha_1e6_per_C": a.in(t, "coefficient", "ppm/K"), "alpha_1e6_per_F": a.in(t, "per_fahrenheit", "")}}
		out.lo, out.hi, out.at = a.in(t, "low", "ppm/K"), a.in(t, "high", "ppm/K"), a.in(t, "coefficient", "ppm/K")
		return out
	},
	"reference_temperature": func(t *testing.T, r row) found {
		return found{entry: "reference_temperature", got: map[string]any{"reference_C": ask(t, "reference_temperature").in(t, "reference", "°C")}}
	},
	"thermal_growth": func(t *testing.T, r row) found {
		a := ask(t, "thermal_growth", "length", r.q("length_mm", "mm"), "coefficient", r.q("alpha_1e6_per_C", "ppm/K"), "rise", r.q("dT_C", "K"))
		return found{entry: "thermal_growth", got: map[string]any{"growth_um": a.in(t, "growth", "µm")}}
	},
	"annular_flow": func(t *testing.T, r row) found {
		ml := func(a Answer) float64 { return a.in(t, "flow", "m³/s") }
		if !r.has("mu_Pas") { // a viscometer: flow goes with 1/μ, so one flow at 1 mPa·s … gives μ
			const guess = 0.01
			q := 0.0
			if r.has("a_m") {
				q = ml(ask(t, "annular_flow_exact", "bore", plainNumber(2*r.num("a_m"))+" m", "shaft", plainNumber(2*r.num("b_m"))+" m", "pressure", r.q("dp_Pa", "Pa"), "viscosity", "10 mPa·s", "length", r.q("L_m", "m")))
			} else {
				q = ml(ask(t, "annular_flow", "diameter", r.q("D_m", "m"), "clearance", r.q("c_m", "m"), "pressure", r.q("dp_Pa", "Pa"), "viscosity", "10 mPa·s", "length", r.q("L_m", "m")))
			}
			return found{entry: "annular_flow_exact", got: map[string]any{"mu_Pas": guess * q / r.num("Q_m3s")}}
		}
		pairs := []string{"diameter", r.q("D_m", "m"), "clearance", r.q("c_m", "m"), "pressure", r.q("dp_Pa", "Pa"), "viscosity", r.q("mu_Pas", "Pa·s"), "length", r.q("L_m", "m")}
		if r.has("eccentricity_ratio") {
			pairs = append(pairs, "eccentricity", r.q("eccentricity_ratio", ""))
		}
		a := ask(t, "annular_flow", pairs...)
		return found{entry: "annular_flow", got: map[string]any{"Q_m3s": ml(a), "Q_ml_min": a.in(t, "flow", "ml/min")}}
	},
	"annular_eccentricity": func(t *testing.T, r row) found {
		a := ask(t, "annular_eccentricity", "eccentricity", r.q("eccentricity_ratio", ""))
		return found{entry: "annular_eccentricity", got: map[string]any{"flow_factor": a.in(t, "factor", "")}}
	},
	"viscosity_walther": func(t *testing.T, r row) found {
		pairs := []string{"temperature", r.q("t3_C", "°C"), "t1", r.q("t1_C", "°C"), "v1", r.q("v1", "mm²/s"), "t2", r.q("t2_C", "°C"), "v2", r.q("v2", "mm²/s")}
		if r.has("kelvin_offset") {
			pairs = append(pairs, "kelvin_offset", r.q("kelvin_offset", "K"))
		}
		a := ask(t, "viscosity_walther", pairs...)
		if outside := a.word(t, "outside") == "yes"; outside != (r.id == "walther_68" || r.id == "walther_32_20") {
			t.Errorf("outside the two points: %v", outside)
		}
		return found{entry: "viscosity_walther", got: map[string]any{"v3": a.in(t, "viscosity", "mm²/s"), "A": a.in(t, "A", ""), "B": a.in(t, "B", "")}}
	},
	"viscosity_index": func(t *testing.T, r row) found {
		a := ask(t, "viscosity_index", "v40", r.q("v40", "mm²/s"), "v100", r.q("v100", "mm²/s"))
		if h := a.in(t, "H", "mm²/s"); math.Abs(h-r.num("H")) > 0.03 {
			t.Errorf("H is %v, published %v", h, r.num("H"))
		}
		return found{entry: "viscosity_index", got: map[string]any{"VI": a.in(t, "index", "")}}
	},
	"iso_vg": func(t *testing.T, r row) found {
		a := ask(t, "iso_vg", "grade", r.text("grade"))
		return found{entry: "iso_vg", got: map[string]any{"min": a.in(t, "min", "mm²/s"), "max": a.in(t, "max", "mm²/s")}}
	},
	"sae_j300": func(t *testing.T, r row) found {
		if strings.HasSuffix(r.text("grade"), "W") {
			a := ask(t, "sae_j300_winter", "grade", r.text("grade"))
			return found{entry: "sae_j300_winter", got: map[string]any{"kv100_min": a.in(t, "kv100_min", "mm²/s")}}
		}
		pairs := []string{"grade", r.text("grade")}
		if r.has("edition") {
			pairs = append(pairs, "edition", r.text("edition")[len("December "):])
		}
		a := ask(t, "sae_j300", pairs...)
		says := "editions differ: grade 20 began at 5.6 in December 1999, at 6.9 from April 2013"
		if r.text("grade") == "40" {
			says = "with 0W, 5W, 10W 3.5, in older editions 2.9"
		}
		return found{entry: "sae_j300", says: says, got: map[string]any{
			"kv100_min": a.in(t, "kv100_min", "mm²/s"), "kv100_max": a.in(t, "kv100_max", "mm²/s"), "hths150_min": a.in(t, "hths150_min", "mPa·s"),
		}}
	},
	"hertz_point": func(t *testing.T, r row) found {
		radius, nu1, nu2 := "R_eff_mm", "nu", "nu"
		if r.has("R_mm") {
			radius, nu1, nu2 = "R_mm", "nu1", "nu2"
		}
		a := ask(t, "hertz_point", "load", r.q("F_N", "N"), "radius", r.q(radius, "mm"),
			"modulus_1", r.q("E1_MPa", "MPa"), "poisson_1", r.q(nu1, ""), "modulus_2", r.q("E2_MPa", "MPa"), "poisson_2", r.q(nu2, ""))
		return found{entry: "hertz_point", says: "contradicts its own formula and is not followed", got: map[string]any{"a_mm": a.in(t, "radius_of_contact", "mm"), "p0_MPa": a.in(t, "pressure", "MPa")}}
	},
	"hertz_line": func(t *testing.T, r row) found {
		e, nu := r.q("E_MPa", "MPa"), r.q("nu", "")
		a := ask(t, "hertz_line", "load_per_length", r.q("load_N_per_mm", "N/mm"), "radius", r.q("R_eff_mm", "mm"), "modulus_1", e, "poisson_1", nu, "modulus_2", e, "poisson_2", nu)
		return found{entry: "hertz_line", says: "prints 2 P' R under the root", got: map[string]any{"a_mm": a.in(t, "half_width", "mm"), "p0_MPa": a.in(t, "pressure", "MPa"), "pmean_MPa": a.in(t, "mean", "MPa")}}
	},
	"archard": func(t *testing.T, r row) found {
		if r.has("HB") {
			a := ask(t, "brinell_as_pressure", "hardness", r.q("HB", "HB"))
			return found{entry: "brinell_as_pressure", got: map[string]any{"H_Pa": a.in(t, "pressure", "Pa")}}
		}
		a := ask(t, "archard_volume", "coefficient", r.q("K", ""), "load", r.q("F_N", "N"), "distance", r.q("s_m", "m"), "hardness", r.q("H_Pa", "Pa"))
		return found{entry: "archard_volume", got: map[string]any{"V_m3": a.in(t, "volume", "m³")}}
	},
	"archard_k": func(t *testing.T, r row) found {
		if r.has("pair") {
			a := ask(t, "archard_k", "pair", r.text("pair"))
			return found{entry: "archard_k", says: "some authors fold the 3 into K", got: map[string]any{"K": a.in(t, "coefficient", "")}}
		}
		a := ask(t, "archard_k_range", "condition", r.text("condition"))
		return found{entry: "archard_k_range", says: "differ by two decades", got: map[string]any{"K_min": a.in(t, "low", ""), "K_max": a.in(t, "high", "")}}
	},
	"hollomon_jaffe": func(t *testing.T, r row) found {
		switch {
		case r.has("temps_C"):
			list := func(key, unit string) string {
				return strings.Trim(fmt.Sprint(r.inputs[key].([]float64)), "[]") + " " + unit
			}
			a := ask(t, "temper_parameter_combined", "temperatures", list("temps_C", "°C"), "times", list("times_h", "h"), "constant", r.q("C", ""))
			return found{entry: "temper_parameter_combined", got: map[string]any{"P_x1000": 1000 * a.in(t, "parameter", "")}}
		case r.has("temp_C"):
			a := ask(t, "temper_parameter", "temperature", r.q("temp_C", "°C"), "time", r.q("time_h", "h"), "constant", r.q("C", ""), "kelvin_offset", r.q("kelvin_offset", "K"))
			return found{entry: "temper_parameter", says: "one printed copy takes minutes without dividing by 60", got: map[string]any{"P": a.in(t, "parameter", "")}}
		}
		a := ask(t, "temper_parameter_range")
		return found{entry: "temper_parameter_range", got: map[string]any{"P_min": a.in(t, "low", ""), "P_max": a.in(t, "high", "")}}
	},
	"tempered_hardness": func(t *testing.T, r row) found {
		temper, source := r.q2("temper_C", "°C", "temper_F", "°F"), "mott"
		switch { // the id or the source names the series
		case strings.Contains(r.id, "_asm_"), strings.HasPrefix(r.source, "ASM"):
			source = "asm"
		case strings.Contains(r.id, "_pmpa_"):
			source = "trade_association"
		case strings.HasPrefix(r.source, "Material data sheet"):
			source = "data_sheet"
		}
		steel := r.text("steel")
		if steel == "AISI 1040" {
			steel = "SAE 1040" // the same grade
		}
		a := ask(t, "tempered_hardness", "steel", steel, "quench", r.text("quench"), "temper", temper, "source", source)
		all := ask(t, "tempered_hardness", "steel", steel, "quench", r.text("quench"), "temper", temper)
		out := found{entry: "tempered_hardness", got: map[string]any{"HB": a.in(t, "hardness", "HB")}}
		out.lo, out.hi, out.at = all.in(t, "low", "HB"), all.in(t, "high", "HB"), a.in(t, "hardness", "HB")
		if r.id == "th_1040_oil_400" { // the other figure is of the other quench, so there is no span
			out.says = "is 514 HB from water, 262 from oil"
		}
		if out.lo == out.hi && out.says == "" { // one source reaches this temperature: it is named
			out.says = steel + " " + r.text("quench") + " " + source
		}
		return out
	},
	"tempered_strength": func(t *testing.T, r row) found {
		a := ask(t, "tempered_strength", "steel", r.text("steel"), "quench", r.text("quench"), "temper", r.q("temper_C", "°C"))
		return found{entry: "tempered_strength", got: map[string]any{"Rm_MPa": a.in(t, "tensile", "MPa"), "Re_MPa": a.in(t, "yield", "MPa")}}
	},
	"hardness_conversion": func(t *testing.T, r row) found {
		if r.has("HRC") {
			a := ask(t, "hrc_to_hv", "hrc", r.q("HRC", "HRC"))
			return found{entry: "hrc_to_hv", got: map[string]any{"HV": a.in(t, "hv", "HV"), "HB": a.in(t, "hb", "HB")}}
		}
		a := ask(t, "hv_to_tensile", "hv", r.q("HV", "HV"))
		return found{entry: "hv_to_tensile", got: map[string]any{"HB": a.in(t, "hb", "HB"), "HRC": a.in(t, "hrc", "HRC"), "Rm_MPa": a.in(t, "tensile", "MPa")}}
	},
}

// q2 is the first of two inputs that the row has, with its unit.
func (r row) q2(a, unitA, b, unitB string) string {
	if r.has(a) {
		return r.q(a, unitA)
	}
	return r.q(b, unitB)
}

func isoDeviation(t *testing.T, r row) found {
	class := r.text("letter") + strings.TrimPrefix(r.text("grade"), "IT")
	a := ask(t, "fundamental_deviation", "size", plainNumber(r.num("nominal_mm"))+" "+class)
	limit := a.word(t, "limit")
	if i := slices.Index(sizeSteps, r.num("up_to_mm")); i < 0 || r.num("nominal_mm") > sizeSteps[i] {
		t.Errorf("the range up to %v mm is not one of the standard's", r.num("up_to_mm"))
	}
	return found{entry: "fundamental_deviation", says: "holes D to H mirror the shafts", got: map[string]any{"fundamental_deviation_um": a.in(t, "deviation", "µm"), "limit": limit}}
}

func proofLoad(t *testing.T, r row) found {
	if !r.has("thread") { // area and stresses given
		at := func(stress string) float64 {
			return ask(t, "load_at_stress", "area", r.q("stress_area_mm2", "mm²"), "stress", r.q(stress, "MPa")).in(t, "load", "N")
		}
		return found{entry: "load_at_stress", got: map[string]any{"proof_load_N": at("proof_MPa"), "min_ultimate_N": at("Rm_MPa")}}
	}
	a := ask(t, "proof_load", "thread", r.text("thread"), "class", r.text("class"))
	if area := a.in(t, "stress_area", "mm²"); math.Abs(area-r.num("stress_area_mm2")) > 0.006*area {
		t.Errorf("stress area %v, published %v", area, r.num("stress_area_mm2"))
	}
	return found{entry: "proof_load", got: map[string]any{"proof_load_N": a.in(t, "proof_load", "N"), "min_ultimate_N": a.in(t, "min_ultimate", "N")}}
}
