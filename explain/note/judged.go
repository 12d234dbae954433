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
	if w.d.NoWordOnParts() {
		w.para("", explain.NothingApart)
		return
	}
	t := Table{Caption: "What becomes of each part", Head: []string{"Part", "Becomes", "Why"}, Shares: []float64{24, 15, 61}}
	row := func(strong bool, cells ...string) {
		t.Rows = append(t.Rows, cells)
		t.Strong = append(t.Strong, strong)
	}
	var plain []int32
	for _, f := range w.d.Fates() {
		who, becomes, why := sentence(w.all(f.Parts)), f.Level.String(), stop(sentence(strings.Join(f.Why, "; ")))
		switch {
		case f.Untouched:
			becomes, why = "no word", "Nobody has looked at it."
		case f.Level == vocab.NoWord:
			becomes = "no word"
		case f.Level == vocab.Refit && why == "" && f.Decision == nil:
			plain = append(plain, f.Parts...)
			continue
		case f.Level == vocab.Refit && why == "":
			why = "Nothing found against it."
		}
		row(f.Level == vocab.Replace || f.Level == vocab.Rework, who, becomes, joined(" ", why, stop(sentence(f.DecisionWords()))))
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
		return &limit.Number, c.PropertyValue(p.Kind.BoundOf(p, b), &limit)
	}
	if a.least, a.leastW = bound(vocab.Least, measure.Lt, draw.Under); a.least != nil {
		lo = a.least.Lo
	}
	if a.most, a.mostW = bound(vocab.Most, measure.Gt, draw.Over); a.most != nil {
		hi = a.most.Lo
	}
	a.whose = strings.Join(whose, "; ")
	a.found, _ = c.Figure(part, p)
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
	t := Table{Caption: "Readings against limits", Head: []string{"What", "Found", "Allowed", "Result", "Chance inside"},
		Shares: []float64{34, 26, 22, 10, 8}, Right: []bool{false, false, false, false, true}}
	bare := false
	var whose []string
	for _, g := range w.alike(all) {
		t.Rows = append(t.Rows, g.row(w, &whose))
		t.Strong = append(t.Strong, g[0].result == draw.Over || g[0].result == draw.Under)
		bare = bare || slices.ContainsFunc(g, func(a against) bool { return a.value.Number.U() == 0 })
	}
	w.add(t)
	for i := range whose {
		whose[i] = whoseMark(i) + " " + whose[i]
	}
	w.small(joined(" ", w.aboutUncertainty(bare), stop(prefixed("Whose limit: ", strings.Join(whose, "; ")))))
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

// row is one row of the table: all numbers in the order of the parts, the least
// chance, and whose the limit is by its letter.
func (g sameLimit) row(w *writer, whose *[]string) []string {
	var parts []int32
	least := -1
	for i, a := range g {
		parts = append(parts, a.part)
		if a.conformityKnown && (least < 0 || a.conforms < g[least].conforms) {
			least = i
		}
	}
	chance := "-"
	if least >= 0 {
		chance = g[least].chance()
	}
	a := &g[0]
	allowed := a.allowed()
	if a.whose != "" {
		n := slices.Index(*whose, a.whose)
		if n < 0 {
			n = len(*whose)
			*whose = append(*whose, a.whose)
		}
		allowed += " " + whoseMark(n)
	}
	return []string{sentence(w.all(parts)) + ": " + a.prop.Name, g.found(w), allowed, resultWords[a.result], chance}
}

// whoseMark is a letter that stands for whose a limit is.
func whoseMark(n int) string {
	if n < 26 {
		return fmt.Sprintf("(%c)", 'a'+n)
	}
	return fmt.Sprintf("(%c%d)", 'a'+n%26, n/26)
}

// found tells the numbers of a row: one for all, each of a few, of many the least and
// the greatest with the largest uncertainty among them.
func (g sameLimit) found(w *writer) string {
	const few = 4
	var found []string
	for i := range g {
		if !slices.Contains(found, g[i].found) {
			found = append(found, g[i].found)
		}
	}
	if len(found) > few && !slices.ContainsFunc(g, func(a against) bool { return !a.value.Number.IsValue() }) {
		lo, hi, coarse := &g[0], &g[0], &g[0]
		for i := range g {
			a := &g[i]
			if a.value.Number.Lo < lo.value.Number.Lo {
				lo = a
			}
			if a.value.Number.Lo > hi.value.Number.Lo {
				hi = a
			}
			if a.value.Number.U() > coarse.value.Number.U() {
				coarse = a
			}
		}
		from, _, _ := strings.Cut(lo.found, " ")
		to, _, _ := strings.Cut(hi.found, " ")
		text := strings.TrimSpace(from + " to " + to + " " + g[0].prop.Unit.Symbol)
		if plus := w.d.Quantity(coarse.value.Number, coarse.prop).Plus; plus != "" {
			text += ", each ± " + plus + " or less"
		}
		return text
	}
	if len(found) > 1 && len(found) < len(g) { // each in the order of the parts
		found = found[:0]
		for i := range g {
			found = append(found, g[i].found)
		}
	}
	unit := " " + g[0].prop.Unit.Symbol
	for i := range len(found) - 1 {
		found[i] = strings.TrimSuffix(found[i], unit)
	}
	return strings.Join(found, "; ")
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
