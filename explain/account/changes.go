package account

// Changes is what would change an answer.
type Changes struct {
	To   string `json:"to"` // the state it would change to
	Sets []Set  `json:"sets"`
	// Candidates is how many facts were tried, each with every answer that
	// conditions tell apart; Size up to how many at once; Tried how many answers
	// or pairs and threes of answers.
	Candidates int `json:"candidates"`
	Size       int `json:"size"`
	Tried      int `json:"tried"`
	// Stopped says why the search ended before all sets up to its size were
	// tried: "" if it did not.
	Stopped string `json:"stopped,omitempty"`
	More    int    `json:"more,omitempty"` // sets found and not told
}

// Set is observations that would change the answer together.
type Set struct {
	Would []Would `json:"would"`
	// Otherwise is set where one of them is known and would have to have been
	// otherwise; else all are still to be looked at.
	Otherwise bool `json:"otherwise,omitempty"`
}

// Would is one observation that would have to be made.
type Would struct {
	Fact string   `json:"fact"`
	Name string   `json:"name"`
	Be   string   `json:"be"`            // "purple or blue", "over 0.10 mm"
	Now  string   `json:"now,omitempty"` // what is known of it
	Look *Looking `json:"look,omitempty"`
	// Asks are the sizes to measure, of a computed number.
	Asks []string `json:"asks,omitempty"`
	// Finer is the standard uncertainty with which it would have to be measured
	// again, where it is known but too coarsely.
	Finer string `json:"finer,omitempty"`
}
