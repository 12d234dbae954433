// Package answer writes explanations as JSON, with field names that programs
// may rely on. Start with [Diagnosis] for all of it and [Facts] for what a
// batch needs. Numbers are in the unit named beside them.
package answer

import (
	"math"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/explain/words"
	"whyworn/facts/source"
	"whyworn/rules/vocab"
)

// Result is a result as JSON.
type Result struct {
	Pack        Pack            `json:"pack"`
	Machine     string          `json:"machine"`
	Number      string          `json:"number,omitempty"`
	Date        string          `json:"date,omitempty"`
	Findings    []Finding       `json:"findings"`
	Computed    []Number        `json:"computed"`
	Limits      []Limit         `json:"limits,omitempty"` // of a diagnosis; a batch leaves them out
	Verdicts    []Verdict       `json:"verdicts"`
	Conflicts   []string        `json:"conflicts,omitempty"`
	Remedies    []Remedy        `json:"remedies,omitempty"`
	Story       *Story          `json:"story,omitempty"`
	Open        []Finding       `json:"open,omitempty"`
	Unaccounted []Sign          `json:"unaccounted,omitempty"`
	Next        []Look          `json:"next,omitempty"`
	NotLooked   []Property      `json:"not_looked,omitempty"`
	CouldNot    []Property      `json:"could_not_tell,omitempty"`
	WithoutU    []Property      `json:"without_uncertainty,omitempty"`
	Problems    source.Problems `json:"problems"`
}

// Pack says by which pack a result was made.
type Pack struct {
	ID      string `json:"id"`
	Version string `json:"version"`
	Digest  string `json:"digest"`
}

// Property names one property of one part.
type Property struct {
	Part     string `json:"part"`
	Property string `json:"property"`
}

// Finding is a finding; certain, or with probability and decibans.
type Finding struct {
	Part        string   `json:"part"`
	Finding     string   `json:"finding"`
	State       string   `json:"state"`
	Certain     bool     `json:"certain,omitempty"`
	Probability *float64 `json:"probability,omitempty"`
	Decibans    *float64 `json:"decibans,omitempty"`
	Word        string   `json:"word,omitempty"`
	Role        string   `json:"role,omitempty"`
	Round       int32    `json:"round,omitempty"`
	Because     string   `json:"because,omitempty"`
	Assumed     []string `json:"assumed,omitempty"`
	Conflict    bool     `json:"conflict,omitempty"`
	Rivals      []string `json:"rivals,omitempty"`
	// Of what stays open: the looks of which one answer settles it, those that
	// speak to it, and whether nothing that can still be looked at does.
	DecidedBy  []string `json:"decided_by,omitempty"`
	SpokenToBy []string `json:"spoken_to_by,omitempty"`
	NothingCan bool     `json:"nothing_can_decide,omitempty"`
}

// Number is a computed number in its unit; a range or bound has least and most
// instead of value.
type Number struct {
	Part     string   `json:"part"`
	Property string   `json:"property"`
	Value    *float64 `json:"value,omitempty"`
	Least    *float64 `json:"least,omitempty"`
	Most     *float64 `json:"most,omitempty"`
	Unit     string   `json:"unit"`
	U        *float64 `json:"u,omitempty"` // standard uncertainty, left out if none was given
}

// Limit is how a number stands to one of its limits, in its unit. Decision is
// inside, over, under or undecided at its uncertainty; Probability is that of its
// keeping the limit, left out where no uncertainty was given.
type Limit struct {
	Number
	Bound       string   `json:"bound"` // least or most
	Limit       float64  `json:"limit"`
	Whose       string   `json:"whose"`
	Decision    string   `json:"decision"`
	Probability *float64 `json:"probability,omitempty"`
}

// Verdict is what becomes of a part.
type Verdict struct {
	Part    string     `json:"part"`
	Verdict string     `json:"verdict"`
	Because []string   `json:"because,omitempty"`
	Missing []Property `json:"missing,omitempty"`
	// Undecided are comparisons that the readings are too coarse to decide.
	Undecided []string `json:"undecided,omitempty"`
	Decision  string   `json:"decision,omitempty"`
}

