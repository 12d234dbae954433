package check

import (
	"fmt"
	"math"
)

// word is the published word for a probability, see DESIGN of the scale in
// package weigh: the IPCC guidance note of 2010, its bounds as quoted there.
func word(p float64) string {
	switch {
	case p >= 0.99-rounding:
		return "virtually certain"
	case p >= 0.90-rounding:
		return "very likely"
	case p >= 0.66-rounding:
		return "likely"
	case p <= 0.01+rounding:
		return "exceptionally unlikely"
	case p <= 0.10+rounding:
		return "very unlikely"
	case p <= 0.33+rounding:
		return "unlikely"
	}
	return "about as likely as not"
}

func odds(p float64) string {
	of := 100.0
	switch {
	case p > 0.999:
		return "over 999 in 1000"
	case p < 0.001:
		return "under 1 in 1000"
	case p >= 0.985 || p < 0.015:
		of = 1000
	}
	return fmt.Sprintf("%d in %d", int(math.Round(p*of)), int(of))
}

// decibans is a weight in words: its sign and one decimal, half away from zero.
func decibans(x int64) string {
	tenths := (max(x, -x) + 5e7) / 1e8
	sign := "+"
	switch {
	case tenths == 0:
		return "0.0"
	case x < 0:
		sign = "-"
	}
	return fmt.Sprintf("%s%d.%d", sign, tenths/10, tenths%10)
}

// think is the question put to a learner, out of what a step itself tells.
func think(s *step) string {
	var against, silent, speakFor *way
	counted := 0
	for i := range s.Ways {
		w := &s.Ways[i]
		for k := range w.Unless {
			if u := &w.Unless[k]; w.Assumed && u.State == "unknown" {
				return fmt.Sprintf("This stands unless this is so: %s. How would you find out, and what would be left if it were so?", said(u.Plain))
			}
		}
		switch { // the first of each: they stand in order of their weight
		case w.Clue == "":
		case w.Counted && w.Decibans > 0:
			if counted++; speakFor == nil {
				speakFor = w
			}
		case w.Counted && w.Decibans < 0 && against == nil:
			against = w
		case w.Decibans == 0 && silent == nil:
			silent = w
		}
	}
	switch {
	case s.Sum != nil && len(s.Sum.Rivals) > 0:
		return said(s.Sum.Rivals[0].Name) + " would show much the same. Which one sign tells the two apart, and can it still be had?"
	case against != nil:
		return fmt.Sprintf("It was looked for and found otherwise: %s. Why can %s hold all the same, or can it not?", said(against.SignWords), said(s.Name))
	case silent != nil:
		return fmt.Sprintf("Nobody knows yet whether it is so: %s. Would it change your mind, either way?", said(silent.SignWords))
	case counted > 1:
		return fmt.Sprintf("Take away the weightiest sign (%s): what would you hold then?", said(speakFor.SignWords))
	}
	for i := range s.Ways {
		for k := range s.Ways[i].If {
			c := &s.Ways[i].If[k]
			for _, m := range c.Compared {
				switch {
				case m.Holds != nil:
					return "How much could the reading be off before you would say otherwise?"
				case m.NoU:
					return "No uncertainty was given for this reading. How far may it be off before you would say otherwise?"
				}
			}
			if c.State == "true" {
				return fmt.Sprintf("What else could make it so that %s?", said(c.Plain))
			}
		}
	}
	return "Which single observation, had it been otherwise, would have changed the answer?"
}

func said(words string) string { return `"` + words + `"` }
