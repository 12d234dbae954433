package note

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// looked tells what was looked for and not found, what could not be told, and
// what nobody has looked at.
func (w *writer) looked() {
	d := w.d
	absent, sound := w.normal()
	if len(absent) > 0 {
		w.head("Looked for and not found")
		w.list(absent)
	}
	if len(sound) > 0 {
		w.head("Looked at and as it should be")
		w.list(sound)
	}
	if len(absent)+len(sound) > 0 {
		w.small("One answer for all: the person wrote one answer for several parts at once.")
	}
	if len(d.CouldNotTell) > 0 {
		w.head("Looked at, could not tell")
		var items []Item
		for _, i := range d.CouldNotTell {
			o := &d.Facts.Observations[i]
			items = append(items, Item{Text: sentence(d.PartName(o.Part)) + ": " + asked(o.Prop)})
		}
		w.list(items)
	}
	w.notLooked()
}

// normal tells what was looked at and normal: first the signs that are not there,
// each with the parts, then all else, each part with what it showed.
func (w *writer) normal() (absent, sound []Item) {
	d := w.d
	type sign struct {
		prop    *vocab.Property
		how, by string
		all     bool
	}
	var signs []sign
	parts := map[sign][]int32{}
	for _, i := range d.Absent {
		o := &d.Facts.Observations[i]
		s := sign{prop: o.Prop, how: d.Observed(o), all: o.ForAll}
		if o.Answer != nil {
			s.by = prefixed("by ", o.Answer.By)
		}
		if parts[s] == nil {
			signs = append(signs, s)
		}
		parts[s] = append(parts[s], o.Part)
	}
	at := map[string]int{}
	put := func(list *[]Item, lead, text string) {
		n, ok := at[lead]
		if !ok {
			n = len(*list)
			at[lead] = n
			*list = append(*list, Item{Lead: lead})
		}
		(*list)[n].Text = joined("; ", (*list)[n].Text, text)
	}
	for _, s := range signs {
		who, by := w.all(parts[s]), s.by
		if s.all && len(parts[s]) > 1 {
			by = joined("; ", by, "one answer for all")
		}
		if by != "" {
			by = "(" + by + ")"
		}
		if s.how == "no" || s.how == "none" {
			put(&absent, sentence(s.prop.Name)+":", joined(" ", who, by))
		} else {
			put(&sound, joined(" ", sentence(who), by, "–"), answered(s.prop, s.how))
		}
	}
	for _, list := range [][]Item{absent, sound} {
		for i := range list {
			list[i].Text = stop(list[i].Text)
		}
	}
	return absent, sound
}

// all names parts together, "all 4 seats" where none of their table is left out.
func (w *writer) all(parts []int32) string {
	if len(parts) > 2 {
		first := &w.d.Facts.Parts[parts[0]]
		same := func(p *rules.Part) bool { return p.Kind == first.Kind && p.Table == first.Table }
		n := 0
		for i := range w.d.Facts.Parts {
			if same(&w.d.Facts.Parts[i]) {
				n++
			}
		}
		if n == len(parts) && first.Row != "" && !slices.ContainsFunc(parts, func(p int32) bool { return !same(&w.d.Facts.Parts[p]) }) {
			return fmt.Sprintf("all %d %ss", n, choiceWords(first.Table))
		}
	}
	return w.d.Together(parts)
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
		t := Table{Caption: "What to look at next", Head: []string{"Look at", "Minutes", "What it could settle"}, Shares: []float64{42, 10, 48}, Right: []bool{false, true, false}}
		for _, l := range d.Next {
			what := sentence(d.PartName(l.Ask.Part)) + ": " + l.Ask.Prop.Name
			if l.NowOrNever {
				what += " (now or never: the next step of the work destroys it)"
			}
			if f := explain.FinerWords(&l); f != "" {
				what += ", measured again, to a " + f
			}
			t.Rows = append(t.Rows, []string{what, fmt.Sprintf("%g", l.Minutes), w.couldSettle(&l)})
			t.Strong = append(t.Strong, l.NowOrNever)
		}
		w.add(t)
	}
	if items := w.unasked(); len(items) > 0 {
		w.para("Questions nobody has answered.", "None of this is taken to be sound; what was not looked at is not known:")
		w.list(items)
	}
}

// couldSettle tells what a look could settle: what becomes of parts, and findings.
func (w *writer) couldSettle(l *explain.Look) string {
	const most = 3
	var out []string
	if len(l.Verdict) > 0 {
		out = append(out, "what becomes of "+w.some(l.Verdict, most))
	}
	if s := w.grouped(l.Settles, most); s != "" {
		out = append(out, "whether this is so: "+s)
	}
	return sentence(strings.Join(out, "; "))
}

// unasked names the questions nobody has answered, by kind of part.
func (w *writer) unasked() []Item {
	var out []Item
	for _, k := range w.d.Pack.Vocabulary.Kinds {
		parts := map[*vocab.Property][]int32{}
		var props []*vocab.Property
		for _, id := range w.d.NotLooked {
			if id.Prop.Kind != k {
				continue
			}
			if parts[id.Prop] == nil {
				props = append(props, id.Prop)
			}
			parts[id.Prop] = append(parts[id.Prop], id.Part)
		}
		var ids []record.FactID
		for _, p := range props {
			for _, n := range parts[p] {
				ids = append(ids, record.FactID{Part: n, Prop: p})
			}
		}
		for _, g := range explain.Grouped(ids) {
			who := w.all(g.Parts)
			if len(g.Parts) > 8 {
				who = w.some(g.Parts, 8)
			}
			var names []string
			for _, p := range g.Props {
				names = append(names, asked(p))
			}
			out = append(out, Item{sentence(who) + ":", stop(strings.Join(names, "; "))})
		}
	}
	return out
}
