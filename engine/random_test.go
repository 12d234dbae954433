package engine_test

import (
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// search runs a property on n random cases, times WHYWORN_SEARCH (a whole
// number, 1 unless set).
func search(t *testing.T, n int, property func(*rapid.T)) {
	t.Helper()
	times := 1
	if s := os.Getenv("WHYWORN_SEARCH"); s != "" {
		var err error
		if times, err = strconv.Atoi(s); err != nil || times < 1 {
			t.Fatalf("WHYWORN_SEARCH=%q is no whole number", s)
		}
	}
	if testing.Short() {
		n = max(n/10, 5)
	}
	defer setFlag(t, "rapid.checks", strconv.Itoa(n*times))()
	defer setFlag(t, "rapid.nofailfile", "true")() // the message says all that is needed
	rapid.Check(t, property)
}

func setFlag(t *testing.T, name, value string) (restore func()) {
	f := flag.Lookup(name)
	old := f.Value.String()
	if err := f.Value.Set(value); err != nil {
		t.Fatal(err)
	}
	return func() { _ = f.Value.Set(old) }
}

// canonical is all that a run answers, with names instead of numbers, sorted: two
// runs that mean the same give the same bytes.
func canonical(res *record.Result) string {
	f := res.Facts
	name := func(part int32, p *vocab.Property) string { return f.Parts[part].ID + "." + p.ID }
	bound := func(parts []int32) string {
		var out []string
		for _, p := range parts {
			out = append(out, f.Parts[p].ID)
		}
		return strings.Join(out, ",")
	}
	var lines []string
	say := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	for n := range f.Parts {
		part := int32(n)
		for _, p := range f.Parts[n].Kind.Properties {
			if p.Role.Concluded() {
				say("%s %+v", name(part, p), res.Fact(part, p))
			}
			if v, ok := res.Number(part, p); ok {
				say("%s = %s", name(part, p), shown(f, v.Number))
			}
			if v, ok := res.Value(part, p); ok && p.Role != vocab.Declared {
				say("%s reads %v %b %s", name(part, p), v.Looked, v.Mask, shown(f, v.Number))
			}
		}
		if v, ok := res.Verdict(part); ok {
			var missing []string
			for _, m := range v.Missing {
				missing = append(missing, name(m.Part, m.Prop))
			}
			slices.Sort(missing)
			say("%s verdict %v open %v missing %v", f.Parts[n].ID, v.Level, v.Open, missing)
		}
	}
	for _, c := range res.Conflicts {
		say("conflict %s %v %v %s %s", name(c.Fact.Part, c.Fact.Prop), c.Kind, c.Rules, shown(f, c.A), shown(f, c.B))
	}
	for _, a := range res.Assumptions {
		say("assumed %s %s %s %d", name(a.Fact.Part, a.Fact.Prop), a.Rule.ID, bound(a.Bound), a.Unless)
	}
	for _, b := range res.WithoutU {
		say("without u %s %s", name(b.Fact.Part, b.Fact.Prop), b.Rule.ID)
	}
	say("overrun %v", res.Overrun)
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}

// shown is a number to the last digit, its sources by name.
func shown(f *rules.Facts, n measure.Number) string {
	out := fmt.Sprint(n.Lo, n.Hi, n.LoOpen, n.HiOpen, n.Terms == nil)
	var terms []string
	for _, t := range n.Terms {
		u := f.Uncertainties[t.Source]
		of := u.Tool
		if u.Part >= 0 {
			of += " on " + f.Parts[u.Part].ID + "." + u.Prop.ID
		}
		terms = append(terms, fmt.Sprint(of, " ", t.U))
	}
	slices.Sort(terms)
	return out + strings.Join(terms, ", ")
}

// mustAgree compares a run with the reference, fact by fact.
func mustAgree(t complainer, w fmt.Stringer, res *record.Result, ref *reference) {
	t.Helper()
	if res.Overrun != nil {
		t.Fatalf("the run was stopped: %v", res.Overrun)
	}
	f := res.Facts
	weighing := len(f.Pack.Clues) > 0
	for n := range f.Parts {
		part := int32(n)
		for _, p := range f.Parts[n].Kind.Properties {
			h := slot{part, p}
			name := f.Parts[n].ID + "." + p.ID
			if p.Role.Concluded() {
				got := res.Fact(part, p)
				if got.State != ref.state[h] {
					t.Fatalf("%s is %v, by the reference %v\n%v", name, got.State, ref.state[h], w)
				}
				if !weighing && got.Round != ref.round[h] {
					t.Fatalf("%s came in round %d, by the reference in %d\n%v", name, got.Round, ref.round[h], w)
				}
				if got.RuledOut != ref.ruledOut[h] {
					t.Fatalf("%s ruled out: %v, by the reference %v\n%v", name, got.RuledOut, ref.ruledOut[h], w)
				}
				if p.Role != vocab.Verdict && got.Conflict != ref.conflict[h] && !weighing {
					t.Fatalf("%s in conflict: %v, by the reference %v\n%v", name, got.Conflict, ref.conflict[h], w)
				}
				if weighing {
					mustWeighAlike(t, w, res, ref, h, name)
				}
			}
			if p.Role == vocab.Computed {
				got, ok := res.Number(part, p)
				want, known := ref.number[h]
				if ok != known || ok && !sameNumber(got.Number, want) {
					t.Fatalf("%s is %+v %v, by the reference %+v %v\n%v", name, got.Number, ok, want, known, w)
				}
			}
		}
		got, ok := res.Verdict(part)
		want, judged := ref.verdict[part]
		if ok != judged || got.Level != want {
			t.Fatalf("the verdict of %s is %v %v, by the reference %v %v\n%v", f.Parts[n].ID, got.Level, ok, want, judged, w)
		}
	}
}

// sameNumber compares to a part in 1e9 of the numbers, for values and for
// what each source contributes.
func sameNumber(a, b measure.Number) bool {
	near := func(x, y float64) bool {
		return x == y || math.Abs(x-y) <= 1e-9*max(1, math.Abs(x), math.Abs(y))
	}
	if !near(a.Lo, b.Lo) || !near(a.Hi, b.Hi) || a.LoOpen != b.LoOpen || a.HiOpen != b.HiOpen {
		return false
	}
	for _, s := range sourcesOf(a, b) {
		u, v := termOf(a, s), termOf(b, s)
		if !a.IsValue() { // the two ends may move alike far, either way
			u, v = math.Abs(u), math.Abs(v)
		}
		if !near(u, v) {
			return false
		}
	}
	return true
}

func run(t complainer, p *rules.Pack, f *rules.Facts) *record.Result {
	t.Helper()
	s := compile(t, p).Bind(f)
	s.Run()
	return s.Result()
}

// TestAgreesWithReference is the main check: whatever the pack, machine and
// inspection, states, rounds, numbers and verdicts are those of the reference.
func TestAgreesWithReference(t *testing.T) {
	search(t, 250, func(t *rapid.T) {
		w := drawWorld(t, everything)
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), w.inspection())
		mustAgree(t, w, run(t, p, f), newReference(f).run())
	})
}

