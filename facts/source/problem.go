package source

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// Problem is one fault, told to the person who wrote the file.
type Problem struct {
	Code      Code
	At        Span     // the tight spot; nowhere for a fault without a place
	Message   string   // one lower-case line without a full stop: what is wrong
	Hints     []string // what to do about it, one line each
	Other     Span     // the other place of a clash
	OtherSays string   // what stands at Other, "first written here"
	Warning   bool     // told, but stops nothing
}

// Error returns one line: file:line:col: message [code].
func (p *Problem) Error() string {
	var b strings.Builder
	if !p.At.IsZero() {
		b.WriteString(Escape(p.At.String()))
		b.WriteString(": ")
	}
	if p.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(Escape(clip(p.Message)))
	b.WriteString(" [")
	b.WriteString(string(p.Code))
	b.WriteByte(']')
	return b.String()
}

// Hint adds a line that says what to do, and returns p.
func (p *Problem) Hint(format string, args ...any) *Problem {
	if len(args) > 0 {
		format = fmt.Sprintf(format, args...)
	}
	p.Hints = append(p.Hints, format)
	return p
}

// DidYouMean adds a hint with the name among those given that is nearest to
// word, if one is near enough, and returns p.
func (p *Problem) DidYouMean(word string, among []string) *Problem {
	if name, ok := Nearest(word, among); ok {
		p.Hint("did you mean %q?", name)
	}
	return p
}

// Beside sets the other place of a clash and what stands there, and returns p.
func (p *Problem) Beside(at Span, says string) *Problem {
	p.Other, p.OtherSays = at, says
	return p
}

// Warn makes p a warning and returns it.
func (p *Problem) Warn() *Problem {
	p.Warning = true
	return p
}

type placeJSON struct {
	File string `json:"file"`
	Line int    `json:"line,omitempty"` // from 1; left out when the file has no text
	Col  int    `json:"col,omitempty"`  // from 1, in runes
	Says string `json:"says,omitempty"`
}

func (s Span) place(says string) *placeJSON {
	if s.IsZero() {
		return nil
	}
	p := &placeJSON{File: s.File.Name, Says: says}
	if s.File.Data != nil {
		p.Line, p.Col = s.LineCol()
	}
	return p
}

// MarshalJSON writes code, message, file, line, col, hints, warning and other
// (file, line, col, says), leaving out what does not apply. Of a long text the beginning is written.
func (p *Problem) MarshalJSON() ([]byte, error) {
	var at placeJSON
	if place := p.At.place(""); place != nil {
		at = *place
	}
	hints := make([]string, len(p.Hints))
	for i, hint := range p.Hints {
		hints[i] = clip(hint)
	}
	return json.Marshal(struct {
		Code    Code       `json:"code"`
		Message string     `json:"message"`
		File    string     `json:"file,omitempty"`
		Line    int        `json:"line,omitempty"`
		Col     int        `json:"col,omitempty"`
		Warning bool       `json:"warning,omitempty"`
		Hints   []string   `json:"hints,omitempty"`
		Other   *placeJSON `json:"other,omitempty"`
	}{p.Code, clip(p.Message), at.File, at.Line, at.Col, p.Warning, hints, p.Other.place(p.OtherSays)})
}

// Problems is a list of problems. As an error it tells the first one and how
// many more there are.
type Problems []*Problem

// Add appends problems; nil ones are left out.
func (ps *Problems) Add(more ...*Problem) {
	for _, p := range more {
		if p != nil {
			*ps = append(*ps, p)
		}
	}
}

// Addf appends a problem and returns it, so that hints can follow.
func (ps *Problems) Addf(code Code, at Span, format string, args ...any) *Problem {
	if len(args) > 0 {
		format = fmt.Sprintf(format, args...)
	}
	p := &Problem{Code: code, At: at, Message: format}
	*ps = append(*ps, p)
	return p
}

// Sort puts problems in file order: files as they were first read, then by
// offset, then by code and message. Problems without a place come first.
func (ps Problems) Sort() {
	slices.SortStableFunc(ps, func(a, b *Problem) int {
		return cmp.Or(
			cmp.Compare(a.At.rank(), b.At.rank()),
			cmp.Compare(a.At.Start, b.At.Start),
			cmp.Compare(a.Code, b.Code),
			cmp.Compare(a.At.End, b.At.End),
			cmp.Compare(a.Message, b.Message),
		)
	})
}

func (s Span) rank() int64 {
	if s.File == nil {
		return 0
	}
	return s.File.order
}

// Dedupe drops repeats: problems with the code, place and message of an earlier
// one. The order stays.
func (ps *Problems) Dedupe() {
	type key struct {
		code    Code
		at      Span
		message string
	}
	seen := make(map[key]bool, len(*ps))
	*ps = slices.DeleteFunc(*ps, func(p *Problem) bool {
		k := key{p.Code, p.At, p.Message}
		again := seen[k]
		seen[k] = true
		return again
	})
}

// Errors returns the problems that are not warnings.
func (ps Problems) Errors() Problems {
	var errs Problems
	for _, p := range ps {
		if !p.Warning {
			errs = append(errs, p)
		}
	}
	return errs
}

// HasErrors tells whether any problem is more than a warning.
func (ps Problems) HasErrors() bool {
	return slices.ContainsFunc(ps, func(p *Problem) bool { return !p.Warning })
}

// Err returns nil when there are only warnings or nothing at all, and otherwise
// an error that is the Problems without the warnings.
func (ps Problems) Err() error {
	if errs := ps.Errors(); len(errs) > 0 {
		return errs
	}
	return nil
}

// Error returns the first problem and the number of the others, on one line.
func (ps Problems) Error() string {
	switch len(ps) {
	case 0:
		return "no problems"
	case 1:
		return ps[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", ps[0].Error(), len(ps)-1)
}
