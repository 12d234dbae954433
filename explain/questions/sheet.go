// Package questions says what can be answered about a machine's parts and what a
// pack knows of them, before anything is concluded: for the inspector, what to
// look at and how to write it down; for the author of a pack, its words. Start
// with [Of].
package questions

import (
	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/frequency"
	"whyworn/rules/vocab"
)

// Sheet is all that can be answered of some kinds of parts. Its JSON is for
// programs to rely on.
type Sheet struct {
	Pack     Pack      `json:"pack"`
	Machine  string    `json:"machine,omitempty"` // its name
	Kinds    []Kind    `json:"kinds"`
	Words    []Word    `json:"words_of_frequency,omitempty"` // of a whole pack or machine
	Cautions []Caution `json:"cautions,omitempty"`           // likewise

	Whole bool `json:"-"` // nothing was picked out
}

// Pack is the pack.
type Pack struct {
	ID      string `json:"id"`
	Version string `json:"version"`
	Title   string `json:"title"`
	About   string `json:"about,omitempty"`
}

// Kind is a kind of part with what can be said of it.
type Kind struct {
	ID         string     `json:"kind"`
	Name       string     `json:"name"`
	Plural     string     `json:"plural"`
	About      string     `json:"about,omitempty"`
	Parts      []Part     `json:"parts,omitempty"` // of the machine
	Questions  []Question `json:"questions,omitempty"`
	References []Refer    `json:"references,omitempty"`
	Findings   []Finding  `json:"findings,omitempty"`
	Numbers    []Number   `json:"worked_out,omitempty"`
}

// Part is one part of a machine and where an inspection writes of it.
type Part struct {
	ID     string  `json:"part"`
	Name   string  `json:"name"`
	Table  string  `json:"table,omitempty"` // [seat]
	Line   string  `json:"line,omitempty"`  // 2ex; none where the table is the part's own
	Limits []Limit `json:"limits,omitempty"`
}

// Question is a sign: what is asked, how to look, what can be answered.
type Question struct {
	ID      string   `json:"id"`
	Name    string   `json:"name"`
	Ask     string   `json:"ask,omitempty"`
	Look    string   `json:"look,omitempty"`
	Type    string   `json:"type"`
	Choices []string `json:"choices,omitempty"` // yes and no too
	Ordered bool     `json:"ordered,omitempty"` // from the least to the most
	Normal  []string `json:"in_order,omitempty"`
	Unit    string   `json:"unit,omitempty"`
	Span    string   `json:"possible,omitempty"` // what lies outside is a slip of reading
	Along   []string `json:"along,omitempty"`    // of a size: rows of readings, parted by /
	Across  []string `json:"across,omitempty"`   // and columns
	Stage   string   `json:"stage"`
	Lost    string   `json:"lost_when,omitempty"` // the stage whose work destroys the sign
	Minutes float64  `json:"minutes"`
	Tool    string   `json:"tool,omitempty"`
	About   string   `json:"about,omitempty"`
	Source  string   `json:"source,omitempty"`
	Told    string   `json:"told,omitempty"` // the answer of the inspection, where one part is asked for
}

// Refer is a reference to another part, fixed by the machine.
type Refer struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	To   string `json:"to,omitempty"` // a kind; none: any part
	List bool   `json:"list,omitempty"`
}

// Finding is what the pack can conclude.
type Finding struct {
	ID        string  `json:"id"`
	Name      string  `json:"name"`
	Sort      string  `json:"sort"` // damage or cause
	HowCommon float64 `json:"how_common,omitempty"`
	About     string  `json:"about,omitempty"`
}

// Number is one that rules work out.
type Number struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Unit     string `json:"unit,omitempty"`
	Readable bool   `json:"may_be_read_too,omitempty"`
	About    string `json:"about,omitempty"`
}

// Limit is what is allowed, the size when new, or what belongs there.
type Limit struct {
	Property string `json:"property"`
	Bound    string `json:"bound"` // most, least, new, wanted
	Value    string `json:"value"`
	Whose    string `json:"whose,omitempty"`
}

// Word is a word of frequency and what it stands for.
type Word struct {
	Text  string  `json:"word"`
	Value float64 `json:"value"`
}

// Caution is what can hurt, and how not to be hurt.
type Caution struct {
	ID     string `json:"id"`
	Danger string `json:"danger"`
	Text   string `json:"text"`
	Source string `json:"source,omitempty"`
}

// Asked is what a sheet is made of: a pack, perhaps a machine fitted to it,
// perhaps an inspection.
type Asked struct {
	Pack   *rules.Pack
	Layout *rules.Layout // or nil
	Facts  *rules.Facts  // or nil
}

