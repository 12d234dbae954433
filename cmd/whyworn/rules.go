package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/engine/trialrun"
	"whyworn/explain"
	"whyworn/explain/tell"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/packs"
	"whyworn/rules/trial"
)

func (a *app) rules() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rules",
		Short: "for authors: check a pack, run its trials, learn from cases",
		Args:  noSuchCommand,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(a.rulesCheck(), a.rulesTrial(), a.rulesLearn())
	return cmd
}

// folder finds a pack's folder: one that ships, by name, or a folder on disk.
func folder(name string) (fs.FS, rules.Trust) {
	if f, ok := packs.Folder(name); ok {
		return f, rules.Proven
	}
	return os.DirFS(name), rules.Checked
}

func loadPack(name string) (*rules.Pack, source.Problems) {
	if _, shipped := packs.Folder(name); shipped {
		return packs.Load(name)
	}
	return loadFolder(name)
}

// loadFolder loads a pack from outside; where there is no such folder, the
// nearest name is of one beside it or of a pack that ships.
func loadFolder(name string) (*rules.Pack, source.Problems) {
	if _, err := os.Stat(name); !errors.Is(err, fs.ErrNotExist) {
		return rules.LoadDir(name)
	}
	beside, _ := os.ReadDir(filepath.Dir(name))
	var near []string
	for _, e := range beside {
		if e.IsDir() {
			near = append(near, filepath.Join(filepath.Dir(name), e.Name()))
		}
	}
	p := &source.Problem{Code: rules.NoPack, At: source.Span{File: source.NewFile(name, nil)}, Message: "there is no folder of this name, and no pack of it ships"}
	p.DidYouMean(name, append(near, packs.Names()...)).Hint("a pack is a folder; the packs that ship are %s", strings.Join(packs.Names(), ", "))
	return nil, source.Problems{p}
}

func (a *app) rulesCheck() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "check DIR",
		Short: "check a pack and its trials: all problems in one run, in file order",
		Args:  exactly("DIR"),
		RunE: func(_ *cobra.Command, args []string) error {
			pack, ps := loadPack(args[0])
			if pack == nil && noFolder(args[0]) {
				return ps // nothing was checked
			}
			if pack != nil {
				_, more := engine.Compile(pack)
				ps = append(ps, more...)
				f, _ := folder(args[0])
				trials, more := trial.Load(f, args[0])
				ps = append(ps, more...)
				for _, t := range trials {
					_, _, more := t.Fit(pack)
					ps = append(ps, more...)
				}
				ps.Sort()
				ps.Dedupe()
			}
			return a.tellCheck(pack, ps)
		},
	}
	a.outputFlags(cmd)
	return cmd
}

// noFolder tells whether a name is neither of a shipped pack nor of a folder.
func noFolder(name string) bool {
	if _, shipped := packs.Folder(name); shipped {
		return false
	}
	info, err := os.Stat(name)
	return err != nil || !info.IsDir()
}

func (a *app) tellCheck(pack *rules.Pack, ps source.Problems) error {
	if a.json {
		if ps == nil {
			ps = source.Problems{}
		}
		if err := a.answer(map[string]any{"problems": ps}); err != nil {
			return err
		}
	} else {
		a.problems(ps)
		if pack != nil {
			properties := 0
			for _, k := range pack.Vocabulary.Kinds {
				properties += len(rules.PropertyIDs(k))
			}
			fmt.Fprintf(a.out, "%s %s: %d kinds, %d properties, %d rules, %d clues, %d links, %d remedies; %d problems\n",
				source.Escape(pack.ID), source.Escape(pack.Version), len(pack.Vocabulary.Kinds), properties, len(pack.Rules), len(pack.Clues), len(pack.Links), len(pack.Remedies), len(ps))
		}
	}
	if len(ps) > 0 {
		return errFound
	}
	return nil
}

func (a *app) rulesTrial() *cobra.Command {
	var only string
	cmd := &cobra.Command{
		Use:   "trial DIR",
		Short: "run the trials of a pack; a failure shows expected, got, and why",
		Args:  exactly("DIR"),
		RunE: func(_ *cobra.Command, args []string) error {
			pack, ps := loadPack(args[0])
			if pack == nil {
				return ps
			}
			program, ps := engine.Compile(pack)
			if program == nil {
				return ps
			}
			f, _ := folder(args[0])
			trials, ps := trial.Load(f, args[0])
			if ps.HasErrors() {
				return ps
			}
			var chosen []*trial.Trial
			for _, t := range trials {
				if strings.Contains(t.ID, only) {
					chosen = append(chosen, t)
				}
			}
			if len(chosen) == 0 && len(trials) > 0 {
				return noTrial(only, trials)
			}
			outcomes := trialrun.All(program, chosen, func(r *record.Result) trialrun.Told { return explain.New(program, r) })
			return a.tellTrials(program, outcomes)
		},
	}
	cmd.Flags().StringVar(&only, "only", "", "run those whose id has this in it")
	a.outputFlags(cmd)
	return cmd
}

