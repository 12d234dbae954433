package rules

import (
	"testing"

	"whyworn/rules/vocab"
)

// What stood in a line before is taken for the same name of the same kind only.
func TestPropertyOfTheLineBefore(t *testing.T) {
	v := vocab.Empty()
	one, other := &vocab.Kind{ID: "one"}, &vocab.Kind{ID: "other"}
	for _, k := range []*vocab.Kind{one, other} {
		v.AddKind(k)
		k.AddProperty(&vocab.Property{ID: "found"})
		k.AddProperty(&vocab.Property{ID: "crack"})
	}
	x := &Fitter{}
	for range 2 {
		for _, k := range v.Kinds {
			for _, id := range []string{"found", "crack", "nothing"} {
				for place := range 600 {
					if got := x.property(k, id, place); got != k.Property(id) {
						t.Fatalf("%s of %s at %d: %v", id, k.ID, place, got)
					}
				}
			}
		}
		if x.property(one, "found", 16) == x.property(other, "found", 0) { // the same room
			t.Fatal("the property of another kind was taken")
		}
	}
}
