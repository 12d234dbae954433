package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"whyworn/facts/source"
)

// exactly asks for one argument for each name. A name in brackets may be left
// out, one ending in … takes one or more.
func exactly(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		needed, last := 0, len(names)-1
		for _, n := range names {
			if !strings.HasPrefix(n, "[") {
				needed++
			}
		}
		more := last >= 0 && strings.HasSuffix(names[last], "…")
		if len(args) >= needed && (len(args) <= len(names) || more) {
			return nil
		}
		p := &source.Problem{Code: callCode}
		switch {
		case len(args) < needed:
			p.Message = fmt.Sprintf("%s needs %s", cmd.Name(), names[len(args)])
		case len(names) == 0:
			p.Message = fmt.Sprintf("%s takes no arguments, so %q is too many", cmd.Name(), args[0])
		default:
			p.Message = fmt.Sprintf("%s takes %s, so %q is too many", cmd.Name(), strings.Join(names, " "), args[len(names)])
			if len(args) > 2 {
				p.Hint("put what has blanks in quotes: %q", strings.Join(args[len(names)-1:], " "))
			}
		}
		p.Hint("usage: %s", cmd.UseLine())
		return source.Problems{p}
	}
}

// noSuchCommand refuses an unknown first word with the nearest command.
func noSuchCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var names []string
	for _, c := range cmd.Commands() {
		if !c.Hidden {
			names = append(names, c.Name())
		}
	}
	p := &source.Problem{Code: callCode, Message: fmt.Sprintf("there is no command %q", args[0])}
	p.DidYouMean(args[0], names).Hint("%s --help lists the commands", cmd.CommandPath())
	return source.Problems{p}
}
