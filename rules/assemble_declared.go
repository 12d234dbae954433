package rules

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"whyworn/facts"
	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// declarer types what the machine file fixes: limits, sizes when new, torques,
// what is wanted, numbers of places. What is said of one place goes before
// what is said of its kind, and that before the pack's common limits.
type declarer struct {
	*assembler
	number []int32 // the part of each place
	kinds  map[*vocab.Property]fixed
	places map[FactID]fixed
}

func (d *declarer) all() {
	d.kinds, d.places = map[*vocab.Property]fixed{}, map[FactID]fixed{}
	m := d.l.Machine
	for i := range m.Limits {
		lim := &m.Limits[i]
		most := d.bound("limit", lim.Kind, lim.Property, lim.Place, lim.Most, nil, vocab.Most, lim.From)
		least := d.bound("limit", lim.Kind, lim.Property, lim.Place, lim.Least, nil, vocab.Least, lim.From)
		if most != nil && least != nil && least.Lo > most.Lo && !measure.Equalish(least.Lo, most.Lo, 0) {
			d.ps.Addf(BadLimit, lim.Least.At, "limit: the least allowed is more than the most allowed").Beside(lim.Most.At, "the most")
		}
	}
	d.materials()
	for i := range m.Fits {
		d.fit(&m.Fits[i])
	}
	for i := range m.Sizes {
		s := &m.Sizes[i]
		d.bound("size", s.Kind, s.Property, s.Place, s.New, s.Fit, vocab.New, s.From)
	}
	for _, lim := range d.l.Pack.Limits {
		if _, ok := d.kinds[lim.Prop]; !ok {
			d.kinds[lim.Prop] = fixed{lim.Prop, numberValue(lim.Value.Number), lim.From, lim.At}
			d.l.asWritten(lim.Prop, &lim.Value)
		}
	}
	machine := d.l.Parts[0].Kind
	for _, line := range m.Facts {
		d.has(0, machine, line)
	}
	for i := range m.Places {
		n := d.number[i]
		if n < 0 {
			continue
		}
		k := d.l.Parts[n].Kind
		for _, line := range m.Places[i].Has {
			d.has(n, k, line)
		}
		for _, line := range m.Places[i].Wants {
			d.wants(n, k, line)
		}
	}
	d.againstNew()
	d.spread()
}

func numberValue(n measure.Number) vocab.Value { return vocab.Value{Looked: vocab.Told, Number: n} }

// bound enters a limit or a size when new; nil if there is none.
func (d *declarer) bound(what string, kind, property, place facts.Word, node, fit *written.Node, b vocab.Bound, from string) *measure.Number {
	if node == nil && fit == nil || kind.Text == "" || property.Text == "" {
		return nil
	}
	k := d.l.Pack.Vocabulary.Kind(kind.Text)
	if k == nil {
		d.kind(kind)
		return nil
	}
	part, placed := d.placeOf(what, k, place)
	p := k.Property(property.Text)
	if p == nil {
		unknownProperty(d.ps, property, k, func(p *vocab.Property) bool { return len(bounded(k, p, b)) > 0 })
		return nil
	}
	props := bounded(k, p, b)
	if props == nil {
		d.ps.Addf(BadLimit, property.At, "%s: %s is %s, only a number has one", what, p.Label(), p.Type)
		return nil
	}
	w, at, ok := d.boundValue(what, p, node, fit, b)
	if !ok || !placed {
		return nil
	}
	if fit != nil {
		from = byISO286(from, fit.Text)
	} else {
		for _, bp := range props {
			d.l.asWritten(bp, &w)
		}
	}
	d.enter(what, part, props, w.Number, from, at)
	return &w.Number
}

// byISO286 adds whose the limits of a fit are to whose the fit is.
func byISO286(from, fit string) string { return from + ", " + strings.TrimSpace(fit) + " by ISO 286" }

