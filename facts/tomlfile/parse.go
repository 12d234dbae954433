// Package tomlfile reads TOML into the tree of package written. It is the only
// importer of TOML libraries.
//
// Use [Parse] for files of strangers, [ParseTrusted] for files a test has
// proven valid.
package tomlfile

import (
	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Codes for text that is not TOML. Those that JSON
// shares are in package written.
var (
	Syntax        = source.Declare("toml-syntax", "a file breaks the rules of TOML")
	TextNotQuoted = source.Declare("text-not-quoted", "a text stands without the quotes TOML needs")
	KeyClash      = source.Declare("key-clash", "a key is used as a table but holds a value, or the other way round")
)

// Parse reads a TOML file (1.0, with the relaxations of 1.1). The tree is nil
// when the text is not TOML; a key written twice is reported with both places
// and keeps its first value in the tree. Size and nesting are capped before any
// parser recurses.
func Parse(f *source.File) (*written.Node, source.Problems) {
	if p := f.CheckText(); p != nil {
		return nil, source.Problems{p}
	}
	root, problems, doubtful := build(f)
	if len(problems) > 0 {
		return root, problems
	}
	// The positional pass is lenient about a few things, such as the days of a
	// month; where a file has any of them, the second library is asked. That
	// nothing is nested deep, which that one would not survive, is proven.
	if doubtful {
		if p := invalid(f); p != nil {
			return nil, source.Problems{p}
		}
	}
	return root, nil
}

// ParseTrusted is like [Parse] but leaves out the second library's verdict: a
// file that Parse accepts gives the same tree, sooner where it has anything
// that the second library is asked about.
func ParseTrusted(f *source.File) (*written.Node, source.Problems) {
	if p := f.CheckText(); p != nil {
		return nil, source.Problems{p}
	}
	root, problems, _ := build(f)
	return root, problems
}
