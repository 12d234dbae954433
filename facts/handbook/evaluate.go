package handbook

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/source"
)

// A Value is one argument as it was used, or one result.
type Value struct {
	Name, Unit, Means string
	// Numbers in Unit: one, or one for each member of a list. NaN: the source
	// gives no figure. Empty for a word.
	Numbers   []float64
	Word      string // of a text argument or result
	Defaulted bool   // the argument was not given
	List      bool
	result    bool // printed rounded
}

func (v Value) figure(n float64) string {
	if v.result {
		return rounded(n, v.Unit)
	}
	return number(n)
}

// Text is the value as people read it: "16 µm", "clearance", "not given".
func (v Value) Text() string {
	if v.Word != "" || len(v.Numbers) == 0 {
		return v.Word
	}
	parts := make([]string, len(v.Numbers))
	for i, n := range v.Numbers {
		if parts[i] = v.figure(n); math.IsNaN(n) {
			parts[i] = "not given"
			if len(v.Numbers) == 1 {
				return parts[i]
			}
		}
	}
	return strings.Join(parts, "  ") + unitSuffix(v.Unit)
}

func unitSuffix(unit string) string {
	switch unit {
	case "", "text":
		return ""
	case "°":
		return unit
	}
	return " " + unit
}

// An Answer is what Evaluate found.
type Answer struct {
	Entry   *Entry
	Given   []Value // every argument, in the order of Entry.Params
	Results []Value // in the order of Entry.Results
}

// Evaluate calls the entry of that name with assignments as a person writes
// them: "nominal": "18 mm", "grade": "IT7", a list "thicknesses":
// "1.45 1.50 1.55 mm". As in an inspection, a number has its unit and a point
// for its decimals. Missing arguments take their defaults. All problems are told at once; each
// names the argument and what to write.
func Evaluate(name string, assignments map[string]string) (Answer, error) {
	e, ok := Lookup(name)
	if !ok {
		names := make([]string, 0, len(registry()))
		for _, e := range All() {
			names = append(names, e.Name)
		}
		return Answer{}, fmt.Errorf("the handbook has no entry %q\nhint: %s", name, meant(name, names, "whyworn handbook lists the entries"))
	}
	var problems []error
	misspelt := map[string]bool{} // an argument that is there under a name near its own
	known := make([]string, len(e.Params))
	for i, p := range e.Params {
		known[i] = p.Name
	}
	given := make([]string, 0, len(assignments))
	for k := range assignments {
		given = append(given, k)
	}
	slices.Sort(given)
	for _, k := range given {
		switch {
		case slices.Contains(known, k):
		case len(known) == 0:
			problems = append(problems, fmt.Errorf("%s takes no arguments, %q was given", name, k))
		default:
			if near, ok := source.Nearest(k, known); ok {
				misspelt[near] = true
			}
			problems = append(problems, fmt.Errorf("%s has no argument %q\nhint: %s", name, k, meant(k, known, "it takes "+strings.Join(known, ", "))))
		}
	}
	args := make([]Arg, len(e.Params))
	defaulted := make([]bool, len(e.Params))
	for i := range e.Params {
		p := &e.Params[i]
		text, ok := assignments[p.Name]
		if !ok {
			if args[i], ok = p.byDefault(); !ok && !misspelt[p.Name] {
				problems = append(problems, fmt.Errorf("%s needs %s, %s\nhint: write %s", name, p.Name, p.Means, p.Assignment()))
			}
			defaulted[i] = true
			continue
		}
		var err error
		if args[i], err = p.parse(text); err != nil {
			problems = append(problems, fmt.Errorf("%s=%s: %w", p.Name, text, err))
		}
	}
	if len(problems) > 0 {
		return Answer{}, errors.Join(problems...)
	}
	values, err := e.Call(args)
	if err != nil {
		return Answer{}, err
	}
	a := Answer{Entry: e}
	for i, p := range e.Params {
		v := Value{Name: p.Name, Unit: p.Unit, Means: p.Means, Defaulted: defaulted[i], List: p.List}
		switch {
		case p.Unit == "text":
			v.Word = args[i].Text
		case p.List:
			v.Numbers = args[i].List
		default:
			v.Numbers = []float64{args[i].Num}
		}
		a.Given = append(a.Given, v)
	}
	for i, vs := range e.Split(args, values) {
		r := e.Results[i]
		v := Value{Name: r.Name, Unit: r.Unit, Means: r.Means, List: r.List, result: true}
		if r.Unit == "text" {
			v.Word = r.Choices[int(vs[0])]
		} else {
			v.Numbers = vs
		}
		a.Results = append(a.Results, v)
	}
	return a, nil
}

