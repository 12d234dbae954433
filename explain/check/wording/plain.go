package wording

import (
	"math/bits"
	"strings"

	"whyworn/facts/measure"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// The wording of conditions in plain words, told again from their trees: a
// reader goes by it, so that it must say what the text says.

// Plain words a condition.
func (c Place) Plain(e *condition.Expr) string {
	switch e.Op {
	case condition.Prop:
		if e.Type.K == condition.KBool || e.Prop.Role.Concluded() {
			if e.Args[0].Op == condition.Elem {
				return e.Prop.Name
			}
			return c.partWords(e.Args[0]) + ": " + e.Prop.Name
		}
	case condition.Within:
		return c.quantityWords(e.Args[0]) + " is " + rangeWords(e)
	case condition.Same:
		return c.sameWords(e, "is")
	case condition.InList:
		return c.partWords(e.Args[0]) + " is among " + c.listWords(e.Args[1])
	case condition.And:
		return c.joined(e, " and ", condition.Or)
	case condition.Or:
		return c.joined(e, " or ", condition.And)
	case condition.Not:
		switch a := e.Args[0]; a.Op {
		case condition.Within:
			return c.quantityWords(a.Args[0]) + " is not " + rangeWords(a)
		case condition.Same:
			return c.sameWords(a, "is not")
		}
		return "not so: " + c.Plain(e.Args[0])
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return c.quantityWords(e.Args[0]) + " is " + orderWords[e.Op] + " " + c.quantityWords(e.Args[1])
	case condition.Any:
		return c.some("any of ", e)
	case condition.All:
		return c.some("all of ", e)
	case condition.None:
		return c.some("none of ", e)
	}
	return c.quantityWords(e)
}

// Denied words a condition that is known not to hold.
func (c Place) Denied(e *condition.Expr) string {
	switch e.Op {
	case condition.Not:
		return c.Plain(e.Args[0])
	case condition.Within:
		return c.quantityWords(e.Args[0]) + " is not " + rangeWords(e)
	case condition.Same:
		return c.sameWords(e, "is not")
	case condition.None:
		return c.some("some of ", e)
	case condition.Any:
		return c.some("none of ", e)
	case condition.Lt, condition.Le, condition.Gt, condition.Ge:
		return c.quantityWords(e.Args[0]) + " is not " + orderWords[e.Op] + " " + c.quantityWords(e.Args[1])
	case condition.Or:
		return "neither " + c.joined(e, " nor ", condition.And)
	case condition.Prop:
		return c.Plain(e) + ": not so"
	}
	return "not so: " + c.Plain(e)
}

var orderWords = map[condition.Op]string{
	condition.Lt: "under", condition.Le: "at most", condition.Gt: "over", condition.Ge: "at least",
}

func (c Place) joined(e *condition.Expr, word string, bracket condition.Op) string {
	var out []string
	for _, a := range e.Args {
		if s := c.Plain(a); a.Op == bracket {
			out = append(out, "("+s+")")
		} else {
			out = append(out, s)
		}
	}
	return strings.Join(out, word)
}

func (c Place) some(word string, e *condition.Expr) string {
	out := word + c.listWords(e.Args[0])
	if len(e.Args) > 1 {
		out += ": " + c.Plain(e.Args[1])
	}
	return out
}

// rangeWords names the choices that are asked for: "purple or more".
func rangeWords(e *condition.Expr) string {
	choices, ordered := yesNo, false
	if t := e.Args[0].Type; t.K == condition.KPick {
		choices, ordered = t.Prop.Choices, t.Prop.Ordered
	}
	return rangeOf(e.Mask, choices, ordered)
}

func rangeOf(mask uint64, choices []string, ordered bool) string {
	all := uint64(1)<<len(choices) - 1
	mask &= all
	if n := bits.OnesCount64(mask); ordered && n > 1 && mask != all {
		switch low := uint64(1)<<n - 1; mask {
		case low:
			return choiceWords(1<<(n-1), choices) + " or less"
		case all &^ (all >> n):
			return choiceWords(1<<(len(choices)-n), choices) + " or more"
		}
	}
	return choiceWords(mask, choices)
}

func (c Place) sameWords(e *condition.Expr, is string) string {
	a, b := e.Args[0], e.Args[1]
	if b.Op == condition.Prop && b.Prop.Bound == vocab.Wanted {
		return c.quantityWords(a) + " " + is + " what belongs here" + c.given(b)
	}
	return c.quantityWords(a) + " " + is + " " + c.quantityWords(b)
}

// given adds a declared value in brackets, with whose it is.
func (c Place) given(e *condition.Expr) string {
	if ofElement(e) {
		return ""
	}
	value := c.valueOf(e)
	if value == NotKnown {
		return ", which nobody gives"
	}
	if f, ok := c.Fact(e); ok {
		if o := c.Facts.Layout.Lookup(f.Part, f.Prop); o != nil && o.Whose != "" {
			value += ", " + o.Whose
		}
	}
	return " (" + value + ")"
}

func ofElement(e *condition.Expr) bool {
	for _, a := range e.Args {
		if ofElement(a) {
			return true
		}
	}
	return e.Op == condition.Elem
}

var boundWords = map[vocab.Bound]string{
	vocab.Most: "the most allowed", vocab.Least: "the least allowed", vocab.New: "its size when new", vocab.Wanted: "what belongs here",
}

var aggregateWords = map[condition.Op]string{
	condition.Sum: "the sum of", condition.Min: "the least", condition.Max: "the greatest", condition.Mean: "the mean", condition.Median: "the median",
}

func (c Place) quantityWords(e *condition.Expr) string {
	two := func(word string) string { return c.operand(e.Args[0]) + word + c.operand(e.Args[1]) }
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
	case condition.Name, condition.Elem:
		return c.partWords(e)
	case condition.Prop:
		switch {
		case e.Type.K == condition.KPart:
			return c.partWords(e)
		case e.Prop.Bound != vocab.NoBound:
			return boundWords[e.Prop.Bound] + c.given(e)
		case e.Args[0].Op == condition.Elem:
			return e.Prop.Name
		}
		return e.Prop.Name + " of " + c.partWords(e.Args[0])
	case condition.Neg:
		return "-" + c.operand(e.Args[0])
	case condition.Abs:
		return "the size of (" + c.quantityWords(e.Args[0]) + ")"
	case condition.Add:
		return two(" + ")
	case condition.Sub:
		return two(" less ")
	case condition.Mul:
		return two(" × ")
	case condition.Div:
		return two(" / ")
	case condition.Apart:
		return "the angle between " + c.quantityWords(e.Args[0]) + " and " + c.quantityWords(e.Args[1])
	case condition.Count:
		return c.some("how many of ", e)
	case condition.Sum, condition.Min, condition.Max, condition.Mean, condition.Median:
		return aggregateWords[e.Op] + " " + c.quantityWords(e.Args[1]) + " of " + c.listWords(e.Args[0])
	case condition.Call:
		var args []string
		for _, a := range e.Args {
			args = append(args, c.quantityWords(a))
		}
		return strings.ReplaceAll(e.Fn.Name, "_", " ") + " (" + strings.Join(args, ", ") + ")"
	case condition.Map:
		return c.quantityWords(e.Args[1]) + " of " + c.listWords(e.Args[0])
	}
	if e.Type.K == condition.KBool {
		return c.Plain(e)
	}
	return e.Text
}

