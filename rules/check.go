package rules

import (
	"fmt"
	"slices"

	"whyworn/facts/source"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Codes of checks over a whole pack.
var (
	NotTied         = source.Declare("names-not-tied", "names of one each are not joined by a reference, a list or an equality")
	NothingFor      = source.Declare("nothing-concludes-it", "a cause has neither clue nor rule")
	PriorWanted     = source.Declare("prior-wanted", "a cause with clues does not say how common it is")
	SourceWanted    = source.Declare("source-wanted", "a rule with a number in it, or a clue, names no source")
	MechanismWanted = source.Declare("mechanism-wanted", "a rule has no because, or a clue no mechanism")
	ValueUnused     = source.Declare("sign-unused", "nothing reads a sign")
	TooManyFindings = source.Declare("damage-never-concluded", "nothing concludes a damage")
)

// check looks at the pack as a whole. Each check is a function of its own.
func (l *loader) check() {
	l.settleVerdicts()
	for _, c := range []func(*loader){uniqueIDs, causesHaveEvidence, saysWhy, conditionsCanHold, signsAreRead} {
		c(l)
	}
}

// tied checks that the names of a statement hang together.
func (l *loader) tied(what string, at source.Span, each Binding, scope *condition.Scope, conditions []*condition.Condition) {
	if len(each) < 2 || slices.ContainsFunc(each, func(n condition.EachName) bool { return n.Kind == nil }) {
		return
	}
	group := make([]int, len(each))
	for i := range group {
		group[i] = i
	}
	for _, c := range conditions {
		for _, t := range c.Ties {
			from, to := group[t.A], group[t.B]
			for i, g := range group {
				if g == from {
					group[i] = to
				}
			}
		}
	}
	for i := 1; i < len(group); i++ {
		if group[i] != group[0] {
			a, b := each[0], each[i]
			l.ps.Addf(NotTied, at, "%s: nothing ties %q to %q, so every %s would meet every %s", what, a.ID, b.ID, a.Kind.Name, b.Kind.Name).
				Hint("%s", tieHint(a, b))
			return
		}
	}
}

// tieHint proposes a condition that ties two names by a reference of one kind
// to the other.
func tieHint(a, b condition.EachName) string {
	for _, x := range [][2]condition.EachName{{a, b}, {b, a}} {
		for _, p := range x[0].Kind.Properties {
			if p.Type == vocab.Part && p.To == x[1].Kind {
				return fmt.Sprintf("add to if: %s.%s == %s", x[0].ID, p.ID, x[1].ID)
			}
			if p.Type == vocab.Parts && p.To == x[1].Kind {
				return fmt.Sprintf("add to if: %s in %s.%s", x[1].ID, x[0].ID, p.ID)
			}
		}
	}
	return "add a condition that ties them: a reference, a list that holds the part, or a number both share"
}

// eachStatement goes through all that has an id and conditions: see gets what it is
// called, its id, where it stands and what it asks.
func (l *loader) eachStatement(see func(what, id string, at source.Span, conditions []*condition.Condition)) {
	p := l.pack
	for _, x := range p.Rules {
		see("rule", x.ID, x.At, x.If)
	}
	for _, x := range p.Clues {
		see("clue", x.ID, x.At, x.If)
	}
	for _, x := range p.Links {
		see("link", x.ID, x.At, x.If)
	}
	for _, x := range p.Rivals {
		see("rivals", x.ID, x.At, x.If)
	}
	for _, x := range p.Remedies {
		see("remedy", x.ID, x.At, x.If)
	}
}

func uniqueIDs(l *loader) {
	type place struct {
		what string
		at   source.Span
	}
	first := map[string]place{}
	l.eachStatement(func(what, id string, at source.Span, _ []*condition.Condition) {
		if id == "" {
			return
		}
		if old, ok := first[id]; ok {
			if newcomer(old.at, at) {
				first[id] = place{what, at}
				what, at, old = old.what, old.at, first[id]
			}
			l.ps.Addf(TwoOfOneID, at, "the %s and another %s have the id %q", what, old.what, id).Beside(old.at, "the other one").
				Hint("give each an id of its own: id = %q", id+"-2")
			return
		}
		first[id] = place{what, at}
	})
}

func causesHaveEvidence(l *loader) {
	has := map[*vocab.Property]bool{} // what only rules a finding out can never make it hold
	for _, p := range l.spokenFor {
		has[p] = true
	}
	for _, c := range l.pack.Clues {
		c.Cause.Prop.Weighed = true
	}
	for _, k := range l.pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			switch {
			case p.Role == vocab.Cause && !has[p]:
				l.ps.Addf(NothingFor, p.At, "the cause %s has neither a clue nor a rule, so it can never be held", p.Label())
			case p.Role == vocab.Damage && !has[p]:
				l.ps.Addf(TooManyFindings, p.At, "nothing concludes %s", p.Label()).Warn()
			case p.Role == vocab.Damage: // a clue that weighs it is told below
			case p.Weighed && p.HowCommon == 0 && !slices.Contains(l.unsaidPrior, p):
				l.ps.Addf(PriorWanted, p.At, "%s has clues, so it must say how common it is", p.Label()).
					Hint("add how_common = \"rarely\", or the part of such parts that have it: 0.02")
			}
		}
	}
}