// meant is a hint: the nearest word where one is near, and what there is.
func meant(s string, words []string, otherwise string) string {
	if near, ok := source.Nearest(s, words); ok {
		return "did you mean " + near + "? " + otherwise
	}
	return otherwise
}

func (p *Param) byDefault() (Arg, bool) {
	switch {
	case p.Unit == "text":
		return Arg{Text: p.DefaultText}, p.DefaultText != ""
	case p.Default == nil:
		return Arg{}, false
	}
	return Arg{Num: *p.Default}, true
}

// parse reads one argument as it is written.
func (p *Param) parse(text string) (Arg, error) {
	switch {
	case p.Unit == "text":
		return Arg{Text: strings.TrimSpace(text)}, nil
	case !p.List:
		v, err := p.number(text)
		return Arg{Num: v}, err
	}
	// A list is numbers with blanks between them and one unit behind the last:
	// "1.45 1.50 1.55 mm".
	if strings.Contains(text, ", ") || strings.Contains(text, ";") {
		return Arg{}, fmt.Errorf("the values of a list are parted by blanks\nhint: write %s", strings.Join(strings.Fields(strings.NewReplacer(",", " ", ";", " ").Replace(text)), " "))
	}
	words := strings.Fields(text)
	unit := ""
	for k, w := range words {
		if k > 0 && !strings.ContainsAny(w[:1], "0123456789+-−.") {
			unit, words = strings.Join(words[k:], " "), words[:k]
			break
		}
	}
	var a Arg
	for _, w := range words {
		v, err := p.number(strings.TrimSpace(w + " " + unit))
		if err != nil {
			return Arg{}, fmt.Errorf("in %q: %w", w, err)
		}
		a.List = append(a.List, v)
	}
	return a, nil
}

// number reads one number into the parameter's unit.
func (p *Param) number(text string) (float64, error) {
	want, err := measure.UnitOf(p.Unit)
	if err != nil {
		return 0, err // our own table; a test holds every symbol against measure
	}
	w, err := measure.ParseNumber(text, want)
	if err != nil {
		var te *measure.TextError
		if errors.As(err, &te) && te.Hint != "" {
			return 0, fmt.Errorf("%s\nhint: %s", te.Message, te.Hint)
		}
		return 0, err
	}
	if !w.Number.IsValue() {
		return 0, fmt.Errorf("one value is needed, not a range\nhint: ask once for each end of the range")
	}
	return tidy(want.FromBase(w.Number.Lo)), nil
}

// tidy takes off the last bits that going to base units and back leaves, so
// that 0.05 MPa is 0.05 MPa at the edge of a domain.
func tidy(v float64) float64 {
	s, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64)
	if err != nil {
		return v
	}
	return s
}

// Assignment is the argument with an example of its value, as a person writes
// it in a shell: "fit=18 H7/f7".
func (p *Param) Assignment() string {
	if v, err := strconv.Unquote(p.example()); err == nil {
		return strconv.Quote(p.Name + "=" + v)
	}
	return p.Name + "=" + p.example()
}

// example is a value of the domain as a person would write it.
func (p *Param) example() string {
	if p.Unit == "text" {
		if len(p.Choices) > 0 {
			return p.Choices[0]
		}
		return strconv.Quote(p.Example)
	}
	v := 1.0
	switch {
	case p.Default != nil:
		v = *p.Default
	case p.Lo > 1 || p.Hi < 1: // false for open bounds
		v = p.Lo
	}
	s := number(v)
	if p.List {
		s += " " + s
	}
	if p.List || p.Unit != "" {
		return strconv.Quote(strings.TrimSpace(s + " " + p.Unit))
	}
	return s
}
