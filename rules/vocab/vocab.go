// Package vocab holds a pack's words: kinds of parts, the properties a part
// of each kind can have, and the types of their values. Start with
// [Vocabulary.Kind] and [Kind.Property]; [Value] is what is known of one
// property of one part. It neither reads files nor checks them: package
// rules does.
package vocab

import (
	"whyworn/facts/measure"
	"whyworn/facts/source"
)

// Type says what values a property takes.
type Type uint8

const (
	YesNo  Type = iota // no or yes
	Choice             // one of Choices
	Number             // a quantity with a unit
	Whole              // a whole number, counted or numbered, exact
	Size               // readings; its derived numbers are properties of their own
	Text               // free words, told and never reasoned over
	Part               // a reference to another part
	Parts              // a list of references
)

var typeNames = [...]string{"yes/no", "a choice", "a number", "a whole number", "a size", "text", "a part", "a list of parts"}

func (t Type) String() string { return typeNames[t] }

// Role says where a property's value comes from.
type Role uint8

const (
	Sign     Role = iota // observed: seen, felt, measured or told
	Derived              // a number worked out of a size's readings by facts/gauge
	Declared             // fixed by the machine: references, numbers of a place, limits, sizes when new, what is wanted
	Computed             // a number that rules set, perhaps observed as well
	Damage               // concluded: what happened at the surface
	Cause                // concluded: why
	Verdict              // concluded: what becomes of the part; one generated property for each level
)

// Concluded tells whether rules or clues, not people, give the value.
func (r Role) Concluded() bool { return r >= Damage }

// Level is what becomes of a part, the graver the greater.
type Level uint8

const (
	NoWord Level = iota
	Refit
	InspectFurther
	Rework
	Replace
)

var levelNames = [...]string{"no word", "refit", "inspect further", "rework", "replace"}

func (l Level) String() string { return levelNames[l] }

// Stage is the step of the strip-down at which a sign can be had, in order.
type Stage uint8

const (
	Running Stage = iota
	BeforeANutIsTurned
	Uncleaned
	Cleaned
	Measured
	AfterRepair
)

// StageNames are the stages as authors write them, indexed by Stage.
var StageNames = [...]string{"running", "before_a_nut_is_turned", "uncleaned", "cleaned", "measured", "after_repair"}

func (s Stage) String() string { return StageNames[s] }

// Bound names a declared number that hangs on another property.
type Bound uint8

const (
	NoBound Bound = iota
	Most          // the greatest value allowed
	Least         // the least value allowed
	New           // the size when new
	Wanted        // the choice that belongs at this place
)

// BoundNames are the functions of the condition language, indexed by Bound.
var BoundNames = [...]string{"", "most", "least", "new", "wanted"}

// Kind is one kind of part.
type Kind struct {
	ID, Name, Plural, About string
	AngleZero, SeenFrom     string
	JudgedBy                string      // what alone tells whether it goes back, where the pack does not judge all of it
	Index                   int         // in Vocabulary.Kinds
	Properties              []*Property // in the order of declaration; Properties[i].Index == i
	At                      source.Span
	byID                    map[string]*Property
}

// Property finds a property by id, or nil.
func (k *Kind) Property(id string) *Property { return k.byID[id] }

// Property is what can be known of a part of one kind.
type Property struct {
	Kind  *Kind
	ID    string
	Name  string
	About string
	Index int // in Kind.Properties
	Type  Type
	Role  Role

	Choices []string // Choice: at most 63
	Ordered bool
	Normal  uint64 // YesNo, Choice: the values that call for no account; 0 = none declared

	Unit     *measure.Unit // Number: the unit authors and people write it in
	Decimals int           // Computed: for printing; -1 = as needed

	// Possible is the range outside which a reading is a slip, where Bounded. ByMeter:
	// hours that the machine's meter must have counted. WhenNew: the declared
	// property that says how large it is when new; of a size, and of a number that
	// says as which size it is.
	Possible measure.Number
	Bounded  bool
	ByMeter  bool
	WhenNew  *Property

	To      *Kind     // Part, Parts: the kind referred to; nil = any kind
	Inverse *Property // the list made by reversing this reference, or the reference this list reverses
	OneWay  bool      // the list is generated, not written

	Of    *Property // Derived: the size; Declared with a Bound: the property bounded
	Bound Bound
	Level Level // Verdict

	Layout Layout // Size

	Ask, Look, Tool string
	Stage           Stage
	DestroyedBy     Stage // meaningful when Fleeting
	Fleeting        bool
	Standing        bool // of stage running, and yet looked at with the machine standing
	OnPaper         bool // it stands in the log book or on an invoice: it can be had at any stage
	Minutes         float64
	Observable      bool    // a person may answer it: signs, and computed numbers declared so
	HowCommon       float64 // Cause: the prior per part; 0 = none given
	Weighed         bool    // clues speak for or against it
	Source          string
	At              source.Span
}

// Label is kind.property, as messages name it.
func (p *Property) Label() string { return p.Kind.ID + "." + p.ID }

// Choice finds the rank of a choice by its id, or -1.
func (p *Property) Choice(id string) int {
	for i, c := range p.Choices {
		if c == id {
			return i
		}
	}
	return -1
}

// Layout says how the readings of a size are written down.
type Layout struct {
	Along  []string  // names of the stations along the part: rows of readings, separated by '/'
	Across []float64 // angles of the columns in degrees; nil = any number of columns, angles unknown
	Inside bool      // of a bore: it wears larger, so its worn side is where it is largest
}

// Vocabulary is all the kinds of a pack.
type Vocabulary struct {
	Kinds []*Kind // Kinds[i].Index == i
	byID  map[string]*Kind
}

// Empty gives a vocabulary without kinds.
func Empty() *Vocabulary { return &Vocabulary{byID: map[string]*Kind{}} }

// Kind finds a kind by id, or nil.
func (v *Vocabulary) Kind(id string) *Kind { return v.byID[id] }

// AddKind enters k and gives it its index; false if the id is taken.
func (v *Vocabulary) AddKind(k *Kind) bool {
	if v.byID[k.ID] != nil {
		return false
	}
	k.Index, k.byID = len(v.Kinds), map[string]*Property{}
	v.Kinds = append(v.Kinds, k)
	v.byID[k.ID] = k
	return true
}

// AddProperty enters p under its kind and gives it its index; false if the id is taken.
func (k *Kind) AddProperty(p *Property) bool {
	if k.byID[p.ID] != nil {
		return false
	}
	p.Kind, p.Index = k, len(k.Properties)
	k.Properties = append(k.Properties, p)
	k.byID[p.ID] = p
	return true
}

// BoundOf finds the declared property that bounds p, or nil. Its id is made
// by BoundID, so that no author's id can collide with it.
func (k *Kind) BoundOf(p *Property, b Bound) *Property { return k.byID[BoundID(b, p.ID)] }

// BoundID is the id of a generated bound property: most(radial_play).
func BoundID(b Bound, property string) string { return BoundNames[b] + "(" + property + ")" }

// VerdictID is the id of a generated verdict property: verdict(replace).
func VerdictID(l Level) string { return "verdict(" + l.String() + ")" }
