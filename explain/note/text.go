package note

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"whyworn/facts/source"
)

// textColumns is the width of a note as text.
const textColumns = 80

// Text writes a note as plain text of 80 columns. Photographs are named, and
// drawings are told in words. The error is w's.
func Text(w io.Writer, c *Content) error {
	p := &textPage{}
	p.para("", "", strings.ToUpper(c.Title))
	p.para("", "", c.Machine)
	for _, b := range c.Blocks {
		p.block(b)
	}
	_, err := io.WriteString(w, p.String())
	return err
}

// textPage gathers lines. Everything that comes from a file is escaped on its way in.
type textPage struct {
	strings.Builder
	gap bool // the last line is empty
}

func (p *textPage) line(s string) {
	s = strings.TrimRight(s, " ")
	if s == "" && p.gap {
		return
	}
	p.gap = s == ""
	p.WriteString(s)
	p.WriteByte('\n')
}

// para writes text wrapped, its first line behind first, the others behind rest.
func (p *textPage) para(first, rest, text string) {
	width := textColumns - max(runes(first), runes(rest))
	for _, l := range wrap(source.Escape(text), width) {
		p.line(first + l)
		first = rest
	}
}

func runes(s string) int { return utf8.RuneCountInString(s) }

func (p *textPage) block(b Block) {
	switch b := b.(type) {
	case Heading:
		p.line("")
		if b.Level > 2 {
			p.para("", "", b.Text)
			return
		}
		p.para("", "", strings.ToUpper(b.Text))
		p.line(strings.Repeat("-", min(textColumns, runes(b.Text))))
	case Paragraph:
		lead := b.Lead
		if b.Manner == Notice {
			lead = strings.ToUpper(lead)
		}
		p.para("", "", joined(" ", lead, b.Text))
		p.line("")
	case List:
		for i, item := range b.Items {
			mark := "- "
			if b.Numbered {
				mark = fmt.Sprintf("%d ", i+1)
			}
			p.para(mark, "  ", joined(" ", item.Lead, item.Text))
		}
		p.line("")
	case Details:
		wide := 0
		for _, d := range b {
			wide = max(wide, runes(d.Lead))
		}
		for _, d := range b {
			p.para(pad(d.Lead, wide+2), strings.Repeat(" ", wide+2), d.Text)
		}
		p.line("")
	case Table:
		p.table(&b)
		p.line("")
	case Tasks:
		for i := range b {
			p.task(i+1, &b[i])
		}
	case Figure:
		if b.Repeats {
			return
		}
		p.para(fmt.Sprintf("Figure %d: ", b.Number), "  ", b.Picture.Title)
		p.para("  ", "  ", b.Picture.Desc)
		p.line("")
	case Photograph:
		p.para(fmt.Sprintf("Photo %d  ", b.Number), "         ", joined(" ", b.Caption, "["+b.File+"]"))
		if b.Gap != "" {
			p.para("         NOT SHOWN: ", "         ", "the photograph "+b.Gap)
		}
	case Signing:
		for i := 0; i+2 < len(b); i += 3 {
			p.line("")
			p.line(fmt.Sprintf("%-6s ____________________  %s ______________  %s ____________________", b[i], b[i+1], b[i+2]))
		}
	}
}

func (p *textPage) task(n int, t *Task) {
	title := t.Title
	if t.Tag != "" {
		title += " (" + t.Tag + ")"
	}
	p.para(fmt.Sprintf("[ ] %2d  ", n), "        ", title)
	for _, s := range t.Steps {
		p.para("        - ", "          ", s)
	}
	if t.Worked != "" {
		p.para("        ", "        ", "It worked when: "+t.Worked)
	}
	if t.Until != "" {
		p.para("        ", "        ", "DO NOT RUN until "+t.Until)
	}
	p.line("        Done by ____________________  on ______________")
	p.line("")
}

const textGap = 2 // between columns

// table writes rows under a ruled head; "!" marks rows that call for attention.
func (p *textPage) table(t *Table) {
	rows := [][]string{t.Head}
	for i, r := range t.Rows {
		cells := append([]string{}, r...)
		if i < len(t.Strong) && t.Strong[i] {
			cells[0] = "! " + cells[0]
		}
		rows = append(rows, cells)
	}
	for _, r := range rows {
		for i := range r {
			r[i] = source.Escape(r[i])
		}
	}
	widths := textWidths(rows, t.Shares)
	for n, r := range rows {
		p.row(r, widths, t.Right)
		if n == 0 {
			var rule []string
			for _, w := range widths {
				rule = append(rule, strings.Repeat("-", w))
			}
			p.line(strings.Join(rule, strings.Repeat(" ", textGap)))
		}
	}
}

// textWidths gives each column what it needs where all fit, else its share of the line,
// but no more than it needs and no less than its longest word, if that is short.
func textWidths(rows [][]string, shares []float64) []int {
	n := len(rows[0])
	need, least := make([]int, n), make([]int, n)
	for _, r := range rows {
		for i, cell := range r {
			need[i] = max(need[i], runes(cell))
			for _, word := range strings.Fields(cell) {
				least[i] = max(least[i], min(runes(word), 12))
			}
		}
	}
	room := textColumns - textGap*(n-1)
	out := make([]int, n)
	open := map[int]bool{}
	for i := range n {
		open[i] = true
	}
	// Columns that need less than their share leave the rest to the others.
	for changed := true; changed; {
		changed = false
		sum, left := 0.0, room
		for i := range n {
			if open[i] {
				sum += shares[i]
			} else {
				left -= out[i]
			}
		}
		for i := range n {
			if !open[i] {
				continue
			}
			out[i] = max(least[i], int(float64(left)*shares[i]/sum))
			if need[i] <= out[i] {
				out[i], open[i], changed = need[i], false, true
				break
			}
		}
	}
	for over := total(out) - room; over > 0; over-- { // the least widths pushed it over
		widest := 0
		for i := range out {
			if out[i] > out[widest] {
				widest = i
			}
		}
		out[widest]--
	}
	return out
}

func total(ns []int) int {
	sum := 0
	for _, n := range ns {
		sum += n
	}
	return sum
}

func (p *textPage) row(cells []string, widths []int, right []bool) {
	lines := make([][]string, len(cells))
	height := 1
	for i, c := range cells {
		lines[i] = wrap(c, widths[i])
		height = max(height, len(lines[i]))
	}
	for k := range height {
		var b strings.Builder
		for i := range cells {
			text := ""
			if k < len(lines[i]) {
				text = lines[i][k]
			}
			if i < len(right) && right[i] {
				text = strings.Repeat(" ", max(0, widths[i]-runes(text))) + text
			}
			b.WriteString(pad(text, widths[i]))
			if i < len(cells)-1 {
				b.WriteString(strings.Repeat(" ", textGap))
			}
		}
		p.line(b.String())
	}
}

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-runes(s)))
}
