package handbook

import (
	"math"
	"testing"
)

// valveGearTopics are the published figures of valve gear.
var valveGearTopics = map[string]topicRun{
	"rocker_clearance": func(t *testing.T, r row) found {
		a := ask(t, "published_play", "engine", r.text("engine"))
		out := found{entry: "published_play", got: map[string]any{"new_min_mm": a.in(t, "new_min", "mm"), "new_max_mm": a.in(t, "new_max", "mm"), "limit_mm": a.in(t, "limit", "mm")}}
		out.lo, out.hi, out.at = a.in(t, "limit_low", "mm"), a.in(t, "limit_high", "mm"), a.in(t, "limit", "mm")
		return out
	},
	"rocker_clearance_arithmetic": func(t *testing.T, r row) found {
		a := ask(t, "play_range", "bore_min", r.q("bore_min_mm", "mm"), "bore_max", r.q("bore_max_mm", "mm"), "shaft_min", r.q("shaft_min_mm", "mm"), "shaft_max", r.q("shaft_max_mm", "mm"))
		return found{entry: "play_range", got: map[string]any{"clearance_min_mm": a.in(t, "least", "mm"), "clearance_max_mm": a.in(t, "greatest", "mm")}}
	},
	"part_limit": func(t *testing.T, r row) found {
		item, got := r.text("item"), map[string]any{}
		says := map[string]string{
			"lim_tm255_arm": "TM 9-2815-259-24 accepts no wear beyond the new range", "lim_runout_tm254": "five to ten times other sources",
			"lim_runout_outboard": "run-out limits differ tenfold", "lim_runout_small": "run-out limits differ tenfold",
			"lim_pushrod_zk": "six times the other published figure", "lim_stem_tip_b": "twice the other source",
		}[r.id]
		if r.expected["min_percent"] != nil {
			got["min_percent"] = ask(t, "ball_socket_contact").in(t, "low", "%")
			return found{entry: "ball_socket_contact", got: got}
		}
		limit := func(item, kind string) float64 {
			a := ask(t, "published_limit", "item", item)
			if a.word(t, "kind") != kind {
				t.Errorf("%s: the limit is a %s, not a %s", item, a.word(t, "kind"), kind)
			}
			if got["new_min"] = a.in(t, "new_min", "mm"); math.IsNaN(got["new_min"].(float64)) {
				delete(got, "new_min")
			}
			if got["new_max"] = a.in(t, "new_max", "mm"); math.IsNaN(got["new_max"].(float64)) {
				delete(got, "new_max")
			}
			return a.in(t, "limit", "mm")
		}
		for key := range r.expected {
			switch key {
			case "limit_min":
				got[key] = limit(item, "least")
			case "limit_max":
				got[key] = limit(item, "greatest")
			case "shaft_limit_min":
				got[key] = limit(item+": shaft", "least")
			case "bore_limit_max":
				got[key] = limit(item+": bore", "greatest")
			}
		}
		return found{entry: "published_limit", got: got, says: says}
	},
	"wear_rule": func(t *testing.T, r row) found {
		a := ask(t, "wear_allowance", "item", r.text("item"), "diameter", "1 in")
		if unit := r.units["allowed"]; unit == "in" && math.Abs(a.in(t, "allowed", "in")-a.in(t, "figure", "")) > 1e-12 {
			t.Errorf("%v in is not %v in", a.in(t, "allowed", "in"), a.in(t, "figure", ""))
		}
		return found{entry: "wear_allowance", got: map[string]any{"allowed": a.in(t, "figure", "")}}
	},
	"valve_lash": func(t *testing.T, r row) found {
		a := ask(t, "published_lash", "condition", r.text("condition"))
		got := map[string]any{}
		for _, k := range []string{"exhaust_min", "exhaust_max", "intake_min", "intake_max"} {
			got[k+"_mm"] = a.in(t, k, "mm")
		}
		got["exhaust_go_mm"], got["exhaust_nogo_mm"] = got["exhaust_min_mm"], got["exhaust_max_mm"]
		if got["exhaust_min_mm"] == got["exhaust_max_mm"] { // one figure, not a range
			got["exhaust_mm"], got["intake_mm"] = got["exhaust_min_mm"], got["intake_min_mm"]
			if got["exhaust_mm"] == got["intake_mm"] {
				got["both_mm"] = got["exhaust_mm"]
			}
		}
		return found{entry: "published_lash", got: got, says: "its millimetres are printed wrong by ten"}
	},
	"torque_unit": func(t *testing.T, r row) found {
		at := func(key string) float64 {
			direct := ask(t, "torque_in_pound_feet", "figure", r.q(key, "")).in(t, "as_pound_feet", "N·m")
			// The second way: the unit table of measure through another entry.
			other := ask(t, "torque_unit_slip", "found", r.q(key, "lbf·ft"), "specified", "1 N·m").in(t, "ratio", "")
			if math.Abs(direct-other) > 1e-9*direct {
				t.Errorf("%v and %v N·m", direct, other)
			}
			return direct
		}
		return found{entry: "torque_in_pound_feet", got: map[string]any{"torque_Nm_min": at("torque_lbft_min"), "torque_Nm_max": at("torque_lbft_max")}}
	},
	"valve_spring": func(t *testing.T, r row) found {
		if r.has("deflection_mm") {
			a := ask(t, "spring_rate", "load", r.q("load_N", "N"), "deflection", r.q("deflection_mm", "mm"))
			return found{entry: "spring_rate", got: map[string]any{"rate_N_mm": a.in(t, "rate", "N/mm")}}
		}
		spring := map[string]string{
			"spr_tm322": "60 mm free", "spr_tm254_inner": "inner", "spr_tm257": "small diesel", "spr_v8": "large push-rod engine",
			"spr_truck4": "truck diesel", "spr_small4": "small off-road vehicle",
		}[r.id]
		a := ask(t, "published_spring", "spring", spring)
		got := map[string]any{}
		for key, of := range map[string]string{"free_limit_mm": "free_limit", "free_new_mm": "free_new", "squareness_max_mm": "squareness_max"} {
			got[key] = a.in(t, of, "mm")
		}
		for key, of := range map[string]string{"load_min_N": "load_min", "load_max_N": "load_max", "load_limit_N": "load_limit", "load_new_N": "load_min", "seat_N": "load_min", "open_N": "open_load"} {
			got[key] = a.in(t, of, "N")
		}
		got["rate_N_mm"] = a.in(t, "rate", "N/mm")
		for key, of := range map[string]string{"length_mm": "length", "seat_length_mm": "length", "open_length_mm": "open_length", "free_mm": "free_new"} {
			if r.has(key) && a.in(t, of, "mm") != r.num(key) {
				t.Errorf("%s is %v, published %v", key, a.in(t, of, "mm"), r.num(key))
			}
		}
		if r.has("open_length_mm") { // the second way to the rate
			two := ask(t, "spring_rate_between", "load_1", "340 N", "length_1", r.q("seat_length_mm", "mm"), "load_2", "980 N", "length_2", r.q("open_length_mm", "mm"))
			if math.Abs(two.in(t, "rate", "N/mm")-got["rate_N_mm"].(float64)) > 1e-9 {
				t.Errorf("rates %v and %v", two.in(t, "rate", "N/mm"), got["rate_N_mm"])
			}
		}
		return found{entry: "published_spring", got: got}
	},
	"rocker_ratio": func(t *testing.T, r row) found {
		if r.has("item") {
			a := ask(t, "rocker_tip_travel")
			return found{entry: "rocker_tip_travel", got: map[string]any{"min_mm": a.in(t, "low", "mm"), "max_mm": a.in(t, "high", "mm")}}
		}
		a := ask(t, "rocker_ratio")
		return found{entry: "rocker_ratio", got: map[string]any{"ratio_min": a.in(t, "low", ""), "ratio_max": a.in(t, "high", "")}}
	},
	"tappet_crown": func(t *testing.T, r row) found {
		if r.has("radius_in") {
			a := ask(t, "tappet_sag", "face_diameter", r.q("face_dia_in", "in"), "radius", r.q("radius_in", "in"))
			return found{entry: "tappet_sag", got: map[string]any{"sag_in": a.in(t, "sag", "in")}}
		}
		a := ask(t, "tappet_crown")
		return found{entry: "tappet_crown", got: map[string]any{"crown_mm": a.in(t, "low", "mm")}, says: "the low end is the grinder's"}
	},
	"clip": func(t *testing.T, r row) found {
		return found{entry: "retaining_ring_groove_share", got: map[string]any{"percent": ask(t, "retaining_ring_groove_share").in(t, "middle", "%")}}
	},
}
