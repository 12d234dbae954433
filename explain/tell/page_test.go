package tell

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-zµ°]{1,12}`)).Draw(t, "words")
		width := rapid.IntRange(12, 60).Draw(t, "width")
		lines := wrap(strings.Join(words, " "), width)
		if got := strings.Fields(strings.Join(lines, " ")); strings.Join(got, " ") != strings.Join(words, " ") {
			t.Fatalf("words lost: %q", lines)
		}
		for _, l := range lines {
			if utf8.RuneCountInString(l) > width {
				t.Fatalf("%q is wider than %d", l, width)
			}
		}
	})
}

func TestTableEscapesAndAligns(t *testing.T) {
	p := NewPage(60)
	p.Table("  ", [][]string{{"", "1in", "2ex"}, {"tint\x1b[31m", "none", "blue"}, {"a long name of a row", "µ", "-"}})
	var b strings.Builder
	p.WriteTo(&b)
	want := "" +
		"                        1in   2ex\n" +
		"  tint\\u{1b}[31m        none  blue\n" +
		"  a long name of a row  µ     -\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}
