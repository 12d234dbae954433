package note

import (
	"slices"
	"time"

	"whyworn/explain"
	"whyworn/facts/written"
)

// named gives earlier work the name that people would give it in a letter: "the
// work of 12 March 2025". The diagnosis itself is left as it is.
func named(d *explain.Diagnosis) *explain.Diagnosis {
	days := map[string]int{}
	for i := range d.Facts.Parts {
		if k := d.Facts.Parts[i].Work; k != nil {
			days[k.When]++
		}
	}
	if len(days) == 0 {
		return d
	}
	layout, facts, out := *d.Facts.Layout, *d.Facts, *d
	layout.Parts = slices.Clone(layout.Parts)
	for i := range layout.Parts {
		k := layout.Parts[i].Work
		if k == nil {
			continue
		}
		if _, err := time.Parse(time.DateOnly, k.When); err != nil {
			continue
		}
		name := "the work of " + dateWords(k.When)
		if n := k.Did; days[k.When] > 1 {
			if n == nil || n.Kind != written.String {
				continue // nothing to tell it from the other by
			}
			name += " (" + choiceWords(n.Text) + ")"
		}
		layout.Parts[i].Name = name
	}
	facts.Layout = &layout
	out.Facts = &facts
	return &out
}
