package note

import (
	"os"
	"slices"
	"strings"
	"testing"

	"whyworn/explain/draw"
)

// The picture of where the trouble sits names every piece of a station, those that
// sit on another piece too, and marks a seat for which the shaft is replaced as damaged.
func TestAssemblyNamesEveryPiece(t *testing.T) {
	c, _ := Of(demo(t), os.DirFS(station))
	n := slices.IndexFunc(c.Blocks, func(b Block) bool {
		f, ok := b.(Figure)
		return ok && strings.HasPrefix(f.Picture.Title, "Where it sits")
	})
	if n < 0 {
		t.Fatal("no picture of where it sits")
	}
	p := c.Blocks[n].(Figure).Picture
	for _, want := range []string{"locknut hexagon or face spoilt", "end clip not in its groove", "clip groove look further", "flat washer, far worn thin", "2ex: seat overheated"} {
		if !strings.Contains(p.Desc, want) {
			t.Errorf("it does not say %q: %s", want, p.Desc)
		}
	}
	for _, s := range p.Shapes {
		b, ok := s.(draw.Box)
		if !ok || !strings.HasPrefix(b.Note, "seat: ") {
			continue
		}
		if damaged := b.Pattern == draw.Upright; damaged != strings.Contains(b.Note, "overheated") {
			t.Errorf("%s: drawn as damaged: %v", b.Note, damaged)
		}
	}
}

// Numbers share a row only if they lie inside one limit; what is over stands alone.
func TestOnlyWhatIsInsideSharesARow(t *testing.T) {
	m, in := read(t)
	d := diagnosed(t, m, in)
	w := &writer{d: d, c: &Content{}}
	all := w.limits()
	i := slices.IndexFunc(all, func(a against) bool { return a.result == draw.Over })
	over := all[i]
	over.part, over.found = all[len(all)-1].part, "another number"
	for _, g := range w.alike(append(all, over)) {
		if len(g) < 2 {
			continue
		}
		for _, a := range g {
			if a.result != draw.Inside {
				t.Errorf("%s of part %d shares a row with part %d", a.prop.ID, a.part, g[0].part)
			}
			if a.prop != g[0].prop || a.allowed() != g[0].allowed() || a.whose != g[0].whose {
				t.Errorf("%s and %s share a row", a.prop.ID, g[0].prop.ID)
			}
		}
	}
}
