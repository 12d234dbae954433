package tell

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/explain"
	"whyworn/rules/vocab"
)

// Diagnosis writes a diagnosis: the few sentences first, details after. long
// adds the evidence clue by clue, the steps of each remedy and every caution.
func Diagnosis(p *Page, d *explain.Diagnosis, long bool) {
	heading(p, d)
	inShort(p, d)
	for _, s := range d.Surveys() {
		survey(p, s)
	}
	whatIsWrong(p, d, long)
	notAccounted(p, d)
	becomes(p, d, long)
	toDo(p, d, long)
	next(p, d)
	notes(p, d, long)
}

func heading(p *Page, d *explain.Diagnosis) {
	in, m := d.Facts.Inspection, d.Facts.Machine
	who := []string{m.Name}
	if in.Number != "" {
		who = append(who, in.Number)
	}
	p.Para("", "  ", strings.Join(who, ", "))
	var when []string
	if in.Date.Text != "" {
		what := "stripped "
		if !d.TakenApart() {
			what = "looked at "
		}
		when = append(when, what+in.Date.Text)
	}
	if in.By != "" {
		when = append(when, "by "+in.By)
	}
	if in.Hours != nil {
		when = append(when, in.Hours.Text+" on the meter")
	}
	if len(when) > 0 {
		p.Para("", "  ", strings.Join(when, ", "))
	}
	p.Line("pack " + d.Pack.ID + " " + d.Pack.Version)
}

func inShort(p *Page, d *explain.Diagnosis) {
	p.Head("in short")
	for _, s := range d.InShort() {
		p.Para("  ", "  ", s)
	}
}

// survey writes a table with a column for each station; whose a limit is
// stands under it.
func survey(p *Page, s explain.Survey) {
	p.Head("along the " + s.Along)
	rows := [][]string{append([]string{""}, s.Stations...)}
	kind := ""
	var whose []string
	for _, r := range s.Rows {
		if k := r.Prop.Kind.Name; k != kind {
			kind = k
			rows = append(rows, []string{k})
		}
		name := "  " + r.Name
		if r.Whose != "" {
			at := slices.Index(whose, r.Whose)
			if at < 0 {
				at = len(whose)
				whose = append(whose, r.Whose)
			}
			name += fmt.Sprintf(" (%c)", 'a'+rune(at%26))
		}
		rows = append(rows, append([]string{name}, r.Cells...))
	}
	p.Table("  ", rows)
	for i, w := range whose {
		p.Para("  ", "      ", fmt.Sprintf("(%c) %s", 'a'+rune(i%26), w))
	}
}

func notAccounted(p *Page, d *explain.Diagnosis) {
	if len(d.Story.Unaccounted)+len(d.Facts.Remarks) == 0 {
		return
	}
	p.Head("not accounted for")
	for _, s := range d.Story.Unaccounted {
		p.Para("  ", "    ", d.ObservationWords(s.Observation))
	}
	for _, r := range d.Facts.Remarks {
		text := r.Written.Text
		if r.Part >= 0 {
			text = d.PartName(r.Part) + ": " + text
		}
		if photo := r.Written.Photo; photo != "" {
			text += " (photo " + photo + ")"
		}
		p.Para("  ", "    ", text+" - no question of this pack fits it")
	}
}

func becomes(p *Page, d *explain.Diagnosis, long bool) {
	p.Head("what becomes of it")
	if d.NoWordOnParts() {
		p.Para("  ", "  ", explain.NothingApart)
		return
	}
	for _, f := range d.Fates() {
		label := f.Level.String()
		text := d.Together(f.Parts)
		switch {
		case f.Untouched:
			label, text = "no word", text+": nobody has looked"
			if n := len(f.Parts); n > mostUntouched && !long {
				text = fmt.Sprintf("the %d other parts: nobody has looked", n)
			}
		case len(f.Why) > 0 && len(f.Parts) == 1 && strings.HasPrefix(f.Why[0], text+" "):
			text = strings.Join(f.Why, "; ") // the reason names the part itself
		case len(f.Why) > 0:
			text += ": " + strings.Join(f.Why, "; ")
		}
		if f.Level == vocab.NoWord {
			label = "no word"
		}
		if by := f.DecisionWords(); by != "" {
			text += " - " + by
		}
		p.Item("  "+label, columnOfVerdicts, text+ids(d, f.Parts, "", long))
	}
}