// Remedy is what to do.
type Remedy struct {
	ID             string   `json:"id"`
	Title          string   `json:"title"`
	Do             []string `json:"do"`
	BeforeNewParts bool     `json:"before_new_parts,omitempty"`
	DoNotRunUntil  string   `json:"do_not_run_until,omitempty"`
	ShowsItWorked  string   `json:"shows_it_worked,omitempty"`
	LookAlso       []string `json:"look_also,omitempty"`
	Recheck        string   `json:"recheck,omitempty"`
	OrderParts     []string `json:"order_parts,omitempty"`
	Cautions       []string `json:"cautions,omitempty"`
}

// Story is where it began and what followed; findings are named part.finding.
type Story struct {
	InShort []string `json:"in_short"`
	Roots   []string `json:"roots"`
	Circles []Circle `json:"circles,omitempty"`
	Links   []Link   `json:"links"`
	Fewest  []string `json:"fewest,omitempty"`
	// FewestOf counts the signs that these account for together; FewestExact is
	// false where they were too many to try every set.
	FewestOf    int      `json:"fewest_of,omitempty"`
	FewestExact bool     `json:"fewest_exact,omitempty"`
	Backwards   []Link   `json:"forbidden_by_order,omitempty"`
	Expected    []string `json:"expected_but_absent,omitempty"`
	LookAlso    []string `json:"look_also,omitempty"`
}

// Circle is findings that feed each other.
type Circle struct {
	Members []string `json:"members"`
	Started []string `json:"started_by,omitempty"`
	Perhaps []string `json:"perhaps_started_by,omitempty"`
}

// Link is one finding leading to another.
type Link struct {
	From string `json:"from"`
	To   string `json:"to"`
	How  string `json:"how"`
}

// Sign is an observation that nothing accounts for.
type Sign struct {
	Part     string `json:"part"`
	Property string `json:"property"`
	Value    string `json:"value"`
}

// Look is what to look at next.
type Look struct {
	Part       string   `json:"part"`
	Property   string   `json:"property"`
	Ask        string   `json:"ask,omitempty"`
	Minutes    float64  `json:"minutes"`
	Bits       float64  `json:"bits"`
	NowOrNever bool     `json:"now_or_never,omitempty"`
	Again      bool     `json:"again,omitempty"`    // it has been measured, but too coarsely
	UWanted    float64  `json:"u_wanted,omitempty"` // the standard uncertainty that would decide, in Unit
	Unit       string   `json:"unit,omitempty"`     // of UWanted
	SpeaksTo   []string `json:"speaks_to,omitempty"`
	Verdicts   []string `json:"verdicts,omitempty"`
}

// Facts gives findings, numbers, verdicts and conflicts: what a run answers
// before any story is told of it.
func Facts(c *explain.Case, ps source.Problems) *Result {
	in := c.Facts.Inspection
	r := &Result{
		Pack:    Pack{c.Pack.ID, c.Pack.Version, c.Pack.Digest},
		Machine: c.Facts.Machine.ID, Number: in.Number, Date: in.Date.Text,
		Findings: []Finding{}, Computed: []Number{}, Verdicts: []Verdict{}, Problems: ps,
	}
	if r.Problems == nil {
		r.Problems = source.Problems{}
	}
	found := c.Result.Findings()
	r.Findings = slices.Grow(r.Findings, len(found))
	for _, f := range found {
		r.Findings = append(r.Findings, finding(c, f))
	}
	for _, n := range c.Result.Computed() {
		r.Computed = append(r.Computed, number(c, n))
	}
	r.Verdicts = slices.Grow(r.Verdicts, len(c.Result.Verdicts))
	for _, v := range c.Result.Verdicts {
		r.Verdicts = append(r.Verdicts, Verdict{Part: c.Facts.Parts[v.Part].ID, Verdict: word(v.Level), Missing: properties(c, v.Missing)})
	}
	for _, k := range c.Result.Conflicts {
		r.Conflicts = append(r.Conflicts, c.ConflictWords(k))
	}
	return r
}

func word(l vocab.Level) string { return strings.ReplaceAll(l.String(), " ", "_") }

