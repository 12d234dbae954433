package handbook

import "math"

// annularFlow is the laminar leakage through a thin annulus in m³/s:
//
//	Q = π D c³ Δp (1 + 1.5 ε²) / (12 μ L)
//
// D, c (radial clearance), L in m, Δp in Pa, μ in Pa·s, ε = eccentricity / c.
func annularFlow(d, c, dp, mu, l, ecc float64) float64 {
	return math.Pi * d * c * c * c * dp * eccentricFactor(ecc) / (12 * mu * l)
}

// eccentricFactor is the leakage of an eccentric thin annulus over that of the
// concentric one: 1 + 1.5 ε².
func eccentricFactor(ecc float64) float64 { return 1 + 1.5*ecc*ecc }

// annularFlowExact is the concentric annulus without the thin-gap
// approximation, radii a > b in m, m³/s:
//
//	Q = π Δp/(8 μ L) [a⁴ − b⁴ − (a² − b²)²/ln(a/b)]
func annularFlowExact(a, b, dp, mu, l float64) float64 {
	s := a*a - b*b
	return math.Pi * dp / (8 * mu * l) * (math.Pow(a, 4) - math.Pow(b, 4) - s*s/math.Log(a/b))
}

// pipeFlow is Hagen–Poiseuille in m³/s: Q = π d⁴ Δp / (128 μ L).
func pipeFlow(d, dp, mu, l float64) float64 { return pipeFlowOf(math.Pow(d, 4), dp, mu, l) }

// pipeFlowOf is pipeFlow where the fourth power of the diameter is at hand.
func pipeFlowOf(d4, dp, mu, l float64) float64 { return math.Pi * d4 * dp / (128 * mu * l) }

const (
	mPas     = 1e-3      // Pa·s
	mlPerMin = 1e-6 / 60 // m³/s
	millim   = 1e-3      // m
	microm   = 1e-6      // m
	barPa    = 1e5       // Pa
	laminar  = 2000      // greatest Reynolds number taken as laminar
)

// reynolds of a thin annulus, hydraulic diameter 2 c: Re = 2 ρ Q / (π D μ).
func annularReynolds(q, d, mu, density float64) float64 { return 2 * density * q / (math.Pi * d * mu) }

