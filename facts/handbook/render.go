package handbook

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

const renderWidth = 88

// Render is the page of an entry as plain text: title, how to call it,
// formula, symbols with units and domain, results, source, cautions.
func Render(e *Entry) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s  %s\n", e.Name, e.Title)
	section(&b, "formula", e.Formula)
	if len(e.Params) > 0 {
		b.WriteString("  give\n")
		for i := range e.Params {
			p := &e.Params[i]
			line := p.Means + "; " + p.DomainText()
			if p.Default != nil {
				line += fmt.Sprintf("; %s unless given", withUnit(*p.Default, p.Unit))
			}
			if p.DefaultText != "" {
				line += fmt.Sprintf("; %s unless given", p.DefaultText)
			}
			if p.List {
				line += "; several values"
			}
			item(&b, p, line)
		}
	}
	b.WriteString("  get\n")
	for i := range e.Results {
		r := &e.Results[i]
		line := r.Means
		if r.Unit == "text" {
			line += ": " + strings.Join(r.Choices, ", ")
		}
		if r.List {
			line += "; one for each"
		}
		item(&b, r, line)
	}
	section(&b, "domain", e.Domain)
	section(&b, "source", e.Source)
	for _, c := range e.Cautions {
		section(&b, "caution", c)
	}
	return b.String()
}

// RenderAnswer is an answer as plain text: what was given and assumed, the
// results, then source and cautions.
func RenderAnswer(a Answer) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s  %s\n", a.Entry.Name, a.Entry.Title)
	wide := 0
	for _, v := range append(append([]Value{}, a.Given...), a.Results...) {
		wide = max(wide, utf8.RuneCountInString(v.Name))
	}
	show := func(mark string, v Value, note string) {
		line := fmt.Sprintf("%s = %s", pad(v.Name, wide), v.Text())
		if note != "" {
			line = pad(line, 44) + "  " + note
		}
		fmt.Fprintf(&b, "  %s %s\n", mark, strings.TrimRight(line, " "))
	}
	for _, v := range a.Given {
		note := ""
		if v.Defaulted {
			note = "assumed"
		}
		show(" ", v, note)
	}
	for _, v := range a.Results {
		show(">", v, v.Means)
	}
	section(&b, "source", a.Entry.Source)
	for _, c := range a.Entry.Cautions {
		section(&b, "caution", c)
	}
	return b.String()
}

// RenderList is every entry with one line each.
func RenderList(entries []*Entry) string {
	wide := 0
	for _, e := range entries {
		wide = max(wide, len(e.Name))
	}
	var b strings.Builder
	for _, e := range entries {
		fmt.Fprintf(&b, "%s  %s\n", pad(e.Name, wide), e.Title)
	}
	return b.String()
}

func item(b *strings.Builder, p *Param, text string) {
	head := p.Name
	if p.Unit != "" && p.Unit != "text" {
		head += ", " + p.Unit
	}
	wrap(b, "    "+pad(head, 26)+" ", strings.Repeat(" ", 31), text)
}

func section(b *strings.Builder, head, text string) {
	if text != "" {
		wrap(b, "  "+pad(head, 8)+" ", strings.Repeat(" ", 11), text)
	}
}

func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s)))
}

// wrap writes text at renderWidth, first line after head, the others after
// indent; line breaks of the text stay.
func wrap(b *strings.Builder, head, indent, text string) {
	line, start := head, true
	for _, para := range strings.Split(text, "\n") {
		for _, w := range strings.Fields(para) {
			if !start && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) > renderWidth {
				b.WriteString(strings.TrimRight(line, " ") + "\n")
				line, start = indent, true
			}
			if !start {
				line += " "
			}
			line, start = line+w, false
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
		line, start = indent, true
	}
}
