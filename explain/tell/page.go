// Package tell writes explanations as plain text for a terminal or a printer.
// Start with [Diagnosis]. It decides nothing: what it writes is the value that
// package explain answers.
package tell

import (
	"io"
	"strings"
	"unicode/utf8"

	"whyworn/facts/source"
)

// Page gathers lines of text no wider than Width runes. Words from files are
// escaped, so that nothing in them can move the cursor or turn the line round.
type Page struct {
	Width int
	b     strings.Builder
}

// NewPage begins a page; 0 is the usual width.
func NewPage(width int) *Page {
	if width <= 0 {
		width = 96
	}
	return &Page{Width: max(width, 40)}
}

// WriteTo writes the page.
func (p *Page) WriteTo(w io.Writer) (int64, error) {
	n, err := io.WriteString(w, p.b.String())
	return int64(n), err
}

// Line writes one line as it is, escaped.
func (p *Page) Line(text string) {
	p.b.WriteString(strings.TrimRight(source.Escape(text), " "))
	p.b.WriteByte('\n')
}

// Gap leaves a line free.
func (p *Page) Gap() { p.b.WriteByte('\n') }

// Head begins a section.
func (p *Page) Head(text string) {
	p.Gap()
	p.Line(strings.ToUpper(text))
}

// Para writes text wrapped, the first line behind first, the others behind rest.
func (p *Page) Para(first, rest, text string) {
	prefix := first
	for _, line := range wrap(source.Escape(text), p.Width-max(utf8.RuneCountInString(first), utf8.RuneCountInString(rest))) {
		p.b.WriteString(strings.TrimRight(source.Escape(prefix)+line, " "))
		p.b.WriteByte('\n')
		prefix = rest
	}
}

// Item writes text behind a label in a column of its own.
func (p *Page) Item(label string, column int, text string) {
	p.Para(pad(label, column), strings.Repeat(" ", column), text)
}

// wrap breaks text at blanks; a word longer than the width is broken behind the
// last mark in it that fits, else where the width ends.
func wrap(text string, width int) []string {
	width = max(width, leastRoom)
	var lines []string
	line, n := "", 0
	for _, word := range strings.Fields(text) {
		w := utf8.RuneCountInString(word)
		if n > 0 && n+1+w > width {
			lines = append(lines, line)
			line, n = "", 0
		}
		for w > width {
			head := breakWord(word, width)
			lines = append(lines, head)
			word = word[len(head):]
			w = utf8.RuneCountInString(word)
		}
		if n > 0 {
			line += " "
			n++
		}
		line += word
		n += w
	}
	if n > 0 || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// leastRoom is the narrowest column that text is wrapped in.
const leastRoom = 8

// breakWord cuts off what of a word fits on a line.
func breakWord(word string, width int) string {
	head, n := 0, 0
	for i, r := range word {
		if n == width {
			if head == 0 {
				head = i
			}
			break
		}
		n++
		if n > width/2 && strings.ContainsRune("-_./", r) {
			head = i + utf8.RuneLen(r)
		}
	}
	return word[:head]
}

// pad fills text up to a width; at least one blank follows it.
func pad(text string, width int) string {
	n := utf8.RuneCountInString(text)
	if n >= width {
		return text + " "
	}
	return text + strings.Repeat(" ", width-n)
}

// Table writes rows in columns as wide as they need; the first row is the head.
// A row of one cell is a heading within the table. When the columns are too
// wide together, the cells of the widest are wrapped.
func (p *Page) Table(indent string, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	widths := make([]int, len(rows[0]))
	for _, r := range rows {
		if len(r) == 1 {
			continue // a heading within the table
		}
		for i, cell := range r {
			widths[i] = max(widths[i], utf8.RuneCountInString(source.Escape(cell)))
		}
	}
	const gap = 2
	room := p.Width - len(indent) - gap*(len(widths)-1)
	least := longestWords(rows, len(widths))
	for total(widths) > room {
		widest := -1
		for i := range widths {
			if widths[i] > least[i] && (widest < 0 || widths[i] > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			p.stacked(indent, rows)
			return
		}
		widths[widest]--
	}
	for _, r := range rows {
		if len(r) == 1 {
			p.Line(indent + r[0])
			continue
		}
		cells := make([][]string, len(r))
		height := 1
		for i, cell := range r {
			lead := cell[:len(cell)-len(strings.TrimLeft(cell, " "))]
			for _, line := range wrap(source.Escape(cell), widths[i]-len(lead)) {
				cells[i] = append(cells[i], lead+line)
			}
			height = max(height, len(cells[i]))
		}
		for k := range height {
			line := indent
			for i := range r {
				text := ""
				if k < len(cells[i]) {
					text = cells[i][k]
				}
				line += pad(text, widths[i])[:len(text)+max(0, widths[i]-utf8.RuneCountInString(text))]
				if i < len(r)-1 {
					line += strings.Repeat(" ", gap)
				}
			}
			p.b.WriteString(strings.TrimRight(line, " "))
			p.b.WriteByte('\n')
		}
	}
}

// longestWords is the narrowest that each column can be without breaking words.
func longestWords(rows [][]string, columns int) []int {
	least := make([]int, columns)
	for _, r := range rows {
		if len(r) == 1 {
			continue
		}
		for i, cell := range r {
			lead := len(cell) - len(strings.TrimLeft(cell, " "))
			least[i] = max(least[i], min(lead+leastRoom, utf8.RuneCountInString(source.Escape(cell))))
			for _, word := range strings.Fields(source.Escape(cell)) {
				least[i] = max(least[i], lead+utf8.RuneCountInString(word))
			}
		}
	}
	return least
}

// stacked writes a table that is too wide for the page: a paragraph for each
// row, each cell behind the head of its column.
func (p *Page) stacked(indent string, rows [][]string) {
	heads := rows[0]
	for _, r := range rows[1:] {
		lead := indent + r[0][:len(r[0])-len(strings.TrimLeft(r[0], " "))]
		text := strings.TrimSpace(r[0])
		between := ": "
		for i := 1; i < len(r); i++ {
			if strings.TrimSpace(r[i]) != "" {
				text += between + strings.TrimSpace(heads[i]+" "+r[i])
				between = ", "
			}
		}
		p.Para(lead, lead+"  ", text)
	}
}

func total(widths []int) int {
	sum := 0
	for _, w := range widths {
		sum += w
	}
	return sum
}
