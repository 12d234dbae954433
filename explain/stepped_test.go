package explain_test

import (
	"testing"

	"whyworn/engine"
	"whyworn/explain"
	"whyworn/rules"
	"whyworn/rules/packs"
	"whyworn/rules/trial"
	"whyworn/rules/vocab"
)

// In whatever the trials show, a part that is to be replaced or reworked has a step:
// a remedy due for it, for what it refers to, or for what refers to it. And nothing
// that shows only while running is asked of a machine that must not run. Every link
// is gone over by the story of some trial.
func TestVerdictsHaveTheirStep(t *testing.T) {
	for _, name := range packs.Names() {
		pack, ps := packs.Load(name)
		fatal(t, ps)
		program, _ := engine.Compile(pack)
		folder, _ := packs.Folder(name)
		trials, more := trial.Load(folder, name)
		fatal(t, more)
		judged, stopped := 0, 0
		told := map[*rules.Link]bool{}
		for _, tr := range trials {
			f, _, ps := tr.Fit(pack)
			fatal(t, ps)
			s := program.Bind(f)
			s.Run()
			d := explain.New(program, s.Result()).Diagnose()
			for _, k := range d.Story.Chains {
				for _, l := range k.Links {
					told[l.Link] = true
				}
			}
			bound, near := map[int32]bool{}, map[int32]bool{}
			for _, m := range d.Remedies {
				for _, part := range m.Bound {
					bound[part], near[part] = true, true
				}
			}
			for n := range f.Parts {
				for _, to := range f.Layout.References(int32(n)) {
					near[int32(n)] = near[int32(n)] || bound[to]
					near[to] = near[to] || bound[int32(n)]
				}
			}
			for _, v := range d.Verdicts {
				if v.Level != vocab.Replace && v.Level != vocab.Rework {
					continue
				}
				if judged++; !near[v.Part] {
					t.Errorf("%s: %s is to be %s and nothing is to be done", tr.ID, f.Parts[v.Part].ID, v.Level)
				}
			}
			if len(d.DoNotRun()) == 0 {
				continue
			}
			stopped++
			for _, l := range explain.New(program, s.Result()).Next(0) {
				if p := l.Ask.Prop; p.Stage == vocab.Running && !p.Standing && !p.OnPaper {
					t.Errorf("%s must not run, and %s is asked", tr.ID, p.ID)
				}
			}
		}
		for _, l := range pack.Links {
			if !told[l] {
				t.Errorf("%s: no trial tells that %s.%s leads to %s.%s", name, l.From.Prop.Kind.ID, l.From.Prop.ID, l.To.Prop.Kind.ID, l.To.Prop.ID)
			}
		}
		if judged < 50 || stopped < 50 {
			t.Errorf("%s: only %d verdicts and %d stops", name, judged, stopped)
		}
	}
}
