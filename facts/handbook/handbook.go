// Package handbook holds published tables and formulas, each with its source.
//
// Start with [Lookup] for one entry by name, [All] for the list, [Evaluate] for
// "name=value unit" as a person types it, and [Render] for the page a person
// reads. A machine file that says "18 H7/f7" goes to [Fit], "18 H7" to
// [Tolerance].
//
// Limits. Tables interpolate between their lines where the entry says so and
// refuse outside them ([*OutOfDomain]); nothing is extrapolated. Where
// published sources disagree the entry gives the span, or names whose value it
// took. Figures recalled from a named publication rather than read are marked
// so in Source.
package handbook

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// A Param describes one argument or one result of an [Entry].
type Param struct {
	Name string // snake_case, unique among the arguments (or results) of its entry
	// Unit is the symbol of the unit the formula works in; "" is
	// dimensionless, "text" is a word.
	Unit string
	// Choices are the words a text parameter may be; nil with Unit "text" is
	// free text that the entry parses itself. A text result is the index of
	// its word in Choices.
	Choices []string
	Example string // of a text that the entry parses itself
	Means   string // what the symbol is, in a few words
	// Lo and Hi bound the domain; NaN leaves that side open. Both belong to
	// the domain unless LoOut (or HiOut) puts the bound itself outside.
	Lo, Hi       float64
	LoOut, HiOut bool
	Default      *float64 // taken when the argument is not given; nil: required
	DefaultText  string   // the same for text; "": required
	// Monotone tells how the first result moves when this argument grows and
	// the others stay: +1 never falls, -1 never rises, 0 unknown.
	Monotone int8
	// List marks an argument of any number of values (Arg.List), or a result
	// with one value for each member of the first List argument.
	List bool
}

// An Arg is one argument of a call, in the order of Entry.Params: Num for a
// number, Text for text, List for a list of numbers.
type Arg struct {
	Num  float64
	Text string
	List []float64
}

// An Entry is one table or formula.
type Entry struct {
	Name     string  // snake_case; how rules and the bench call it
	Title    string  // one line
	Formula  string  // plain text, indented lines where long
	Params   []Param // those with a default last: rules leave out from the end
	Results  []Param // rules use the first unless they call name.result
	Domain   string  // in words; the numbers stand with the parameters
	Source   string
	Cautions []string
	// Call computes in the units of Params and Results. A result is NaN where
	// the source gives no figure. An argument outside its domain is an
	// *OutOfDomain, the wrong number of arguments another error. List results
	// stand last; Split takes the values apart.
	Call func(args []Arg) ([]float64, error)
	// Work is Call for arguments that Check has given.
	Work func(args []Arg) ([]float64, error)
}

// OutOfDomain reports an argument for which the entry has no answer.
type OutOfDomain struct {
	Entry  string // name of the entry
	Param  string // name of the argument
	Value  string // as given, with its unit
	Domain string // what would have been taken
	Hint   string // what to do, may be empty
}

func (e *OutOfDomain) Error() string {
	s := fmt.Sprintf("%s: %s = %s is outside the domain: %s", e.Entry, e.Param, e.Value, e.Domain)
	if e.Hint != "" {
		s += "\nhint: " + e.Hint
	}
	return s
}

// MaxList is the most values one list argument may hold.
const MaxList = 64

// families lists the tables and formulas, one function for each file.
var families = []func() []*Entry{
	iso286GradeEntries, iso286FitEntries, threadEntries, threadPitchEntries, propertyClassEntries, tighteningEntries, torqueUnitEntries,
	tintEntries, temperEntries, hardnessEntries, oilEntries, annulusEntries, shaftFeedEntries, hertzEntries, wearEntries, rockerEntries, washerEntries,
	expansionEntries, limitEntries, valveGearEntries,
}

var registry = sync.OnceValue(func() map[string]*Entry {
	m := map[string]*Entry{}
	for _, f := range families {
		for _, e := range f() {
			if m[e.Name] != nil {
				panic("handbook: two entries are named " + e.Name)
			}
			m[e.Name] = e
		}
	}
	return m
})

// Lookup returns the entry of that exact name.
func Lookup(name string) (*Entry, bool) {
	e, ok := registry()[name]
	return e, ok
}

