package main

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"whyworn/explain"
	"whyworn/explain/questions"
	"whyworn/explain/tell"
	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/facts/written"
	"whyworn/rules"
	"whyworn/rules/packs"
)

func (a *app) questions() *cobra.Command {
	var long bool
	cmd := &cobra.Command{
		Use:   "questions PACK|MACHINE|INSPECTION [PART|KIND]",
		Short: "say what can be answered of each part, and what the pack knows",
		Long: `Lists kinds of parts with their parts, questions, choices, units and stages, and
what the pack can conclude of them; words of frequency and cautions too. PACK is
the name of one that ships or a folder. Of an inspection it also shows what was
answered.`,
		Example: "  whyworn questions testdata/station/machine.toml\n" +
			"  whyworn questions testdata/station/machine.toml seat_2ex\n" +
			"  whyworn questions rocker_gear rocker_arm",
		Args: exactly("PACK|MACHINE|INSPECTION", "[PART|KIND]"),
		RunE: func(_ *cobra.Command, args []string) error {
			asked, err := a.askedOf(args[0])
			if err != nil {
				return err
			}
			s := questions.Of(asked)
			if len(args) == 2 {
				k, part, err := explain.PartOrKind(asked.Pack, asked.Layout, args[1])
				if err != nil {
					return callProblem(err)
				}
				s = questions.OfOne(asked, k, part)
			}
			if a.json {
				return a.answer(s)
			}
			p := tell.NewPage(a.pageWidth())
			tell.Questions(p, s, long)
			_, err = p.WriteTo(a.out)
			return err
		},
	}
	cmd.Flags().BoolVar(&long, "long", false, "every kind in full")
	a.inspectionFlags(cmd)
	return cmd
}

// askedOf opens a pack, a machine file or an inspection.
func (a *app) askedOf(name string) (questions.Asked, error) {
	var none questions.Asked
	if _, shipped := packs.Folder(name); shipped || isFolder(name) {
		pack, ps := loadPack(name)
		if pack == nil {
			return none, ps.Errors()
		}
		return questions.Asked{Pack: pack}, nil
	}
	if !strings.ContainsRune(filepath.Base(name), '.') && noFolder(name) {
		_, ps := loadFolder(name) // a pack was meant
		return none, ps
	}
	f, problem := source.ReadFile(name)
	if problem != nil {
		return none, source.Problems{problem}
	}
	if !isMachine(f) {
		o, err := a.open(name)
		if err != nil {
			return none, err
		}
		return questions.Asked{Pack: o.facts.Pack, Layout: o.facts.Layout, Facts: o.facts}, nil
	}
	m, ps := facts.ParseMachine(f)
	if m == nil || ps.HasErrors() {
		return none, ps
	}
	pack, more := a.pack(m.Pack)
	if ps = append(ps, more...); pack == nil {
		return none, ps
	}
	layout, more := rules.Assemble(pack, m)
	if ps = append(ps, more...); ps.HasErrors() {
		return none, ps
	}
	return questions.Asked{Pack: pack, Layout: layout}, nil
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// isMachine tells a machine file, which has a table [machine], from an
// inspection, which names its machine.
func isMachine(f *source.File) bool {
	if filepath.Ext(f.Name) == ".json" {
		return false
	}
	root, _ := tomlfile.Parse(f)
	n := root.Get("machine")
	return n != nil && n.Kind == written.Table
}
