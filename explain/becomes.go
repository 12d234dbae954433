package explain

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/facts"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Fate is what becomes of some parts alike: of one level, for the same reasons.
type Fate struct {
	Level     vocab.Level // NoWord where no rule judges the part, and a person does
	Parts     []int32
	Why       []string // in words; of several parts "each" stands for their names
	Decision  *rules.Decision
	Untouched bool // nobody has looked at anything of the parts
}

// Fates groups what becomes of the parts, the gravest first: parts with one
// verdict and one reason together, those a person decided about alone, those
// nobody has looked at last.
func (d *Diagnosis) Fates() []Fate {
	var out []Fate
	keys := map[string]int{}
	var untouched []int32
	for _, level := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther, vocab.Refit} {
		for i := range d.Verdicts {
			v := &d.Verdicts[i]
			switch {
			case v.Level != level:
				continue
			case v.Untouched && v.Decision == nil:
				untouched = append(untouched, v.Part)
				continue
			}
			why := d.whyBecomes(v)
			key := level.String() + "\x00" + strings.Join(d.ofEach(why, v.Part), "\x00")
			n, ok := keys[key]
			if v.Decision != nil || !ok {
				n = len(out)
				out = append(out, Fate{Level: level, Why: why, Decision: v.Decision})
				if v.Decision == nil {
					keys[key] = n
				}
			}
			out[n].Parts = append(out[n].Parts, v.Part)
		}
	}
	for i := range out {
		if f := &out[i]; len(f.Parts) > 1 {
			f.Why = d.ofEach(f.Why, f.Parts[0])
		}
	}
	for i := range d.Facts.Decisions {
		k := &d.Facts.Decisions[i]
		if !slices.ContainsFunc(d.Verdicts, func(b Becomes) bool { return b.Part == k.Part }) {
			out = append(out, Fate{Parts: []int32{k.Part}, Decision: k})
		}
	}
	if len(untouched) > 0 {
		out = append(out, Fate{Level: vocab.InspectFurther, Parts: untouched, Untouched: true})
	}
	return out
}

// ofEach says "each" where reasons begin with the name of their part.
func (c *Case) ofEach(why []string, part int32) []string {
	out := slices.Clone(why)
	for i := range out {
		if rest, ok := strings.CutPrefix(out[i], c.PartName(part)+" "); ok {
			out[i] = "each " + rest
		}
	}
	return out
}

// whyBecomes tells why a part becomes what it becomes; what of a part itself is
// said of it is said without its name.
func (c *Case) whyBecomes(v *Becomes) []string {
	var why []string
	own := c.PartName(v.Part) + ": "
	for i := range v.Ways {
		if t := v.Ways[i].Rule.Because; t != nil {
			if s := strings.TrimPrefix(c.Say(t, v.Ways[i].Bound), own); !slices.Contains(why, s) {
				why = append(why, s)
			}
		}
	}
	if v.Level == vocab.Refit {
		if by := c.Facts.Parts[v.Part].Kind.JudgedBy; by != "" {
			why = append(why, "judged by "+by)
		}
		for _, r := range c.remarks(v.Part) {
			why = append(why, "not before this remark is seen to: "+r.Text)
		}
	}
	if v.Level != vocab.InspectFurther {
		return why
	}
	const most = 4
	var missing []string
	for i, id := range v.Missing {
		if i == most {
			missing = append(missing, fmt.Sprintf("%d more", len(v.Missing)-i))
			break
		}
		name := strings.TrimPrefix(c.FactName(id), own)
		missing = append(missing, name)
	}
	if len(missing) > 0 {
		why = append(why, "not known: "+strings.Join(missing, "; "))
	}
	for _, s := range c.Undecided(&v.Verdict) {
		why = append(why, "nobody can say whether "+strings.Replace(s, ": undecided, ", ": ", 1))
	}
	return why
}

// remarks are those on a part: no question fits them, so no rule has judged them.
func (c *Case) remarks(part int32) (out []*facts.Remark) {
	for _, r := range c.Facts.Remarks {
		if r.Part == part {
			out = append(out, r.Written)
		}
	}
	return out
}

// DecisionWords tells what a person decides about the parts, and whether that is
// otherwise than the rules.
func (f *Fate) DecisionWords() string {
	k := f.Decision
	if k == nil {
		return ""
	}
	who := "the person"
	if k.Written.By != "" {
		who = k.Written.By
	}
	who += " decides"
	if k.Level != f.Level {
		who += " otherwise"
	}
	text := who + ": " + k.Level.String()
	if k.Written.Because != "" {
		text += ", because " + k.Written.Because
	}
	return text
}