func noTrial(only string, trials []*trial.Trial) error {
	ids := make([]string, len(trials))
	for i, t := range trials {
		ids[i] = t.ID
	}
	p := &source.Problem{Code: callCode, Message: fmt.Sprintf("--only %s: none of the %d trials has this in its id", only, len(trials))}
	return source.Problems{p.DidYouMean(only, ids).Hint("without --only all are run")}
}

type trialJSON struct {
	ID       string          `json:"id"`
	Passed   bool            `json:"passed"`
	Failures []failureJSON   `json:"failures,omitempty"`
	Problems source.Problems `json:"problems,omitempty"`
}

type failureJSON struct {
	Claim    string `json:"claim"`
	Expected string `json:"expected"`
	Got      string `json:"got"`
}

func (a *app) tellTrials(p *engine.Program, outcomes []trialrun.Outcome) error {
	failed := 0
	var out []trialJSON
	for i := range outcomes {
		o := &outcomes[i]
		j := trialJSON{ID: o.Trial.ID, Passed: o.Passed(), Problems: o.Problems}
		if !o.Passed() {
			failed++
		}
		for _, f := range o.Failures {
			expected, got := failureWords(&f)
			j.Failures = append(j.Failures, failureJSON{f.Claim.Text, expected, got})
		}
		out = append(out, j)
	}
	if a.json {
		if err := a.answer(map[string]any{"trials": out, "failed": failed}); err != nil {
			return err
		}
	} else {
		for i := range outcomes {
			if !outcomes[i].Passed() {
				a.tellFailure(p, &outcomes[i], out[i].Failures)
			}
		}
		fmt.Fprintf(a.out, "%d trials, %d passed, %d failed\n", len(outcomes), len(outcomes)-failed, failed)
	}
	if failed > 0 {
		return errFound
	}
	return nil
}

func (a *app) tellFailure(p *engine.Program, o *trialrun.Outcome, words []failureJSON) {
	fmt.Fprintf(a.out, "FAILED %s at %s: %s\n", o.Trial.ID, o.Trial.At, source.Escape(o.Trial.Says))
	if o.Problems.HasErrors() {
		source.Write(a.out, o.Problems, source.Options{})
	}
	for i, f := range o.Failures {
		fmt.Fprintf(a.out, "  %s: expected %s, got %s\n", source.Escape(words[i].Claim), words[i].Expected, words[i].Got)
		c := explain.New(p, o.Result)
		page := tell.NewPage(a.pageWidth())
		if m := f.Claim.Remedy; m != nil {
			x, _ := c.WhyRemedy(m.ID)
			tell.Why(page, x)
			page.WriteTo(a.out)
			continue
		}
		asked := &explain.Asked{}
		if f.Claim.Prop == nil {
			asked.Verdicts = []int32{f.Claim.Part}
		} else {
			asked.Facts = []record.FactID{{Part: f.Claim.Part, Prop: f.Claim.Prop}}
		}
		if f.State == truth.True || f.HasNumber {
			tell.Why(page, c.WhyAsked(asked))
		} else {
			tell.WhyNot(page, c.WhyNotAsked(asked))
		}
		page.WriteTo(a.out)
	}
}

func failureWords(f *trialrun.Failure) (expected, got string) {
	c := &f.Claim
	not := ""
	if c.Expect != truth.True {
		not = "not "
	}
	switch {
	case c.Remedy != nil:
		words := map[truth.Truth]string{truth.True: "a thing to do", truth.False: "nothing to do", truth.Unknown: "open"}
		return words[c.Expect], words[f.State]
	case c.Prop == nil:
		return not + c.Level.String(), f.Level.String()
	case c.Root:
		if f.Role == "" {
			return "a root of the story", "a finding that is " + f.State.String()
		}
		return "a root of the story", f.Role
	case c.IsSet || c.Prop.Unit != nil:
		got = "no number"
		if f.HasNumber {
			got = measure.Format(f.Number, c.Prop.Unit, measure.Shortest)
		}
		if !c.IsSet {
			return "no number", got
		}
		return not + measure.Format(c.Number, c.Prop.Unit, measure.Shortest), got
	}
	return c.Expect.String(), f.State.String()
}