func annulusEntries() []*Entry {
	d := positive("diameter", "mm", "D, of shaft and bore").rises()
	c := positive("clearance", "µm", "c, radial: half the play a dial shows").rises()
	dp := num("pressure", "bar", "Δp along the gap", 0, open).rises()
	mu := positive("viscosity", "mPa·s", "μ, dynamic, at the temperature of the gap").falls()
	l := positive("length", "mm", "L, of the gap along the flow").falls()
	rho := num("density", "kg/m³", "ρ, for the Reynolds number", 600, 1300).or(870)
	ecc := Param{Name: "eccentricity", Means: "ε: 0 in the middle, 1 touching one side", Lo: 0, Hi: 1}.rises()
	source := "Merritt, Hydraulic Control Systems, thin annulus (from memory); checked by a leakage calculator's example and White, Fluid Mechanics"
	cautions := []string{
		"the third power of the clearance rules: a tenth more play leaks a third more",
		"the gap is smooth and straight; a groove worn over part of the circle leaks more than its mean clearance tells",
	}
	turbulent := func(re float64) error {
		return refuse("pressure", "laminar flow, Reynolds number up to 2000", "it would be "+number(math.Round(re))+"; the formula overstates the flow there")
	}
	return []*Entry{
		entry(Entry{
			Name: "annular_flow", Title: "Oil leaking along a shaft in its bore",
			Formula: "Q = π D c³ Δp (1 + 1.5 ε²) / (12 μ L)",
			Params:  []Param{d, c, dp, mu, l, ecc.or(0), rho},
			Results: []Param{anyNumber("flow", "ml/min", "Q"), anyNumber("reynolds", "", "Re = 2 ρ Q/(π D μ)")},
			Domain:  "thin gaps, c up to D/20, laminar flow", Source: source, Cautions: cautions,
		}, func(a []Arg) ([]float64, error) {
			D, C, M := a[0].Num*millim, a[1].Num*microm, a[3].Num*mPas
			if C > D/20 {
				return nil, refuse("clearance", "up to D/20 = "+withUnit(D/20/microm, "µm"), "annular_flow_exact holds for wide gaps")
			}
			q := annularFlow(D, C, a[2].Num*barPa, M, a[4].Num*millim, a[5].Num)
			re := annularReynolds(q, D, M, a[6].Num)
			if re > laminar {
				return nil, turbulent(re)
			}
			return []float64{q / mlPerMin, re}, nil
		}),
		entry(Entry{
			Name: "annular_flow_exact", Title: "Oil leaking through a concentric annulus of any width",
			Formula: "Q = π Δp/(8 μ L) [a⁴ − b⁴ − (a² − b²)²/ln(a/b)]",
			Params:  []Param{positive("bore", "mm", "2 a, diameter of the bore").rises(), positive("shaft", "mm", "2 b, diameter of the shaft").falls(), dp, mu, l, rho},
			Results: []Param{anyNumber("flow", "ml/min", "Q"), anyNumber("reynolds", "", "on the hydraulic diameter a − b, twice")},
			Domain:  "shaft smaller than bore, laminar flow", Source: "White, Fluid Mechanics, annulus", Cautions: cautions[1:],
		}, func(a []Arg) ([]float64, error) {
			A, B, M := a[0].Num/2*millim, a[1].Num/2*millim, a[3].Num*mPas
			if B >= A {
				return nil, refuse("shaft", "smaller than the bore", "")
			}
			if (A-B)/A < 1e-4 {
				return nil, refuse("shaft", "a gap of at least 1/10000 of the radius", "annular_flow holds for thin gaps")
			}
			q := annularFlowExact(A, B, a[2].Num*barPa, M, a[4].Num*millim)
			re := annularReynolds(q, A+B, M, a[5].Num)
			if re > laminar {
				return nil, turbulent(re)
			}
			return []float64{q / mlPerMin, re}, nil
		}),
		entry(Entry{
			Name: "annular_eccentricity", Title: "How much more leaks when the shaft lies to one side",
			Formula: "factor = 1 + 1.5 ε²",
			Params:  []Param{ecc},
			Results: []Param{anyNumber("factor", "", "over the concentric flow: 2.5 when it touches")},
			Domain:  "thin gaps, ε 0 to 1", Source: "Merritt, Hydraulic Control Systems (from memory)",
		}, func(a []Arg) ([]float64, error) { return one(eccentricFactor(a[0].Num)) }),
		entry(Entry{
			Name: "pipe_flow", Title: "Laminar flow through a round hole or pipe",
			Formula: "Q = π d⁴ Δp / (128 μ L)",
			Params:  []Param{positive("diameter", "mm", "d").rises(), dp, mu, l, rho},
			Results: []Param{anyNumber("flow", "ml/min", "Q"), anyNumber("reynolds", "", "Re = 4 ρ Q/(π d μ)")},
			Domain:  "laminar flow, Reynolds number up to 2000; L well over d, else the entry counts too", Source: "Hagen–Poiseuille law, standard textbooks",
			Cautions: []string{"the fourth power of the bore rules: half choked in diameter passes a sixteenth"},
		}, func(a []Arg) ([]float64, error) {
			D, M := a[0].Num*millim, a[2].Num*mPas
			q := pipeFlow(D, a[1].Num*barPa, M, a[3].Num*millim)
			re := 4 * a[4].Num * q / (math.Pi * D * M)
			if re > laminar {
				return nil, turbulent(re)
			}
			return []float64{q / mlPerMin, re}, nil
		}),
	}
}
