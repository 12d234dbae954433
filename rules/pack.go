// Package rules holds packs: their format, loading and checking, and the
// fitting of a machine and an inspection to a pack. Start with [Load] and
// [Fit]. It decides nothing: package engine runs what stands here.
package rules

import (
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Pack is a folder of knowledge, loaded and checked. It is immutable.
type Pack struct {
	ID, Version, Title, About, LimitsOfMethod string

	Vocabulary *vocab.Vocabulary
	Rules      []*Rule // ordered by id; Rules[i].Index == i; so are the others
	Clues      []*Clue
	Links      []*Link
	Rivals     []*Rivals
	Remedies   []*Remedy
	Limits     []*Limit
	Cautions   []*Caution
	Shown      []*Caution // the cautions shown with every diagnosis
	Pictures   []*Picture
	Sections   []*Section

	Files  []*source.File
	Digest string // SHA-256 over names and bytes of the files, in order of name, hexadecimal
}

// Binding is the names of a rule, clue, link or remedy.
type Binding []condition.EachName

// Head is a property of one of the names: what a rule concludes or sets.
type Head struct {
	Var  int // index in Each
	Prop *vocab.Property
}

// Assign sets a computed number.
type Assign struct {
	Head
	Value *condition.Condition
}

// Rule is IF conditions THEN findings, a ruling-out, numbers or a verdict.
// Exactly one of Then, RulesOut and Set is not empty; a verdict stands in
// Then as the generated verdict property of its level.
type Rule struct {
	ID       string
	Index    int
	Each     Binding
	If       []*condition.Condition
	Unless   []*condition.Condition
	Then     []Head
	RulesOut []Head
	Set      []Assign
	Level    vocab.Level // NoWord unless the rule is a verdict
	Because  *condition.Template
	Source   string
	How      string
	At       source.Span
}

// Clue is how often a cause shows a sign, and how often the sign shows
// without that cause.
type Clue struct {
	ID    string
	Index int
	Each  Binding
	Cause Head
	Sign  *condition.Condition // yes/no, or a choice
	If    []*condition.Condition
	// WhenSo and Otherwise are one frequency for a yes/no sign, or one for
	// each choice, summing to 1.
	WhenSo, Otherwise         []float64
	WhenSoWord, OtherwiseWord string // the word of frequency, if one was written
	Counts                    string // the counts a learned frequency rests on
	Mechanism                 string
	Source                    string
	At                        source.Span
	WhenSoAt, OtherwiseAt     source.Span
}

// Link is one finding leading to another, and how.
type Link struct {
	ID       string
	Index    int
	Each     Binding
	If       []*condition.Condition
	From, To Head
	How      string
	Source   string
	At       source.Span
}

// Rivals are causes that exclude each other.
type Rivals struct {
	ID     string
	Index  int
	Each   Binding
	If     []*condition.Condition
	Causes []Head
	At     source.Span
}

// Limit is a common limit, used where the machine has none.
type Limit struct {
	Prop  *vocab.Property
	Bound vocab.Bound // Most or Least
	Value measure.Written
	From  string
	At    source.Span
}

// Remedy is what to do about a finding.
type Remedy struct {
	ID             string
	Index          int
	Each           Binding
	If             []*condition.Condition
	Unless         []*condition.Condition // holds it back where one is known to hold, as of a rule
	Title          *condition.Template
	Do             []*condition.Template
	Order          int
	BeforeNewParts bool
	DoNotRunUntil  *condition.Template
	ShowsItWorked  *condition.Template
	LookAlso       []*condition.Template
	Recheck        *condition.Template
	OrderParts     []*condition.Template
	Cautions       []*Caution
	Source         string
	At             source.Span
}

// Caution is what can hurt, and how not to be hurt.
type Caution struct {
	ID, Danger, Text, Source string
	At                       source.Span
}

// Picture says what the assembly drawing follows: the stations along a part.
type Picture struct {
	Along    *vocab.Kind
	Stations *vocab.Property
	At       source.Span
}
