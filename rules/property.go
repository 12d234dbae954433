package rules

import (
	"slices"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

var propertyTypes = []string{"choice", "yes_no", "number", "whole", "size", "text", "part", "parts"}

// readProperty reads one [[property]] for each kind it is of.
func (l *loader) readProperty(n *written.Node) {
	r := written.Open(n, &l.ps, "property")
	of, id := r.Strings("of", written.Required), r.Text("id", written.Required)
	p := vocab.Property{ID: textOf(id), Name: r.String("name"), About: r.String("about"), Source: r.String("source"), Role: vocab.Sign, Observable: true, Decimals: -1}
	typ := r.Text("type")
	choices := r.Strings("choices")
	p.Ordered, _ = r.Bool("ordered")
	normal := r.Strings("normal")
	unit := r.Text("unit")
	to, reverse := r.Text("refers_to"), r.Text("reverse")
	layout := r.Table("layout")
	if d, ok := r.Int("decimals"); ok {
		p.Decimals = d
	}
	asked := l.readQuestion(r, &p)
	p.Type = l.propertyType(typ, choices, unit, to)
	p.Unit = l.unit(unit, "property")
	if p.Unit == nil && unit == nil && (p.Type == vocab.Number || p.Type == vocab.Whole) {
		p.Unit, _ = measure.UnitOf("1")
	}
	newAs := l.possible(&p, r)
	told := len(l.ps)
	r.Close()
	if len(l.ps) > told && typ == nil && choices == nil {
		normal = nil // what the misspelt key is cannot be told
	}
	if !l.name(id, "property") {
		return
	}
	l.typeKeys(&p, r, choices, unit, to)
	if p.Type == vocab.Whole {
		p.Unit, _ = measure.UnitOf("1")
	}
	l.choices(&p, choices)
	l.normal(&p, normal)
	l.layout(&p, layout)
	if p.Type == vocab.Part || p.Type == vocab.Parts {
		p.Role, p.Observable = vocab.Declared, false
		if p.To = l.kind(to); p.To == nil && to != nil {
			return
		}
	} else if len(of) != 1 || of[0].Text != "work" { // work is told, not asked for
		l.complete(&p, asked, r.Place())
	}
	for _, o := range of {
		k := l.kind(o)
		if k == nil || l.refuses(n, o.Text) {
			continue
		}
		if k.ID == "work" && p.Role == vocab.Sign {
			p.Role, p.Observable = vocab.Declared, false // told in [[work]], never asked
		}
		own := p
		if !l.add(k, &own, id.At) {
			continue
		}
		if newAs != nil {
			l.newAs = append(l.newAs, pendingNewAs{&own, newAs})
		}
		if reverse != nil && p.To != nil && l.name(reverse, "property") {
			back := &vocab.Property{ID: reverse.Text, Type: vocab.Parts, Role: vocab.Declared, To: k, Inverse: &own, OneWay: true}
			if l.add(p.To, back, reverse.At) {
				own.Inverse = back
			}
		}
		if p.Type == vocab.Size {
			l.derive(k, k.Property(p.ID))
		}
	}
}

func textOf(n *written.Node) string {
	if n == nil {
		return ""
	}
	return n.Text
}

// derive adds the numbers that facts/gauge works out of a size's readings.
func (l *loader) derive(k *vocab.Kind, size *vocab.Property) {
	degree, _ := measure.UnitOf("deg")
	for _, d := range Derivations {
		p := &vocab.Property{ID: size.ID + "_" + d.ID, Name: d.Words + " " + size.Name, Type: vocab.Number, Role: vocab.Derived, Unit: size.Unit,
			Decimals: size.Decimals, Of: size, Ask: size.Ask, Look: size.Look, Stage: size.Stage, Minutes: size.Minutes, Tool: size.Tool}
		if d.Angle {
			p.Unit = degree
		}
		l.add(k, p, size.At)
	}
}

// Derivation is one number that is worked out of readings.
type Derivation struct {
	ID, Words string
	Angle     bool // a direction in degrees
}

// Derivations of a size named diameter are diameter_largest and so on.
var Derivations = []Derivation{
	{"largest", "largest", false}, {"smallest", "smallest", false}, {"mean", "mean", false},
	{"out_of_round", "out-of-round of", false}, {"taper", "taper of", false}, {"worn_side", "worn side of", true},
}

func (l *loader) propertyType(typ *written.Node, choices []*written.Node, unit, to *written.Node) vocab.Type {
	if typ != nil {
		switch i := slices.Index(propertyTypes, typ.Text); i {
		case 0:
			return vocab.Choice
		case 1:
			return vocab.YesNo
		case 2:
			return vocab.Number
		case 3:
			return vocab.Whole
		case 4:
			return vocab.Size
		case 5:
			return vocab.Text
		case 6:
			return vocab.Part
		case 7:
			return vocab.Parts
		default:
			l.ps.Addf(UnknownType, typ.At, "property: %q is no type", typ.Text).DidYouMean(typ.Text, propertyTypes).
				Hint("types are %s", strings.Join(propertyTypes, ", "))
		}
	}
	switch {
	case choices != nil:
		return vocab.Choice
	case unit != nil:
		return vocab.Number
	case to != nil:
		return vocab.Part
	}
	return vocab.YesNo
}

// typeKeys refuses keys that do not go with the type, and asks for those that must.
func (l *loader) typeKeys(p *vocab.Property, r *written.Reader, choices []*written.Node, unit, to *written.Node) {
	takes := func(key string, has, may, must bool) {
		switch {
		case has && !may:
			l.ps.Addf(TypeMismatch, r.At(key), "property: %s of %q takes no %q", p.Type, p.ID, key)
		case !has && must:
			l.ps.Addf(TypeMismatch, r.Place(), "property: %s needs %q", p.Type, key)
		}
	}
	isPart := p.Type == vocab.Part || p.Type == vocab.Parts
	takes("choices", choices != nil, p.Type == vocab.Choice, p.Type == vocab.Choice)
	takes("unit", unit != nil, p.Type == vocab.Number || p.Type == vocab.Size, p.Type == vocab.Size)
	takes("refers_to", to != nil, isPart, p.Type == vocab.Part)
	takes("layout", r.Has("layout"), p.Type == vocab.Size, p.Type == vocab.Size)
	takes("ordered", p.Ordered, p.Type == vocab.Choice, false)
	takes("reverse", r.Has("reverse"), isPart, false)
	takes("normal", r.Has("normal"), p.Type == vocab.Choice || p.Type == vocab.YesNo, false)
}

func (l *loader) choices(p *vocab.Property, nodes []*written.Node) {
	for i, n := range nodes {
		if i == mostChoices {
			l.ps.Addf(TooManyChoices, n.At, "property: more than %d choices", mostChoices)
			return
		}
		if p.Choice(n.Text) >= 0 {
			l.ps.Addf(TwoChoices, n.At, "property: the choice %q stands here twice", n.Text)
		}
		l.name(n, "property")
		p.Choices = append(p.Choices, n.Text)
	}
}

func (l *loader) normal(p *vocab.Property, nodes []*written.Node) {
	for _, n := range nodes {
		all := p.Choices
		if p.Type == vocab.YesNo {
			all = []string{"no", "yes"}
		}
		if i := slices.Index(all, n.Text); i >= 0 {
			p.Normal |= 1 << i
		} else if len(all) > 0 {
			l.ps.Addf(NotAChoiceHere, n.At, "property: normal is %q, which is none of its choices", n.Text).DidYouMean(n.Text, all)
		}
	}
}

func (l *loader) layout(p *vocab.Property, n *written.Node) {
	if n == nil {
		return
	}
	r := written.Open(n, &l.ps, "layout")
	for _, a := range r.Strings("along", written.Required) {
		p.Layout.Along = append(p.Layout.Along, a.Text)
	}
	for _, a := range r.Array("across") {
		v, ok := a.Float()
		if !ok || v < 0 || v >= 360 {
			l.ps.Addf(BadLayout, a.At, "layout: across lists angles in degrees, from 0 to below 360")
			continue
		}
		if slices.Contains(p.Layout.Across, v) {
			l.ps.Addf(BadLayout, a.At, "layout: the angle %s stands here twice", a.Text)
		}
		p.Layout.Across = append(p.Layout.Across, v)
	}
	p.Layout.Inside, _ = r.Bool("inside")
	r.Close()
	if len(p.Layout.Along) == 0 {
		l.ps.Addf(BadLayout, n.Place(), "layout: along names at least one station along the part")
	}
}

// question tells which keys of a sign's question were there.
type question struct{ ask, look, normal, stage, minutes bool }

// readQuestion reads how a sign is asked and looked for.
func (l *loader) readQuestion(r *written.Reader, p *vocab.Property) (asked question) {
	p.Ask, p.Look, p.Tool = r.String("ask"), r.String("look"), r.String("tool")
	asked.ask, asked.look, asked.normal = r.Has("ask"), r.Has("look"), r.Has("normal")
	p.Stage, asked.stage = l.stage(r.Text("stage"))
	destroyed := r.Text("destroyed_by")
	p.DestroyedBy, p.Fleeting = l.stage(destroyed)
	if p.Fleeting && asked.stage && p.DestroyedBy <= p.Stage {
		l.ps.Addf(StageOrder, destroyed.At, "the sign is had at %q, so the work for %q cannot destroy it", p.Stage, p.DestroyedBy).
			Hint("destroyed_by is a stage after its own: %s", strings.Join(vocab.StageNames[min(int(p.Stage)+1, len(vocab.StageNames)-1):], ", "))
	}
	p.OnPaper, _ = r.Bool("on_paper")
	p.Standing, _ = r.Bool("standing")
	p.Minutes = 1
	asked.minutes = r.Has("minutes")
	if n := r.Number("minutes"); n != nil {
		v, ok := n.Float()
		if !ok || !(v > 0) || v > 100_000 {
			l.ps.Addf(BadMinutes, n.At, "minutes is a number above 0")
			v = 1
		}
		p.Minutes = v
	}
	return asked
}

func (l *loader) stage(n *written.Node) (vocab.Stage, bool) {
	if n == nil {
		return vocab.Cleaned, false
	}
	i := slices.Index(vocab.StageNames[:], n.Text)
	if i < 0 {
		l.ps.Addf(UnknownType, n.At, "%q is no stage of the strip-down", n.Text).DidYouMean(n.Text, vocab.StageNames[:]).
			Hint("stages are %s", strings.Join(vocab.StageNames[:], ", "))
		return vocab.Cleaned, true
	}
	return vocab.Stage(i), true
}

// complete warns of a sign that an apprentice could not be asked for.
func (l *loader) complete(p *vocab.Property, asked question, at source.Span) {
	var missing []string
	lacks := func(has bool, key string) {
		if !has {
			missing = append(missing, key)
		}
	}
	lacks(asked.ask, "ask")
	lacks(asked.look, "look")
	lacks(p.Normal != 0 || asked.normal || p.Type != vocab.Choice && p.Type != vocab.YesNo, "normal")
	lacks(asked.stage, "stage")
	lacks(asked.minutes, "minutes")
	if len(missing) > 0 {
		l.ps.Addf(SignIncomplete, at, "the sign %q has no %s", p.ID, strings.Join(missing, ", ")).Warn()
	}
}
