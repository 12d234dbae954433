package note

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"whyworn/explain"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// task is a remedy with its number.
type task struct {
	*explain.ToDo
	no    int
	title string
}

// todo lists what to do, in order.
func (w *writer) todo() {
	d := w.d
	if len(d.Remedies) == 0 {
		return
	}
	w.head("To do, in this order")
	var before []string
	var out Tasks
	first := map[string]int{} // of tasks with the same steps
	for i := range d.Remedies {
		r := &d.Remedies[i]
		t := task{r, i + 1, sentence(d.Say(r.Remedy.Title, r.Bound))}
		w.tasks = append(w.tasks, t)
		o := Task{Title: t.title, Steps: d.SayAll(r.Remedy.Do, r.Bound)}
		if r.Remedy.BeforeNewParts {
			before = append(before, strconv.Itoa(t.no))
			o.Tag = "before new parts go in"
		}
		if r.Remedy.ShowsItWorked != nil {
			o.Worked = d.Say(r.Remedy.ShowsItWorked, r.Bound)
		}
		if r.Remedy.DoNotRunUntil != nil {
			o.Until = d.Say(r.Remedy.DoNotRunUntil, r.Bound)
		}
		key := r.Remedy.ID + "\x00" + strings.Join(o.Steps, "\x00")
		if n, ok := first[key]; ok && len(o.Steps) > 0 {
			o.Steps = []string{fmt.Sprintf("as under no. %d", n)}
		} else {
			first[key] = t.no
		}
		out = append(out, o)
	}
	if len(before) > 0 {
		w.add(Paragraph{Lead: "Before new parts go in:", Text: "do no. " + and(before) + ". New parts on the old cause go the same way.", Manner: Notice})
	}
	if until := d.DoNotRun(); len(until) > 0 {
		w.add(Paragraph{Lead: "Do not run until", Text: stop(strings.Join(until, "; and until ")), Manner: Notice})
	}
	w.add(out)
	if own := w.ownDecisions(); len(own) > 0 {
		w.para("Decided beside this list", "by people, where no rule asks for it:")
		var items []Item
		for _, k := range own {
			items = append(items, Item{sentence(w.d.PartName(k.Part)) + ":", stop(joined(", by ", k.Level.String(), k.Written.By))})
		}
		w.list(items)
	}
}

// ownDecisions are those of people who decide otherwise than the rules.
func (w *writer) ownDecisions() []*rules.Decision {
	var out []*rules.Decision
	for i := range w.d.Facts.Decisions {
		k := &w.d.Facts.Decisions[i]
		if v, judged := w.d.Result.Verdict(k.Part); !judged || v.Level != k.Level {
			out = append(out, k)
		}
	}
	return out
}

// after tells what else to look at, what to look at again, and what to order.
func (w *writer) after() {
	d := w.d
	var work []Item
	for _, r := range d.Story.LookAlso {
		work = append(work, Item{Text: stop(sentence(w.reach(r)))})
	}
	cause := w.each(func(m *rules.Remedy) []*condition.Template { return m.LookAlso })
	if len(work)+len(cause) > 0 {
		w.head("Look also at")
	}
	if len(work) > 0 {
		w.para("The same work", "may have done the same elsewhere:")
		w.list(work)
	}
	if len(cause) > 0 {
		w.para("The same causes", "may have reached further:")
		w.list(cause)
	}
	again := w.each(func(m *rules.Remedy) []*condition.Template {
		if m.Recheck == nil {
			return nil
		}
		return []*condition.Template{m.Recheck}
	})
	if len(again) > 0 {
		w.head("Look again, and when")
		w.list(again)
	}
	order := w.each(func(m *rules.Remedy) []*condition.Template { return m.OrderParts })
	for _, k := range w.ownDecisions() {
		if k.Level == vocab.Replace {
			order = append(order, Item{Text: sentence(w.d.PartName(k.Part)) + " (decided" + prefixed(" by ", k.Written.By) + ")"})
		}
	}
	if len(order) > 0 {
		w.head("Parts to order")
		w.list(order)
	}
}

// each lists what some templates of the remedies say, each once, with the tasks
// it belongs to.
func (w *writer) each(of func(*rules.Remedy) []*condition.Template) []Item {
	var texts []string
	tasks := map[string][]string{}
	for _, t := range w.tasks {
		for _, s := range w.d.SayAll(of(t.Remedy), t.Bound) {
			if tasks[s] == nil {
				texts = append(texts, s)
			}
			if no := strconv.Itoa(t.no); !slices.Contains(tasks[s], no) {
				tasks[s] = append(tasks[s], no)
			}
		}
	}
	var out []Item
	for _, s := range texts {
		out = append(out, Item{Text: sentence(s) + " (for no. " + and(tasks[s]) + ")"})
	}
	return out
}

