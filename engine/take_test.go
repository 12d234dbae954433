package engine_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"whyworn/engine"
	"whyworn/rules"
)

// TestTakeLeavesNoTrace runs a row of inspections of one machine, some much alike,
// in one session that takes only what differs, and wants the bytes of a run from
// nothing of each.
func TestTakeLeavesNoTrace(t *testing.T) {
	few := 0
	search(t, 120, func(t *rapid.T) {
		s := everything
		s.unknowns, s.places = 0.2, 6
		s.clues = rapid.Bool().Draw(t, "clues")
		w := drawWorld(t, s)
		if len(w.parts) == 0 {
			return
		}
		g := &builder{t: t, shape: s, w: w}
		p := loadPack(t, w.packFiles())
		program := compile(t, p)
		first := fit(t, p, w.machine(), w.inspection())
		session := program.Bind(first)
		fitter := rules.NewFitter(first.Layout) // as in a batch: facts are gone by the next
		for range g.int(2, 8) {
			inspection := fit(t, p, w.machine(), w.inspection()).Inspection
			f, ps := fitter.Fit(inspection)
			if f == nil {
				t.Fatal(ps)
			}
			session.Take(f)
			if engine.ByDifferences(session) {
				few++
			}
			session.Run()
			own, _ := rules.FitTo(first.Layout, inspection)
			fresh := program.Bind(own)
			fresh.Run()
			taken, anew := session.Result(), fresh.Result()
			if got, want := canonical(taken), canonical(anew); got != want {
				t.Fatalf("by what differs, and from nothing:\n%s\n%v", difference(got, want), w)
			}
			// Also which unknown findings something is known of.
			if got, want := taken.Findings(), anew.Findings(); !reflect.DeepEqual(got, want) {
				t.Fatalf("findings by what differs, and from nothing:\n%v\n%v\n%v", got, want, w)
			}
			if g.chance(0.2) {
				w.observed = map[string]map[string]string{}
				for _, part := range w.parts {
					w.observed[part] = map[string]string{}
				}
				g.observe()
			}
			for range g.int(0, 3) {
				part, sign := g.pick(w.parts), g.pick(signsOfWorlds)
				delete(w.observed[part], sign)
				if v := g.answer(sign); v != "" {
					w.observed[part][sign] = v
				}
			}
		}
	})
	if few < 40 {
		t.Errorf("only %d inspections were taken by what differs", few)
	}
}
