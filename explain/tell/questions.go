package tell

import (
	"fmt"
	"strings"

	"whyworn/explain/questions"
	"whyworn/rules/vocab"
)

// Questions writes a sheet of what can be answered: of a whole pack or machine
// the list of kinds with their parts, or all of it where long; of one kind or
// part all of it.
func Questions(p *Page, s *questions.Sheet, long bool) {
	head := s.Pack.Title + ", pack " + s.Pack.ID + " " + s.Pack.Version
	if s.Machine != "" {
		head = s.Machine + ", " + head
	}
	p.Para("", "  ", head)
	if s.Whole && !long {
		kinds(p, s)
	} else {
		for i := range s.Kinds {
			kind(p, &s.Kinds[i])
		}
	}
	if len(s.Words) > 0 {
		p.Head("words of frequency")
		var all []string
		for _, w := range s.Words {
			all = append(all, fmt.Sprintf("%s %.3f", w.Text, w.Value))
		}
		p.Para("  ", "  ", strings.Join(all, " . "))
		p.Para("  ", "  ", "medians of Mosteller and Youtz, Statistical Science 5(1), 1990; a number between 0 and 1 may stand for each")
	}
	if len(s.Cautions) > 0 {
		p.Head("cautions")
		for _, c := range s.Cautions {
			p.Item("  "+c.ID, columnOfQuestions, c.Danger+": "+c.Text)
		}
	}
	if s.Whole && !long {
		p.Gap()
		p.Line("More: --long, or the name of one kind or part")
	}
}

const columnOfQuestions = 24

// kinds writes a line for each kind.
func kinds(p *Page, s *questions.Sheet) {
	p.Head("kinds of parts")
	for i := range s.Kinds {
		k := &s.Kinds[i]
		has := []string{counted(len(k.Questions), "question")}
		if n := len(k.Findings); n > 0 {
			has = append(has, counted(n, "finding"))
		}
		if n := len(k.Numbers); n > 0 {
			has = append(has, counted(n, "number")+" worked out")
		}
		text := k.Name + ": " + strings.Join(has, ", ")
		if len(k.Parts) > 0 {
			var ids []string
			for _, part := range k.Parts {
				ids = append(ids, part.ID)
			}
			text += "; " + strings.Join(ids, ", ")
		}
		p.Item("  "+k.ID, columnOfQuestions, text)
	}
}

func kind(p *Page, k *questions.Kind) {
	if len(k.Parts) == 1 {
		p.Head(k.Parts[0].Name)
		p.Para("  ", "  ", k.Name+" ("+k.ID+"), "+k.Parts[0].ID)
	} else {
		p.Head(k.Plural)
		p.Para("  ", "  ", k.ID)
	}
	if k.About != "" {
		p.Para("  ", "  ", k.About)
	}
	for i := range k.Parts {
		where(p, k, &k.Parts[i])
	}
	stages(p, k)
	for _, r := range k.References {
		to := "any part"
		if r.To != "" {
			to = strings.ReplaceAll(r.To, "_", " ")
		}
		if r.List {
			to = "list of " + to
		}
		p.Item("  "+r.ID, columnOfQuestions, "of the machine file: "+to)
	}
	concluded(p, "damage", k.Findings)
	concluded(p, "cause", k.Findings)
	if len(k.Numbers) > 0 {
		p.Gap()
		p.Line("  worked out by rules")
		for _, n := range k.Numbers {
			text := n.Name
			if n.Unit != "" {
				text += ", in " + n.Unit
			}
			if n.Readable {
				text += "; may be read too"
			}
			p.Item("    "+n.ID, columnOfQuestions, text)
		}
	}
}

// where says where an inspection writes of a part, and its limits.
func where(p *Page, k *questions.Kind, part *questions.Part) {
	if part.Table != "" {
		line := "[" + part.Table + "] " + part.Line + " = { … }"
		if part.Line == "" {
			line = "[" + part.Table + "]"
		}
		if k.ID == "machine" {
			line = "[before]"
		}
		p.Item("  "+part.ID, columnOfQuestions, "written under "+line)
	}
	if len(k.Parts) > 1 {
		return
	}
	for _, l := range part.Limits {
		text := l.Bound + " " + l.Value
		if l.Whose != "" {
			text += ", " + l.Whose
		}
		p.Item("  "+l.Property, columnOfQuestions, text)
	}
}

// stages writes the questions in the order in which they can be had.
func stages(p *Page, k *questions.Kind) {
	for _, stage := range vocab.StageNames {
		first := true
		for i := range k.Questions {
			q := &k.Questions[i]
			if q.Stage != stage {
				continue
			}
			if first {
				p.Gap()
				p.Line("  " + stageWords(k, stage))
				first = false
			}
			question(p, q)
		}
	}
}

func stageWords(k *questions.Kind, stage string) string {
	words := strings.ReplaceAll(stage, "_", " ")
	switch {
	case k.ID == "work":
		return "told under [[work]]"
	case stage == vocab.StageNames[vocab.Running] || stage == vocab.StageNames[vocab.BeforeANutIsTurned]:
		return words + ", written under [before]"
	}
	return words
}

func question(p *Page, q *questions.Question) {
	ask := q.Ask
	if ask == "" {
		ask = q.Name
	}
	p.Item("    "+q.ID, columnOfQuestions, ask)
	more := func(label, text string) {
		if text != "" {
			p.Item(strings.Repeat(" ", columnOfQuestions-8)+label, columnOfQuestions, text)
		}
	}
	more("told", q.Told)
	more("answer", answers(q))
	more("look", q.Look)
	var cost []string
	if q.Minutes > 0 {
		cost = append(cost, fmt.Sprintf("%g min", q.Minutes))
	}
	if q.Tool != "" {
		cost = append(cost, q.Tool)
	}
	if q.Lost != "" {
		cost = append(cost, "now or never: lost when "+strings.ReplaceAll(q.Lost, "_", " "))
	}
	more("takes", strings.Join(cost, "; "))
	more("mind", q.About)
}

// answers says how an answer is written.
func answers(q *questions.Question) string {
	switch {
	case len(q.Choices) > 0:
		between := " . "
		if q.Ordered {
			between = " < "
		}
		text := strings.Join(q.Choices, between)
		if len(q.Normal) > 0 {
			text += "; in order: " + strings.Join(q.Normal, ", ")
		}
		return text
	case len(q.Along) > 0:
		text := "readings in " + q.Unit + ": " + strings.Join(q.Along, " / ")
		if len(q.Across) > 0 {
			text += ", each at " + strings.Join(q.Across, " and ")
		} else if len(q.Along) > 1 {
			text += ", as many at each as were taken"
		}
		if q.Span != "" {
			text += "; possible is " + q.Span
		}
		return text
	case q.Unit != "":
		text := q.Type + " with its unit, in " + q.Unit + " or another of its sort"
		if q.Span != "" {
			text += "; possible is " + q.Span
		}
		return text
	}
	return q.Type
}

// concluded writes the findings of a sort.
func concluded(p *Page, sort string, fs []questions.Finding) {
	first := true
	for _, f := range fs {
		if f.Sort != sort {
			continue
		}
		if first {
			p.Gap()
			p.Line("  " + map[string]string{"damage": "damage that is concluded", "cause": "causes that are weighed or concluded"}[sort])
			first = false
		}
		text := f.Name
		if f.HowCommon > 0 {
			text += fmt.Sprintf(" (%.3g of such parts have it)", f.HowCommon)
		}
		if f.About != "" {
			text += ": " + f.About
		}
		p.Item("    "+f.ID, columnOfQuestions, text)
	}
}