func properties(c *explain.Case, ids []record.FactID) []Property {
	out := make([]Property, len(ids))
	for i, id := range ids {
		out[i] = Property{c.Facts.Parts[id.Part].ID, id.Prop.ID}
	}
	return out
}

func names(c *explain.Case, ids []record.FactID) []string {
	var out []string
	for _, id := range ids {
		out = append(out, c.FactID(id))
	}
	return out
}

func finding(c *explain.Case, f record.Finding) Finding {
	out := Finding{Part: c.Facts.Parts[f.Part].ID, Finding: f.Prop.ID, State: f.State.String(), Certain: f.Certain, Round: f.Round, Conflict: f.Conflict}
	if weighed(&f) {
		p, db := f.Probability, f.Weight.Decibans()
		out.Probability, out.Decibans = &p, &db
		out.Word = explain.HowSure(f.Fact)
	}
	return out
}

// weighed tells whether a finding is told with its probability.
func weighed(f *record.Finding) bool {
	return !f.Certain && (f.Decided || f.Prop.Weighed || f.Probability > 0)
}

func number(c *explain.Case, n record.Computed) Number {
	unit := n.Prop.Unit
	out := Number{Part: c.Facts.Parts[n.Part].ID, Property: n.Prop.ID, Unit: unit.Symbol}
	at := func(x float64) *float64 {
		if math.IsInf(x, 0) || math.IsNaN(x) {
			return nil
		}
		v := tidy(unit.FromBase(x))
		return &v
	}
	if n.Value.IsValue() {
		out.Value = at(n.Value.Lo)
	} else {
		out.Least, out.Most = at(n.Value.Lo), at(n.Value.Hi)
	}
	if n.Value.Terms != nil {
		u := tidy(unit.DifferenceFromBase(n.Value.U()))
		out.U = &u
	}
	return out
}