// enter keeps a bound for a part, or for all of a kind where part is -1.
func (d *declarer) enter(what string, part int32, props []*vocab.Property, value measure.Number, from string, at source.Span) {
	for _, bp := range props {
		v := fixed{bp, numberValue(value), from, at}
		old, twice := d.kinds[bp]
		if part >= 0 {
			old, twice = d.places[FactID{part, bp}]
			d.places[FactID{part, bp}] = v
		} else {
			d.kinds[bp] = v
		}
		if twice {
			d.ps.Addf(TwoLimits, at, "%s: %s has two values", what, bp.Label()).Beside(old.at, "the other one").
				Hint("one of them is of another place: add place = \"…\"")
			break
		}
	}
}

// placeOf resolves the one place a limit is of; -1 if it is of all.
func (d *declarer) placeOf(what string, k *vocab.Kind, place facts.Word) (int32, bool) {
	if place.Text == "" {
		return -1, true
	}
	n, ok := d.l.Find(place.Text)
	if !ok {
		d.ps.Addf(facts.UnknownPlace, place.At, "%s: %q is no place of this machine", what, place.Text).DidYouMean(place.Text, d.l.ids(k, d.ps))
		return -1, false
	}
	if pk := d.l.Parts[n].Kind; pk != k {
		d.ps.Addf(OtherKind, place.At, "%s: %q is a %s, not a %s", what, place.Text, pk.Name, k.Name)
		return -1, false
	}
	return n, true
}

// bounded lists the properties that carry a bound of p: of a size those of its
// largest, smallest and mean.
func bounded(k *vocab.Kind, p *vocab.Property, b vocab.Bound) []*vocab.Property {
	if p.Type != vocab.Size {
		if bp := k.BoundOf(p, b); bp != nil {
			return []*vocab.Property{bp}
		}
		return nil
	}
	var out []*vocab.Property
	for _, of := range [...]string{"_largest", "_smallest", "_mean"} {
		if q := k.Property(p.ID + of); q != nil {
			if bp := k.BoundOf(q, b); bp != nil {
				out = append(out, bp)
			}
		}
	}
	return out
}

func (d *declarer) boundValue(what string, p *vocab.Property, node, fit *written.Node, b vocab.Bound) (measure.Written, source.Span, bool) {
	if fit != nil {
		t, err := handbook.Tolerance(fit.Text)
		if err != nil {
			message, hint, _ := strings.Cut(err.Error(), "\nhint: ")
			q := d.ps.Addf(BadNumber, fit.At, "%s: %s", what, message)
			if hint != "" {
				q.Hint("%s", hint)
			}
			return measure.Written{}, fit.At, false
		}
		if p.Unit == nil || p.Unit.Dim != millimetre.Dim {
			d.ps.Addf(BadNumber, fit.At, "%s: a fit gives a length, and %s is no length", what, p.Label())
			return measure.Written{}, fit.At, false
		}
		return measure.Written{Number: measure.Between(millimetre.ToBase(t.Lower), millimetre.ToBase(t.Upper))}, fit.At, true
	}
	w, ok := writtenQuantity(node, p.Unit, d.ps)
	if ok && p.Type == vocab.Whole {
		ok = whole(node, w.Number, p, d.ps)
	}
	if ok && b != vocab.New && !w.Number.IsValue() {
		d.ps.Addf(BadLimit, node.At, "%s: a limit is one value", what).Hint("most = \"0.10 mm\" and least = \"0.02 mm\" give both ends")
		ok = false
	}
	return w, node.At, ok
}

var millimetre, _ = measure.UnitOf("mm")

// has enters a value that the machine fixes for one part.
func (d *declarer) has(n int32, k *vocab.Kind, line facts.Line) {
	p := k.Property(line.Property.Text)
	switch {
	case p == nil:
		unknownProperty(d.ps, line.Property, k, declarable)
		return
	case p.Type == vocab.Part || p.Type == vocab.Parts:
		d.ps.Addf(NotDeclarable, line.Property.At, "%s is a reference, which stands in refs", p.Label())
		return
	case !declarable(p):
		d.ps.Addf(NotDeclarable, line.Property.At, "a machine file cannot fix %s, which is %s", p.Label(), origin(p))
		return
	}
	d.fix(n, p, line)
}

