package note

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"whyworn/explain"
	"whyworn/explain/draw"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// becomes tells for each part what becomes of it, and why.
func (w *writer) becomes() {
	w.head("What becomes of each part")
	t := Table{Caption: "What becomes of each part", Head: []string{"Part", "What becomes of it", "Why"}, Shares: []float64{24, 16, 60}}
	row := func(strong bool, cells ...string) {
		t.Rows = append(t.Rows, cells)
		t.Strong = append(t.Strong, strong)
	}
	var untouched, plain []int32
	for _, level := range []vocab.Level{vocab.Replace, vocab.Rework, vocab.InspectFurther, vocab.Refit} {
		type alike struct {
			why   string
			parts []int32
		}
		var groups []alike
		for i := range w.d.Verdicts {
			v := &w.d.Verdicts[i]
			switch {
			case v.Level != level:
			case v.Untouched && v.Decision == nil:
				untouched = append(untouched, v.Part)
			case v.Decision != nil:
				groups = append(groups, alike{w.why(v), []int32{v.Part}})
			default:
				why := w.why(v)
				if level == vocab.Refit { // one line for each kind of part
					why += "\x00" + w.d.Facts.Parts[v.Part].Kind.ID
				}
				if n := slices.IndexFunc(groups, func(g alike) bool { return g.why == why }); n >= 0 {
					groups[n].parts = append(groups[n].parts, v.Part)
				} else {
					groups = append(groups, alike{why, []int32{v.Part}})
				}
			}
		}
		for _, g := range groups {
			why, _, _ := strings.Cut(g.why, "\x00")
			if level == vocab.Refit && why == nothingAgainst {
				plain = append(plain, g.parts...)
				continue
			}
			row(level == vocab.Replace || level == vocab.Rework, sentence(w.d.Together(g.parts)), level.String(), why)
		}
	}
	for i := range w.d.Facts.Decisions { // of parts that no rule judges
		k := &w.d.Facts.Decisions[i]
		if !slices.ContainsFunc(w.d.Verdicts, func(b explain.Becomes) bool { return b.Part == k.Part }) {
			row(false, sentence(w.d.PartName(k.Part)), "no word", w.decision(&explain.Becomes{Decision: k}))
		}
	}
	if len(untouched) > 0 {
		row(false, sentence(w.d.Together(untouched)), "no word", "Nobody has looked at it.")
	}
	if len(t.Rows) > 0 {
		w.add(t)
	}
	if len(plain) > 0 {
		w.para("Refit,", fmt.Sprintf("because nothing was found against %s: %s.", them(plain), w.allTogether(plain)))
	}
	if len(t.Rows)+len(plain) == 0 {
		w.para("", "Nothing can be said of any part.")
	}
}

// nothingAgainst is why a part is refit that no rule says a word about.
const nothingAgainst = "Nothing found against it."

func them(parts []int32) string {
	if len(parts) == 1 {
		return "it"
	}
	return "them"
}

// allTogether names parts kind by kind.
func (w *writer) allTogether(parts []int32) string {
	var out []string
	for i := 0; i < len(parts); {
		j := i + 1
		for j < len(parts) && w.d.Facts.Parts[parts[j]].Kind == w.d.Facts.Parts[parts[i]].Kind {
			j++
		}
		out = append(out, w.all(parts[i:j]))
		i = j
	}
	return strings.Join(out, "; ")
}

// why tells why a part becomes what it becomes, and the person's own decision.
func (w *writer) why(v *explain.Becomes) string {
	var why []string
	own := w.d.PartName(v.Part) + ": "
	for i := range v.Ways {
		if t := v.Ways[i].Rule.Because; t != nil {
			s := strings.TrimPrefix(w.d.Say(t, v.Ways[i].Bound), own)
			if !slices.Contains(why, s) {
				why = append(why, s)
			}
		}
	}
	switch {
	case v.Level == vocab.InspectFurther:
		var missing []string
		for i, id := range v.Missing {
			if i == 4 {
				missing = append(missing, fmt.Sprintf("%d more", len(v.Missing)-i))
				break
			}
			name := w.d.FactName(id)
			if id.Part == v.Part {
				name = id.Prop.Name
			}
			missing = append(missing, name)
		}
		if len(missing) > 0 {
			why = append(why, "not settled; it needs: "+strings.Join(missing, "; "))
		}
		for _, s := range w.d.Undecided(&v.Verdict) {
			why = append(why, "not settled: whether "+strings.Replace(s, ": undecided, ", "; ", 1))
		}
	case len(why) == 0 && v.Level == vocab.Refit:
		why = append(why, strings.TrimSuffix(nothingAgainst, "."))
	}
	return joined(" ", stop(sentence(strings.Join(why, "; "))), w.decision(v))
}

