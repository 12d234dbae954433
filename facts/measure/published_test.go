package measure

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"whyworn/facts/truth"
)

type publishedRow struct {
	topic, id, source string
	in, want, tol     map[string]float64
	words             map[string]string // values that are not numbers
}

func publishedRows(t *testing.T) []publishedRow {
	t.Helper()
	text, err := os.ReadFile("testdata/published.txt")
	if err != nil {
		t.Fatal(err)
	}
	var rows []publishedRow
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
			continue
		}
		c := strings.Split(strings.TrimSpace(line), " | ")
		if len(c) < 8 {
			t.Fatalf("short line: %s", line)
		}
		r := publishedRow{topic: c[0], id: c[1], source: c[5], words: map[string]string{}}
		for i, m := range []*map[string]float64{&r.in, &r.want, &r.tol} {
			*m = map[string]float64{}
			for pair := range strings.SplitSeq(c[2+i], ";") {
				k, v, ok := strings.Cut(strings.TrimSpace(pair), "=")
				if !ok {
					continue
				}
				if x, err := strconv.ParseFloat(v, 64); err == nil {
					(*m)[k] = x
				} else {
					r.words[k] = v
				}
			}
		}
		rows = append(rows, r)
	}
	return rows
}

// Every published row that touches this package, in one loop.
func TestPublishedRows(t *testing.T) {
	rows := publishedRows(t)
	if len(rows) != 34 {
		t.Fatalf("only %d rows", len(rows))
	}
	for _, r := range rows {
		t.Run(r.id, func(t *testing.T) {
			close := func(name string, got float64) {
				t.Helper()
				want, ok := r.want[name]
				if !ok {
					t.Fatalf("no value %s in the row", name)
				}
				if !(math.Abs(got-want) <= r.tol[name]) {
					t.Errorf("%s = %g, published %g ± %g (%s)", name, got, want, r.tol[name], r.source)
				}
			}
			switch r.topic {
			case "decision_rule":
				if got := zone(r); got != r.words["zone"] {
					t.Errorf("zone %s, published %s (%s)", got, r.words["zone"], r.source)
				}
			case "guard_band":
				// The largest value still accepted: limit − k·u with U = 2 u.
				u := UOfExpanded(r.in["U_mm"], 2)
				edge := r.want["acceptance_limit_mm"]
				for _, c := range []struct {
					x    float64
					want truth.Truth
				}{{edge - 1e-6, truth.True}, {edge, truth.True}, {edge + 1e-6, truth.Unknown}} {
					got := Compare(Le, Reading(c.x, Term{1, u}), Exact(r.in["limit_mm"]), GuardISO14253Of1998)
					if got.Truth != c.want {
						t.Errorf("%g against %g: %v", c.x, r.in["limit_mm"], got)
					}
				}
			case "false_accept":
				k := map[string]float64{"pfa_wU": GuardISO14253Of1998, "pfa_083U": GuardISO14253Of2017}[r.id]
				// On the edge of the acceptance zone, one guard band k·u inside the limit.
				close("pfa_max", 1-ConformityProbability(-k, 1, math.Inf(-1), 0))
			case "conformance_probability":
				switch {
				case r.in["pc"] != 0:
					// At the published z the published probability holds.
					got := ConformityProbability(0, 1, math.Inf(-1), r.want["z"])
					slope := math.Exp(-r.want["z"]*r.want["z"]/2) / math.Sqrt(2*math.Pi)
					if math.Abs(got-r.in["pc"]) > slope*r.tol["z"] {
						t.Errorf("Φ(%g) = %g, published %g", r.want["z"], got, r.in["pc"])
					}
				case r.in["rel_u"] != 0:
					v := r.want["guarded_limit"]
					p := ConformityProbability(v, r.in["rel_u"]*v, r.in["limit"], math.Inf(1))
					below := v - 1
					q := ConformityProbability(below, r.in["rel_u"]*below, r.in["limit"], math.Inf(1))
					if p < r.in["prob"] || q >= r.in["prob"] {
						t.Errorf("at %g the limit is passed with %g, at %g with %g; published %g from %g", v, p, below, q, r.in["prob"], v)
					}
				default:
					close("pc", ConformityProbability(r.in["y"], r.in["u"], math.Inf(-1), r.in["usl"]))
				}
			case "resolution":
				close("u_mm", UOfResolution(r.in["resolution_mm"]))
			case "torque_unit":
				from, to := mustUnit(t, "lbf·ft"), mustUnit(t, "N·m")
				for _, end := range []string{"min", "max"} {
					close("torque_Nm_"+end, to.FromBase(from.ToBase(r.in["torque_lbft_"+end])))
				}
			case "gum":
				gumRow(t, r, close)
			default:
				t.Fatalf("no test for topic %s", r.topic)
			}
		})
	}
}