func declarable(p *vocab.Property) bool {
	return (p.Role == vocab.Sign || p.Role == vocab.Declared) && p.ID != "found" && p.Type != vocab.Size && p.Type != vocab.Part && p.Type != vocab.Parts
}

// origin says in words where the value of a property comes from.
func origin(p *vocab.Property) string {
	switch {
	case p.Role.Concluded():
		return "concluded by rules or clues"
	case p.Role == vocab.Derived:
		return "worked out of the readings of " + p.Of.ID
	case p.Role == vocab.Computed:
		return "a number set by rules"
	case p.Type == vocab.Size:
		return "measured on the part"
	case p.Role == vocab.Declared:
		return "fixed by the machine file"
	}
	return "observed"
}

// wants enters what belongs at a place.
func (d *declarer) wants(n int32, k *vocab.Kind, line facts.Line) {
	p := k.Property(line.Property.Text)
	if p == nil {
		unknownProperty(d.ps, line.Property, k, func(p *vocab.Property) bool { return k.BoundOf(p, vocab.Wanted) != nil })
		return
	}
	w := k.BoundOf(p, vocab.Wanted)
	if w == nil {
		q := d.ps.Addf(NotDeclarable, line.Property.At, "wants takes choices, and %s is %s", p.Label(), p.Type)
		if p.Type == vocab.Number || p.Type == vocab.Whole || p.Type == vocab.Size {
			q.Hint("a size when new is a [[size]], a limit a [[limit]]")
		}
		return
	}
	d.fix(n, w, line)
}

func (d *declarer) fix(n int32, p *vocab.Property, line facts.Line) {
	v, ok := readValue(p, line.Value, d.ps)
	if !ok {
		return
	}
	if v.Looked != vocab.Told {
		d.ps.Addf(NotDeclarable, line.Value.At, "a machine file says what is; it cannot leave %s open", p.Label()).Hint("leave the line out")
		return
	}
	d.places[FactID{n, p}] = fixed{p, v, "machine file", line.Value.At}
}

// spread gives every part its values.
func (d *declarer) spread() {
	l := d.l
	for _, f := range d.kinds {
		l.fixed = append(l.fixed, f)
	}
	slices.SortFunc(l.fixed, func(a, b fixed) int {
		return cmp.Or(cmp.Compare(a.prop.Kind.Index, b.prop.Kind.Index), cmp.Compare(a.prop.Index, b.prop.Index))
	})
	for _, f := range l.fixed {
		for _, n := range l.OfKind[f.prop.Kind.Index] {
			if _, nearer := d.places[FactID{n, f.prop}]; !nearer {
				l.Declared = append(l.Declared, f.of(n))
			}
		}
	}
	for id, f := range d.places {
		l.Declared = append(l.Declared, f.of(id.Part))
	}
	slices.SortFunc(l.Declared, func(a, b Observation) int {
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Prop.Index, b.Prop.Index))
	})
}

func (f *fixed) of(n int32) Observation {
	return Observation{Part: n, Prop: f.prop, Value: f.value, Whose: f.whose, Basis: -1, At: f.at}
}

// numberProblem tells what is wrong with the text of a number, at its place.
func numberProblem(n *written.Node, err error, ps *source.Problems) *source.Problem {
	var te *measure.TextError
	if !errors.As(err, &te) {
		return ps.Addf(BadNumber, n.At, "%v", err)
	}
	p := ps.Addf(BadNumber, n.TextSpan(te.Start, te.End), "%s", te.Message)
	if te.Hint != "" {
		p.Hint("%s", te.Hint)
	}
	if te.Nearest != "" {
		p.Hint("did you mean %q?", te.Nearest)
	}
	return p
}
