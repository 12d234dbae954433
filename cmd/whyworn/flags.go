package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strconv"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"whyworn/facts/source"
)

// count is a flag that takes a whole number from 0.
type count int

func (c *count) Type() string   { return "int" }
func (c *count) String() string { return strconv.Itoa(int(*c)) }
func (c *count) Set(text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		return errors.New("takes a whole number, 0 or more")
	}
	*c = count(n)
	return nil
}

// leastColumns is the narrowest page that is written.
const leastColumns = 40

// columns is a flag that takes a width of text; 0 is not told.
type columns int

func (c *columns) Type() string   { return "int" }
func (c *columns) String() string { return strconv.Itoa(int(*c)) }
func (c *columns) Set(text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n != 0 && n < leastColumns {
		return fmt.Errorf("takes a whole number, %d or more", leastColumns)
	}
	*c = columns(n)
	return nil
}

// pageWidth is the width of a page: told by --width, by COLUMNS, or the
// terminal's; 0 where nobody says.
func (a *app) pageWidth() int {
	if a.width > 0 {
		return a.width
	}
	if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && n > 0 {
		return max(n, leastColumns)
	}
	if f, ok := a.out.(*os.File); ok {
		if n := terminalColumns(f); n > 0 {
			return max(n, leastColumns)
		}
	}
	return 0
}

// flagProblem words a call with a flag that does not fit.
func flagProblem(cmd *cobra.Command, err error) error {
	p := &source.Problem{Code: callCode, Message: err.Error()}
	var unknown *pflag.NotExistError
	var valueless *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		name := unknown.GetSpecifiedName()
		dashes := "--"
		if unknown.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		p.Message = fmt.Sprintf("%s has no flag %s%s", cmd.CommandPath(), dashes, name)
		var all []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { all = append(all, f.Name) })
		if near, ok := source.Nearest(name, all); ok {
			p.Hint("did you mean --%s?", near)
		}
	case errors.As(err, &valueless):
		p.Message = fmt.Sprintf("--%s needs a value", valueless.GetFlag().Name)
	case errors.As(err, &invalid):
		p.Message = fmt.Sprintf("--%s %s: %v", invalid.GetFlag().Name, invalid.GetValue(), plainCause(invalid))
	}
	return source.Problems{p.Hint("%s --help lists the flags", cmd.CommandPath())}
}

// plainCause says what a flag takes, where its type does not say it itself.
func plainCause(e *pflag.InvalidValueError) error {
	switch e.GetFlag().Value.Type() {
	case "bool":
		return errors.New("takes no value; it is there or it is not")
	case "int":
		var syntax *strconv.NumError
		if errors.As(e, &syntax) {
			return errors.New("takes a whole number")
		}
	}
	return e.Unwrap()
}

// helpCommand is help COMMAND; unlike the library's own it refuses a command
// that there is not.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "say what a command does and takes",
		RunE: func(cmd *cobra.Command, args []string) error {
			of, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				if of == nil {
					of, rest = cmd.Root(), args
				}
				if !of.HasSubCommands() { // help why it: of why
					return of.Help()
				}
				return noSuchCommand(of, rest)
			}
			return of.Help()
		},
	}
}

// version is what the build knows of itself: the module's version, else the
// commit it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of an unknown build"
	}
	v := info.Main.Version
	if v == "" {
		v = "(devel)"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && v == "(devel)" {
			v += " " + s.Value
		}
	}
	return v
}
