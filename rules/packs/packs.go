// Package packs holds the packs that ship, embedded. Start with [Load].
package packs

import (
	"embed"
	"io/fs"

	"whyworn/facts/source"
	"whyworn/rules"
)

//go:embed all:rocker_gear
var shipped embed.FS

// Names lists the packs that ship, in order of name.
func Names() []string {
	entries, err := shipped.ReadDir(".")
	if err != nil {
		panic(err) // an embedded folder can be read
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// Folder is the files of a shipped pack, with its trials and their machines;
// false if none has this name.
func Folder(name string) (fs.FS, bool) {
	if info, err := fs.Stat(shipped, name); err != nil || !info.IsDir() {
		return nil, false
	}
	sub, err := fs.Sub(shipped, name)
	return sub, err == nil
}

// Load loads a shipped pack. Its TOML was proven valid by a test, so only what
// the pack says is checked again.
func Load(name string) (*rules.Pack, source.Problems) {
	folder, ok := Folder(name)
	if !ok {
		var ps source.Problems
		ps.Addf(rules.NoPack, source.Span{}, "no pack called %q ships with whyworn", name).DidYouMean(name, Names()).
			Hint("a pack of your own is named by its folder: --pack DIR")
		return nil, ps
	}
	return rules.Load(folder, name, rules.Proven)
}
