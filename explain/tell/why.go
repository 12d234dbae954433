package tell

import (
	"fmt"
	"strings"

	"whyworn/explain/account"
	"whyworn/explain/words"
)

// Why writes an explanation step by step; what is told once is referred to by
// its number.
func Why(p *Page, x *account.Explanation) {
	if len(x.Asked) == 0 {
		p.Line("Nothing was concluded about it: there is nothing to explain.")
		return
	}
	for n := 1; n <= len(x.Steps); n++ {
		if n > 1 {
			p.Gap()
		}
		step(p, x, n)
	}
}

const columnOfSteps = 15 // where the words of a step begin

// step writes one step.
func step(p *Page, x *account.Explanation, n int) {
	s := x.At(n)
	p.Para(fmt.Sprintf("%2d  ", n), "    ", s.Name+": "+s.Answer)
	if s.Observed != nil {
		row(p, "observed", s.Observed.Value+told(s.Observed))
	}
	conclude, ruleOut := s.Rules()
	for _, w := range conclude {
		rule(p, x, s, w)
	}
	for _, w := range ruleOut {
		rule(p, x, s, w)
	}
	if len(s.Ways) == 0 && s.Sum == nil {
		row(p, "", nothing(s))
	}
	if s.Sum != nil {
		sum(p, s)
	}
	for _, l := range s.Limits {
		row(p, l.Bound, limitText(&l))
	}
	left(p, s)
	missing(p, s)
	for _, k := range s.Conflicts {
		row(p, "at odds", k)
	}
	if s.Decision != "" {
		row(p, "decided", s.Decision)
	}
	if s.Do != nil {
		doing(p, s.Do)
	}
}

func nothing(s *account.Step) string {
	switch {
	case s.Left.Unknown+s.Left.Not+s.Left.Fire > 0:
		return ""
	case s.Sort == account.SortVerdict:
		return "no rule of this pack speaks of it"
	}
	return "no rule or clue of this pack could tell"
}

func row(p *Page, label, text string) {
	if text != "" {
		p.Item("    "+label, columnOfSteps, text)
	}
}

// more writes a line that belongs to the one above.
func more(p *Page, text string) {
	if text != "" {
		p.Para(strings.Repeat(" ", columnOfSteps+2), strings.Repeat(" ", columnOfSteps+4), text)
	}
}

// ruleLabel says what a rule does here.
func ruleLabel(w *account.Way) string {
	switch {
	case w.Does == account.RulesOut && w.State == "true":
		return "ruled out"
	case w.Does == account.RulesOut:
		return "rules out?"
	case w.Does == account.Sets:
		return "worked out"
	case w.State == "true":
		return "for"
	case w.State == "false":
		return "not"
	}
	return "open"
}

// rule writes one rule with its conditions and the values beside them.
func rule(p *Page, x *account.Explanation, s *account.Step, w *account.Way) {
	label := ruleLabel(w)
	if w.Because != "" && w.State == "true" {
		row(p, label, w.Because)
		label = ""
	}
	for i := range w.If {
		c := &w.If[i]
		if w.State == "false" && c.State != "false" { // one condition that fails is enough
			continue
		}
		conditionRow(p, label, c.Comes, c)
		label = ""
	}
	if w.Sets != nil {
		conditionRow(p, label, setTo(w.Sets), w.Sets)
	}
	if w.If == nil && w.Sets == nil && w.Because == "" {
		row(p, label, "always")
	}
	for i := range w.Unless {
		switch c := &w.Unless[i]; {
		case w.State == "true" && c.State == "unknown":
			row(p, "unless", c.Plain+": "+because(c))
		case w.State != "true" && c.State == "true":
			conditionRow(p, "held back", c.Plain, c)
		case w.State == "unknown" && c.State == "unknown":
			row(p, "unless", c.Plain+": "+because(c))
		}
	}
	if w.State == "true" && w.Source != "" {
		row(p, "", "["+w.Rule+"; "+w.Source+"]")
	}
}

// setTo tells what an expression comes to, and why to nothing where its values
// do not show that.
func setTo(c *account.Cond) string {
	text := c.Plain + " = " + c.Value
	if c.Why == "out_of_domain" || c.Why == "no_member" {
		text += ": " + c.Words
	}
	return text
}

// because says why a condition is not known.
func because(c *account.Cond) string {
	if c.Words == "" {
		return "not known"
	}
	return c.Words
}

// mostValues is how many values are written under one condition.
const mostValues = 8

// conditionRow writes a condition with the values that decide it: on its own
// line where there is one, else below.
func conditionRow(p *Page, label, text string, c *account.Cond) {
	var lines []string
	for i := range c.Compared {
		if k := &c.Compared[i]; k.Decides {
			lines = append(lines, compared(k))
		}
	}
	reads := deciding(c)
	switch {
	case len(reads) == 1 && len(lines) == 1:
		lines[0] += told(reads[0])
	case len(reads) == 1 && c.AndMore == 0 && len(lines) == 0 && names(text, reads[0]):
		if strings.Contains(text, reads[0].Name) && reads[0].From == account.FromConcluded {
			text += told(reads[0])
		} else if strings.HasSuffix(text, " "+reads[0].Value) ||
			c.State == "unknown" && (reads[0].State == "unknown" || reads[0].From != account.FromObserved) {
			text += told(reads[0])
		} else {
			text += ": " + reads[0].Value + told(reads[0])
		}
	default:
		lines = append(lines, grouped(reads)...)
	}
	row(p, label, text)
	for _, l := range lines {
		more(p, l)
	}
	if c.AndMore > 0 {
		more(p, fmt.Sprintf("and %d more like it", c.AndMore))
	}
}

