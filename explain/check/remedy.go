package check

import (
	"slices"

	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/facts/truth"
	"whyworn/rules"
)

// remedies checks what is to be done for a fact that is asked for.
func (k *Checker) remedies(at string, s *said.Step, f anew.Fact) {
	var so []string
	if slices.Contains(k.x.Asked, k.step) {
		for _, m := range k.w.Pack.Remedies {
			for _, b := range k.w.Due(m) {
				c, concerns := k.w.At(b.Bound), false
				for _, cond := range m.If {
					concerns = concerns || slices.ContainsFunc(c.Trace(cond.Root).Reads, func(r anew.Traced) bool { return r.Fact == f })
				}
				if title := c.Say(m.Title); concerns && b.State == truth.True && !slices.Contains(so, title) {
					so = append(so, title)
				}
			}
		}
	}
	told := slices.Sorted(slices.Values(s.Remedies))
	slices.Sort(so)
	k.same(at+".remedies", told, so)
}

// remedy replays a step that tells a remedy.
func (k *Checker) remedy(at string, s *said.Step) {
	i := slices.IndexFunc(k.w.Pack.Remedies, func(m *rules.Remedy) bool { return m.ID == s.Fact })
	if i < 0 {
		k.fault(at+".fact", "there is no remedy %q", s.Fact)
		return
	}
	m := k.w.Pack.Remedies[i]
	so := said.Step{Fact: m.ID, Name: m.ID, Sort: "remedy", State: "false", Answer: "not due", Source: m.Source}
	all := k.w.Due(m)
	told := map[string]bool{}
	some := false // due for some parts; then those for which it is open are not told
	for _, b := range all {
		some = some || b.State == truth.True
	}
	must := 0
	for _, b := range all {
		told[b.Key()] = some == (b.State == truth.True)
		if told[b.Key()] {
			must++
		}
	}
	if len(s.Ways) == 1 {
		var mine []*anew.Bearing
		for _, b := range all {
			if b.Key() != k.keyOf(&s.Ways[0]) {
				continue
			}
			mine = []*anew.Bearing{b}
			c := k.w.At(b.Bound)
			so.State, so.Answer = b.State.String(), "to be done"
			if b.State == truth.Unknown {
				so.Answer = "not known whether it is due"
			}
			so.Do = &said.Doing{Title: c.Say(m.Title), BeforeNewParts: m.BeforeNewParts, DoNotRunUntil: c.Say(m.DoNotRunUntil), ShowsItWorked: c.Say(m.ShowsItWorked)}
			so.Name = so.Do.Title
			for _, t := range m.Do {
				so.Do.Steps = append(so.Do.Steps, c.Say(t))
			}
			for _, t := range m.Cautions {
				so.Do.Cautions = append(so.Do.Cautions, t.Text)
			}
		}
		k.ways(at, s, mine, func(b *anew.Bearing) truth.Truth { return truth.Of(told[b.Key()]) })
	} else if len(s.Ways) > 1 || len(all) > 0 {
		k.fault(at+".ways", "a remedy is told once for each set of parts it is due for")
	}
	k.same(at, *s, so, "ways", "left", "think")
	n := 0
	for i := range k.x.Steps {
		if k.x.Steps[i].Sort == "remedy" && k.x.Steps[i].Fact == m.ID {
			n++
		}
	}
	if n != max(must, 1) {
		k.fault(at, "the remedy is told for %d sets of parts, it is due for %d", n, must)
	}
}
