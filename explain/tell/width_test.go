package tell

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// No line is wider than the page, whatever stands in it.
func TestNothingIsWiderThanThePage(t *testing.T) {
	word := rapid.StringMatching(`[a-z°µ.-]{1,60}( [a-z°µ.-]{1,12}){0,12}`)
	rapid.Check(t, func(t *rapid.T) {
		p := NewPage(rapid.IntRange(40, 100).Draw(t, "width"))
		rows := [][]string{}
		columns := rapid.IntRange(1, 6).Draw(t, "columns")
		for range rapid.IntRange(1, 5).Draw(t, "rows") {
			row := []string{"  " + word.Draw(t, "name")}
			for range columns {
				row = append(row, word.Draw(t, "cell"))
			}
			rows = append(rows, row)
		}
		p.Table("  ", rows)
		p.Item("  evidence", 16, word.Draw(t, "text"))
		for line := range strings.Lines(p.b.String()) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > p.Width {
				t.Fatalf("%d runes on a page of %d: %q", n, p.Width, line)
			}
		}
	})
}

// A table whose columns do not fit keeps every cell beside the head of its column.
func TestTableTooWideForThePage(t *testing.T) {
	p := NewPage(40)
	p.Table("  ", [][]string{
		{"", "inlet", "exhaust", "starting", "scavenging"},
		{"  ridge", "plain", "undecided", "undecided", "plain"},
	})
	want := "    ridge: inlet plain, exhaust\n      undecided, starting undecided,\n      scavenging plain\n"
	if got := p.b.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
