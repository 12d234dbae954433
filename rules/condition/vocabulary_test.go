package condition_test

import (
	"fmt"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// words is the vocabulary the tests write conditions over: rocker arms on
// seats of a shaft, in an invented engine.
var words = func() *vocab.Vocabulary {
	v := vocab.Empty()
	kind := func(id string) *vocab.Kind {
		k := &vocab.Kind{ID: id, Name: strings.ReplaceAll(id, "_", " ")}
		v.AddKind(k)
		return k
	}
	shaft, seat, arm, work, machine := kind("rocker_shaft"), kind("shaft_seat"), kind("rocker_arm"), kind("work"), kind("machine")
	unit := func(s string) *measure.Unit {
		if s == "" {
			return nil
		}
		u, err := measure.UnitOf(s)
		if err != nil {
			panic(err)
		}
		return u
	}
	add := func(k *vocab.Kind, p vocab.Property) *vocab.Property {
		if !k.AddProperty(&p) {
			panic("twice: " + p.ID)
		}
		return &p
	}
	number := func(k *vocab.Kind, id, u string) *vocab.Property {
		p := add(k, vocab.Property{ID: id, Type: vocab.Number, Unit: unit(u)})
		for _, b := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
			add(k, vocab.Property{ID: vocab.BoundID(b, id), Type: vocab.Number, Unit: unit(u), Role: vocab.Declared, Of: p, Bound: b})
		}
		return p
	}
	choice := func(k *vocab.Kind, id string, ordered bool, choices ...string) *vocab.Property {
		p := add(k, vocab.Property{ID: id, Type: vocab.Choice, Choices: choices, Ordered: ordered})
		add(k, vocab.Property{ID: vocab.BoundID(vocab.Wanted, id), Type: vocab.Choice, Choices: choices, Ordered: ordered, Role: vocab.Declared, Of: p, Bound: vocab.Wanted})
		return p
	}
	found := []string{"in_place", "missing", "in_pieces"}
	for _, k := range []*vocab.Kind{shaft, seat, arm} {
		choice(k, "found", false, found...)
		add(k, vocab.Property{ID: "works", Type: vocab.Parts, To: work})
		add(k, vocab.Property{ID: "number", Type: vocab.Whole})
	}
	choice(seat, "tint", true, "none", "straw", "brown", "purple", "blue", "grey")
	choice(seat, "side", false, "inlet", "exhaust")
	choice(arm, "side", false, "inlet", "exhaust")
	choice(arm, "pattern", false, "left", "right")
	add(seat, vocab.Property{ID: "rust", Type: vocab.YesNo})
	add(seat, vocab.Property{ID: "in", Type: vocab.YesNo})
	add(seat, vocab.Property{ID: "overheated", Role: vocab.Damage})
	add(seat, vocab.Property{ID: "note", Type: vocab.Text})
	add(arm, vocab.Property{ID: "worn", Role: vocab.Damage})
	add(shaft, vocab.Property{ID: "oil_starved", Role: vocab.Cause})
	add(shaft, vocab.Property{ID: "tint_even", Type: vocab.YesNo})
	number(seat, "wear", "mm")
	size := add(seat, vocab.Property{ID: "diameter", Type: vocab.Size, Unit: unit("mm")})
	for _, d := range []string{"diameter_smallest", "diameter_largest"} {
		p := number(seat, d, "mm")
		p.Role, p.Of = vocab.Derived, size
	}
	// Seats are measured across diameters, arms through walls all round.
	size.Layout.Across = []float64{0, 90}
	p := number(seat, "diameter_worn_side", "deg")
	p.Role, p.Of = vocab.Derived, size
	wall := add(arm, vocab.Property{ID: "wall", Type: vocab.Size, Unit: unit("mm"), Layout: vocab.Layout{Along: []string{"middle"}, Across: []float64{0, 180}}})
	p = number(arm, "wall_worn_side", "deg")
	p.Role, p.Of = vocab.Derived, wall
	number(arm, "load_side", "deg")
	number(arm, "bore_largest", "mm")
	number(arm, "bore_in_inches", "in")
	number(arm, "torque", "N·m")
	add(arm, vocab.Property{ID: "radial_play", Type: vocab.Number, Unit: unit("mm"), Role: vocab.Computed})
	number(shaft, "hours", "h")
	number(shaft, "temperature", "°C")
	number(shaft, "temperature_before", "°C")
	number(shaft, "ratio", "")
	number(shaft, "share", "%")
	add(seat, vocab.Property{ID: "shaft", Type: vocab.Part, To: shaft})
	add(seat, vocab.Property{ID: "next", Type: vocab.Part, To: seat})
	add(seat, vocab.Property{ID: "arms", Type: vocab.Parts, To: arm})
	add(arm, vocab.Property{ID: "seat", Type: vocab.Part, To: seat})
	add(shaft, vocab.Property{ID: "seats", Type: vocab.Parts, To: seat})
	choice(work, "did", false, "cleaned", "honed")
	add(work, vocab.Property{ID: "hours_ago", Type: vocab.Number, Unit: unit("h")})
	add(work, vocab.Property{ID: "on", Type: vocab.Parts})
	add(machine, vocab.Property{ID: "left_alone", Type: vocab.YesNo})
	return v
}()

