package handbook

import (
	"math"
	"testing"

	"pgregory.net/rapid"
	"whyworn/facts/measure"
)

// usual narrows the sampling of open or very wide domains to what a bench
// meets, so that most samples satisfy the conditions between arguments too.
// Keys are "entry.argument" or "argument".
var usual = map[string][2]float64{
	"annular_flow.diameter": {5, 60}, "clearance": {1, 150}, "pressure": {0.01, 5}, "viscosity": {20, 400}, "annular_flow.length": {5, 60},
	"annular_flow_exact.bore": {20, 60}, "annular_flow_exact.shaft": {10, 60}, "annular_flow_exact.length": {100, 2000}, "pipe_flow.diameter": {0.3, 3}, "pipe_flow.length": {20, 500},
	"archard_depth.pressure": {0.1, 100}, "hardness": {100, 800}, "distance": {1, 1e6}, "load": {1, 5000},
	"hertz_point.radius": {5, 100}, "hertz_line.radius": {5, 100}, "load_per_length": {1, 500}, "modulus_1": {50000, 250000}, "modulus_2": {50000, 250000},
	"effective_radius.radius_1": {1, 50}, "effective_radius.radius_2": {-500, 500},
	"stress": {1, 1500}, "area": {1, 500}, "stress_area": {5, 500}, "torque": {0.1, 300}, "found": {1, 200}, "specified": {1, 200}, "figure": {0, 500},
	"preload": {0, 200}, "preload_max": {0, 200}, "preload_from_torque.diameter": {3, 36}, "torque_for_preload.diameter": {3, 36},
	"three_wire.diameter": {5, 40}, "three_wire.pitch": {1, 1.6}, "wire": {0.8, 1}, "pitch_error": {-50, 50}, "error_near": {-50, 50}, "error_far": {-50, 50},
	"thread_stretch.pitches": {10, 10}, "thread_stretch.length": {13.6, 16.4}, "as_made": {0, 100},
	"t1": {20, 60}, "t2": {80, 120}, "v1": {20, 500}, "viscosity_walther.v2": {3, 19}, "viscosity_walther.temperature": {0, 120}, "v40": {10, 500}, "v100": {2.5, 40},
	"viscosity_from_index.temperature": {20, 120}, "viscosity_from_index.v40": {20, 500}, "kinematic": {2, 1000}, "valve_force": {10, 2000}, "play_growth": {0, 1}, "cam_lift": {0, 15}, "valve_lift.clearance": {0, 1},
	"spring_rate.load": {1, 1000}, "deflection": {1, 50}, "load_1": {0, 500}, "load_2": {0, 2000}, "length_1": {40, 60}, "length_2": {20, 39}, "face_diameter": {5, 50}, "tappet_sag.radius": {30, 2000},
	"length": {1, 500}, "step": {0.0001, 0.1}, "bore": {10, 30}, "shaft": {9, 29}, "bore_min": {10, 15}, "bore_max": {15, 20}, "shaft_min": {5, 10}, "shaft_max": {10, 15},
	"wear": {0.01, 0.3}, "hours": {10, 5000}, "limit": {0.05, 0.5}, "u_wear": {0, 0.005}, "u_hours": {0, 50}, "u_limit": {0, 0.01},
	"shaft_feed.play": {20, 200}, "shaft_feed.play_new": {20, 60}, "spacing": {1, 200}, "shaft_feed.diameter": {10, 30}, "shaft_feed.width": {10, 40}, "arms_before_feed": {0, 0},
	"washer_set.thicknesses": {0.5, 2}, "washer_each.thicknesses": {0.5, 2}, "gap": {1, 6}, "gaps": {1, 3}, "play_min": {0.02, 0.1}, "play_max": {0.1, 0.4}, "at_most": {0, 4},
	"time": {0.01, 1000}, "times": {0.1, 100}, "hold": {1, 600},
}

// texts are samples for free text.
var texts = map[string][]string{
	"thread_stretch.thread": {"M10", "M12x1.5", "M16x1.5", "M24x1.5"},
	"thread":                {"M3", "M6", "M8", "M8x1", "M10", "M10x1.25", "M12", "M16x1.5", "M20", "M30"},
	"size":                  {"18 H7", "18 f7", "3 g6", "50 js9", "250 P7", "120 s6"}, "fit": {"18 H7/f7", "20 H7/p6", "40 H7/n6", "6 K7/h6"},
}

