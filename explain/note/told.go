package note

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// happened tells the story.
func (w *writer) happened() {
	w.head("What happened")
	d := w.d
	if len(d.Story.Chains) == 0 {
		w.para("", "Nothing in what was looked at shows anything wrong.")
		return
	}
	var apart []Item
	for i := range d.Story.Chains {
		k := &d.Story.Chains[i]
		if alone := w.factsOf(k, explain.Apart); len(alone) > 0 {
			for _, id := range alone {
				apart = append(apart, Item{sentence(d.FactName(id)) + ":", stop(d.Because(id))})
			}
			continue
		}
		w.chain(k, i > 0)
	}
	if len(apart) > 0 {
		w.para("Apart from that", "was found, without a link to anything else:")
		w.list(apart)
	}
	for _, e := range d.Story.Missing {
		w.para("But", fmt.Sprintf("%s usually shows this: %s. It was looked for and not found.", d.FactName(e.Cause), d.Plain(e.Way.Clue.Sign, e.Way.Bound)))
	}
	w.causeMaps()
	w.assemblies()
}

// chain tells one chain from where it began.
func (w *writer) chain(k *explain.Chain, second bool) {
	d := w.d
	lead := "It began with"
	if second {
		lead = "Apart from that"
	}
	var began []string
	for _, id := range w.factsOf(k, explain.Root) {
		text := d.FactName(id)
		if why := d.Because(id); why != "" {
			text += " (" + why + ")"
		}
		began = append(began, text)
	}
	if len(began) > 0 {
		w.para(lead, stop(strings.Join(began, "; and with ")))
	}
	for _, c := range k.Circles {
		w.para("It feeds itself:", circleWords(w, &c))
	}
	var then []Item
	for _, g := range w.followed(k) {
		then = append(then, Item{sentence(w.d.Together(g.parts)) + ": " + g.prop.Name + ".", stop(sentence(strings.Join(g.how, "; ")))})
	}
	if len(then) > 0 {
		w.para("From there", "one thing led to another:")
		w.list(then)
	}
}

func circleWords(w *writer, c *explain.SelfFeeding) string {
	text := w.grouped(c.Members, 12) + ". Each makes the next worse"
	switch {
	case len(c.Started) > 0:
		text += "; it was started by " + w.grouped(c.Started, 6)
	case len(c.Perhaps) > 0:
		var from []record.FactID
		for _, l := range c.Perhaps {
			if !slices.Contains(from, l.From) {
				from = append(from, l.From)
			}
		}
		text += "; what started it is not known, it could have been " + w.grouped(from, 6)
	default:
		text += "; nothing outside it is known to have started it"
	}
	return stop(text)
}

// consequence is one finding that followed, at one part or several alike.
type consequence struct {
	prop  *vocab.Property
	parts []int32
	how   []string
}

// followed groups what followed by property, with how it came from what.
func (w *writer) followed(k *explain.Chain) []consequence {
	var out []consequence
	for _, f := range k.Findings {
		if f.Role != explain.KnockOn {
			continue
		}
		var how []string
		for _, l := range k.Links {
			if l.To == f.FactID && !l.Forbid {
				if s := l.Link.How + " (from " + w.d.FactName(l.From) + ")"; !slices.Contains(how, s) {
					how = append(how, s)
				}
			}
		}
		n := slices.IndexFunc(out, func(c consequence) bool { return c.prop == f.Prop && slices.Equal(c.how, how) })
		if n < 0 {
			out = append(out, consequence{prop: f.Prop, how: how})
			n = len(out) - 1
		}
		out[n].parts = append(out[n].parts, f.Part)
	}
	return out
}