// TestRecursionAgreesWithReference is the same where findings mostly rest on
// each other, in circles.
func TestRecursionAgreesWithReference(t *testing.T) {
	search(t, 150, func(t *rapid.T) {
		w := drawWorld(t, shape{recursion: true, itself: true, exceptions: true, unknowns: 0.5, places: 5})
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), w.inspection())
		mustAgree(t, w, run(t, p, f), newReference(f).run())
	})
}

// TestOrderNeverMatters shuffles rules, files and places, and wants the same
// bytes.
func TestOrderNeverMatters(t *testing.T) {
	search(t, 60, func(t *rapid.T) {
		s := everything
		s.clues = rapid.Bool().Draw(t, "clues")
		w := drawWorld(t, s)
		p := loadPack(t, w.packFiles())
		want := canonical(run(t, p, fit(t, p, w.machine(), w.inspection())))
		if again := canonical(run(t, p, fit(t, p, w.machine(), w.inspection()))); again != want {
			t.Fatalf("two runs differ:\n%s\nand\n%s\n%v", want, again, w)
		}
		other := *w
		other.statements = rapid.Permutation(w.statements).Draw(t, "statements")
		files := other.packFiles()
		cut := rapid.IntRange(0, len(other.statements)).Draw(t, "cut")
		delete(files, "rules.toml")
		files["a.toml"] = strings.Join(other.statements[:cut], "")
		files["z.toml"] = strings.Join(other.statements[cut:], "")
		q := loadPack(t, files)
		if got := canonical(run(t, q, fit(t, q, w.machine(), w.inspection()))); got != want {
			t.Fatalf("the order of rules matters:\n%s\n%v", difference(want, got), w)
		}
		order := rapid.Permutation(indexes(len(w.places))).Draw(t, "places")
		other.places, other.parts = nil, nil
		for _, i := range order {
			other.places = append(other.places, w.places[i])
			other.parts = append(other.parts, w.parts[i])
		}
		if got := canonical(run(t, p, fit(t, p, other.machine(), other.inspection()))); got != want {
			t.Fatalf("the order of places matters:\n%s\n%v", difference(want, got), w)
		}
	})
}