func sampleNumber(rt *rapid.T, e *Entry, p *Param, label string) float64 {
	lo, hi := p.Lo, p.Hi
	if u, ok := usual[e.Name+"."+p.Name]; ok {
		lo, hi = u[0], u[1]
	} else if u, ok := usual[p.Name]; ok {
		lo, hi = max(lo, u[0]), min(hi, u[1]) // a NaN bound gives NaN
		if math.IsNaN(lo) || p.Lo != p.Lo {
			lo = u[0]
		}
		if math.IsNaN(hi) || p.Hi != p.Hi {
			hi = u[1]
		}
	}
	if math.IsNaN(lo) || math.IsNaN(hi) {
		rt.Fatalf("%s.%s has an open domain and no usual range in this test", e.Name, p.Name)
	}
	if hi == lo {
		return lo
	}
	f := min(max(evenly(rapid.Uint64().Draw(rt, label)), 1e-6), 1-1e-6)
	if lo > 0 && hi/lo > 100 {
		return lo * math.Pow(hi/lo, f)
	}
	return lo + f*(hi-lo)
}

// evenly spreads a drawn number over 0 to 1: rapid alone favours small and
// simple numbers, which rarely meet the conditions between arguments.
func evenly(x uint64) float64 {
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9 // splitmix64
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	x ^= x >> 31
	return float64(x>>11) / (1 << 53)
}

func sampleArgs(rt *rapid.T, e *Entry) []Arg {
	args := make([]Arg, len(e.Params))
	n := rapid.IntRange(1, 5).Draw(rt, "list length")
	for i := range e.Params {
		p := &e.Params[i]
		switch {
		case p.Unit == "text" && p.Choices == nil:
			samples := texts[e.Name+"."+p.Name]
			if samples == nil {
				samples = texts[p.Name]
			}
			args[i].Text = rapid.SampledFrom(samples).Draw(rt, p.Name)
		case p.Unit == "text":
			args[i].Text = rapid.SampledFrom(p.Choices).Draw(rt, p.Name)
		case p.List:
			for range n {
				args[i].List = append(args[i].List, sampleNumber(rt, e, p, p.Name))
			}
		default:
			args[i].Num = sampleNumber(rt, e, p, p.Name)
		}
	}
	return args
}

// TestMonotoneFlags moves one argument at random, all others kept, and holds
// the first result against the declared direction: the engine decides partly
// known numbers by it. Of a list one member is moved. The plays when new do not
// enter the first result of shaft_feed at all, so nothing ever moves it.
func TestMonotoneFlags(t *testing.T) {
	for _, e := range All() {
		for i := range e.Params {
			p := &e.Params[i]
			if p.Monotone == 0 {
				continue
			}
			if p.Unit == "text" {
				t.Errorf("%s.%s: only a number can be monotone", e.Name, p.Name)
				continue
			}
			t.Run(e.Name+"/"+p.Name, func(t *testing.T) {
				compared, moved := 0, 0
				rapid.Check(t, func(rt *rapid.T) {
					args := sampleArgs(rt, e)
					at := &args[i].Num
					if p.List {
						at = &args[i].List[rapid.IntRange(0, len(args[i].List)-1).Draw(rt, "member")]
					}
					x, y := *at, sampleNumber(rt, e, p, "other")
					if x > y {
						x, y = y, x
					}
					*at = x
					a, err := e.Call(args)
					if err != nil {
						return
					}
					*at = y
					b, err := e.Call(args)
					if err != nil {
						return
					}
					compared++
					d := (b[0] - a[0]) * float64(p.Monotone)
					if d > 0 {
						moved++
					}
					if d < -1e-9*(math.Abs(a[0])+math.Abs(b[0])) {
						rt.Fatalf("%s from %v to %v moves %s from %v to %v against Monotone = %+d (args %v)", p.Name, x, y, e.Results[0].Name, a[0], b[0], p.Monotone, args)
					}
				})
				if compared < 10 || moved == 0 && e.Name+"."+p.Name != "shaft_feed.play_new" {
					t.Errorf("%d of 100 samples compared, %d moved: the sampling proves nothing", compared, moved)
				}
			})
		}
	}
}

