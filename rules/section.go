package rules

import (
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// BadSection is the code of a section that cannot be drawn from what it names.
var BadSection = source.Declare("bad-section", "a section names what cannot be drawn: no size, no angle, no side")

// Section says what the drawing of a shaft in its bore shows beside their readings.
type Section struct {
	Shaft, Bore Surface
	Load        *vocab.Property // of the kind of shaft or bore: the angle at which load presses the two together; nil: not told
	At          source.Span
}

// Surface is one of the two surfaces of a section.
type Surface struct {
	Size  *vocab.Property // the readings, with the angles of their columns
	Worn  *vocab.Property // a choice that tells the worn side as it was seen; nil: not told
	Sides map[int]float64 // by rank of a choice of Worn, the angle it names in degrees; the others name no one side
	Depth *vocab.Property // a number: how deep it is worn; nil: not told
}

// section reads one [[section]].
func (l *loader) section(n *written.Node) *Section {
	r := written.Open(n, &l.ps, "section")
	s := &Section{At: r.Place()}
	shaft, bore := r.Table("shaft", written.Required), r.Table("bore", written.Required)
	load := r.Table("load")
	r.Close()
	if shaft == nil || bore == nil {
		return nil
	}
	s.Shaft, s.Bore = l.surface(shaft, "section, shaft"), l.surface(bore, "section, bore")
	if s.Shaft.Size == nil || s.Bore.Size == nil {
		return nil
	}
	if s.Shaft.Size.Layout.Inside || !s.Bore.Size.Layout.Inside {
		l.ps.Addf(BadSection, s.At, "section: %s is to lie inside %s, and their layouts do not say so", s.Shaft.Size.Label(), s.Bore.Size.Label()).
			Hint("the layout of the bore, and of it alone, has inside = true")
		return nil
	}
	if load != nil {
		s.Load = l.loadOf(s, load)
	}
	return s
}

// surface reads one side of a section; without a size it is past mending.
func (l *loader) surface(n *written.Node, what string) (s Surface) {
	r := written.Open(n, &l.ps, what)
	kind, size := r.Text("kind", written.Required), r.Text("property", written.Required)
	worn, depth, sides := r.Text("worn"), r.Text("depth"), r.Table("sides")
	r.Close()
	k := l.kind(kind)
	if k == nil {
		return s
	}
	s.Size = l.sectionProperty(what, k, size, "a size with the angles of its readings", func(p *vocab.Property) bool {
		return p.Type == vocab.Size && len(p.Layout.Across) > 0
	})
	s.Worn = l.sectionProperty(what, k, worn, "a choice", func(p *vocab.Property) bool { return p.Type == vocab.Choice })
	s.Depth = l.sectionProperty(what, k, depth, "a number of the unit of its readings", func(p *vocab.Property) bool {
		return p.Type == vocab.Number && p.Unit != nil && (s.Size == nil || p.Unit.Dim == s.Size.Unit.Dim)
	})
	switch {
	case worn == nil && sides != nil:
		l.ps.Addf(BadSection, sides.At, "%s: sides without \"worn\"", what).Hint("worn names the choice whose answers are sides")
	case worn != nil && sides == nil:
		l.ps.Addf(BadSection, worn.At, "%s: worn without \"sides\"", what).Hint("sides = { toward_head = 0 } gives the angle of each answer that is one side")
	case s.Worn != nil:
		s.Sides = l.sides(s.Worn, sides, what)
	}
	return s
}

func (l *loader) sides(p *vocab.Property, n *written.Node, what string) map[int]float64 {
	out := map[int]float64{}
	for _, e := range n.Entries {
		i := p.Choice(e.Name)
		if i < 0 {
			l.ps.Addf(BadSection, e.At, "%s: %q is no answer of %s", what, e.Name, p.Label()).DidYouMean(e.Name, p.Choices)
			continue
		}
		v, ok := e.Value.Float()
		if !ok || v < 0 || v >= 360 {
			l.ps.Addf(BadSection, e.Value.At, "%s: a side is an angle in degrees, from 0 to below 360", what)
			continue
		}
		out[i] = v
	}
	return out
}

// loadOf reads where the load presses; nil with a problem if that is no angle of
// either surface.
func (l *loader) loadOf(s *Section, n *written.Node) *vocab.Property {
	r := written.Open(n, &l.ps, "section, load")
	kind, property := r.Text("kind", written.Required), r.Text("property", written.Required)
	r.Close()
	k := l.kind(kind)
	if k == nil {
		return nil
	}
	if k != s.Shaft.Size.Kind && k != s.Bore.Size.Kind {
		l.ps.Addf(BadSection, kind.At, "section, load: a %s is neither the shaft nor the bore", k.Name)
		return nil
	}
	degree, _ := measure.UnitOf("deg")
	return l.sectionProperty("section, load", k, property, "an angle", func(p *vocab.Property) bool {
		return p.Type == vocab.Number && p.Unit != nil && p.Unit.Dim == degree.Dim
	})
}

// sectionProperty finds a property that a section names; nil where it names none.
func (l *loader) sectionProperty(what string, k *vocab.Kind, n *written.Node, takes string, is func(*vocab.Property) bool) *vocab.Property {
	if n == nil {
		return nil
	}
	p := k.Property(n.Text)
	switch {
	case p == nil:
		l.ps.Addf(BadSection, n.At, "%s: a %s has no property %q", what, k.Name, n.Text).DidYouMean(n.Text, PropertyIDs(k))
	case !is(p):
		l.ps.Addf(BadSection, n.At, "%s: %s is not %s", what, p.Label(), takes)
	default:
		return p
	}
	return nil
}