func (c Place) operand(e *condition.Expr) string {
	if e.Op >= condition.Add && e.Op <= condition.Div {
		return "(" + c.quantityWords(e) + ")"
	}
	return c.quantityWords(e)
}

// partWords names a part, or says how it is found where it is not known which.
func (c Place) partWords(e *condition.Expr) string {
	switch e.Op {
	case condition.Name:
		return c.PartName(c.Bound[e.Var])
	case condition.Elem:
		return "itself"
	case condition.Prop:
		if e.Args[0].Op == condition.Elem {
			return "its " + e.Prop.Name
		}
		if p := c.Part(e); !ofElement(e) && p >= 0 {
			return c.PartName(p)
		}
		return e.Prop.Name + " of " + c.partWords(e.Args[0])
	}
	return "it"
}

func (c Place) listWords(e *condition.Expr) string {
	switch e.Op {
	case condition.Prop:
		if e.Args[0].Op == condition.Elem {
			return "its " + e.Prop.Name
		}
		return "the " + e.Prop.Name + " of " + c.partWords(e.Args[0])
	case condition.Others:
		if k := e.Type.Kind; k != nil && k.Plural != "" {
			return "the other " + k.Plural
		}
		return "the others"
	case condition.Keep:
		return c.listWords(e.Args[0]) + " (those with " + c.Plain(e.Args[1]) + ")"
	}
	return "them"
}
