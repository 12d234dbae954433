package rules_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

func benchPack(t testing.TB, more ...string) *rules.Pack {
	t.Helper()
	dir := t.TempDir()
	pack, _ := source.ReadFile(filepath.Join(badFolder, "base/pack/pack.toml"))
	writeFile(t, filepath.Join(dir, "pack.toml"), string(pack.Data)+"\n"+strings.Join(more, "\n"))
	p, ps := rules.LoadDir(dir)
	if p == nil {
		t.Fatal(ps)
	}
	return p
}

func benchMachine(t testing.TB, p *rules.Pack, text string) *rules.Layout {
	t.Helper()
	m, ps := facts.ParseMachine(source.NewFile("bench-1.toml", []byte("[machine]\nid = \"bench-1\"\nname = \"bench piece\"\npack = \"bench\"\n"+text)))
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	l, ps := rules.Assemble(p, m)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	return l
}

func inspection(t testing.TB, text string) *facts.Inspection {
	t.Helper()
	in, ps := facts.ParseInspection(source.NewFile("inspection.toml", []byte("machine = \"bench-1\"\n"+text)), false)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	return in
}

const twoSeats = `
[stations]
valve = ["1in", "1ex"]
side = ["inlet", "exhaust"]
[[place]]
kind = "shaft"
id = "shaft"
[[place]]
kind = "seat"
id = "seat_{valve}"
refs = { shaft = "shaft", before = "seat_{valve-1}" }
[[place]]
kind = "arm"
id = "arm_{valve}"
refs = { seat = "seat_{valve}" }
`

