package explain

import (
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Survey is what was found station by station along a part.
type Survey struct {
	Along    string
	Part     int32
	Stations []string
	Parts    []int32 // the station's own part, by station
	Rows     []SurveyRow
}

// SurveyRow is one property at every station.
type SurveyRow struct {
	Name  string
	Prop  *vocab.Property
	Cells []string
	Parts []int32 // by station, -1 = none there
	Whose string  // of a row that tells how the numbers above stand to a limit: whose it is
}

// Surveys lists, for every picture of the pack and every part it runs along,
// the properties that are out of the ordinary at one station at least, at all.
func (c *Case) Surveys() []Survey {
	var out []Survey
	for _, pic := range c.Pack.Pictures {
		for i, part := range c.Facts.OfKind[pic.Along.Index] {
			stations := c.Facts.List(pic.Stations, int32(i))
			if len(stations) == 0 {
				continue
			}
			s := Survey{Along: c.PartName(part), Part: part, Parts: stations}
			for _, st := range stations {
				s.Stations = append(s.Stations, c.stationName(st))
			}
			for _, column := range c.columnsAt(stations, pic.Along) {
				s.Rows = append(s.Rows, c.surveyRows(column)...)
			}
			if len(s.Rows) > 0 {
				out = append(out, s)
			}
		}
	}
	return out
}

func (c *Case) stationName(part int32) string {
	p := &c.Facts.Parts[part]
	if p.Row != "" {
		return strings.ReplaceAll(p.Row, "_", " ")
	}
	return p.Name
}

// columnsAt lists the parts at the stations: first those themselves, then those
// of each kind that refers to exactly one of them.
func (c *Case) columnsAt(stations []int32, along *vocab.Kind) [][]int32 {
	out := [][]int32{stations}
	at := map[int32]int{}
	for i, s := range stations {
		at[s] = i
	}
	kind := c.Facts.Parts[stations[0]].Kind
	for _, k := range c.Pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if p.Type != vocab.Part || p.To != kind || k == along {
				continue
			}
			column := slices.Repeat([]int32{-1}, len(stations))
			some := false
			for ord, to := range c.Facts.Ref(p) {
				if i, ok := at[to]; ok && column[i] < 0 {
					column[i] = c.Facts.OfKind[k.Index][ord]
					some = true
				}
			}
			if some && k != kind {
				out = append(out, column)
			}
			break // the first reference of a kind is the one it sits by
		}
	}
	return out
}

// surveyRows makes a row for each property worth a row, of one part a station.
func (c *Case) surveyRows(parts []int32) []SurveyRow {
	var kind *vocab.Kind
	for _, p := range parts {
		if p >= 0 {
			kind = c.Facts.Parts[p].Kind
		}
	}
	var out []SurveyRow
	for _, p := range kind.Properties {
		switch {
		case p.Role == vocab.Sign && (p.Type == vocab.Choice || p.Type == vocab.YesNo):
			if r, worth := c.signRow(parts, p); worth {
				out = append(out, r)
			}
		case p.Role == vocab.Computed || p.Role == vocab.Sign && p.Type == vocab.Number:
			out = append(out, c.numberRows(parts, p)...)
		}
	}
	return out
}

func (c *Case) signRow(parts []int32, p *vocab.Property) (SurveyRow, bool) {
	r := SurveyRow{Name: p.Name, Prop: p, Parts: parts}
	worth := false
	for _, part := range parts {
		cell := "-"
		if part >= 0 {
			if o := c.Facts.Lookup(part, p); o != nil {
				cell = c.Observed(o)
				if o.Value.Looked == vocab.CouldNotTell {
					cell = "?"
				}
				worth = worth || outsideNormal(o)
			}
		}
		r.Cells = append(r.Cells, cell)
	}
	return r, worth
}

// numberRows makes a row of the numbers, and one for each limit they have.
func (c *Case) numberRows(parts []int32, p *vocab.Property) []SurveyRow {
	r := SurveyRow{Name: p.Name + unitWords(p), Prop: p, Parts: parts}
	some := false
	for _, part := range parts {
		cell := "-"
		if part >= 0 {
			if text, ok := c.Figure(part, p); ok {
				cell = strings.TrimSuffix(text, " "+p.Unit.Symbol)
				some = true
			}
		}
		r.Cells = append(r.Cells, cell)
	}
	if !some {
		return nil
	}
	out := []SurveyRow{r}
	limited := false
	for _, b := range []vocab.Bound{vocab.Least, vocab.Most} {
		if row, ok := c.limitRow(parts, p, b); ok {
			out = append(out, row)
			limited = true
			if chance, given := c.chanceRow(parts, p, b); given {
				out = append(out, chance)
			}
		}
	}
	if !limited {
		return nil
	}
	return out
}

