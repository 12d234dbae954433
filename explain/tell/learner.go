package tell

import (
	"fmt"

	"whyworn/explain/account"
)

// Learner writes an explanation for somebody who wants to learn the trade: what
// happens at the surface, what to look at and how, what it is mistaken for, and
// one question to think about.
func Learner(p *Page, x *account.Explanation) {
	for i, n := range x.Asked {
		if i > 0 {
			p.Gap()
		}
		lesson(p, x, n)
	}
	if x.Changes != nil {
		p.Gap()
		changes(p, x.Changes)
	}
}

func lesson(p *Page, x *account.Explanation, asked int) {
	s := x.At(asked)
	if x.Question == "whynot" && isSo(s) {
		whetherSo(p, s)
		return
	}
	p.Para("", "  ", s.Name+": "+s.Answer)
	steps := reached(x, asked)
	if x.Question == "whynot" {
		wanting(p, s)
		p.Head("what it would mean, in general")
	} else {
		p.Head("what happens")
	}
	said := map[string]bool{}
	say := func(text string) {
		if text != "" && !said[text] {
			said[text] = true
			p.Para("  ", "  ", text)
		}
	}
	for _, n := range steps {
		t := x.At(n)
		say(t.About)
		for i := range t.Ways {
			if w := &t.Ways[i]; w.Rule != "" && w.State == "true" {
				say(w.How)
			}
		}
	}
	if len(said) == 0 {
		say("The pack does not tell how it comes about.")
	}
	signs(p, x, steps)
	lookalikes(p, x, steps)
	if s.Think != "" {
		p.Head("think about it")
		p.Para("  ", "  ", s.Think)
	}
}

// wanting writes, rule by rule, the conditions that keep something from being
// concluded: known not to hold, or not known.
func wanting(p *Page, s *account.Step) {
	p.Head("what keeps it from being said")
	some := false
	said := map[string]bool{}
	for i := range s.Ways {
		w := &s.Ways[i]
		if w.Rule == "" || w.State == "true" {
			continue
		}
		for k := range w.If {
			c := &w.If[k]
			if c.State == "true" || said[c.Plain] {
				continue
			}
			some, said[c.Plain] = true, true
			why := "known not to be so"
			if c.State == "unknown" {
				why = because(c)
			}
			p.Para("  ", "    ", c.Plain+": "+why)
		}
	}
	if !some {
		p.Para("  ", "  ", "No rule of the pack speaks of it here.")
	}
}

// reached lists the steps that one rests on, itself first.
func reached(x *account.Explanation, from int) []int {
	out := []int{from}
	seen := map[int]bool{from: true}
	for i := 0; i < len(out); i++ {
		s := x.At(out[i])
		for k := range s.Ways {
			for _, c := range s.Ways[k].Grounds() {
				for _, r := range c.Reads {
					if r.Step > 0 && r.Decides && !seen[r.Step] {
						seen[r.Step] = true
						out = append(out, r.Step)
					}
				}
			}
		}
	}
	return out
}

// telling reports whether a way takes part in the answer.
func telling(w *account.Way) bool {
	return w.Rule != "" && w.State == "true" || w.Clue != "" && w.Counted || w.Does == account.Sets
}

// signs writes what showed it, and how each thing that was seen is looked at.
func signs(p *Page, x *account.Explanation, steps []int) {
	head := func(first *bool, text string) {
		if *first {
			p.Head(text)
			*first = false
		}
	}
	first := true
	speakFor, against, _, _ := x.At(steps[0]).Clues()
	for _, w := range append(speakFor, against...) {
		head(&first, "what shows it")
		p.Para("  ", "    ", fmt.Sprintf("%s (%s)", signed(w), w.Weight))
		p.Para("    ", "    ", w.How)
	}
	first = true
	done, looks := map[string]bool{}, map[string]bool{}
	for _, n := range steps {
		s := x.At(n)
		for k := range s.Ways {
			if !telling(&s.Ways[k]) {
				continue
			}
			for _, c := range s.Ways[k].Grounds() {
				for i := range c.Reads {
					r := &c.Reads[i]
					if !r.Decides || r.From != account.FromObserved || done[r.Fact] {
						continue
					}
					done[r.Fact] = true
					head(&first, "what was seen, and how to look")
					p.Para("  ", "    ", r.Name+": "+r.Value+told(r))
					if r.Look != nil && r.Look.How != "" && !looks[r.Look.How] {
						looks[r.Look.How] = true
						p.Para("    ", "    ", r.Look.How)
					}
				}
			}
		}
	}
}

// lookalikes writes what the signs and the finding are mistaken for.
func lookalikes(p *Page, x *account.Explanation, steps []int) {
	said := map[string]bool{}
	say := func(name, text string) {
		if text == "" || said[text] {
			return
		}
		if len(said) == 0 {
			p.Head("what it is mistaken for")
		}
		said[text] = true
		p.Para("  ", "    ", name+": "+text)
	}
	for _, n := range steps {
		s := x.At(n)
		for k := range s.Ways {
			w := &s.Ways[k]
			for _, c := range w.Grounds() {
				for _, r := range c.Reads {
					if r.Look != nil && r.Decides && telling(w) {
						say(r.Name, r.Look.About)
					}
				}
			}
			for i := range w.Unless {
				if telling(w) {
					c := &w.Unless[i]
					text := c.Plain
					switch c.State {
					case "unknown":
						text += " (" + because(c) + ")"
					case "false":
						text += " (looked at, not so)"
					}
					say("not it, if", text)
				}
			}
		}
		if s.Sum != nil {
			for _, r := range s.Sum.Rivals {
				say(s.Name, r.Name+" shows much the same")
			}
		}
	}
}