func scope(each string) *condition.Scope {
	s := &condition.Scope{Vocabulary: words}
	for _, f := range strings.Fields(each) {
		name, kind, _ := strings.Cut(f, ":")
		s.Names = append(s.Names, condition.EachName{ID: name, Kind: words.Kind(kind)})
	}
	return s
}

var all = scope("seat:shaft_seat arm:rocker_arm shaft:rocker_shaft job:work other:shaft_seat")

// node is a string as it would stand in a TOML file, in double quotes.
func node(text string) *written.Node {
	raw := `if = "` + text + `"`
	f := source.NewFile("t.toml", []byte(raw))
	return &written.Node{Kind: written.String, Text: text, At: f.At(5, len(raw)), Key: f.At(0, 2)}
}

var opNames = map[condition.Op]string{
	condition.Bad: "bad", condition.Const: "num", condition.Neg: "neg", condition.Abs: "abs",
	condition.Add: "+", condition.Sub: "-", condition.Mul: "*", condition.Div: "/",
	condition.Lt: "<", condition.Le: "<=", condition.Gt: ">", condition.Ge: ">=",
	condition.Within: "within", condition.Same: "same", condition.InList: "inlist",
	condition.And: "and", condition.Or: "or", condition.Not: "not",
	condition.Any: "any", condition.All: "all", condition.None: "none", condition.Count: "count",
	condition.Sum: "sum", condition.Min: "min", condition.Max: "max", condition.Mean: "mean", condition.Median: "median",
	condition.Others: "others", condition.Keep: "keep", condition.Map: "map",
}

// dump writes a tree as an s-expression; numbers in base units.
func dump(e *condition.Expr, s *condition.Scope) string {
	switch e.Op {
	case condition.Name:
		return s.Names[e.Var].ID
	case condition.Elem:
		return "#"
	case condition.Prop:
		return dump(e.Args[0], s) + "." + e.Prop.ID
	case condition.Const:
		if e.Type.K == condition.KText {
			return fmt.Sprintf("%q", e.Text)
		}
		return fmt.Sprintf("%.10g", e.Num)
	}
	var b strings.Builder
	b.WriteString("(")
	switch e.Op {
	case condition.Within:
		fmt.Fprintf(&b, "within:%b", e.Mask)
	case condition.Apart:
		fmt.Fprintf(&b, "apart:%g", e.Num)
	case condition.Call:
		fmt.Fprintf(&b, "call:%s.%s", e.Fn.Name, e.Fn.Results[e.Result].Name)
	default:
		b.WriteString(opNames[e.Op])
	}
	for _, a := range e.Args {
		b.WriteString(" " + dump(a, s))
	}
	return b.String() + ")"
}