// TestEntriesKeepTheirContract: any arguments of the right kinds give
// values, or an error that names the entry; list results split evenly; text
// results are indices of their words; every unit is known to measure.
func TestEntriesKeepTheirContract(t *testing.T) {
	for _, e := range All() {
		if e.Title == "" || e.Formula == "" || e.Source == "" || e.Domain == "" || len(e.Results) == 0 {
			t.Errorf("%s: title, formula, source, domain or result is missing", e.Name)
		}
		for i, p := range e.Params[min(1, len(e.Params)):] {
			if p.Default == nil && p.DefaultText == "" && (e.Params[i].Default != nil || e.Params[i].DefaultText != "") {
				t.Errorf("%s: %s is needed but stands behind %s, which is not: rules could never leave that out", e.Name, p.Name, e.Params[i].Name)
			}
		}
		lists := false
		for _, r := range e.Results {
			if lists && !r.List {
				t.Errorf("%s: result %s stands behind a list", e.Name, r.Name)
			}
			lists = r.List
		}
		for _, p := range append(append([]Param{}, e.Params...), e.Results...) {
			if p.Unit == "text" {
				continue
			}
			if u, err := measure.UnitOf(p.Unit); err != nil || p.Unit != "" && u.Symbol != p.Unit {
				t.Errorf("%s.%s: unit %q: %v, %+v", e.Name, p.Name, p.Unit, err, u)
			}
			if p.Means == "" {
				t.Errorf("%s.%s: no meaning", e.Name, p.Name)
			}
			if p.Default != nil && !p.holds(*p.Default) {
				t.Errorf("%s.%s: default %v is outside %s", e.Name, p.Name, *p.Default, p.DomainText())
			}
		}
		t.Run(e.Name, func(t *testing.T) {
			answered := 0
			rapid.Check(t, func(rt *rapid.T) {
				args := sampleArgs(rt, e)
				out, err := e.Call(args)
				if err != nil {
					if len(err.Error()) < len(e.Name) || err.Error()[:len(e.Name)] != e.Name && err.Error()[0] != '"' {
						rt.Fatalf("the error does not name the entry: %v", err)
					}
					return
				}
				answered++
				width := 0
				for k, vs := range e.Split(args, out) {
					width += len(vs)
					r := e.Results[k]
					for _, v := range vs {
						if math.IsInf(v, 0) {
							rt.Fatalf("%s is infinite", r.Name)
						}
						if r.Unit == "text" && (v != math.Trunc(v) || v < 0 || int(v) >= len(r.Choices)) {
							rt.Fatalf("%s = %v is no index of %v", r.Name, v, r.Choices)
						}
					}
				}
				if width != len(out) {
					rt.Fatalf("%d values, results take %d", len(out), width)
				}
			})
			if answered == 0 {
				t.Errorf("no sample was answered")
			}
		})
	}
}

// TestOutsideIsRefused: just outside every bound of every argument there is an
// *OutOfDomain naming the argument, whatever the others are.
func TestOutsideIsRefused(t *testing.T) {
	for _, e := range All() {
		for i := range e.Params {
			p := &e.Params[i]
			if p.Unit == "text" {
				continue
			}
			rapid.Check(t, func(rt *rapid.T) {
				args := sampleArgs(rt, e)
				far := rapid.Float64Range(1e-6, 1e6).Draw(rt, "beyond")
				outs := []float64{math.NaN(), math.Inf(1), math.Inf(-1)}
				if !math.IsNaN(p.Lo) {
					outs = append(outs, p.Lo-far*max(1, math.Abs(p.Lo)))
					if p.LoOut {
						outs = append(outs, p.Lo)
					}
				}
				if !math.IsNaN(p.Hi) {
					outs = append(outs, p.Hi+far*max(1, math.Abs(p.Hi)))
				}
				bad := rapid.SampledFrom(outs).Draw(rt, "bad")
				if p.List {
					args[i].List[0] = bad
				} else {
					args[i].Num = bad
				}
				_, err := e.Call(args)
				o, ok := err.(*OutOfDomain)
				if !ok || o.Param != p.Name || o.Entry != e.Name || o.Value == "" || o.Domain == "" {
					rt.Fatalf("%s.%s = %v: %v", e.Name, p.Name, bad, err)
				}
			})
		}
	}
}
