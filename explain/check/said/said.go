// Package said is the shape of an explanation as it is published: start with
// [Decode]. The names are those of the JSON, where package explain documents
// them. Nothing is shared with it, on purpose, and nothing is judged here.
package said

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
)

// Explanation is all that is said to one question.
type Explanation struct {
	Question string `json:"question"`
	Asked    []int  `json:"asked"`
	Pack     struct {
		ID      string `json:"id"`
		Version string `json:"version"`
		Digest  string `json:"digest"`
	} `json:"pack"`
	Inspection struct {
		Machine string `json:"machine"`
		Number  string `json:"number,omitempty"`
		Digest  string `json:"digest"`
	} `json:"inspection"`
	K       float64  `json:"k"`
	Steps   []Step   `json:"steps"`
	Changes *Changes `json:"changes,omitempty"`
}

// Step tells one fact, verdict or remedy.
type Step struct {
	Fact        string    `json:"fact"`
	Part        string    `json:"part"`
	Property    string    `json:"property"`
	Name        string    `json:"name"`
	Sort        string    `json:"sort"`
	State       string    `json:"state"`
	Answer      string    `json:"answer"`
	Round       int32     `json:"round"`
	Certain     bool      `json:"certain"`
	Probability float64   `json:"probability"`
	Word        string    `json:"word"`
	Number      *Quantity `json:"number"`
	Observed    *Read     `json:"observed"`
	Limits      []Bounded `json:"limits"`
	Level       string    `json:"level"`
	Missing     []Wanting `json:"missing"`
	Because     string    `json:"because"`
	About       string    `json:"about"`
	Source      string    `json:"source"`
	RuledOut    bool      `json:"ruled_out"`
	Conflicts   []string  `json:"conflicts"`
	Decision    string    `json:"decision"`
	Remedies    []string  `json:"remedies"`
	Think       string    `json:"think"`
	Ways        []Way     `json:"ways"`
	Left        Left      `json:"left"`
	Sum         *Sum      `json:"sum"`
	Do          *Doing    `json:"do"`
}

// Left counts the ways that a step does not tell.
type Left struct {
	Fire    int `json:"fire"`
	Unknown int `json:"unknown"`
	Not     int `json:"not"`
}

// Doing is what a remedy asks to be done.
type Doing struct {
	Title          string   `json:"title"`
	Steps          []string `json:"steps"`
	BeforeNewParts bool     `json:"before_new_parts"`
	DoNotRunUntil  string   `json:"do_not_run_until"`
	ShowsItWorked  string   `json:"shows_it_worked"`
	Cautions       []string `json:"cautions"`
}

// Way is a rule, clue or remedy for the parts it is bound to.
type Way struct {
	Rule       string   `json:"rule"`
	Clue       string   `json:"clue"`
	Does       string   `json:"does"`
	Bound      []Bound  `json:"bound"`
	State      string   `json:"state"`
	Round      int32    `json:"round"`
	If         []Cond   `json:"if"`
	Unless     []Cond   `json:"unless"`
	Assumed    bool     `json:"assumed"`
	Sets       *Cond    `json:"sets"`
	Because    string   `json:"because"`
	How        string   `json:"how"`
	Source     string   `json:"source"`
	Sign       *Cond    `json:"sign"`
	SignWords  string   `json:"sign_words"`
	WhenSo     []Often  `json:"when_so"`
	Otherwise  []Often  `json:"otherwise"`
	Counts     string   `json:"counts"`
	Lambda     Ratio    `json:"lambda"`
	Decibans   float64  `json:"decibans"`
	Weight     string   `json:"weight"`
	Counted    bool     `json:"counted"`
	Through    string   `json:"through"`
	ThroughWay int      `json:"through_way"`
	Rests      []string `json:"rests"`
}

// Bound is a name of a statement and its part.
type Bound struct {
	Name string `json:"name"`
	Part string `json:"part"`
}

// Often is a frequency of a clue, with the word it was written as.
type Often struct {
	Choice string  `json:"choice"`
	Value  float64 `json:"value"`
	Word   string  `json:"word"`
}

// Ratio is a likelihood ratio; "seen" is infinite.
type Ratio float64

func (r *Ratio) UnmarshalJSON(b []byte) error {
	if string(b) == `"seen"` {
		*r = Ratio(math.Inf(1))
		return nil
	}
	var x float64
	err := json.Unmarshal(b, &x)
	*r = Ratio(x)
	return err
}

// Cond is one condition of a way.
type Cond struct {
	Text     string     `json:"text"`
	Here     string     `json:"here"`
	Plain    string     `json:"plain"`
	State    string     `json:"state"`
	Comes    string     `json:"comes"`
	Value    string     `json:"value"`
	Why      string     `json:"why"`
	Words    string     `json:"words"`
	Reads    []Read     `json:"reads"`
	Compared []Compared `json:"compared"`
	AndMore  int        `json:"and_more"`
}

