package record

import (
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Findings lists the concluded facts that are true, false, or unknown though
// something they rest on is known, by part, then property. Verdicts are not
// among them.
func (r *Result) Findings() []Finding {
	out := make([]Finding, 0, 64)
	r.EachFinding(func(f *Finding) { out = append(out, *f) })
	return out
}

// EachFinding gives what [Result.Findings] lists, one after the other. visit must
// not keep f.
func (r *Result) EachFinding(visit func(f *Finding)) {
	columns := r.Columns.Of
	// Of each column the first weighing not yet passed: slots of a column ascend
	// with its parts.
	next := make([]int, len(columns))
	w := 0
	for i := range columns {
		for w < len(r.Weighed) && r.Weighed[w].Slot < columns[i].First {
			w++
		}
		next[i] = w
	}
	var f Finding
	for n := range r.Facts.Parts {
		part := &r.Facts.Parts[n]
		for _, i := range r.Columns.findings[part.Kind.Index] {
			s := columns[i].First + part.Ordinal
			if r.State[s] == truth.Unknown && r.Flags[s]&(TouchedFlag|InConflictFlag) == 0 {
				continue
			}
			w := next[i]
			for w < len(r.Weighed) && r.Weighed[w].Slot < s {
				w++
			}
			next[i] = w
			var weighed *Weighed
			if w < len(r.Weighed) && r.Weighed[w].Slot == s {
				weighed = &r.Weighed[w]
			}
			f = Finding{FactID{Part: int32(n), Prop: columns[i].Prop}, r.fact(s, weighed)}
			visit(&f)
		}
	}
}

func isFinding(p *vocab.Property) bool { return p.Role.Concluded() && p.Role != vocab.Verdict }
