package learn

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/condition"
)

// TOML is a file of a pack with all its clues, each number learned or, where
// cases are too few, the author's; the author's stands beside each that changed. How
// common the causes are stands in comments, for that belongs to the findings. from
// names what was counted. The file takes the place of the pack's clues.
func (l *Lesson) TOML(from string) string {
	w := &writer{from: from, lesson: l}
	w.comment("The clues of %s %s, their frequencies counted in %s:", l.Pack.ID, l.Pack.Version, from)
	w.comment("%s.", l.Basis())
	w.comment("Each is (n+1)/(N+k), k the number of possible answers (Laplace's correction). A number that")
	w.comment("would rest on fewer than %s stays the author's.", inspections(l.Least))
	w.comment("")
	w.comment("To use it, copy the pack, take its [[clue]] tables out of the copy and put this file in. It")
	w.comment("changes nothing by itself; the author's numbers stand beside those that differ.")
	w.comment("")
	w.comment("How common the causes are, for how_common of their [[finding]] tables:")
	for i := range l.Common {
		c := &l.Common[i]
		if c.Learned == 0 {
			w.comment("  %s: stays %s, the author's; only %s", c.Prop.Label(), number(c.Author), inspections(c.Cases))
			continue
		}
		w.comment("  %s: %s, author: %s; %d of %d parts in %s", c.Prop.Label(), number(c.Learned), number(c.Author), c.N, c.Of, inspections(c.Cases))
	}
	for i := range l.Clues {
		w.clue(&l.Clues[i])
	}
	return w.b.String()
}

// Basis says what the numbers rest on.
func (l *Lesson) Basis() string {
	text := inspections(l.Cases) + " with confirmed causes"
	if l.Unconfirmed > 0 {
		text += fmt.Sprintf("; %d with nothing confirmed left out", l.Unconfirmed)
	}
	return text
}

func inspections(n int) string {
	if n == 1 {
		return "1 inspection"
	}
	return fmt.Sprintf("%d inspections", n)
}

type writer struct {
	b      strings.Builder
	from   string
	lesson *Lesson
}

func (w *writer) line(format string, args ...any) {
	fmt.Fprintf(&w.b, format, args...)
	w.b.WriteByte('\n')
}

func (w *writer) comment(format string, args ...any) {
	w.b.WriteString(strings.TrimRight("# "+source.Escape(fmt.Sprintf(format, args...)), " ") + "\n")
}

func (w *writer) clue(c *Clue) {
	w.line("")
	if c.Mute {
		w.comment("left out, for it says nothing: %s shows as often without %s as with it", c.ID, c.Label())
		w.comment("(%s, %s);", c.Seen(&c.WhenSo), c.Seen(&c.Otherwise))
		w.comment("author: when_so = %s, otherwise = %s", c.author(&c.WhenSo), c.author(&c.Otherwise))
		return
	}
	w.line("[[clue]]")
	w.line("id = %s", quote(c.ID))
	w.line("cause = %s", quote(c.Each[c.Cause.Var].ID+"."+c.Cause.Prop.ID))
	w.line("each = { %s }", each(c.Each))
	w.line("sign = %s", quote(c.Sign.Text))
	if len(c.If) > 0 {
		w.line("if = [%s]", texts(c.If))
	}
	w.frequency(c, "when_so", &c.WhenSo)
	w.frequency(c, "otherwise", &c.Otherwise)
	if text := c.Basis(); text != "" {
		w.line("counts = %s", quote(text))
	}
	if c.Mechanism != "" {
		w.line("mechanism = %s", quote(c.Mechanism))
	}
	if src := w.source(c); src != "" {
		w.line("source = %s", quote(src))
	}
}

// source keeps the author's source: the mechanism rests on it, and a number that
// stays.
func (w *writer) source(c *Clue) string {
	if c.WhenSo.Learned == nil && c.Otherwise.Learned == nil {
		return c.Source
	}
	text := fmt.Sprintf("counted in %s, %s", w.from, inspections(w.lesson.Cases))
	if c.Source != "" {
		text += "; the author's: " + c.Source
	}
	return text
}

func (w *writer) frequency(c *Clue, key string, f *Frequency) {
	if f.Learned == nil {
		why := fmt.Sprintf("%s, in %s, fewer than %d", c.Seen(f), inspections(f.Cases), w.lesson.Least)
		if c.ByDamage {
			why = "confirmed causes do not tell of damage"
		}
		w.comment("%s stays the author's: %s", key, why)
		w.line("%s = %s", key, c.author(f))
		return
	}
	w.line("%s = %s # author: %s", key, frequencies(c.Choices(), f.Learned), source.Escape(c.author(f)))
}

// author is the author's frequency as it can be written in a pack.
func (c *Clue) author(f *Frequency) string {
	if f.Word != "" {
		return quote(f.Word)
	}
	return frequencies(c.Choices(), f.Author)
}

func frequencies(choices []string, fs []float64) string {
	if choices == nil {
		return number(fs[0])
	}
	var out []string
	for i, f := range fs {
		out = append(out, key(choices[i])+" = "+number(f))
	}
	return "{ " + strings.Join(out, ", ") + " }"
}

// number writes a frequency so that it is read back as the same float64.
func number(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

func each(b rules.Binding) string {
	var out []string
	for _, n := range b {
		out = append(out, n.ID+" = "+quote(n.Kind.ID))
	}
	return strings.Join(out, ", ")
}

func texts(cs []*condition.Condition) string {
	var out []string
	for _, c := range cs {
		out = append(out, quote(c.Text))
	}
	return strings.Join(out, ", ")
}

// key writes a key of TOML 1.0, in quotes unless it may stand bare.
func key(s string) string {
	for _, r := range s {
		if r != '-' && r != '_' && (r > 'z' || !unicode.IsLetter(r) && !unicode.IsDigit(r)) {
			return quote(s)
		}
	}
	if s == "" {
		return quote(s)
	}
	return s
}

// quote writes a basic string of TOML 1.0.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == ' ' || unicode.IsPrint(r):
			b.WriteRune(r)
		case r > 0xffff:
			fmt.Fprintf(&b, `\U%08X`, r)
		default:
			fmt.Fprintf(&b, `\u%04X`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
