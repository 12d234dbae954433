package rules

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"whyworn/facts"
	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Codes of measured values.
var (
	UnknownTool = source.Declare("unknown-tool", "an answer names an instrument that [tools] does not have")
	BadTool     = source.Declare("bad-tool", "what is said of an instrument does not make sense, or it cannot have measured this")
	BadReadings = source.Declare("bad-readings", "the readings of a size are not laid out as declared, or one of them cannot be read")
)

// tool is an instrument as typed. U, calibration and resolution are in base
// units of dim; 0 = not given.
type tool struct {
	of                         *facts.Tool
	dim                        measure.Dim
	given                      bool // an uncertainty is given
	u, calibration, resolution float64
	set                        *gauge.Set
	reads                      *measure.Unit
	shared                     int32 // index in Uncertainties of the calibration, -1 = not used yet
	bareTold                   bool  // that its u has no unit
	warm                       bool  // temp and material are given, and it is not at 20 °C
	temp                       measure.Number
	material                   gauge.Material
}

var celsius, _ = measure.UnitOf("°C")

func (x *Fitter) readTools() {
	for i := range x.in.Tools {
		of := &x.in.Tools[i]
		t := tool{of: of, shared: -1}
		var unit *measure.Unit
		for _, v := range [...]struct {
			name string
			node *written.Node
			to   *float64
		}{{"u", of.U, &t.u}, {"calibration", of.Calibration, &t.calibration}, {"resolution", of.Resolution, &t.resolution}} {
			if v.node == nil {
				continue
			}
			w, ok := writtenQuantity(v.node, unit, x.ps)
			switch {
			case !ok:
				continue
			case w.Unit.Point:
				x.ps.Addf(BadTool, v.node.At, "tool %q: %s is a difference, %s is a point on a scale", of.Name.Text, v.name, w.Unit.Symbol).Hint("write it in K")
				continue
			case !w.Number.IsValue() || w.Number.Lo < 0 || w.Number.Lo == 0 && v.name != "calibration":
				x.ps.Addf(BadTool, v.node.At, "tool %q: %s is one value above 0", of.Name.Text, v.name)
				continue
			}
			unit = w.Unit
			*v.to, t.given, t.dim = w.Number.Lo, true, w.Unit.Dim
		}
		if of.K != nil {
			if k, problem := x.coverage(of.K); problem != nil {
				problem.Hint("the certificate gives it beside U, most often k = 2")
			} else {
				t.calibration = measure.UOfExpanded(t.calibration, k)
			}
		}
		if of.Set != nil {
			if w, ok := writtenQuantity(of.Set, unit, x.ps); ok {
				if !w.Number.IsValue() {
					x.ps.Addf(BadTool, of.Set.At, "tool %q: the size it is set to is one value", of.Name.Text)
				} else {
					t.set = &gauge.Set{Size: w.Number, Decimals: w.Decimals, Unit: w.Unit}
					unit, t.dim = w.Unit, w.Unit.Dim
				}
			}
		}
		if of.Reads != nil {
			u, err := measure.UnitOf(of.Reads.Text)
			switch {
			case err != nil:
				numberProblem(of.Reads, err, x.ps)
			case unit != nil && u.Dim != t.dim:
				x.ps.Addf(BadTool, of.Reads.At, "tool %q: it reads %s, but the rest says %s", of.Name.Text, u.Dim.Name(), t.dim.Name())
			default:
				t.reads, t.dim = u, u.Dim
			}
		}
		x.warmth(&t)
		x.tools = append(x.tools, t)
	}
}

// tool finds an instrument by name.
func (x *Fitter) tool(name string, at source.Span) (int32, bool) {
	for i := range x.in.Tools {
		if x.in.Tools[i].Name.Text == name {
			return int32(i), true
		}
	}
	names := make([]string, len(x.in.Tools))
	for i := range x.in.Tools {
		names[i] = x.in.Tools[i].Name.Text
	}
	x.ps.Addf(UnknownTool, at, "there is no instrument %q", name).DidYouMean(name, names).
		Hint("say what it is: [tools] %s = { is = \"micrometer 0-25 mm\", u = \"0.002 mm\" }", name)
	return -1, false
}