// All returns every entry, sorted by name. The entries are shared and must
// not be changed.
func All() []*Entry {
	out := make([]*Entry, 0, len(registry()))
	for _, e := range registry() {
		out = append(out, e)
	}
	slices.SortFunc(out, func(a, b *Entry) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// Split takes the values of a call apart, one slice for each result: one value
// for a plain result, n for a List result, n being the length of the first
// List argument.
func (e *Entry) Split(args []Arg, values []float64) [][]float64 {
	n := 0
	for i, p := range e.Params {
		if p.List && i < len(args) {
			n = len(args[i].List)
			break
		}
	}
	out := make([][]float64, len(e.Results))
	at := 0
	for i, r := range e.Results {
		w := 1
		if r.List {
			w = n
		}
		out[i], at = values[at:at+w], at+w
	}
	return out
}

// entry wraps f so that it sees only arguments inside the declared domain, and
// so that a formula never answers with an infinity.
func entry(e Entry, f func(a []Arg) ([]float64, error)) *Entry {
	p := &e
	p.Call = func(args []Arg) ([]float64, error) {
		if len(args) != len(p.Params) {
			return nil, fmt.Errorf("%s: %d arguments given, %d needed: %s", p.Name, len(args), len(p.Params), p.Signature())
		}
		// Words are put in the table's spelling; the caller's slice stays as it is.
		own := false
		for i := range args {
			a, changed, err := p.check(i, args[i])
			if err != nil {
				return nil, err
			}
			if changed && !own {
				args, own = slices.Clone(args), true
			}
			if changed {
				args[i] = a
			}
		}
		return p.Work(args)
	}
	p.Work = func(args []Arg) ([]float64, error) {
		out, err := f(args)
		if err != nil {
			return nil, p.own(err, args)
		}
		for i, v := range out {
			if math.IsInf(v, 0) {
				return nil, fmt.Errorf("%s: result %d is too large to be a number; check the arguments", p.Name, i+1)
			}
		}
		return out, nil
	}
	return p
}

// own puts the entry's name and the argument's value into an OutOfDomain that
// a formula made without knowing either.
func (e *Entry) own(err error, args []Arg) error {
	o, ok := err.(*OutOfDomain)
	if !ok {
		return fmt.Errorf("%s: %w", e.Name, err)
	}
	o.Entry = e.Name
	for i, p := range e.Params {
		if p.Name == o.Param && o.Value == "" {
			o.Value = p.show(args[i])
		}
	}
	return o
}

// refuse is the OutOfDomain of a formula; entry fills name and value.
func refuse(param, domain, hint string) error {
	return &OutOfDomain{Param: param, Domain: domain, Hint: hint}
}

// Check is argument i as the formula sees it; false outside its domain.
func (e *Entry) Check(i int, a Arg) (Arg, bool) {
	a, _, err := e.check(i, a)
	return a, err == nil
}

// check is an argument as the formula sees it, and whether that is another than
// was given.
func (e *Entry) check(i int, a Arg) (as Arg, changed bool, err error) {
	p := &e.Params[i]
	out := func(value, domain, hint string) (Arg, bool, error) {
		return a, false, &OutOfDomain{Entry: e.Name, Param: p.Name, Value: value, Domain: domain, Hint: hint}
	}
	switch {
	case p.Unit == "text":
		if p.Choices == nil {
			return a, false, nil
		}
		for _, c := range p.Choices {
			if fold(c) == fold(a.Text) {
				changed = a.Text != c
				a.Text = c
				return a, changed, nil
			}
		}
		hint := "did you mean " + strconv.Quote(nearest(a.Text, p.Choices)) + "?"
		return out(strconv.Quote(a.Text), "one of "+p.DomainText(), hint)
	case p.List:
		if len(a.List) == 0 || len(a.List) > MaxList {
			return out(fmt.Sprintf("%d values", len(a.List)), fmt.Sprintf("1 to %d values", MaxList), "")
		}
		for k, v := range a.List {
			on := p.snap(v)
			if on != v && !changed { // the caller's list stays as it is
				a.List, changed = slices.Clone(a.List), true
			}
			if changed {
				a.List[k] = on
			}
			if !p.holds(on) {
				return out(fmt.Sprintf("%s (value %d)", withUnit(v, p.Unit), k+1), p.DomainText(), "")
			}
		}
	default:
		on := p.snap(a.Num)
		changed = on != a.Num
		if a.Num = on; !p.holds(on) {
			return out(withUnit(on, p.Unit), p.DomainText(), "")
		}
	}
	return a, changed, nil
}

// snap puts a number on a bound from which only the rounding of a change of
// unit parts it, so that 400 °C from 673.15 K is still up to 400 °C.
func (p *Param) snap(v float64) float64 {
	for _, bound := range [2]float64{p.Lo, p.Hi} {
		if math.Abs(v-bound) <= 1e-12*max(1, math.Abs(bound)) { // false for NaN
			return bound
		}
	}
	return v
}

func (p *Param) holds(v float64) bool {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return false
	}
	if v < p.Lo || v > p.Hi { // false for NaN bounds
		return false
	}
	return !(p.LoOut && v == p.Lo) && !(p.HiOut && v == p.Hi)
}

// DomainText tells in words what the parameter may be.
func (p *Param) DomainText() string {
	if p.Unit == "text" {
		if p.Choices == nil {
			return "text"
		}
		if strings.Contains(strings.Join(p.Choices, ""), ",") {
			return strings.Join(p.Choices, "; ")
		}
		return strings.Join(p.Choices, ", ")
	}
	lo, hi := !math.IsNaN(p.Lo), !math.IsNaN(p.Hi)
	from, to := "from", "to"
	if p.LoOut {
		from = "over"
	}
	if p.HiOut {
		to = "under"
	}
	switch {
	case lo && hi:
		return fmt.Sprintf("%s %s %s %s", from, number(p.Lo), to, withUnit(p.Hi, p.Unit))
	case lo:
		return from + " " + withUnit(p.Lo, p.Unit)
	case hi:
		if p.HiOut {
			return "under " + withUnit(p.Hi, p.Unit)
		}
		return "up to " + withUnit(p.Hi, p.Unit)
	}
	return "any number"
}

// Signature is the call as it is written: name(argument unit, …).
func (e *Entry) Signature() string {
	var parts []string
	for _, p := range e.Params {
		s := p.Name
		if p.Unit != "" {
			s += " " + p.Unit
		}
		if p.List {
			s += " …"
		}
		parts = append(parts, s)
	}
	return e.Name + "(" + strings.Join(parts, ", ") + ")"
}

func (p *Param) show(a Arg) string {
	switch {
	case p.Unit == "text":
		return strconv.Quote(a.Text)
	case p.List:
		parts := make([]string, len(a.List))
		for i, v := range a.List {
			parts[i] = number(v)
		}
		return strings.TrimSpace(strings.Join(parts, " ") + " " + p.Unit)
	}
	return withUnit(a.Num, p.Unit)
}

func withUnit(v float64, unit string) string {
	if unit == "" || unit == "text" {
		return number(v)
	}
	return number(v) + " " + unit
}

// number prints six figures and no more zeros than needed; an exponent only
// below 0.0001 and from 1e9 on.
func number(v float64) string {
	six, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if a := math.Abs(six); a != 0 && a < 1e-4 || a >= 1e9 || math.IsNaN(a) {
		return strconv.FormatFloat(six, 'g', -1, 64)
	}
	return strconv.FormatFloat(six, 'f', -1, 64)
}

// rounded prints a result: sizes with six figures, everything else with four,
// but never less than its whole number.
func rounded(v float64, unit string) string {
	switch unit {
	case "mm", "µm":
		return number(v)
	}
	if a := math.Abs(v); a >= 1000 && a < 1e9 {
		return strconv.FormatFloat(math.Round(v), 'f', -1, 64)
	}
	four, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	return number(four)
}

// Constructors that keep the entries short. open is an open bound.
var open = math.NaN()

func num(name, unit, means string, lo, hi float64) Param {
	return Param{Name: name, Unit: unit, Means: means, Lo: lo, Hi: hi}
}

// positive is a number over 0 without an upper bound.
func positive(name, unit, means string) Param {
	return Param{Name: name, Unit: unit, Means: means, Lo: 0, Hi: open, LoOut: true}
}

// anyNumber is unbounded: the usual form of a result.
func anyNumber(name, unit, means string) Param { return num(name, unit, means, open, open) }

func word(name, means string, choices ...string) Param {
	return Param{Name: name, Unit: "text", Choices: choices, Means: means, Lo: open, Hi: open}
}

func (p Param) like(example string) Param      { p.Example = example; return p }
func (p Param) rises() Param                   { p.Monotone = +1; return p }
func (p Param) falls() Param                   { p.Monotone = -1; return p }
func (p Param) or(v float64) Param             { p.Default = &v; return p }
func (p Param) orText(v string) Param          { p.DefaultText = v; return p }
func (p Param) many() Param                    { p.List = true; return p }
func one(v float64) ([]float64, error)         { return []float64{v}, nil }
func yes(b bool) float64                       { return map[bool]float64{false: 0, true: 1}[b] }
func noYes(name, means string) Param           { return word(name, means, "no", "yes") }
func indexOf(words []string, w string) float64 { return float64(slices.Index(words, w)) }

// unknown takes back a claim about Monotone, for a parameter used elsewhere.
func (p Param) unknown() Param { p.Monotone = 0; return p }
