package explain

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/facts"
	"whyworn/facts/truth"
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
	if missing := c.missing(v); missing != nil {
		why = append(why, "not known: "+strings.Join(missing, "; "))
	}
	for _, s := range c.Undecided(&v.Verdict) {
		why = append(why, "nobody can say whether "+strings.Replace(s, ": undecided, ", ": ", 1))
	}
	return why
}

// missing names what would have to be known for a verdict, of the part itself
// without its name, and counts what is over a few; of a part that is gone or in
// pieces nobody asks how it looks.
func (c *Case) missing(v *Becomes) []string {
	const most = 4
	var own, rest []record.FactID
	if found := c.Facts.Parts[v.Part].Kind.Property("found"); found != nil {
		if o := c.Facts.Lookup(v.Part, found); o != nil && o.Value.Within(rules.FoundMissing|rules.FoundInPieces) == truth.True {
			return nil
		}
	}
	for _, id := range v.Missing {
		if id.Part == v.Part {
			own = append(own, id)
		} else {
			rest = append(rest, id)
		}
	}
	var out []string
	groups := append(Grouped(own), Grouped(rest)...)
	for i, g := range groups {
		if i == most {
			left := 0
			for _, h := range groups[i:] {
				left += len(h.Parts) * len(h.Props)
			}
			return append(out, fmt.Sprintf("%d more", left))
		}
		out = append(out, c.whose(&g, v.Part)+g.Names())
	}
	return out
}

// whose names the parts of a group beside the part that is spoken of: "its seat: ",
// "the other rocker arms: ".
func (c *Case) whose(g *Group, part int32) string {
	n := g.Parts[0]
	kind := c.Facts.Parts[n].Kind
	switch {
	case n == part:
		return ""
	case len(g.Parts) == 1 && c.beside(n, part):
		return "its " + kind.Name + ": "
	case len(g.Parts) > 1 && kind == c.Facts.Parts[part].Kind && len(g.Parts) == len(c.Facts.OfKind[kind.Index])-1 &&
		!slices.ContainsFunc(g.Parts, func(o int32) bool { return c.Facts.Parts[o].Kind != kind }):
		return "the other " + kind.Plural + ": "
	}
	return c.Together(g.Parts) + ": "
}

// beside tells whether a part is the only one of its kind at the station of another.
func (c *Case) beside(part, other int32) bool {
	p, row := &c.Facts.Parts[part], c.Facts.Parts[other].Row
	if row == "" || p.Row != row {
		return false
	}
	for _, n := range c.Facts.OfKind[p.Kind.Index] {
		if n != part && c.Facts.Parts[n].Row == row {
			return false
		}
	}
	return true
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
