package tell

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/facts/truth"
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
	becomes(p, d)
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
	p.Line(strings.Join(who, ", "))
	var when []string
	if in.Date.Text != "" {
		when = append(when, "stripped "+in.Date.Text)
	}
	if in.By != "" {
		when = append(when, "by "+in.By)
	}
	if in.Hours != nil {
		when = append(when, in.Hours.Text+" on the meter")
	}
	if len(when) > 0 {
		p.Line(strings.Join(when, ", "))
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

func whatIsWrong(p *Page, d *explain.Diagnosis, long bool) {
	p.Head("what is wrong")
	if len(d.Story.Chains) == 0 {
		p.Para("  ", "  ", "Nothing in what was looked at shows anything wrong. What was not looked at is counted below.")
	}
	var alone []explain.Told
	for i, k := range d.Story.Chains {
		if i > 0 && len(k.Findings) == 1 {
			alone = append(alone, k.Findings[0])
			continue
		}
		if i > 0 {
			p.Gap()
		}
		chain(p, d, &k, i > 0, long)
	}
	if len(alone) > 0 {
		p.Gap()
	}
	for _, group := range together(alone) {
		findings(p, d, group, "apart")
	}
	for _, f := range alone {
		if long && f.Decided {
			weighing(p, d, f.FactID)
		}
	}
	for _, e := range d.Story.Missing {
		p.Item("  but", columnOfFindings, fmt.Sprintf("%s usually shows this, and it was looked for and not found: %s",
			d.FactName(e.Cause), d.SignWords(&e.Way)))
	}
	if len(d.Open) > 0 {
		p.Gap()
	}
	for _, group := range openTogether(d.Open) {
		o := group[0]
		var parts []int32
		for _, g := range group {
			parts = append(parts, g.Part)
		}
		text := d.Together(parts) + ": " + o.Prop.Name
		if o.Decided || o.Probability > 0 {
			text += " (" + explain.HowSure(o.Fact) + ")"
		} else {
			text += " (no clue to it was looked at)"
		}
		if len(o.Rivals) > 0 {
			text += ", or else " + factNames(d, o.Rivals)
		}
		p.Item("  open", columnOfFindings, text)
	}
	for _, k := range d.Result.Conflicts {
		p.Item("  at odds", columnOfFindings, d.ConflictWords(k))
	}
}

// openTogether groups open causes that nothing tells apart.
func openTogether(os []explain.OpenCause) [][]explain.OpenCause {
	var out [][]explain.OpenCause
	for _, o := range os {
		i := slices.IndexFunc(out, func(g []explain.OpenCause) bool {
			return g[0].Prop == o.Prop && !o.Decided && o.Probability == 0 && g[0].Probability == 0 && len(o.Rivals) == 0
		})
		if i < 0 {
			out = append(out, []explain.OpenCause{o})
		} else {
			out[i] = append(out[i], o)
		}
	}
	return out
}

func chain(p *Page, d *explain.Diagnosis, k *explain.Chain, second, long bool) {
	for _, group := range together(k.Findings) {
		findings(p, d, group, roleLabel(group[0].Role, second))
	}
	for _, c := range k.Circles {
		p.Item("  feeds itself", columnOfFindings, circleWords(d, c))
	}
	for _, f := range k.Findings {
		switch {
		case !f.Decided:
		case long:
			weighing(p, d, f.FactID)
		default:
			evidence(p, d, f.FactID)
		}
	}
}

// together groups findings of one property, role and depth in order: seats 1ex
// and 2in that are worn alike are told in one line.
func together(fs []explain.Told) [][]explain.Told {
	var out [][]explain.Told
	for _, f := range fs {
		i := slices.IndexFunc(out, func(g []explain.Told) bool { return g[0].Prop == f.Prop && g[0].Role == f.Role && !f.Decided })
		if i < 0 {
			out = append(out, []explain.Told{f})
		} else {
			out[i] = append(out[i], f)
		}
	}
	return out
}

func findings(p *Page, d *explain.Diagnosis, group []explain.Told, label string) {
	f := group[0]
	var parts []int32
	for _, g := range group {
		parts = append(parts, g.Part)
	}
	text := d.Together(parts) + ": " + f.Prop.Name
	if why := d.Because(f.FactID); why != "" && (f.Certain || !f.Decided) && len(group) == 1 {
		text += " - " + why
	}
	if !f.Certain {
		text += " (" + explain.HowSure(f.Fact) + ")"
	}
	p.Item("  "+label, columnOfFindings, text)
	for _, g := range group {
		for _, a := range d.Standing(g.FactID) {
			p.Item("", columnOfFindings, "stands unless "+d.Plain(a.Rule.Unless[a.Unless], a.Bound)+", which is not known")
		}
	}
}

// evidence tells the clues of a finding in two lines: for and against.
func evidence(p *Page, d *explain.Diagnosis, id record.FactID) {
	g := d.Weighing(id)
	line := func(label string, ways []record.Way) {
		const most = 4
		var words []string
		for i := range ways {
			if i == most {
				words = append(words, fmt.Sprintf("%d more", len(ways)-most))
				break
			}
			w := &ways[i]
			text := d.SignWords(w)
			if w.Sign.State == truth.False {
				text += ": looked for, not so"
			}
			words = append(words, text+" "+w.Weight.String())
		}
		if len(words) > 0 {
			p.Item("  "+label, columnOfFindings, strings.Join(words, " . "))
		}
	}
	p.Gap()
	p.Item("  evidence", columnOfFindings, fmt.Sprintf("%s: start %s, sum %s decibans", d.FactName(id), d.Start(id), d.Sum(id)))
	line("for", g.For)
	line("against", g.Against)
	if n := len(g.AlreadyCounted); n > 0 {
		p.Item("  not again", columnOfFindings, fmt.Sprintf("%d resting on what is counted already", n))
	}
}

const columnOfFindings = 16

func roleLabel(r explain.Role, second bool) string {
	switch r {
	case explain.Root:
		if second {
			return "apart, began"
		}
		return "began"
	case explain.Circle:
		return "circle"
	case explain.KnockOn:
		return "then"
	}
	return "apart"
}

func circleWords(d *explain.Diagnosis, c explain.SelfFeeding) string {
	text := factNames(d, c.Members) + ": each makes the next worse"
	switch {
	case len(c.Started) > 0:
		text += "; started by " + factNames(d, c.Started)
	case len(c.Perhaps) > 0:
		var from []record.FactID
		for _, l := range c.Perhaps {
			if !slices.Contains(from, l.From) {
				from = append(from, l.From)
			}
		}
		text += "; what started it is not known: it could have been " + factNames(d, from)
	default:
		text += "; nothing outside it is known to have started it"
	}
	return text
}

func factNames(d *explain.Diagnosis, ids []record.FactID) string {
	var out []string
	for _, id := range ids {
		out = append(out, d.FactName(id))
	}
	return strings.Join(out, "; ")
}

func weighing(p *Page, d *explain.Diagnosis, id record.FactID) {
	g := d.Weighing(id)
	f := d.Result.Fact(id.Part, id.Prop)
	p.Gap()
	p.Line("  Evidence on " + d.FactName(id) + ", in decibans")
	row := func(label string, w *record.Way) {
		p.Item(fmt.Sprintf("  %-9s %6s  ", label, w.Weight), columnOfWeights, d.SignWords(w)+signState(w))
	}
	p.Item(fmt.Sprintf("  %-9s %6s  ", "start", d.Start(id)), columnOfWeights, "how common it is among such parts")
	for i := range g.For {
		row("for", &g.For[i])
	}
	for i := range g.Against {
		row("against", &g.Against[i])
	}
	for i := range g.AlreadyCounted {
		w := &g.AlreadyCounted[i]
		label := "      -"
		through := "already counted"
		if w.Through >= 0 && w.Through < len(g.All) {
			through += " through: " + d.SignWords(&g.All[w.Through])
		}
		p.Item(fmt.Sprintf("  %-9s %6s  ", "counted", strings.TrimSpace(label)), columnOfWeights, d.SignWords(w)+", "+through)
	}
	p.Item(fmt.Sprintf("  %-9s %6s  ", "sum", d.Sum(id)), columnOfWeights, explain.HowSure(f))
}

const columnOfWeights = 20

func signState(w *record.Way) string {
	switch {
	case w.Sign.State == truth.False:
		return ": looked for, not so"
	case w.Sign.State == truth.True || w.Sign.Value.Looked == vocab.Told:
		return ""
	}
	return ": partly known"
}

func notAccounted(p *Page, d *explain.Diagnosis) {
	in := d.Facts.Inspection
	if len(d.Story.Unaccounted)+len(in.Remarks) == 0 {
		return
	}
	p.Head("not accounted for")
	for _, s := range d.Story.Unaccounted {
		p.Para("  ", "    ", d.ObservationWords(s.Observation))
	}
	for _, r := range in.Remarks {
		text := r.Text
		if r.Of.Text != "" {
			text = r.Of.Text + ": " + text
		}
		if r.Photo != "" {
			text += " (photo " + r.Photo + ")"
		}
		p.Para("  ", "    ", text+" - no question of this pack fits it")
	}
}

func becomes(p *Page, d *explain.Diagnosis) {
	p.Head("what becomes of it")
	var untouched []int32
	for _, level := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther, vocab.Refit} {
		var plain []int32
		for i := range d.Verdicts {
			v := &d.Verdicts[i]
			switch {
			case v.Level != level:
			case v.Untouched:
				untouched = append(untouched, v.Part)
			case level == vocab.Refit && v.Decision == nil:
				plain = append(plain, v.Part)
			default:
				p.Item("  "+level.String(), columnOfVerdicts, d.VerdictWords(v))
			}
		}
		if len(plain) > 0 {
			p.Item("  "+level.String(), columnOfVerdicts, d.Together(plain))
		}
	}
	if len(untouched) > 0 {
		p.Item("  no word", columnOfVerdicts, d.Together(untouched)+": nobody has looked")
	}
}

const columnOfVerdicts = 20

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
			if !slices.Contains(dangers, k.Danger) {
				dangers = append(dangers, k.Danger)
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
		counted(d.Answers(), "answer"), len(d.Absent), counted(len(d.NotLooked), "question")))
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
		p.Line("Ask:  " + ask)
	}
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
