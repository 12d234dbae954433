package engine_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine/meaning"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// completions calls f with every completion of the unknown yes/no signs, choices
// and whole numbers that w leaves open, or with some at random where there are
// more than most.
func completions(t *rapid.T, f *rules.Facts, most int, try func(map[rules.FactID]vocab.Value)) {
	type open struct {
		h      rules.FactID
		values []vocab.Value
	}
	var unknown []open
	total := 1
	for n := range f.Parts {
		for _, p := range f.Parts[n].Kind.Properties {
			if p.Role != vocab.Sign || p.ID == "found" {
				continue
			}
			o := f.Lookup(int32(n), p)
			var vs []vocab.Value
			switch p.Type {
			case vocab.YesNo, vocab.Choice:
				possible := uint64(1)<<max(2, len(p.Choices)) - 1
				if o != nil && o.Value.Looked == vocab.Told {
					possible = o.Value.Mask
				}
				for bit := range 64 {
					if possible>>bit&1 == 1 {
						vs = append(vs, vocab.Value{Looked: vocab.Told, Mask: 1 << bit})
					}
				}
			case vocab.Whole:
				lo, hi := 0.0, 4.0
				if o != nil && o.Value.Looked == vocab.Told {
					lo, hi = o.Value.Number.Lo, o.Value.Number.Hi
				}
				for x := lo; x <= hi; x++ {
					vs = append(vs, vocab.Value{Looked: vocab.Told, Number: measure.Exact(x)})
				}
			case vocab.Number:
				lo, hi := -1.0, 6.0
				if o != nil && o.Value.Looked == vocab.Told {
					if o.Value.Number.IsValue() {
						continue
					}
					lo, hi = max(lo, o.Value.Number.Lo), min(hi, o.Value.Number.Hi)
				}
				for i := range 5 { // ends left out: they may be open
					vs = append(vs, vocab.Value{Looked: vocab.Told, Number: measure.Exact(lo + (hi-lo)*(float64(i)+0.5)/5)})
				}
			}
			if len(vs) > 1 {
				unknown = append(unknown, open{rules.FactID{Part: int32(n), Prop: p}, vs})
				total = min(total*len(vs), most+1)
			}
		}
	}
	if total <= most {
		chosen := map[rules.FactID]vocab.Value{}
		var rec func(int)
		rec = func(i int) {
			if i == len(unknown) {
				try(chosen)
				return
			}
			for _, v := range unknown[i].values {
				chosen[unknown[i].h] = v
				rec(i + 1)
			}
		}
		rec(0)
		return
	}
	for range most {
		chosen := map[rules.FactID]vocab.Value{}
		for _, u := range unknown {
			chosen[u.h] = u.values[rapid.IntRange(0, len(u.values)-1).Draw(t, "value")]
		}
		try(chosen)
	}
}

// completed is what it means with the unknowns filled in.
func completed(f *rules.Facts, values map[rules.FactID]vocab.Value) *meaning.World {
	for id, v := range values {
		f = f.With(id, v)
	}
	return meaning.New(f.Pack, f)
}

// atOdds tells whether numbers that rules set disagree anywhere.
func atOdds(w *meaning.World) bool {
	for n := range w.Facts.Parts {
		for _, p := range w.Facts.Parts[n].Kind.Properties {
			if p.Role == vocab.Computed && len(w.Conflicts(rules.FactID{Part: int32(n), Prop: p})) > 0 {
				return true
			}
		}
	}
	return false
}

// TestSound tries completions of the unknowns: whatever a run decided, all of
// them decide alike. Exceptions and rulings-out are apart: what stands unless
// something holds may fall.
func TestSound(t *testing.T) {
	search(t, 80, func(t *rapid.T) {
		s := everything
		s.exceptions = false
		s.uncertain = false
		s.places = 3
		s.unknowns = 0.25
		w := drawWorld(t, s)
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), w.inspection())
		res := run(t, p, f)
		completions(t, f, 16, func(values map[rules.FactID]vocab.Value) {
			r := completed(f, values)
			for _, x := range res.Findings() {
				got := r.State(x.FactID)
				if x.State.Known() && got != x.State && !(got == truth.Unknown && atOdds(r)) {
					t.Fatalf("%s.%s is %v, but %v with %v\n%v", f.Parts[x.Part].ID, x.Prop.ID, x.State, got, spell(f, values), w)
				}
			}
		})
	})
}

