package tell

import (
	"fmt"
	"strings"

	"whyworn/explain/account"
	"whyworn/rules/vocab"
)

// WhyNot writes what stands against a conclusion, way by way, then what would
// change the answer.
func WhyNot(p *Page, x *account.Explanation) {
	if len(x.Asked) == 0 {
		p.Line("Nothing of the kind could have been concluded.")
		return
	}
	asked := map[int]bool{}
	var plain []string // so, and nothing against it
	for _, n := range x.Asked {
		asked[n] = true
		if s := x.At(n); isSo(s) && !disputed(s) {
			plain = append(plain, s.Name+soWords(s))
		}
	}
	if n := len(plain); n == 1 {
		p.Para("    ", "    ", plain[0]+": it is so, and nothing known speaks against it")
	} else if n > 1 {
		p.Para("    ", "    ", "These are so, and nothing known speaks against them: "+strings.Join(plain, "; "))
	}
	first := len(plain) == 0
	for _, n := range x.Asked {
		if s := x.At(n); isSo(s) && !disputed(s) {
			continue
		}
		if !first {
			p.Gap()
		}
		first = false
		if s := x.At(n); isSo(s) {
			soAfterAll(p, s)
		} else {
			against(p, x, n)
		}
	}
	if x.Changes != nil {
		p.Gap()
		changes(p, x.Changes)
	}
	if allSo(x) {
		p.Gap()
		p.Line("What speaks for it: whyworn why.")
	}
	rests := restsOn(x)
	first = true
	for n := 1; n <= len(x.Steps); n++ {
		if asked[n] || !rests[n] {
			continue
		}
		if first {
			p.Head("what that rests on")
			first = false
		}
		against(p, x, n)
	}
}

// allSo tells whether all that is asked about is so.
func allSo(x *account.Explanation) bool {
	for _, n := range x.Asked {
		if !isSo(x.At(n)) {
			return false
		}
	}
	return true
}

// restsOn lists the steps behind what is asked about and is not so: of what is
// so only what speaks against it.
func restsOn(x *account.Explanation) map[int]bool {
	out := map[int]bool{}
	for _, n := range x.Asked {
		s := x.At(n)
		if !isSo(s) {
			for _, k := range reached(x, n) {
				out[k] = true
			}
			continue
		}
		conds := exceptions(s)
		_, against, _, _ := s.Clues()
		for _, w := range against {
			conds = append(conds, w.Sign)
		}
		for _, c := range conds {
			for _, r := range c.Reads {
				if r.Step > 0 && r.Decides {
					out[r.Step] = true
				}
			}
		}
	}
	return out
}

// isSo tells whether what is asked about is so. Of a number it is asked how it
// comes about, of a verdict to inspect further what keeps the part from going back.
func isSo(s *account.Step) bool {
	return s.State == "true" && s.Sort != account.SortNumber && s.Level != vocab.InspectFurther.String()
}

// soWords adds to the name of what is so what it is, and how sure.
func soWords(s *account.Step) string {
	switch {
	case s.Sort == account.SortVerdict && s.Property == "verdict":
		return ": " + s.Answer
	case s.Sort == account.SortRemedy:
		return ": to be done"
	case s.Sum != nil && !s.Certain:
		return " (" + s.Answer + ")"
	case s.Certain:
		return " (by rule)"
	}
	return ""
}

// exceptions lists what is not known and would stand against what is so.
func exceptions(s *account.Step) []*account.Cond {
	var out []*account.Cond
	for i := range s.Ways {
		w := &s.Ways[i]
		list := w.Unless
		switch {
		case w.Does == account.RulesOut && w.State == "unknown":
			list = w.If
		case w.State != "true":
			continue
		}
		for k := range list {
			if list[k].State == "unknown" {
				out = append(out, &list[k])
			}
		}
	}
	return out
}

// disputed tells whether anything speaks against what is so.
func disputed(s *account.Step) bool {
	_, against, _, _ := s.Clues()
	return len(against)+len(exceptions(s))+len(s.Conflicts) > 0 || s.Decision != ""
}

// whetherSo tells of what is so that it is, and what speaks against it, if anything.
func whetherSo(p *Page, s *account.Step) {
	if disputed(s) {
		soAfterAll(p, s)
		return
	}
	p.Para("    ", "    ", s.Name+soWords(s)+": it is so, and nothing known speaks against it")
}

// soAfterAll tells of what is so that it is, and what speaks against it.
func soAfterAll(p *Page, s *account.Step) {
	p.Para("    ", "    ", s.Name+soWords(s)+": it is so, and this speaks against it")
	_, against, _, _ := s.Clues()
	for _, w := range against {
		clue(p, "against", w)
	}
	for _, c := range exceptions(s) {
		row(p, "unless", c.Plain+": "+because(c))
	}
	for _, k := range s.Conflicts {
		row(p, "at odds", k)
	}
	if s.Decision != "" {
		row(p, "decided", s.Decision)
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
			switch {
			case state == "true":
				text = "so: " + text
			case state == "false": // one is enough
				text = "barred: " + text
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
