package note

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain/draw"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// section draws the shaft in its bore where the worst number over its limit, else
// one that nobody can tell, was worked out of one size of each.
func (w *writer) section() {
	for _, a := range w.limits() {
		if a.prop.Role != vocab.Computed || a.result == draw.Inside {
			continue
		}
		shaft, bore := w.sizesBehind(record.FactID{Part: a.part, Prop: a.prop})
		if shaft == nil || bore == nil {
			continue
		}
		if s := w.sectionOf(&a, shaft, bore); s != nil {
			w.figure(s.Draw())
			return
		}
	}
}

// sectionOf is the section of two sizes; nil if the angles of their readings are
// not known.
func (w *writer) sectionOf(a *against, shaft, bore *rules.Measured) *draw.Section {
	s := &draw.Section{Unit: a.prop.Unit.Symbol, Title: sentence(w.partOf(shaft)) + " in " + w.partOf(bore) + ", cut across"}
	s.Shaft, s.Bore = w.round(shaft, false), w.round(bore, true)
	if len(s.Shaft.Readings) == 0 || len(s.Bore.Readings) == 0 {
		return nil
	}
	play := a.prop.Unit.FromBase(a.value.Number.Lo)
	s.Play, s.PlayText = &play, w.number(a.prop, &a.value)+", "+a.allowed()+" allowed"
	inner, outer := w.measuredAt(shaft), w.measuredAt(bore)
	kind := inner.Prop.Kind
	s.ZeroAt, s.SeenFrom = kind.AngleZero, kind.SeenFrom
	for _, c := range w.d.Pack.Sections {
		if c.Shaft.Size != inner.Prop || c.Bore.Size != outer.Prop {
			continue
		}
		if c.Load != nil {
			part := outer.Part
			if c.Load.Kind == kind {
				part = inner.Part
			}
			s.Load = w.pressing(record.FactID{Part: part, Prop: c.Load})
		}
		w.worn(s, &c.Shaft, shaft, false)
		w.worn(s, &c.Bore, bore, true)
		break
	}
	return s
}

// pressing is where the load presses; nil if it is not known, or only as a range.
func (w *writer) pressing(id record.FactID) *draw.Pressing {
	v, ok := w.d.Result.Value(id.Part, id.Prop)
	if !ok || v.Looked != vocab.Told || !v.Number.IsValue() {
		return nil
	}
	p := &draw.Pressing{Angle: id.Prop.Unit.FromBase(v.Number.Lo)}
	for _, way := range w.d.Ways(id) {
		if r := way.Rule; r != nil && way.State == truth.True && r.Because != nil {
			p.Text = strings.TrimPrefix(w.d.Say(r.Because, way.Bound), w.d.PartName(id.Part)+": ")
			break
		}
	}
	return p
}

// worn enters which side of a surface is worn: as it was seen, else as its
// readings show it, else that nobody knows.
func (w *writer) worn(s *draw.Section, c *rules.Surface, m *rules.Measured, bore bool) {
	o := w.measuredAt(m)
	name := w.d.PartName(o.Part)
	note := func(text string) { s.Notes = append(s.Notes, sentence(text)+".") }
	side := draw.WornSide{OnBore: bore}
	var seen *rules.Observation
	if c.Worn != nil {
		seen = w.d.Facts.Lookup(o.Part, c.Worn)
	}
	switch {
	case seen != nil && seen.Value.Looked == vocab.Told:
		angles, all := sidesSeen(c, seen)
		if !all { // none, or no one side
			note(name + ", " + c.Worn.Name + ": " + w.d.Observed(seen))
			return
		}
		side.Angle, side.Or, side.Text = angles[0], angles[1:], "seen "+w.d.Observed(seen)
		if off := awry(m, angles); off != "" {
			note("the diameters of " + name + " say otherwise: " + off)
		}
	case m.Size.WornSideKnown:
		side.Angle = middle(m)
		side.Text = "by its diameters"
		if o.Prop.Layout.Diameters() {
			side.Or = []float64{side.Angle + 180}
			side.Text = "by its diameters, which are the same from either side"
		}
	default:
		note("which side of " + name + " is worn is not known: " + m.Size.WornSideReason.String())
		return
	}
	if c.Depth != nil {
		if v, ok := w.d.Result.Value(o.Part, c.Depth); ok && v.Looked == vocab.Told && v.Number.IsValue() && v.Number.Lo > 0 {
			depth := o.Prop.Unit.FromBase(v.Number.Lo)
			side.Depth, side.DepthText = &depth, w.number(c.Depth, &v)
		}
	}
	s.Worn = append(s.Worn, side)
}

