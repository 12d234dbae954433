// Package record holds what a run answers, as plain values: the state of
// every finding, the numbers computed, the verdicts, the weighings, and, on
// request, the ways in which a fact came to be. Start with [Result]. It
// computes nothing: package engine fills it, explain and explain/check read it.
package record

import (
	"whyworn/engine/weigh"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// FactID names one property of one part.
type FactID = rules.FactID

// Fact is what a run found of a concluded property.
type Fact struct {
	State truth.Truth
	// Round is the fewest rounds of rules that reach a true fact; 0 otherwise.
	Round int32
	// Certain is set when rules over observations alone settled it; then
	// Probability and Weight mean nothing.
	Certain     bool
	Probability float64      // of a weighed finding, or of what a conclusion rests on
	Weight      weigh.Weight // the sum of its counted clues
	Decided     bool         // at least one clue was decided
	// Lambda is the likelihood ratio that the fact hands on: +Inf, 0 and 1 for
	// certainly true, certainly false and open.
	Lambda          float64
	Conflict        bool
	RuledOut        bool // a ruling-out fired
	PerhapsRuledOut bool // a ruling-out is unknown, taken as not firing
	Inexact         bool // too many overlapping clues: the heaviest were taken first
}

// Reason says why something is unknown, as one cause of possibly several.
type Reason uint8

const (
	NoReason         Reason = iota
	NobodyLooked            // not looked at
	LookedCouldNot          // looked, could not tell
	PartlyKnown             // what is told leaves it open
	WithinU                 // undecided at this uncertainty
	NoMember                // an aggregate over no part
	NoReference             // the part refers to none
	StoodBack               // an exception held the rule back
	OpenFinding             // a finding it rests on is itself unknown
	OutOfDomain             // a table or formula does not reach so far
	InConflict              // concluded and ruled out, or two values that disagree
	NothingConcludes        // no rule or clue of the pack could tell
	NobodyGives             // the machine gives no such limit, size or number
)

// Seen is a node of a condition as this run saw it.
type Seen struct {
	Cond    *condition.Condition
	Expr    *condition.Expr
	State   truth.Truth // of a yes/no node
	Reason  Reason
	Value   vocab.Value // of every other node
	U       float64     // combined standard uncertainty of the two sides, base units
	NeededU float64     // the u that would decide it, base units; 0 = none
	NoU     bool        // decided without any uncertainty given
	Part    int32       // the element, for a member of an aggregate; -1 otherwise
	Reads   []FactID    // facts read directly at this node
	Args    []Seen      // as Expr.Args; for an aggregate one for each member instead
}

// Way is one rule or clue, bound to parts, that concludes, rules out, sets or
// speaks for a fact, or might have.
type Way struct {
	Rule  *rules.Rule // one of Rule and Clue
	Clue  *rules.Clue
	Bound []int32     // the part for each name of Each
	State truth.Truth // fires, known not to fire, unknown
	Round int32
	If    []Seen
	// Unless holds the exceptions; those unknown at a firing are assumed not to hold.
	Unless []Seen
	Value  vocab.Value // of a set
	Sets   []Seen      // of a set: the expression that gives the number
	// Of a clue:
	Sign    Seen
	Lambda  float64
	Weight  weigh.Weight
	Counted bool
	Through int     // index in the ways of the clue it is already counted through; -1 = none
	Rests   []int32 // the observations it rests on, indexes in Facts.Observations
}

// Verdict is what becomes of a part.
type Verdict struct {
	Part    int32
	Level   vocab.Level
	Missing []FactID // what would have to be known, when InspectFurther or when a graver one is still open; of the part itself first
	Open    []vocab.Level
}

// Conflict is a contradiction of the knowledge or of the readings.
type Conflict struct {
	Fact  FactID
	Kind  ConflictKind
	Rules []string // ids of the rules or clues at odds
	A, B  measure.Number
}

// ConflictKind says what is at odds.
type ConflictKind uint8

const (
	ConcludedAndRuledOut ConflictKind = iota
	ValuesDisagree                    // two rules set values that disagree
	ObservedDisagrees                 // observed against computed
	CluesAgainstRule                  // the clues alone would make it false
)

// Assumption is an exception that was unknown at a firing.
type Assumption struct {
	Fact   FactID
	Rule   *rules.Rule
	Bound  []int32
	Unless int // index in Rule.Unless
}

// Nearer puts what is missing of the part itself first, and of other parts by
// number.
func (v *Verdict) Nearer(a, b FactID) int {
	switch mine := a.Part == v.Part; {
	case mine == (b.Part == v.Part):
		return a.Compare(b)
	case mine:
		return -1
	}
	return 1
}

// Rival is a cause that excludes another, and by which group.
type Rival struct {
	Cause FactID
	Group *rules.Rivals
}
