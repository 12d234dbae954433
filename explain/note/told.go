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
		w.para("", d.Nothing())
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
		w.para("Also found,", "without a link to anything else:")
		w.list(apart)
	}
	for _, e := range d.Story.Missing {
		w.para("But", fmt.Sprintf("%s usually shows this: %s. It was looked for and not found.", d.FactName(e.Cause), d.Plain(e.Way.Clue.Sign, e.Way.Bound)))
	}
	w.assemblies()
	w.causeMaps()
}

// chain tells one chain from where it began.
func (w *writer) chain(k *explain.Chain, second bool) {
	d := w.d
	lead, end := "It began with", ""
	switch b := k.Began(); {
	case second && b.Found:
		lead, end = "Found apart from that:", "; what led to it is not known"
	case second:
		lead = "Apart from that:"
	case b.Found:
		lead, end = "The earliest thing found is", "; where it began is not known"
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
		w.para(lead, stop(strings.Join(began, "; and ")+end))
	}
	for _, c := range k.Circles {
		w.para("It feeds itself:", circleWords(w, &c))
	}
	var then []Item
	for _, s := range w.followed(k) {
		then = append(then, s.item(w))
	}
	switch {
	case len(then) == 1 && len(k.Circles) == 0:
		w.para(then[0].Lead, then[0].Text)
	case len(then) > 0:
		w.para("One thing led to another:", "")
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

// step is what followed from the same findings.
type step struct {
	from []record.FactID
	came []consequence
}

// consequence is one finding that followed, at one part or several alike.
type consequence struct {
	prop  *vocab.Property
	parts []int32
	how   []string
}

// item tells one step: what it came from, then what came of it and how.
func (s *step) item(w *writer) Item {
	var from, out []string
	for _, g := range explain.Grouped(s.from) {
		from = append(from, w.d.Together(g.Parts)+": "+g.Names())
	}
	for _, c := range s.came {
		out = append(out, w.d.Together(c.parts)+": "+explain.OfSeveral(c.prop.Name, len(c.parts))+" ("+strings.Join(c.how, "; ")+")")
	}
	return Item{"From " + strings.Join(from, "; and ") + " –", stop(strings.Join(out, "; "))}
}

// followed groups what followed by what it came from, in the order of the story.
func (w *writer) followed(k *explain.Chain) []step {
	var out []step
	for _, f := range k.Findings {
		if f.Role != explain.KnockOn {
			continue
		}
		var from []record.FactID
		var how []string
		for _, l := range k.Links {
			if l.To != f.FactID || l.Forbid {
				continue
			}
			if !slices.Contains(from, l.From) {
				from = append(from, l.From)
			}
			if !slices.Contains(how, l.Link.How) {
				how = append(how, l.Link.How)
			}
		}
		n := slices.IndexFunc(out, func(s step) bool { return slices.Equal(s.from, from) })
		if n < 0 {
			out = append(out, step{from: from})
			n = len(out) - 1
		}
		came := &out[n].came
		i := slices.IndexFunc(*came, func(c consequence) bool { return c.prop == f.Prop && slices.Equal(c.how, how) })
		if i < 0 {
			*came = append(*came, consequence{prop: f.Prop, how: how})
			i = len(*came) - 1
		}
		(*came)[i].parts = append((*came)[i].parts, f.Part)
	}
	return out
}

// found lists the findings with what they rest on, and what stays open.
func (w *writer) found() {
	d := w.d
	w.head("What was found, and what it rests on")
	t := Table{Caption: "Findings with their evidence", Head: []string{"Found", "It rests on"}, Shares: []float64{33, 67}}
	seen := map[record.FactID]bool{}
	weighed := false
	rows := map[string]int{} // of findings that rest on the same words
	parts := map[int][]int32{}
	texts := map[int]string{} // with the name of the part left open
	add := func(f record.Finding) {
		if seen[f.FactID] {
			return
		}
		seen[f.FactID] = true
		text := unnamed(w.restsOn(f.FactID), d.PartName(f.Part))
		if !f.Certain {
			text, weighed = joined(" ", stop(sentence(sure(f.Fact))), text), true
		}
		key := f.Prop.Kind.ID + "." + f.Prop.ID + "\x00" + text
		n, ok := rows[key]
		if !ok {
			n = len(t.Rows)
			rows[key], texts[n] = n, text
			t.Rows = append(t.Rows, nil)
		}
		parts[n] = append(parts[n], f.Part)
		slices.Sort(parts[n])
		who := d.Together(parts[n])
		t.Rows[n] = []string{sentence(who) + ": " + explain.OfSeveral(f.Prop.Name, len(parts[n])), filled(texts[n], who, len(parts[n]) > 1)}
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
		text := "What is not called likely is settled: it follows directly from what was seen, measured or written down."
		if weighed {
			text += " Likely and the other words before a figure stand for chances, on the scale given below."
		}
		w.small(text)
	}
	w.weights()
	w.section()
	w.open()
}

// Where a text leaves the name of its part open: as its first word, and within.
const openFirst, openWithin = "\x01", "\x00"

// unnamed leaves the name of a part open in a text.
func unnamed(text, part string) string {
	if rest, ok := strings.CutPrefix(text, sentence(part)+" "); ok {
		text = openFirst + " " + rest
	}
	return strings.ReplaceAll(text, part, openWithin)
}

// filled names the part of a text, or several parts.
func filled(text, who string, several bool) string {
	first := sentence(who)
	if several {
		first = "Each"
	}
	return strings.NewReplacer(openFirst, first, openWithin, who).Replace(text)
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

// sign words the sign of a clue as it was found; of several parts that may show it
// it names those that do.
func (w *writer) sign(way *record.Way) string {
	root := way.Clue.Sign.Root
	if root.Op == condition.Any && len(root.Args) == 2 && way.Sign.State == truth.True {
		var parts []int32
		for i := range way.Sign.Args {
			if m := &way.Sign.Args[i]; m.State == truth.True && m.Part >= 0 {
				parts = append(parts, m.Part)
			}
		}
		if len(parts) > 0 {
			return w.d.Together(parts) + ": " + w.d.PlainExpr(root.Args[1], way.Bound)
		}
	}
	return w.d.SignAsItCame(way)
}

// open tells what could not be decided.
func (w *writer) open() {
	if len(w.d.Open) == 0 {
		return
	}
	w.add(Heading{3, "What could not be told"})
	var items []Item
	for _, o := range w.d.Open {
		sure := "no clue to it was looked at"
		if o.Decided || o.Probability > 0 {
			sure = explain.HowSure(o.Fact)
		}
		text := "neither held nor excluded (" + sure + ")"
		if len(o.Rivals) > 0 {
			text += "; not decided between this and " + w.grouped(o.Rivals, 4)
		}
		text += "; " + w.d.DecideWords(&o)
		items = append(items, Item{sentence(w.d.FactName(o.FactID)) + ":", stop(text)})
	}
	w.list(items)
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
