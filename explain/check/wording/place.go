// Package wording says over again what an explanation should say of what holds,
// in the shapes of package said: the words for a value, a condition, a weight
// (words.go, plain.go, weight.go), and with them what a step, a way, a condition and
// a fact read tell of themselves (step.go, way.go, condition.go, reading.go).
// Start with [New] and [Words.At]. The verifier compares the two word for word:
// a word told otherwise than its value is a fault as much as a wrong value.
//
// Limits: it words in English alone, and shares no sentence with package explain:
// a wording changed there has to be changed here.
package wording

import (
	"whyworn/explain/check/anew"
	"whyworn/rules"
)

// Words is what holds of an inspection, with the words for it.
type Words struct{ *anew.World }

// New works out what holds of an inspection, to be worded.
func New(pack *rules.Pack, f *rules.Facts) Words { return Words{anew.New(pack, f)} }

// Place is where a condition is read, with the words for it.
type Place struct{ anew.Place }

// At is the place where the names of a statement are the parts bound.
func (w Words) At(bound []int32) Place { return Place{w.World.At(bound)} }
