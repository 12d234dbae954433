package note

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files")

// A digest changes with every word of the pack; that it is there is what counts.
var sha = regexp.MustCompile(`\b[0-9a-f]{64}\b`)

func TestGoldens(t *testing.T) {
	c, _ := Of(demo(t), os.DirFS(station))
	for _, form := range []string{"txt", "md"} {
		got := sha.ReplaceAll(inForm(t, c, form), []byte("(sha-256)"))
		name := filepath.Join("testdata", "engine-2."+form)
		if *update {
			if err := os.WriteFile(name, got, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(string(want), string(got)); d != "" {
			t.Errorf("%s (-want +got; go test -update writes it):\n%s", name, d)
		}
	}
}

// What an owner or insurer must find in a note is in it, in every form that is text.
func TestSaysWhatItMust(t *testing.T) {
	c, _ := Of(demo(t), os.DirFS(station))
	for _, form := range []string{"txt", "md", "html"} {
		got := strings.Join(strings.Fields(strings.ReplaceAll(string(inForm(t, c, form)), `\`, "")), " ")
		for _, want := range []string{
			"Sallowmere Pumping Station Trust", "12 November 2026", "the fitter", "rocker gear, both cylinders", "cam and tappets",
			"drawing 7-114", "± 0.1 mm", "ecides otherwise", "second gauge on site",
			"oil runs full", "None of this is taken to be sound", "the work of 12 March 2025 remade its joint",
			"nothing that can still be looked at on this bench decides it", "a standard uncertainty of 0.0015 mm or less would decide",
			"Before new parts go in", "It worked when", "o not run until", "Look again, and when", "Arm 2in (decided by the fitter)", "unless seat 1ex: colour wipes off",
			"one answer for all", "washer 2ex far: worn thin; valve 2ex: clearance over its limit", "rods 1in, 1ex and 2in: bent",
			"nick on the edge of the pad", "icensed practice", "10 h", "aper joint",
			"sealant in the metering hole", "JCGM 106:2012",
		} {
			if !strings.Contains(strings.ToLower(got), strings.ToLower(want)) {
				t.Errorf("%s does not say %q", form, want)
			}
		}
		for _, cell := range []string{"14.973 ± 0.006; 14.966 ± 0.004; 14.946 ± 0.004 mm", "at least 14.940 mm"} {
			if form != "txt" && !strings.Contains(got, cell) { // there cells are broken
				t.Errorf("%s does not say %q", form, cell)
			}
		}
		if n := len(sha.FindAllString(got, -1)); n < 4 {
			t.Errorf("%s: %d digests, want those of knowledge, machine, inspection and photographs", form, n)
		}
	}
}

func TestSameBytesTwice(t *testing.T) {
	for _, f := range Forms {
		a, _ := Of(demo(t), os.DirFS(station))
		b, _ := Of(demo(t), os.DirFS(station))
		if !bytes.Equal(inForm(t, a, f.Name), inForm(t, b, f.Name)) {
			t.Errorf("%s differs from run to run", f.Name)
		}
	}
	c, _ := Of(demo(t), os.DirFS(station))
	pdf := inForm(t, c, "pdf")
	if n := bytes.Count(pdf, []byte("(D:20261112000000")); n != 2 {
		t.Errorf("%d of the dates in the PDF are that of the inspection, want 2: no clock", n)
	}
}

func TestTextKeepsItsWidth(t *testing.T) {
	c, _ := Of(demo(t), os.DirFS(station))
	for n, line := range strings.Split(string(inForm(t, c, "txt")), "\n") {
		if utf8.RuneCountInString(line) > textColumns {
			t.Errorf("line %d is wider than %d: %s", n+1, textColumns, line)
		}
	}
}

// A number and its uncertainty are not broken over two lines.
func TestFiguresStayInOne(t *testing.T) {
	got := wrap("14.973 ± 0.006; 14.966 ± 0.004 mm", 25)
	if want := []string{"14.973 ± 0.006;", "14.966 ± 0.004 mm"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestWrapLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zµ°🙂]{0,30}( [a-zµ]{1,30}){0,20}`).Draw(t, "text")
		width := rapid.IntRange(1, 40).Draw(t, "width")
		lines := wrap(text, width)
		if got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.ReplaceAll(text, " ", ""); got != want {
			t.Fatalf("%q became %q", want, got)
		}
		for _, l := range lines {
			if utf8.RuneCountInString(l) > width {
				t.Fatalf("%q is wider than %d", l, width)
			}
		}
	})
}

// Pages hold every piece once and in order, none over the foot of the page unless
// it is taller than a page, and nothing kept with the next is left at the foot.
func TestPagesAreWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pieces []piece
		var drawn []int
		for i := range rapid.IntRange(1, 60).Draw(t, "n") {
			pieces = append(pieces, piece{
				h:    rapid.Float64Range(1, 400).Draw(t, "h"),
				keep: rapid.IntRange(0, 3).Draw(t, "keep") == 0,
				gap:  rapid.IntRange(0, 3).Draw(t, "gap") == 0,
				draw: func(float64) { drawn = append(drawn, i) },
			})
		}
		for n, page := range paginate(pieces) {
			if len(page) == 0 {
				continue // nothing but room
			}
			y := float64(marginTop)
			for _, p := range page {
				if p.y != y {
					t.Fatalf("page %d: a piece at %g, not at %g", n+1, p.y, y)
				}
				y += p.h
				p.draw(p.y)
			}
			if last := page[len(page)-1]; last.keep && !last.gap && drawn[len(drawn)-1] != len(pieces)-1 {
				at := drawn[len(drawn)-1]
				for at > 0 && (pieces[at-1].keep || pieces[at-1].gap) {
					at--
				}
				if _, h := together(pieces[at:]); h <= bodyH {
					t.Fatalf("page %d ends with what is kept with the next", n+1)
				}
			}
			if body := y - marginTop; body > bodyH+0.1 && len(page) > 1 {
				t.Fatalf("page %d is %g high", n+1, body)
			}
		}
		next := 0
		for _, i := range drawn {
			for next < i && pieces[next].gap {
				next++ // left out at the head of a page
			}
			if i != next {
				t.Fatalf("piece %d is drawn after %d", i, next-1)
			}
			next++
		}
	})
}
