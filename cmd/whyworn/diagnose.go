package main

import (
	"github.com/spf13/cobra"

	"whyworn/explain/answer"
	"whyworn/explain/tell"
)

func (a *app) diagnose() *cobra.Command {
	var long bool
	cmd := &cobra.Command{
		Use:   "diagnose INSPECTION",
		Short: "say what is wrong, where it began, what becomes of each part, what to look at next",
		Example: "  whyworn diagnose testdata/station/engine-2.toml\n" +
			"  whyworn diagnose --json inspection.json",
		Args: exactly("INSPECTION"),
		RunE: func(_ *cobra.Command, args []string) error {
			o, err := a.open(args[0])
			if err != nil {
				return err
			}
			return a.tellDiagnosis(o, long)
		},
	}
	longFlag(cmd, &long)
	a.inspectionFlags(cmd)
	return cmd
}

func longFlag(cmd *cobra.Command, long *bool) {
	cmd.Flags().BoolVar(long, "long", false, "with the evidence clue by clue, the steps of each remedy, every caution, and the ids that why takes")
}

func (a *app) tellDiagnosis(o *opened, long bool) error {
	c, err := o.run()
	if err != nil {
		return err
	}
	d := c.Diagnose()
	if a.json {
		return a.answer(answer.Diagnosis(d, o.ps))
	}
	return a.tell(o, func(p *tell.Page) { tell.Diagnosis(p, d, long) })
}
