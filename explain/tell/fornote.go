package tell

import (
	"fmt"
	"strings"

	"whyworn/explain/account"
	"whyworn/explain/words"
)

// ForNote writes an explanation as it goes into a note for the owner: finding,
// evidence, limit and whose limit, certainty, remedy.
func ForNote(p *Page, x *account.Explanation) {
	for i, n := range x.Asked {
		if i > 0 {
			p.Gap()
		}
		noted(p, x, n)
	}
}

const columnOfNote = 12

func noted(p *Page, x *account.Explanation, asked int) {
	s := x.At(asked)
	item := func(label, text string) {
		if text != "" {
			p.Item(label, columnOfNote, text)
		}
	}
	item("Finding", s.Name)
	label := "Evidence"
	evidence := func(text string) {
		item(label, text)
		if text != "" {
			label = ""
		}
	}
	steps := reached(x, asked)
	if s.Sum != nil && !s.Sum.Settled {
		steps = steps[:0] // the signs themselves are the evidence
		speakFor, against, _, _ := s.Clues()
		for _, w := range speakFor {
			evidence(signed(w))
		}
		for i, w := range against {
			text := signed(w)
			if i == 0 {
				text = "against it: " + text
			}
			evidence(text)
		}
	}
	var limits, assumed, bare []string
	for _, n := range steps {
		t := x.At(n)
		for k := range t.Ways {
			w := &t.Ways[k]
			if !telling(w) {
				continue
			}
			if w.Rule != "" && n == asked || t.Sort == account.SortNumber {
				evidence(w.Because)
			}
			for _, c := range w.Grounds() {
				for i := range c.Compared {
					m := &c.Compared[i]
					if m.Decides && m.NoU {
						bare = append(bare, c.Plain)
					}
				}
				for i := range c.Reads {
					r := &c.Reads[i]
					switch {
					case !r.Decides:
					case isLimit(r):
						limits = appendNew(limits, r.Name+" "+r.Value+told(r))
					case r.From == account.FromObserved:
						evidence(r.Name + ": " + r.Value + told(r))
					}
				}
			}
			for i := range w.Unless {
				if c := &w.Unless[i]; w.Assumed && c.State == "unknown" {
					assumed = appendNew(assumed, c.Plain+", "+because(c))
				}
			}
		}
	}
	for _, l := range s.Limits {
		limits = appendNew(limits, l.Bound+" "+limitText(&l))
	}
	if label == "Evidence" {
		evidence("none")
	}
	item("Limit", strings.Join(limits, "; "))
	switch s.Sort {
	case account.SortVerdict:
		item("Verdict", s.Answer)
	case account.SortNumber:
		item("Value", s.Answer)
	default:
		item("Certainty", certainty(s))
	}
	for _, a := range assumed {
		item("", "stands unless "+a)
	}
	if len(bare) > 0 {
		item("", fmt.Sprintf("decided without any uncertainty given: %s", strings.Join(bare, "; ")))
	}
	label = "Remedy"
	for _, r := range s.Remedies {
		item(label, r)
		label = ""
	}
	if s.Do != nil {
		item(label, s.Do.Title)
	}
	if s.Decision != "" {
		item("Decided", s.Decision)
	}
}

// signed words a clue that counted.
func signed(w *account.Way) string {
	switch {
	case w.Sign.State == "false":
		return w.SignWords + ": looked for, not so"
	case w.Sign.Value != "":
		return w.SignWords + ": " + w.Sign.Value
	}
	return w.SignWords
}

func certainty(s *account.Step) string {
	if s.Word != "" {
		return s.Word + ", " + words.Odds(s.Probability)
	}
	return s.Answer
}

func appendNew(list []string, text string) []string {
	for _, t := range list {
		if t == text {
			return list
		}
	}
	return append(list, text)
}
