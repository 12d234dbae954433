package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"whyworn/facts/source"
)

// exactly asks for one argument for each name; a name ending in … takes one or more.
func exactly(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		last := len(names) - 1
		more := last >= 0 && strings.HasSuffix(names[last], "…")
		if len(args) == len(names) || more && len(args) > len(names) {
			return nil
		}
		p := &source.Problem{Code: callCode}
		if len(args) < len(names) {
			p.Message = fmt.Sprintf("%s needs %s", cmd.Name(), names[len(args)])
		} else {
			p.Message = fmt.Sprintf("%s takes %d arguments, %q is one too many", cmd.Name(), len(names), args[len(names)])
		}
		p.Hint("usage: %s", cmd.UseLine())
		return source.Problems{p}
	}
}
