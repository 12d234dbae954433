package measure

import (
	"math"
	"math/big"
)

// Unit is a unit of measurement with its exact rational conversion to the
// coherent base:
//
//	base = (x + offset) × factor
//
// A Unit is immutable and may be shared; [UnitOf] returns the same pointer for
// every spelling of one unit.
type Unit struct {
	Symbol string // canonical spelling, such as "µm", "N·m", "°C"; "1" for a plain number
	Dim    Dim
	Point  bool    // °C, °F: a point on a scale, not a difference
	Factor float64 // base units in one of this unit, nearest float64
	Offset float64 // added before the factor, in this unit; 0 unless Point

	factor, offset big.Rat
	mul, div       float64 // factor as mul/div where both are exact; div 0 if not
	whole          wholes
}

func newUnit(symbol string, dim Dim, factor, offset *big.Rat, point bool) *Unit {
	u := &Unit{Symbol: symbol, Dim: dim, Point: point}
	u.factor.Set(factor)
	u.offset.Set(offset)
	u.Factor, _ = u.factor.Float64()
	u.Offset, _ = u.offset.Float64()
	m, exactM := new(big.Rat).SetInt(u.factor.Num()).Float64()
	d, exactD := new(big.Rat).SetInt(u.factor.Denom()).Float64()
	if exactM && exactD && (m == 1 || d == 1) && u.offset.Sign() == 0 {
		u.mul, u.div = m, d
	}
	u.whole = u.inWholes()
	return u
}

// ToBase converts x in this unit to coherent base units, rounded once.
func (u *Unit) ToBase(x float64) float64 {
	if u.div != 0 {
		return x * u.mul / u.div // one of the two is 1
	}
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	r := new(big.Rat)
	r.SetFloat64(x)
	return u.toBase(r)
}

// toBase converts an exact decimal, so that what was written is rounded once.
func (u *Unit) toBase(x *big.Rat) float64 {
	r := new(big.Rat).Add(x, &u.offset)
	f, _ := r.Mul(r, &u.factor).Float64()
	return f
}

// FromBase converts x in coherent base units to this unit, rounded once.
func (u *Unit) FromBase(x float64) float64 {
	if u.div != 0 {
		return x * u.div / u.mul
	}
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	r := new(big.Rat)
	r.SetFloat64(x)
	r.Quo(r, &u.factor)
	f, _ := r.Sub(r, &u.offset).Float64()
	return f
}

// DifferenceToBase converts a difference or an uncertainty: the factor without
// the offset.
func (u *Unit) DifferenceToBase(x float64) float64 {
	if u.div != 0 {
		return x * u.mul / u.div
	}
	return x * u.Factor
}

// DifferenceFromBase is the inverse of DifferenceToBase.
func (u *Unit) DifferenceFromBase(x float64) float64 {
	if u.div != 0 {
		return x * u.div / u.mul
	}
	return x / u.Factor
}

// Exact returns copies of the exact factor and offset: base = (x + offset) × factor.
func (u *Unit) Exact() (factor, offset *big.Rat) {
	return new(big.Rat).Set(&u.factor), new(big.Rat).Set(&u.offset)
}

// BaseUnit is the coherent unit of a dimension: what base values are in.
func BaseUnit(d Dim) *Unit {
	return shared(newUnit(d.String(), d, big.NewRat(1, 1), new(big.Rat), false))
}
