package check

import (
	"fmt"
	"slices"

	"whyworn/engine/meaning"
	"whyworn/explain/account"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// replay holds one step to what is so.
func (k *Checker) replay(s *account.Step) {
	at := fmt.Sprintf("steps[%d]", k.step-1)
	think := ""
	if slices.Contains(k.x.Asked, k.step) { // only what is asked is thought about
		think = words.Think(s)
	}
	k.same(at+".think", s.Think, think)
	if s.Sort == account.SortRemedy {
		k.remedy(at, s)
		return
	}
	part, ok := k.w.Facts.Find(s.Part)
	if !ok {
		k.fault(at+".part", "there is no part %q", s.Part)
		return
	}
	if s.Property == "verdict" {
		k.verdict(at, s, part)
		return
	}
	p := k.w.Facts.Parts[part].Kind.Property(s.Property)
	if p == nil || !meaning.IsHead(p) {
		k.fault(at+".property", "nothing of the name %q is concluded of %s", s.Property, s.Part)
		return
	}
	f := meaning.Fact{Part: part, Prop: p}
	so := k.say.Step(f)
	so.Because, so.Conflicts, so.Remedies = k.because(f), k.conflicts(f), s.Remedies
	if p.Weighed {
		so.Sum = k.say.Adds(f, k.w.RivalsOf(f))
	}
	k.same(at, *s, so, "ways", "left", "think")
	k.remedies(at, s, f)
	k.ways(at, s, k.w.Bearings(f), func(b *meaning.Bearing) truth.Truth { return k.tells(b, f) })
}

// conflicts words what is at odds about a fact.
func (k *Checker) conflicts(f meaning.Fact) (out []string) {
	for _, c := range k.w.Conflicts(f) {
		out = append(out, k.say.ConflictWords(c))
	}
	return out
}

// verdict replays a step that tells what becomes of a part.
func (k *Checker) verdict(at string, s *account.Step, part int32) {
	v, ok := k.w.VerdictOf(part)
	if !ok {
		k.fault(at, "no rule says what becomes of %s", s.Part)
		return
	}
	so := k.say.Verdict(&v)
	var all []*meaning.Bearing
	for l := vocab.Replace; l >= vocab.Refit; l-- {
		p := k.w.Facts.Parts[part].Kind.Property(vocab.VerdictID(l))
		if p == nil {
			continue
		}
		f := meaning.Fact{Part: part, Prop: p}
		so.Conflicts = append(so.Conflicts, k.conflicts(f)...)
		all = append(all, k.w.Bearings(f)...)
		if l == v.Level && k.w.State(f) == truth.True {
			so.Because, so.Round = k.because(f), k.w.Round(f)
		}
	}
	k.same(at, *s, so, "ways", "left", "think")
	k.ways(at, s, all, func(b *meaning.Bearing) truth.Truth {
		switch l := b.Rule.Level; {
		case l == v.Level:
			return truth.Of(b.State == truth.True)
		case v.Level == vocab.Refit:
			return truth.Of(l > vocab.Refit)
		default:
			return truth.Of(l > v.Level && b.State == truth.Unknown)
		}
	})
}

// remedies checks what is to be done for a fact that is asked for.
func (k *Checker) remedies(at string, s *account.Step, f meaning.Fact) {
	var so []string
	for _, m := range k.w.Pack.Remedies {
		if !slices.Contains(k.x.Asked, k.step) {
			break
		}
		for _, b := range k.w.Due(m) {
			concerns := false
			for _, c := range m.If {
				concerns = concerns || slices.ContainsFunc(k.w.At(b.Bound).Trace(c.Root).Reads, func(r meaning.Read) bool { return r.Fact == f })
			}
			if title := k.say.Say(m.Title, b.Bound); concerns && b.State == truth.True && !slices.Contains(so, title) {
				so = append(so, title)
			}
		}
	}
	slices.Sort(so)
	k.same(at+".remedies", slices.Sorted(slices.Values(s.Remedies)), so)
}

// remedy replays a step that tells a remedy: once for each set of parts for
// which it is due, else for those for which it is open.
func (k *Checker) remedy(at string, s *account.Step) {
	i := slices.IndexFunc(k.w.Pack.Remedies, func(m *rules.Remedy) bool { return m.ID == s.Fact })
	if i < 0 {
		k.fault(at+".fact", "there is no remedy %q", s.Fact)
		return
	}
	m := k.w.Pack.Remedies[i]
	all := k.w.Due(m)
	if due := func(b *meaning.Bearing) bool { return b.State == truth.True }; slices.ContainsFunc(all, due) {
		all = slices.DeleteFunc(all, func(b *meaning.Bearing) bool { return !due(b) })
	}
	so := k.say.Remedy(m, nil, truth.False)
	var mine []*meaning.Bearing
	for _, b := range all {
		if len(s.Ways) == 1 && b.Key() == k.keyOf(&s.Ways[0]) {
			mine, so = []*meaning.Bearing{b}, k.say.Remedy(m, b.Bound, b.State)
		}
	}
	k.same(at, *s, so, "ways", "left", "think")
	k.ways(at, s, mine, func(*meaning.Bearing) truth.Truth { return truth.True })
	told := 0
	for i := range k.x.Steps {
		if o := &k.x.Steps[i]; o.Sort == account.SortRemedy && o.Fact == m.ID && (len(o.Ways) == 1 || len(all) == 0) {
			told++
		}
	}
	if told != max(len(all), 1) {
		k.fault(at, "the remedy is told for %d sets of parts, it is due for %d", told, len(all))
	}
}
