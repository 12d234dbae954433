package handbook

import (
	"math"
	"strings"
	"testing"
)

// examples holds a worked example for every entry: the call as a person types
// it, one result in a unit, and where the figure is from. "hand" is worked by
// hand from the formula in the entry's comment.
var examples = []struct {
	name, give, result, unit string
	want, tol                float64
	word                     string
	from                     string
}{
	{name: "annular_eccentricity", give: "eccentricity=1", result: "factor", want: 2.5, from: "Merritt: touching passes 2.5 times"},
	{name: "annular_flow", give: "diameter=18 mm; clearance=25 µm; pressure=0.2 MPa; viscosity=10 mPa·s; length=20 mm; eccentricity=1", result: "flow", unit: "ml/min", want: 11.0447, tol: 1e-4, from: "hand"},
	{name: "annular_flow_exact", give: "bore=100 mm; shaft=98 mm; pressure=250 kPa; viscosity=6.5 mPa·s; length=1 m", result: "flow", unit: "l/min", want: 60, tol: 0.3, from: "White, Fluid Mechanics: 0.001 m³/s gives 0.0065 Pa·s"},
	{name: "archard_depth", give: "coefficient=0.007; pressure=10 MPa; distance=1 m; hardness=1176 MPa", result: "depth", unit: "µm", want: 19.841, tol: 0.001, from: "hand"},
	{name: "archard_k", give: "pair=PTFE", result: "coefficient", want: 2.5e-5, from: "encyclopaedia article, table 1"},
	{name: "archard_k_range", give: "condition=abrasive wear", result: "high", want: 0.1, from: "ranges of several sources"},
	{name: "archard_volume", give: "coefficient=0.007; load=10 N; distance=1 m; hardness=1176 MPa", result: "volume", unit: "mm³", want: 0.0198413, tol: 1e-6, from: "hand"},
	{name: "assembly_preload", give: "thread=M10x1.25; class=8.8", result: "torque", unit: "N·m", want: 51, tol: 2.04, from: "VDI 2230 table, μ 0.12"},
	{name: "ball_socket_contact", result: "low", unit: "%", want: 80, from: "Army TM 9-6115-604-34"},
	{name: "brinell_as_pressure", give: "hardness=120 HBW", result: "pressure", unit: "MPa", want: 1176.8, tol: 0.01, from: "hand"},
	{name: "dynamic_viscosity", give: "kinematic=32 cSt", result: "dynamic", unit: "mPa·s", want: 27.84, tol: 1e-9, from: "hand"},
	{name: "effective_radius", give: "radius_1=10; radius_2=-11", result: "radius", unit: "mm", want: 110, tol: 1e-9, from: "hand: ball of 10 in a cup of 11"},
	{name: "fit", give: "fit=18 H7/f7", result: "max_clearance", unit: "mm", want: 0.052, tol: 1e-9, from: "ISO 286-2"},
	{name: "fundamental_deviation", give: "size=18 f7", result: "deviation", unit: "µm", want: -16, tol: 1e-9, from: "ISO 286-1"},
	{name: "hardness_after_exposure", give: "steel=SAE 1040; quench=water; temper=400 °F; exposure=300 °C; time=1 h", result: "hardness", unit: "HB", want: 458, tol: 1, from: "hand: an hour at 300 °C is a temper at 300 °C; between 495 at 260 and 444 at 315.6"},
	{name: "hb_to_hrc", give: "hb=421", result: "hrc", unit: "HRC", want: 45, from: "ASTM E140"},
	{name: "hb_to_tensile", give: "hb=285 HBW", result: "tensile", unit: "MPa", want: 965, from: "ISO 18265 Table A.1"},
	{name: "hertz_line", give: "load_per_length=100; radius=10", result: "pressure", unit: "MPa", want: 600.2, tol: 0.1, from: "hand, E 206 000, ν 0.3"},
	{name: "hertz_point", give: "load=500; radius=25; modulus_1=200 GPa; modulus_2=200 GPa", result: "pressure", unit: "MPa", want: 1231.9, tol: 0.1, from: "textbook, 50 mm ball"},
	{name: "hrc_to_hv", give: "hrc=45", result: "hv", unit: "HV", want: 446, from: "ASTM E140"},
	{name: "hv_to_hrc", give: "hv=452", result: "hrc", unit: "HRC", want: 45.5, tol: 1e-9, from: "hand: halfway between 446 and 458"},
	{name: "hv_to_tensile", give: "hv=305", result: "tensile", unit: "MPa", want: 980, tol: 1e-9, from: "hand: halfway between 965 and 995"},
	{name: "iso_vg", give: "grade=VG 46", result: "max", unit: "mm²/s", want: 50.6, tol: 1e-9, from: "ISO 3448"},
	{name: "it_by_formula", give: "nominal=18; grade=IT7", result: "tolerance", unit: "µm", want: 17.32, tol: 0.01, from: "hand: D 13.416, i 1.0827"},
	{name: "it_tolerance", give: "nominal=18; grade=it7", result: "tolerance", unit: "mm", want: 0.018, tol: 1e-12, from: "ISO 286-1 Table 1"},
	{name: "load_at_stress", give: "area=84.3; stress=580", result: "load", unit: "N", want: 48894, tol: 1e-6, from: "ISO 898-1 worked example"},
	{name: "pipe_flow", give: "diameter=1 mm; pressure=0.5 bar; viscosity=10; length=10 mm", result: "flow", unit: "ml/min", want: 736.31, tol: 0.01, from: "hand"},
	{name: "pitch_error_as_diameter", give: "pitch_error=-10", result: "diameter", unit: "µm", want: 17.32, tol: 0.01, from: "thread metrology: 1.732 δP"},
	{name: "pitch_error_between", give: "error_near=3; error_far=-2", result: "error", unit: "µm", want: -5, from: "screw-thread metrology notes"},
	{name: "play_range", give: "bore_min=22.023; bore_max=22.052; shaft_min=21.959; shaft_max=21.98", result: "least", unit: "mm", want: 0.043, tol: 1e-9, from: "service manual"},
	{name: "play_when_hot", give: "bore=15.021; shaft=14.972; coefficient_bore=11.4; coefficient_shaft=11.3; bore_temperature=120; shaft_temperature=170", result: "play", unit: "mm", want: 0.0407464, tol: 1e-6, from: "hand"},
	{name: "preload_from_torque", give: "torque=50; diameter=10; stress_area=58", result: "stress", unit: "MPa", want: 431, tol: 0.1, from: "T = K F d worked example"},
	{name: "preload_scatter", give: "preload_max=41.9", result: "preload_min", unit: "kN", want: 23.3, tol: 0.05, from: "VDI 2230 example"},
	{name: "proof_load", give: "thread=m10; class=10.9", result: "proof_load", unit: "kN", want: 48.1, tol: 0.1, from: "ISO 898-1"},
	{name: "property_class", give: "class=10.9", result: "yield", unit: "MPa", want: 940, from: "ISO 898-1"},
	{name: "property_class_hardness", give: "class=10.9", result: "hrc_min", unit: "HRC", want: 32, from: "ISO 898-1:2013 Table 3, from memory"},
	{name: "published_lash", give: "condition=diesel with crossheads", result: "exhaust_min", unit: "mm", want: 0.58, from: "Army TM 10-4320-307-24, 0.023 in"},
	{name: "published_limit", give: "item=rocker bush bore", result: "limit", unit: "mm", want: 19.1, from: "Army TM 9-2815-254-24"},
	{name: "published_play", result: "limit_high", unit: "mm", want: 0.15, from: "largest of eight manuals"},
	{name: "published_spring", give: "spring=large push-rod engine", result: "rate", unit: "N/mm", want: 62.7, tol: 0.1, from: "hand from 340 N and 980 N"},
	{name: "reference_temperature", result: "reference", unit: "°C", want: 20, from: "ISO 1"},
	{name: "resolution_u", give: "step=0.01", result: "u", unit: "mm", want: 0.0029, tol: 2e-5, from: "JCGM 100 F.2.2.1"},
	{name: "retaining_ring_groove_share", result: "middle", unit: "%", want: 90, from: "trade article"},
	{name: "rocker_lash_drift", give: "play_growth=0.1; ratio=1.5", result: "drift", unit: "mm", want: 0.25, tol: 1e-12, from: "hand: 0.1 (1 + 1.5)"},
	{name: "rocker_pivot_force", give: "valve_force=340; ratio=1.5", result: "pivot_force", unit: "N", want: 850, tol: 1e-9, from: "hand: 340 + 510"},
	{name: "rocker_pivot_force", give: "valve_force=340; ratio=1.5", result: "side", word: "toward the head", from: "the ridge under worn arms is felt on the underside: workshop page on rebushing rocker arms"},
	{name: "rocker_ratio", result: "high", want: 1.8, from: "rocker ratio text"},
	{name: "rocker_tip_travel", result: "high", unit: "mm", want: 2, from: "trade article"},
	{name: "sae_j300", give: "grade=30", result: "kv100_max", unit: "mm²/s", want: 12.5, from: "SAE J300"},
	{name: "sae_j300_winter", give: "grade=10w", result: "kv100_min", unit: "mm²/s", want: 4.1, from: "SAE J300"},
	{name: "screw_torque_check", give: "thread=M10; class=8.8; torque=60 N·m", result: "yields", word: "depends on friction", from: "hand: 1.27 of yield at μ 0.10, 0.92 at 0.16"},
	{name: "shaft_feed", give: "play=50; play_new=50; spacing=0.1; supply=2; diameter=18; width=20; feed_diameter=1; feed_length=20; bore_diameter=100", result: "lowest_pressure", unit: "bar", want: 1.94175, tol: 1e-4, from: "hand: feed 1.22718e-10, leak 3.68155e-12 m³/(s·Pa), bore without resistance"},
	{name: "size_at_20", give: "length=20; coefficient=11.5; temperature=30", result: "length_20", unit: "mm", want: 19.9977003, tol: 1e-6, from: "hand"},
	{name: "spring_rate", give: "load=378; deflection=10.75", result: "rate", unit: "N/mm", want: 35.2, tol: 0.1, from: "Army TM 5-1940-322-24"},
	{name: "spring_rate_between", give: "load_1=340; length_1=45.75; load_2=980; length_2=35.55", result: "rate", unit: "N/mm", want: 62.745, tol: 0.001, from: "hand"},
	{name: "tappet_crown", result: "low", unit: "mm", want: 0.00127, from: "cam grinder's page"},
	{name: "tappet_sag", give: "face_diameter=0.842 in; radius=50 in", result: "sag", unit: "in", want: 0.00177, tol: 1e-5, from: "hand"},
	{name: "temper_parameter", give: "temperature=600; time=10; kelvin_offset=273", result: "parameter", want: 18.333, tol: 1e-9, from: "hand: 873 × 21"},
	{name: "temper_parameter_combined", give: "temperatures=730 675 710 °C; times=4 40 32", result: "parameter", want: 21.333, tol: 0.025, from: "API 934 presentation"},
	{name: "temper_parameter_range", result: "high", want: 21, from: "steel-plate maker"},
	{name: "tempered_hardness", give: "steel=AISI 4140; quench=oil; temper=425 °C", result: "low", unit: "HB", want: 370, tol: 0.1, from: "ASM, lower than the trade association's at 427 °C"},
	{name: "tempered_strength", give: "steel=AISI 4140; quench=oil; temper=205 °C", result: "tensile", unit: "MPa", want: 1772, from: "ASM single-heat data"},
	{name: "thermal_expansion", give: "material=gauge-block steel", result: "coefficient", unit: "1/K", want: 11.5e-6, tol: 1e-15, from: "JCGM 100 H.1"},
	{name: "thermal_growth", give: "length=300; coefficient=11.4; rise=70", result: "growth", unit: "µm", want: 239.4, tol: 1e-9, from: "hand"},
	{name: "thread_dimensions", give: "thread=M10", result: "pitch_diameter", unit: "mm", want: 9.026, tol: 0.0005, from: "ISO 724"},
	{name: "thread_limits_6h", give: "thread=M10", result: "pitch_dia_max", unit: "mm", want: 9.206, tol: 0.0005, from: "ISO 965"},
	{name: "thread_stress_area", give: "thread=M8", result: "stress_area", unit: "mm²", want: 36.6, tol: 0.05, from: "ISO 898-1"},
	{name: "thread_stretch", give: "thread=M10; pitches=10; length=15.06", result: "stretch", unit: "%", want: 0.4, tol: 1e-9, from: "hand: 0.06 in 15"},
	{name: "thread_stretch", give: "thread=M10; pitches=10; length=15.06", result: "beyond_making", word: "yes", from: "60 µm against 20"},
	{name: "three_wire", give: "diameter=1.5 in; pitch=4.2333333 mm; wire=0.14 in", result: "over_wires", unit: "in", want: 1.6674, tol: 0.0002, from: "Jones, Turning and Boring"},
	{name: "tint_after_hold", give: "temperature=230 °C; hold=45 min", result: "least", word: "blue", from: "Rapatz"},
	{name: "tint_celsius", give: "colour=blue", result: "high", unit: "°C", want: 315.6, tol: 0.1, from: "The Working of Steel, Table 26, 600 °F"},
	{name: "tint_fahrenheit", give: "colour=straw; source=butt", result: "middle", unit: "°F", want: 450, from: "Butt"},
	{name: "tint_oxide", give: "colour=purple", result: "thickness", unit: "nm", want: 63, from: "plating lexicon"},
	{name: "tolerance_limits", give: "size=18 H7", result: "upper", unit: "mm", want: 18.018, tol: 1e-9, from: "ISO 286-2"},
	{name: "torque_for_preload", give: "preload=26.1; diameter=10", result: "torque", unit: "N·m", want: 52.2, tol: 1e-9, from: "T = K F d worked example"},
	{name: "torque_in_pound_feet", give: "figure=40", result: "as_pound_feet", unit: "lbf·ft", want: 40, tol: 1e-9, from: "NIST SP 811 through the unit table"},
	{name: "torque_unit_slip", give: "found=34 N·m; specified=25 N·m", result: "slip", word: "N·m set as lbf·ft", from: "hand: 25 lbf·ft are 33.9 N·m"},
	{name: "valve_lift", give: "cam_lift=8; ratio=1.5; clearance=0.3", result: "lift", unit: "mm", want: 11.7, tol: 1e-9, from: "hand"},
	{name: "viscosity_from_index", give: "temperature=100; v40=22.83; index=156", result: "viscosity", unit: "mm²/s", want: 5.05, tol: 0.01, from: "ASTM D2270 procedure B example, backwards"},
	{name: "viscosity_index", give: "v40=22.83; v100=5.05", result: "index", want: 156, tol: 0.5, from: "ASTM D2270 procedure B example"},
	{name: "viscosity_walther", give: "temperature=60; v1=32; v2=5.4", result: "viscosity", unit: "mm²/s", want: 15.186, tol: 0.01, from: "ASTM D341"},
	{name: "washer_each", give: "gaps=1.55 1.60; thicknesses=1.50 1.45 mm; play_min=0.05; play_max=0.15", result: "worst", unit: "mm", want: 0, tol: 1e-9, from: "hand: 1.45 to the first, 1.50 to the second"},
	{name: "washer_set", give: "thicknesses=1.45 1.5 0.3; gap=1.85; play_min=0.05; play_max=0.15", result: "play", unit: "mm", want: 0.1, tol: 1e-9, from: "hand: 1.45 and 0.3"},
	{name: "wear_allowance", give: "item=pin and bush wear, total", result: "allowed", unit: "in", want: 0.001, tol: 1e-12, from: "Army TM 10-3930-647-14&P"},
	{name: "wear_life", give: "wear=0.05; hours=1000; limit=0.1; u_wear=0.005", result: "u", unit: "h", want: 200, tol: 1e-9, from: "hand: 1000 × 0.1/0.05² × 0.005"},
	{name: "worn_side_agrees", give: "found=350; expected=20", result: "difference", unit: "°", want: 30, tol: 1e-9, from: "hand"},
}

func TestEveryEntryHasAWorkedExample(t *testing.T) {
	shown := map[string]bool{}
	for _, x := range examples {
		shown[x.name] = true
		var pairs []string
		for _, p := range strings.Split(x.give, "; ") {
			if k, v, ok := strings.Cut(p, "="); ok {
				pairs = append(pairs, k, v)
			}
		}
		t.Run(x.name+"/"+x.result, func(t *testing.T) {
			a := ask(t, x.name, pairs...)
			if x.word != "" {
				if w := a.word(t, x.result); w != x.word {
					t.Errorf("%s, wanted %s (%s)", w, x.word, x.from)
				}
				return
			}
			if got := a.in(t, x.result, x.unit); !(math.Abs(got-x.want) <= x.tol+1e-12*math.Abs(x.want)) {
				t.Errorf("%v, wanted %v ± %v (%s)", got, x.want, x.tol, x.from)
			}
		})
	}
	for _, e := range All() {
		if !shown[e.Name] {
			t.Errorf("%s has no worked example", e.Name)
		}
	}
}
