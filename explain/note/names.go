package note

import (
	"slices"
	"time"
	"unicode/utf8"

	"whyworn/explain"
	"whyworn/facts"
	"whyworn/facts/written"
)

// named gives earlier work the name that people would give it in a letter: "the
// work of 12 March 2025", and cuts names that nobody could read in a sentence; long
// tells those in full. The diagnosis itself is left as it is.
func named(d *explain.Diagnosis) (out *explain.Diagnosis, long []Item) {
	days := map[string]int{}
	for i := range d.Facts.Parts {
		if k := d.Facts.Parts[i].Work; k != nil {
			days[k.When]++
		}
	}
	names := map[int]string{}
	for i := range d.Facts.Parts {
		p := &d.Facts.Parts[i]
		switch {
		case p.Work != nil:
			if name := workName(p.Work, days[p.Work.When] > 1); name != "" {
				names[i] = name
			}
		case utf8.RuneCountInString(p.Name) > readable:
			names[i] = string([]rune(p.Name)[:readable/2]) + "\u2026 (" + p.ID + ")"
			long = append(long, Item{p.ID, p.Name})
		}
	}
	if len(names) == 0 {
		return d, nil
	}
	layout, fitted, copied := *d.Facts.Layout, *d.Facts, *d
	layout.Parts = slices.Clone(layout.Parts)
	for i, name := range names {
		layout.Parts[i].Name = name
	}
	fitted.Layout = &layout
	said := *d.Words // says names; its copy says these
	said.Facts = &fitted
	copied.Words = &said
	return &copied, long
}

// readable is the longest name of a part, in characters, that a sentence can hold.
const readable = 100

// workName is what people call a piece of work, by its day and, if there was more
// than one that day, by what was done; "" if that cannot tell it.
func workName(k *facts.Work, more bool) string {
	if _, err := time.Parse(time.DateOnly, k.When); err != nil {
		return ""
	}
	name := "the work of " + dateWords(k.When)
	if !more {
		return name
	}
	if k.Did == nil || k.Did.Kind != written.String {
		return ""
	}
	return name + " (" + choiceWords(k.Did.Text) + ")"
}