const columnOfVerdicts = 20

// mostUntouched is how many parts nobody has looked at are named.
const mostUntouched = 12

func toDo(p *Page, d *explain.Diagnosis, long bool) {
	if len(d.Remedies) == 0 {
		return
	}
	p.Head("to do, in this order")
	for i, t := range d.Remedies {
		label := fmt.Sprintf("%3d  ", i+1)
		title := d.Say(t.Remedy.Title, t.Bound)
		if t.Remedy.BeforeNewParts {
			title += " - before new parts go in"
		}
		p.Para(label, "     ", title)
		if !long {
			continue
		}
		for _, step := range d.SayAll(t.Remedy.Do, t.Bound) {
			p.Para("       . ", "         ", step)
		}
		if t.Remedy.ShowsItWorked != nil {
			p.Para("       it worked when ", "         ", d.Say(t.Remedy.ShowsItWorked, t.Bound))
		}
		for _, l := range d.SayAll(t.Remedy.LookAlso, t.Bound) {
			p.Para("       look also: ", "         ", l)
		}
	}
	for _, until := range d.DoNotRun() {
		p.Para("  DO NOT RUN until ", "    ", until)
	}
	for _, r := range d.Story.LookAlso {
		p.Para("  SAME WORK: ", "    ", d.ReachWords(r))
	}
	shown := d.Cautions
	if !long {
		shown = d.Pack.Shown
	}
	for _, k := range shown {
		p.Para("  MIND: ", "    ", k.Text)
	}
	if n := len(d.Cautions) - len(shown); n > 0 {
		var dangers []string
		for _, k := range d.Cautions[len(shown):] {
			for danger := range strings.SplitSeq(k.Danger, ", ") { // one caution may name several
				if !slices.Contains(dangers, danger) {
					dangers = append(dangers, danger)
				}
			}
		}
		p.Para("  MIND ALSO: ", "    ", strings.Join(dangers, ", ")+": the steps and their cautions stand under --long and in the note")
	}
}

func next(p *Page, d *explain.Diagnosis) {
	if len(d.Next) == 0 {
		return
	}
	p.Head("look next")
	Looks(p, &d.Case, d.Next)
}

// Looks writes what to look at next as a table.
func Looks(p *Page, c *explain.Case, looks []explain.Look) {
	rows := [][]string{{"", "look at", "minutes", "it speaks to"}}
	for i, l := range looks {
		var settles []string
		for _, id := range l.Settles {
			settles = append(settles, c.FactName(id))
		}
		for _, v := range l.Verdict {
			settles = append(settles, "what becomes of "+c.PartName(v))
		}
		const most = 3
		if n := len(settles); n > most {
			settles = append(settles[:most], fmt.Sprintf("and %d more", n-most))
		}
		ask := c.PartName(l.Ask.Part) + ": " + l.Ask.Prop.Name
		if l.NowOrNever {
			ask += " - NOW OR NEVER"
		}
		if f := explain.FinerWords(&l); f != "" {
			ask += ", again: " + f
		}
		rows = append(rows, []string{fmt.Sprint(i + 1), ask, fmt.Sprintf("%g", l.Minutes), strings.Join(settles, "; ")})
	}
	p.Table("  ", rows)
}

func notes(p *Page, d *explain.Diagnosis, long bool) {
	p.Gap()
	if n := len(d.CouldNotTell); n > 0 {
		var out []string
		for _, i := range d.CouldNotTell {
			o := &d.Facts.Observations[i]
			out = append(out, d.PartName(o.Part)+": "+o.Prop.Name)
		}
		p.Para("Looked at, could not tell: ", "  ", strings.Join(out, "; "))
	}
	p.Para("", "  ", fmt.Sprintf("%s given, %d looked for and normal; %s of this pack not looked at.",
		counted(d.Answers(), "answer"), len(d.Absent)+len(d.Telling), counted(len(d.NotLooked), "question")))
	if n := len(d.Result.WithoutU); n > 0 {
		p.Para("", "  ", counted(n, "conclusion")+" by comparing readings for which no uncertainty was given.")
	}
	if d.Pack.LimitsOfMethod != "" {
		p.Para("", "  ", d.Pack.LimitsOfMethod)
	}
	if !long {
		p.Line("More: --long")
	}
	if ask := d.AskWhy(); ask != "" {
		p.Para("Ask:  ", "      ", ask)
	}
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
