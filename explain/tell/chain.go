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

func whatIsWrong(p *Page, d *explain.Diagnosis, long bool) {
	p.Head("what is wrong")
	if len(d.Story.Chains) == 0 {
		p.Para("  ", "  ", d.Nothing()+" What was not looked at is counted below.")
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
		findings(p, d, group, "apart", long)
	}
	for _, f := range alone {
		if long && f.Decided {
			weighing(p, d, f.FactID)
		}
	}
	for _, l := range d.Story.Backwards {
		p.Item("  not so", columnOfFindings, fmt.Sprintf("%s did not lead to %s: it is known to have come later", d.FactName(l.From), d.FactName(l.To)))
	}
	fewest(p, d)
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
		text := d.Together(parts) + ": " + explain.OfSeveral(o.Prop.Name, len(parts))
		if o.Decided || o.Probability > 0 {
			text += " (" + explain.HowSure(o.Fact) + ")"
		} else {
			text += " (no clue to it was looked at)"
		}
		if len(o.Rivals) > 0 {
			text += ", or else " + factNames(d, o.Rivals)
		}
		p.Item("  open", columnOfFindings, text+"; "+d.DecideWords(&o)+ids(d, parts, "."+o.Prop.ID, long))
	}
	for _, k := range d.Result.Conflicts {
		p.Item("  at odds", columnOfFindings, d.ConflictWords(k))
	}
}

// fewest names the causes that together account for all that was seen, where
// that is fewer than all causes held.
func fewest(p *Page, d *explain.Diagnosis) {
	s := d.Story
	if len(s.Fewest) == 0 {
		return
	}
	what := "every sign that a cause accounts for"
	if len(s.Unaccounted) == 0 && s.FewestOf == len(s.Accounted) {
		what = "all that was seen out of the ordinary"
	}
	verb := "account for "
	if len(s.Fewest) == 1 {
		verb = "accounts for "
	}
	text := factNames(d, s.Fewest) + " " + verb + what + " (" + counted(s.FewestOf, "sign") + ")"
	if !s.FewestExact {
		text += "; there may be fewer that do"
	}
	p.Item("  in all", columnOfFindings, text)
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
		findings(p, d, group, roleLabel(&group[0], second), long)
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

// ids are what why and whynot take, where the telling is long.
func ids(d *explain.Diagnosis, parts []int32, prop string, long bool) string {
	if !long {
		return ""
	}
	var out []string
	for _, n := range parts {
		out = append(out, d.Facts.Parts[n].ID+prop)
	}
	return " [" + strings.Join(out, ", ") + "]"
}

func findings(p *Page, d *explain.Diagnosis, group []explain.Told, label string, long bool) {
	f := group[0]
	var parts []int32
	for _, g := range group {
		parts = append(parts, g.Part)
	}
	text := d.Together(parts) + ": " + explain.OfSeveral(f.Prop.Name, len(parts))
	if why := d.Because(f.FactID); why != "" && (f.Certain || !f.Decided) && len(group) == 1 {
		text += " - " + why
	}
	if !f.Certain {
		text += " (" + explain.HowSure(f.Fact) + ")"
	}
	p.Item("  "+label, columnOfFindings, text+ids(d, parts, "."+f.Prop.ID, long))
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

// roleLabel says what part a finding plays. Damage that nothing held led to did
// not begin there: it is the earliest thing found.
func roleLabel(f *explain.Told, second bool) string {
	switch f.Role {
	case explain.Root:
		switch {
		case second && f.Prop.Role == vocab.Damage:
			return "apart, found"
		case second:
			return "apart, began"
		case f.Prop.Role == vocab.Damage:
			return "found first"
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
	p.Para("  ", "    ", "Evidence on "+d.FactName(id)+", in decibans")
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
