package engine

import (
	"math"
	"slices"

	"whyworn/facts/handbook"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
)

// mostWords is how many combinations of words still possible are gone through.
const mostWords = 64

// question is a call of a handbook function: its numbers one after the other,
// those of a list argument for each member.
type question struct {
	e     *condition.Expr
	words [][]string // by argument: the words it may be; nil for numbers
	stuck int        // the argument of which no word is known, or too many; -1
	from  []int32    // by argument: its first number; one more for the end
	of    []int32    // by number: its argument
	sure  []bool     // by number: a member that surely is one
	fails []bool     // by argument: a list of which nothing is known
	// checked: arguments are brought into the function's domain once, not with each
	// call.
	checked bool
	units   []*measure.Unit
	unit    *measure.Unit  // of the result
	both    []handbook.Arg // see ends
	ends2   [2][]handbook.Arg
}

// asking says how numbers that enter a call are wanted.
type asking uint8

const (
	byNode asking = iota // as they are, with the node, which stands on its element
	asIs
	moved
)

// ask opens a call and gives each number that enters it to number, until that says
// that the rest does not matter.
func (v *env) ask(e *condition.Expr, how asking, number func(m moves, value *condition.Expr) bool) (q *question, all bool) {
	n := len(e.Args)
	q, all = &question{e: e, stuck: -1, words: make([][]string, n), from: make([]int32, 0, n+1), fails: make([]bool, n), units: make([]*measure.Unit, n)}, true
	q.checked = how != byNode
	q.unit = unitOf(&e.Fn.Results[e.Result])
	combinations := 1
	for i, a := range e.Args {
		q.from, q.units[i] = append(q.from, int32(len(q.of))), unitOf(&e.Fn.Params[i])
		enter := func(m moves, sure bool, value *condition.Expr) bool {
			q.of, q.sure = append(q.of, int32(i)), append(q.sure, sure)
			all = number(m, value)
			return all
		}
		take := func(m member, value *condition.Expr) bool {
			if how == moved {
				return enter(v.moves(value, false), m.in == truth.True, value)
			}
			n, ok := v.span(value, false)
			return enter(moves{still: outcome{n, ok}}, m.in == truth.True, value)
		}
		var kept *keptMoves
		if how != byNode {
			kept = v.keptOf(a, how == moved)
		}
		switch {
		case kept != nil:
			q.fails[i] = kept.fails
			for k := 0; all && k < len(kept.in); k++ {
				enter(kept.in[k], kept.sure[k], nil)
			}
		case e.Fn.Params[i].Unit == "text":
			q.words[i] = v.wordsOf(a)
			combinations *= len(q.words[i])
			if q.stuck < 0 && (combinations == 0 || combinations > mostWords) {
				q.stuck = i
			}
		case a.Op == condition.Map:
			q.fails[i] = !v.elements(a, take)
		default:
			take(member{in: truth.True}, a)
		}
		if !all {
			return q, false
		}
	}
	q.from = append(q.from, int32(len(q.of)))
	return q, true
}

// argument is what one argument may be: the ends that make the first result
// least and greatest.
type argument struct {
	lo, hi handbook.Arg // as the function sees them if the question is checked; hi of ranges alone
	ranged bool
	known  bool         // false also for a range that the function does not follow one way
	ok     bool         // false where it leaves its domain
	strays bool         // an end that the function refuses
	room   [2][]float64 // of lists
}

