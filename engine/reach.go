package engine

import (
	"slices"

	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// stepRef is a fixed reference or list on the way from a name to what is read.
type stepRef struct{ id pid }

// reading is a rule, clue or rivals that looks a property up: its heads are to be
// looked at again when the property changes.
type reading struct {
	code  *binder
	rule  int32 // index of the rule, -1 if it is none
	name  int   // from which the part is reached; -1 if no way is known
	steps []stepRef
	heads []target
	key   bool // the property ties names, so that which parts meet may change
	// direct: the one condition of the rule is that such a fact is true.
	direct bool
}

// target is the property of a name.
type target struct {
	name int32
	prop pid
}

// whole tells that all facts of the heads have to be looked at.
func (r *reading) whole() bool { return r.name < 0 || r.key }

// nameOf is the name whose property is a head.
func (r *reading) nameOf(id pid) int32 {
	for _, h := range r.heads {
		if h.prop == id {
			return h.name
		}
	}
	return 0
}

// findReaders notes for each property what looks it up.
func (p *Program) findReaders() {
	for i, c := range p.rules {
		if c.word >= 0 {
			continue // words and their index see to it
		}
		reads := c.all
		for _, a := range c.rule.Set {
			reads = readsOf(slices.Clone(reads), a.Value.Root)
		}
		var heads []target
		for _, h := range c.rule.Then {
			heads = append(heads, target{int32(h.Var), p.id(h.Prop)})
		}
		for _, h := range c.rule.RulesOut {
			heads = append(heads, target{int32(h.Var), p.id(h.Prop)})
		}
		for _, a := range c.rule.Set {
			heads = append(heads, target{int32(a.Var), p.id(a.Prop)})
		}
		p.enterReaders(&c.binder, int32(i), reads, heads)
	}
	for _, c := range p.clues {
		reads := readsOf(slices.Clone(c.all), c.clue.Sign.Root)
		p.enterReaders(&c.binder, -1, reads, []target{{int32(c.clue.Cause.Var), p.id(c.clue.Cause.Prop)}})
	}
	for _, c := range p.rival {
		var heads []target
		for _, h := range c.rivals.Causes {
			heads = append(heads, target{int32(h.Var), p.id(h.Prop)})
		}
		p.enterReaders(&c.binder, -1, c.all, heads)
	}
	for i := range p.info {
		x := &p.info[i]
		if x.comp < 0 {
			continue
		}
		for _, rd := range x.readers {
			inside := rd
			inside.heads = slices.DeleteFunc(slices.Clone(rd.heads), func(h target) bool { return p.info[h.prop].comp != x.comp })
			if len(inside.heads) > 0 && rd.rule >= 0 && len(p.rules[rd.rule].rule.Then) > 0 {
				inside.direct = p.isDirect(&inside, x.prop)
				x.inside = append(x.inside, inside)
			}
		}
	}
}

func (p *Program) enterReaders(b *binder, rule int32, reads []read, heads []target) {
	for _, r := range reads {
		rd := reading{code: b, rule: rule, name: r.name, heads: heads}
		for _, st := range r.steps {
			rd.steps = append(rd.steps, stepRef{p.id(st)})
		}
		rd.key = slices.Contains(b.keys, r.prop)
		x := &p.info[p.id(r.prop)]
		x.readers = append(x.readers, rd)
	}
}

// isDirect tells whether a rule is any(list, .finding), reference.finding or a
// conjunction of one: then a true finding fires it in the next round.
func (p *Program) isDirect(rd *reading, prop *vocab.Property) bool {
	c := p.rules[rd.rule]
	if len(c.each) != 1 || len(c.conds) != 1 || len(c.unless) != 0 || len(rd.heads) != 1 || rd.name != 0 {
		return false
	}
	e := c.conds[0].cond.Root
	if e.Op == condition.Any && len(e.Args) == 2 && e.Args[0].Op == condition.Prop {
		q := e.Args[1]
		return q.Op == condition.Prop && q.Prop == prop && q.Args[0].Op == condition.Elem && q.Args[0].Depth == 0 &&
			e.Args[0].Args[0].Op == condition.Name
	}
	return e.Op == condition.Prop && e.Prop == prop
}

// reached visits the facts a reader has to look at again when the property it
// reads changes for a part, some perhaps more than once.
func (s *Session) reached(rd *reading, part int32, visit func(factAt) bool) bool {
	if rd.whole() {
		for _, h := range rd.heads {
			for o := range int32(len(s.l.OfKind[s.p.info[h.prop].prop.Kind.Index])) {
				if !visit(factAt{h.prop, o}) {
					return false
				}
			}
		}
		return true
	}
	kind := rd.code.each[rd.name].Kind
	return s.upstream(rd.steps, part, func(q int32) bool {
		if s.l.Parts[q].Kind != kind {
			return true
		}
		var others bool
		for _, h := range rd.heads {
			if int(h.name) != rd.name {
				others = true
			} else if !visit(factAt{h.prop, s.ords[q]}) {
				return false
			}
		}
		if !others {
			return true
		}
		for b := range s.blindly(rd.code, rd.name, q) {
			for _, h := range rd.heads {
				if int(h.name) != rd.name && !visit(factAt{h.prop, s.ords[b[h.name]]}) {
					return false
				}
			}
		}
		return true
	})
}
