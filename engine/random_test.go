package engine_test

import (
	"flag"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine"
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

// TestAgreesWithMeaning is the main check: whatever the pack, machine and
// inspection, all that is found is what it means.
func TestAgreesWithMeaning(t *testing.T) {
	search(t, 250, func(t *rapid.T) {
		w := drawWorld(t, everything)
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), w.inspection())
		mustAgree(t, w, run(t, p, f))
	})
}

// TestRecursionAgreesWithMeaning is the same where findings mostly rest on
// each other, in circles.
func TestRecursionAgreesWithMeaning(t *testing.T) {
	search(t, 150, func(t *rapid.T) {
		w := drawWorld(t, shape{recursion: true, itself: true, exceptions: true, unknowns: 0.5, places: 5})
		p := loadPack(t, w.packFiles())
		f := fit(t, p, w.machine(), w.inspection())
		mustAgree(t, w, run(t, p, f))
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
		mustAgree(t, w, res)
		for n := range f.Parts {
			for _, prop := range f.Parts[n].Kind.Properties {
				if x := res.Fact(int32(n), prop); prop.Role.Concluded() && (x.State.Known() || x.Decided || x.Weight != 0) {
					t.Fatalf("%s is %v and weighs %v with nothing known\n%v", prop.Label(), x.State, x.Weight, w)
				}
			}
		}
	})
}
