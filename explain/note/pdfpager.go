package note

// piece is what is never broken over two pages.
type piece struct {
	h    float64
	keep bool // with the next
	gap  bool // nothing but room: left out at the head of a page
	head *piece
	draw func(y float64)
	// fit gives the piece in less height, for what can be shrunk; false where it
	// would be too small to read. What has it may also wait for the next page, and
	// let what follows go before it.
	fit func(h float64) (piece, bool)
}

// placed is a piece on its page.
type placed struct {
	piece
	y float64
}

// pager puts pieces on pages.
type pager struct {
	pages   [][]placed
	page    []placed
	y       float64
	waiting []piece // for the next page
	headed  *piece  // the head of the table that was begun on this page
}

// paginate puts pieces on pages. Pieces kept with the next one go to a new page
// together, unless they are taller than a page; a table that is broken gets its
// head again; a drawing for which a page has no room left opens the next one.
func paginate(pieces []piece) [][]placed {
	p := &pager{y: marginTop}
	for i := 0; i < len(pieces); {
		n, h := together(pieces[i:])
		if h > bodyH { // too much to keep: piece by piece
			n, h = 1, pieces[i].h
		}
		group := pieces[i : i+n]
		if last := group[n-1]; last.fit != nil && p.wait(group, last, h) {
			i += n
			continue
		}
		if p.full(h) {
			p.turn()
			if x := group[0].head; x != nil && i > 0 && pieces[i-1].head == x {
				h += x.h // its head comes with it
			}
			if p.full(h) { // beside what waited
				p.turn()
			}
		}
		for k, x := range group {
			if at := i + k; x.head != nil && p.headed != x.head && at > 0 && pieces[at-1].head == x.head {
				p.put(*x.head)
			}
			p.put(x)
			p.headed = x.head
		}
		i += n
	}
	for len(p.waiting) > 0 {
		p.turn()
	}
	if len(p.page) > 0 || len(p.pages) == 0 {
		p.pages = append(p.pages, p.page)
	}
	return p.pages
}

// full tells whether a page has no room left for so much.
func (p *pager) full(h float64) bool { return len(p.page) > 0 && p.y+h > bottom+0.01 }

func (p *pager) put(x piece) {
	if x.gap && len(p.page) == 0 {
		return
	}
	p.page = append(p.page, placed{x, p.y})
	p.y += x.h
}

// turn begins a page, with what waited for it.
func (p *pager) turn() {
	if len(p.page) > 0 {
		p.pages = append(p.pages, p.page)
	}
	p.page, p.y, p.headed = nil, marginTop, nil
	for len(p.waiting) > 0 && !p.full(p.waiting[0].h) {
		p.put(p.waiting[0])
		p.waiting = p.waiting[1:]
		p.put(piece{h: floatGap, gap: true, draw: func(float64) {}})
	}
}

// floatGap is the room under a drawing that opens a page.
const floatGap = 7.0

// wait lets a drawing wait for the next page, if this one has no room left for it, even
// shrunk, or another one waits already. Otherwise it is put on this page.
func (p *pager) wait(group []piece, last piece, h float64) bool {
	alone := true // nothing but room before it
	for _, x := range group[:len(group)-1] {
		alone = alone && x.gap
	}
	switch {
	case len(p.waiting) == 0 && !p.full(h):
		return false
	case len(p.waiting) == 0:
		if small, ok := last.fit(bottom - p.y - (h - last.h)); ok {
			for _, x := range group[:len(group)-1] {
				p.put(x)
			}
			p.put(small)
			return true
		}
	}
	if alone {
		p.waiting = append(p.waiting, last)
	}
	return alone
}

// together is how many of the first pieces belong on one page, and how high they
// are: room before, then all up to one that is not kept with the next. Room at the
// head of a page falls away, so a page that begins with it has some to spare.
func together(pieces []piece) (n int, h float64) {
	for _, p := range pieces {
		n++
		h += p.h
		if !p.gap && !p.keep {
			break
		}
	}
	return n, h
}
