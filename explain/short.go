package explain

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// Sum is the weight of prior and counted clues together.
func (c *Case) Sum(id record.FactID) weigh.Weight {
	return c.Start(id) + c.Result.Fact(id.Part, id.Prop).Weight
}

// InShort tells the story in a few plain sentences.
func (d *Diagnosis) InShort() []string {
	var out []string
	if len(d.Story.Chains) == 0 {
		out = append(out, d.Nothing())
		if d.NoWordOnParts() {
			out = append(out, NothingApart)
		}
		return out
	}
	var alone []record.FactID
	for i, k := range d.Story.Chains {
		if i > 0 && len(k.Findings) == 1 {
			alone = append(alone, k.Findings[0].FactID)
			continue
		}
		out = append(out, d.chainShort(&k, i > 0)...)
	}
	if len(alone) > 0 {
		out = append(out, "Linked to nothing: "+d.grouped(alone, GroupsShown)+".")
	}
	if d.NoWordOnParts() {
		out = append(out, NothingApart)
	} else if s := d.VerdictsShort(); s != "" {
		out = append(out, strings.ToUpper(s[:1])+s[1:]+".")
	}
	if s := d.NotAccountedFor(); s != "" {
		out = append(out, s+".")
	}
	return out
}

// Nothing says what stands in the place of a story where nothing is held.
func (d *Diagnosis) Nothing() string {
	n := len(d.Story.Unaccounted)
	if open := len(d.Open); open > 0 && d.allInOrder() {
		return fmt.Sprintf("Nothing out of the ordinary was found in what was looked at; %s open.", plural(open, "cause is", "causes are"))
	}
	if open := len(d.Open); open > 0 {
		s := fmt.Sprintf("Nothing can be held as proven yet; %s open", plural(open, "cause is", "causes are"))
		if n > 0 {
			s += fmt.Sprintf(", and %s out of the ordinary that nothing held accounts for", plural(n, "sign is", "signs are"))
		}
		return s + "."
	}
	if n > 0 {
		return fmt.Sprintf("What is wrong cannot be said: %s out of the ordinary, and nothing held accounts for that.", plural(n, "sign is", "signs are"))
	}
	if n := d.Answers(); n > 0 && n == len(d.CouldNotTell) {
		return "Nothing could be told of what was looked at."
	}
	return "Nothing wrong was found in what was looked at."
}

// allInOrder tells whether something was looked for and found in order, and
// nothing else: no sign, remark or number that is out of the ordinary.
func (d *Diagnosis) allInOrder() bool {
	return len(d.Absent)+len(d.Telling) > 0 && len(d.Story.Unaccounted)+len(d.Story.Accounted)+len(d.Facts.Remarks) == 0 &&
		!slices.ContainsFunc(d.Standings(), func(s Standing) bool { return s.Decision != truth.False })
}

// TakenApart tells whether anything was stripped: somebody says so, or looked at
// what only a part that was taken off shows.
func (c *Case) TakenApart() bool {
	return len(c.Facts.Inspection.Stripped) > 0 || c.Stage > vocab.BeforeANutIsTurned
}

// NoWordOnParts tells whether there is nothing to say of parts, since nothing was
// taken apart and none is condemned as it stands.
func (d *Diagnosis) NoWordOnParts() bool {
	return !d.TakenApart() && len(d.Facts.Decisions) == 0 &&
		!slices.ContainsFunc(d.Verdicts, func(v Becomes) bool { return v.Level > vocab.InspectFurther })
}

// NothingApart is said where there is no word on parts.
const NothingApart = "No word on parts: nothing was taken apart."

// NotAccountedFor counts what nothing held accounts for: signs, and remarks that
// no question fits; "" if there is none.
func (d *Diagnosis) NotAccountedFor() string {
	var out []string
	if n := len(d.Story.Unaccounted); n > 0 {
		out = append(out, plural(n, "sign", "signs"))
	}
	if n := len(d.Facts.Remarks); n > 0 {
		out = append(out, plural(n, "remark", "remarks"))
	}
	if len(out) == 0 {
		return ""
	}
	verb := " are"
	if len(out) == 1 && strings.HasPrefix(out[0], "1 ") {
		verb = " is"
	}
	return strings.Join(out, " and ") + verb + " not accounted for by anything held"
}

// Began tells where a chain began, whether that is a cause, and what came of it.
type Began struct {
	Roots []record.FactID
	// Found: the roots are damage, the earliest thing found. It came of something
	// that nobody knows.
	Found  bool
	Circle []record.FactID // that feeds itself, where nothing held began it
	Then   []record.FactID // the gravest first, but for what a circle names
	Feeds  [][]record.FactID
}

// Began gathers what a summary tells of a chain, the same in every output.
func (k *Chain) Began() Began {
	var b Began
	for _, f := range k.Findings {
		switch f.Role {
		case Apart, Root:
			b.Roots = append(b.Roots, f.FactID)
		case Circle:
			b.Circle = append(b.Circle, f.FactID)
		case KnockOn:
			b.Then = append(b.Then, f.FactID)
		}
	}
	b.Found = len(b.Roots) > 0 && !slices.ContainsFunc(b.Roots, func(id record.FactID) bool { return id.Prop.Role == vocab.Cause })
	for _, c := range k.Circles {
		if len(c.Started) > 0 {
			b.Feeds = append(b.Feeds, c.Members)
		}
	}
	b.Then = slices.DeleteFunc(Gravest(k, b.Then), func(id record.FactID) bool {
		return slices.ContainsFunc(b.Feeds, func(members []record.FactID) bool { return slices.Contains(members, id) })
	})
	return b
}

