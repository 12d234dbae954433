package note

import (
	"fmt"
	"io"
	"strings"

	"whyworn/facts/source"
)

// Markdown writes a note as Markdown with pipe tables (CommonMark 0.31.2 and the table
// extension of GFM 0.29). No text of a file is interpreted: see mdText. Photographs
// are named, not shown: a note is one file. The error is w's.
func Markdown(w io.Writer, c *Content) error {
	m := &mdPage{}
	m.printf("# %s\n\n%s\n", mdText(c.Title), mdText(c.Machine))
	for _, b := range c.Blocks {
		m.block(b)
	}
	_, err := io.WriteString(w, m.String())
	return err
}

type mdPage struct{ strings.Builder }

func (m *mdPage) printf(format string, a ...any) { fmt.Fprintf(m, format, a...) }

func (m *mdPage) block(b Block) {
	switch b := b.(type) {
	case Heading:
		m.printf("\n%s %s\n", strings.Repeat("#", b.Level), mdText(b.Text))
	case Paragraph:
		mark := ""
		if b.Manner == Notice {
			mark = "> "
		}
		m.printf("\n%s%s\n", mark, led(b.Lead, b.Text))
	case List:
		m.printf("\n")
		for i, item := range b.Items {
			mark := "-"
			if b.Numbered {
				mark = fmt.Sprintf("%d.", i+1)
			}
			m.printf("%s %s\n", mark, led(item.Lead, item.Text))
		}
	case Details:
		m.table([]string{"", ""}, detailRows(b), nil)
	case Table:
		rows := make([][]string, len(b.Rows))
		for i, r := range b.Rows {
			for k, cell := range r {
				text := mdText(cell)
				if k == 0 && i < len(b.Strong) && b.Strong[i] {
					text = strong(text)
				}
				rows[i] = append(rows[i], text)
			}
		}
		head := make([]string, len(b.Head))
		for i, h := range b.Head {
			head[i] = mdText(h)
		}
		m.table(head, rows, b.Right)
	case Tasks:
		m.printf("\n")
		for i := range b {
			m.task(i+1, &b[i])
		}
	case Figure:
		if !b.Repeats {
			m.printf("\n%s\n", led(fmt.Sprintf("Figure %d.", b.Number), b.Picture.Title+". "+b.Picture.Desc))
		}
	case Photograph:
		gap := ""
		if b.Gap != "" {
			gap = " - " + strong("not shown: the photograph "+mdText(b.Gap))
		}
		m.printf("\n%s (%s)%s\n", led(fmt.Sprintf("Photo %d.", b.Number), b.Caption), mdText(b.File), gap)
	case Signing:
		var rows [][]string
		for i := 0; i+2 < len(b); i += 3 {
			rows = append(rows, []string{mdText(b[i]), "&nbsp;", mdText(b[i+1]), "&nbsp;", mdText(b[i+2]), "&nbsp;"})
		}
		m.table(make([]string, 6), rows, nil)
	}
}

func detailRows(d Details) [][]string {
	var rows [][]string
	for _, i := range d {
		rows = append(rows, []string{mdText(i.Lead), mdText(i.Text)})
	}
	return rows
}

func (m *mdPage) task(n int, t *Task) {
	tag := ""
	if t.Tag != "" {
		tag = " (" + mdText(t.Tag) + ")"
	}
	m.printf("- [ ] %s%s\n", strong(fmt.Sprintf("%d. ", n)+mdText(t.Title)), tag)
	for _, s := range t.Steps {
		m.printf("  - %s\n", mdText(s))
	}
	if t.Worked != "" {
		m.printf("  - It worked when: %s\n", mdText(t.Worked))
	}
	if t.Until != "" {
		m.printf("  - %s %s\n", strong("Do not run until"), mdText(t.Until))
	}
}

// table writes cells that are Markdown already.
func (m *mdPage) table(head []string, rows [][]string, right []bool) {
	m.printf("\n|")
	for _, h := range head {
		m.printf(" %s |", h)
	}
	m.printf("\n|")
	for i := range head {
		if i < len(right) && right[i] {
			m.printf(" ---: |")
		} else {
			m.printf(" --- |")
		}
	}
	m.printf("\n")
	for _, r := range rows {
		m.printf("|")
		for _, c := range r {
			m.printf(" %s |", c)
		}
		m.printf("\n")
	}
}

func led(lead, text string) string {
	if lead == "" {
		return mdText(text)
	}
	return joined(" ", strong(mdText(lead)), mdText(text))
}

func strong(md string) string { return "**" + md + "**" }

// mdText writes text so that Markdown shows it as it is, in a paragraph, an item or
// a cell. A backslash before an ASCII punctuation mark makes it that mark and nothing
// else (CommonMark 0.31.2, 2.4). Escaped are, everywhere, the marks that can begin or
// end something inside a line: \ ` * _ [ ] | ~ $ @, and : and . where an address or a
// short name could hang on them; at the beginning, those that can begin a block: # + -
// = and the stop or bracket after a number. < > & become entities, so that a reader
// who lets HTML through sees none. Control codes, line ends and marks that turn the
// line round are written out first: the text stays one line.
func mdText(s string) string {
	rs := []rune(strings.TrimSpace(source.Escape(s)))
	number := 0 // runes of digits at the beginning
	for number < len(rs) && rs[number] >= '0' && rs[number] <= '9' {
		number++
	}
	var b strings.Builder
	for i, r := range rs {
		escape := false
		switch r {
		case '<':
			b.WriteString("&lt;")
			continue
		case '>':
			b.WriteString("&gt;")
			continue
		case '&':
			b.WriteString("&amp;")
			continue
		case '\\', '`', '*', '_', '[', ']', '|', '~', '$', '@':
			escape = true
		case '#', '+', '-', '=':
			escape = i == 0
		case ':': // an address or a short name between colons goes on without a blank
			escape = i+1 < len(rs) && rs[i+1] != ' '
		case '.', ')':
			escape = number > 0 && i == number && (i+1 == len(rs) || rs[i+1] == ' ') || r == '.' && i >= 3 && strings.EqualFold(string(rs[i-3:i]), "www")
		}
		if escape {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}