// saysWhy asks of a rule why it concludes, of a clue why the sign shows, and of
// both, where an author wrote down a figure, for its source. Every clue has
// figures: its frequencies.
func saysWhy(l *loader) {
	const source = "add source = \"…\"; a fact of the trade is source = \"common practice, no source\""
	for _, c := range l.pack.Clues {
		if c.Cause.Prop.Role == vocab.Damage && c.Cause.Prop.HowCommon == 0 && !slices.Contains(l.unsaidPrior, c.Cause.Prop) {
			l.ps.Addf(PriorWanted, c.At, "clue %q weighs %s, a damage that does not say how common it is", c.ID, c.Cause.Prop.Label()).
				Beside(c.Cause.Prop.At, "the damage").Hint("name the cause that shows itself so; a damage is concluded by rules")
		}
	}
	if l.ps.HasErrors() {
		return // what a statement lacks is told when it can be read
	}
	for _, c := range l.pack.Clues {
		if c.Mechanism == "" {
			l.ps.Addf(MechanismWanted, c.At, "clue %q does not say by what mechanism the sign shows", c.ID).Warn().
				Hint("add mechanism = \"…\": why prints it beside the weight")
		}
		if c.Source == "" {
			l.ps.Addf(SourceWanted, c.At, "clue %q has frequencies and names no source", c.ID).Warn().Hint("%s", source)
		}
	}
	for _, r := range l.pack.Rules {
		if r.Because == nil && len(r.Set) == 0 && len(r.RulesOut) == 0 {
			l.ps.Addf(MechanismWanted, r.At, "rule %q does not say because of what it concludes", r.ID).Warn().
				Hint("add because = \"…\": why and the note print it")
		}
		if r.Source != "" {
			continue
		}
		for _, c := range slices.Concat(r.If, r.Unless) {
			if e := figure(c.Root); e != nil {
				l.ps.Addf(SourceWanted, c.At(e), "rule %q has the figure %s and names no source", r.ID, c.Of(e)).Warn().
					Hint("%s", source)
				break
			}
		}
	}
}

// figure finds a written number that is no small count.
func figure(e *condition.Expr) *condition.Expr {
	if e.Op == condition.Const && !e.Type.Bare {
		if e.Num != 0 && e.Num != 1 && e.Num != 2 {
			return e
		}
	}
	for _, a := range e.Args {
		if f := figure(a); f != nil {
			return f
		}
	}
	return nil
}

// signsAreRead warns of signs that no condition reads; where a condition is
// faulty nobody can tell.
func signsAreRead(l *loader) {
	if l.ps.HasErrors() {
		return
	}
	read := map[*vocab.Property]bool{}
	conditions := func(cs ...[]*condition.Condition) {
		for _, list := range cs {
			for _, c := range list {
				for _, d := range c.Deps {
					read[d.Prop] = true
					if d.Prop.Of != nil {
						read[d.Prop.Of] = true
					}
				}
			}
		}
	}
	for _, r := range l.pack.Rules {
		conditions(r.If, r.Unless)
		for _, a := range r.Set {
			conditions([]*condition.Condition{a.Value})
		}
	}
	for _, c := range l.pack.Clues {
		conditions(c.If, []*condition.Condition{c.Sign})
	}
	for _, m := range l.pack.Remedies {
		conditions(m.If, m.Unless)
	}
	for _, k := range l.pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if p.Role == vocab.Sign && !p.At.IsZero() && p.Type != vocab.Text && !read[p] {
				l.ps.Addf(ValueUnused, p.At, "nothing reads the sign %s", p.Label()).Warn()
			}
		}
	}
}
