package draw

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
	"pgregory.net/rapid"
)

// The estimate against the widths of Helvetica as Adobe published them (Core 14
// AFM), which fpdf carries: text may come out narrower than estimated, never wider.
func TestWidthIsNoLessThanHelvetica(t *testing.T) {
	pdf := fpdf.New("P", "pt", "A4", "")
	for _, bold := range []bool{false, true} {
		style := ""
		if bold {
			style = "B"
		}
		pdf.SetFont("Helvetica", style, 10)
		f := face{size: 10, bold: bold}
		for r := rune(0x20); r < 0x7f; r++ {
			if got, least := f.width(string(r)), pdf.GetStringWidth(string(r)); got < least {
				t.Errorf("bold %v, %q: estimated %.2f pt, Helvetica needs %.2f", bold, r, got, least)
			}
		}
		s := "The far seats had least oil and wore on the side toward the head."
		if got, is := f.width(s), pdf.GetStringWidth(s); got > 1.45*is {
			t.Errorf("bold %v: estimated %.1f pt for what Helvetica sets in %.1f: too cautious to be useful", bold, got, is)
		}
	}
}

// hostile is text as strangers may write it.
var hostile = []string{
	`</text><script>alert(1)</script>`, `"><image href="http://example.org/x"/>`, `]]>&amp;&lt;<!--`, `' onload='x`,
	"right\u202eto left\u202c \u2066isolate\u2069 \u200fmark", "bell\x07 null\x00 esc\x1b[31m del\x7f", "bad utf-8 \xff\xfe\xc3", "non\ufffe\uffff\ufdd0characters",
	"line\nfeed\tand\r\ntab\u2028", "emoji 🛠️👩‍🔧 flag 🇳🇱", "\ufeffbom\u200bzero", "z" + strings.Repeat("\u0301", 40) + "algo",
	"שלום עולם", "漢字仮名交じり文", strings.Repeat("W", 10_000), strings.Repeat("long words ", 900), "", "   ", "\u00ad\u00ad",
}

func anyText() *rapid.Generator[string] {
	return rapid.OneOf(rapid.SampledFrom(hostile), rapid.StringN(0, 60, -1), rapid.StringMatching(`[a-z]{1,12}( [a-z]{1,12}){0,8}`))
}

func TestCleanLeavesNothingHidden(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := clean(anyText().Draw(t, "text"))
		if !utf8.ValidString(s) {
			t.Fatalf("not UTF-8: %q", s)
		}
		for _, r := range s {
			if hidden(r) || r < 0x20 {
				t.Fatalf("%U is still in %q", r, s)
			}
		}
		if again := clean(s); again != s {
			t.Fatalf("not idempotent: %q, then %q", s, again)
		}
	})
	for in, want := range map[string]string{
		"a\u202eb":      "a\ufffdb",
		" a \n b ":      "a b",
		"x\x1b[31my":    "x\ufffd[31my",
		"Øre ≥ 3 µm":    "Øre ≥ 3 µm",
		"👩\u200d🔧":      "👩\u200d🔧",
		"0.05\u00a0mm":  "0.05\u00a0mm",
		"tag\U000e0041": "tag\ufffd",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestWrapFitsAndLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyText().Draw(t, "text")
		f := face{size: rapid.Float64Range(6, 12).Draw(t, "size"), bold: rapid.Bool().Draw(t, "bold")}
		width := rapid.Float64Range(30, 300).Draw(t, "width")
		most := rapid.IntRange(1, 6).Draw(t, "lines")
		w := f.wrap(s, width, most)
		if len(w.lines) > most {
			t.Fatalf("%d lines of %d", len(w.lines), most)
		}
		for _, l := range w.lines {
			if f.width(l) > width+1e-9 {
				t.Fatalf("line %q is %.2f wide of %.2f", l, f.width(l), width)
			}
		}
		squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		got, all := squeeze(strings.Join(w.lines, "")), squeeze(clean(s))
		if w.full == "" {
			if got != all {
				t.Fatalf("lost text without saying so: %q of %q", w.lines, clean(s))
			}
			return
		}
		if !strings.HasSuffix(got, "…") || !strings.HasPrefix(all, strings.TrimSuffix(got, "…")) {
			t.Fatalf("shortened %q to %q", all, got)
		}
	})
}

func TestWrapBreaksAtWords(t *testing.T) {
	f := face{size: 10}
	got := f.wrap("joint of the pedestal remade with sealant", 75, 5).lines
	want := []string{"joint of the", "pedestal", "remade with", "sealant"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if !f.wrap("overtightenedlocknut", 60, 3).torn || f.wrap("over tightened", 90, 3).torn {
		t.Error("torn does not tell broken words from whole ones")
	}
}

func TestCut(t *testing.T) {
	for _, c := range []struct {
		in   string
		n    int
		want string
	}{{"abc", 3, "abc"}, {"abcd", 3, "ab…"}, {"ÄÖÜß", 3, "ÄÖ…"}, {"", 3, ""}} {
		if got := cut(c.in, c.n); got != c.want {
			t.Errorf("cut(%q, %d) = %q, want %q", c.in, c.n, got, c.want)
		}
	}
}
