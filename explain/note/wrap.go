package note

import "strings"

// word is one word in one face.
type word struct {
	text string
	bold bool
}

// words splits text at blanks, but for those of "14.966 ± 0.004", which is read in one.
func words(text string, bold bool) []word {
	var out []word
	glued := false
	for _, t := range strings.Fields(text) {
		if n := len(out); n > 0 && (glued || t == "±") {
			out[n-1].text += " " + t
		} else {
			out = append(out, word{t, bold})
		}
		glued = t == "±" && !glued
	}
	return out
}

// wrapWords breaks words into lines no wider than width, by a measure of its own:
// between words, and inside one that alone is wider. There is at least one line,
// and every line takes at least one rune.
func wrapWords(in []word, width, blank float64, measure func(word) float64) [][]word {
	var lines [][]word
	var line []word
	wide := 0.0
	for _, w := range in {
		long := measure(w)
		if len(line) > 0 && wide+blank+long <= width {
			line = append(line, w)
			wide += blank + long
			continue
		}
		if len(line) > 0 {
			lines = append(lines, line)
		}
		for long > width {
			n := fits(w, width, measure)
			if n == len(w.text) {
				break
			}
			lines = append(lines, []word{{w.text[:n], w.bold}})
			w.text = w.text[n:]
			long = measure(w)
		}
		line, wide = []word{w}, long
	}
	if len(line) > 0 || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// fits is how many bytes of a word go on one line: at least one rune.
func fits(w word, width float64, measure func(word) float64) int {
	sum, first := 0.0, true
	for i, r := range w.text {
		sum += measure(word{string(r), w.bold})
		if sum > width && !first {
			return i
		}
		first = false
	}
	return len(w.text)
}

// plainLine joins the words of a line.
func plainLine(line []word) string {
	var b strings.Builder
	for i, w := range line {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(w.text)
	}
	return b.String()
}

// wrap breaks text into lines of so many columns, a rune each.
func wrap(text string, width int) []string {
	var out []string
	for _, l := range wrapWords(words(text, false), float64(width), 1, func(w word) float64 { return float64(runes(w.text)) }) {
		out = append(out, plainLine(l))
	}
	return out
}
