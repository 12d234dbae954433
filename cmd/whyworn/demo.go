package main

import (
	"io/fs"

	"github.com/spf13/cobra"

	"whyworn/explain/tell"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/testdata"
)

func (a *app) demo() *cobra.Command {
	var long bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "diagnose the built-in inspection and explain it; needs nothing but the binary",
		Args:  exactly(),
		RunE: func(*cobra.Command, []string) error {
			o, err := a.openDemo("engine-2.toml")
			if err != nil {
				return err
			}
			if err := a.tellDiagnosis(o, long); err != nil || a.json {
				return err
			}
			return a.tellWhy(o)
		},
	}
	longFlag(cmd, &long)
	a.outputFlags(cmd)
	return cmd
}

// openDemo opens an inspection of the built-in station.
func (a *app) openDemo(name string) (*opened, error) {
	const folder = "testdata/station/"
	station, err := fs.Sub(testdata.Station, "station")
	if err != nil {
		return nil, err
	}
	var ps source.Problems
	read := func(name string) *source.File {
		f, problem := source.ReadFS(station, name, folder+name)
		ps.Add(problem)
		return f
	}
	mf, inf := read("machine.toml"), read(name)
	if ps.HasErrors() {
		return nil, ps
	}
	m, ps := facts.ParseMachine(mf)
	root, more := tomlfile.Parse(inf)
	ps = append(ps, more...)
	if root == nil {
		return nil, ps
	}
	in, more := facts.ReadInspection(inf, root)
	return a.fit(m, in, station, append(ps, more...))
}

// tellWhy explains the first thing of the story that evidence, not one rule,
// decided: the why a newcomer would ask for next.
func (a *app) tellWhy(o *opened) error {
	c, err := o.run()
	if err != nil {
		return err
	}
	for _, k := range c.Story().Chains {
		for _, f := range k.Findings {
			if !f.Decided || f.Certain {
				continue
			}
			p := tell.NewPage(a.pageWidth())
			p.Head("why: " + c.FactName(f.FactID))
			tell.Why(p, c.Why(f.FactID))
			_, err := p.WriteTo(a.out)
			return err
		}
	}
	return nil
}