func (c *Case) limitRow(parts []int32, p *vocab.Property, b vocab.Bound) (SurveyRow, bool) {
	r := SurveyRow{Prop: p, Parts: parts}
	var limit, whose string
	for _, part := range parts {
		cell := "-"
		if part >= 0 {
			if v, w, ok := c.Limit(part, p, b); ok {
				limit, whose = c.PropertyValue(p.Kind.BoundOf(p, b), &v), w
				cell = c.AgainstLimit(part, p, b)
			}
		}
		r.Cells = append(r.Cells, cell)
	}
	word := "most"
	if b == vocab.Least {
		word = "least"
	}
	r.Name = word + " " + limit
	r.Whose = whose
	return r, limit != ""
}

func unitWords(p *vocab.Property) string {
	if p.Unit == nil || p.Unit.Symbol == "1" {
		return ""
	}
	return ", " + p.Unit.Symbol
}

// AgainstLimit tells whether a number keeps its limit: inside, OVER, UNDER or
// UNDECIDED at the uncertainty of the readings.
func (c *Case) AgainstLimit(part int32, p *vocab.Property, b vocab.Bound) string {
	s, ok := c.Stands(part, p, b)
	switch {
	case !ok:
		return "-"
	case s.Decision == truth.False:
		return s.Word()
	}
	return strings.ToUpper(s.Word())
}

// chanceRow tells beside the decisions how probable it is that each number keeps
// its limit; false if no reading has an uncertainty.
func (c *Case) chanceRow(parts []int32, p *vocab.Property, b vocab.Bound) (SurveyRow, bool) {
	r := SurveyRow{Name: "  that it is kept", Prop: p, Parts: parts}
	some := false
	for _, part := range parts {
		cell := "-"
		if part >= 0 {
			if s, ok := c.Stands(part, p, b); ok && s.Given {
				cell, some = words.Odds(s.Keeps), true
			}
		}
		r.Cells = append(r.Cells, cell)
	}
	return r, some
}

// ObservationWords tells one observation: "seat 2ex: heat tint blue (photo 3)".
func (c *Case) ObservationWords(i int) string {
	o := &c.Facts.Observations[i]
	text := c.PartName(o.Part) + ": " + o.Prop.Name + " " + c.Observed(o)
	if o.Prop.Type == vocab.Size && o.Answer != nil && o.Answer.Is != nil {
		text = c.PartName(o.Part) + ": " + o.Prop.Name + " " + o.Answer.Is.Text
	}
	if a := o.Answer; a != nil {
		for _, more := range []struct{ word, text string }{{"by ", a.By}, {"at ", a.Where}, {"photo ", a.Photo}, {"", a.Sure}} {
			if more.text != "" {
				text += ", " + more.word + more.text
			}
		}
	}
	return text
}

// SignAsItCame words the sign of a decided clue as it came out: of a choice what it
// was, of what is known not to hold that it does not.
func (c *Case) SignAsItCame(w *record.Way) string { return c.signWords(w) }

// ReachWords tells what else a piece of work reached.
func (c *Case) ReachWords(r Reach) string {
	w := c.Facts.Parts[r.Work].Work
	text := c.PartName(r.Work)
	if w != nil && w.Note != "" {
		text += " (" + w.Note + ")"
	}
	if len(r.Places) > 0 {
		text += " was done on " + c.Together(r.Places) + " as well"
	}
	return text + ": look wherever the same hands did the same"
}

// DoNotRun lists what must be so before the machine runs again.
func (d *Diagnosis) DoNotRun() []string {
	var out []string
	for _, t := range d.Remedies {
		if t.Remedy.DoNotRunUntil != nil {
			if s := d.Say(t.Remedy.DoNotRunUntil, t.Bound); !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// Answers counts what people wrote down.
func (d *Diagnosis) Answers() int {
	n := 0
	for i := range d.Facts.Observations {
		if d.Facts.Observations[i].Basis == int32(i) {
			n++
		}
	}
	return n
}

// AskWhy proposes the question that leads on from here.
func (d *Diagnosis) AskWhy() string {
	for _, k := range d.Story.Chains {
		for _, f := range k.Findings {
			return "whyworn why " + d.Facts.Inspection.File.Name + " " + d.FactID(f.FactID)
		}
	}
	return ""
}
