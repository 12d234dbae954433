package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"whyworn/explain"
	"whyworn/explain/account"
	"whyworn/explain/answer"
	"whyworn/explain/tell"
	"whyworn/facts/source"
)

const askedHelp = `What can be asked about:
  seat_2ex.overheated    a finding or a computed number of one part
  shaft_seat.overheated  the same of every part of a kind
  seat_2ex               a part: what becomes of it and what is held of it
  shaft_seat             the same of every part of a kind
  clear-the-feed         a remedy
  (nothing)              the whole inspection
Names as they are printed do too, in quotes: "seat 2ex: overheated, steel changed".`

func (a *app) why() *cobra.Command {
	return a.question("why", "say why a finding, number, verdict or remedy came out, down to the observations",
		"  whyworn why testdata/station/engine-2.toml shaft.oil_starved\n"+
			"  whyworn why --for learner testdata/station/engine-2.toml seat_2ex.overheated",
		(*explain.Case).WhyAsked, tell.Why)
}

func (a *app) whynot() *cobra.Command {
	return a.question("whynot", "say what speaks against a finding or is missing for it, and what would change the answer",
		"  whyworn whynot testdata/station/engine-2.toml arm_2in.replace",
		(*explain.Case).WhyNotAsked, tell.WhyNot)
}

// question makes a command that asks about something of an inspection.
func (a *app) question(name, short, example string, ask func(*explain.Case, *explain.Asked) *account.Explanation, write func(*tell.Page, *account.Explanation)) *cobra.Command {
	var reader string
	cmd := &cobra.Command{
		Use:     name + " INSPECTION [PART.FINDING]",
		Short:   short,
		Long:    short + ".\n\n" + askedHelp,
		Example: example,
		Args:    exactly("INSPECTION", "[PART.FINDING]"),
		RunE: func(_ *cobra.Command, args []string) error {
			writer, err := tellingFor(reader, write)
			if err != nil {
				return err
			}
			o, c, err := a.openAndRun(args[0])
			if err != nil {
				return err
			}
			asked, err := c.Ask(append(args, "")[1])
			if err != nil {
				return callProblem(err)
			}
			x := ask(c, asked)
			if a.json {
				return a.answer(x)
			}
			return a.tell(o, func(p *tell.Page) { writer(p, x) })
		},
	}
	cmd.Flags().StringVar(&reader, "for", "", "whom it is told: learner or note (plain if left out)")
	a.inspectionFlags(cmd)
	return cmd
}

func tellingFor(reader string, plain func(*tell.Page, *account.Explanation)) (func(*tell.Page, *account.Explanation), error) {
	switch reader {
	case "":
		return plain, nil
	case "learner":
		return tell.Learner, nil
	case "note":
		return tell.ForNote, nil
	}
	p := &source.Problem{Code: callCode, Message: fmt.Sprintf("--for %s: there is no such telling", reader)}
	return nil, source.Problems{p.DidYouMean(reader, []string{"learner", "note"}).Hint("tellings are learner and note")}
}

// callProblem makes a problem of a question that cannot be asked.
func callProblem(err error) error {
	var c *explain.CallError
	if !errors.As(err, &c) {
		return err
	}
	return source.Problems{{Code: callCode, Message: c.Message, Hints: c.Hints}}
}

// openAndRun opens an inspection and runs it.
func (a *app) openAndRun(path string) (*opened, *explain.Case, error) {
	o, err := a.open(path)
	if err != nil {
		return nil, nil, err
	}
	c, err := o.run()
	return o, c, err
}

// tell writes a page, warnings of what was opened first.
func (a *app) tell(o *opened, write func(*tell.Page)) error {
	a.warn(o.ps)
	p := tell.NewPage(a.pageWidth())
	write(p)
	_, err := p.WriteTo(a.out)
	return err
}

// warn tells warnings on standard error.
func (a *app) warn(ps source.Problems) {
	if len(ps) > 0 {
		a.problems(ps)
	}
}

func (a *app) whatif() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "whatif INSPECTION part.property=value…",
		Short: "change observations and see only what changes, with why",
		Example: "  whyworn whatif testdata/station/engine-2.toml seat_2ex.tint=none\n" +
			"  whyworn whatif testdata/station/engine-2.toml feed.open=?      # looked, could not tell\n" +
			"  whyworn whatif testdata/station/engine-2.toml feed.open=       # not looked at",
		Args: exactly("INSPECTION", "part.property=value…"),
		RunE: func(_ *cobra.Command, args []string) error {
			o, c, err := a.openAndRun(args[0])
			if err != nil {
				return err
			}
			changes, err := changesOf(c, args[1:])
			if err != nil {
				return callProblem(err)
			}
			d, _, err := c.WhatIf(changes)
			if err != nil {
				return callProblem(err)
			}
			if a.json {
				return a.answer(d)
			}
			return a.tell(o, func(p *tell.Page) { tell.WhatIf(p, d) })
		},
	}
	a.inspectionFlags(cmd)
	return cmd
}

// changesOf reads what is to be taken as otherwise. One observation can be
// changed once: of two changes one would be lost unseen.
func changesOf(c *explain.Case, args []string) ([]explain.Change, error) {
	var changes []explain.Change
	for _, arg := range args {
		k, err := c.ParseChange(arg)
		if err != nil {
			return nil, err
		}
		for _, old := range changes {
			if old.Fact == k.Fact {
				id := c.FactID(k.Fact)
				return nil, &explain.CallError{Message: fmt.Sprintf("%s is changed twice, to %q and to %q", id, old.Text, k.Text),
					Hints: []string{"ask twice, once for each; for one or the other write \"" + id + "=" + old.Text + " or " + k.Text + "\""}}
			}
		}
		changes = append(changes, *k)
	}
	return changes, nil
}

func (a *app) next() *cobra.Command {
	var most int
	cmd := &cobra.Command{
		Use:     "next INSPECTION",
		Short:   "say what to look at next: what tells most for each minute, what is lost soon first",
		Example: "  whyworn next testdata/station/engine-2.toml",
		Args:    exactly("INSPECTION"),
		RunE: func(_ *cobra.Command, args []string) error {
			o, c, err := a.openAndRun(args[0])
			if err != nil {
				return err
			}
			looks := c.Next(most)
			if a.json {
				out := []answer.Look{}
				for _, l := range looks {
					out = append(out, answer.LookOf(c, l))
				}
				return a.answer(out)
			}
			return a.tell(o, func(p *tell.Page) { tell.Looks(p, c, looks) })
		},
	}
	most = nextMost
	cmd.Flags().Var((*count)(&most), "most", "how many looks to list, 0 for all")
	a.inspectionFlags(cmd)
	return cmd
}

// nextMost is how many looks next lists unless told.
const nextMost = 12
