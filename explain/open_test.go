package explain_test

import (
	"path/filepath"
	"testing"

	"golang.org/x/tools/txtar"

	"whyworn/explain"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// A look said to decide an open cause has an answer that settles it; one that is
// not has none; where nothing on the bench can, no answer to any question that
// could still be asked does. All by trying every answer.
func TestWhatDecidesDoesDecide(t *testing.T) {
	files, _ := filepath.Glob("testdata/[qs]*/*.txtar")
	cases := []*explain.Case{station(t)}
	for _, name := range files {
		a, err := txtar.ParseFile(name)
		if err != nil {
			t.Fatal(err)
		}
		cases = append(cases, questionCase(t, a))
	}
	decide, speak, nothing := 0, 0, 0
	for _, c := range cases {
		settles := func(part int32, p *vocab.Property, cause *explain.OpenCause) bool {
			n := len(p.Choices)
			if p.Type == vocab.YesNo {
				n = 2
			}
			s := c.Program.Bind(c.Facts)
			s.Run()
			for i := range n {
				s.Set(part, p, vocab.Value{Looked: vocab.Told, Mask: 1 << i})
				s.Run()
				if s.State(cause.Part, cause.Prop) != truth.Unknown {
					return true
				}
			}
			return false
		}
		d := c.Diagnose()
		for i := range d.Open {
			o := &d.Open[i]
			for _, l := range o.Looks {
				if l.Ask.Prop.Type != vocab.YesNo && l.Ask.Prop.Type != vocab.Choice {
					continue
				}
				if got := settles(l.Ask.Part, l.Ask.Prop, o); got != l.Decides {
					t.Errorf("%s settles %s: %v, told %v", c.FactID(l.Ask), c.FactID(o.FactID), got, l.Decides)
				}
				if l.Decides {
					decide++
				} else {
					speak++
				}
			}
			if !o.NothingCan() {
				continue
			}
			nothing++
			for _, id := range d.NotLooked {
				if (id.Prop.OnPaper || id.Prop.Stage >= vocab.Cleaned && id.Prop.Stage < vocab.AfterRepair) && settles(id.Part, id.Prop, o) {
					t.Errorf("nothing is said to decide %s, and %s does", c.FactID(o.FactID), c.FactID(id))
				}
			}
		}
	}
	if decide < 3 || speak < 2 || nothing < 3 {
		t.Errorf("%d looks that decide, %d that speak, %d causes that nothing decides", decide, speak, nothing)
	}
}
