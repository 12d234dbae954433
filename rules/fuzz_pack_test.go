package rules_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"whyworn/rules"
)

// FuzzPack: a pack is data from a stranger. Whatever stands in it there is a
// pack or a problem, each problem says something, and nothing panics. The
// corpus holds a sound pack and the bad ones of testdata/bad.
func FuzzPack(f *testing.F) {
	base, err := os.ReadFile(filepath.Join(badFolder, "base/pack/pack.toml"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(base))
	bad, err := filepath.Glob(filepath.Join(badFolder, "*.txtar"))
	if err != nil || len(bad) == 0 {
		f.Fatal("no bad packs found")
	}
	for _, path := range bad {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		if _, text, ok := strings.Cut(string(data), ".toml --\n"); ok && len(text) < 4096 {
			f.Add(string(base) + "\n" + text)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, ps := rules.Load(fstest.MapFS{"pack.toml": {Data: []byte(text)}}, "pack", rules.Checked)
		if (p == nil) != ps.HasErrors() {
			t.Fatalf("pack %v with %v", p != nil, ps)
		}
		for _, x := range ps {
			if x.Message == "" || x.Code == "" {
				t.Fatalf("a problem that says nothing: %+v", x)
			}
		}
	})
}
