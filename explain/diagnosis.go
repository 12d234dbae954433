package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Diagnosis is all that one inspection answers.
type Diagnosis struct {
	Case
	Story    *Story
	Verdicts []Becomes
	Remedies []ToDo
	Open     []OpenCause
	Next     []Look
	// NotLooked are questions that neither the inspection nor the machine file
	// answers, by part.
	NotLooked []record.FactID
	// CouldNotTell are those looked at without an answer; Absent those looked
	// for and normal, on which nothing held rests; Telling those on which
	// something does.
	CouldNotTell, Absent, Telling []int // indexes in Facts.Observations
	Cautions                      []*rules.Caution
}

// Becomes is what becomes of a part, by the rules and by the person.
type Becomes struct {
	record.Verdict
	Ways      []record.Way // the rules that give it
	Untouched bool         // nobody has looked at anything of the part
	Decision  *rules.Decision
}

// ToDo is a remedy bound to parts.
type ToDo struct {
	Remedy *rules.Remedy
	Bound  []int32
}

// nextShown is how many looks a diagnosis lists.
const nextShown = 6

// Diagnose answers everything at once.
func (c *Case) Diagnose() *Diagnosis {
	d := &Diagnosis{Case: *c, Story: c.Story()}
	d.verdicts()
	d.remedies()
	looks := c.Next(0)
	d.open(looks)
	d.looked()
	d.Next = looks[:min(nextShown, len(looks))]
	return d
}

func (d *Diagnosis) verdicts() {
	touched := d.touched()
	for _, v := range d.Result.Verdicts {
		b := Becomes{Verdict: v, Untouched: !touched[v.Part] && v.Level <= vocab.InspectFurther}
		if p := d.Facts.Parts[v.Part].Kind.Property(vocab.VerdictID(v.Level)); p != nil {
			for _, w := range d.Ways(record.FactID{Part: v.Part, Prop: p}) {
				if w.State == truth.True {
					b.Ways = append(b.Ways, w)
				}
			}
		}
		for i := range d.Facts.Decisions {
			if d.Facts.Decisions[i].Part == v.Part {
				b.Decision = &d.Facts.Decisions[i]
			}
		}
		d.Verdicts = append(d.Verdicts, b)
	}
}

// touched tells of which parts something was looked at; what is not judged by
// itself, as a seat, is looked at for the parts it belongs to.
func (d *Diagnosis) touched() map[int32]bool {
	judged, touched := map[int32]bool{}, map[int32]bool{}
	for _, v := range d.Result.Verdicts {
		judged[v.Part] = true
	}
	for i := range d.Facts.Observations {
		touched[d.Facts.Observations[i].Part] = true
	}
	for n := range d.Facts.Parts {
		if touched[int32(n)] && !judged[int32(n)] {
			for _, to := range d.Facts.Layout.References(int32(n)) {
				touched[to] = true
			}
		}
	}
	return touched
}

func (d *Diagnosis) remedies() {
	seen := map[*rules.Caution]bool{}
	for _, k := range d.Pack.Shown {
		seen[k] = true
		d.Cautions = append(d.Cautions, k)
	}
	for _, m := range d.Pack.Remedies {
		for _, in := range d.due(m) {
			if in.State == truth.True {
				d.Remedies = append(d.Remedies, ToDo{m, in.Bound})
			}
		}
	}
	slices.SortStableFunc(d.Remedies, func(a, b ToDo) int {
		return cmp.Or(cmp.Compare(a.Remedy.Order, b.Remedy.Order), cmp.Compare(a.Remedy.Index, b.Remedy.Index))
	})
	for _, t := range d.Remedies {
		for _, k := range t.Remedy.Cautions {
			if !seen[k] {
				seen[k] = true
				d.Cautions = append(d.Cautions, k)
			}
		}
	}
}

func (d *Diagnosis) looked() {
	for i := range d.Facts.Observations {
		o := &d.Facts.Observations[i]
		switch {
		case o.Basis != int32(i) || o.Prop.Role != vocab.Sign:
		case o.Value.Looked == vocab.CouldNotTell:
			d.CouldNotTell = append(d.CouldNotTell, i)
		case o.Prop.Normal == 0 || o.Value.Looked != vocab.Told || o.Value.Mask&^o.Prop.Normal != 0:
		case d.Story.Bears[int32(i)]:
			d.Telling = append(d.Telling, i)
		default:
			d.Absent = append(d.Absent, i)
		}
	}
	for n := range d.Facts.Parts {
		part := &d.Facts.Parts[n]
		if part.Work != nil {
			continue
		}
		for _, p := range part.Kind.Properties {
			if p.Observable && p.Role == vocab.Sign && p.Type != vocab.Text &&
				d.Facts.Lookup(int32(n), p) == nil && d.Facts.Layout.Lookup(int32(n), p) == nil {
				d.NotLooked = append(d.NotLooked, record.FactID{Part: int32(n), Prop: p})
			}
		}
	}
}

// HowSure says how sure a finding is: "seen", "by rule", or the word and
// figure of its probability.
func HowSure(f record.Fact) string {
	switch {
	case f.Certain:
		return "by rule"
	case f.Decided || f.Probability > 0:
		return weigh.Word(f.Probability) + ", " + words.Odds(f.Probability)
	}
	return "open"
}
