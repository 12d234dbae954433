package note

// table sets rows under a head that is repeated on each page. A row is kept
// whole, unless it is taller than is kept.
func (p *pdfPage) table(t *Table) {
	const between, pad, size = 8.0, 2.4, tableSize
	widths := p.columnWidths(t, between)
	lh := size * 1.32
	head := p.tableRow(t.Head, nil, t.Right, widths, between, true)
	headH := float64(tallest(head))*lh + 2*pad
	headPiece := piece{h: headH, keep: true, draw: func(y float64) {
		// The head stands at the foot of its row, beside the shorter names.
		p.cells(head, 0, tallest(head), widths, between, y+pad, lh, size, t.Right, true)
		p.rule(marginX, y+headH-0.5, pageW-marginX, 1, inkColour)
	}}
	first := headPiece
	first.head = &headPiece
	p.add(first)
	for n, r := range t.Rows {
		strong := n < len(t.Strong) && t.Strong[n]
		cells := p.tableRow(r, &strong, t.Right, widths, between, false)
		most := tallest(cells)
		step := most
		if float64(most)*lh > keptWhole {
			step = 12
		}
		for from := 0; from < most; from += step {
			to := min(from+step, most)
			h := float64(to-from)*lh + 2*pad
			last := to == most
			// No short row alone at either end.
			keep := last && step == most && len(t.Rows) > 1 && (n == 0 || n == len(t.Rows)-2) && most <= 8
			p.add(piece{h: h, keep: keep, head: &headPiece, draw: func(y float64) {
				p.cells(cells, from, to, widths, between, y+pad, lh, size, t.Right, false)
				if last {
					p.rule(marginX, y+h, pageW-marginX, 0.4, lineColour)
				}
			}})
		}
	}
	p.space(8)
}

// tableRow wraps the cells of a row.
func (p *pdfPage) tableRow(cells []string, strong *bool, right []bool, widths []float64, between float64, head bool) [][][]word {
	out := make([][][]word, len(cells))
	for i, c := range cells {
		t := led2("", c)
		if head || i == 0 && *strong {
			t = led2(c, "")
		}
		out[i] = p.wrapped(t, widths[i], tableSize)
	}
	return out
}

func tallest(cells [][][]word) int {
	most := 1
	for _, c := range cells {
		most = max(most, len(c))
	}
	return most
}

// cells draws some lines of a row.
func (p *pdfPage) cells(cells [][][]word, from, to int, widths []float64, between, y, lh, size float64, right []bool, head bool) {
	x := float64(marginX)
	for i, lines := range cells {
		down := 0
		if head {
			down = to - len(lines)
		}
		for k := from; k < to && k-down < len(lines); k++ {
			if k < down {
				continue
			}
			l := lines[k-down]
			at := x
			if i < len(right) && right[i] {
				at = x + widths[i] - p.lineWidth(l, size)
			}
			p.setLine(at, y+float64(k-from)*lh+size*0.95, size, l, inkColour)
		}
		x += widths[i] + between
	}
}

func (p *pdfPage) lineWidth(line []word, size float64) float64 {
	w := 0.0
	for i, x := range line {
		if i > 0 {
			w += p.width(" ", "", size)
		}
		w += p.width(x.text, style(x.bold), size)
	}
	return w
}

// columnWidths gives each column its share of the line, or less where it needs less.
func (p *pdfPage) columnWidths(t *Table, between float64) []float64 {
	n := len(t.Head)
	room := bodyW - between*float64(n-1)
	need := make([]float64, n)
	for _, r := range append([][]string{t.Head}, t.Rows...) {
		for i, c := range r {
			// In bold: as wide as it can get. What is long is long enough.
			if len(c) > 200 {
				need[i] = room
			} else {
				need[i] = max(need[i], p.width(p.faces.show(c), "B", tableSize))
			}
		}
	}
	out := make([]float64, n)
	open := make([]bool, n)
	for i := range open {
		open[i] = true
	}
	for changed := true; changed; {
		changed = false
		sum, left := 0.0, room
		for i := range n {
			if open[i] {
				sum += t.Shares[i]
			} else {
				left -= out[i]
			}
		}
		for i := range n {
			if !open[i] {
				continue
			}
			out[i] = left * t.Shares[i] / sum
			if need[i] <= out[i] {
				out[i], open[i], changed = need[i], false, true
				break
			}
		}
	}
	return out
}
