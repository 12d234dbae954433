package account

import (
	"cmp"
	"slices"
)

// Sum is how the evidence for a weighed finding adds up.
type Sum struct {
	HowCommon   float64 `json:"how_common"`
	Start       string  `json:"start"` // the prior, in decibans
	Counted     string  `json:"counted"`
	CountedDB   float64 `json:"counted_decibans"`
	Total       string  `json:"total"`
	Probability float64 `json:"probability"`
	Word        string  `json:"word"`
	Odds        string  `json:"odds"`
	Decided     bool    `json:"decided"`           // at least one clue was decided
	Settled     bool    `json:"settled,omitempty"` // a rule settles it; the clues are shown beside
	Inexact     bool    `json:"inexact,omitempty"`
	// Rivals are the causes that exclude it; with any, Probability is what
	// remains for this one of all of them and none together.
	Rivals []Rival `json:"rivals,omitempty"`
}

// Rival is a cause that excludes another.
type Rival struct {
	Fact        string  `json:"fact"`
	Name        string  `json:"name"`
	Group       string  `json:"group"` // id of the rivals
	Probability float64 `json:"probability"`
	State       string  `json:"state"`
}

// Clues lists the clues of a step in the order in which a sum is told, the
// heaviest first: for, against, already counted, silent.
func (s *Step) Clues() (speakFor, against, repeated, silent []*Way) {
	for i := range s.Ways {
		w := &s.Ways[i]
		switch {
		case w.Clue == "":
		case w.Counted && w.Decibans > 0:
			speakFor = append(speakFor, w)
		case w.Counted && w.Decibans < 0:
			against = append(against, w)
		case w.Decibans != 0:
			repeated = append(repeated, w)
		default:
			silent = append(silent, w)
		}
	}
	for _, list := range [][]*Way{speakFor, against, repeated} {
		slices.SortStableFunc(list, func(a, b *Way) int {
			return cmp.Compare(max(b.Decibans, -b.Decibans), max(a.Decibans, -a.Decibans))
		})
	}
	return
}

// Rules lists the ways of a step that are no clues, by what they do: those that
// conclude, set, judge or call for it, and those that rule it out.
func (s *Step) Rules() (conclude, ruleOut []*Way) {
	for i := range s.Ways {
		switch w := &s.Ways[i]; {
		case w.Clue != "":
		case w.Does == RulesOut:
			ruleOut = append(ruleOut, w)
		default:
			conclude = append(conclude, w)
		}
	}
	return
}

// At gives the step with this number, counted from 1.
func (x *Explanation) At(n int) *Step { return &x.Steps[n-1] }