// decision tells what the person decides beside the rules.
func (w *writer) decision(v *explain.Becomes) string {
	k := v.Decision
	if k == nil {
		return ""
	}
	who := "The person decides"
	if k.Written.By != "" {
		who = sentence(k.Written.By) + " decides"
	}
	if k.Level != v.Level {
		who += " otherwise"
	}
	return stop(joined(", ", who+": "+k.Level.String(), prefixed("because ", k.Written.Because)))
}

// against is one number against its limits.
type against struct {
	part            int32
	prop            *vocab.Property
	value           vocab.Value
	found           string // value as words
	least, most     *measure.Number
	leastW, mostW   string // as words
	whose           string
	result          draw.LimitResult
	conforms        float64
	conformityKnown bool
}

// limits lists every number that has a limit.
func (w *writer) limits() []against {
	var out []against
	c := &w.d.Case
	for n := range c.Facts.Parts {
		part := int32(n)
		for _, p := range c.Facts.Parts[n].Kind.Properties {
			if p.Type == vocab.Choice || p.Type == vocab.YesNo || p.Role == vocab.Declared || p.Unit == nil {
				continue
			}
			v, ok := c.Result.Value(part, p)
			if !ok || v.Looked != vocab.Told {
				continue
			}
			if a := w.against(part, p, v); a.least != nil || a.most != nil {
				out = append(out, a)
			}
		}
	}
	// What is over comes first, what nobody can say next.
	rank := func(r draw.LimitResult) int {
		switch r {
		case draw.Inside:
			return 2
		case draw.Undecided:
			return 1
		}
		return 0
	}
	slices.SortStableFunc(out, func(a, b against) int { return rank(a.result) - rank(b.result) })
	return out
}

func (w *writer) against(part int32, p *vocab.Property, v vocab.Value) against {
	c := &w.d.Case
	a := against{part: part, prop: p, value: v, result: draw.Inside}
	lo, hi := math.Inf(-1), math.Inf(1)
	exact := true
	var whose []string
	bound := func(b vocab.Bound, op measure.Op, broken draw.LimitResult) (*measure.Number, string) {
		limit, by, ok := c.Limit(part, p, b)
		if !ok || limit.Looked != vocab.Told {
			return nil, ""
		}
		if by != "" && !slices.Contains(whose, by) {
			whose = append(whose, by)
		}
		switch measure.Compare(op, v.Number, limit.Number, c.Facts.K).Truth {
		case truth.True:
			a.result = broken
		case truth.Unknown:
			if a.result == draw.Inside {
				a.result = draw.Undecided
			}
		}
		exact = exact && limit.Number.IsValue()
		return &limit.Number, c.PropertyValue(p, &limit)
	}
	if a.least, a.leastW = bound(vocab.Least, measure.Lt, draw.Under); a.least != nil {
		lo = a.least.Lo
	}
	if a.most, a.mostW = bound(vocab.Most, measure.Gt, draw.Over); a.most != nil {
		hi = a.most.Lo
	}
	a.whose = strings.Join(whose, "; ")
	a.found = w.asWritten(part, p, &v)
	places := decimals(a.found)
	a.leastW, a.mostW = withDecimals(a.leastW, places), withDecimals(a.mostW, places)
	if u := v.Number.U(); u > 0 && v.Number.IsValue() && exact {
		a.conforms, a.conformityKnown = measure.ConformityProbability(v.Number.Lo, u, lo, hi), true
	}
	return a
}

var resultWords = map[draw.LimitResult]string{draw.Inside: "inside", draw.Over: "over", draw.Under: "under", draw.Undecided: "cannot say"}

