package wording

import (
	"fmt"

	"whyworn/explain/check/said"
)

// Think is the question put to a learner, out of what a step itself tells.
func Think(s *said.Step) string {
	var against, silent, speakFor *said.Way
	counted := 0
	for i := range s.Ways {
		w := &s.Ways[i]
		for k := range w.Unless {
			if u := &w.Unless[k]; w.Assumed && u.State == "unknown" {
				return fmt.Sprintf("This stands unless this is so: %s. How would you find out, and what would be left if it were so?", quoted(u.Plain))
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
		return quoted(s.Sum.Rivals[0].Name) + " would show much the same. Which one sign tells the two apart, and can it still be had?"
	case against != nil:
		return fmt.Sprintf("It was looked for and found otherwise: %s. Why can %s hold all the same, or can it not?", quoted(against.SignWords), quoted(s.Name))
	case silent != nil:
		return fmt.Sprintf("Nobody knows yet whether it is so: %s. Would it change your mind, either way?", quoted(silent.SignWords))
	case counted > 1:
		return fmt.Sprintf("Take away the weightiest sign (%s): what would you hold then?", quoted(speakFor.SignWords))
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
				return fmt.Sprintf("What else could make it so that %s?", quoted(c.Plain))
			}
		}
	}
	return "Which single observation, had it been otherwise, would have changed the answer?"
}

func quoted(words string) string { return `"` + words + `"` }
