package check

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
)

// The explanation as it is published. The names are those of the JSON; package
// explain documents them. Nothing here is shared with it, on purpose.

type explanation struct {
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
	Steps   []step   `json:"steps"`
	Changes *changes `json:"changes,omitempty"`
}

type step struct {
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
	Number      *quantity `json:"number"`
	Observed    *read     `json:"observed"`
	Limits      []bounded `json:"limits"`
	Level       string    `json:"level"`
	Missing     []wanting `json:"missing"`
	Because     string    `json:"because"`
	About       string    `json:"about"`
	Source      string    `json:"source"`
	RuledOut    bool      `json:"ruled_out"`
	Conflicts   []string  `json:"conflicts"`
	Decision    string    `json:"decision"`
	Remedies    []string  `json:"remedies"`
	Think       string    `json:"think"`
	Ways        []way     `json:"ways"`
	Left        left      `json:"left"`
	Sum         *sum      `json:"sum"`
	Do          *doing    `json:"do"`
}

type left struct {
	Fire    int `json:"fire"`
	Unknown int `json:"unknown"`
	Not     int `json:"not"`
}

type doing struct {
	Title          string   `json:"title"`
	Steps          []string `json:"steps"`
	BeforeNewParts bool     `json:"before_new_parts"`
	DoNotRunUntil  string   `json:"do_not_run_until"`
	ShowsItWorked  string   `json:"shows_it_worked"`
	Cautions       []string `json:"cautions"`
}

type way struct {
	Rule       string   `json:"rule"`
	Clue       string   `json:"clue"`
	Does       string   `json:"does"`
	Bound      []bound  `json:"bound"`
	State      string   `json:"state"`
	Round      int32    `json:"round"`
	If         []cond   `json:"if"`
	Unless     []cond   `json:"unless"`
	Assumed    bool     `json:"assumed"`
	Sets       *cond    `json:"sets"`
	Because    string   `json:"because"`
	How        string   `json:"how"`
	Source     string   `json:"source"`
	Sign       *cond    `json:"sign"`
	SignWords  string   `json:"sign_words"`
	WhenSo     []often  `json:"when_so"`
	Otherwise  []often  `json:"otherwise"`
	Counts     string   `json:"counts"`
	Lambda     ratio    `json:"lambda"`
	Decibans   float64  `json:"decibans"`
	Weight     string   `json:"weight"`
	Counted    bool     `json:"counted"`
	Through    string   `json:"through"`
	ThroughWay int      `json:"through_way"`
	Rests      []string `json:"rests"`
}

type bound struct {
	Name string `json:"name"`
	Part string `json:"part"`
}

type often struct {
	Choice string  `json:"choice"`
	Value  float64 `json:"value"`
	Word   string  `json:"word"`
}

// ratio is a likelihood ratio; "seen" is infinite.
type ratio float64

func (r *ratio) UnmarshalJSON(b []byte) error {
	if string(b) == `"seen"` {
		*r = ratio(math.Inf(1))
		return nil
	}
	var x float64
	err := json.Unmarshal(b, &x)
	*r = ratio(x)
	return err
}

type cond struct {
	Text     string     `json:"text"`
	Here     string     `json:"here"`
	Plain    string     `json:"plain"`
	State    string     `json:"state"`
	Comes    string     `json:"comes"`
	Value    string     `json:"value"`
	Why      string     `json:"why"`
	Words    string     `json:"words"`
	Reads    []read     `json:"reads"`
	Compared []compared `json:"compared"`
	AndMore  int        `json:"and_more"`
}

type read struct {
	Fact     string    `json:"fact"`
	Part     string    `json:"part"`
	Property string    `json:"property"`
	Name     string    `json:"name"`
	Value    string    `json:"value"`
	State    string    `json:"state"`
	Choices  []string  `json:"choices"`
	Number   *quantity `json:"number"`
	From     string    `json:"from"`
	Told     *origin   `json:"told"`
	Look     *looking  `json:"look"`
	Step     int       `json:"step"`
	Decides  bool      `json:"decides"`
	Sure     string    `json:"sure"`
}

type origin struct {
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

type looking struct {
	Ask     string  `json:"ask"`
	How     string  `json:"how"`
	Tool    string  `json:"tool"`
	About   string  `json:"about"`
	Minutes float64 `json:"minutes"`
	Past    bool    `json:"past"`
}

type quantity struct {
	Text string   `json:"text"`
	Lo   *float64 `json:"lo"`
	Hi   *float64 `json:"hi"`
	Unit string   `json:"unit"`
	U    *float64 `json:"u"`
	Plus string   `json:"plus"`
}

type compared struct {
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

type bounded struct {
	Bound string   `json:"bound"`
	Value quantity `json:"value"`
	Whose string   `json:"whose"`
}

type wanting struct {
	Fact   string   `json:"fact"`
	Name   string   `json:"name"`
	Look   *looking `json:"look"`
	Reason string   `json:"reason"`
}

type sum struct {
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
	Rivals      []rival `json:"rivals"`
}

type rival struct {
	Fact        string  `json:"fact"`
	Name        string  `json:"name"`
	Group       string  `json:"group"`
	Probability float64 `json:"probability"`
	State       string  `json:"state"`
}

type changes struct {
	To         string `json:"to"`
	Sets       []set  `json:"sets"`
	Candidates int    `json:"candidates"`
	Size       int    `json:"size"`
	Tried      int    `json:"tried"`
	Stopped    string `json:"stopped"`
	More       int    `json:"more"`
}

type set struct {
	Would     []would `json:"would"`
	Otherwise bool    `json:"otherwise"`
}

type would struct {
	Fact  string   `json:"fact"`
	Name  string   `json:"name"`
	Be    string   `json:"be"`
	Now   string   `json:"now"`
	Look  *looking `json:"look"`
	Asks  []string `json:"asks"`
	Finer string   `json:"finer"`
}

// decode reads a published explanation; what it does not know it refuses.
func decode(data []byte) (*explanation, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	x := new(explanation)
	if err := d.Decode(x); err != nil {
		return nil, fmt.Errorf("this is no explanation: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, fmt.Errorf("something follows the explanation")
	}
	return x, nil
}
