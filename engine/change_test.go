package engine_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// dump writes all of a result, so that equal texts mean equal to the byte.
func dump(r *record.Result) string {
	var b strings.Builder
	fmt.Fprintln(&b, r.State, r.Round, r.Flags, r.Overrun)
	for _, w := range r.Weighed {
		fmt.Fprintln(&b, w.Slot, math.Float64bits(w.Lambda), math.Float64bits(w.Probability), int64(w.Weight), w.Decided, w.Settled)
	}
	for _, n := range r.Numbers {
		fmt.Fprintln(&b, n.Slot, n.Part, n.Prop.ID, n.Value)
	}
	id := func(f record.FactID) string { return fmt.Sprint(f.Part, ".", f.Prop.ID) }
	for _, v := range r.Verdicts {
		fmt.Fprint(&b, v.Part, v.Level, v.Open)
		for _, m := range v.Missing {
			fmt.Fprint(&b, " ", id(m))
		}
		fmt.Fprintln(&b)
	}
	for _, c := range r.Conflicts {
		fmt.Fprintln(&b, id(c.Fact), c.Kind, c.Rules, c.A, c.B)
	}
	for _, a := range r.Assumptions {
		fmt.Fprintln(&b, id(a.Fact), a.Rule.ID, a.Bound, a.Unless)
	}
	for _, u := range r.WithoutU {
		fmt.Fprintln(&b, id(u.Fact), u.Rule.ID)
	}
	for _, o := range r.Facts.Observations {
		fmt.Fprintln(&b, o.Part, o.Prop.ID, o.Value, o.Basis)
	}
	return b.String()
}

// anyValue draws a value that fits a property: nothing, could not tell, wholly or
// partly known.
func anyValue(t *rapid.T, p *vocab.Property, l *rules.Layout) vocab.Value {
	switch rapid.IntRange(0, 9).Draw(t, "looked") {
	case 0, 1:
		return vocab.Value{}
	case 2:
		return vocab.Value{Looked: vocab.CouldNotTell}
	}
	v := vocab.Value{Looked: vocab.Told}
	switch p.Type {
	case vocab.YesNo:
		v.Mask = uint64(rapid.IntRange(1, 2).Draw(t, "yes"))
	case vocab.Choice:
		v.Mask = 1 << rapid.IntRange(0, len(p.Choices)-1).Draw(t, "choice")
		if rapid.IntRange(0, 4).Draw(t, "partly") == 0 {
			v.Mask |= 1 << rapid.IntRange(0, len(p.Choices)-1).Draw(t, "or")
		}
	case vocab.Number, vocab.Whole:
		x := float64(rapid.IntRange(-5, 30).Draw(t, "x"))
		if p.Type == vocab.Number {
			x = p.Unit.ToBase(x / 10)
		}
		v.Number = measure.Exact(x)
		switch rapid.IntRange(0, 3).Draw(t, "number") {
		case 0:
			v.Number = measure.Between(x, x+2)
		case 1:
			if p.Type == vocab.Number {
				v.Number = measure.Reading(x, measure.Term{Source: int32(rapid.IntRange(0, 3).Draw(t, "source")), U: 0.02})
			}
		}
	default:
		return vocab.Value{}
	}
	return v
}

// settable lists the properties of parts that can be changed.
func settable(f *rules.Facts) []record.FactID {
	var out []record.FactID
	for i := range f.Parts {
		for _, p := range f.Parts[i].Kind.Properties {
			switch p.Role {
			case vocab.Sign, vocab.Derived:
			case vocab.Computed:
				if !p.Observable {
					continue
				}
			default:
				continue
			}
			if p.Type <= vocab.Whole {
				out = append(out, record.FactID{Part: int32(i), Prop: p})
			}
		}
	}
	return out
}

// changesAgree drives a session through changes and compares it, after each
// run, with a session that starts from nothing with the same facts.
func changesAgree(t *rapid.T, p *engine.Program, f *rules.Facts, ids []record.FactID) {
	s := p.Bind(f)
	if rapid.Bool().Draw(t, "run first") {
		s.Run()
	}
	other := p.Bind(f)
	for range rapid.IntRange(1, 4).Draw(t, "runs") {
		for range rapid.IntRange(1, 4).Draw(t, "changes") {
			id := rapid.SampledFrom(ids).Draw(t, "fact")
			if rapid.IntRange(0, 3).Draw(t, "forget") == 0 {
				s.Forget(id.Part, id.Prop)
			} else {
				s.Set(id.Part, id.Prop, anyValue(t, id.Prop, f.Layout))
			}
		}
		s.Run()
		got := s.Result()
		other.Reset(got.Facts)
		other.Run()
		if a, b := dump(got), dump(other.Result()); a != b {
			t.Fatalf("after changes and from nothing differ:\n%s", firstDifference(a, b))
		}
	}
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range x {
		if i >= len(y) || x[i] != y[i] {
			other := ""
			if i < len(y) {
				other = y[i]
			}
			if len(x[i]) > 3000 {
				for j := range x[i] {
					if j >= len(other) || x[i][j] != other[j] {
						return fmt.Sprintf("line %d at %d: …%s | …%s", i, j, x[i][max(0, j-40):min(len(x[i]), j+40)], other[max(0, j-40):min(len(other), j+40)])
					}
				}
			}
			return fmt.Sprintf("line %d: %s\n     | %s", i, x[i], other)
		}
	}
	return "the second is longer"
}

func TestStationChanges(t *testing.T) {
	pack, f := stationFacts(t)
	p, ps := engine.Compile(pack)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	ids := settable(f)
	rapid.Check(t, func(t *rapid.T) { changesAgree(t, p, f, ids) })
}
