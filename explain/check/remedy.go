package check

import (
	"slices"

	"whyworn/facts/truth"
	"whyworn/rules"
)

// remedies checks what is to be done for a fact that is asked for.
func (k *Checker) remedies(at string, s *step, f fact) {
	var so []string
	if slices.Contains(k.x.Asked, k.step) {
		for _, m := range k.w.pack.Remedies {
			for _, b := range k.due(m) {
				c, for_ := k.w.at(b.bound), false
				for _, cond := range m.If {
					var t trace
					t.node(c, cond.Root, true)
					for_ = for_ || slices.ContainsFunc(t.reads, func(r traced) bool { return r.fact == f })
				}
				if title := c.say(m.Title); for_ && b.state == truth.True && !slices.Contains(so, title) {
					so = append(so, title)
				}
			}
		}
	}
	told := slices.Sorted(slices.Values(s.Remedies))
	slices.Sort(so)
	k.same(at+".remedies", told, so)
}

// due lists the parts for which a remedy is not known to be out of place.
func (k *Checker) due(m *rules.Remedy) (out []*bearing) {
	for _, part := range k.w.f.OfKind[m.Each[0].Kind.Index] {
		for _, bound := range k.w.bindings(m.Each, m.If, 0, part) {
			state := truth.True
			for _, c := range m.If {
				state = truth.And(state, k.w.at(bound).truth(c.Root))
			}
			if state != truth.False {
				out = append(out, &bearing{remedy: m, bound: bound, state: state})
			}
		}
	}
	return out
}

// remedy replays a step that tells a remedy.
func (k *Checker) remedy(at string, s *step) {
	i := slices.IndexFunc(k.w.pack.Remedies, func(m *rules.Remedy) bool { return m.ID == s.Fact })
	if i < 0 {
		k.fault(at+".fact", "there is no remedy %q", s.Fact)
		return
	}
	m := k.w.pack.Remedies[i]
	so := step{Fact: m.ID, Name: m.ID, Sort: "remedy", State: "false", Answer: "not due", Source: m.Source}
	all := k.due(m)
	told := map[string]bool{}
	some := false // due for some parts; then those for which it is open are not told
	for _, b := range all {
		some = some || b.state == truth.True
	}
	must := 0
	for _, b := range all {
		told[b.key()] = some == (b.state == truth.True)
		if told[b.key()] {
			must++
		}
	}
	if len(s.Ways) == 1 {
		var mine []*bearing
		for _, b := range all {
			if b.key() != k.keyOf(&s.Ways[0]) {
				continue
			}
			mine = []*bearing{b}
			c := k.w.at(b.bound)
			so.State, so.Answer = b.state.String(), "to be done"
			if b.state == truth.Unknown {
				so.Answer = "not known whether it is due"
			}
			so.Do = &doing{Title: c.say(m.Title), BeforeNewParts: m.BeforeNewParts, DoNotRunUntil: c.say(m.DoNotRunUntil), ShowsItWorked: c.say(m.ShowsItWorked)}
			so.Name = so.Do.Title
			for _, t := range m.Do {
				so.Do.Steps = append(so.Do.Steps, c.say(t))
			}
			for _, t := range m.Cautions {
				so.Do.Cautions = append(so.Do.Cautions, t.Text)
			}
		}
		k.ways(at, s, mine, func(b *bearing) truth.Truth { return truth.Of(told[b.key()]) })
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