func (w *writer) cautions() {
	if len(w.d.Cautions) == 0 {
		return
	}
	w.head("Before you start: what can hurt")
	var items []Item
	for _, k := range w.d.Cautions {
		items = append(items, Item{sentence(k.Danger) + ":", k.Text})
	}
	w.list(items)
	w.small("These are the usual cautions, not all there are. Licensed practice and local rules go before them.")
}

// earlier tells what is known of the machine's past.
func (w *writer) earlier() {
	d := w.d
	in := d.Facts.Inspection
	work := Table{Caption: "Earlier work", Head: []string{"When", "At", "What was done", "Told by"}, Shares: []float64{16, 10, 52, 22}}
	for n := range d.Facts.Parts {
		part := &d.Facts.Parts[n]
		k := part.Work
		if k == nil {
			continue
		}
		var on []string
		for _, o := range k.On {
			name := choiceWords(o.Text)
			if p, ok := d.Facts.Find(o.Text); ok {
				name = d.PartName(p)
			}
			on = append(on, name)
		}
		what := sentence(joined(", on ", nodeWords(k.Did), and(on)))
		if left := nodeWords(k.LeftOut); left != "" && left != "nothing" && left != "none" {
			what += "; left out: " + left
		}
		what = joined(". ", what, sentence(k.Note))
		who := joined("; ", k.By, prefixed("told by ", nodeWords(k.ToldBy)))
		hours := ""
		if k.Hours != nil {
			hours = k.Hours.Text
		}
		work.Rows = append(work.Rows, []string{dateWords(k.When), hours, stop(what), sentence(who)})
	}
	before := Table{Caption: "Earlier readings", Head: []string{"When", "At", "What", "Found then"}, Shares: []float64{16, 10, 52, 22}}
	for i := range d.Facts.Earlier {
		e := &d.Facts.Earlier[i]
		hours, value := "", ""
		if e.Written.Hours != nil {
			hours = e.Written.Hours.Text
		}
		if e.Written.Value != nil {
			value = nodeWords(e.Written.Value)
		}
		before.Rows = append(before.Rows, []string{dateWords(e.Written.When), hours, sentence(d.FactName(e.FactID)), value})
	}
	if len(work.Rows)+len(before.Rows) == 0 && in.Confirmed == nil {
		return
	}
	w.head("What is known of its past")
	if len(work.Rows) > 0 {
		w.add(work)
	}
	if len(before.Rows) > 0 {
		w.add(before)
	}
	if k := in.Confirmed; k != nil {
		var what []string
		for _, id := range d.Facts.Confirmed {
			what = append(what, d.FactName(id))
		}
		w.para("Proved true later:", stop(joined(", ", strings.Join(what, "; "), prefixed("by ", k.By), dateWords(k.When), k.How)))
	}
}

// picture is a photograph that the note shows, before it is read.
type picture struct {
	file, caption string
	of            int32
	at            int // in Facts.Photos, -1 if only mentioned
	written       source.Span
}

// pictures numbers the photographs: those listed, then those that only an
// answer or a remark names.
func (w *writer) pictures() {
	d := w.d
	known := map[string]bool{}
	add := func(p picture) {
		if p.file != "" && !known[p.file] {
			known[p.file] = true
			w.photos = append(w.photos, p)
		}
	}
	for i := range d.Facts.Photos {
		p := &d.Facts.Photos[i]
		add(picture{p.Written.File.Text, p.Written.Caption, p.Part, i, p.Written.File.At})
	}
	for i := range d.Facts.Observations {
		o := &d.Facts.Observations[i]
		if o.Answer != nil && o.Prop.Role != vocab.Derived {
			add(picture{o.Answer.Photo, joined(", ", o.Prop.Name+": "+d.Observed(o), o.Answer.Where), o.Part, -1, o.Answer.At})
		}
	}
	for i := range d.Facts.Remarks {
		r := &d.Facts.Remarks[i]
		add(picture{r.Written.Photo, r.Written.Text, r.Part, -1, r.Written.At})
	}
}

func (w *writer) photographs(a *album) {
	if len(w.photos) == 0 {
		return
	}
	w.head("Photographs")
	var list []*taking
	for _, p := range w.photos {
		list = append(list, &taking{name: p.file, at: p.written})
	}
	a.take(list)
	for i, p := range w.photos {
		ph := list[i].photo
		ph.Number = i + 1
		ph.Caption = p.caption
		if p.of >= 0 {
			ph.Caption = joined(": ", w.d.PartName(p.of), p.caption)
		}
		ph.Caption = sentence(ph.Caption)
		w.add(ph)
	}
}