// TestDeclared: a limit of one place goes before that of its kind, and that
// before the pack's; sizes when new and limits of a size hold for its largest,
// smallest and mean. 15 H7 is 15.000 to 15.018 mm (ISO 286-2:2010, holes over
// 10 to 18 mm, H7: +18 and 0 µm).
func TestDeclared(t *testing.T) {
	p := benchPack(t, `
[[limit]]
kind = "arm"
property = "play"
most = "0.05 mm"
from = "common practice, no source"
[[limit]]
kind = "arm"
property = "play"
least = "0.01 mm"
from = "common practice, no source"
`)
	l := benchMachine(t, p, twoSeats+`
[[limit]]
kind = "arm"
property = "play"
most = "0.10 mm"
from = "maker's book"
[[limit]]
kind = "arm"
property = "play"
place = "arm_1ex"
most = "0.12 mm"
from = "maker's letter"
[[size]]
kind = "arm"
property = "bore"
fit = "15 H7"
from = "drawing 7"
[[limit]]
kind = "seat"
property = "diameter"
least = "14.95 mm"
from = "maker's book"
`)
	var got []string
	for _, o := range l.Declared {
		got = append(got, fmt.Sprintf("%s.%s = %s, %s", l.Parts[o.Part].ID, o.Prop.ID, valueText(l, o.Prop, &o.Value), o.Whose))
		if o.Basis != -1 || o.Answer != nil {
			t.Errorf("%s has a basis or an answer", o.Prop.ID)
		}
	}
	slices.Sort(got)
	want := []string{
		"arm_1ex.least(play) = 0.01 mm, common practice, no source",
		"arm_1ex.most(play) = 0.12 mm, maker's letter",
		"arm_1ex.new(bore_largest) = 15 to 15.018 mm, drawing 7, 15 H7 by ISO 286",
		"arm_1ex.new(bore_mean) = 15 to 15.018 mm, drawing 7, 15 H7 by ISO 286",
		"arm_1ex.new(bore_smallest) = 15 to 15.018 mm, drawing 7, 15 H7 by ISO 286",
		"arm_1in.least(play) = 0.01 mm, common practice, no source",
		"arm_1in.most(play) = 0.1 mm, maker's book",
		"arm_1in.new(bore_largest) = 15 to 15.018 mm, drawing 7, 15 H7 by ISO 286",
		"arm_1in.new(bore_mean) = 15 to 15.018 mm, drawing 7, 15 H7 by ISO 286",
		"arm_1in.new(bore_smallest) = 15 to 15.018 mm, drawing 7, 15 H7 by ISO 286",
	}
	for _, id := range []string{"seat_1ex", "seat_1in"} {
		for _, of := range []string{"largest", "mean", "smallest"} {
			want = append(want, id+".least(diameter_"+of+") = 14.95 mm, maker's book")
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	k := p.Vocabulary.Kind("arm")
	n, _ := l.Find("arm_1ex")
	if o := l.Lookup(n, k.BoundOf(k.Property("play"), vocab.Most)); o == nil || o.Whose != "maker's letter" {
		t.Errorf("Lookup finds %v", o)
	}
}

// TestReferences: one part for each station, in the order of the file, with
// the neighbour before it, and lists made from the other side.
func TestReferences(t *testing.T) {
	l := benchMachine(t, benchPack(t), twoSeats)
	var ids []string
	for i, p := range l.Parts {
		ids = append(ids, p.ID)
		if int(l.OfKind[p.Kind.Index][p.Ordinal]) != i {
			t.Errorf("%s: ordinal %d does not lead back", p.ID, p.Ordinal)
		}
	}
	if got := strings.Join(ids, " "); got != "machine shaft seat_1in seat_1ex arm_1in arm_1ex" {
		t.Errorf("parts %s", got)
	}
	seat, shaft := l.Pack.Vocabulary.Kind("seat"), l.Pack.Vocabulary.Kind("shaft")
	if got := l.Ref(seat.Property("before")); !slices.Equal(got, []int32{-1, 2}) {
		t.Errorf("before %v", got)
	}
	if got := l.List(shaft.Property("seats"), 0); !slices.Equal(got, []int32{2, 3}) {
		t.Errorf("seats %v", got)
	}
	if got := l.List(shaft.Property("works"), 0); len(got) != 0 {
		t.Errorf("works %v", got)
	}
}

// TestShared: an inspection without work and parts of its own shares the
// machine's layout, so that a session can be used again; any other does not,
// and leaves it as it was.
func TestShared(t *testing.T) {
	l := benchMachine(t, benchPack(t), twoSeats)
	f, ps := rules.FitTo(l, inspection(t, "[seat]\n1in = { tint = \"blue\" }\n"))
	if len(ps) > 0 || f.Layout != l {
		t.Fatalf("the layout is not shared: %v", ps)
	}
	f, ps = rules.FitTo(l, inspection(t, "[[work]]\ndid = \"oiled\"\non = [\"seat\"]\n[[part]]\nkind = \"seat\"\nid = \"chip\"\nrefs = { shaft = \"shaft\" }\n"))
	if len(ps) > 0 || f.Layout == l {
		t.Fatalf("the layout is shared: %v", ps)
	}
	seat, shaft := l.Pack.Vocabulary.Kind("seat"), l.Pack.Vocabulary.Kind("shaft")
	chip, ok := f.Find("chip")
	if !ok || f.Parts[chip].Ordinal != 2 || !slices.Equal(f.List(shaft.Property("seats"), 0), []int32{2, 3, chip}) {
		t.Errorf("the added part is not among the seats: %v", f.List(shaft.Property("seats"), 0))
	}
	if _, ok := f.Find("seat_1in"); !ok {
		t.Error("the machine's own parts are not found")
	}
	if _, ok := l.Find("chip"); ok || len(l.Parts) != 6 || len(l.OfKind[seat.Index]) != 2 || len(l.List(shaft.Property("seats"), 0)) != 2 {
		t.Error("the machine's layout was changed")
	}
	if got := f.List(seat.Property("works"), f.Parts[2].Ordinal); len(got) != 1 {
		t.Errorf("works of seat_1in: %v", got)
	}
	if starts, _ := f.Column(seat.Property("works")); len(starts) != 4 {
		t.Errorf("works has %d starts for 3 seats", len(starts))
	}
}

// TestAddedLikeMachine: parts that an inspection adds are joined as if the
// machine file had them: references, lists, limits.
func TestAddedLikeMachine(t *testing.T) {
	p := benchPack(t)
	limit := "\n[[limit]]\nkind = \"arm\"\nproperty = \"play\"\nmost = \"0.1 mm\"\nfrom = \"x\"\n"
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(0, 5).Draw(rt, "parts")
		place, part := "", ""
		for i := range n {
			kind := rapid.SampledFrom([]string{"seat", "arm", "shaft"}).Draw(rt, "kind")
			refs := ""
			switch kind {
			case "seat":
				refs = fmt.Sprintf("refs = { shaft = %q }\n", rapid.SampledFrom([]string{"", "shaft"}).Draw(rt, "shaft"))
			case "arm":
				refs = fmt.Sprintf("refs = { seat = %q }\n", rapid.SampledFrom([]string{"", "seat_1in", "seat_1ex"}).Draw(rt, "seat"))
			}
			one := fmt.Sprintf("kind = %q\nid = \"extra%d\"\n%s", kind, i, refs)
			place += "[[place]]\n" + one
			part += "[[part]]\n" + one
		}
		whole := benchMachine(t, p, twoSeats+place+limit)
		f, ps := rules.FitTo(benchMachine(t, p, twoSeats+limit), inspection(t, "[seat]\n1in = { rust = \"no\" }\n"+part))
		if len(ps) > 0 {
			rt.Fatal(ps)
		}
		if a, b := layoutText(whole), layoutText(f.Layout); a != b {
			rt.Fatalf("in the machine file\n%s\nadded\n%s", a, b)
		}
	})
}

