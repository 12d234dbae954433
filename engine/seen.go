package engine

import (
	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// see evaluates a node and all below it, with values and with reasons for what
// is unknown. part is the element, for a member of an aggregate.
func (v *env) see(c *condition.Condition, e *condition.Expr, part int32) record.Seen {
	out := record.Seen{Cond: c, Expr: e, Part: part}
	told := func(ok bool) vocab.Looked {
		if ok {
			return vocab.Told
		}
		return vocab.NotLooked
	}
	switch e.Type.K {
	case condition.KBool:
		out.State = v.truth(e)
	case condition.KNum:
		n, ok := v.number(e)
		out.Value = vocab.Value{Looked: told(ok), Number: n}
		out.U = n.U()
	case condition.KPick:
		m := v.mask(e)
		out.Value = vocab.Value{Looked: told(m != 0), Mask: m}
	case condition.KPart:
		p := v.part(e)
		out.Value = vocab.Value{Looked: told(p != unknownPart), Ref: p}
	case condition.KList:
		items, ok := v.members(e)
		out.Value = vocab.Value{Looked: told(ok)}
		for _, m := range items {
			out.Value.Refs = append(out.Value.Refs, m.part)
		}
	case condition.KText:
		out.Value = v.text(e)
	}
	switch e.Op {
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		cmp := v.compare(e)
		out.U, out.NeededU = cmp.U, cmp.UThatWouldDecide
		out.NoU = cmp.Truth.Known() && cmp.NoUncertainty && v.measuredHere(e)
		if cmp.Reason == measure.Uncertainty {
			out.Reason = record.WithinU
		}
	case condition.Prop:
		if p := v.part(e.Args[0]); ofKind(v.r.layout(), p, e.Prop.Kind) && !(isRef(e.Prop) && e.Prop.Role == vocab.Declared) {
			out.Reads = []record.FactID{{Part: p, Prop: e.Prop}}
		}
	}
	if opensElement(e.Op) { // which members a list has is read as well
		list := e.Args[0]
		if e.Op == condition.Keep {
			list = e
		}
		v.facts(list, func(part int32, p *vocab.Property) bool {
			out.Reads = append(out.Reads, record.FactID{Part: part, Prop: p})
			return true
		})
	}
	if opensElement(e.Op) && e.Type.K != condition.KList {
		items, _ := v.members(e.Args[0])
		for _, m := range items {
			v.push(m.part)
			member := record.Seen{Cond: c, Expr: e.Args[0], Part: m.part, State: m.in}
			if len(e.Args) > 1 {
				member = v.see(c, e.Args[1], m.part)
			}
			v.pop()
			out.Args = append(out.Args, member)
		}
	} else if !opensElement(e.Op) {
		for _, a := range e.Args {
			out.Args = append(out.Args, v.see(c, a, -1))
		}
	}
	if out.Reason == record.NoReason && unknown(&out) {
		out.Reason = v.why(e)
	}
	return out
}

func unknown(s *record.Seen) bool {
	if s.Expr.Type.K == condition.KBool {
		return s.State == truth.Unknown
	}
	return s.Value.Looked != vocab.Told
}

func (v *env) text(e *condition.Expr) vocab.Value {
	if e.Op == condition.Const {
		return vocab.Value{Looked: vocab.Told, Text: e.Text}
	}
	if s, ok := v.r.(*Session); ok && e.Op == condition.Prop {
		if part := v.part(e.Args[0]); ofKind(s.l, part, e.Prop.Kind) {
			if o := s.current().Lookup(part, e.Prop); o != nil {
				return o.Value
			}
			if o := s.l.Lookup(part, e.Prop); o != nil {
				return o.Value
			}
		}
	}
	return vocab.Value{}
}

// why is the first reason for which a node is unknown.
func (v *env) why(e *condition.Expr) record.Reason {
	switch e.Op {
	case condition.Prop:
		return v.whyFact(e)
	case condition.Within:
		if v.mask(e.Args[0]) != 0 {
			return record.PartlyKnown
		}
		return v.why(e.Args[0])
	case condition.And, condition.Or, condition.Not:
		for _, a := range e.Args {
			if v.truth(a) == truth.Unknown {
				return v.why(a)
			}
		}
	case condition.Any, condition.All, condition.None, condition.Count,
		condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return v.whyAggregate(e)
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return v.whyCompared(e)
	case condition.Same, condition.InList:
		for _, a := range e.Args {
			if r := v.whyPart(a); r != record.NoReason {
				return r
			}
		}
		return record.PartlyKnown
	case condition.Neg, condition.Abs, condition.Add, condition.Sub, condition.Mul, condition.Div, condition.Apart, condition.Call:
		for _, a := range e.Args {
			switch a.Type.K {
			case condition.KNum:
				if _, ok := v.number(a); !ok {
					return v.why(a)
				}
			case condition.KNumbers:
				if items, ok := v.members(a.Args[0]); !ok || len(items) == 0 {
					return record.NoMember
				}
				if r := v.whyAggregate(a); r != record.PartlyKnown {
					return r
				}
			case condition.KPick, condition.KBool:
				if v.mask(a) == 0 {
					return v.why(a)
				}
			}
		}
		return record.OutOfDomain
	}
	return record.NoReason
}

// whyPart is why a part, list, choice or number is unknown.
func (v *env) whyPart(e *condition.Expr) record.Reason {
	switch e.Type.K {
	case condition.KPart:
		switch v.part(e) {
		case noPart:
			return record.NoReference
		case unknownPart:
			return record.NobodyLooked
		}
	case condition.KList:
		if _, ok := v.members(e); !ok {
			return record.NoReference
		}
	case condition.KPick:
		if v.mask(e) == 0 {
			return v.why(e)
		}
	case condition.KNum:
		if _, ok := v.number(e); !ok {
			return v.why(e)
		}
	}
	return record.NoReason
}

func (v *env) whyFact(e *condition.Expr) record.Reason {
	part := v.part(e.Args[0])
	switch {
	case part == noPart:
		return record.NoReference
	case part < 0:
		return record.NobodyLooked
	}
	s, ok := v.r.(*Session)
	if !ok || !ofKind(s.l, part, e.Prop.Kind) {
		return record.NoReason
	}
	x := &s.p.info[s.p.id(e.Prop)]
	if s.p.isHead(s.p.id(e.Prop)) {
		switch at := s.first[s.p.id(e.Prop)] + s.ords[part]; {
		case s.flags[at]&record.InConflictFlag != 0:
			return record.InConflict
		case len(x.then)+len(x.sets)+len(x.clues) == 0:
			return record.NothingConcludes
		}
		return record.OpenFinding
	}
	o := s.current().Lookup(part, e.Prop)
	switch {
	case (o == nil || o.Value.Looked == vocab.NotLooked) && e.Prop.Role == vocab.Declared:
		return record.NobodyGives
	case o == nil || o.Value.Looked == vocab.NotLooked:
		return record.NobodyLooked
	case o.Value.Looked == vocab.CouldNotTell:
		return record.LookedCouldNot
	}
	return record.PartlyKnown
}

func (v *env) whyAggregate(e *condition.Expr) record.Reason {
	items, ok := v.members(e.Args[0])
	if !ok {
		return record.NoReference
	}
	sure := false
	for _, m := range items {
		sure = sure || m.in == truth.True
		if len(e.Args) < 2 {
			continue
		}
		a := e.Args[1]
		v.push(m.part)
		r := record.NoReason
		if a.Type.K == condition.KBool && v.truth(a) == truth.Unknown {
			r = v.why(a)
		} else if a.Type.K == condition.KNum {
			if _, ok := v.number(a); !ok {
				r = v.why(a)
			}
		}
		v.pop()
		if r != record.NoReason {
			return r
		}
	}
	if !sure {
		return record.NoMember
	}
	return record.PartlyKnown
}

func (v *env) whyCompared(e *condition.Expr) record.Reason {
	if v.compare(e).Reason == measure.Uncertainty {
		return record.WithinU
	}
	for _, a := range e.Args {
		if _, ok := v.number(a); !ok {
			return v.why(a)
		}
	}
	for _, a := range e.Args {
		if a.Op == condition.Count || opensElement(a.Op) {
			if n, ok := v.number(a); ok && !n.IsValue() {
				return v.whyAggregate(a)
			}
		}
	}
	return record.PartlyKnown
}
