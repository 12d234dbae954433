package vocab

import (
	"math/bits"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
)

// Looked says whether anybody looked, and what they could tell.
type Looked uint8

const (
	NotLooked    Looked = iota // nobody has looked at it
	CouldNotTell               // looked, could not tell
	Told                       // wholly or partly known: the value says how far
)

// Value is what is known of one property of one part. Which field counts is
// the property's Type's affair.
type Value struct {
	Looked Looked
	// Mask is the set of values that are possible: for YesNo bit 0 is no and
	// bit 1 is yes; for Choice bit i is Choices[i]. One bit set: known.
	Mask uint64
	// Number holds Number, Whole and Derived values, in coherent base units.
	Number measure.Number
	Text   string
	Ref    int32   // Part: the part's number, -1 = none
	Refs   []int32 // Parts: in ascending order
}

// Masks of a yes/no value.
const (
	No  uint64 = 1
	Yes uint64 = 2
)

// Truth is the truth of a yes/no value.
func (v *Value) Truth() truth.Truth {
	if v.Looked != Told {
		return truth.Unknown
	}
	switch v.Mask {
	case Yes:
		return truth.True
	case No:
		return truth.False
	}
	return truth.Unknown
}

// Within tells whether a choice (or yes/no) lies in set: known only if every
// possibility decides it alike.
func (v *Value) Within(set uint64) truth.Truth {
	if v.Looked != Told || v.Mask == 0 {
		return truth.Unknown
	}
	switch {
	case v.Mask&^set == 0:
		return truth.True
	case v.Mask&set == 0:
		return truth.False
	}
	return truth.Unknown
}

// One gives the rank of a wholly known choice, or -1.
func (v *Value) One() int {
	if v.Looked == Told && bits.OnesCount64(v.Mask) == 1 {
		return bits.TrailingZeros64(v.Mask)
	}
	return -1
}

// Answer is a truth as the answer to a yes/no question; the zero value if it is
// unknown.
func Answer(t truth.Truth) Value {
	switch t {
	case truth.True:
		return Value{Looked: Told, Mask: Yes}
	case truth.False:
		return Value{Looked: Told, Mask: No}
	}
	return Value{}
}

// YesOrNo names the answers to a yes/no question, as Choices names those of others.
var YesOrNo = []string{"no", "yes"}

// Possible lists the choices of a mask.
func Possible(choices []string, mask uint64) (out []string) {
	for i, c := range choices {
		if mask>>i&1 == 1 {
			out = append(out, c)
		}
	}
	return out
}
