package main

import (
	"io/fs"

	"github.com/spf13/cobra"

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
			return a.tellDiagnosis(o, long)
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
	m, ps := parseMachine(mf)
	root, more := tomlfile.Parse(inf)
	ps = append(ps, more...)
	if root == nil {
		return nil, ps
	}
	in, more := facts.ReadInspection(inf, root)
	return a.fit(m, in, station, append(ps, more...))
}
