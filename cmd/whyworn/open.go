package main

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"whyworn/engine"
	"whyworn/explain"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/packs"
)

// opened is one inspection with all that is needed to run it.
type opened struct {
	facts   *rules.Facts
	program *engine.Program
	folder  fs.FS           // of the inspection, for photographs; nil from standard input
	ps      source.Problems // warnings
}

// open reads an inspection, its machine and its pack, and fits them. All
// problems of all of them are told together, in file order.
func (a *app) open(path string) (*opened, error) {
	in, ps := facts.ReadInspectionFile(path)
	if in == nil {
		return nil, ps
	}
	var folder fs.FS
	if path != "-" {
		folder = os.DirFS(filepath.Dir(path))
	}
	m, more := a.openMachine(path, in)
	ps = append(ps, more...)
	return a.fit(m, in, folder, ps)
}

func (a *app) openMachine(path string, in *facts.Inspection) (*facts.Machine, source.Problems) {
	file := a.machine
	if file == "" && in.Machine.Text == "" {
		return nil, nil // that it is missing is told already
	}
	if file == "" {
		f, problem := facts.FindMachine(path, in.Machine.Text)
		if problem != nil {
			if problem.At.IsZero() {
				problem.At = in.Machine.At
			}
			return nil, source.Problems{problem}
		}
		return facts.ParseMachine(f)
	}
	return facts.ReadMachineFile(file)
}

// fit loads the pack and fits machine and inspection to it.
func (a *app) fit(m *facts.Machine, in *facts.Inspection, folder fs.FS, ps source.Problems) (*opened, error) {
	if m == nil {
		ps.Sort()
		return nil, ps
	}
	pack, more := a.pack(m.Pack)
	ps = append(ps, more...)
	if pack == nil {
		ps.Sort()
		return nil, ps
	}
	f, more := rules.Fit(pack, m, in)
	ps = append(ps, more...)
	ps.Add(ahead(in, today()))
	ps.Sort()
	ps.Dedupe()
	if ps.HasErrors() {
		return nil, ps
	}
	program, more := engine.Compile(pack)
	ps = append(ps, more...)
	if program == nil {
		return nil, ps
	}
	return &opened{f, program, folder, warnings(ps)}, nil
}

// warnings leaves out those of the pack, which are its author's affair.
func warnings(ps source.Problems) source.Problems {
	var out source.Problems
	for _, p := range ps {
		if p.Warning {
			out = append(out, p)
		}
	}
	return out
}

// pack loads the pack told by --pack, else the one the machine names.
func (a *app) pack(wanted facts.Word) (*rules.Pack, source.Problems) {
	switch {
	case a.packDir == "":
		p, ps := packs.Load(wanted.Text)
		for _, x := range ps {
			if x.At.IsZero() {
				x.At = wanted.At
			}
		}
		return p, ps.Errors()
	case !strings.ContainsAny(a.packDir, `/\.`):
		if _, shipped := packs.Folder(a.packDir); shipped {
			return packs.Load(a.packDir)
		}
	}
	p, ps := loadFolder(a.packDir)
	return p, ps.Errors()
}

// run runs what was opened.
func (o *opened) run() (*explain.Case, error) {
	s := o.program.Bind(o.facts)
	s.Run()
	r := s.Result()
	if r.Overrun != nil {
		return nil, r.Overrun
	}
	return explain.New(o.program, r), nil
}

// problems tells problems on standard error, as JSON when answers are JSON.
func (a *app) problems(ps source.Problems) {
	if a.json {
		e := json.NewEncoder(a.errs)
		e.SetEscapeHTML(false)
		e.Encode(map[string]source.Problems{"problems": ps})
		return
	}
	source.Write(a.errs, ps, source.Options{})
}

// answer writes v as indented JSON.
func (a *app) answer(v any) error {
	e := json.NewEncoder(a.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// openForMany opens the machine told by --machine and its pack, for a command
// that runs many inspections of it.
func (a *app) openForMany(command string) (*rules.Layout, *engine.Program, error) {
	if a.machine == "" {
		p := &source.Problem{Code: callCode, Message: command + " needs the machine"}
		return nil, nil, source.Problems{p.Hint("give --machine FILE")}
	}
	f, problem := source.ReadFile(a.machine)
	if problem != nil {
		return nil, nil, source.Problems{problem}
	}
	m, ps := facts.ParseMachine(f)
	if m == nil || ps.HasErrors() {
		return nil, nil, ps
	}
	pack, more := a.pack(m.Pack)
	if ps = append(ps, more...); pack == nil || ps.HasErrors() {
		return nil, nil, ps
	}
	layout, more := rules.Assemble(pack, m)
	if ps = append(ps, more...); ps.HasErrors() {
		return nil, nil, ps
	}
	program, more := engine.Compile(pack)
	if program == nil {
		return nil, nil, append(ps, more...)
	}
	return layout, program, nil
}