// measured sets readings beside limits.
func (w *writer) measured() {
	all := w.limits()
	if len(all) == 0 {
		return
	}
	w.head("Measured, and what is allowed")
	t := Table{Caption: "Readings against limits", Head: []string{"What", "Found", "Allowed", "Whose limit", "Result", "Chance inside"},
		Shares: []float64{23, 19, 19, 20, 8, 11}, Right: []bool{false, false, false, false, false, true}}
	bare := false
	for _, g := range w.alike(all) {
		t.Rows = append(t.Rows, g.row(w))
		t.Strong = append(t.Strong, g[0].result == draw.Over || g[0].result == draw.Under)
		bare = bare || slices.ContainsFunc(g, func(a against) bool { return a.value.Number.U() == 0 })
	}
	w.add(t)
	w.small(w.aboutUncertainty(bare))
	w.limitBars(all)
}

// sameLimit is the numbers of several parts against one limit.
type sameLimit []against

// alike gathers what lies inside one limit, and what else has the same number; all
// other numbers stand alone.
func (w *writer) alike(all []against) []sameLimit {
	var out []sameLimit
	rows := map[string]int{}
	for _, a := range all {
		key := strings.Join([]string{a.prop.Label(), a.allowed(), a.whose, resultWords[a.result]}, "\x00")
		if a.result != draw.Inside {
			key += "\x00" + a.found + a.chance()
		}
		n, ok := rows[key]
		if !ok {
			n = len(out)
			rows[key] = n
			out = append(out, nil)
		}
		out[n] = append(out[n], a)
	}
	return out
}

// row is one row of the table: all numbers in the order of the parts, and the
// least chance.
func (g sameLimit) row(w *writer) []string {
	var parts []int32
	var found []string
	least := -1
	for i, a := range g {
		parts = append(parts, a.part)
		found = append(found, a.found)
		if a.conformityKnown && (least < 0 || a.conforms < g[least].conforms) {
			least = i
		}
	}
	if !slices.ContainsFunc(found, func(s string) bool { return s != found[0] }) {
		found = found[:1] // one number for all
	}
	unit := " " + g[0].prop.Unit.Symbol
	for i := range len(found) - 1 {
		found[i] = strings.TrimSuffix(found[i], unit)
	}
	chance := "-"
	if least >= 0 {
		chance = g[least].chance()
	}
	a := &g[0]
	return []string{sentence(w.all(parts)) + ": " + a.prop.Name, strings.Join(found, "; "), a.allowed(), a.whose, resultWords[a.result], chance}
}

// chance words the probability that a number keeps its limits; "-" if nobody knows.
func (a *against) chance() string {
	if a.conformityKnown {
		return percent(a.conforms)
	}
	return "-"
}

func (a *against) allowed() string {
	switch {
	case a.least == nil:
		return "at most " + a.mostW
	case a.most == nil:
		return "at least " + a.leastW
	}
	least, unit, _ := strings.Cut(a.leastW, " ")
	if strings.HasSuffix(a.mostW, " "+unit) {
		return least + " to " + a.mostW
	}
	return a.leastW + " to " + a.mostW
}

func (w *writer) aboutUncertainty(bare bool) string {
	text := fmt.Sprintf("± is %g times the standard uncertainty (k = %[1]g). Where the limit lies within ± of what was found, nobody can say on which side of it the truth lies. "+
		"The chance is that of the true value lying within the limits (JCGM 106:2012), of several numbers the least. ", w.d.Facts.K)
	if bare {
		text += "A dash, or a number without ±: no uncertainty was given, so there is no chance to state, and the result is as good as the reading. "
	}
	var tools []string
	for _, tool := range w.d.Facts.Inspection.Tools {
		name := tool.Is
		if name == "" {
			name = tool.Name.Text
		}
		if tool.U != nil {
			name += ", standard uncertainty " + tool.U.Text
		}
		if tool.Calibration != nil {
			name += ", of its calibration " + tool.Calibration.Text
			if tool.K != nil {
				name += " at k = " + tool.K.Text
			}
		}
		if tool.Checked != "" {
			name += ", checked " + dateWords(tool.Checked)
		}
		tools = append(tools, name)
	}
	if len(tools) > 0 {
		text += "Measured with: " + strings.Join(tools, "; ") + "."
	}
	return strings.TrimSpace(text)
}
