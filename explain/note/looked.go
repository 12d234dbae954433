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
	n, telling := w.normal(d.Absent), w.normal(d.Telling)
	n.absent = gathered(slices.Concat(n.absent, telling.absent))
	if len(n.absent) > 0 {
		w.head("Looked for and not found")
		w.add(List{Items: n.absent, Dense: true})
	}
	if len(n.sound) > 0 {
		w.head("Looked at and as it should be")
		w.add(List{Items: n.sound, Dense: true})
	}
	if n.all || telling.all {
		w.small("* One answer for all: the person wrote one answer for several parts at once.")
	}
	if len(telling.sound) > 0 {
		w.add(Heading{3, "No fault in itself, but something held rests on it"})
		w.add(List{Items: telling.sound, Dense: true})
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

// normal is what was looked at and normal, part by part: signs that are not
// there, and what each part showed.
type normal struct {
	absent, sound []Item
	all           bool // somewhere one answer was written for several parts
}

func (w *writer) normal(observations []int) (out normal) {
	d := w.d
	type sign struct {
		prop    *vocab.Property
		how, by string
		all     bool
	}
	var signs []sign
	parts := map[sign][]int32{}
	for _, i := range observations {
		o := &d.Facts.Observations[i]
		s := sign{prop: o.Prop, how: d.Observed(o), all: o.ForAll}
		if o.Prop.ID == foundID { // asked of every kind alike
			s.prop = nil
		}
		if o.Answer != nil {
			s.by = prefixed("by ", o.Answer.By)
		}
		if parts[s] == nil {
			signs = append(signs, s)
		}
		parts[s] = append(parts[s], o.Part)
	}
	slices.SortStableFunc(signs, func(a, b sign) int { // what was found in its place first
		switch {
		case a.prop == nil && b.prop != nil:
			return -1
		case b.prop == nil && a.prop != nil:
			return 1
		}
		return 0
	})
	for _, s := range signs {
		who, mark := w.allTogether(parts[s]), ""
		if s.all && len(parts[s]) > 1 {
			mark, out.all = " *", true
		}
		switch {
		case s.prop == nil:
			out.sound = append(out.sound, Item{"Found " + s.how + mark + ":", joined(" ", who, bracketed(s.by))})
		case s.how == "no" || s.how == "none":
			out.absent = append(out.absent, Item{sentence(who) + mark + ":", joined(" ", s.prop.Name, bracketed(s.by))})
		default:
			out.sound = append(out.sound, Item{sentence(who) + mark + " –", joined(" ", answered(s.prop, s.how), bracketed(s.by))})
		}
	}
	out.absent, out.sound = gathered(out.absent), gathered(out.sound)
	return out
}

// gathered joins the texts of items with one lead.
func gathered(items []Item) []Item {
	var out []Item
	at := map[string]int{}
	for _, i := range items {
		n, ok := at[i.Lead]
		if !ok {
			n = len(out)
			at[i.Lead] = n
			out = append(out, Item{Lead: i.Lead})
		}
		out[n].Text = joined("; ", out[n].Text, strings.TrimSuffix(i.Text, "."))
	}
	for i := range out {
		out[i].Text = stop(out[i].Text)
	}
	return out
}

func bracketed(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
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
		w.add(List{Items: items, Dense: true})
	}
}

// couldSettle tells what a look could settle: what becomes of parts, and findings.
func (w *writer) couldSettle(l *explain.Look) string {
	const most = 3
	var out []string
	if len(l.Verdict) > 0 {
		out = append(out, "what becomes of "+w.d.Some(l.Verdict, most))
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
				who = w.d.Some(g.Parts, 8)
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
