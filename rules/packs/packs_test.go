package packs

import (
	"os"
	"testing"

	"whyworn/facts/source"
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