// zone decides as an inspection would: inside all limits, outside one, or
// neither, with U = 2 u and k = 2.
func zone(r publishedRow) string {
	y, isY := r.in["y"]
	lo, hasLo := r.in["lsl"]
	hi, hasHi := r.in["usl"]
	if !isY { // a deviation against a maximum permissible error of either sign
		y, lo, hi, hasLo, hasHi = r.in["deviation"], -r.in["limit"], r.in["limit"], true, true
	}
	n := Reading(y, Term{1, r.in["U"] / 2})
	conforms := truth.True
	if hasLo {
		conforms = truth.And(conforms, Compare(Ge, n, Exact(lo), GuardISO14253Of1998).Truth)
	}
	if hasHi {
		conforms = truth.And(conforms, Compare(Le, n, Exact(hi), GuardISO14253Of1998).Truth)
	}
	return map[truth.Truth]string{truth.True: "conforming", truth.False: "nonconforming", truth.Unknown: "uncertain"}[conforms]
}

func gumRow(t *testing.T, r publishedRow, close func(string, float64)) {
	switch r.id {
	case "gum_h1_d":
		n := Exact(215).Add(Reading(0, Term{1, r.in["u_d0"]})).Add(Reading(0, Term{2, r.in["u_d1"]})).Add(Reading(0, Term{3, r.in["u_d2"]}))
		close("u_d", n.U())
	case "gum_h1_second_order":
		// The end-gauge example of JCGM 100:2008, H.1 (inputs from memory):
		// l = ls + d − ls(δα·θ + αs·δθ), lengths in nm. The published first-order
		// value is 31.7 nm (32 rounded); second-order terms, which we do not
		// take, give 34.
		in := []Number{
			Reading(50.000623e6, Term{1, 25}),
			Reading(215, Term{2, 9.7}),
			Reading(0, Term{3, 0.58e-6}),
			Reading(-0.1, Term{4, 0.41}),
			Reading(11.5e-6, Term{5, 1.2e-6}),
			Reading(0, Term{6, 0.029}),
		}
		l, ok := Propagate(in, func(x []float64) (float64, bool) {
			return x[0] + x[1] - x[0]*(x[2]*x[3]+x[4]*x[5]), true
		})
		if !ok {
			t.Fatal("not propagated")
		}
		if got, want := l.U(), r.in["first_order_uc_nm"]; math.Abs(got-want) > 0.1 {
			t.Errorf("u = %.2f nm, published first-order value %g nm", got, want)
		}
		if math.Abs(l.U()-r.want["uc_nm"]) < r.tol["uc_nm"] {
			t.Error("the second-order value came out: the package comment says first order")
		}
		if math.Abs(l.Lo-50.000838e6) > 0.5 {
			t.Errorf("l = %.1f nm, published 50.000838 mm", l.Lo)
		}
	case "gum_h1_dtheta":
		close("u_C", UOfRectangular(r.in["half_width_C"]))
	case "gum_h1_dalpha", "gum_h1_alphas":
		close("u", UOfRectangular(r.in["half_width"]))
	case "gum_h1_arcsine":
		close("u_C", UOfArcsine(r.in["amplitude_C"]))
	case "mic_cert":
		close("u_mm", UOfExpanded(r.in["U_mm"], r.in["k"]))
	case "mic_comb":
		n := Reading(20, Term{1, r.in["u1_mm"]}, Term{2, r.in["u2_mm"]}, Term{3, r.in["u3_mm"]})
		close("uc_mm", n.U())
		close("U_mm", 2*n.U())
	case "d445_zone":
		n := Reading(100, Term{1, r.in["site_sd_pct"]}, Term{2, UOfExpanded(r.in["U_pct"], r.in["k"])})
		z := r.in["factor"] * n.U()
		close("zone_pct", z)
		close("low", 33.98*(1-z/100))
		close("high", 33.98*(1+z/100))
	default:
		t.Fatalf("no test for row %s", r.id)
	}
}

func mustUnit(t testing.TB, symbol string) *Unit {
	t.Helper()
	u, err := UnitOf(symbol)
	if err != nil {
		t.Fatalf("%s: %v", symbol, err)
	}
	return u
}
