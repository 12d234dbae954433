package wording

import (
	"fmt"
	"strings"

	"whyworn/explain/check/anew"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Conflicts words what is at odds about a fact.
func (w Words) Conflicts(f anew.Fact) (out []string) {
	if !w.InConflict(f) {
		return nil
	}
	name := w.FactName(f)
	if f.Prop.Role == vocab.Computed {
		words := func(s anew.Setter) string { return numberWords(s.Number, condition.Type{Prop: f.Prop}) }
		all := w.Disputes(f)
		for _, d := range all {
			out = append(out, fmt.Sprintf("%s comes out as %s and as %s (%s, %s): taken as not known", name, words(d[0]), words(d[1]), d[0].Rule.ID, d[1].Rule.ID))
		}
		if v, given := w.Value(f); given && len(all) == 0 {
			first := w.Setters(f)[0]
			out = append(out, fmt.Sprintf("%s was observed as %s and works out as %s (%s): the observed value is used",
				name, w.shown(f.Prop, v), words(first), first.Rule.ID))
		}
		return out
	}
	then, outs := w.Firing(f)
	by := strings.Join(append(then, outs...), ", ")
	if len(then) > 0 && len(outs) > 0 {
		out = append(out, name+" is concluded and ruled out at once ("+by+"): taken as not known")
	}
	if s := w.Weighing(f); s != nil && (len(then) > 0 && s.State == truth.False || len(then) == 0 && s.State == truth.True) {
		out = append(out, name+" holds by a rule though its clues alone would exclude it ("+by+")")
	}
	return out
}
