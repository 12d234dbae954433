package note

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"whyworn/explain/draw"
	"whyworn/facts"
	"whyworn/facts/source"
)

// sectionText is what the section says of engine 2 after some changes of its files:
// pairs of what stands there and what comes instead. "" if there is no section.
func sectionText(t *testing.T, machine, inspection []string) (string, *draw.Picture) {
	t.Helper()
	changed := func(name string, pairs []string) *source.File {
		raw, err := os.ReadFile(station + name)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(pairs); i += 2 {
			next := regexp.MustCompile(pairs[i]).ReplaceAllString(string(raw), pairs[i+1])
			if next == string(raw) {
				t.Fatalf("%s has no %q", name, pairs[i])
			}
			raw = []byte(next)
		}
		return source.NewFile(name, raw)
	}
	m, ps := facts.ParseMachine(changed("machine.toml", machine))
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	in, ps := facts.ParseInspection(changed("engine-2.toml", inspection), false)
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	c, _ := Of(diagnosed(t, m, in), nil)
	for _, b := range c.Blocks {
		if f, ok := b.(Figure); ok && strings.HasSuffix(f.Picture.Title, "cut across") {
			return f.Picture.Desc, f.Picture
		}
	}
	return "", nil
}

// The section shows the worn side that somebody saw or readings tell, and where the
// load presses; never a side that nobody knows. Angles by hand: with a rod leaning
// 6 degrees at a ratio of 1.5 the load presses at atan2(1.5 sin 6, 1 + 1.5 cos 6) =
// 3.6 degrees.
func TestSectionShowsOnlyWhatIsKnown(t *testing.T) {
	unseen := []string{`worn_side = "toward_head", scratches = "torn"`, `scratches = "torn"`}
	for name, c := range map[string]struct {
		machine, inspection []string
		says, silent        []string
		marks               int // question marks
	}{
		"seen": {says: []string{
			"load presses shaft and bore together at 3.6°: push rod leaning 6°, ratio 1.5",
			"Worn side of seat 2ex, at 0°, 0.073 ± 0.006 mm deep: seen toward head; there the load presses",
			"Worn side of arm 2ex, at 0°", "Seat 2ex, middle, through 0° and 180°: 14.903 ± 0.004 mm", "0.168 ± 0.008 mm",
			"Exaggerated, not to scale", "0° is toward the cylinder head",
		}, silent: []string{"not known"}},
		"diameters only": {inspection: unseen, marks: 2,
			says:   []string{"Worn side of seat 2ex, not known which of these: 0° or 180°, 0.073 ± 0.006 mm deep: by its diameters, which are the same from either side; the load presses on one of them"},
			silent: []string{"at 0°, 0.073"}},
		"could not tell": {inspection: []string{`worn_side = "toward_head", scratches = "torn"`, `worn_side = "?", scratches = "torn"`}, marks: 2,
			says: []string{"Worn side of seat 2ex, not known which of these: 0° or 180°"}},
		"one of two": {inspection: []string{`worn_side = "toward_head", scratches = "torn"`, `worn_side = "toward_head or away_from_head", scratches = "torn"`}, marks: 2,
			says: []string{"Worn side of seat 2ex, not known which of these: 0° or 180°"}},
		"no one side": {inspection: []string{`worn_side = "toward_head", scratches = "torn"`, `worn_side = "all_round", scratches = "torn"`},
			says: []string{"Seat 2ex, worn side: all round"}, silent: []string{"Worn side of seat 2ex"}},
		"seen and measured apart": {inspection: []string{`"14.921 14.972 / 14.903 14.971 / 14.912 14.972"`, `"14.972 14.921 / 14.971 14.903 / 14.972 14.912"`},
			says: []string{"Worn side of seat 2ex, at 0°", "The diameters of seat 2ex say otherwise: they show wear through 90° and 270°"}},
		"round": {inspection: append([]string{`"14.921 14.972 / 14.903 14.971 / 14.912 14.972"`, `"14.903 14.903 / 14.903 14.903 / 14.903 14.903"`}, unseen...),
			says: []string{"Which side of seat 2ex is worn is not known: the readings show no difference round the part"}, silent: []string{"Worn side of seat 2ex"}},
		"load not told": {machine: []string{`, rod_angle = "6 deg"`, ``},
			says: []string{"Where the load presses is not known"}, silent: []string{"arrow:", "there the load presses"}},
	} {
		t.Run(name, func(t *testing.T) {
			got, p := sectionText(t, c.machine, c.inspection)
			for _, s := range c.says {
				if !strings.Contains(got, s) {
					t.Errorf("the section does not say %q:\n%s", s, got)
				}
			}
			for _, s := range c.silent {
				if strings.Contains(got, s) {
					t.Errorf("the section says %q:\n%s", s, got)
				}
			}
			marks := 0
			if p != nil {
				for _, s := range p.Shapes {
					if x, ok := s.(draw.Text); ok && x.Text == "?" {
						marks++
					}
				}
			}
			if marks != c.marks {
				t.Errorf("%d sides with a question mark, want %d", marks, c.marks)
			}
		})
	}
}