func layoutText(l *rules.Layout) string {
	var b strings.Builder
	for _, p := range l.Parts {
		fmt.Fprintf(&b, "%s %s %d %q\n", p.ID, p.Kind.ID, p.Ordinal, p.Name)
		for _, q := range p.Kind.Properties {
			switch q.Type {
			case vocab.Part:
				fmt.Fprintf(&b, "  %s %d\n", q.ID, l.Ref(q)[p.Ordinal])
			case vocab.Parts:
				fmt.Fprintf(&b, "  %s %v\n", q.ID, l.List(q, p.Ordinal))
			}
		}
	}
	for _, o := range l.Declared {
		fmt.Fprintf(&b, "%d %s %v\n", o.Part, o.Prop.ID, o.Value.Number)
	}
	return b.String()
}

// TestDeclaredByFit: a fit gives the sizes of hole and shaft when new and their
// clearance. 18 H7/f7 is 18.000 to 18.018 mm on 17.966 to 17.984 mm (ISO
// 286-2:2010, over 10 to 18 mm: H7 +18 and 0, f7 -16 and -34 µm), so 0.016 to
// 0.052 mm clear.
func TestDeclaredByFit(t *testing.T) {
	p := benchPack(t, "")
	l := benchMachine(t, p, twoSeats+`
[[fit]]
is = "18 H7/f7"
hole = { kind = "arm", property = "bore" }
shaft = { kind = "seat", property = "diameter" }
clearance = { kind = "arm", property = "play" }
from = "drawing 7"
[[size]]
kind = "arm"
place = "arm_1ex"
property = "play"
new = "0.03 mm"
from = "the fitter's record"
`)
	got := map[string]string{}
	for _, o := range l.Declared {
		got[l.Parts[o.Part].ID+"."+o.Prop.ID] = valueText(l, o.Prop, &o.Value) + ", " + o.Whose
	}
	for id, want := range map[string]string{
		"arm_1in.new(bore_largest)":       "18 to 18.018 mm, drawing 7, 18 H7/f7 by ISO 286",
		"seat_1ex.new(diameter_smallest)": "17.966 to 17.984 mm, drawing 7, 18 H7/f7 by ISO 286",
		"arm_1in.new(play)":               "0.016 to 0.052 mm, drawing 7, 18 H7/f7 by ISO 286",
		"arm_1ex.new(play)":               "0.03 mm, the fitter's record",
	} {
		if got[id] != want {
			t.Errorf("%s = %s, want %s", id, got[id], want)
		}
	}
	if len(got) != 2*3+2*3+2 {
		t.Errorf("%d declared: %v", len(got), got)
	}
}
