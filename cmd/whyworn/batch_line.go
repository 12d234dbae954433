package main

import (
	"bytes"
	"fmt"
	"time"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts"
	"whyworn/facts/jsonfile"
	"whyworn/facts/source"
	"whyworn/rules"
)

// lineRunner runs inspections of one machine, each a line of JSON, one after the
// other in the same memory. Not for several goroutines.
type lineRunner struct {
	input    string // its name, for places
	today    time.Time
	program  *engine.Program
	fitter   *rules.Fitter
	sessions map[*rules.Layout]*engine.Session // work that lines tell of makes layouts of its own
	result   record.Result
}

const mostSessions = 16 // that are kept

func newLineRunner(l *rules.Layout, p *engine.Program) *lineRunner {
	return &lineRunner{input: "-", today: today(), program: p, fitter: rules.NewFitter(l), sessions: map[*rules.Layout]*engine.Session{}}
}

// fit reads and fits one line; nil where there are errors. The facts hold until
// the next line.
func (x *lineRunner) fit(number int, line []byte) (*rules.Facts, source.Problems) {
	if len(line) > mostLine {
		p := &source.Problem{Code: source.TooLarge, At: x.line(number)}
		p.Message = fmt.Sprintf("is longer than %d KiB, the most that is read", mostLine>>10)
		return nil, source.Problems{p.Hint("give one inspection a line, ended by a line break")}
	}
	file := source.NewFile(x.input, bytes.TrimRight(line, "\r\n"))
	file.FirstLine = number
	root, ps := jsonfile.Parse(file)
	if root == nil || ps.HasErrors() {
		return nil, ps
	}
	in, more := facts.ReadInspection(file, root)
	if ps = append(ps, more...); ps.HasErrors() {
		return nil, ps
	}
	f, more := x.fitter.Fit(in)
	ps.Add(ahead(in, x.today))
	if ps = append(ps, more...); ps.HasErrors() {
		ps.Sort()
		return nil, ps
	}
	return f, ps
}

// line is a line of the input as a whole.
func (x *lineRunner) line(number int) source.Span {
	file := source.NewFile(x.input, []byte{})
	file.FirstLine = number
	return file.At(0, 0)
}

// run runs the facts in the session of their layout. The result holds until the
// next line.
func (x *lineRunner) run(f *rules.Facts) *record.Result {
	s := x.sessions[f.Layout]
	if s != nil {
		s.Take(f)
	} else {
		if len(x.sessions) == mostSessions {
			clear(x.sessions)
		}
		s = x.program.Bind(f)
		x.sessions[f.Layout] = s
	}
	s.Run()
	s.ResultInto(&x.result)
	return &x.result
}
