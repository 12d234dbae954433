package anew

import (
	"cmp"
	"slices"

	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Amended is an inspection with some observations put in or put otherwise.
func Amended(f *rules.Facts, facts []Fact, values []vocab.Value) *rules.Facts {
	out := *f
	out.Observations = slices.Clone(f.Observations)
	for i, id := range facts {
		at, found := slices.BinarySearchFunc(out.Observations, id, func(o rules.Observation, id Fact) int {
			return cmp.Or(cmp.Compare(o.Part, id.Part), cmp.Compare(o.Prop.Index, id.Prop.Index))
		})
		if !found {
			for j := range out.Observations {
				if o := &out.Observations[j]; o.Basis >= int32(at) {
					o.Basis++
				}
			}
			out.Observations = slices.Insert(out.Observations, at, rules.Observation{Part: id.Part, Prop: id.Prop, Basis: int32(at)})
		}
		o := &out.Observations[at]
		o.Value, o.Answer, o.Basis = values[i], nil, int32(at)
	}
	return &out
}
