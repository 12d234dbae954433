package explain

import (
	"fmt"
	"slices"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Asked is what a question is about: facts, parts whose verdict is asked for,
// or a remedy.
type Asked struct {
	Facts    []record.FactID
	Verdicts []int32
	Remedy   string
}

// Ask reads what a question is about:
//
//	seat_2ex.overheated    a finding or a number of one part; also as printed,
//	                       seat 2ex: overheated, steel changed
//	shaft_seat.overheated  the same of every part of a kind
//	seat_2ex               the verdict of a part and what is held of it
//	shaft_seat             the same of every part of a kind
//	seat_2ex.verdict       its verdict alone; seat_2ex.replace one level of it
//	clear-the-feed         a remedy
//	"" or all              the whole inspection
func (c *Case) Ask(text string) (*Asked, error) {
	text = strings.TrimSpace(text)
	if text == "" || text == "all" {
		var parts []int32
		for i := range c.Facts.Parts {
			parts = append(parts, int32(i))
		}
		return c.about(parts, false), nil
	}
	if slices.ContainsFunc(c.Pack.Remedies, func(m *rules.Remedy) bool { return m.ID == text }) {
		return &Asked{Remedy: text}, nil
	}
	id, prop, dotted := c.splitName(text)
	parts := c.partsNamed(id)
	if parts == nil {
		return nil, c.noSuch(id)
	}
	if !dotted {
		return c.about(parts, len(parts) == 1), nil
	}
	out := &Asked{}
	for _, part := range parts {
		p, err := c.propertyNamed(part, prop)
		v, judged := c.Result.Verdict(part)
		switch {
		case err != nil:
			return nil, err
		case p == nil || judged && p == c.Facts.Parts[part].Kind.Property(vocab.VerdictID(v.Level)):
			// The level that it came to is the verdict, rules of that level or not.
			if judged {
				out.Verdicts = append(out.Verdicts, part)
			} else if len(parts) == 1 {
				return nil, &CallError{Message: fmt.Sprintf("no rule of the pack says what becomes of %s", c.PartName(part))}
			}
		default:
			out.Facts = append(out.Facts, record.FactID{Part: part, Prop: p})
		}
	}
	return out, nil
}

// WhyAsked answers a question read by Ask.
func (c *Case) WhyAsked(a *Asked) *account.Explanation { return c.answerAsked(a, "why") }

// WhyNotAsked answers why not; with changes it also searches for the smallest
// sets of observations that would change the answer, where one thing is asked.
func (c *Case) WhyNotAsked(a *Asked) *account.Explanation { return c.answerAsked(a, "whynot") }

func (c *Case) answerAsked(a *Asked, question string) *account.Explanation {
	if a.Remedy != "" {
		x, _ := c.WhyRemedy(a.Remedy)
		x.Question = question
		return x
	}
	b := c.builder(question)
	for _, part := range a.Verdicts {
		if v, ok := c.Result.Verdict(part); ok {
			b.x.Asked = append(b.x.Asked, b.verdict(&v))
		}
	}
	for _, id := range a.Facts {
		b.x.Asked = append(b.x.Asked, b.step(id))
	}
	if question == "whynot" {
		switch {
		case len(a.Verdicts) == 1:
			b.x.Changes = c.changesOfVerdict(a.Verdicts[0])
		case len(a.Verdicts) == 0 && len(a.Facts) == 1:
			b.x.Changes = c.changes(a.Facts[0])
		}
	}
	return b.finish()
}

// about gathers what is held of parts: their verdicts and what was concluded;
// of one part also what is open.
func (c *Case) about(parts []int32, open bool) *Asked {
	out := &Asked{}
	in := map[int32]bool{}
	for _, p := range parts {
		in[p] = true
		if v, ok := c.Result.Verdict(p); ok && (open || v.Level > vocab.InspectFurther) {
			out.Verdicts = append(out.Verdicts, p)
		}
	}
	for _, f := range c.Result.Findings() {
		if in[f.Part] && (f.State == truth.True || open && f.State == truth.Unknown && (f.Decided || !f.Prop.Weighed)) {
			out.Facts = append(out.Facts, f.FactID)
		}
	}
	if open {
		for _, n := range c.Result.Computed() {
			if in[n.Part] {
				out.Facts = append(out.Facts, record.FactID{Part: n.Part, Prop: n.Prop})
			}
		}
	}
	return out
}

// propertyNamed finds what of a part is asked for; nil means its verdict.
func (c *Case) propertyNamed(part int32, id string) (*vocab.Property, error) {
	k := c.Facts.Parts[part].Kind
	if id == "verdict" {
		return nil, nil
	}
	for l := vocab.Refit; l <= vocab.Replace; l++ {
		if sameName(id, l.String()) {
			if p := k.Property(vocab.VerdictID(l)); p != nil {
				return p, nil
			}
			return nil, nil
		}
	}
	p := propertyOf(k, id, func(q *vocab.Property) bool {
		return q.Role.Concluded() && q.Role != vocab.Verdict || q.Role == vocab.Computed
	})
	if p != nil && (p.Role.Concluded() || p.Role == vocab.Computed) {
		return p, nil
	}
	var ids, names []string
	for _, q := range k.Properties {
		if (q.Role.Concluded() && q.Role != vocab.Verdict) || q.Role == vocab.Computed {
			ids, names = append(ids, q.ID), bothNames(names, q.ID, q.Name)
		}
	}
	if p != nil {
		return nil, &CallError{
			Message: fmt.Sprintf("%s.%s is looked at, not concluded", c.Facts.Parts[part].ID, id),
			Hints:   []string{"ask why of a finding, a computed number or a verdict"},
		}
	}
	e := &CallError{Message: fmt.Sprintf("nothing of the name %q is concluded about %s", id, article(k.Name))}
	if near := nearestName(id, names); near != "" {
		e.Hints = append(e.Hints, near)
	} else if len(ids) > 0 {
		e.Hints = append(e.Hints, "there are "+strings.Join(ids, ", "))
	}
	return nil, e
}

// noSuch says that no part, kind or remedy has an id.
func (c *Case) noSuch(id string) error {
	names := c.partNames()
	for _, k := range c.Pack.Vocabulary.Kinds {
		names = bothNames(names, k.ID, k.Name)
	}
	for _, m := range c.Pack.Remedies {
		names = append(names, m.ID)
	}
	e := &CallError{Message: fmt.Sprintf("no part, kind of part or remedy is called %q", id)}
	if near := nearestName(id, names); near != "" {
		e.Hints = append(e.Hints, near)
	}
	e.Hints = append(e.Hints, "whyworn questions INSPECTION lists the parts")
	return e
}

// CallError is a question that cannot be asked, with what to do instead.
type CallError struct {
	Message string
	Hints   []string
}

func (e *CallError) Error() string { return e.Message }