// Read is a fact as a condition reads it.
type Read struct {
	Fact     string    `json:"fact"`
	Part     string    `json:"part"`
	Property string    `json:"property"`
	Name     string    `json:"name"`
	Value    string    `json:"value"`
	State    string    `json:"state"`
	Choices  []string  `json:"choices"`
	Number   *Quantity `json:"number"`
	From     string    `json:"from"`
	Told     *Origin   `json:"told"`
	Look     *Looking  `json:"look"`
	Step     int       `json:"step"`
	Decides  bool      `json:"decides"`
	Sure     string    `json:"sure"`
}

// Origin is who told a value, how and where.
type Origin struct {
	Written string `json:"written"`
	Of      string `json:"of"`
	By      string `json:"by"`
	Where   string `json:"where"`
	Tool    string `json:"tool"`
	Sure    string `json:"sure"`
	Photo   string `json:"photo"`
	Whose   string `json:"whose"`
	ForAll  bool   `json:"for_all"`
}

// Looking is how a fact is looked at.
type Looking struct {
	Ask     string  `json:"ask"`
	How     string  `json:"how"`
	Tool    string  `json:"tool"`
	About   string  `json:"about"`
	Minutes float64 `json:"minutes"`
	Past    bool    `json:"past"`
}

// Quantity is a number with its uncertainty.
type Quantity struct {
	Text string   `json:"text"`
	Lo   *float64 `json:"lo"`
	Hi   *float64 `json:"hi"`
	Unit string   `json:"unit"`
	U    *float64 `json:"u"`
	Plus string   `json:"plus"`
}

// Compared is one comparison of numbers.
type Compared struct {
	Here    string   `json:"here"`
	Left    string   `json:"left"`
	Op      string   `json:"op"`
	Right   string   `json:"right"`
	State   string   `json:"state"`
	U       float64  `json:"u"`
	K       float64  `json:"k"`
	NeededU float64  `json:"needed_u"`
	Needed  string   `json:"needed"`
	NoU     bool     `json:"no_u"`
	Holds   *float64 `json:"holds"`
	Decides bool     `json:"decides"`
}

// Bounded is a limit of a number.
type Bounded struct {
	Bound string   `json:"bound"`
	Value Quantity `json:"value"`
	Whose string   `json:"whose"`
}

// Wanting is what would have to be known.
type Wanting struct {
	Fact   string   `json:"fact"`
	Name   string   `json:"name"`
	Look   *Looking `json:"look"`
	Reason string   `json:"reason"`
}

// Sum is how the evidence for a finding adds up.
type Sum struct {
	HowCommon   float64 `json:"how_common"`
	Start       string  `json:"start"`
	Counted     string  `json:"counted"`
	CountedDB   float64 `json:"counted_decibans"`
	Total       string  `json:"total"`
	Probability float64 `json:"probability"`
	Word        string  `json:"word"`
	Odds        string  `json:"odds"`
	Decided     bool    `json:"decided"`
	Settled     bool    `json:"settled"`
	Inexact     bool    `json:"inexact"`
	Rivals      []Rival `json:"rivals"`
}

// Rival is a cause that excludes another.
type Rival struct {
	Fact        string  `json:"fact"`
	Name        string  `json:"name"`
	Group       string  `json:"group"`
	Probability float64 `json:"probability"`
	State       string  `json:"state"`
}

// Changes is what would change the answer.
type Changes struct {
	To         string `json:"to"`
	Sets       []Set  `json:"sets"`
	Candidates int    `json:"candidates"`
	Size       int    `json:"size"`
	Tried      int    `json:"tried"`
	Stopped    string `json:"stopped"`
	More       int    `json:"more"`
}

// Set is observations that together would change it.
type Set struct {
	Would     []Would `json:"would"`
	Otherwise bool    `json:"otherwise"`
}

// Would is one observation as it would have to be.
type Would struct {
	Fact  string   `json:"fact"`
	Name  string   `json:"name"`
	Be    string   `json:"be"`
	Now   string   `json:"now"`
	Look  *Looking `json:"look"`
	Asks  []string `json:"asks"`
	Finer string   `json:"finer"`
}

// Decode reads a published explanation; what it does not know it refuses.
func Decode(data []byte) (*Explanation, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	x := new(Explanation)
	if err := d.Decode(x); err != nil {
		return nil, fmt.Errorf("this is no explanation: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, fmt.Errorf("something follows the explanation")
	}
	return x, nil
}

// Conditions lists all conditions of a way.
func (w *Way) Conditions() (out []*Cond) {
	for i := range w.If {
		out = append(out, &w.If[i])
	}
	for i := range w.Unless {
		out = append(out, &w.Unless[i])
	}
	for _, c := range []*Cond{w.Sets, w.Sign} {
		if c != nil {
			out = append(out, c)
		}
	}
	return out
}
