// Package account holds the account that is given of a conclusion: the
// explanation as plain values, the same for every writer and for the verifier.
// Start with [Explanation]. It works nothing out and words nothing: package
// explain fills it, package words words it.
package account

import (
	"math"
	"strconv"
)

// Explanation answers why something was concluded, or why not. It is a plain
// value, the same for every writer and, as JSON, all that a verifier needs to
// replay the answer from the pack and the inspection:
//
//   - Steps is a graph told as a list. Each concluded fact, computed number,
//     verdict or remedy is one step, told once; Read.Step points to it.
//   - A step lists the ways that bear on it: rules and clues of the pack by their
//     ids, bound to parts by their ids. The conditions of a way stand in the
//     order of the pack, so Way.If[i] is If[i] of that rule.
//   - A condition carries its text as written, its outcome, and every value that
//     it read: the same reads with the same values give the same outcome.
//   - A step that does not list every rule and clue that bears on it says so by
//     Left, which counts those not told.
//
// Numbers stand in coherent base units (mm, N, h, K …) beside their words.
type Explanation struct {
	Question   string   `json:"question"` // why or whynot
	Asked      []int    `json:"asked"`    // the steps asked for, counted from 1
	Pack       Edition  `json:"pack"`
	Inspection Occasion `json:"inspection"`
	K          float64  `json:"k"` // coverage factor of comparisons
	Steps      []Step   `json:"steps"`
	Changes    *Changes `json:"changes,omitempty"` // of whynot: what would change the answer
}

// Edition is the pack that reasoned.
type Edition struct {
	ID      string `json:"id"`
	Version string `json:"version"`
	Digest  string `json:"digest"`
}

// Occasion is the inspection reasoned about.
type Occasion struct {
	Machine string `json:"machine"`
	Number  string `json:"number,omitempty"`
	Digest  string `json:"digest"`
}

// Sorts of steps.
const (
	SortDamage  = "damage"
	SortCause   = "cause"
	SortNumber  = "number"
	SortVerdict = "verdict"
	SortRemedy  = "remedy"
)

// Step is one thing that was concluded, or was not.
type Step struct {
	Fact     string `json:"fact"` // part.property; part.verdict; the id of a remedy
	Part     string `json:"part,omitempty"`
	Property string `json:"property,omitempty"`
	Name     string `json:"name"`
	Sort     string `json:"sort"`
	// State is true, false or unknown: of a finding, of a verdict (true: it is
	// that level), of a number (true: it is known), of a remedy (true: it is due).
	State  string `json:"state"`
	Answer string `json:"answer"` // in words
	// Round is the fewest rounds of rules that reach a true fact: all that a
	// firing rule needs came in an earlier round.
	Round       int32   `json:"round,omitempty"`
	Certain     bool    `json:"certain,omitempty"`
	Probability float64 `json:"probability,omitempty"`
	Word        string  `json:"word,omitempty"` // of probability

	Number   *Quantity `json:"number,omitempty"`   // as rules computed it
	Observed *Read     `json:"observed,omitempty"` // of a number also observed
	Limits   []Bounded `json:"limits,omitempty"`   // of a number: its limits and whose they are

	Level   string    `json:"level,omitempty"`   // of a verdict
	Missing []Wanting `json:"missing,omitempty"` // what would have to be known

	Because   string   `json:"because,omitempty"`   // of the first rule that holds
	About     string   `json:"about,omitempty"`     // the mechanism, for a learner
	Source    string   `json:"source,omitempty"`    // of the finding's own text
	RuledOut  bool     `json:"ruled_out,omitempty"` // a rule that rules it out holds
	Conflicts []string `json:"conflicts,omitempty"`
	Decision  string   `json:"decision,omitempty"` // of a person, whether it differs or not
	Remedies  []string `json:"remedies,omitempty"` // of a step asked for: what is to be done for it
	Think     string   `json:"think,omitempty"`    // of a step asked for: a question for a learner

	Ways []Way `json:"ways,omitempty"`
	Left Left  `json:"left"`
	Sum  *Sum  `json:"sum,omitempty"`

	Do *Doing `json:"do,omitempty"` // of a remedy
}

// Left counts the rules and clues that bear on a step and are not told.
type Left struct {
	Fire    int `json:"fire,omitempty"`    // fire too
	Unknown int `json:"unknown,omitempty"` // may still fire
	Not     int `json:"not,omitempty"`     // known not to fire
}