// chainShort tells one chain: where it began, what came of it, whether it
// feeds itself. Of what came of it the causes are told and the gravest damage;
// the rest is counted, it stands in the details.
func (d *Diagnosis) chainShort(k *Chain, apart bool) []string {
	var out []string
	b := k.Began()
	if len(b.Roots) > 0 {
		var words []string
		for _, r := range b.Roots {
			words = append(words, d.FactName(r))
		}
		begin, end := "It began with ", ""
		switch {
		case apart && b.Found:
			begin, end = "Found apart from that: ", "; what led to it is not known"
		case apart:
			begin = "Apart from that: "
		case b.Found && len(k.Findings) == 1:
			begin, end = "Found: ", "; nothing held leads to it"
		case b.Found:
			begin, end = "The earliest thing found is ", "; where it began is not known"
		}
		s := begin + strings.Join(words, "; and ")
		if why := d.Because(b.Roots[0]); len(b.Roots) == 1 && why != "" {
			s += " (" + why + ")"
		}
		out = append(out, s+end+".")
	}
	if len(b.Circle) > 0 {
		out = append(out, "It feeds itself, and what began it is not known: "+d.grouped(b.Circle, GroupsShown)+".")
	}
	if len(b.Then) > 0 && !apart {
		out = append(out, "From there: "+d.grouped(b.Then, GroupsShown)+".")
	}
	for _, c := range b.Feeds {
		out = append(out, fmt.Sprintf("By now it feeds itself: %s.", d.grouped(c, GroupsShown)))
	}
	return out
}

// GroupsShown is how many groups of findings a sentence of the summary names.
const GroupsShown = 4

// grouped names facts: those of one property together, then those of the same
// parts: "arms 2in and 2ex play over the limit; seat 2ex overheated, worn".
func (c *Case) grouped(ids []record.FactID, most int) string {
	groups := Grouped(ids)
	var out []string
	for i, g := range groups {
		if i == most {
			left := 0
			for _, h := range groups[i:] {
				left += len(h.Parts) * len(h.Props)
			}
			out = append(out, "and "+plural(left, "finding", "findings")+" more")
			break
		}
		out = append(out, c.Together(g.Parts)+" "+g.Names())
	}
	return strings.Join(out, "; ")
}

// Gravest puts first what led further: causes, then damage. The order is kept
// otherwise.
func Gravest(k *Chain, ids []record.FactID) []record.FactID {
	out := slices.Clone(ids)
	rank := func(id record.FactID) int {
		led := slices.ContainsFunc(k.Links, func(l Leads) bool { return l.From == id && !l.Forbid })
		switch {
		case led && id.Prop.Role == vocab.Cause:
			return 0
		case led:
			return 1
		}
		return 2
	}
	slices.SortStableFunc(out, func(a, b record.FactID) int { return rank(a) - rank(b) })
	return out
}

// VerdictsShort names what is replaced, reworked and looked at further, and counts
// what goes back: "replace shaft; 12 parts can go back". "" where nothing is said.
func (d *Diagnosis) VerdictsShort() string {
	const most = 10
	var out []string
	for _, level := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther, vocab.Refit} {
		var parts, remarked []int32
		for i := range d.Verdicts {
			switch v := &d.Verdicts[i]; {
			case v.Level != level || v.Untouched:
			case level == vocab.Refit && len(d.remarks(v.Part)) > 0:
				remarked = append(remarked, v.Part)
			default:
				parts = append(parts, v.Part)
			}
		}
		if len(remarked) > 0 {
			out = append(out, "see to the remark on "+d.Some(remarked, most)+" first")
		}
		if len(parts) == 0 {
			continue
		}
		if level == vocab.Refit {
			out = append(out, fmt.Sprintf("%s go back", plural(len(parts), "part can", "parts can")))
		} else {
			out = append(out, level.String()+" "+d.Some(parts, most))
		}
	}
	return strings.Join(out, "; ")
}

// Some names parts together, and counts what is over most.
func (c *Case) Some(parts []int32, most int) string {
	if len(parts) <= most {
		return c.Together(parts)
	}
	return fmt.Sprintf("%s and %d more", c.Together(parts[:most]), len(parts)-most)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Group is some properties that some parts have in common.
type Group struct {
	Parts []int32
	Props []*vocab.Property
}

// OfSeveral says of several parts what a name says of one: "worn past its limit",
// "worn past their limit".
func OfSeveral(name string, parts int) string {
	if parts < 2 {
		return name
	}
	words := strings.Split(name, " ")
	for i, w := range words {
		if w == "its" {
			words[i] = "their"
		}
	}
	return strings.Join(words, " ")
}

// Names names the properties: "overheated, deeply grooved".
func (g *Group) Names() string {
	var names []string
	for _, p := range g.Props {
		names = append(names, OfSeveral(p.Name, len(g.Parts)))
	}
	return strings.Join(names, ", ")
}

// Grouped groups facts, first those of one property, then those groups that have
// the same parts, each in the order in which it first comes.
func Grouped(ids []record.FactID) []Group {
	var out []Group
	parts := map[*vocab.Property][]int32{}
	var props []*vocab.Property
	for _, id := range ids {
		if parts[id.Prop] == nil {
			props = append(props, id.Prop)
		}
		parts[id.Prop] = append(parts[id.Prop], id.Part)
	}
	for _, p := range props {
		if n := slices.IndexFunc(out, func(g Group) bool { return slices.Equal(g.Parts, parts[p]) }); n >= 0 {
			out[n].Props = append(out[n].Props, p)
		} else {
			out = append(out, Group{parts[p], []*vocab.Property{p}})
		}
	}
	return out
}