// argument is argument i, numbers being as in. Lists are written over old ones.
func (q *question) argument(i int, in []outcome, old argument) (x argument) {
	p := &q.e.Fn.Params[i]
	if p.Unit == "text" {
		return argument{known: i != q.stuck, ok: true}
	}
	from, to := q.from[i], q.from[i+1]
	x.room = old.room
	for k := from; k < to; k++ {
		if !in[k].ok || !q.sure[k] || isLine(in[k].Number) {
			x.ok = in[k].ok
			return x
		}
	}
	x.ok = true
	if q.fails[i] || from == to {
		return x
	}
	for k := from; k < to && !x.ranged; k++ {
		x.ranged = in[k].Lo != in[k].Hi
	}
	if x.ranged && p.Monotone == 0 {
		return x
	}
	if n := int(to - from); p.List && cap(x.room[0]) < n {
		both := make([]float64, 2*n)
		x.room = [2][]float64{both[:0:n], both[n:n]}
	}
	x.lo.List, x.hi.List = x.room[0], x.room[1]
	for k := from; k < to; k++ {
		lo, hi := in[k].Lo, in[k].Hi
		if p.Monotone < 0 {
			lo, hi = hi, lo
		}
		q.put(i, &x.lo, lo)
		if x.ranged {
			q.put(i, &x.hi, hi)
		}
	}
	x.known = true
	if q.checked {
		var fits bool
		x.lo, fits = q.e.Fn.Check(i, x.lo)
		x.strays = !fits
		if x.ranged {
			x.hi, fits = q.e.Fn.Check(i, x.hi)
			x.strays = x.strays || !fits
		}
	}
	if !x.ranged {
		x.hi = x.lo
	}
	return x
}

func (q *question) arguments(in []outcome) []argument {
	out := make([]argument, len(q.e.Args))
	for i := range out {
		out[i] = q.argument(i, in, argument{})
	}
	return out
}

// wordsOf is the words that a text argument may be.
func (v *env) wordsOf(a *condition.Expr) []string {
	if a.Op == condition.Const {
		return []string{a.Text}
	}
	choices := []string{"no", "yes"}
	if a.Type.K == condition.KPick {
		choices = a.Type.Prop.Choices
	}
	var out []string
	mask := v.mask(a)
	for i, c := range choices {
		if mask>>i&1 != 0 {
			out = append(out, c)
		}
	}
	return out
}

// ends are the arguments at either end, one where no number is a range; good until
// asked again. known is false where nothing is known of one; ok is false where one leaves its domain.
func (q *question) ends(args []argument) (ends [][]handbook.Arg, known, ok bool) {
	ranged := false
	for i := range args {
		if !args[i].known || !args[i].ok {
			return nil, false, args[i].ok
		}
		ranged = ranged || args[i].ranged
	}
	n := len(args)
	if q.both == nil {
		q.both = make([]handbook.Arg, 2*n)
	}
	q.ends2 = [2][]handbook.Arg{q.both[:n], q.both[n:]}
	for i := range args {
		q.both[i] = args[i].lo
	}
	if !ranged {
		return q.ends2[:1], true, true
	}
	for i := range args {
		q.both[n+i] = args[i].hi
	}
	return q.ends2[:], true, true
}

// each calls for every combination of words; false once call is.
func (q *question) each(args []handbook.Arg, call func([]handbook.Arg) bool) bool {
	return q.eachFrom(0, args, call)
}

func (q *question) eachFrom(i int, args []handbook.Arg, call func([]handbook.Arg) bool) bool {
	for i < len(args) && q.words[i] == nil {
		i++
	}
	if i == len(args) {
		return call(args)
	}
	for _, w := range q.words[i] {
		args[i].Text = w
		if q.checked {
			var fits bool
			if args[i], fits = q.e.Fn.Check(i, handbook.Arg{Text: w}); !fits {
				return false
			}
		}
		if !q.eachFrom(i+1, args, call) {
			return false
		}
	}
	return true
}

// answer is the call with these arguments: of ranges where it is monotone, of a
// choice for every choice still possible.
func (q *question) answer(args []argument) outcome {
	ends, known, ok := q.ends(args)
	if !known || !ok || len(ends) > 1 && q.e.Result != 0 {
		return outcome{line, ok}
	}
	if slices.ContainsFunc(args, func(x argument) bool { return x.strays }) {
		return outcome{line, false}
	}
	out := measure.Number{Lo: math.Inf(1), Hi: math.Inf(-1)}
	for _, args := range ends {
		ok = ok && q.each(args, func(args []handbook.Arg) bool {
			x, fits := q.one(args)
			out.Lo, out.Hi = min(out.Lo, x), max(out.Hi, x)
			return fits
		})
	}
	if !ok {
		return outcome{line, false}
	}
	return outcome{out, true}
}

