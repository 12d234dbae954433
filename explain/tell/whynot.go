package tell

import (
	"fmt"
	"strings"

	"whyworn/explain/account"
)

// WhyNot writes what stands against a conclusion, way by way, then what would
// change the answer.
func WhyNot(p *Page, x *account.Explanation) {
	if len(x.Asked) == 0 {
		p.Line("Nothing of the kind could have been concluded.")
		return
	}
	asked := map[int]bool{}
	for i, n := range x.Asked {
		if i > 0 {
			p.Gap()
		}
		asked[n] = true
		against(p, x, n)
	}
	if x.Changes != nil {
		p.Gap()
		changes(p, x.Changes)
	}
	first := true
	for n := 1; n <= len(x.Steps); n++ {
		if asked[n] {
			continue
		}
		if first {
			p.Head("what that rests on")
			first = false
		}
		against(p, x, n)
	}
}

// against writes one step with every way that could have concluded it.
func against(p *Page, x *account.Explanation, n int) {
	s := x.At(n)
	if s.Sort == account.SortVerdict && s.Property == "verdict" || s.Sort == account.SortRemedy {
		step(p, x, n)
		return
	}
	p.Para(fmt.Sprintf("%2d  ", n), "    ", s.Name+": "+s.Answer)
	if s.Observed != nil {
		row(p, "observed", s.Observed.Value+told(s.Observed))
	}
	conclude, ruleOut := s.Rules()
	for i, w := range conclude {
		way(p, x, w, i, len(conclude))
	}
	for _, w := range ruleOut {
		if w.State != "false" {
			rule(p, x, s, w)
		}
	}
	if len(s.Ways) == 0 {
		row(p, "", nothing(s))
	}
	if s.Sum != nil {
		sum(p, s)
		toLookAt(p, s)
	}
	left(p, s)
	for _, k := range s.Conflicts {
		row(p, "at odds", k)
	}
}

// way writes one rule with what of it fails or is not known; what holds is
// written after.
func way(p *Page, x *account.Explanation, w *account.Way, i, of int) {
	label := "needs"
	if of > 1 {
		label = fmt.Sprintf("way %d", i+1)
	}
	for _, state := range []string{"false", "unknown", "true"} {
		for k := range w.If {
			c := &w.If[k]
			if c.State != state {
				continue
			}
			text := c.Comes
			if state == "true" {
				text = "so: " + text
			}
			conditionRow(p, label, text, c)
			label = ""
			if state == "unknown" {
				lookAt(p, c)
			}
		}
	}
	if w.Sets != nil {
		conditionRow(p, label, setTo(w.Sets), w.Sets)
		lookAt(p, w.Sets)
		label = ""
	}
	for k := range w.Unless {
		if c := &w.Unless[k]; c.State == "true" {
			conditionRow(p, "held back", c.Plain, c)
		}
	}
}

// lookAt says how to look at what nobody has looked at.
func lookAt(p *Page, c *account.Cond) {
	for i := range c.Reads {
		r := &c.Reads[i]
		if r.Decides && r.From == account.FromNotLooked && r.Look != nil && !r.Look.Past && r.Look.Ask != "" {
			more(p, "look: "+r.Look.Ask+" "+r.Look.How)
			return
		}
	}
}

// toLookAt says how to look at the signs of clues that are silent.
func toLookAt(p *Page, s *account.Step) {
	_, _, _, silent := s.Clues()
	done := map[string]bool{}
	for _, w := range silent {
		for i := range w.Sign.Reads {
			r := &w.Sign.Reads[i]
			if !r.Decides || r.From != account.FromNotLooked || r.Look == nil || r.Look.Past || done[r.Fact] {
				continue
			}
			done[r.Fact] = true
			label := ""
			if len(done) == 1 {
				label = "look at"
			}
			row(p, label, r.Name+told(r))
		}
	}
}

// changes writes the smallest sets of observations that would change the answer.
func changes(p *Page, c *account.Changes) {
	p.Line(strings.ToUpper("what would change it"))
	if len(c.Sets) == 0 {
		p.Para("  ", "  ", "Nothing found that would: "+searched(c)+".")
		return
	}
	otherwise := false
	for i, s := range c.Sets {
		switch {
		case s.Otherwise && !otherwise:
			otherwise = true
			p.Para("  ", "  ", "Had it been found otherwise, "+c.To+":")
		case i == 0:
			with := "With one of these, "
			if len(c.Sets) == 1 || c.Sets[1].Otherwise {
				with = "With this, "
			}
			p.Para("  ", "  ", with+c.To+":")
		}
		label := fmt.Sprintf("%4d  ", i+1)
		for _, w := range s.Would {
			text := w.Name + ": " + w.Be
			if w.Now != "" {
				text += " (now " + w.Now + ")"
			}
			if w.Finer != "" {
				text += ", measured with a standard uncertainty of " + w.Finer + " or less"
			} else if w.Look != nil && w.Look.Minutes > 0 {
				text += fmt.Sprintf(", %g min", w.Look.Minutes)
			}
			p.Para(label, "        ", text)
			label = "  and   "
		}
	}
	if c.More > 0 {
		p.Para("  ", "  ", fmt.Sprintf("%d more such sets are not told.", c.More))
	}
	p.Para("  ", "  ", "Searched: "+searched(c)+".")
}

func searched(c *account.Changes) string {
	words := []string{"", "one answer at a time", "up to two answers together", "up to three answers together"}
	out := "1 thing that could be looked at or could have been otherwise"
	if c.Candidates != 1 {
		out = fmt.Sprintf("%d things that could be looked at or could have been otherwise", c.Candidates)
	}
	if c.Size < len(words) && c.Size > 0 {
		out += ", " + words[c.Size]
	}
	if c.Stopped != "" {
		out += "; " + c.Stopped
	}
	return out
}