func spell(f *rules.Facts, values map[rules.FactID]vocab.Value) []string {
	var out []string
	for h, v := range values {
		out = append(out, fmt.Sprintf("%s.%s=%b/%v", f.Parts[h.Part].ID, h.Prop.ID, v.Mask, v.Number.Lo))
	}
	slices.Sort(out)
	return out
}

// monotone is a random pack about the machine alone, of findings that rest on
// each other and on yes/no signs, with nothing negated.
func monotone(t *rapid.T, signs, findings int) *world {
	g := &builder{t: t, w: &world{kindOf: map[string]string{}, observed: map[string]map[string]string{}}}
	w := g.w
	for i := range signs {
		g.vocab("[[property]]\nof = \"machine\"\nid = \"s%d\"\n", i)
	}
	for i := range findings {
		g.vocab("[[finding]]\nof = \"machine\"\nid = \"f%d\"\nsort = \"damage\"\n", i)
	}
	atom := func() string {
		if g.chance(0.5) {
			return fmt.Sprintf("it.f%d", g.int(0, findings-1))
		}
		return fmt.Sprintf("it.s%d", g.int(0, signs-1))
	}
	for i := range g.int(findings, 3*findings) {
		var conds []string
		for range g.int(1, 3) {
			c := atom()
			if g.chance(0.3) {
				c += " or " + atom()
			}
			conds = append(conds, c)
		}
		g.statement("[[rule]]\nid = \"r%d\"\neach = { it = \"machine\" }\nif = %s\nthen = \"it.f%d\"\n", i, quoted(conds), g.int(0, findings-1))
	}
	return w
}

// TestMustAndMayAreExact: where nothing is negated a run decides all that can be
// decided: what it leaves unknown comes out either way in some completion.
func TestMustAndMayAreExact(t *testing.T) {
	search(t, 150, func(t *rapid.T) {
		const signs, findings = 6, 6
		w := monotone(t, signs, findings)
		g := &builder{t: t, w: w}
		inspection := "machine = \"m\"\n[machine_facts]\n"
		var lines []string
		for i := range signs {
			if g.chance(0.5) {
				lines = append(lines, fmt.Sprintf("s%d = %s\n", i, g.pick([]string{`"yes"`, `"no"`, `"?"`})))
			}
		}
		inspection = "machine = \"m\"\n[before]\n" + strings.Join(lines, "")
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), inspection)
		res := run(t, p, f)
		mustAgree(t, w, res)
		of := func(i int) rules.FactID {
			return rules.FactID{Prop: p.Vocabulary.Kind("machine").Property(fmt.Sprintf("f%d", i))}
		}
		yes, no, open := map[rules.FactID]bool{}, map[rules.FactID]bool{}, map[rules.FactID]bool{}
		completions(t, f, 1<<signs, func(values map[rules.FactID]vocab.Value) {
			r := completed(f, values)
			for i := range findings {
				h := of(i)
				s := r.State(h)
				yes[h] = yes[h] || s == truth.True
				no[h] = no[h] || s == truth.False
				open[h] = open[h] || s == truth.Unknown // rests on what nothing concludes
			}
		})
		for i := range findings {
			h := of(i)
			want := truth.Unknown
			switch {
			case yes[h] && !no[h] && !open[h]:
				want = truth.True
			case no[h] && !yes[h] && !open[h]:
				want = truth.False
			}
			if got := res.Fact(0, h.Prop).State; got != want {
				t.Fatalf("%s is %v; over all completions %v\n%v%s", h.Prop.ID, got, want, w, inspection)
			}
		}
	})
}
