package rules

import (
	"cmp"
	"slices"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Amendment is one answer taken as otherwise: Text as an inspection writes it,
// or forgotten. Beside what people answer, a number worked out of a size or
// computed by rules may be amended: it is then taken as given.
type Amendment struct {
	Part   int32
	Prop   *vocab.Property
	Text   string
	Forget bool
}

// Amend gives the facts with some answers otherwise; f stays as it is. A
// reading keeps the instrument it was made with. Facts is nil if there are errors.
func (f *Facts) Amend(changes []Amendment) (*Facts, source.Problems) {
	var ps source.Problems
	in := *f.Inspection
	now := *f
	now.Observations, now.Sizes = nil, nil
	now.Uncertainties = slices.Clone(f.Uncertainties)
	x := &Fitter{l: f.Layout, in: &in, ps: &ps, f: &now}
	x.readTools()
	for i := range x.tools {
		for k, u := range now.Uncertainties {
			if u.Part < 0 && u.Tool == x.tools[i].of.Name.Text {
				x.tools[i].shared = int32(k)
			}
		}
	}
	if ps.HasErrors() {
		return nil, ps
	}
	gone := map[FactID]bool{}
	for i := range changes {
		k := &changes[i]
		gone[FactID{k.Part, k.Prop}] = true
		if k.Prop.Type == vocab.Size {
			for _, d := range k.Prop.Kind.Properties {
				if d.Of == k.Prop && d.Role == vocab.Derived {
					gone[FactID{k.Part, d}] = true
				}
			}
		}
		if !k.Forget {
			x.amend(f, k)
		}
	}
	if ps.HasErrors() {
		return nil, ps
	}
	x.merge(f, gone)
	return &now, ps
}

// amend reads one changed answer.
func (x *Fitter) amend(f *Facts, k *Amendment) {
	file := source.NewFile("change", []byte(k.Text))
	at := file.At(0, len(k.Text))
	n := &written.Node{Kind: written.String, Text: k.Text, At: at}
	if !k.Prop.Observable {
		v, ok := readValue(k.Prop, n, x.ps)
		if ok {
			x.f.Observations = append(x.f.Observations, Observation{Part: k.Part, Prop: k.Prop, Value: v,
				Answer: &facts.Answer{Is: n, At: at}, Basis: int32(len(x.f.Observations)), At: at})
		}
		return
	}
	if !x.read(k.Prop, n, false) {
		return
	}
	a := &x.said[len(x.said)-1]
	if a.blank {
		return
	}
	a.tool = x.toolBefore(f, k)
	if d := x.l.Lookup(k.Part, k.Prop); d != nil {
		x.fixedByMachine(k.Part, a, d)
		return
	}
	x.observe(k.Part, a)
}

// toolBefore is the instrument that the answer was made with, -1 if none.
func (x *Fitter) toolBefore(f *Facts, k *Amendment) int32 {
	find := func(o *Observation) int32 {
		name := ""
		if o != nil && o.Answer != nil {
			name = o.Answer.Tool
		}
		if o != nil && name == "" {
			for _, t := range o.Value.Number.Terms {
				name = cmp.Or(name, f.Uncertainties[t.Source].Tool)
			}
		}
		return int32(slices.IndexFunc(x.tools, func(t tool) bool { return name != "" && t.of.Name.Text == name }))
	}
	if t := find(f.Lookup(k.Part, k.Prop)); t >= 0 {
		return t
	}
	for _, d := range k.Prop.Kind.Properties {
		if d.Of == k.Prop && d.Role == vocab.Derived {
			if t := find(f.Lookup(k.Part, d)); t >= 0 {
				return t
			}
		}
	}
	return -1
}

// merge puts the old observations that stay between the new ones, and mends
// what points at them.
func (x *Fitter) merge(f *Facts, gone map[FactID]bool) {
	type from struct {
		o    Observation
		old  int32 // index before, -1 = new
		made int32 // index among the new, -1 = old
	}
	var all []from
	for i, o := range x.f.Observations {
		all = append(all, from{o, -1, int32(i)})
	}
	for i, o := range f.Observations {
		if !gone[FactID{o.Part, o.Prop}] {
			all = append(all, from{o, int32(i), -1})
		}
	}
	slices.SortStableFunc(all, func(a, b from) int {
		return cmp.Or(cmp.Compare(a.o.Part, b.o.Part), cmp.Compare(a.o.Prop.Index, b.o.Prop.Index))
	})
	oldAt, newAt := map[int32]int32{}, map[int32]int32{}
	for i, a := range all {
		if a.old >= 0 {
			oldAt[a.old] = int32(i)
		} else {
			newAt[a.made] = int32(i)
		}
	}
	x.f.Observations = make([]Observation, len(all))
	for i, a := range all {
		at := newAt
		basis := a.o.Basis
		if a.old >= 0 {
			at = oldAt
		}
		if to, ok := at[basis]; ok {
			a.o.Basis = to
		} else if basis >= 0 {
			a.o.Basis = int32(i) // its size is gone: it stands by itself
		}
		x.f.Observations[i] = a.o
	}
	sizes := x.f.Sizes
	x.f.Sizes = nil
	for _, s := range f.Sizes {
		if to, ok := oldAt[s.Observation]; ok {
			s.Observation = to
			x.f.Sizes = append(x.f.Sizes, s)
		}
	}
	for _, s := range sizes {
		s.Observation = newAt[s.Observation]
		x.f.Sizes = append(x.f.Sizes, s)
	}
	slices.SortFunc(x.f.Sizes, func(a, b Measured) int { return cmp.Compare(a.Observation, b.Observation) })
}

// With is an inspection with one observation put in, or put otherwise, as it is:
// what was measured with it does not follow. f stays as it is.
func (f *Facts) With(id FactID, v vocab.Value) *Facts {
	out := *f
	out.Observations = slices.Clone(f.Observations)
	at, found := slices.BinarySearchFunc(out.Observations, id, func(o Observation, id FactID) int {
		return FactID{Part: o.Part, Prop: o.Prop}.Compare(id)
	})
	if !found {
		for j := range out.Observations {
			if o := &out.Observations[j]; o.Basis >= int32(at) {
				o.Basis++
			}
		}
		out.Observations = slices.Insert(out.Observations, at, Observation{Part: id.Part, Prop: id.Prop})
	}
	o := &out.Observations[at]
	o.Value, o.Answer, o.Basis = v, nil, int32(at)
	return &out
}