// Of makes the sheet of all kinds.
func Of(a Asked) *Sheet {
	s := &Sheet{Pack: Pack{a.Pack.ID, a.Pack.Version, a.Pack.Title, a.Pack.About}, Kinds: []Kind{}, Whole: true}
	if a.Layout != nil {
		s.Machine = a.Layout.Machine.Name
	}
	for _, k := range a.Pack.Vocabulary.Kinds {
		if kind := a.kind(k, -1); a.Layout == nil || len(kind.Parts) > 0 || k.ID == "work" {
			s.Kinds = append(s.Kinds, kind)
		}
	}
	for _, w := range frequency.All() {
		s.Words = append(s.Words, Word{w.Text, w.Value})
	}
	for _, c := range a.Pack.Cautions {
		s.Cautions = append(s.Cautions, Caution{c.ID, c.Danger, c.Text, c.Source})
	}
	return s
}

// OfOne makes the sheet of one kind or, with part 0 or more, of one part.
func OfOne(a Asked, k *vocab.Kind, part int32) *Sheet {
	s := Of(a)
	s.Words, s.Cautions, s.Whole = nil, nil, false
	s.Kinds = []Kind{a.kind(k, part)}
	return s
}

// kind tells of a kind; only is the one part that is asked for, or -1.
func (a Asked) kind(k *vocab.Kind, only int32) Kind {
	out := Kind{ID: k.ID, Name: k.Name, Plural: k.Plural, About: k.About}
	if a.Layout != nil {
		for _, n := range a.Layout.OfKind[k.Index] {
			if only < 0 || n == only {
				out.Parts = append(out.Parts, a.part(n))
			}
		}
	}
	for _, p := range k.Properties {
		switch {
		case p.Role == vocab.Sign, k.ID == "work" && p.Role == vocab.Declared && p.To == nil && p.Of == nil:
			out.Questions = append(out.Questions, a.question(p, only))
		case p.Role == vocab.Declared && (p.Type == vocab.Part || p.Type == vocab.Parts) && !p.OneWay:
			r := Refer{ID: p.ID, Name: p.Name, List: p.Type == vocab.Parts}
			if p.To != nil {
				r.To = p.To.ID
			}
			out.References = append(out.References, r)
		case p.Role == vocab.Damage:
			out.Findings = append(out.Findings, Finding{p.ID, p.Name, "damage", p.HowCommon, p.About})
		case p.Role == vocab.Cause:
			out.Findings = append(out.Findings, Finding{p.ID, p.Name, "cause", p.HowCommon, p.About})
		case p.Role == vocab.Computed:
			out.Numbers = append(out.Numbers, Number{p.ID, p.Name, unit(p), p.Observable, p.About})
		}
	}
	return out
}

func unit(p *vocab.Property) string {
	if p.Unit == nil || p.Unit.Symbol == "1" {
		return ""
	}
	return p.Unit.Symbol
}

func (a Asked) part(n int32) Part {
	p := &a.Layout.Parts[n]
	out := Part{ID: p.ID, Name: p.Name, Table: p.Table, Line: p.Row}
	for i := range a.Layout.Declared {
		o := &a.Layout.Declared[i]
		if o.Part != n || o.Prop.Bound == vocab.NoBound {
			continue
		}
		l := Limit{Property: o.Prop.Of.ID, Bound: vocab.BoundNames[o.Prop.Bound], Whose: o.Whose}
		if c := o.Value.One(); o.Prop.Type == vocab.Choice && c >= 0 {
			l.Value = o.Prop.Choices[c]
		} else {
			l.Value = measure.Format(o.Value.Number, o.Prop.Unit, measure.Shortest)
		}
		out.Limits = append(out.Limits, l)
	}
	return out
}

func (a Asked) question(p *vocab.Property, part int32) Question {
	q := Question{ID: p.ID, Name: p.Name, Ask: p.Ask, Look: p.Look, Type: p.Type.String(), Choices: p.Choices, Ordered: p.Ordered, Unit: unit(p),
		Along: p.Layout.Along, Stage: p.Stage.String(), Minutes: p.Minutes, Tool: p.Tool, About: p.About, Source: p.Source}
	if p.Type == vocab.YesNo {
		q.Choices = []string{"no", "yes"}
	}
	for i, c := range q.Choices {
		if p.Normal&(1<<i) != 0 {
			q.Normal = append(q.Normal, c)
		}
	}
	degree, _ := measure.UnitOf("deg")
	for _, x := range p.Layout.Across {
		q.Across = append(q.Across, measure.FormatValue(degree.ToBase(x), degree, measure.Shortest))
	}
	if p.Bounded {
		q.Span = measure.Format(p.Possible, p.Unit, measure.Shortest)
	}
	if p.Fleeting {
		q.Lost = p.DestroyedBy.String()
	}
	if a.Facts != nil && part >= 0 {
		if o := a.Facts.Lookup(part, p); o != nil && o.Answer != nil && o.Answer.Is != nil {
			q.Told = o.Answer.Is.Text
		}
	}
	return q
}
