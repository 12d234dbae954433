package handbook

import "math"

// Kinematics of a rocker. Angles are in the plane of the arm, seen from the
// end the machine file names; the valve's axis away from the head is 0°.
//
// The valve spring pushes the pad end of the arm away from the head, and the
// pushrod pushes the other end the same way: the arm is pressed away from the
// head, so its bore bears on the side of the shaft toward the head. That side
// of the shaft, and of the bore, is the one that must wear.

// pivotForce adds the spring force and the pushrod force, with theta the angle
// in degrees from the valve's axis to the pushrod's: size and direction.
func pivotForce(valve, rod, theta float64) (size, direction float64) {
	s, c := math.Sincos(theta * math.Pi / 180)
	x, y := valve+rod*c, rod*s
	return math.Hypot(x, y), math.Atan2(y, x) * 180 / math.Pi
}

// angleBetween is the smaller angle between two directions, 0 to 180°.
func angleBetween(a, b float64) float64 {
	d := math.Mod(math.Abs(a-b), 360)
	return min(d, 360-d)
}

// circle brings an angle into 0 to under 360°.
func circle(a float64) float64 {
	a = math.Mod(a, 360)
	if a < 0 {
		a += 360
	}
	return a
}

func rockerEntries() []*Entry {
	ratio := Param{Name: "ratio", Means: "r, valve arm over pushrod arm; 1.5 to 1.8 is usual", Lo: 0.5, Hi: 3}
	const statics = "statics of a lever; own derivation, tested against the equilibrium of moments"
	sides := []string{"away from the head", "toward the head"}
	angle := func(name, means string) Param { return num(name, "°", means, -360, 360) }
	return []*Entry{
		entry(Entry{
			Name: "rocker_pivot_force", Title: "Force on the pivot of a rocker, its direction, and the side that must wear",
			Formula: "pushrod F_p = F_v r;  pivot F = √(F_v² + F_p² + 2 F_v F_p cos θ);  direction atan2(F_p sin θ, F_v + F_p cos θ) from the valve's axis; worn side opposite",
			Params: []Param{
				num("valve_force", "N", "F_v, spring at the lift asked for, and what the valve's mass adds", 0, open).rises(), ratio.rises(),
				num("rod_angle", "°", "θ, from the valve's axis to the pushrod's", -60, 60).or(0),
			},
			Results: []Param{
				anyNumber("pivot_force", "N", "F"), anyNumber("rod_force", "N", "F_p"), anyNumber("direction", "°", "of the push on the shaft: 0 straight away from the head"),
				anyNumber("worn_side", "°", "middle of the worn side of the shaft, 180 straight toward the head"), word("side", "worn side of shaft and bore in words", sides...),
			},
			Domain: "r 0.5 to 3, pushrod within 60° of the valve's axis; valve and pushrod square to the arm", Source: statics,
			Cautions: []string{
				"inertia left out: at speed the force at the nose of the cam is smaller, at the flanks larger",
				"for a rocker between pushrod and valve on a shaft; a finger follower or an arm pulled down loads another side",
				"a worn side that does not match is a sign of its own: misalignment, a shaft turned since, wrong assembly (worn_side_agrees)",
			},
		}, func(a []Arg) ([]float64, error) {
			fv, fp := a[0].Num, a[0].Num*a[1].Num
			f, dir := pivotForce(fv, fp, a[2].Num)
			worn := circle(180 + dir)
			side := yes(math.Cos(worn*math.Pi/180) < 0)
			if fv == 0 {
				return nil, refuse("valve_force", "over 0 N: without load there is no worn side", "")
			}
			return []float64{f, fp, dir, worn, side}, nil
		}),
		entry(Entry{
			Name: "worn_side_agrees", Title: "Whether the worn side found is the one the load wears",
			Formula: "difference round the circle = smaller angle between found and expected",
			Params:  []Param{angle("found", "middle of the worn side as measured"), angle("expected", "worn_side of rocker_pivot_force"), Param{Name: "within", Unit: "°", Means: "how near it must be", Lo: 5, Hi: 90}.or(45)},
			Results: []Param{anyNumber("difference", "°", "0 to 180"), noYes("agrees", "whether they agree")},
			Domain:  "angles seen from the same end of the shaft, 0° away from the head", Source: "definition; 45° is common practice, no source: half the arc a new arm bears on",
			Cautions: []string{
				"a shaft taken out has no mark of its own: note which way it lay before it is turned",
				"a worn side found by diameters is a line through the shaft: 0° may as well be 180°, and the difference is then the smaller of both; angle_between in rules takes that into account",
			},
		}, func(a []Arg) ([]float64, error) {
			d := angleBetween(a[0].Num, a[1].Num)
			return []float64{d, yes(d <= a[2].Num)}, nil
		}),
		entry(Entry{
			Name: "rocker_lash_drift", Title: "Valve clearance and lift lost to radial play of a rocker",
			Formula: "the pivot gives way by the growth of play Δ, the pushrod end stays: the valve end follows by Δ (1 + r);  lift lost = drift until the clearance is set again;  cam lift wasted = Δ (1 + r)/r",
			Params:  []Param{num("play_growth", "mm", "Δ, play now less play when the clearance was set", 0, 5).rises(), ratio.rises()},
			Results: []Param{anyNumber("drift", "mm", "growth of valve clearance"), anyNumber("lift_lost", "mm", "at the valve, until it is set again"), anyNumber("at_the_rod", "mm", "lift of the tappet spent on it")},
			Domain:  "small play, arms square to their loads", Source: "similar triangles about the pushrod end; own derivation, tested against coordinates",
			Cautions: []string{
				"play is the whole movement a dial shows",
				"set the clearance with the arm lifted against its loaded side, else the feeler measures play as well",
				"valve end, pad, pushrod ends and cam wear too and add up",
			},
		}, func(a []Arg) ([]float64, error) {
			d, r := a[0].Num, a[1].Num
			return []float64{d * (1 + r), d * (1 + r), d * (1 + r) / r}, nil
		}),
		entry(Entry{
			Name: "valve_lift", Title: "Valve lift from cam lift, ratio and clearance",
			Formula: "lift = r h − clearance, never below 0; ramp = clearance / r",
			Params:  []Param{num("cam_lift", "mm", "h, of the tappet", 0, 50).rises(), ratio.rises(), num("clearance", "mm", "at the valve", 0, 5).falls()},
			Results: []Param{anyNumber("lift", "mm", "of the valve"), anyNumber("ramp", "mm", "lift of the tappet before the valve moves")},
			Domain:  "rigid parts", Source: "lever law",
		}, func(a []Arg) ([]float64, error) {
			return []float64{max(0, a[1].Num*a[0].Num-a[2].Num), a[2].Num / a[1].Num}, nil
		}),
		entry(Entry{
			Name: "spring_rate", Title: "Rate of a spring from load and deflection", Formula: "k = F / δ",
			Params:  []Param{num("load", "N", "F", 0, open).rises(), positive("deflection", "mm", "δ, free length less length under F").falls()},
			Results: []Param{anyNumber("rate", "N/mm", "k")}, Domain: "helical springs of one rate", Source: "Hooke's law; Army TM 5-1940-322-24 as example",
		}, func(a []Arg) ([]float64, error) { return one(a[0].Num / a[1].Num) }),
		entry(Entry{
			Name: "spring_rate_between", Title: "Rate of a spring from two loads", Formula: "k = (F2 − F1)/(L1 − L2)",
			Params:  []Param{num("load_1", "N", "F1", 0, open).falls(), positive("length_1", "mm", "L1, the longer"), num("load_2", "N", "F2", 0, open).rises(), positive("length_2", "mm", "L2, the shorter")},
			Results: []Param{anyNumber("rate", "N/mm", "k")}, Domain: "L1 over L2", Source: "Hooke's law",
		}, func(a []Arg) ([]float64, error) {
			if a[1].Num <= a[3].Num {
				return nil, refuse("length_2", "shorter than length_1", "")
			}
			return one((a[2].Num - a[0].Num) / (a[1].Num - a[3].Num))
		}),
		entry(Entry{
			Name: "tappet_sag", Title: "Crown of a spherical tappet face", Formula: "sag = R − √(R² − d²/4), near d²/(8 R)",
			Params:  []Param{positive("face_diameter", "mm", "d").rises(), positive("radius", "mm", "R of the sphere").falls()},
			Results: []Param{anyNumber("sag", "mm", "middle above the rim")}, Domain: "d up to 2 R", Source: "geometry; a radius of 30 to 50 in is trade memory",
			Cautions: []string{"a grinder's page gives 0.00127 mm crown, trade memory forty times more: measure a new tappet of the same make (tappet_crown)"},
		}, func(a []Arg) ([]float64, error) {
			d, r := a[0].Num, a[1].Num
			if d > 2*r {
				return nil, refuse("radius", "at least half the face diameter", "")
			}
			q := d * d / 4
			return one(q / (r + math.Sqrt(r*r-q))) // no cancellation for flat faces
		}),
	}
}
