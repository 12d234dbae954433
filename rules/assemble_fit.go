package rules

import (
	"strings"

	"whyworn/facts"
	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/rules/vocab"
)

// LimitAgainstNew is the code of a limit that new parts do not keep.
var LimitAgainstNew = source.Declare("limit-against-new", "a limit lies where new parts lie, by their size when new or their fit")

// fit enters a pair such as 18 H7/f7: the sizes of hole and shaft when new, and
// their clearance.
func (d *declarer) fit(f *facts.Fit) {
	if f.Is == nil {
		return
	}
	t, err := handbook.Fit(f.Is.Text)
	if err != nil {
		message, hint, _ := strings.Cut(err.Error(), "\nhint: ")
		q := d.ps.Addf(BadNumber, f.Is.At, "fit: %s", message)
		if hint != "" {
			q.Hint("%s", hint)
		}
		return
	}
	from := byISO286(f.From, f.Is.Text)
	for _, side := range []struct {
		name   string
		of     *facts.Named
		lo, hi float64
	}{
		{"hole", &f.Hole, t.Hole.Lower, t.Hole.Upper}, {"shaft", &f.Shaft, t.Shaft.Lower, t.Shaft.Upper}, {"clearance", &f.Clearance, t.MinClearance, t.MaxClearance},
	} {
		n := side.of
		if n.Kind.Text == "" || n.Property.Text == "" {
			continue
		}
		what := "fit, " + side.name
		k := d.l.Pack.Vocabulary.Kind(n.Kind.Text)
		if k == nil {
			d.kind(n.Kind)
			continue
		}
		part, placed := d.placeOf(what, k, n.Place)
		p := k.Property(n.Property.Text)
		if p == nil {
			unknownProperty(d.ps, n.Property, k, func(p *vocab.Property) bool { return len(bounded(k, p, vocab.New)) > 0 })
			continue
		}
		props := bounded(k, p, vocab.New)
		switch {
		case props == nil || p.Unit == nil || p.Unit.Dim != millimetre.Dim:
			d.ps.Addf(BadNumber, n.Property.At, "%s: a fit gives a length, and %s is no length", what, p.Label())
		case side.name != "clearance" && p.Type == vocab.Size && p.Layout.Inside != (side.name == "hole"):
			q := d.ps.Addf(BadNumber, n.Property.At, "%s: %s is not that of a %s", what, p.Label(), side.name)
			if p.Layout.Inside {
				q.Hint("it is of a bore: write it under hole")
			} else {
				q.Hint("if it is that of a bore, its pack says so: layout = { …, inside = true }")
			}
		case placed:
			d.enter(what, part, props, measure.Between(millimetre.ToBase(side.lo), millimetre.ToBase(side.hi)), from, n.Property.At)
		}
	}
}

// againstNew tells of limits of the machine file that lie where new parts lie:
// one of the two figures is wrong, or of another part.
func (d *declarer) againstNew() {
	find := func(part int32, p *vocab.Property) (fixed, bool) {
		f, ok := d.places[FactID{part, p}]
		if !ok {
			f, ok = d.kinds[p]
		}
		return f, ok
	}
	check := func(part int32, lim fixed) {
		p := lim.prop
		if p.Bound != vocab.Most && p.Bound != vocab.Least || lim.at.File != d.l.Machine.File {
			return
		}
		bare := p.Kind.BoundOf(p.Of, vocab.New)
		if bare == nil {
			return
		}
		fresh, ok := find(part, bare)
		if !ok || fresh.at.File != d.l.Machine.File {
			return
		}
		n, limit, word := fresh.value.Number, lim.value.Number.Lo, "at most"
		some, all := n.Hi > limit, n.Lo > limit
		if p.Bound == vocab.Least {
			word, some, all = "at least", n.Lo < limit, n.Hi < limit
		}
		if !some || measure.Equalish(limit, n.Lo, 0) && measure.Equalish(limit, n.Hi, 0) {
			return
		}
		say := func(n measure.Number) string { return measure.Format(n, p.Of.Unit, measure.Shortest) }
		q := d.ps.Addf(LimitAgainstNew, lim.at, "limit: %s is %s %s, and new it is %s", p.Of.Label(), word, say(lim.value.Number), say(n)).
			Beside(fresh.at, "the size when new").Hint("one of the two figures is wrong, or of another part")
		if !all {
			q.Warn()
		}
	}
	for _, f := range d.kinds {
		check(-1, f)
	}
	for id, f := range d.places {
		check(id.Part, f)
	}
}
