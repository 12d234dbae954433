package explain

import (
	"fmt"
	"strings"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/rules/vocab"
)

// Start is the weight of a finding's prior, Sum that of prior and counted
// clues together.
func (c *Case) Start(id record.FactID) weigh.Weight {
	p := id.Prop.HowCommon
	if !(p > 0 && p < 1) {
		return 0
	}
	return weigh.FromRatio(p / (1 - p))
}

// Sum is the weight of prior and counted clues together.
func (c *Case) Sum(id record.FactID) weigh.Weight {
	return c.Start(id) + c.Result.Fact(id.Part, id.Prop).Weight
}

// InShort tells the story in a few plain sentences.
func (d *Diagnosis) InShort() []string {
	var out []string
	if len(d.Story.Chains) == 0 {
		return []string{d.nothing()}
	}
	for i, k := range d.Story.Chains {
		out = append(out, d.chainShort(&k, i > 0)...)
	}
	if s := d.verdictShort(); s != "" {
		out = append(out, s)
	}
	if n := len(d.Story.Unaccounted); n > 0 {
		out = append(out, fmt.Sprintf("%s not accounted for by anything held.", plural(n, "sign is", "signs are")))
	}
	return out
}

func (d *Diagnosis) nothing() string {
	if n := len(d.Open); n > 0 {
		return fmt.Sprintf("Nothing can be held as proven yet; %s open.", plural(n, "cause is", "causes are"))
	}
	return "Nothing wrong was found in what was looked at."
}

func (d *Diagnosis) chainShort(k *Chain, apart bool) []string {
	var out []string
	var roots, circle, then []record.FactID
	for _, f := range k.Findings {
		switch f.Role {
		case Root:
			roots = append(roots, f.FactID)
		case Circle:
			circle = append(circle, f.FactID)
		case KnockOn:
			then = append(then, f.FactID)
		case Apart:
			return []string{"Apart from that: " + d.withBecause(f.FactID) + "."}
		}
	}
	begin := "It began with "
	if apart {
		begin = "Apart from that: "
	}
	if len(roots) > 0 {
		var words []string
		for _, r := range roots {
			words = append(words, d.withBecause(r))
		}
		out = append(out, begin+strings.Join(words, "; and ")+".")
	}
	if len(circle) > 0 {
		out = append(out, "It feeds itself, and what began it is not known: "+d.grouped(circle)+".")
	}
	if len(then) > 0 {
		out = append(out, "From there: "+d.grouped(then)+".")
	}
	for _, c := range k.Circles {
		if len(c.Started) > 0 {
			out = append(out, "By now it feeds itself: "+d.grouped(c.Members)+".")
		}
	}
	return out
}

func (d *Diagnosis) withBecause(id record.FactID) string {
	text := d.FactName(id)
	if why := d.Because(id); why != "" {
		text += " (" + why + ")"
	}
	return text
}

// grouped names facts, those of one property together: "play over the limit at
// arms 2in and 2ex".
func (c *Case) grouped(ids []record.FactID) string {
	var props []*vocab.Property
	parts := map[*vocab.Property][]int32{}
	for _, id := range ids {
		if parts[id.Prop] == nil {
			props = append(props, id.Prop)
		}
		parts[id.Prop] = append(parts[id.Prop], id.Part)
	}
	var out []string
	for _, p := range props {
		out = append(out, c.Together(parts[p])+": "+p.Name)
	}
	return strings.Join(out, "; ")
}

func (d *Diagnosis) verdictShort() string {
	var out []string
	for _, level := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther, vocab.Refit} {
		var parts []int32
		for i := range d.Verdicts {
			if v := &d.Verdicts[i]; v.Level == level && !v.Untouched {
				parts = append(parts, v.Part)
			}
		}
		if len(parts) == 0 {
			continue
		}
		if level == vocab.Refit {
			out = append(out, fmt.Sprintf("%s go back", plural(len(parts), "part can", "parts can")))
		} else {
			out = append(out, level.String()+" "+d.Together(parts))
		}
	}
	if len(out) == 0 {
		return ""
	}
	s := strings.Join(out, "; ")
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
