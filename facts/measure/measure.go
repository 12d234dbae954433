// Package measure holds units, quantities and what a reading is worth.
//
// Start with [UnitOf] and [ParseNumber], which turn what a person wrote into a
// [Number] in coherent base units, and [Compare], which decides an inequality
// only outside the guard band. [Propagate] carries uncertainty through any
// function.
//
// Limits: uncertainty is first-order, one standard uncertainty a source, and
// sources are independent of each other (JCGM 100:2008, 5.1); a partly known
// value is one interval, so a difference of one partly known value from itself
// is not zero here.
package measure

import (
	"strconv"
	"strings"
)

// Dim holds the exponents of the coherent base, in this order: length (mm),
// force (N), time (s), temperature (K), plane angle (degree), and the hardness
// scales HRC, HB and HV, which are scales of their own and convert by table
// only. The zero Dim is a plain number.
type Dim [8]int8

// Places of the base quantities in a [Dim].
const (
	Length = iota
	Force
	Time
	Temperature
	Angle
	HardnessC
	HardnessB
	HardnessV
)

var baseSymbols = [8]string{"mm", "N", "s", "K", "°", "HRC", "HB", "HV"}

// Mul is the dimension of a product. Exponents stop at ±127.
func (d Dim) Mul(e Dim) Dim {
	for i := range d {
		d[i] = clampExponent(int(d[i]) + int(e[i]))
	}
	return d
}

// Div is the dimension of a quotient. Exponents stop at ±127.
func (d Dim) Div(e Dim) Dim {
	for i := range d {
		d[i] = clampExponent(int(d[i]) - int(e[i]))
	}
	return d
}

// Pow is the dimension of the n-th power. Exponents stop at ±127.
func (d Dim) Pow(n int) Dim {
	for i := range d {
		d[i] = clampExponent(int(d[i]) * max(-127, min(127, n)))
	}
	return d
}

func clampExponent(n int) int8 { return int8(max(-127, min(127, n))) }

// IsZero tells whether d is the dimension of a plain number.
func (d Dim) IsZero() bool { return d == Dim{} }

// String is the coherent unit, such as "N·mm", "N/mm²", "1/K"; "1" for a plain
// number. [UnitOf] reads it back for exponents up to 4.
func (d Dim) String() string {
	var over, under []string
	for i, n := range d {
		switch {
		case n > 0:
			over = append(over, baseSymbols[i]+superscript(int(n)))
		case n < 0:
			under = append(under, baseSymbols[i]+superscript(-int(n)))
		}
	}
	top := "1"
	if len(over) > 0 {
		top = strings.Join(over, "·")
	}
	switch len(under) {
	case 0:
		return top
	case 1:
		return top + "/" + under[0]
	}
	return top + "/(" + strings.Join(under, "·") + ")"
}

func superscript(n int) string {
	if n == 1 {
		return ""
	}
	var b strings.Builder
	for _, r := range strconv.Itoa(n) {
		if r == '-' {
			b.WriteRune('⁻')
		} else {
			b.WriteRune([]rune("⁰¹²³⁴⁵⁶⁷⁸⁹")[r-'0'])
		}
	}
	return b.String()
}

// Name is the everyday name of the quantity with its article, such as "a
// length" or "a torque or an energy"; for a dimension without one,
// "a quantity in N·mm²".
func (d Dim) Name() string {
	if n, ok := dimNames[d]; ok {
		return n
	}
	return "a quantity in " + d.String()
}

var dimNames = map[Dim]string{
	{}:                              "a plain number",
	{Length: 1}:                     "a length",
	{Length: 2}:                     "an area",
	{Length: 3}:                     "a volume",
	{Force: 1}:                      "a force",
	{Length: 1, Force: 1}:           "a torque or an energy",
	{Length: -2, Force: 1}:          "a pressure or a stress",
	{Length: -1, Force: 1}:          "a stiffness",
	{Time: 1}:                       "a time",
	{Time: -1}:                      "a rate or a speed of rotation",
	{Temperature: 1}:                "a temperature",
	{Temperature: -1}:               "an expansion coefficient",
	{Angle: 1}:                      "an angle",
	{HardnessC: 1}:                  "a Rockwell C hardness",
	{HardnessB: 1}:                  "a Brinell hardness",
	{HardnessV: 1}:                  "a Vickers hardness",
	{Length: 1, Time: -1}:           "a speed",
	{Length: 1, Time: -2}:           "an acceleration",
	{Length: 2, Time: -1}:           "a kinematic viscosity",
	{Length: 3, Time: -1}:           "a volume flow",
	{Length: -2, Force: 1, Time: 1}: "a dynamic viscosity",
	{Length: -1, Force: 1, Time: 2}: "a mass",
	{Length: -4, Force: 1, Time: 2}: "a density",
	{Length: 1, Force: 1, Time: -1}: "a power",
}
