package source

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

// Options say how [Write] prints. The zero value is the usual form.
type Options struct {
	Max   int  // how many problems to print; 0 is 50, less than 0 is all
	Terse bool // one line a problem: no source, no other place, no hints
}

const (
	usualMax  = 50
	lineWidth = 100 // columns of a source line that are shown
	margin    = "    "
)

// Write prints problems for people, in the order given, ended by the number
// left out if there were more than opt.Max:
//
//	seat.toml:4:9: "tints" means nothing in a seat [unknown-key]
//	    2ex = { tints = "blue" }
//	            ^^^^^
//	  first written at seat.toml:2:1
//	  hint: did you mean "tint"?
//
// Text from the files is escaped, see [Escape]. Write errors are for the caller
// to find on w: problems go to standard error, where nothing can be done.
func Write(w io.Writer, ps Problems, opt Options) {
	out := bufio.NewWriter(w)
	defer out.Flush()
	limit := opt.Max
	if limit == 0 {
		limit = usualMax
	}
	if limit < 0 || limit > len(ps) {
		limit = len(ps)
	}
	for _, p := range ps[:limit] {
		fmt.Fprintln(out, p.Error())
		if opt.Terse {
			continue
		}
		writeSource(out, p.At)
		if !p.Other.IsZero() {
			says := p.OtherSays
			if says == "" {
				says = "see also"
			}
			fmt.Fprintf(out, "  %s: %s\n", Escape(says), Escape(p.Other.String()))
			if p.Other.File != p.At.File || p.Other.Start != p.At.Start {
				writeSource(out, p.Other)
			}
		}
		for _, hint := range p.Hints {
			fmt.Fprintf(out, "  hint: %s\n", Escape(clip(hint)))
		}
	}
	if left := len(ps) - limit; left > 0 {
		fmt.Fprintf(out, "%d more not shown\n", left)
	}
}

// writeSource prints the first line of a place and a line of carets under it.
func writeSource(out io.Writer, at Span) {
	if at.IsZero() || len(at.File.Data) == 0 {
		return
	}
	start := at.File.clamp(at.Start)
	text, offset := at.File.LineAt(start)
	if len(text) == 0 {
		return // nothing to point at
	}
	from := min(start-offset, len(text))
	to := max(from, min(at.File.clamp(at.End)-offset, len(text)))

	before, marked, after := shown(text[:from]), shown(text[from:to]), shown(text[to:])
	// A long line is cut around the place, which stays whole if it fits.
	before = cutLeft(before, lineWidth*2/5)
	marked = cutRight(marked, lineWidth)
	after = cutRight(after, max(0, lineWidth-columns(before)-columns(marked)))
	carets := max(1, columns(marked))
	fmt.Fprintf(out, "%s%s\n", margin, strings.TrimRight(before+marked+after, " "))
	fmt.Fprintf(out, "%s%s%s\n", margin, strings.Repeat(" ", columns(before)), strings.Repeat("^", carets))
}

func shown(text []byte) string {
	parts := strings.Split(string(text), "\t")
	for i, part := range parts {
		parts[i] = Escape(part)
	}
	return strings.Join(parts, margin)
}

// columns returns how many terminal cells text takes: wide and fullwidth
// characters (Unicode Standard Annex #11) two, combining marks none.
func columns(text string) int {
	n := 0
	for _, r := range text {
		n += runeColumns(r)
	}
	return n
}

func runeColumns(r rune) int {
	if r < 0x300 {
		return 1
	}
	if unicode.In(r, unicode.Mn, unicode.Me) {
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// cutLeft drops runes from the left until text takes at most limit columns.
func cutLeft(text string, limit int) string {
	if columns(text) <= limit {
		return text
	}
	i, n := len(text), 1
	for i > 0 {
		r, w := utf8.DecodeLastRuneInString(text[:i])
		if n += runeColumns(r); n > limit {
			break
		}
		i -= w
	}
	return "…" + text[i:]
}

// cutRight drops runes from the right until text takes at most limit columns.
func cutRight(text string, limit int) string {
	n, keep := 0, 0
	for i, r := range text {
		n += runeColumns(r)
		if n > limit {
			return text[:keep] + "…"
		}
		if n < limit {
			keep = i + utf8.RuneLen(r)
		}
	}
	return text
}
