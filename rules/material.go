package rules

import (
	"slices"
	"strings"

	"whyworn/facts"
	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Codes of materials and temperatures.
var (
	UnknownMaterial = source.Declare("unknown-material", "a material is none of those whose expansion is known")
	BadTemperature  = source.Declare("bad-temperature", "a temperature is not one at which sizes are brought to 20 °C")
	NoMaterial      = source.Declare("no-material", "a reading has a temperature, and nobody says what the part or the instrument is made of")
)

// materials is what parts are made of: those of one place go before those of
// its kind.
type materials struct {
	kinds  map[*vocab.Kind]made
	places map[int32]made
}

type made struct {
	of gauge.Material
	at source.Span
}

// Material is what a part is made of; false if the machine file does not say.
func (l *Layout) Material(part int32) (gauge.Material, bool) {
	m, ok := l.made.places[part]
	if !ok {
		m, ok = l.made.kinds[l.Parts[part].Kind]
	}
	return m.of, ok
}

func material(w facts.Word, what string, ps *source.Problems) (gauge.Material, bool) {
	m, ok := gauge.MaterialOf(w.Text)
	if !ok && w.Text != "" {
		var ids []string
		for _, m := range gauge.Materials() {
			ids = append(ids, m.ID)
		}
		ps.Addf(UnknownMaterial, w.At, "%s: the expansion of %q is not known", what, w.Text).DidYouMean(w.Text, ids).
			Hint("materials are %s", strings.Join(ids, ", "))
	}
	return m, ok
}

// materials reads the [[material]] tables.
func (d *declarer) materials() {
	l := d.l
	l.made = materials{map[*vocab.Kind]made{}, map[int32]made{}}
	for i := range l.Machine.Materials {
		m := &l.Machine.Materials[i]
		of, ok := material(m.Is, "material", d.ps)
		k := d.kind(m.Kind)
		if k == nil || !ok {
			continue
		}
		part, placed := d.placeOf("material", k, m.Place)
		if !placed {
			continue
		}
		is := made{of, m.At}
		old, twice := l.made.kinds[k]
		if part >= 0 {
			old, twice = l.made.places[part]
			l.made.places[part] = is
		} else {
			l.made.kinds[k] = is
		}
		if twice {
			d.ps.Addf(TwoLimits, m.At, "material: %s has two materials", m.Kind.Text).Beside(old.at, "the other one").
				Hint("one of them is of another place: add place = \"…\"")
		}
	}
}

const lowestTemp, highestTemp = 273.15, 373.15 // 0 to 100 °C, the domain of gauge.Correct

// temperature reads a temperature of a part or an instrument. A range is taken
// as equally likely all along (JCGM 100:2008, 4.3.7), its source still to be
// named by the caller. False if there is a problem.
func temperature(n *written.Node, ps *source.Problems) (value, u float64, ok bool) {
	t, ok := quantity(n, celsius, ps)
	switch {
	case !ok:
		return 0, 0, false
	case !t.IsBounded():
		ps.Addf(BadTemperature, n.At, "%s is open to one side, so that sizes cannot be brought to 20 °C", n.Text).
			Hint("give both ends: \"33 to 37 °C\"")
		return 0, 0, false
	case t.Lo < lowestTemp || t.Hi > highestTemp:
		ps.Addf(BadTemperature, n.At, "sizes are brought to 20 °C from 0 to 100 °C, this is %s", n.Text).
			Hint("let the part come nearer to room temperature and measure again")
		return 0, 0, false
	}
	return (t.Lo + t.Hi) / 2, measure.UOfRectangular((t.Hi - t.Lo) / 2), true
}

// thermal is what brings the readings of an answer to 20 °C: of the part, and of
// the instrument. nil: at 20 °C, or nothing is known of it.
func (x *Fitter) thermal(of int32, a *said, t *tool) (part, tool *gauge.Thermal) {
	if n := a.answer.Temp; n != nil {
		value, u, ok := temperature(n, x.ps)
		m, known := x.l.Material(of)
		switch {
		case !ok:
		case value == gauge.ReferenceTemperature && u == 0:
		case a.prop.Unit == nil || a.prop.Unit.Dim != millimetre.Dim:
			x.ps.Addf(BadTemperature, n.At, "%s is no length, so that a temperature changes nothing", a.prop.Label()).Hint("leave it out").Warn()
		case !known:
			k := x.l.Parts[of].Kind
			if !slices.Contains(x.warm, k) {
				x.warm = append(x.warm, k)
				x.ps.Addf(NoMaterial, n.At, "the machine file does not say what a %s is made of: its readings are taken as they stand, not brought to 20 °C", k.Name).
					Hint("add to the machine file: [[material]] kind = %q is = \"steel\" from = \"…\"", k.ID).Warn()
			}
		default:
			part = m.At(x.degrees(value, u, of, a.prop), x.expansion(m))
		}
	}
	if t != nil && t.warm && t.dim == millimetre.Dim {
		tool = t.material.At(t.temp, x.expansion(t.material))
	}
	return part, tool
}

// degrees is a temperature with its own source of uncertainty.
func (x *Fitter) degrees(value, u float64, part int32, p *vocab.Property) measure.Number {
	if u == 0 {
		return measure.Exact(value)
	}
	x.f.Uncertainties = append(x.f.Uncertainties, Uncertainty{Part: part, Prop: p, Thermometer: true})
	return measure.Reading(value, measure.Term{Source: int32(len(x.f.Uncertainties) - 1), U: u})
}

// expansion is the source that all pieces of a material share.
func (x *Fitter) expansion(m gauge.Material) int32 {
	for i := range x.f.Uncertainties {
		if x.f.Uncertainties[i].Material == m.ID {
			return int32(i)
		}
	}
	x.f.Uncertainties = append(x.f.Uncertainties, Uncertainty{Material: m.ID, Part: -1})
	return int32(len(x.f.Uncertainties) - 1)
}

// warmth reads the temperature and material of an instrument.
func (x *Fitter) warmth(t *tool) {
	of := t.of
	if of.Material != nil {
		m, ok := material(facts.Word{Text: of.Material.Text, At: of.Material.At}, "tool", x.ps)
		if !ok {
			return
		}
		t.material = m
	}
	if of.Temp == nil {
		return
	}
	value, u, ok := temperature(of.Temp, x.ps)
	switch {
	case !ok || value == gauge.ReferenceTemperature && u == 0:
	case of.Material == nil:
		x.ps.Addf(NoMaterial, of.Temp.At, "the instrument %q has a temperature, and nobody says what it is made of: its readings are taken as they stand", of.Name.Text).
			Hint("add material = \"steel\"").Warn()
	default:
		t.warm, t.temp = true, x.degrees(value, u, -1, nil)
	}
}