// names tells whether a text names the part that a value is of; of a list it
// names the list alone.
func names(text string, r *account.Read) bool {
	part, _, _ := strings.Cut(r.Name, ": ")
	return strings.Contains(text, part)
}

// deciding lists the values that decide a condition; limits are named by the
// condition itself.
func deciding(c *account.Cond) []*account.Read {
	var out []*account.Read
	for i := range c.Reads {
		if r := &c.Reads[i]; r.Decides && !isLimit(r) {
			out = append(out, r)
		}
	}
	return out
}

// grouped tells values, those that are alike in one line.
func grouped(reads []*account.Read) []string {
	var out []string
	for i := 0; i < len(reads); {
		j := i
		var names []string
		for ; j < len(reads) && reads[j].Value == reads[i].Value && told(reads[j]) == told(reads[i]); j++ {
			names = append(names, reads[j].Name)
		}
		if len(out) == mostValues {
			return append(out, fmt.Sprintf("and %d more", len(reads)-i))
		}
		if n := len(names); n > mostValues {
			names = append(names[:mostValues], fmt.Sprintf("%d more", n-mostValues))
		}
		out = append(out, strings.Join(names, "; ")+": "+reads[i].Value+told(reads[i]))
		i = j
	}
	return out
}

// isLimit tells whether a value is a limit, which the condition names already.
func isLimit(r *account.Read) bool {
	return r.From == account.FromDeclared && strings.Contains(r.Property, "(")
}

var opWords = map[string]string{"<": "under", "<=": "at most", ">": "over", ">=": "at least"}

// compared tells a comparison: both sides, how sure it is, what would decide it.
func compared(k *account.Compared) string {
	text := k.Left + ", to be " + opWords[k.Op] + " " + k.Right
	if k.State == "false" {
		text = k.Left + ", which is not " + opWords[k.Op] + " " + k.Right
	} else if k.State == "true" {
		text = k.Left + " is " + opWords[k.Op] + " " + k.Right
	}
	switch {
	case k.State == "unknown" && k.Needed != "":
		text += "; undecided, a standard uncertainty of " + k.Needed + " or less would decide"
	case k.Holds != nil && k.State == "true":
		text += "; that it is so: " + words.Odds(*k.Holds)
	case k.Holds != nil && k.State == "false":
		text += "; that it is not: " + words.Odds(1-*k.Holds)
	case k.NoU:
		text += "; no uncertainty given"
	}
	return text
}

// told says how a value came to be known.
func told(r *account.Read) string {
	if r.Step > 0 {
		return fmt.Sprintf(" (see %d)", r.Step)
	}
	var out []string
	if t := r.Told; t != nil {
		if t.Tool != "" {
			out = append(out, t.Tool)
		}
		if t.By != "" {
			out = append(out, "by "+t.By)
		}
		if t.Where != "" {
			out = append(out, t.Where)
		}
		if t.Sure != "" {
			out = append(out, "sure: "+t.Sure)
		}
		if t.Whose != "" {
			out = append(out, t.Whose)
		}
		if t.ForAll {
			out = append(out, "stated for all together")
		}
		if t.Photo != "" {
			out = append(out, "photo "+t.Photo)
		}
	}
	if r.From == account.FromNotLooked && r.Look != nil {
		switch {
		case r.Look.Past:
			out = append(out, "cannot be had any more")
		case r.Look.Minutes > 0:
			out = append(out, fmt.Sprintf("%g min", r.Look.Minutes))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return " (" + strings.Join(out, ", ") + ")"
}

func limitText(l *account.Bounded) string {
	text := l.Value.Text
	if l.Whose != "" {
		text += " (" + l.Whose + ")"
	}
	return text
}

// left says how many rules are not told.
func left(p *Page, s *account.Step) {
	var out []string
	if s.Left.Fire > 0 {
		out = append(out, fmt.Sprintf("%d more hold too", s.Left.Fire))
	}
	if s.Left.Unknown > 0 {
		out = append(out, fmt.Sprintf("%d may still hold", s.Left.Unknown))
	}
	if s.Left.Not > 0 && s.State != "true" {
		out = append(out, fmt.Sprintf("%d known not to hold", s.Left.Not))
	}
	row(p, "other rules", strings.Join(out, ", "))
}

// mostMissing is how many things not known are named for one verdict.
const mostMissing = 12

func missing(p *Page, s *account.Step) {
	for i, m := range s.Missing {
		label := ""
		if i == 0 {
			label = "not known"
		}
		if i == mostMissing {
			row(p, "", fmt.Sprintf("and %d more", len(s.Missing)-i))
			break
		}
		text := m.Name
		switch {
		case m.Reason == account.FromCouldNotTell:
			text += ": looked at, could not tell"
		case m.Reason == "undecided":
			text += ": known, but not well enough"
		case m.Look != nil && m.Look.Past:
			text += ": cannot be had any more"
		case m.Look != nil && m.Look.Minutes > 0:
			text += fmt.Sprintf(" (%g min)", m.Look.Minutes)
		}
		row(p, label, text)
	}
}

func doing(p *Page, d *account.Doing) {
	for i, s := range d.Steps {
		label := ""
		if i == 0 {
			label = "do"
		}
		row(p, label, s)
	}
	row(p, "not until", d.DoNotRunUntil)
	row(p, "worked when", d.ShowsItWorked)
	for _, k := range d.Cautions {
		row(p, "mind", k)
	}
}