// instrument gives the tool of an answer if it can have measured p.
func (x *Fitter) instrument(a *said) *tool {
	if a.tool < 0 {
		return nil
	}
	t := &x.tools[a.tool]
	said := t.given || t.set != nil || t.reads != nil
	bare := t.given && t.set == nil && t.reads == nil && t.dim == measure.Dim{}
	switch {
	case a.prop.Type != vocab.Number && a.prop.Type != vocab.Size:
		return nil
	case said && bare && a.prop.Unit != nil && t.dim != a.prop.Unit.Dim:
		if !t.bareTold { // once, where it is written
			t.bareTold = true
			x.ps.Addf(BadTool, t.of.U.Place(), "tool %q: u has no unit, and it measures %s", t.of.Name.Text, a.prop.Unit.Dim.Name()).
				Hint("write u = \"%s %s\"", t.of.U.Text, a.prop.Unit.Symbol)
		}
		return nil
	case said && a.prop.Unit != nil && t.dim != a.prop.Unit.Dim:
		x.ps.Addf(BadTool, a.answer.At, "the instrument %q measures %s, and %s is %s", t.of.Name.Text, t.dim.Name(), a.prop.Label(), a.prop.Unit.Dim.Name()).
			Beside(t.of.Name.At, "the instrument")
		return nil
	}
	return t
}

// calibration gives the source that all readings of a tool share.
func (x *Fitter) calibration(t *tool) int32 {
	if t.shared < 0 {
		t.shared = int32(len(x.f.Uncertainties))
		x.f.Uncertainties = append(x.f.Uncertainties, Uncertainty{Tool: t.of.Name.Text, Part: -1})
	}
	return t.shared
}

func (x *Fitter) newSource(t *tool, part int32, p *vocab.Property) int32 {
	u := Uncertainty{Part: part, Prop: p}
	if t != nil {
		u.Tool = t.of.Name.Text
	}
	x.f.Uncertainties = append(x.f.Uncertainties, u)
	return int32(len(x.f.Uncertainties) - 1)
}

// observe makes the observation of a settled answer of a part, and of a size
// those that are worked out of it.
func (x *Fitter) observe(part int32, a *said) {
	at := len(x.f.Observations)
	x.f.Observations = append(x.f.Observations, Observation{Part: part, Prop: a.prop, Value: a.value, Answer: a.answer, Basis: int32(at), ForAll: a.forAll, At: a.answer.At})
	switch {
	case a.prop.Type == vocab.Size:
		x.size(part, a, at)
	case a.prop.Type == vocab.Number && a.value.Looked == vocab.Told:
		n := x.number(part, a)
		if !x.believable(part, a, n) {
			x.f.Observations[at].Value = vocab.Value{Looked: vocab.CouldNotTell}
			return
		}
		x.f.Observations[at].Value.Number = n
	case a.prop.Bounded && a.prop.Type == vocab.Whole && a.value.Looked == vocab.Told && !x.believable(part, a, a.value.Number):
		x.f.Observations[at].Value = vocab.Value{Looked: vocab.CouldNotTell}
	}
}

// number adds the size that an instrument was set to and the uncertainty of
// the reading:
//
//	u² = u_reading²/n + step²/12
//
// n the repeats (JCGM 100:2008, 4.2.3 and F.2.2.1), beside what the calibration
// shares with the instrument's other readings.
func (x *Fitter) number(part int32, a *said) measure.Number {
	n := a.value.Number
	t := x.instrument(a)
	if t == nil {
		return x.at20(part, a, nil, n)
	}
	if t.set != nil {
		text := strings.TrimSpace(a.answer.Is.Text)
		signed := strings.HasPrefix(text, "+") || strings.HasPrefix(text, "-") || strings.HasPrefix(text, "−")
		if !n.IsValue() || !signed && n.Lo != 0 {
			x.ps.Addf(BadReadings, a.answer.At, "the instrument %q reads differences from %s, and this has no sign", t.of.Name.Text, measure.Format(t.set.Size, t.set.Unit, t.set.Decimals)).
				Hint("write the difference with its sign, as +0.02 mm")
			return n
		}
		n = t.set.Size.Add(n)
	}
	if !t.given {
		return x.at20(part, a, t, n)
	}
	terms := make([]measure.Term, 0, 2)
	if t.calibration > 0 {
		terms = append(terms, measure.Term{Source: x.calibration(t), U: t.calibration})
	}
	if u := math.Hypot(t.u/math.Sqrt(float64(max(1, a.answer.Repeats))), measure.UOfResolution(t.resolution)); u > 0 {
		terms = append(terms, measure.Term{Source: x.newSource(t, part, a.prop), U: u})
	}
	r := measure.Reading(0, terms...)
	n.Terms = r.Terms
	return x.at20(part, a, t, n)
}

