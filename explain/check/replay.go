package check

import (
	"fmt"
	"slices"

	"whyworn/explain/check/anew"
	"whyworn/explain/check/said"
	"whyworn/explain/check/wording"
	"whyworn/facts/truth"
)

// replay holds one step to what is so.
func (k *Checker) replay(s *said.Step) {
	at := fmt.Sprintf("steps[%d]", k.step-1)
	if slices.Contains(k.x.Asked, k.step) {
		k.same(at+".think", s.Think, wording.Think(s))
	} else if s.Think != "" {
		k.fault(at+".think", "only what is asked is thought about")
	}
	if s.Sort == "remedy" {
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
	if p == nil || !anew.IsHead(p) {
		k.fault(at+".property", "nothing of the name %q is concluded of %s", s.Property, s.Part)
		return
	}
	f := anew.Fact{Part: part, Prop: p}
	k.same(at, *s, k.w.Finding(f), "ways", "left", "think", "remedies", "missing")
	k.remedies(at, s, f)
	all := k.w.Bearings(f)
	k.ways(at, s, all, func(b *anew.Bearing) truth.Truth { return k.tells(b, f) })
	if len(s.Missing) > 0 {
		k.fault(at+".missing", "only a verdict names what is missing")
	}
}
