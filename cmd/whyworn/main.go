// Whyworn tells from observed signs, readings and history what is wrong with
// parts, why, and what becomes of them. Commands stand in a file each; they
// read arguments, call the floors below, and print.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"github.com/spf13/cobra"

	"whyworn/facts/source"
)

func main() {
	collectLate()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// Exit statuses.
const (
	exitDone      = 0 // whatever was found
	exitFound     = 1 // rules check, trial or compare found something; a batch had bad lines
	exitCannotRun = 2 // the input or the call is at fault
	exitOurFault  = 3
)

// errFound ends a command that ran and found something.
var errFound = errors.New("found something")

// run runs one command line and gives the exit status.
func run(args []string, in io.Reader, out, errs io.Writer) (status int) {
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(errs, "whyworn: our own fault, not yours: %v\n", r)
			fmt.Fprintln(errs, "  hint: please report it with the files you gave and the lines below")
			errs.Write(debug.Stack())
			status = exitOurFault
		}
	}()
	a := &app{in: in, out: out, errs: errs}
	cmd := a.root()
	cmd.SetArgs(args)
	cmd.SetIn(in)
	cmd.SetOut(out)
	cmd.SetErr(errs)
	err := cmd.Execute()
	var ps source.Problems
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errFound):
		return exitFound
	case errors.As(err, &ps):
		a.problems(ps)
		return exitCannotRun
	}
	if a.json {
		a.problems(source.Problems{{Code: callCode, Message: err.Error()}})
	} else {
		fmt.Fprintf(errs, "whyworn: %s\n", source.Escape(err.Error()))
	}
	return exitCannotRun
}

var callCode = source.Declare("bad-call", "a command was called with arguments that do not fit")

// app is what the commands share: streams and common flags.
type app struct {
	in        io.Reader
	out, errs io.Writer

	packDir string
	machine string
	json    bool
	width   int
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "whyworn",
		Short: "tell from worn parts what went wrong, why, and what becomes of each",
		Long: `Whyworn reads an inspection of a stripped machine - signs, readings, history -
and reasons over the rules of a pack: what is wrong, where it began, what
becomes of each part, what to put right, and why it says so.

Begin with: whyworn demo`,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          noSuchCommand,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SuggestionsMinimumDistance = 2
	root.Version = version()
	root.SetVersionTemplate("whyworn {{.Version}}\n")
	root.SetFlagErrorFunc(flagProblem)
	root.SetHelpCommand(helpCommand())
	for _, add := range []func() *cobra.Command{
		a.demo, a.diagnose, a.why, a.whynot, a.whatif, a.next, a.questions, a.note, a.rules, a.handbook, a.batch,
	} {
		root.AddCommand(add())
	}
	return root
}

// flags that every command which reads an inspection takes.
func (a *app) inspectionFlags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&a.packDir, "pack", "", "folder of a pack of your own, or the name of one that ships")
	cmd.Flags().StringVar(&a.machine, "machine", "", "machine file (else the one beside the inspection)")
	a.outputFlags(cmd)
}

func (a *app) outputFlags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&a.json, "json", false, "answer as JSON")
	cmd.Flags().Var((*columns)(&a.width), "width", "columns of text, 40 or more (the terminal's, else 96)")
}