func indexes(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// difference lists the lines in which two dumps differ.
func difference(a, b string) string {
	var out []string
	in := func(s string) map[string]bool {
		m := map[string]bool{}
		for _, l := range strings.Split(s, "\n") {
			m[l] = true
		}
		return m
	}
	x, y := in(a), in(b)
	for l := range x {
		if !y[l] {
			out = append(out, "- "+l)
		}
	}
	for l := range y {
		if !x[l] {
			out = append(out, "+ "+l)
		}
	}
	slices.SortFunc(out, func(a, b string) int { return strings.Compare(a[2:], b[2:]) })
	return strings.Join(out, "\n")
}

// TestChangesLeaveNoTrace sets and forgets observations at random, and wants the
// bytes of a run from nothing, after each step.
func TestChangesLeaveNoTrace(t *testing.T) {
	search(t, 60, func(t *rapid.T) {
		s := everything
		s.uncertain = false // readings carry numbers of their sources, which differ between inspections
		s.clues = rapid.Bool().Draw(t, "clues")
		w := drawWorld(t, s)
		if len(w.parts) == 0 {
			return
		}
		g := &builder{t: t, shape: s, w: w}
		p := loadPack(t, w.packFiles())
		program := compile(t, p)
		session := program.Bind(fit(t, p, w.machine(), w.inspection()))
		session.Run()
		for range g.int(1, 5) {
			for range g.int(1, 3) {
				part, sign := g.pick(w.parts), g.pick(signsOfWorlds)
				delete(w.observed[part], sign)
				if v := g.answer(sign); v != "" && g.chance(0.8) {
					w.observed[part][sign] = v
				}
				f := fit(t, p, w.machine(), w.inspection())
				n, _ := f.Find(part)
				prop := f.Parts[n].Kind.Property(sign)
				if o := f.Lookup(n, prop); o != nil {
					session.Set(n, prop, o.Value)
				} else {
					session.Forget(n, prop)
				}
			}
			session.Run()
			fresh := program.Bind(fit(t, p, w.machine(), w.inspection()))
			fresh.Run()
			if got, want := canonical(session.Result()), canonical(fresh.Result()); got != want {
				t.Fatalf("after changes, and from nothing:\n%s\n%v", difference(got, want), w)
			}
		}
	})
}

// TestResetLeavesNoTrace runs several inspections in one session.
func TestResetLeavesNoTrace(t *testing.T) {
	search(t, 40, func(t *rapid.T) {
		s := everything
		s.clues = rapid.Bool().Draw(t, "clues")
		w := drawWorld(t, s)
		g := &builder{t: t, shape: s, w: w}
		p := loadPack(t, w.packFiles())
		program := compile(t, p)
		var session *engine.Session
		for range 3 {
			f := fit(t, p, w.machine(), w.inspection())
			if session == nil {
				session = program.Bind(f)
			} else {
				session.Reset(f)
			}
			session.Run()
			fresh := program.Bind(f)
			fresh.Run()
			if got, want := canonical(session.Result()), canonical(fresh.Result()); got != want {
				t.Fatalf("after a reset, and from nothing:\n%s\n%v", difference(got, want), w)
			}
			for p := range w.observed {
				w.observed[p] = map[string]string{}
			}
			g.observe()
		}
	})
}

// TestWhollyUnknown holds that from nothing nothing follows: with no
// observation at all every finding is unknown and no clue weighs. (What follows
// from the machine alone is apart: that there are no two of a kind, that two
// parts do not meet, that nothing feeds a circle; or from
// numbers alone: abs is never below 0.)
func TestWhollyUnknown(t *testing.T) {
	search(t, 60, func(t *rapid.T) {
		s := everything
		s.negations, s.itself, s.recursion, s.numbers, s.single = false, false, false, false, true
		s.unknowns = 1
		s.clues = true
		w := drawWorld(t, s)
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), w.inspection())
		res := run(t, p, f)
		mustAgree(t, w, res, newReference(f).run())
		for n := range f.Parts {
			for _, prop := range f.Parts[n].Kind.Properties {
				if x := res.Fact(int32(n), prop); prop.Role.Concluded() && (x.State.Known() || x.Decided || x.Weight != 0) {
					t.Fatalf("%s is %v and weighs %v with nothing known\n%v", prop.Label(), x.State, x.Weight, w)
				}
			}
		}
	})
}

