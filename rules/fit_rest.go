package rules

import (
	"slices"
	"strings"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/rules/vocab"
)

// BadEvent is the code of an event that is not written as part.finding.
var BadEvent = source.Declare("bad-event", "what was confirmed or ordered is not written as part.finding")

// rest resolves what stands beside the answers.
func (x *Fitter) rest() {
	in := x.in
	for i := range in.Earlier {
		x.earlier(&in.Earlier[i])
	}
	for i := range in.Decisions {
		x.decision(&in.Decisions[i])
	}
	for i := range in.Remarks {
		r := &in.Remarks[i]
		x.photo(r.Photo, r.At)
		if n, ok := x.partOf("remark", r.Of); ok {
			x.f.Remarks = append(x.f.Remarks, Remark{n, r})
		}
	}
	for i := range in.Photos {
		p := &in.Photos[i]
		x.photo(p.File.Text, p.File.At)
		if n, ok := x.partOf("photo", p.Of); ok {
			x.f.Photos = append(x.f.Photos, Photo{n, p})
		}
	}
	if in.Confirmed != nil {
		x.f.Confirmed = x.events("confirmed", in.Confirmed.Causes)
	}
	for _, order := range in.Orders {
		x.f.Orders = append(x.f.Orders, x.events("order", order))
	}
}

// partOf resolves a part that need not be named; -1 if it is not.
func (x *Fitter) partOf(what string, w facts.Word) (int32, bool) {
	if w.Text == "" {
		return -1, true
	}
	n, ok := x.l.Find(w.Text)
	if !ok {
		x.unknownPart(what, w)
	}
	return n, ok
}

var verdictWords = []string{"refit", "rework", "replace", "inspect_further"}

func (x *Fitter) decision(d *facts.Decision) {
	n, ok := x.l.Find(d.Of.Text)
	if !ok && d.Of.Text != "" {
		x.unknownPart("decision", d.Of)
	}
	level, known := vocab.Refit, d.Verdict.Text == "refit"
	if !known {
		level, known = verdictLevels[d.Verdict.Text]
	}
	if !known && d.Verdict.Text != "" {
		x.ps.Addf(UnknownVerdict, d.Verdict.At, "decision: %q is no verdict", d.Verdict.Text).DidYouMean(d.Verdict.Text, verdictWords).
			Hint("verdicts are %s", strings.Join(verdictWords, ", "))
	}
	if ok && known {
		x.f.Decisions = append(x.f.Decisions, Decision{n, level, d})
	}
}

// events resolves part.finding.
func (x *Fitter) events(what string, words []facts.Word) []FactID {
	var out []FactID
	for _, w := range words {
		id, finding, ok := strings.Cut(w.Text, ".")
		if !ok {
			x.ps.Addf(BadEvent, w.At, "%s: %q is no finding of a part", what, w.Text).Hint("write part.finding, as feed.choked")
			continue
		}
		n, ok := x.l.Find(id)
		if !ok {
			x.unknownPart(what, facts.Word{Text: id, At: w.At})
			continue
		}
		k := x.l.Parts[n].Kind
		p := k.Property(finding)
		concluded := func(p *vocab.Property) bool { return p.Role == vocab.Damage || p.Role == vocab.Cause }
		switch {
		case p == nil:
			unknownProperty(x.ps, facts.Word{Text: finding, At: w.At}, k, concluded)
		case !concluded(p):
			x.ps.Addf(BadEvent, w.At, "%s: %s is no finding, it is %s", what, p.Label(), origin(p)).DidYouMean(finding, propertyIDs(k, concluded))
		default:
			out = append(out, FactID{n, p})
		}
	}
	return out
}

// earlier types a reading of an earlier day. It takes part in no rule.
func (x *Fitter) earlier(e *facts.Earlier) {
	if days, ok := daysBetween(e.When, x.in.Date.Text); ok && days < 0 {
		x.ps.Addf(LaterThanInspection, e.At, "the reading of %s is later than the inspection", e.When).Beside(x.in.Date.At, "the inspection")
	}
	out := Earlier{Written: e}
	if e.Hours != nil {
		if h, ok := quantity(e.Hours, hour, x.ps); ok {
			out.Hours = &h
		}
	}
	n, ok := x.l.Find(e.Of.Text)
	if !ok {
		if e.Of.Text != "" {
			x.unknownPart("earlier", e.Of)
		}
		return
	}
	if e.Value == nil || e.Property.Text == "" {
		return
	}
	k := x.l.Parts[n].Kind
	readable := func(p *vocab.Property) bool {
		return slices.Contains([]vocab.Role{vocab.Sign, vocab.Derived, vocab.Computed}, p.Role)
	}
	p := k.Property(e.Property.Text)
	switch {
	case p == nil:
		unknownProperty(x.ps, e.Property, k, readable)
		return
	case !readable(p):
		x.ps.Addf(FindingObserved, e.Property.At, "%s was not read: it is %s", p.Label(), origin(p))
		return
	}
	if !x.read(p, e.Value, false) {
		return
	}
	a := x.said[len(x.said)-1]
	if a.blank {
		return
	}
	if e.Tool != "" {
		a.tool, _ = x.tool(e.Tool, e.At)
	}
	out.FactID, out.Value = FactID{n, p}, a.value
	switch {
	case a.value.Looked != vocab.Told:
	case p.Type == vocab.Size:
		r, s, ok := x.readings(n, &a)
		if !ok || !x.believableSize(n, &a, &r) {
			return
		}
		out.Value.Text, out.Size = r.Text, &s
	case p.Type == vocab.Number:
		if out.Value.Number = x.number(n, &a); !x.believable(n, &a, out.Value.Number) {
			return
		}
	}
	x.f.Earlier = append(x.f.Earlier, out)
}
