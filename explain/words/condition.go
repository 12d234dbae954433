package words

import (
	"math"
	"strings"

	"whyworn/engine/record"
	"whyworn/explain/account"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// reason is why something is unknown: a code for JSON, words for people.
type reason struct{ code, words string }

var reasons = [...]reason{
	record.NoReason:         {"", ""},
	record.NobodyLooked:     {"not_looked", "nobody has looked"},
	record.LookedCouldNot:   {"could_not_tell", "looked at, could not tell"},
	record.PartlyKnown:      {"partly_known", "what is told leaves it open"},
	record.WithinU:          {"within_u", "undecided at this uncertainty"},
	record.NoMember:         {"no_member", "there is no such part here"},
	record.NoReference:      {"no_reference", "it has none here"},
	record.StoodBack:        {"stood_back", "an exception holds it back"},
	record.OpenFinding:      {"open", "what it rests on is not known"},
	record.OutOfDomain:      {"out_of_domain", "the table or formula does not reach so far"},
	record.InConflict:       {"in_conflict", "what it rests on is in conflict"},
	record.NothingConcludes: {"nothing_concludes", "no rule or clue of this pack could tell"},
	record.NobodyGives:      {"not_given", "nobody gives it"},
}

// Reason is the words for a reason; "" for none.
func Reason(r record.Reason) string { return reasons[r].words }

// ReasonOf finds a reason by its code.
func ReasonOf(code string) (record.Reason, bool) {
	for i, r := range reasons {
		if r.code == code {
			return record.Reason(i), true
		}
	}
	return record.NoReason, false
}

// Condition shows a condition as the author wrote it, with the names of each
// replaced by the parts they are bound to: "seat_2ex.tint >= 'purple'".
func (w *Words) Condition(k *condition.Condition, bound []int32) string {
	return w.here(k, k.Root, bound)
}

// here is Condition for one node.
func (w *Words) here(k *condition.Condition, root *condition.Expr, bound []int32) string {
	names := map[int]*condition.Expr{} // by where they stand
	var find func(e *condition.Expr)
	find = func(e *condition.Expr) {
		if e.Op == condition.Name && e.Var < len(bound) && bound[e.Var] >= 0 {
			names[e.From] = e
		}
		for _, a := range e.Args {
			find(a)
		}
	}
	find(root)
	text := []rune(k.Text)
	from, to := root.From, root.To
	if root == k.Root {
		from, to = 0, len(text)
	}
	var b strings.Builder
	for i := from; i < to; i++ {
		if n := names[i]; n != nil {
			b.WriteString(w.PartID(bound[n.Var]))
			i = n.To - 1
		} else {
			b.WriteRune(text[i])
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// Cond tells a condition that came to v (a yes/no as a choice), and why where it
// is not known; what it reads and compares aside.
func (w *Words) Cond(k *condition.Condition, bound []int32, v *vocab.Value, why record.Reason) account.Cond {
	out := account.Cond{Text: k.Text, Here: w.Condition(k, bound), Plain: w.Plain(k, bound)}
	out.Comes = out.Plain
	known := v.Looked == vocab.Told
	if k.Root.Type.K == condition.KBool {
		out.State, known = v.Truth().String(), v.Truth() != truth.Unknown
	} else {
		out.Value = w.Value(v, k.Root.Type)
	}
	switch {
	case !known:
		out.Why, out.Words = reasons[why].code, reasons[why].words
		if out.Words == "" {
			out.Words = NotKnown
		}
		out.Comes = out.Plain + ": " + out.Words
	case k.Root.Type.K == condition.KBool && v.Truth() == truth.False:
		out.Comes = w.Denied(k.Root, bound)
	}
	return out
}

var comparison = map[condition.Op]string{condition.Lt: "<", condition.Le: "<=", condition.Gt: ">", condition.Ge: ">="}

// Compared tells a comparison of numbers in a condition: of n its expression,
// state, uncertainty and the values of both sides.
func (w *Words) Compared(k *condition.Condition, n *record.Seen, bound []int32) account.Compared {
	e, l, r := n.Expr, &n.Args[0].Value, &n.Args[1].Value
	prop := e.Args[0].Type.Prop // in whose unit it is shown
	if prop == nil {
		prop = e.Args[1].Type.Prop
	}
	out := account.Compared{
		Here: w.here(k, e, bound), Op: comparison[e.Op], State: n.State.String(), NoU: n.NoU,
		Left: w.side(l, e.Args[0].Type, prop), Right: w.side(r, e.Args[1].Type, prop),
	}
	if n.U > 0 && (n.State.Known() || n.Reason == record.WithinU) { // it bears on the answer
		out.U, out.K = n.U, w.Facts.K
		if l.Number.IsValue() && r.Number.IsValue() {
			lo, hi := 0.0, math.Inf(1)
			if e.Op == condition.Lt || e.Op == condition.Le {
				lo, hi = math.Inf(-1), 0
			}
			p := measure.ConformityProbability(l.Number.Lo-r.Number.Lo, n.U, lo, hi)
			out.Holds = &p
		}
	}
	if n.NeededU > 0 {
		unit := measure.Display(e.Args[0].Type.Dim, false)
		if prop != nil {
			unit = prop.Unit
		}
		out.NeededU, out.Needed = n.NeededU, Enough(n.NeededU, unit)
	}
	return out
}

// side shows one side of a comparison with its expanded uncertainty, in the
// unit of the other where it has none of its own.
func (w *Words) side(v *vocab.Value, t condition.Type, other *vocab.Property) string {
	if t.Prop == nil {
		t.Prop = other
	}
	if v.Looked == vocab.Told && t.Prop != nil {
		if q := w.Quantity(v.Number, t.Prop); q.Plus != "" {
			return Figure(q)
		}
	}
	return w.Value(v, t)
}