// Doing is what a remedy says.
type Doing struct {
	Title          string   `json:"title"`
	Steps          []string `json:"steps,omitempty"`
	BeforeNewParts bool     `json:"before_new_parts,omitempty"`
	DoNotRunUntil  string   `json:"do_not_run_until,omitempty"`
	ShowsItWorked  string   `json:"shows_it_worked,omitempty"`
	Cautions       []string `json:"cautions,omitempty"`
}

// What a way does to its fact.
const (
	Concludes = "concludes"
	RulesOut  = "rules_out"
	Sets      = "sets"
	Judges    = "verdict"
	Speaks    = "speaks" // a clue, for or against
	Calls     = "calls"  // for a remedy
)

// Way is one rule or clue bound to parts.
type Way struct {
	Rule  string  `json:"rule,omitempty"`
	Clue  string  `json:"clue,omitempty"`
	Does  string  `json:"does"`
	Bound []Bound `json:"bound"`
	State string  `json:"state"` // true: it fires; false: known not to; unknown
	Round int32   `json:"round,omitempty"`
	If    []Cond  `json:"if,omitempty"`
	// Unless holds exceptions; one that is unknown while the rule fires is
	// assumed not to hold, and Assumed is set.
	Unless  []Cond `json:"unless,omitempty"`
	Assumed bool   `json:"assumed,omitempty"`
	Sets    *Cond  `json:"sets,omitempty"` // the expression that gives the number
	Because string `json:"because,omitempty"`
	How     string `json:"how,omitempty"` // of a clue: its mechanism
	Source  string `json:"source,omitempty"`

	Sign       *Cond    `json:"sign,omitempty"` // of a clue
	SignWords  string   `json:"sign_words,omitempty"`
	WhenSo     []Often  `json:"when_so,omitempty"`
	Otherwise  []Often  `json:"otherwise,omitempty"`
	Counts     string   `json:"counts,omitempty"` // what a learned frequency rests on
	Lambda     Ratio    `json:"lambda,omitempty"`
	Decibans   float64  `json:"decibans,omitempty"`
	Weight     string   `json:"weight,omitempty"` // the same, in words: +8.5
	Counted    bool     `json:"counted,omitempty"`
	Through    string   `json:"through,omitempty"`     // already counted through this clue
	ThroughWay int      `json:"through_way,omitempty"` // its number among Ways, counted from 1; 0 = not told
	Rests      []string `json:"rests,omitempty"`       // the observations it rests on
}

// Bound is a name of a rule or clue and the part it stands for.
type Bound struct {
	Name string `json:"name"`
	Part string `json:"part"`
}

// Often is how often a sign shows: Choice is empty for a yes/no sign.
type Often struct {
	Choice string  `json:"choice,omitempty"`
	Value  float64 `json:"value"`
	Word   string  `json:"word,omitempty"`
}

// Ratio is a likelihood ratio; as JSON infinite is the text "seen".
type Ratio float64

// MarshalJSON writes a number, or "seen" where the sign is seen.
func (r Ratio) MarshalJSON() ([]byte, error) {
	if math.IsInf(float64(r), 1) {
		return []byte(`"seen"`), nil
	}
	return strconv.AppendFloat(nil, float64(r), 'g', -1, 64), nil
}

// UnmarshalJSON reads what MarshalJSON writes.
func (r *Ratio) UnmarshalJSON(b []byte) error {
	if string(b) == `"seen"` {
		*r = Ratio(math.Inf(1))
		return nil
	}
	x, err := strconv.ParseFloat(string(b), 64)
	*r = Ratio(x)
	return err
}

// Conditions lists all conditions of a way: if, unless, the expression of a
// number, the sign.
func (w *Way) Conditions() []*Cond { return w.conditions(w.Unless) }

// Grounds is Conditions but for the exceptions.
func (w *Way) Grounds() []*Cond { return w.conditions(nil) }

func (w *Way) conditions(unless []Cond) []*Cond {
	var out []*Cond
	for _, list := range [][]Cond{w.If, unless} {
		for i := range list {
			out = append(out, &list[i])
		}
	}
	if w.Sets != nil {
		out = append(out, w.Sets)
	}
	if w.Sign != nil {
		out = append(out, w.Sign)
	}
	return out
}