// found lists the findings with what they rest on, and what stays open.
func (w *writer) found() {
	d := w.d
	w.head("What was found, and what it rests on")
	t := Table{Caption: "Findings with their evidence", Head: []string{"Found", "It rests on", "How sure"}, Shares: []float64{28, 54, 18}}
	seen := map[record.FactID]bool{}
	add := func(f record.Finding) {
		if seen[f.FactID] {
			return
		}
		seen[f.FactID] = true
		t.Rows = append(t.Rows, []string{sentence(d.FactName(f.FactID)), w.restsOn(f.FactID), sure(f.Fact)})
	}
	for i := range d.Story.Chains {
		for _, f := range d.Story.Chains[i].Findings {
			add(f.Finding)
		}
	}
	for _, f := range d.Result.True() {
		add(f)
	}
	if len(t.Rows) == 0 {
		w.para("", "No damage and no cause was found.")
	} else {
		w.add(t)
		w.small("Settled: it follows directly from what was seen, measured or written down. The other words stand for chances, on the scale given below.")
	}
	w.weights()
	w.section()
	w.open()
}

// restsOn tells the evidence for a finding: what its rules say, and the signs
// that speak for it, the weightiest first.
func (w *writer) restsOn(id record.FactID) string {
	var out []string
	say := func(s string) {
		if s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	ways := w.d.Ways(id)
	for i := range ways {
		if r := ways[i].Rule; r != nil && ways[i].State == truth.True && len(r.RulesOut) == 0 && r.Because != nil {
			say(w.d.Say(r.Because, ways[i].Bound))
		}
	}
	g := w.d.Weighing(id)
	const most = 4
	if f := w.d.Result.Fact(id.Part, id.Prop); !f.Certain {
		for i := range g.For {
			if i == most {
				say(count(len(g.For)-most, "more sign", "more signs"))
				break
			}
			say(w.sign(&g.For[i]))
		}
		for i := range g.Against {
			say("against it: " + w.sign(&g.Against[i]))
		}
	}
	text := stop(sentence(strings.Join(out, "; ")))
	for _, a := range w.d.Standing(id) {
		text = joined(" ", text, "Stands unless "+stop(w.d.Plain(a.Rule.Unless[a.Unless], a.Bound)))
	}
	return text
}

// sign words the sign of a clue as it was found.
func (w *writer) sign(way *record.Way) string {
	text := w.d.Plain(way.Clue.Sign, way.Bound)
	switch t := way.Clue.Sign.Root.Type; {
	case t.K == condition.KPick: // of a choice: what was found
		return text + ": " + w.d.Value(&way.Sign.Value, t)
	case way.Sign.State == truth.False:
		return "not so: " + text
	}
	return text
}

// open tells what could not be decided.
func (w *writer) open() {
	if len(w.d.Open) == 0 {
		return
	}
	w.add(Heading{3, "What could not be told"})
	var items []Item
	for _, o := range w.d.Open {
		text := "neither held nor excluded (" + explain.HowSure(o.Fact) + ")"
		if len(o.Rivals) > 0 {
			text += "; not decided between this and " + w.grouped(o.Rivals, 4)
		}
		items = append(items, Item{sentence(w.d.FactName(o.FactID)) + ":", stop(text)})
	}
	w.list(items)
}

// looked tells what was looked for and not found, what could not be told, and
// what nobody has looked at.
func (w *writer) looked() {
	d := w.d
	if items := w.absent(); len(items) > 0 {
		w.head("Looked for and not found")
		w.list(items)
	}
	if len(d.CouldNotTell) > 0 {
		w.head("Looked at, could not tell")
		var items []Item
		for _, i := range d.CouldNotTell {
			o := &d.Facts.Observations[i]
			items = append(items, Item{Text: sentence(d.PartName(o.Part)) + ": " + o.Prop.Name})
		}
		w.list(items)
	}
	w.notLooked()
}

// absent groups what was looked for and normal by the parts it was looked for on.
func (w *writer) absent() []Item {
	d := w.d
	type sign struct {
		prop  *vocab.Property
		words string
		all   bool
	}
	var signs []sign
	parts := map[sign][]int32{}
	for _, i := range d.Absent {
		o := &d.Facts.Observations[i]
		s := sign{o.Prop, o.Prop.Name + ": " + d.Observed(o), o.ForAll}
		if o.Answer != nil && o.Answer.By != "" {
			s.words += " (by " + o.Answer.By + ")"
		}
		if parts[s] == nil {
			signs = append(signs, s)
		}
		parts[s] = append(parts[s], o.Part)
	}
	var out []Item
	at := map[string]int{}
	for _, s := range signs {
		lead := sentence(d.Together(parts[s]))
		if s.all && len(parts[s]) > 1 {
			lead += ", stated for all at once"
		}
		n, ok := at[lead]
		if !ok {
			n = len(out)
			at[lead] = n
			out = append(out, Item{Lead: lead + " -"})
		}
		out[n].Text = joined("; ", out[n].Text, s.words)
	}
	for i := range out {
		out[i].Text = stop(out[i].Text)
	}
	return out
}

func (w *writer) notLooked() {
	d := w.d
	if len(d.NotLooked)+len(d.Facts.Inspection.NotStripped) == 0 {
		return
	}
	w.head("Not looked at, and what it could change")
	if len(d.Facts.Inspection.NotStripped) > 0 {
		w.para("Not stripped:", stop(strings.Join(d.Facts.Inspection.NotStripped, "; ")))
	}
	if len(d.Next) > 0 {
		t := Table{Caption: "What to look at next", Head: []string{"Look at", "Minutes", "What it could change"}, Shares: []float64{38, 10, 52}, Right: []bool{false, true, false}}
		for _, l := range d.Next {
			what := sentence(d.PartName(l.Ask.Part)) + ": " + l.Ask.Prop.Name
			if l.NowOrNever {
				what += " (now or never: the next step of the work destroys it)"
			}
			if l.Finer > 0 {
				what += ", measured finer"
			}
			var change []string
			for _, v := range l.Verdict {
				change = append(change, "what becomes of "+d.PartName(v))
			}
			if s := w.grouped(l.Settles, 3); s != "" {
				change = append(change, s)
			}
			t.Rows = append(t.Rows, []string{what, fmt.Sprintf("%g", l.Minutes), sentence(strings.Join(change, "; "))})
			t.Strong = append(t.Strong, l.NowOrNever)
		}
		w.add(t)
	}
	w.para("Not answered of each part:", stop(strings.Join(w.unasked(), "; "))+" None of these is taken to be sound; what was not looked at is not known.")
}

// unasked counts the questions nobody has answered, by kind of part.
func (w *writer) unasked() []string {
	var out []string
	d := w.d
	for _, k := range d.Pack.Vocabulary.Kinds {
		var parts []int32
		props := map[*vocab.Property]bool{}
		var names []string
		n := 0
		for _, id := range d.NotLooked {
			if id.Prop.Kind != k {
				continue
			}
			n++
			if !slices.Contains(parts, id.Part) {
				parts = append(parts, id.Part)
			}
			if !props[id.Prop] {
				props[id.Prop] = true
				names = append(names, id.Prop.Name)
			}
		}
		if n == 0 {
			continue
		}
		const most = 6
		if len(names) > most {
			names = append(names[:most:most], fmt.Sprintf("%d more", len(names)-most))
		}
		out = append(out, w.some(parts, 8)+" ("+strings.Join(names, ", ")+")")
	}
	return out
}

// unexplained lists signs that nothing accounts for, and remarks.
func (w *writer) unexplained() {
	d := w.d
	if len(d.Story.Unaccounted)+len(d.Facts.Remarks) == 0 {
		return
	}
	w.head("Not explained")
	var items []Item
	for _, s := range d.Story.Unaccounted {
		items = append(items, Item{Text: sentence(w.observation(s.Observation))})
	}
	for i := range d.Facts.Remarks {
		items = append(items, Item{Text: sentence(w.remark(&d.Facts.Remarks[i]))})
	}
	w.list(items)
}

func (w *writer) remark(r *rules.Remark) string {
	text := r.Written.Text
	if r.Part >= 0 {
		text = w.d.PartName(r.Part) + ": " + text
	}
	return joined(", ", text, w.photo(r.Written.Photo))
}