// at20 brings a number that is one length to 20 °C.
func (x *Fitter) at20(part int32, a *said, t *tool, n measure.Number) measure.Number {
	warm, tool := x.thermal(part, a, t)
	if warm == nil && tool == nil {
		return n
	}
	out, err := gauge.Correct(n, warm, tool)
	if err != nil { // only what is partly known, or bounded on one side
		x.ps.Addf(BadTemperature, a.answer.At, "%v", err).Hint("give one value, or leave the temperature out")
		return n
	}
	return out
}

// size reads the readings of a size, the observation at, and adds what is worked
// out of them.
func (x *Fitter) size(part int32, a *said, at int) {
	if a.value.Looked == vocab.CouldNotTell {
		x.derived(a, at, nil)
		return
	}
	r, s, ok := x.readings(part, a)
	if !ok {
		x.f.Observations = x.f.Observations[:at]
		return
	}
	if !x.believableSize(part, a, &r) {
		x.f.Observations[at].Value = vocab.Value{Looked: vocab.CouldNotTell}
		x.derived(a, at, nil)
		return
	}
	x.f.Observations[at].Value.Text = r.Text
	x.f.Sizes = append(x.f.Sizes, Measured{Observation: int32(at), Readings: r, Size: s})
	x.derived(a, at, &x.f.Sizes[len(x.f.Sizes)-1].Size)
}

// derived adds the numbers worked out of a size, the observation of; all that are
// not known are such as could not be told.
func (x *Fitter) derived(a *said, of int, s *gauge.Size) {
	k := a.prop.Kind
	for i := range Derivations {
		at := a.prop.Index + 1 + i // they follow their size
		if at >= len(k.Properties) || k.Properties[at].Of != a.prop {
			continue
		}
		x.f.Observations = append(x.f.Observations, x.f.Observations[of])
		d := &x.f.Observations[len(x.f.Observations)-1]
		d.Prop, d.Value = k.Properties[at], vocab.Value{Looked: vocab.CouldNotTell}
		if s != nil {
			if n, ok := s.Derived(Derivations[i].ID); ok {
				d.Value = numberValue(n)
			}
		}
	}
}

// readings reads and evaluates the readings of a size.
func (x *Fitter) readings(part int32, a *said) (gauge.Readings, gauge.Size, bool) {
	p, n := a.prop, a.answer.Is
	t := x.instrument(a)
	unit := p.Unit
	c := gauge.Conditions{K: x.f.K, Inside: p.Layout.Inside, NewSource: func() int32 { return x.newSource(t, part, p) }}
	var set *gauge.Set
	if t != nil {
		set = t.set
		if t.reads != nil {
			unit = t.reads
		} else if set != nil && !unitInEach(n.Text) {
			// Bore gauges read in µm from a ring given in mm: nothing is assumed.
			x.ps.Addf(BadReadings, n.At, "the readings are differences from %s and do not say their unit", measure.Format(set.Size, set.Unit, set.Decimals)).
				Hint("write the unit after the last of them: \"… µm\"").
				Hint("or say it of the instrument: %s = { …, reads = \"µm\" }", t.of.Name.Text)
			return gauge.Readings{}, gauge.Size{}, false
		}
		if t.given {
			in := &gauge.Instrument{Resolution: t.resolution, Reading: t.u / math.Sqrt(float64(max(1, a.answer.Repeats))), Calibration: t.calibration}
			if t.calibration > 0 {
				in.Source = x.calibration(t)
			}
			c.Instrument = in
		}
	}
	c.Part, c.Tool = x.thermal(part, a, t)
	r, err := gauge.Parse(n.Text, gauge.Layout{Rows: len(p.Layout.Along), Angles: p.Layout.Across}, unit, set)
	if err == nil {
		var s gauge.Size
		if s, err = r.Evaluate(c); err == nil {
			return r, s, true
		}
	}
	q := numberProblem(n, err, x.ps)
	q.Code = BadReadings
	return gauge.Readings{}, gauge.Size{}, false
}

// unitInEach tells whether readings end in a unit, or each has its own.
func unitInEach(text string) bool {
	tokens := strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || r == '/' })
	if len(tokens) == 0 {
		return false
	}
	if r, _ := utf8.DecodeRuneInString(tokens[len(tokens)-1]); unicode.IsLetter(r) || r == 'µ' {
		return true
	}
	for _, t := range tokens {
		if strings.IndexFunc(t, func(r rune) bool { return unicode.IsLetter(r) || r == 'µ' }) < 0 {
			return false
		}
	}
	return true
}