// call is a handbook function of numbers.
func (v *env) call(e *condition.Expr) outcome {
	var in []outcome
	fits := true
	q, all := v.ask(e, asIs, func(m moves, _ *condition.Expr) bool {
		in, fits = append(in, m.still), fits && m.still.ok
		return !fits || !isLine(m.still.Number)
	})
	if !all {
		return outcome{line, true}
	}
	return q.answer(q.arguments(in))
}

// movedCall is call with each source of uncertainty moved: only arguments that
// the source enters are taken anew.
func (v *env) movedCall(e *condition.Expr, alone bool) moves {
	var in []moves
	fits := true
	q, all := v.ask(e, moved, func(m moves, _ *condition.Expr) bool {
		in, fits = append(in, m), fits && m.still.ok
		return !alone || !fits || !isLine(m.still.Number)
	})
	if !all {
		return moves{still: outcome{line, true}}
	}
	var still, args, spare []argument
	var off []int32 // arguments that stand moved in args
	return v.carry(in, alone, func(in []outcome, moved []int) outcome {
		if moved == nil {
			still = q.arguments(in)
			args, spare = slices.Clone(still), make([]argument, len(still))
			return q.answer(still)
		}
		for _, i := range off {
			args[i] = still[i]
		}
		off = off[:0]
		for at, k := range moved {
			if i := q.of[k]; at == 0 || i != q.of[moved[at-1]] {
				args[i] = q.argument(int(i), in, spare[i])
				spare[i], off = args[i], append(off, i)
			}
		}
		return q.answer(args)
	})
}

// pick is a handbook function that answers with a word: the words that may be
// the answer, 0 if nothing is known. Each number is moved up and down by k times
// its uncertainty, so that a word is sure only outside the guard band.
func (v *env) pick(e *condition.Expr) uint64 {
	var in []outcome
	var u []float64
	q, _ := v.ask(e, byNode, func(m moves, value *condition.Expr) bool {
		with, _ := v.number(value)
		in, u = append(in, m.still), append(u, with.U())
		return true
	})
	ends, known, ok := q.ends(q.arguments(in))
	if !known || !ok || len(ends) > 1 {
		return 0
	}
	mask := uint64(0)
	ask := func(args []handbook.Arg) bool {
		x, fits := q.one(args)
		if fits && x >= 0 && x < 64 {
			mask |= 1 << int(x)
		}
		return fits
	}
	if !q.each(ends[0], ask) {
		return 0
	}
	for k := range in {
		for _, way := range [2]float64{-1, 1} {
			if u[k] != 0 && !q.each(q.moved(ends[0], k, way*v.r.coverage()*u[k]), ask) {
				return 0
			}
		}
	}
	return mask
}

// moved is the arguments with number k moved by d, in base units.
func (q *question) moved(args []handbook.Arg, k int, d float64) []handbook.Arg {
	i := q.of[k]
	out := slices.Clone(args)
	if u := q.units[i]; u != nil {
		d = u.DifferenceFromBase(d)
	}
	if q.e.Fn.Params[i].List {
		out[i].List = slices.Clone(out[i].List)
		out[i].List[int32(k)-q.from[i]] += d
	} else {
		out[i].Num += d
	}
	return out
}

// put adds a value in base units to argument i, which is one number or a list.
func (q *question) put(i int, a *handbook.Arg, base float64) {
	x := base
	if u := q.units[i]; u != nil {
		x = u.FromBase(base)
	}
	if q.e.Fn.Params[i].List {
		a.List = append(a.List, x)
	} else {
		a.Num = x
	}
}

func unitOf(p *handbook.Param) *measure.Unit {
	if p.Unit == "" || p.Unit == "text" {
		return nil
	}
	u, err := measure.UnitOf(p.Unit)
	if err != nil {
		return nil
	}
	return u
}

// one is the answer to arguments that are one value each, in base units.
func (q *question) one(args []handbook.Arg) (float64, bool) {
	work := q.e.Fn.Call
	if q.checked {
		work = q.e.Fn.Work
	}
	out, err := work(args)
	if err != nil || q.e.Result >= len(out) || math.IsNaN(out[q.e.Result]) {
		return 0, false
	}
	x := out[q.e.Result]
	if q.unit != nil {
		x = q.unit.ToBase(x)
	}
	return x, true
}
