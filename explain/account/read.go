package account

// Cond is a condition of a rule, the sign of a clue, or the expression of a
// number, as this inspection decides it.
type Cond struct {
	Text  string `json:"text"`  // as the author wrote it
	Here  string `json:"here"`  // names replaced by the ids of parts
	Plain string `json:"plain"` // in plain words
	State string `json:"state,omitempty"`
	Comes string `json:"comes"`           // in plain words, as it came out
	Value string `json:"value,omitempty"` // of an expression that is not yes/no
	// Why says why it is unknown, a code; Words tells it.
	Why      string     `json:"why,omitempty"`
	Words    string     `json:"words,omitempty"`
	Reads    []Read     `json:"reads,omitempty"`
	Compared []Compared `json:"compared,omitempty"`
	// AndMore counts members of lists that decide it as those told do.
	AndMore int `json:"and_more,omitempty"`
}

// Where a value that was read is from.
const (
	FromObserved     = "observed"
	FromDeclared     = "declared"
	FromComputed     = "computed"
	FromConcluded    = "concluded"
	FromNotLooked    = "not_looked"
	FromCouldNotTell = "could_not_tell"
	FromNowhere      = "not_known" // declared by none, or computed by none
)

// Read is a value that a condition read.
type Read struct {
	Fact     string    `json:"fact"`
	Part     string    `json:"part"`
	Property string    `json:"property"`
	Name     string    `json:"name"`  // "seat 2ex: heat tint"
	Value    string    `json:"value"` // in words
	State    string    `json:"state,omitempty"`
	Choices  []string  `json:"choices,omitempty"` // ids of what is still possible, of a choice or yes/no
	Number   *Quantity `json:"number,omitempty"`
	From     string    `json:"from"`
	Told     *Origin   `json:"told,omitempty"`
	Look     *Looking  `json:"look,omitempty"` // how it is looked at
	Step     int       `json:"step,omitempty"` // the step that tells it, counted from 1
	Decides  bool      `json:"decides,omitempty"`
	Sure     string    `json:"sure,omitempty"` // how sure a concluded fact is
}

// Origin is how a value came to be known.
type Origin struct {
	Written string `json:"written,omitempty"` // the text of the inspection
	Of      string `json:"of,omitempty"`      // the size that a derived number was worked out of
	By      string `json:"by,omitempty"`      // the means: dye, magnet
	Where   string `json:"where,omitempty"`
	Tool    string `json:"tool,omitempty"`
	Sure    string `json:"sure,omitempty"`
	Photo   string `json:"photo,omitempty"`
	Whose   string `json:"whose,omitempty"` // of a declared value: who gives it
	ForAll  bool   `json:"for_all,omitempty"`
}

// Looking is how a thing nobody looked at is looked at.
type Looking struct {
	Ask     string  `json:"ask,omitempty"`
	How     string  `json:"how,omitempty"`
	Tool    string  `json:"tool,omitempty"`
	About   string  `json:"about,omitempty"` // what it is mistaken for, what separates them
	Minutes float64 `json:"minutes,omitempty"`
	Past    bool    `json:"past,omitempty"` // its stage is past: it cannot be had any more
}

// Quantity is a number. Infinite ends are left out.
type Quantity struct {
	Text string   `json:"text"`
	Lo   *float64 `json:"lo,omitempty"` // base units
	Hi   *float64 `json:"hi,omitempty"`
	Unit string   `json:"unit,omitempty"` // of Text
	U    *float64 `json:"u,omitempty"`    // standard uncertainty, base units; absent = none given
	Plus string   `json:"plus,omitempty"` // k·u in the unit of Text
	Of   string   `json:"of,omitempty"`   // of a range that ends where nothing more is possible: the end that Plus is of
}

// Compared is a comparison of two numbers.
type Compared struct {
	Here    string  `json:"here"`
	Left    string  `json:"left"`
	Op      string  `json:"op"`
	Right   string  `json:"right"`
	State   string  `json:"state"`
	U       float64 `json:"u,omitempty"` // of the difference, base units
	K       float64 `json:"k,omitempty"`
	NeededU float64 `json:"needed_u,omitempty"` // the u that would decide it
	Needed  string  `json:"needed,omitempty"`   // the same in words
	NoU     bool    `json:"no_u,omitempty"`     // decided without any uncertainty given
	// Holds is the probability that the true values compare so, from the
	// measured values and u alone (JCGM 106:2012, 7.2 to 7.4); absent without u.
	Holds   *float64 `json:"holds,omitempty"`
	Decides bool     `json:"decides,omitempty"`
}

// Bounded is a limit of a number.
type Bounded struct {
	Bound string   `json:"bound"` // most, least, new
	Value Quantity `json:"value"`
	Whose string   `json:"whose,omitempty"`
}

// Wanting is something that would have to be known.
type Wanting struct {
	Fact string   `json:"fact"`
	Name string   `json:"name"`
	Look *Looking `json:"look,omitempty"`
	// Reason is not_looked, could_not_tell, or undecided: known, but too coarsely.
	Reason string `json:"reason"`
}