// completions calls f with every completion of the unknown yes/no signs, choices
// and whole numbers that w leaves open, or with some at random where there are
// more than most.
func completions(t *rapid.T, f *rules.Facts, most int, try func(map[slot]vocab.Value)) {
	type open struct {
		h      slot
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
				unknown = append(unknown, open{slot{int32(n), p}, vs})
				total = min(total*len(vs), most+1)
			}
		}
	}
	if total <= most {
		chosen := map[slot]vocab.Value{}
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
		chosen := map[slot]vocab.Value{}
		for _, u := range unknown {
			chosen[u.h] = u.values[rapid.IntRange(0, len(u.values)-1).Draw(t, "value")]
		}
		try(chosen)
	}
}

// completed is the reference with the unknowns filled in.
func completed(f *rules.Facts, values map[slot]vocab.Value) *reference {
	r := newReference(f)
	maps.Copy(r.obs, values)
	return r.run()
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
		completions(t, f, 16, func(values map[slot]vocab.Value) {
			r := completed(f, values)
			for _, x := range res.Findings() {
				got := r.state[slot{x.Part, x.Prop}]
				if x.State.Known() && got != x.State && !(got == truth.Unknown && len(r.twoValues) > 0) {
					t.Fatalf("%s.%s is %v, but %v with %v\n%v", f.Parts[x.Part].ID, x.Prop.ID, x.State, got, spell(f, values), w)
				}
			}
		})
	})
}

func spell(f *rules.Facts, values map[slot]vocab.Value) []string {
	var out []string
	for h, v := range values {
		out = append(out, fmt.Sprintf("%s.%s=%b/%v", f.Parts[h.part].ID, h.prop.ID, v.Mask, v.Number.Lo))
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
		mustAgree(t, w, res, newReference(f).run())
		yes, no, open := map[slot]bool{}, map[slot]bool{}, map[slot]bool{}
		completions(t, f, 1<<signs, func(values map[slot]vocab.Value) {
			r := completed(f, values)
			for h, s := range r.state {
				yes[h] = yes[h] || s == truth.True
				no[h] = no[h] || s == truth.False
				open[h] = open[h] || s == truth.Unknown // rests on what nothing concludes
			}
		})
		machine := p.Vocabulary.Kind("machine")
		for i := range findings {
			h := slot{0, machine.Property(fmt.Sprintf("f%d", i))}
			want := truth.Unknown
			switch {
			case yes[h] && !no[h] && !open[h]:
				want = truth.True
			case no[h] && !yes[h] && !open[h]:
				want = truth.False
			}
			if got := res.Fact(0, h.prop).State; got != want {
				t.Fatalf("%s is %v; over all completions %v\n%v%s", h.prop.ID, got, want, w, inspection)
			}
		}
	})
}
