package tell

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/explain/account"
	"whyworn/explain/words"
)

const columnOfSums = 22

func weight(p *Page, label, number, text string) {
	p.Item(fmt.Sprintf("    %-9s %6s ", label, number), columnOfSums, text)
}

func under(p *Page, text string) {
	if text != "" {
		p.Para(strings.Repeat(" ", columnOfSums+2), strings.Repeat(" ", columnOfSums+4), text)
	}
}

// sum writes the evidence for and against, as a sum in decibans.
func sum(p *Page, s *account.Step) {
	speakFor, against, repeated, silent := s.Clues()
	weight(p, "start", s.Sum.Start, fmt.Sprintf("%s of such parts have it", words.Odds(s.Sum.HowCommon)))
	for _, w := range speakFor {
		clue(p, "for", w)
	}
	for _, w := range against {
		clue(p, "against", w)
	}
	switch {
	case !s.Sum.Decided:
		weight(p, "sum", s.Sum.Total, "nothing that was looked at speaks for or against it: how common it is proves nothing")
	case s.Sum.Settled:
		weight(p, "sum", s.Sum.Total, "beside the rule, which settles it; the signs alone: "+s.Sum.Word+", "+s.Sum.Odds)
	default:
		weight(p, "sum", s.Sum.Total, s.Sum.Word+", "+s.Sum.Odds)
	}
	for _, r := range s.Sum.Rivals {
		row(p, "excludes", fmt.Sprintf("%s (%s): the two share what is probable", r.Name, words.Odds(r.Probability)))
	}
	if s.Sum.Inexact {
		row(p, "mind", "more signs overlap than can be weighed against each other exactly; the heaviest were taken first")
	}
	for i, w := range repeated {
		label := ""
		if i == 0 {
			label = "not again"
		}
		text := w.SignWords + ": already counted"
		if by := byID(s, w.Through); by != nil {
			text += " through: " + by.SignWords
		}
		row(p, label, text)
	}
	var open []string
	for _, w := range silent {
		if !slices.Contains(open, w.SignWords) {
			open = append(open, w.SignWords)
		}
	}
	for i, text := range open {
		label := ""
		if i == 0 {
			label = "not known"
		}
		row(p, label, text)
	}
}

func byID(s *account.Step, clue string) *account.Way {
	for i := range s.Ways {
		if s.Ways[i].Clue == clue && clue != "" {
			return &s.Ways[i]
		}
	}
	return nil
}

// clue writes one clue that counts, with the values that decide its sign.
func clue(p *Page, label string, w *account.Way) {
	c := w.Sign
	text := w.SignWords
	reads := deciding(c)
	var lines []string
	switch {
	case c.State == "" && len(reads) == 1:
		text += ": " + c.Value + told(reads[0])
	case c.State == "":
		text += ": " + c.Value
		lines = grouped(reads)
	case len(reads) == 1 && reads[0].Name == text:
		if c.State == "false" {
			text += ": looked for, not so"
		}
		text += told(reads[0])
	case c.State == "false" && len(reads) == 1 && reads[0].From == account.FromObserved:
		text += ": looked for, not so, but " + reads[0].Value + told(reads[0])
	default:
		if c.State == "false" {
			text += ": looked for, not so"
		}
		lines = grouped(reads)
	}
	weight(p, label, w.Weight, text)
	for _, l := range lines {
		under(p, l)
	}
	if c.AndMore > 0 {
		under(p, fmt.Sprintf("and %d more like it", c.AndMore))
	}
	how := w.How
	if w.Source != "" {
		how += " [" + w.Source + "]"
	}
	under(p, how)
}
