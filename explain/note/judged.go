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
	var untouched []int32
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
	if len(t.Rows) == 0 {
		w.para("", "Nothing can be said of any part.")
		return
	}
	w.add(t)
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
		for i, id := range w.d.Missing(&v.Verdict) {
			if i == 4 {
				missing = append(missing, fmt.Sprintf("%d more", len(w.d.Missing(&v.Verdict))-i))
				break
			}
			name := w.d.FactName(id)
			if id.Part == v.Part {
				name = id.Prop.Name
			}
			missing = append(missing, name)
		}
		if len(missing) > 0 {
			why = append(why, "Not settled; it needs: "+strings.Join(missing, "; "))
		}
	case len(why) == 0 && v.Level == vocab.Refit:
		why = append(why, "Nothing found against it")
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
		Shares: []float64{24, 19, 17, 22, 9, 11}, Right: []bool{false, false, false, false, false, true}}
	bare := false
	var alike [][]int32 // the parts of each row: those of one reading and one limit share it
	rows := map[string]int{}
	for _, a := range all {
		chance := "-"
		if a.conformityKnown {
			chance = percent(a.conforms)
		}
		bare = bare || a.value.Number.U() == 0
		row := []string{a.prop.Name, w.number(a.prop, &a.value), a.allowed(), a.whose, resultWords[a.result], chance}
		key := a.prop.Kind.ID + "\x00" + strings.Join(row, "\x00")
		n, ok := rows[key]
		if !ok {
			n = len(t.Rows)
			rows[key] = n
			t.Rows = append(t.Rows, row)
			t.Strong = append(t.Strong, a.result == draw.Over || a.result == draw.Under)
			alike = append(alike, nil)
		}
		alike[n] = append(alike[n], a.part)
	}
	for n, parts := range alike {
		t.Rows[n][0] = sentence(w.d.Together(parts)) + ": " + t.Rows[n][0]
	}
	w.add(t)
	w.small(w.aboutUncertainty(bare))
	w.limitBars(all)
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
		"The chance is that of the true value lying within the limits (JCGM 106:2012). ", w.d.Facts.K)
	if bare {
		text += "A dash: no uncertainty was given, so there is no chance to state, and the result is as good as the reading. "
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
