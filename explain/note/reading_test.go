package note

import (
	"bytes"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"whyworn/facts/measure"
	"whyworn/rules/vocab"
)

// section is what stands under a heading.
func section(c *Content, heading string) []Block {
	var out []Block
	in := false
	for _, b := range c.Blocks {
		if h, ok := b.(Heading); ok && in && h.Level == 2 {
			break
		} else if ok && h.Text == heading {
			in = true
			continue
		}
		if in {
			out = append(out, b)
		}
	}
	return out
}

// An owner reads the note of the demo, five photographs and all, on a dozen leaves.
func TestNoteIsShort(t *testing.T) {
	c, _ := Of(demo(t), os.DirFS(station))
	pages := regexp.MustCompile(`/Type /Page\b[^s]`).FindAll(inForm(t, c, "pdf"), -1)
	if n := len(pages); n < 8 || n > 13 {
		t.Errorf("the note has %d pages", n)
	}
}

// Parts that go back and what is not accounted for are as many in the note as in the
// diagnosis; the summary is short.
func TestCountsAgree(t *testing.T) {
	d := demo(t)
	c, _ := Of(d, nil)
	short := strings.Join(d.InShort(), " ")
	var summary string
	for _, b := range section(c, "Summary") {
		for _, i := range b.(List).Items {
			summary += i.Lead + " " + i.Text + " "
		}
	}
	if n := len([]rune(summary)); n > 1600 {
		t.Errorf("the summary has %d letters", n)
	}
	back := regexp.MustCompile(`\d+ parts can go back`)
	if a, b := back.FindString(short), back.FindString(summary); a == "" || a != b {
		t.Errorf("the diagnosis says %q, the note %q", a, b)
	}
	n := 0
	for _, b := range section(c, "Not explained") {
		n += len(b.(List).Items)
	}
	said := 0
	for _, m := range regexp.MustCompile(`(\d+) (?:signs?|remarks?)\b`).FindAllStringSubmatch(d.NotAccountedFor(), -1) {
		k, _ := strconv.Atoi(m[1])
		said += k
	}
	if n == 0 || n != said {
		t.Errorf("%d things are listed as not explained, %q", n, d.NotAccountedFor())
	}
}

// What speaks for something that is held does not stand under what is as it should be.
func TestEvidenceIsNotInOrder(t *testing.T) {
	c, _ := Of(demo(t), nil)
	var inOrder, telling string
	under := &inOrder
	for _, b := range section(c, "Looked at and as it should be") {
		switch b := b.(type) {
		case Heading:
			under = &telling
		case List:
			for _, i := range b.Items {
				*under += i.Lead + " " + i.Text + "\n"
			}
		}
	}
	const evidence = "play on an unworn length of shaft: gone"
	if strings.Contains(inOrder, evidence) || !strings.Contains(telling, evidence) {
		t.Errorf("%q is evidence; as it should be:\n%s\nspeaking for something:\n%s", evidence, inOrder, telling)
	}
}

// Of many numbers inside one limit the least and the greatest are told, with the
// largest uncertainty; of few each.
func TestNumbersOfOneRow(t *testing.T) {
	mm, err := measure.UnitOf("mm")
	if err != nil {
		t.Fatal(err)
	}
	k := &vocab.Kind{ID: "k"}
	vocab.Empty().AddKind(k)
	p := &vocab.Property{ID: "p", Type: vocab.Number, Unit: mm, Decimals: 2}
	k.AddProperty(p)
	w := &writer{d: demo(t)}
	row := func(values ...float64) string {
		var g sameLimit
		for i, x := range values {
			n := measure.Exact(x)
			n.Terms = []measure.Term{{Source: int32(i), U: 0.005 * float64(1+i%2)}}
			v := vocab.Value{Looked: vocab.Told, Number: n}
			g = append(g, against{prop: p, value: v, found: w.number(p, &v)})
		}
		return g.found(w)
	}
	for want, values := range map[string][]float64{
		"0.25 ± 0.01; 0.30 ± 0.02 mm":             {0.25, 0.3},
		"0.20 to 0.40 mm, each ± 0.02 mm or less": {0.25, 0.3, 0.2, 0.35, 0.4},
		"0.25 ± 0.01 mm":                          {0.25},
	} {
		if got := row(values...); got != want {
			t.Errorf("%v: %q, want %q", values, got, want)
		}
	}
	if text := inForm(t, &Content{Blocks: []Block{List{Items: []Item{{"", "a"}}, Dense: true}}}, "html"); !bytes.Contains(text, []byte(`<ul class="dense">`)) {
		t.Error("a dense list is set like any other")
	}
}
