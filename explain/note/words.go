package note

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// sentence begins a text with a capital, unless its first word is a name with a
// figure or a capital in it.
func sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if !unicode.IsLower(r) {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// lowerFirst is the other way round, for a text that goes on inside a sentence.
func lowerFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); !unicode.IsUpper(r) || unicode.IsUpper(next) {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}

// stop ends a sentence.
func stop(s string) string {
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}

// joined joins the texts that are not empty.
func joined(with string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(slices.Clone(texts), func(s string) bool { return s == "" }), with)
}

// and joins words: "a, b and c".
func and(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// dateWords writes an ISO date as people write it: 12 November 2026.
func dateWords(s string) string {
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		return t.Format("2 January 2006")
	}
	return s
}

// nodeWords shows values as written: choices without their underscores.
func nodeWords(n *written.Node) string {
	if n == nil {
		return ""
	}
	if len(n.Items) > 0 {
		var out []string
		for _, i := range n.Items {
			out = append(out, nodeWords(i))
		}
		return and(out)
	}
	return choiceWords(n.Text)
}

func choiceWords(s string) string { return strings.ReplaceAll(s, "_", " ") }

// fact names a fact: "seat 2ex: deeply grooved".
func (w *writer) fact(id record.FactID) string {
	if id.Prop.Role == vocab.Verdict {
		return w.d.PartName(id.Part) + ": " + id.Prop.Level.String()
	}
	return w.d.FactName(id)
}

// grouped names facts, those of one property together, then those of the same parts,
// and counts what is over most groups.
func (w *writer) grouped(ids []record.FactID, most int) string {
	groups := explain.Grouped(ids)
	var out []string
	for i, g := range groups {
		if i == most {
			left := 0
			for _, h := range groups[i:] {
				left += len(h.Parts) * len(h.Props)
			}
			out = append(out, fmt.Sprintf("and %d more, listed below", left))
			break
		}
		out = append(out, w.d.Some(g.Parts, 6)+": "+g.Names())
	}
	return strings.Join(out, "; ")
}

// factsOf lists the findings of a chain that play a role.
func (w *writer) factsOf(k *explain.Chain, role explain.Role) []record.FactID {
	var out []record.FactID
	for _, f := range k.Findings {
		if f.Role == role {
			out = append(out, f.FactID)
		}
	}
	return out
}

// settled is said of what follows directly from what was seen, measured or told.
const settled = "settled"

// sure says how sure a finding is.
func sure(f record.Fact) string {
	if f.Certain {
		return settled
	}
	return explain.HowSure(f)
}

// observation tells one observation: "seat 2ex: heat tint blue, photo 3".
func (w *writer) observation(i int) string {
	o := &w.d.Facts.Observations[i]
	value := w.d.Observed(o)
	if o.Prop.Type == vocab.Size && o.Answer != nil && o.Answer.Is != nil {
		value = o.Answer.Is.Text
	}
	text := w.d.PartName(o.Part) + ": " + answered(o.Prop, value)
	if a := o.Answer; a != nil {
		text = joined(", ", text, prefixed("by ", a.By), a.Where, w.photo(a.Photo), prefixed("", a.Sure))
	}
	return text
}

// answered is a question with its answer: "heat tint: blue"; how a part was found
// needs no question.
func answered(p *vocab.Property, value string) string {
	if p.ID == foundID {
		return "found " + value
	}
	return p.Name + ": " + value
}

// asked names a question nobody has answered.
func asked(p *vocab.Property) string {
	if p.ID == foundID {
		return "whether it is in place"
	}
	return p.Name
}

// foundID is the built-in sign of every part.
const foundID = "found"

func prefixed(word, s string) string {
	if s == "" {
		return ""
	}
	return word + s
}

// photo refers to a photograph by its number.
func (w *writer) photo(file string) string {
	for i := range w.photos {
		if w.photos[i].file == file {
			return fmt.Sprintf("photo %d", i+1)
		}
	}
	return prefixed("photo ", file)
}

// number shows a number with its uncertainty, as every other output does.
func (w *writer) number(p *vocab.Property, v *vocab.Value) string {
	return w.d.NumberWords(v.Number, p)
}

// spread is k times the standard uncertainty of a number in its unit, as it is
// shown; 0 where none was given.
func (w *writer) spread(p *vocab.Property, v *vocab.Value) float64 {
	plus, _, _ := strings.Cut(w.d.Quantity(v.Number, p).Plus, " ")
	x, err := strconv.ParseFloat(strings.TrimSuffix(plus, "°"), 64)
	if err != nil {
		return 0
	}
	return x
}

// reach tells what else a piece of work reached.
func (w *writer) reach(r explain.Reach) string {
	text := w.d.PartName(r.Work)
	if len(r.Places) > 0 {
		text += ", done on " + w.d.Some(r.Places, 6)
	}
	if k := w.d.Facts.Parts[r.Work].Work; k != nil && k.Note != "" {
		text += " (" + k.Note + ")"
	}
	return text + ": look at all of it, and wherever else the same hands did the same that day"
}

// percent writes a probability.
func percent(p float64) string {
	switch {
	case p > 0.999:
		return "> 99.9 %"
	case p < 0.001:
		return "< 0.1 %"
	case p > 0.99 || p < 0.01:
		return fmt.Sprintf("%.1f %%", 100*p)
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}
