package handbook

import "math"

// effectiveModulus is E* in MPa: 1/E* = (1 − ν1²)/E1 + (1 − ν2²)/E2.
func effectiveModulus(e1, nu1, e2, nu2 float64) float64 {
	return 1 / ((1-nu1*nu1)/e1 + (1-nu2*nu2)/e2)
}

// hertzPoint: ball of radius R (mm) under F (N) on E* (MPa); contact radius a
// in mm, greatest pressure p0 in MPa.
//
//	a = (3 F R / (4 E*))^(1/3),  p0 = 3 F / (2 π a²)
func hertzPoint(f, r, e float64) (a, p0 float64) {
	a = math.Cbrt(3 * f * r / (4 * e))
	return a, 3 * f / (2 * math.Pi * a * a)
}

// hertzLine: cylinder of radius R (mm) under P' (N/mm); half-width b in mm,
// greatest and mean pressure in MPa.
//
//	b = √(4 P' R / (π E*)),  p0 = √(P' E* / (π R)),  mean = π/4 p0
func hertzLine(load, r, e float64) (b, p0, mean float64) {
	b = math.Sqrt(4 * load * r / (math.Pi * e))
	p0 = math.Sqrt(load * e / (math.Pi * r))
	return b, p0, math.Pi / 4 * p0
}

func hertzEntries() []*Entry {
	radius := positive("radius", "mm", "R, effective: 1/R = 1/R1 + 1/R2, a flat counts 0").falls()
	modulus := func(name string) Param { return positive(name, "MPa", "Young's modulus").or(206000) }
	nu := func(name string) Param { return Param{Name: name, Means: "Poisson's ratio", Lo: 0, Hi: 0.5}.or(0.3) }
	elastic := []Param{modulus("modulus_1").rises(), nu("poisson_1").rises(), modulus("modulus_2").rises(), nu("poisson_2").rises()}
	cautions := []string{
		"elastic, dry, smooth: past yield (p0 about 1.6 times the yield strength for a point, from memory of textbooks) the contact flattens",
		"where a surface is worn hollow or pitted the pressure is another",
	}
	e := func(a []Arg) float64 { return effectiveModulus(a[2].Num, a[3].Num, a[4].Num, a[5].Num) }
	const domain = "R over 0, contact small against R"
	return []*Entry{
		entry(Entry{
			Name: "hertz_point", Title: "Hertz pressure of a ball on a flat, a ball or in a cup",
			Formula: "1/E* = (1 − ν1²)/E1 + (1 − ν2²)/E2;  a = (3 F R/(4 E*))^(1/3);  p0 = 3 F/(2 π a²)",
			Params:  append([]Param{positive("load", "N", "F").rises(), radius}, elastic...),
			Results: []Param{anyNumber("pressure", "MPa", "p0, greatest, in the middle"), anyNumber("radius_of_contact", "mm", "a"), anyNumber("mean", "MPa", "2/3 p0")},
			Domain:  domain, Source: "Hertz (1882), textbook problem of a 50 mm steel ball at 500 N",
			Cautions: append(cautions, "one printed worked example (ball on aluminium, a = 0.0806 mm) contradicts its own formula and is not followed"),
		}, func(a []Arg) ([]float64, error) {
			r, p := hertzPoint(a[0].Num, a[1].Num, e(a))
			if r > a[1].Num/2 {
				return nil, refuse("load", "a contact small against the radius", "the contact would be half the radius")
			}
			return []float64{p, r, 2.0 / 3 * p}, nil
		}),
		entry(Entry{
			Name: "hertz_line", Title: "Hertz pressure of a roller, cam or rocker pad along a line",
			Formula: "b = √(4 P' R/(π E*));  p0 = √(P' E*/(π R));  mean = π/4 p0",
			Params:  append([]Param{positive("load_per_length", "N/mm", "P', load over the length of contact").rises(), radius}, elastic...),
			Results: []Param{anyNumber("pressure", "MPa", "p0, greatest"), anyNumber("half_width", "mm", "b"), anyNumber("mean", "MPa", "mean over the width")},
			Domain:  domain, Source: "Hertz line contact, Mechanical Engineer's handbook form",
			Cautions: append(cautions, "one circulating copy prints 2 P' R under the root: its half-width is too small by 1.41"),
		}, func(a []Arg) ([]float64, error) {
			b, p0, mean := hertzLine(a[0].Num, a[1].Num, e(a))
			if b > a[1].Num/2 {
				return nil, refuse("load_per_length", "a contact small against the radius", "the contact would be half the radius")
			}
			return []float64{p0, b, mean}, nil
		}),
		entry(Entry{
			Name: "effective_radius", Title: "Effective radius of two surfaces in contact",
			Formula: "1/R = 1/R1 + 1/R2; hollow (cup, bore) counts negative",
			Params:  []Param{positive("radius_1", "mm", "R1, round one").rises(), anyNumber("radius_2", "mm", "R2; negative when hollow; leave out for a flat").or(0)},
			Results: []Param{anyNumber("radius", "mm", "R; a flat is taken for R2 = 0")},
			Domain:  "a hollow larger than the round one in it", Source: "Hertz (1882), textbooks",
		}, func(a []Arg) ([]float64, error) {
			r1, r2 := a[0].Num, a[1].Num
			if r2 == 0 {
				return one(r1)
			}
			if r2 < 0 && -r2 <= r1 {
				return nil, refuse("radius_2", "a hollow larger than R1", "")
			}
			return one(1 / (1/r1 + 1/r2))
		}),
	}
}
