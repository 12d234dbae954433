package words

import (
	"strings"

	"whyworn/facts/measure"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Plain tells a condition in plain words for the parts it is bound to: "heat
// tint of seat 2ex is purple or more".
func (w *Words) Plain(k *condition.Condition, bound []int32) string {
	return w.PlainExpr(k.Root, bound)
}

// PlainExpr is Plain for one node.
func (w *Words) PlainExpr(e *condition.Expr, bound []int32) string {
	return plain{w, bound}.says(e)
}

// Denied tells a condition that does not hold.
func (w *Words) Denied(e *condition.Expr, bound []int32) string {
	p := plain{w, bound}
	switch e.Op {
	case condition.Not:
		return p.says(e.Args[0])
	case condition.Within:
		return p.within(e, true)
	case condition.Same:
		return p.same(e, "is not")
	case condition.None:
		return p.some("some of ", e)
	case condition.Any:
		return p.some("none of ", e)
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return p.quantity(e.Args[0]) + " is not " + comparing[e.Op] + " " + p.quantity(e.Args[1])
	case condition.Or:
		return "neither " + p.joined(e, " nor ", condition.And)
	case condition.Prop:
		return p.says(e) + ": not so"
	}
	return "not so: " + p.says(e)
}

// plain words a condition.
type plain struct {
	*Words
	bound []int32
}

func (p plain) says(e *condition.Expr) string {
	switch e.Op {
	case condition.Prop, condition.Name, condition.Elem:
		if e.Type.K == condition.KPart {
			return p.part(e)
		}
		if e.Op == condition.Prop && (e.Prop.Role.Concluded() || e.Type.K == condition.KBool) {
			if of := e.Args[0]; of.Op != condition.Elem {
				return p.part(of) + ": " + e.Prop.Name
			}
			return e.Prop.Name
		}
		return p.quantity(e)
	case condition.Within:
		return p.within(e, false)
	case condition.Same:
		return p.same(e, "is")
	case condition.InList:
		return p.part(e.Args[0]) + " is among " + p.listed(e.Args[1])
	case condition.And:
		return p.joined(e, " and ", condition.Or)
	case condition.Or:
		return p.joined(e, " or ", condition.And)
	case condition.Not:
		switch a := e.Args[0]; a.Op {
		case condition.Within:
			return p.within(a, true)
		case condition.Same:
			return p.same(a, "is not")
		case condition.Prop:
			return p.says(a) + " is not so"
		}
		return "not so: " + p.says(e.Args[0])
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return p.quantity(e.Args[0]) + " is " + comparing[e.Op] + " " + p.quantity(e.Args[1])
	case condition.Any:
		return p.some("any of ", e)
	case condition.All:
		return p.some("all of ", e)
	case condition.None:
		return p.some("none of ", e)
	}
	return p.quantity(e)
}

var comparing = map[condition.Op]string{
	condition.Lt: "under", condition.Le: "at most", condition.Gt: "over", condition.Ge: "at least",
}

func (p plain) joined(e *condition.Expr, word string, bracket condition.Op) string {
	var out []string
	for _, a := range e.Args {
		s := p.says(a)
		if a.Op == bracket {
			s = "(" + s + ")"
		}
		out = append(out, s)
	}
	return strings.Join(out, word)
}

func (p plain) some(word string, e *condition.Expr) string {
	out := word + p.listed(e.Args[0])
	if len(e.Args) > 1 {
		out += ": " + p.says(e.Args[1])
	}
	return out
}

// within words a choice: one, several, or all from one on where they are ordered.
func (p plain) within(e *condition.Expr, not bool) string {
	of := e.Args[0]
	subject := p.quantity(of)
	choices := vocab.YesOrNo
	ordered := false
	if of.Type.Prop != nil && of.Type.K == condition.KPick {
		choices, ordered = of.Type.Prop.Choices, of.Type.Prop.Ordered
	}
	is := " is "
	if not {
		is = " is not "
	}
	return subject + is + Range(choices, e.Mask, ordered)
}

func (p plain) same(e *condition.Expr, is string) string {
	a, b := e.Args[0], e.Args[1]
	if b.Op == condition.Prop && b.Prop.Bound == vocab.Wanted {
		return p.quantity(a) + " " + is + " what belongs here" + p.valueOf(b)
	}
	left, right := p.quantity(a), p.quantity(b)
	if left == right && a.Op == condition.Prop && a.Type.K == condition.KPart { // not "pedestal 1 is pedestal 1"
		left = a.Prop.Name + " of " + p.part(a.Args[0])
	}
	return left + " " + is + " " + right
}

// valueOf adds a declared value in brackets, with whose it is.
func (p plain) valueOf(e *condition.Expr) string {
	if len(p.bound) == 0 || depends(e) {
		return ""
	}
	v := p.See(e, p.bound)
	if v.Looked != vocab.Told {
		return ", which nobody gives"
	}
	out := p.Value(&v, e.Type)
	if of := p.See(e.Args[0], p.bound); of.Looked == vocab.Told && of.Ref >= 0 {
		if o := p.Facts.Layout.Lookup(of.Ref, e.Prop); o != nil && o.Whose != "" {
			out += ", " + o.Whose
		}
	}
	return " (" + out + ")"
}

// depends tells whether a node reads the element of a list around it.
func depends(e *condition.Expr) bool {
	if e.Op == condition.Elem {
		return true
	}
	for _, a := range e.Args {
		if depends(a) {
			return true
		}
	}
	return false
}

var boundWords = map[vocab.Bound]string{
	vocab.Most: "the most allowed", vocab.Least: "the least allowed", vocab.New: "its size when new", vocab.Wanted: "what belongs here",
}

// quantity words a number, a choice or a part.
func (p plain) quantity(e *condition.Expr) string {
	switch e.Op {
	case condition.Const:
		if e.Type.K == condition.KText {
			return e.Text
		}
		unit := measure.Display(e.Type.Dim, e.Type.Point)
		if e.Type.Prop != nil {
			unit = e.Type.Prop.Unit
		}
		return measure.FormatValue(e.Num, unit, measure.Shortest)
	case condition.Picks:
		if e.Type.Prop != nil {
			return Choices(e.Type.Prop.Choices, e.Mask)
		}
		return Choices(vocab.YesOrNo, e.Mask)
	case condition.Name, condition.Elem:
		return p.part(e)
	case condition.Prop:
		if e.Type.K == condition.KPart {
			return p.part(e)
		}
		if e.Prop.Bound != vocab.NoBound {
			return boundWords[e.Prop.Bound] + p.valueOf(e)
		}
		if of := e.Args[0]; of.Op != condition.Elem {
			return e.Prop.Name + " of " + p.part(of)
		}
		return e.Prop.Name
	case condition.Neg:
		return "-" + p.operand(e.Args[0])
	case condition.Abs:
		return "the size of (" + p.quantity(e.Args[0]) + ")"
	case condition.Add:
		return p.operand(e.Args[0]) + " + " + p.operand(e.Args[1])
	case condition.Sub:
		return p.operand(e.Args[0]) + " less " + p.operand(e.Args[1])
	case condition.Mul:
		return p.operand(e.Args[0]) + " × " + p.operand(e.Args[1])
	case condition.Div:
		return p.operand(e.Args[0]) + " / " + p.operand(e.Args[1])
	case condition.Apart:
		return "the angle between " + p.quantity(e.Args[0]) + " and " + p.quantity(e.Args[1])
	case condition.Count:
		return p.some("how many of ", e)
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		if len(e.Args) > 1 {
			return aggregateWords[e.Op] + " " + p.quantity(e.Args[1]) + " of " + p.listed(e.Args[0])
		}
		return aggregateWords[e.Op] + " of " + p.listed(e.Args[0])
	case condition.Call:
		var args []string
		for _, a := range e.Args {
			args = append(args, p.quantity(a))
		}
		name := "a formula"
		if e.Fn != nil {
			name = strings.ReplaceAll(e.Fn.Name, "_", " ")
		}
		return name + " (" + strings.Join(args, ", ") + ")"
	case condition.Map:
		return p.quantity(e.Args[1]) + " of " + p.listed(e.Args[0])
	}
	if e.Type.K == condition.KBool {
		return p.says(e)
	}
	return e.Text
}

var aggregateWords = map[condition.Op]string{
	condition.Sum: "the sum of", condition.Min: "the least", condition.Max: "the greatest", condition.Mean: "the mean", condition.Median: "the median",
}

func (p plain) operand(e *condition.Expr) string {
	if e.Op >= condition.Add && e.Op <= condition.Div {
		return "(" + p.quantity(e) + ")"
	}
	return p.quantity(e)
}

// part words a part: its name where it is known which, else how it is found.
func (p plain) part(e *condition.Expr) string {
	switch e.Op {
	case condition.Name:
		if e.Var < len(p.bound) && p.bound[e.Var] >= 0 {
			return p.PartName(p.bound[e.Var])
		}
	case condition.Elem:
		return "itself"
	case condition.Prop:
		if e.Args[0].Op == condition.Elem {
			return "its " + e.Prop.Name
		}
		if len(p.bound) > 0 && !depends(e) {
			if v := p.See(e, p.bound); v.Looked == vocab.Told && v.Ref >= 0 {
				return p.PartName(v.Ref)
			}
		}
		return e.Prop.Name + " of " + p.part(e.Args[0])
	}
	return "it"
}

// listed words a list of parts.
func (p plain) listed(e *condition.Expr) string {
	switch e.Op {
	case condition.Prop:
		if e.Args[0].Op == condition.Elem {
			return "its " + e.Prop.Name
		}
		return "the " + e.Prop.Name + " of " + p.part(e.Args[0])
	case condition.Others:
		if k := e.Type.Kind; k != nil && k.Plural != "" {
			return "the other " + k.Plural
		}
		return "the others"
	case condition.Keep:
		return p.listed(e.Args[0]) + " (those with " + p.says(e.Args[1]) + ")"
	}
	return "them"
}
