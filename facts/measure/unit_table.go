package measure

// One row a unit: the spelling we print, other spellings, dimension, exact
// factor to the coherent base (mm, N, s, K, degree).
//
// Sources: conversion factors that are exact by definition, NIST SP 811 (2008)
// Appendix B and the SI brochure (9th ed.): inch 25.4 mm, foot 12 in, yard 3 ft,
// mile 5280 ft; pound 0.453 592 37 kg; standard acceleration 9.806 65 m/s², so
// lbf 4.448 221 615 260 5 N and kgf 9.806 65 N; bar 100 kPa; °C and °F by their
// zero points 273.15 K and −459.67 °F.
type unitRow struct {
	symbol string
	others []string
	dim    Dim
	factor string // big.Rat text
}

var (
	dimLength   = Dim{Length: 1}
	dimForce    = Dim{Force: 1}
	dimTime     = Dim{Time: 1}
	dimRate     = Dim{Time: -1}
	dimTemp     = Dim{Temperature: 1}
	dimPressure = Dim{Length: -2, Force: 1}
	dimEnergy   = Dim{Length: 1, Force: 1}
	dimPower    = Dim{Length: 1, Force: 1, Time: -1}
	dimMass     = Dim{Length: -1, Force: 1, Time: 2}
	dimVolume   = Dim{Length: 3}
	dimKinVisc  = Dim{Length: 2, Time: -1}
	dimDynVisc  = Dim{Length: -2, Force: 1, Time: 1}
)

var unitRows = []unitRow{
	{"1", nil, Dim{}, "1"},
	{"%", []string{"percent"}, Dim{}, "1/100"},
	{"‰", nil, Dim{}, "1/1000"},
	{"ppm", nil, Dim{}, "1/1000000"},

	{"mm", nil, dimLength, "1"},
	{"µm", []string{"um", "micron", "microns"}, dimLength, "1/1000"},
	{"nm", nil, dimLength, "1/1000000"},
	{"cm", nil, dimLength, "10"},
	{"dm", nil, dimLength, "100"},
	{"m", nil, dimLength, "1000"},
	{"km", nil, dimLength, "1000000"},
	{"in", []string{"inch", "inches", `"`}, dimLength, "25.4"},
	{"thou", nil, dimLength, "0.0254"},
	{"ft", []string{"foot", "feet"}, dimLength, "304.8"},
	{"yd", nil, dimLength, "914.4"},
	{"mi", []string{"mile", "miles"}, dimLength, "1609344"},

	{"N", nil, dimForce, "1"},
	{"mN", nil, dimForce, "1/1000"},
	{"kN", nil, dimForce, "1000"},
	{"MN", nil, dimForce, "1000000"},
	{"lbf", nil, dimForce, "4.4482216152605"},
	{"ozf", nil, dimForce, "4.4482216152605/16"},
	{"kgf", []string{"kp"}, dimForce, "9.80665"},

	{"s", []string{"sec"}, dimTime, "1"},
	{"ms", nil, dimTime, "1/1000"},
	{"min", nil, dimTime, "60"},
	{"h", []string{"hr", "hour", "hours"}, dimTime, "3600"},
	{"d", []string{"day", "days"}, dimTime, "86400"},
	{"rpm", []string{"r/min", "rev/min"}, dimRate, "1/60"},
	{"Hz", nil, dimRate, "1"},

	{"K", []string{"kelvin"}, dimTemp, "1"},

	{"Pa", nil, dimPressure, "1/1000000"},
	{"hPa", nil, dimPressure, "1/10000"},
	{"kPa", nil, dimPressure, "1/1000"},
	{"MPa", nil, dimPressure, "1"},
	{"GPa", nil, dimPressure, "1000"},
	{"bar", nil, dimPressure, "1/10"},
	{"mbar", nil, dimPressure, "1/10000"},
	{"psi", []string{"lbf/in²"}, dimPressure, "4.4482216152605/645.16"},
	{"ksi", nil, dimPressure, "4448.2216152605/645.16"},

	{"J", nil, dimEnergy, "1000"},
	{"kJ", nil, dimEnergy, "1000000"},
	{"W", nil, dimPower, "1000"},
	{"kW", nil, dimPower, "1000000"},

	{"kg", nil, dimMass, "1/1000"},
	{"g", nil, dimMass, "1/1000000"},
	{"mg", nil, dimMass, "1/1000000000"},
	{"lb", []string{"lbm"}, dimMass, "0.00045359237"},

	{"l", []string{"L", "litre", "litres", "liter", "liters"}, dimVolume, "1000000"},
	{"ml", []string{"mL", "cc"}, dimVolume, "1000"},

	{"cSt", nil, dimKinVisc, "1"},
	{"St", nil, dimKinVisc, "100"},
	{"cP", nil, dimDynVisc, "1/1000000000"},
	{"mPa·s", nil, dimDynVisc, "1/1000000000"},

	{"°", []string{"deg", "degree", "degrees"}, Dim{Angle: 1}, "1"},

	{"HRC", nil, Dim{HardnessC: 1}, "1"},
	{"HB", []string{"HBW", "HBS"}, Dim{HardnessB: 1}, "1"},
	{"HV", nil, Dim{HardnessV: 1}, "1"},
}

// Points on a scale: base = (x + offset) × factor.
var pointRows = []struct {
	symbol         string
	others         []string
	factor, offset string
}{
	{"°C", []string{"degC", "deg C", "℃", "° C"}, "1", "273.15"},
	{"°F", []string{"degF", "deg F", "℉", "° F"}, "5/9", "459.67"},
}

// Compound spellings the trade runs together or the other way round.
var compoundSpellings = map[string]string{
	"Nm":     "N·m",
	"Ncm":    "N·cm",
	"Nmm":    "N·mm",
	"kNm":    "kN·m",
	"lbfft":  "lbf·ft",
	"ftlbf":  "lbf·ft",
	"ft·lbf": "lbf·ft",
	"in·lbf": "lbf·in",
	"lbfin":  "lbf·in",
	"kgfm":   "kgf·m",
	"m·kgf":  "kgf·m",
	"mph":    "mi/h",
}

// What people write and mean something else by: told, never guessed.
var meantInstead = map[string]string{
	"lb·ft": "a pound here is a mass; for torque write lbf·ft",
	"lbft":  "for torque write lbf·ft",
	"ft·lb": "a pound here is a mass; for torque write lbf·ft",
	"ftlb":  "for torque write lbf·ft",
	"lb·in": "a pound here is a mass; for torque write lbf·in",
	"in·lb": "a pound here is a mass; for torque write lbf·in",
	"lbs":   "write lb for a mass, lbf for a force",
	"kg·m":  "a kilogram is a mass; for torque write kgf·m or N·m",
	"kgm":   "a kilogram is a mass; for torque write kgf·m or N·m",
	"kg·cm": "a kilogram is a mass; for torque write kgf·cm or N·m",
	"C":     "write °C or degC",
	"F":     "write °F or degF",
	"mil":   "write thou for a thousandth of an inch, mm for a millimetre",
	"mils":  "write thou for a thousandth of an inch",
	"M":     "write m for a metre, mm for a millimetre",
	"tons":  "write kN for a force, kg for a mass",
	"HRB":   "only HRC, HB and HV are known here",
}
