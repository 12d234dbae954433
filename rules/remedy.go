package rules

import (
	"errors"
	"slices"

	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Codes of remedies, cautions, limits and pictures.
var (
	UnknownCaution = source.Declare("unknown-caution", "a caution that is referred to is not declared")
	BadLimit       = source.Declare("bad-limit", "a limit is of a property that cannot have one, or its value is not right")
	BadPicture     = source.Declare("bad-picture", "a picture follows what is no list of the part's")
)

func (l *loader) cautions() {
	byID := map[string]*Caution{}
	for _, n := range l.tables["caution"] {
		r := written.Open(n, &l.ps, "caution")
		c := &Caution{ID: l.id(r.Text("id", written.Required), "caution"), Danger: r.String("danger", written.Required),
			Text: r.String("text", written.Required), Source: r.String("source"), At: r.Place()}
		r.Close()
		if old := byID[c.ID]; old != nil {
			l.ps.Addf(TwoOfOneID, c.At, "two cautions have the id %q", c.ID).Beside(old.At, "the other one")
			continue
		}
		byID[c.ID] = c
		l.pack.Cautions = append(l.pack.Cautions, c)
	}
	l.pack.Shown = l.refer(l.shown)
}

// refer finds cautions by id.
func (l *loader) refer(ids []*written.Node) []*Caution {
	var out []*Caution
	for _, n := range ids {
		i := slices.IndexFunc(l.pack.Cautions, func(c *Caution) bool { return c.ID == n.Text })
		if i < 0 {
			var all []string
			for _, c := range l.pack.Cautions {
				all = append(all, c.ID)
			}
			l.ps.Addf(UnknownCaution, n.At, "there is no caution %q", n.Text).DidYouMean(n.Text, all)
			continue
		}
		out = append(out, l.pack.Cautions[i])
	}
	return out
}

func (l *loader) remedy(n *written.Node) *Remedy {
	r := written.Open(n, &l.ps, "remedy")
	m := &Remedy{ID: l.id(r.Text("id", written.Required), "remedy"), At: r.Place(), Order: 50}
	each, scope := l.each(r, "remedy")
	m.Each = each
	m.If = l.conditions(r.Strings("if", written.Required), scope)
	m.Unless = l.conditions(r.Strings("unless"), scope)
	m.Title = l.template(r.Text("title", written.Required), scope)
	m.Do = l.templates(r.Strings("do", written.Required), scope)
	if o, ok := r.Int("order"); ok {
		m.Order = o
	}
	m.BeforeNewParts, _ = r.Bool("before_new_parts")
	m.DoNotRunUntil = l.template(r.Text("do_not_run_until"), scope)
	m.ShowsItWorked = l.template(r.Text("shows_it_worked"), scope)
	m.LookAlso = l.templates(r.Strings("look_also"), scope)
	m.Recheck = l.template(r.Text("recheck"), scope)
	m.OrderParts = l.templates(r.Strings("order_parts"), scope)
	m.Cautions = l.refer(r.Strings("cautions"))
	m.Source = r.String("source")
	r.Close()
	l.tied("remedy", m.At, m.Each, scope, m.If)
	return m
}

func (l *loader) limit(n *written.Node) *Limit {
	r := written.Open(n, &l.ps, "limit")
	kind, property := r.Text("kind", written.Required), r.Text("property", written.Required)
	most, least := r.Text("most"), r.Text("least")
	from := r.String("from", written.Required)
	at := r.Place()
	r.Close()
	k := l.kind(kind)
	if k == nil || property == nil {
		return nil
	}
	p := k.Property(property.Text)
	if p == nil {
		l.ps.Addf(BadLimit, property.At, "limit: a %s has no property %q", k.Name, property.Text).DidYouMean(property.Text, PropertyIDs(k))
		return nil
	}
	if k.BoundOf(p, vocab.Most) == nil {
		l.ps.Addf(BadLimit, property.At, "limit: %s is %s, only a number has limits", p.Label(), p.Type)
		return nil
	}
	node, b := most, vocab.Most
	if most == nil {
		node, b = least, vocab.Least
	}
	if node == nil || most != nil && least != nil {
		l.ps.Addf(BadLimit, at, "limit: give one of \"most\" and \"least\"").Hint("two limits of one property are two [[limit]] tables")
		return nil
	}
	w, err := measure.ParseNumber(node.Text, p.Unit)
	if err != nil {
		l.numberProblem(node, err)
		return nil
	}
	return &Limit{Prop: k.BoundOf(p, b), Bound: b, Value: w, From: from, At: at}
}

// numberProblem tells what is wrong with a number's text, at its place.
func (l *loader) numberProblem(n *written.Node, err error) {
	var te *measure.TextError
	if !errors.As(err, &te) {
		l.ps.Addf(BadLimit, n.At, "%v", err)
		return
	}
	p := l.ps.Addf(BadLimit, n.TextSpan(te.Start, te.End), "%s", te.Message)
	if te.Hint != "" {
		p.Hint("%s", te.Hint)
	}
}

// PropertyIDs lists the ids of a kind's properties that an author wrote.
func PropertyIDs(k *vocab.Kind) []string {
	var all []string
	for _, p := range k.Properties {
		if p.Bound == vocab.NoBound && p.Role != vocab.Verdict {
			all = append(all, p.ID)
		}
	}
	return all
}

func (l *loader) picture(n *written.Node) *Picture {
	r := written.Open(n, &l.ps, "picture")
	along, stations := r.Text("along", written.Required), r.Text("stations", written.Required)
	at := r.Place()
	r.Close()
	k := l.kind(along)
	if k == nil || stations == nil {
		return nil
	}
	p := k.Property(stations.Text)
	if p == nil || p.Type != vocab.Parts {
		l.ps.Addf(BadPicture, stations.At, "picture: %q is no list of a %s", stations.Text, k.Name).DidYouMean(stations.Text, PropertyIDs(k))
		return nil
	}
	return &Picture{Along: k, Stations: p, At: at}
}
