package words

import (
	"fmt"

	"whyworn/explain/account"
	"whyworn/facts/truth"
)

// Think makes one question for a learner, out of what the step itself leaves
// open: an assumption, a rival, a clue nobody has looked at, else the weight of
// the evidence.
func Think(s *account.Step) string {
	for i := range s.Ways {
		w := &s.Ways[i]
		for k := range w.Unless {
			if u := &w.Unless[k]; w.Assumed && u.State == truth.Unknown.String() {
				return fmt.Sprintf("This stands unless this is so: \"%s\". How would you find out, and what would be left if it were so?", u.Plain)
			}
		}
	}
	if s.Sum != nil && len(s.Sum.Rivals) > 0 {
		return fmt.Sprintf("\"%s\" would show much the same. Which one sign tells the two apart, and can it still be had?", s.Sum.Rivals[0].Name)
	}
	speakFor, against, _, silent := s.Clues()
	switch {
	case len(against) > 0:
		return fmt.Sprintf("It was looked for and found otherwise: \"%s\". Why can \"%s\" hold all the same, or can it not?", against[0].SignWords, s.Name)
	case len(silent) > 0:
		return fmt.Sprintf("Nobody knows yet whether it is so: \"%s\". Would it change your mind, either way?", silent[0].SignWords)
	case len(speakFor) > 1:
		return fmt.Sprintf("Take away the weightiest sign (\"%s\"): what would you hold then?", speakFor[0].SignWords)
	}
	for i := range s.Ways {
		for k := range s.Ways[i].If {
			c := &s.Ways[i].If[k]
			for _, m := range c.Compared {
				if m.Holds != nil {
					return "How much could the reading be off before you would say otherwise?"
				}
				if m.NoU {
					return "No uncertainty was given for this reading. How far may it be off before you would say otherwise?"
				}
			}
			if c.State == truth.True.String() {
				return fmt.Sprintf("What else could make it so that \"%s\"?", c.Plain)
			}
		}
	}
	return "Which single observation, had it been otherwise, would have changed the answer?"
}
