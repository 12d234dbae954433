package note

import (
	"os"
	"strings"
	"testing"
)

// Work goes by its day; of two pieces of one day each says what was done.
func TestWorkGoesByItsDay(t *testing.T) {
	m, in := read(t)
	d, _ := named(diagnosed(t, m, in))
	name := func(id string) string {
		p, ok := d.Facts.Find(id)
		if !ok {
			t.Fatalf("no part %s", id)
		}
		return d.PartName(p)
	}
	if got := name("joint_2025"); got != "the work of 12 March 2025" {
		t.Errorf("the work is called %q", got)
	}
	in.Work[1].When = in.Work[0].When
	d, _ = named(diagnosed(t, m, in))
	if a, b := name("joint_2025"), name("set_2026"); a != "the work of 12 March 2025 (joint remade)" || b != "the work of 12 March 2025 (clearances set)" {
		t.Errorf("two pieces of work of one day are called %q and %q", a, b)
	}
	if got := d.PartName(0); got != "engine" {
		t.Errorf("part 0 is called %q", got)
	}
}

// A name that no sentence can hold is told in full once, and is short elsewhere.
func TestLongNamesAreToldInFullOnce(t *testing.T) {
	m, in := read(t)
	full := "of" + strings.Repeat("x", 2000)
	for i := range m.Places {
		if m.Places[i].Kind.Text == "rocker_arm" {
			m.Places[i].Name = full
		}
	}
	was := diagnosed(t, m, in)
	c, _ := Of(was, os.DirFS(station))
	got := strings.Join(strings.Fields(string(inForm(t, c, "md"))), " ")
	if n := strings.Count(got, full); n != 4 { // once for each of four arms
		t.Errorf("the long name stands %d times in full, want 4", n)
	}
	if p, _ := was.Facts.Find("arm_2ex"); !strings.HasPrefix(was.PartName(p), full) {
		t.Errorf("the note renamed the part in the diagnosis: %.80q", was.PartName(p))
	}
	if !strings.Contains(got, "(arm\\_2ex)") {
		t.Error("the short name does not say which part it is")
	}
}
