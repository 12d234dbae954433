package packs

import (
	"os"
	"testing"

	"whyworn/facts/source"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/trial"
)

// Shipped packs load as Proven, without the second reading of their TOML; this
// is the proof.
func TestShippedPacksAreSound(t *testing.T) {
	for _, name := range Names() {
		folder, _ := Folder(name)
		_, ps := rules.Load(folder, name, rules.Checked)
		if len(ps) > 0 {
			source.Write(os.Stderr, ps, source.Options{})
			t.Errorf("%s: %d problems", name, len(ps))
		}
		if _, ps := trial.Load(folder, name); len(ps) > 0 {
			source.Write(os.Stderr, ps, source.Options{})
			t.Errorf("trials of %s: %d problems", name, len(ps))
		}
	}
}

// What must not run until something is done is held in place by a trial, so that no
// change of the knowledge drops it unseen.
func TestTrialsHoldEveryStop(t *testing.T) {
	for _, name := range Names() {
		pack, ps := Load(name)
		folder, _ := Folder(name)
		trials, more := trial.Load(folder, name)
		if ps.Add(more...); ps.HasErrors() {
			t.Fatal(ps)
		}
		held := map[*rules.Remedy]bool{}
		for _, tr := range trials {
			_, claims, _ := tr.Fit(pack)
			for _, c := range claims {
				held[c.Remedy] = held[c.Remedy] || c.Expect == truth.True
			}
		}
		stops := 0
		for _, m := range pack.Remedies {
			if m.DoNotRunUntil == nil {
				continue
			}
			if stops++; !held[m] {
				t.Errorf("%s: no trial claims the remedy %q, until which the engine must not run", name, m.ID)
			}
		}
		if stops < 20 {
			t.Errorf("%s: only %d stops", name, stops)
		}
	}
}
