package condition_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"
	"pgregory.net/rapid"

	"whyworn/rules/condition"
)

// part is a part of a small world in which everything is known: what expr's
// machine reads is the map itself.
type part = map[string]any

type world struct{ shafts, seats, arms []part }

// build makes two shafts with three seats each and at least one arm a seat.
func build(r *rand.Rand) world {
	var w world
	yes := func() bool { return r.IntN(2) == 0 }
	for i := range 2 {
		w.shafts = append(w.shafts, part{"id": i, "number": r.IntN(3), "oil_starved": yes(), "seats": []any{}})
	}
	for i := range 6 {
		s := part{"id": 10 + i, "number": r.IntN(4), "rust": yes(), "in": yes(), "overheated": yes(), "tint": r.IntN(6),
			"wear": r.Float64() * 2, "most(wear)": r.Float64() * 2, "least(wear)": r.Float64(), "new(wear)": r.Float64(), "arms": []any{}}
		shaft := w.shafts[i%2]
		s["shaft"] = shaft
		shaft["seats"] = append(shaft["seats"].([]any), s)
		w.seats = append(w.seats, s)
	}
	for i := range 9 {
		seat := w.seats[i%6]
		a := part{"id": 20 + i, "number": r.IntN(4), "worn": yes(), "bore_largest": 1 + r.Float64(), "seat": seat}
		seat["arms"] = append(seat["arms"].([]any), a)
		w.arms = append(w.arms, a)
	}
	for i, s := range w.seats {
		s["next"] = w.seats[(i+1)%6]
	}
	return w
}

// plainly evaluates a tree where everything is known and nothing uncertain:
// bool, float64, part or []any.
type plainly struct {
	w     world
	names []any
	elem  []any
}

func (p *plainly) eval(e *condition.Expr) any {
	num := func(i int) float64 { return p.eval(e.Args[i]).(float64) }
	yes := func(i int) bool { return p.eval(e.Args[i]).(bool) }
	switch e.Op {
	case condition.Const:
		return e.Num
	case condition.Name:
		return p.names[e.Var]
	case condition.Elem:
		return p.elem[len(p.elem)-1-e.Depth]
	case condition.Prop:
		v := p.eval(e.Args[0]).(part)[e.Prop.ID]
		if i, ok := v.(int); ok {
			return float64(i)
		}
		return v
	case condition.Neg:
		return -num(0)
	case condition.Abs:
		return math.Abs(num(0))
	case condition.Add:
		return num(0) + num(1)
	case condition.Sub:
		return num(0) - num(1)
	case condition.Mul:
		return num(0) * num(1)
	case condition.Div:
		return num(0) / num(1)
	case condition.Lt:
		return num(0) < num(1)
	case condition.Le:
		return num(0) <= num(1)
	case condition.Gt:
		return num(0) > num(1)
	case condition.Ge:
		return num(0) >= num(1)
	case condition.Within:
		return e.Mask>>int(num(0))&1 == 1
	case condition.Same:
		return same(p.eval(e.Args[0]), p.eval(e.Args[1]))
	case condition.InList:
		x := p.eval(e.Args[0])
		return slices.ContainsFunc(p.eval(e.Args[1]).([]any), func(y any) bool { return same(x, y) })
	case condition.And:
		for i := range e.Args {
			if !yes(i) {
				return false
			}
		}
		return true
	case condition.Or:
		for i := range e.Args {
			if yes(i) {
				return true
			}
		}
		return false
	case condition.Not:
		return !yes(0)
	case condition.Others:
		x := p.eval(e.Args[0]).(part)
		return p.others(x)
	}
	return p.aggregate(e)
}

func (p *plainly) others(x part) []any {
	var list []any
	for _, s := range p.w.seats {
		if s["id"] != x["id"] {
			list = append(list, s)
		}
	}
	return list
}

func same(x, y any) bool {
	if a, ok := x.(part); ok {
		return a["id"] == y.(part)["id"]
	}
	return x == y
}

func (p *plainly) aggregate(e *condition.Expr) any {
	list := p.eval(e.Args[0]).([]any)
	var kept []any
	var numbers []float64
	for _, x := range list {
		if len(e.Args) == 1 {
			kept = append(kept, x)
			continue
		}
		p.elem = append(p.elem, x)
		switch v := p.eval(e.Args[1]).(type) {
		case bool:
			if v {
				kept = append(kept, x)
			}
		case float64:
			numbers = append(numbers, v)
		}
		p.elem = p.elem[:len(p.elem)-1]
	}
	sum := 0.0
	for _, x := range numbers {
		sum += x
	}
	switch e.Op {
	case condition.Any:
		return len(kept) > 0
	case condition.All:
		return len(kept) == len(list)
	case condition.None:
		return len(kept) == 0
	case condition.Count:
		return float64(len(kept))
	case condition.Keep:
		return kept
	case condition.Sum:
		return sum
	case condition.Mean:
		return sum / float64(len(numbers))
	case condition.Min:
		return slices.Min(numbers)
	case condition.Max:
		return slices.Max(numbers)
	case condition.Median:
		slices.Sort(numbers)
		n := len(numbers)
		return (numbers[(n-1)/2] + numbers[n/2]) / 2
	}
	panic(fmt.Sprint("no such op: ", e.Op))
}