// sidesSeen are the angles of the sides that an observation leaves possible; false
// if one of its answers names no one side.
func sidesSeen(c *rules.Surface, o *rules.Observation) (angles []float64, all bool) {
	for i := range c.Worn.Choices {
		if o.Value.Mask&(1<<i) == 0 {
			continue
		}
		a, ok := c.Sides[i]
		if !ok {
			return nil, false
		}
		angles = append(angles, a)
	}
	return angles, len(angles) > 0
}

// middle of the worn side as readings show it, in degrees.
func middle(m *rules.Measured) float64 {
	return math.Mod((m.Size.WornSide.Lo+m.Size.WornSide.Hi)/2, 360)
}

// awry says where readings show the worn side, if that is off every side seen by
// more than half the step between their angles; else "".
func awry(m *rules.Measured, seen []float64) string {
	angles := m.Readings.Layout.Angles
	if !m.Size.WornSideKnown || len(angles) < 2 {
		return ""
	}
	at := middle(m)
	turn := 360.0
	if w := slices.Max(angles); w < 180 {
		turn = 180
	}
	for _, a := range seen {
		d := math.Mod(math.Abs(a-at), turn)
		if min(d, turn-d) <= turn/float64(len(angles))/2 {
			return ""
		}
	}
	if turn == 180 {
		return fmt.Sprintf("they show wear through %g° and %g°", math.Round(at), math.Round(at+180))
	}
	return fmt.Sprintf("they show wear at %g°", math.Round(at))
}

func (w *writer) measuredAt(m *rules.Measured) *rules.Observation {
	return &w.d.Facts.Observations[m.Observation]
}

func (w *writer) partOf(m *rules.Measured) string {
	return w.d.PartName(w.measuredAt(m).Part)
}

// sizesBehind finds the two sizes that a number was worked out of: what is larger
// goes round the other.
func (w *writer) sizesBehind(id record.FactID) (shaft, bore *rules.Measured) {
	var found []*rules.Measured
	var walk func(n *record.Seen)
	walk = func(n *record.Seen) {
		for _, r := range n.Reads {
			for i := range w.d.Facts.Sizes {
				m := &w.d.Facts.Sizes[i]
				if o := w.measuredAt(m); o.Part == r.Part && o.Prop == r.Prop.Of && !slices.Contains(found, m) {
					found = append(found, m)
				}
			}
		}
		for i := range n.Args {
			walk(&n.Args[i])
		}
	}
	for _, way := range w.d.Ways(id) {
		if way.Rule != nil && way.State == truth.True {
			for i := range way.Sets {
				walk(&way.Sets[i])
			}
		}
	}
	if len(found) != 2 {
		return nil, nil
	}
	slices.SortFunc(found, func(a, b *rules.Measured) int { return cmp.Compare(a.Size.Mean.Lo, b.Size.Mean.Lo) })
	return found[0], found[1]
}

// round is the row of readings that lies farthest out: of a shaft the one with
// its smallest diameter, of a bore the one with its largest.
func (w *writer) round(m *rules.Measured, inside bool) draw.Round {
	o := w.measuredAt(m)
	unit, angles := o.Prop.Unit, m.Readings.Layout.Angles
	r := draw.Round{Name: w.d.PartName(o.Part)}
	if len(angles) != m.Size.Cols || len(m.Size.Readings) != m.Size.Rows*m.Size.Cols {
		return r
	}
	row, farthest := 0, math.Inf(1)
	for i, n := range m.Size.Readings {
		v := n.Lo
		if inside {
			v = -v
		}
		if v < farthest {
			row, farthest = i/m.Size.Cols, v
		}
	}
	if along := o.Prop.Layout.Along; len(along) > 1 && row < len(along) {
		r.Station = along[row]
	}
	for i, n := range m.Size.Readings[row*m.Size.Cols : (row+1)*m.Size.Cols] {
		v := vocab.Value{Looked: vocab.Told, Number: n}
		r.Readings = append(r.Readings, draw.Across{Angle: angles[i], Value: unit.FromBase(n.Lo), Text: w.number(o.Prop, &v)})
	}
	return r
}