// tidy rounds to twelve significant digits, so that 0.1 + 0.2 reads 0.3.
func tidy(x float64) float64 {
	if x == 0 {
		return 0
	}
	scale := math.Pow(10, 12-math.Ceil(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}

// Diagnosis gives everything.
func Diagnosis(d *explain.Diagnosis, ps source.Problems) *Result {
	c := &d.Case
	r := Facts(c, ps)
	for _, s := range c.Standings() {
		l := Limit{Number: number(c, record.Computed{Part: s.Part, Prop: s.Prop, Value: s.Value}),
			Bound: vocab.BoundNames[s.Bound], Limit: tidy(s.Prop.Unit.FromBase(s.Limit.Lo)), Whose: s.Whose, Decision: s.Word()}
		if s.Given {
			p := tidy(s.Keeps)
			l.Probability = &p
		}
		r.Limits = append(r.Limits, l)
	}
	role := map[string]explain.Told{}
	for _, k := range d.Story.Chains {
		for _, f := range k.Findings {
			role[c.FactID(f.FactID)] = f
		}
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		t, ok := role[f.Part+"."+f.Finding]
		if !ok {
			continue
		}
		f.Role, f.Because = t.Role.String(), c.Because(t.FactID)
		for _, a := range c.Standing(t.FactID) {
			f.Assumed = append(f.Assumed, c.Condition(a.Rule.Unless[a.Unless], a.Bound))
		}
	}
	for i := range d.Verdicts {
		v := &r.Verdicts[i]
		for _, w := range d.Verdicts[i].Ways {
			if w.Rule.Because != nil {
				v.Because = append(v.Because, c.Say(w.Rule.Because, w.Bound))
			}
		}
		v.Undecided = c.Undecided(&d.Verdicts[i].Verdict)
		if k := d.Verdicts[i].Decision; k != nil {
			v.Decision = word(k.Level)
		}
	}
	for _, t := range d.Remedies {
		m := Remedy{ID: t.Remedy.ID, Title: c.Say(t.Remedy.Title, t.Bound), Do: c.SayAll(t.Remedy.Do, t.Bound), BeforeNewParts: t.Remedy.BeforeNewParts,
			DoNotRunUntil: c.Say(t.Remedy.DoNotRunUntil, t.Bound), ShowsItWorked: c.Say(t.Remedy.ShowsItWorked, t.Bound),
			LookAlso: c.SayAll(t.Remedy.LookAlso, t.Bound), Recheck: c.Say(t.Remedy.Recheck, t.Bound), OrderParts: c.SayAll(t.Remedy.OrderParts, t.Bound)}
		for _, k := range t.Remedy.Cautions {
			m.Cautions = append(m.Cautions, k.Text)
		}
		r.Remedies = append(r.Remedies, m)
	}
	r.Story = story(d)
	for _, o := range d.Open {
		f := finding(c, o.Finding)
		f.Rivals, f.NothingCan = names(c, o.Rivals), o.NothingCan()
		for _, l := range o.Looks {
			if l.Decides {
				f.DecidedBy = append(f.DecidedBy, c.FactID(l.Ask))
			} else {
				f.SpokenToBy = append(f.SpokenToBy, c.FactID(l.Ask))
			}
		}
		r.Open = append(r.Open, f)
	}
	for _, s := range d.Story.Unaccounted {
		o := &d.Facts.Observations[s.Observation]
		r.Unaccounted = append(r.Unaccounted, Sign{c.Facts.Parts[o.Part].ID, o.Prop.ID, c.Observed(o)})
	}
	for _, l := range d.Next {
		r.Next = append(r.Next, LookOf(c, l))
	}
	r.NotLooked = properties(c, d.NotLooked)
	for _, i := range d.CouldNotTell {
		o := &d.Facts.Observations[i]
		r.CouldNot = append(r.CouldNot, Property{c.Facts.Parts[o.Part].ID, o.Prop.ID})
	}
	for _, b := range d.Result.WithoutU {
		r.WithoutU = append(r.WithoutU, Property{c.Facts.Parts[b.Fact.Part].ID, b.Fact.Prop.ID})
	}
	return r
}

// LookOf is one look as JSON.
func LookOf(c *explain.Case, l explain.Look) Look {
	out := Look{Part: c.Facts.Parts[l.Ask.Part].ID, Property: l.Ask.Prop.ID, Ask: l.Ask.Prop.Ask, Minutes: l.Minutes, Bits: tidy(math.Round(l.Gain*1e9) / 1e9),
		NowOrNever: l.NowOrNever, SpeaksTo: names(c, l.Settles)}
	if l.Finer > 0 {
		out.Again, out.UWanted, out.Unit = true, tidy(words.EnoughIn(l.Finer, l.Ask.Prop.Unit)), l.Ask.Prop.Unit.Symbol
	}
	for _, v := range l.Verdict {
		out.Verdicts = append(out.Verdicts, c.Facts.Parts[v].ID)
	}
	return out
}

func story(d *explain.Diagnosis) *Story {
	c := &d.Case
	s := &Story{InShort: d.InShort(), Roots: []string{}, Links: []Link{}}
	for _, k := range d.Story.Chains {
		for _, f := range k.Findings {
			if f.Role == explain.Root {
				s.Roots = append(s.Roots, c.FactID(f.FactID))
			}
		}
		for _, circle := range k.Circles {
			out := Circle{Members: names(c, circle.Members), Started: names(c, circle.Started)}
			for _, l := range circle.Perhaps {
				out.Perhaps = append(out.Perhaps, c.FactID(l.From))
			}
			s.Circles = append(s.Circles, out)
		}
		for _, l := range k.Links {
			s.Links = append(s.Links, Link{c.FactID(l.From), c.FactID(l.To), l.Link.How})
		}
	}
	s.Fewest, s.FewestOf = names(c, d.Story.Fewest), d.Story.FewestOf
	s.FewestExact = d.Story.FewestExact && len(s.Fewest) > 0
	for _, l := range d.Story.Backwards {
		s.Backwards = append(s.Backwards, Link{c.FactID(l.From), c.FactID(l.To), l.Link.How})
	}
	for _, e := range d.Story.Missing {
		s.Expected = append(s.Expected, c.FactID(e.Cause)+": "+c.SignWords(&e.Way))
	}
	for _, r := range d.Story.LookAlso {
		s.LookAlso = append(s.LookAlso, c.ReachWords(r))
	}
	return s
}
