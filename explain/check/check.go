// Package check is the verifier of explanations. It takes an explanation as it
// is published, as JSON, and replays it from the observations and the text of
// the pack: start with [New] for an inspection, then [Checker.Verify].
//
// Every fact, value, condition, weight, sum and text told must be so, nothing
// that bears on a step may be left out unsaid, and every step must rest on steps
// that come before it (replay.go, ways.go, condition.go; changes.go for what would
// change an answer). What is so it takes from package meaning, which works it out
// by itself, sharing nothing with what is verified. The shape of an account and the words for a value,
// packages account and words, are shared: a text is made again from the values
// worked out here.
//
// Limits: that no smaller set of observations would change an answer, and how
// many were tried, is believed; of the reasons for what is unknown any that holds
// will do.
package check

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strings"

	"whyworn/engine/meaning"
	"whyworn/explain/account"
	"whyworn/explain/words"
	"whyworn/rules"
)

// Fault is one thing in an explanation that is not so.
type Fault struct {
	Step  int    // the step, counted from 1; 0 = of the explanation as a whole
	Where string // the field, as in steps[2].ways[0].if[1].state
	What  string
}

func (f Fault) String() string {
	if f.Where == "" {
		return f.What
	}
	return f.Where + ": " + f.What
}

// Checker verifies explanations of one inspection. It is not safe for
// concurrent use.
type Checker struct {
	w      *meaning.World
	say    *words.Words
	x      *account.Explanation
	faults []Fault
	step   int                       // being replayed, counted from 1
	others map[string]*meaning.World // with observations otherwise than they are
}

// New works out what holds of an inspection.
func New(pack *rules.Pack, f *rules.Facts) *Checker {
	w := meaning.New(pack, f)
	return &Checker{w: w, say: words.New(w, f), others: map[string]*meaning.World{}}
}

// mostFaults is how many faults of one explanation are told.
const mostFaults = 50

// Verify replays one explanation.
func (k *Checker) Verify(data []byte) []Fault {
	k.faults, k.step = nil, 0
	k.x = &account.Explanation{}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	err := d.Decode(k.x)
	if _, after := d.Token(); err != nil || after != io.EOF {
		return []Fault{{What: fmt.Sprintf("this is no explanation, or something follows it: %v", err)}}
	}
	k.whole()
	for i := range k.x.Steps {
		k.step = i + 1
		k.replay(&k.x.Steps[i])
	}
	return k.faults
}

func (k *Checker) fault(where, format string, args ...any) {
	if len(k.faults) < mostFaults {
		k.faults = append(k.faults, Fault{k.step, where, fmt.Sprintf(format, args...)})
	}
}

// whole checks what is told of pack and inspection, and that the steps are those
// asked for and what they rest on.
func (k *Checker) whole() {
	x := k.x
	k.same("explanation", *x, *k.say.Header(x.Question), "asked", "steps", "changes")
	if x.Question != "why" && x.Question != "whynot" {
		k.fault("question", "%q is no question", x.Question)
	}
	if len(x.Asked) == 0 && len(x.Steps) > 0 {
		k.fault("asked", "nothing is asked")
	}
	for i, n := range x.Asked {
		if n != i+1 || n > len(x.Steps) {
			k.fault("asked", "steps asked for are the first, each once; this is %d", n)
		}
	}
	rested, told := map[int]bool{}, map[string]int{} // what steps rest on; where a fact is told, from 1
	for i := range x.Steps {
		s, where := &x.Steps[i], fmt.Sprintf("steps[%d]", i)
		if i >= len(x.Asked) && !rested[i+1] {
			k.fault(where, "nothing that is asked rests on it")
		}
		id := s.Fact
		for w := range s.Ways {
			if s.Sort == account.SortRemedy {
				id = fmt.Sprint(id, s.Ways[w].Bound)
			}
			for _, c := range s.Ways[w].Conditions() {
				for _, r := range c.Reads {
					rested[r.Step] = true
				}
			}
		}
		if told[id] > 0 {
			k.fault(where+".fact", "%s is told twice, first in steps[%d]", id, told[id]-1)
		}
		told[id] = i + 1
	}
	if x.Changes != nil && x.Question != "whynot" {
		k.fault("changes", "only whynot tells what would change the answer")
	}
	k.changes()
}

// same compares what is told with what is so, field by field; fields named in
// but are not compared.
func (k *Checker) same(where string, told, so any, but ...string) {
	k.compare(where, reflect.ValueOf(told), reflect.ValueOf(so), but)
}

func (k *Checker) compare(where string, told, so reflect.Value, but []string) {
	switch told.Kind() {
	case reflect.Pointer:
		if told.IsNil() != so.IsNil() {
			k.fault(where, "%s", map[bool]string{true: "is left out", false: "is told, and there is none"}[told.IsNil()])
		} else if !told.IsNil() {
			k.compare(where, told.Elem(), so.Elem(), but)
		}
	case reflect.Struct:
		for i := range told.NumField() {
			if name, _, _ := strings.Cut(told.Type().Field(i).Tag.Get("json"), ","); !slices.Contains(but, name) {
				k.compare(where+"."+name, told.Field(i), so.Field(i), but)
			}
		}
	case reflect.Slice:
		if told.Len() != so.Len() {
			k.fault(where, "%d are told, there are %d", told.Len(), so.Len())
			return
		}
		for i := range told.Len() {
			k.compare(fmt.Sprintf("%s[%d]", where, i), told.Index(i), so.Index(i), but)
		}
	case reflect.Float64:
		if x, y := told.Float(), so.Float(); !near(x, y) {
			k.fault(where, "%v is told, it is %v", x, y)
		}
	default:
		if told.Interface() != so.Interface() {
			k.fault(where, "%q is told, it is %q", fmt.Sprint(told), fmt.Sprint(so))
		}
	}
}

// near tells whether two numbers are the same but for rounding: the order in
// which an uncertainty is summed is nobody's promise.
func near(x, y float64) bool {
	return x == y || !math.IsInf(x-y, 0) && math.Abs(x-y) <= 1e-9*max(math.Abs(x), math.Abs(y))
}
