package words

import (
	"fmt"
	"math"

	"whyworn/explain/account"
	"whyworn/facts/truth"
)

// Think makes one question for a learner, out of what the step itself leaves
// open: an assumption, a rival, a clue nobody has looked at, a look-alike, a
// reading near its limit, the weight of the evidence. "" where nothing of the
// kind is there: a question for the sake of asking teaches nothing.
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
	case len(against) > 0 && against[0].Sign.State == truth.False.String() && len(speakFor) > 0:
		return fmt.Sprintf("It was looked for and is not so: \"%s\". How can \"%s\" be true all the same?", against[0].SignWords, s.Name)
	case len(against) > 0 && len(speakFor) > 0:
		return fmt.Sprintf("\"%s\" speaks against it. How can \"%s\" be true all the same?", against[0].SignWords, s.Name)
	case len(silent) > 0:
		return fmt.Sprintf("Nobody knows yet whether it is so: \"%s\". What would each answer tell you?", silent[0].SignWords)
	case len(speakFor) > 1:
		return fmt.Sprintf("Take away the weightiest sign, \"%s\". Would the others bear it alone?", speakFor[0].SignWords)
	}
	for i := range s.Ways {
		if w := &s.Ways[i]; w.State == truth.True.String() {
			for _, c := range w.Grounds() {
				if q := thinkOf(c); q != "" {
					return q
				}
			}
		}
	}
	return ""
}

// doubtful is how probable the other side of a limit must be for the reading to
// be worth a second thought: one in a thousand, beyond which odds are not told.
const doubtful = 0.001

// thinkOf asks about one condition that holds: a reading that may be on the
// other side of its limit, a sign that something else is mistaken for.
func thinkOf(c *account.Cond) string {
	for i := range c.Compared {
		switch m := &c.Compared[i]; {
		case !m.Decides:
		case m.Holds != nil && math.Min(*m.Holds, 1-*m.Holds) > doubtful:
			return fmt.Sprintf("%s against %s: how much could the reading be off before you would say otherwise?", m.Left, m.Right)
		case m.NoU:
			return fmt.Sprintf("%s against %s, and no uncertainty was given: how far may the reading be off, and would you still say the same?", m.Left, m.Right)
		}
	}
	for i := range c.Reads {
		if r := &c.Reads[i]; r.Decides && r.From == account.FromObserved && r.Look != nil && r.Look.About != "" {
			return fmt.Sprintf("\"%s: %s\" was seen. What else could look like that, and what have you done to exclude it?", r.Name, r.Value)
		}
	}
	return ""
}