// Where everything is known, a lowered condition says what expr's own virtual
// machine (an evaluator that is not ours) says of the same text.
func TestAgreesWithMachineOfExpr(t *testing.T) {
	w := build(rand.New(rand.NewPCG(7, 11)))
	env := map[string]any{}
	p := &plainly{w: w, names: []any{w.seats[0], w.arms[3], w.shafts[1], nil, w.seats[4]}}
	for i, n := range all.Names {
		env[n.ID] = p.names[i]
	}
	env["others"] = func(x any) []any { return p.others(x.(part)) }
	ran, held := 0, 0
	const batch = 25 // conditions a check; rapid makes 100 checks
	rapid.Check(t, func(t *rapid.T) {
		for range batch {
			b := write(t)
			c, ps := condition.Parse(node(b.ours), all, condition.WantBool)
			if len(ps) > 0 {
				t.Fatalf("%s: %v", b.ours, ps)
			}
			prog, err := expr.Compile(b.vm, expr.Optimize(false))
			if err != nil {
				t.Fatalf("%s\n%s: %v", b.ours, b.vm, err)
			}
			want, err := vm.Run(prog, env)
			if err != nil {
				t.Fatalf("%s\n%s: %v", b.ours, b.vm, err)
			}
			got := p.eval(c.Root)
			if got != want {
				t.Fatalf("%s\n%s\n%s: %v, the machine says %v", b.ours, b.vm, dump(c.Root, all), got, want)
			}
			ran++
			if got == true {
				held++
			}
		}
	})
	if ran < 2000 || held < ran/10 || held > ran*9/10 {
		t.Errorf("only %d conditions compared, %d of them true", ran, held)
	}
}

// Each node's range cuts out a text that means the node: read by itself it
// gives the same tree.
func TestRangesCutOutWhatTheyMean(t *testing.T) {
	nodes := 0
	rapid.Check(t, func(t *rapid.T) {
		b := write(t)
		c, ps := condition.Parse(node(b.ours), all, condition.WantBool)
		if len(ps) > 0 {
			t.Fatalf("%s: %v", b.ours, ps)
		}
		var visit func(e *condition.Expr)
		visit = func(e *condition.Expr) {
			if n := len([]rune(b.ours)); e.From < 0 || e.To > n || e.From >= e.To {
				t.Fatalf("%s: range %d to %d", b.ours, e.From, e.To)
			}
			for _, a := range e.Args {
				if e.Op == condition.Not && a.From == e.From { // != and not in: both have the range of the whole
					for _, x := range a.Args {
						visit(x)
					}
					continue
				}
				visit(a)
			}
			if speaksOfElement(e, 0) || e.Op == condition.Const || e.Op == condition.Prop && e.Prop.Bound != 0 {
				return
			}
			nodes++
			cut := c.Of(e)
			var root *condition.Expr
			switch e.Type.K {
			case condition.KBool:
				if again, ps := condition.Parse(node(cut), all, condition.WantBool); len(ps) == 0 {
					root = again.Root
				}
			case condition.KList:
				if again, ps := condition.ParseTemplate(node("{count("+cut+")}"), all); len(ps) == 0 {
					root = again.Pieces[0].Expr.Args[0]
				}
			default:
				if again, ps := condition.ParseTemplate(node("{"+cut+"}"), all); len(ps) == 0 {
					root = again.Pieces[0].Expr
				}
			}
			if root == nil {
				t.Fatalf("%s: %q of %s cannot be read", b.ours, cut, dump(e, all))
			}
			if got, want := dump(root, all), dump(e, all); got != want {
				t.Fatalf("%s: %q means %s, not %s", b.ours, cut, got, want)
			}
		}
		visit(c.Root)
	})
	if nodes < 300 {
		t.Errorf("only %d nodes", nodes)
	}
}

// speaksOfElement tells whether an element of a predicate outside e stands in it.
func speaksOfElement(e *condition.Expr, inside int) bool {
	if e.Op == condition.Elem {
		return inside == 0
	}
	for i, a := range e.Args {
		n := inside
		if i == 1 && (e.Op >= condition.Any && e.Op <= condition.Median || e.Op == condition.Keep) {
			n++
		}
		if speaksOfElement(a, n) {
			return true
		}
	}
	return false
}
