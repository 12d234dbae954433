package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"whyworn/facts/handbook"
	"whyworn/facts/source"
)

func (a *app) handbook() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "handbook [NAME [name=value…]]",
		Short: "a table or formula with its source; without a name, the list of them",
		Example: "  whyworn handbook\n" +
			"  whyworn handbook fit\n" +
			"  whyworn handbook fit \"fit=18 H7/f7\"\n" +
			"  whyworn handbook washer_set \"thicknesses=1.40 1.45 1.50 1.55 mm\" \"gap=3.20 mm\" \"play_min=0.10 mm\" \"play_max=0.50 mm\"\n" +
			"  whyworn handbook wear_life \"wear=0.019 mm\" \"hours=4980 h\" \"limit=0.030 mm\" \"u_wear=0.003 mm\"\n" +
			"  whyworn handbook shaft_feed \"play=48 62 103 168 µm\" \"play_new=34 34 34 34 µm\" \"spacing=40 60 60 60 mm\" \"diameter=15 mm\" \"width=20 mm\" \"viscosity=20 mPa·s\" \"feed_diameter=0.8 mm\"",
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return a.handbookList()
			}
			if len(args) == 1 {
				if e, ok := handbook.Lookup(args[0]); ok && needsArguments(e) {
					return a.handbookEntry(e)
				}
			}
			return a.handbookAnswer(args[0], args[1:])
		},
	}
	cmd.Flags().BoolVar(&a.json, "json", false, "answer as JSON")
	return cmd
}

func needsArguments(e *handbook.Entry) bool { return len(e.Params) > 0 }

type entryJSON struct {
	Name     string      `json:"name"`
	Title    string      `json:"title"`
	Formula  string      `json:"formula,omitempty"`
	Takes    []valueJSON `json:"takes,omitempty"`
	Gives    []valueJSON `json:"gives,omitempty"`
	Domain   string      `json:"domain,omitempty"`
	Source   string      `json:"source"`
	Cautions []string    `json:"cautions,omitempty"`
}

type valueJSON struct {
	Name    string   `json:"name"`
	Means   string   `json:"means"`
	Unit    string   `json:"unit,omitempty"`
	Value   any      `json:"value,omitempty"`
	Domain  string   `json:"domain,omitempty"`
	Choices []string `json:"choices,omitempty"`
	Assumed bool     `json:"assumed,omitempty"`
}

func describe(e *handbook.Entry) entryJSON {
	out := entryJSON{Name: e.Name, Title: e.Title, Formula: e.Formula, Domain: e.Domain, Source: e.Source, Cautions: e.Cautions}
	for i := range e.Params {
		p := &e.Params[i]
		out.Takes = append(out.Takes, valueJSON{Name: p.Name, Means: p.Means, Unit: unitOf(p.Unit), Domain: p.DomainText(), Choices: p.Choices})
	}
	for i := range e.Results {
		p := &e.Results[i]
		out.Gives = append(out.Gives, valueJSON{Name: p.Name, Means: p.Means, Unit: unitOf(p.Unit), Choices: p.Choices})
	}
	return out
}

func unitOf(symbol string) string {
	if symbol == "text" {
		return ""
	}
	return symbol
}

func (a *app) handbookList() error {
	if a.json {
		var out []entryJSON
		for _, e := range handbook.All() {
			out = append(out, describe(e))
		}
		return a.answer(out)
	}
	_, err := io.WriteString(a.out, handbook.RenderList(handbook.All()))
	return err
}

func (a *app) handbookEntry(e *handbook.Entry) error {
	if a.json {
		return a.answer(describe(e))
	}
	_, err := io.WriteString(a.out, handbook.Render(e))
	return err
}

func (a *app) handbookAnswer(name string, args []string) error {
	assignments := map[string]string{}
	for _, arg := range args {
		k, v, ok := strings.Cut(arg, "=")
		if !ok {
			p := &source.Problem{Code: callCode, Message: fmt.Sprintf("%q is no name=value", arg)}
			if e, ok := handbook.Lookup(name); ok && len(e.Params) > 0 {
				p.Hint("write the name of an argument, = and its value: %s", e.Params[0].Assignment())
			} else {
				p.Hint("write the name of an argument, = and its value: \"nominal=18 mm\"")
			}
			return source.Problems{p}
		}
		if _, twice := assignments[strings.TrimSpace(k)]; twice {
			return source.Problems{{Code: callCode, Message: fmt.Sprintf("%s is given twice", strings.TrimSpace(k))}}
		}
		assignments[strings.TrimSpace(k)] = strings.TrimSpace(v)
	}
	answer, err := handbook.Evaluate(name, assignments)
	if err != nil {
		return handbookProblems(err)
	}
	if a.json {
		out := describe(answer.Entry)
		out.Takes, out.Gives = values(answer.Given), values(answer.Results)
		return a.answer(out)
	}
	_, err = io.WriteString(a.out, handbook.RenderAnswer(answer))
	return err
}

func values(vs []handbook.Value) []valueJSON {
	var out []valueJSON
	for _, v := range vs {
		j := valueJSON{Name: v.Name, Means: v.Means, Unit: unitOf(v.Unit), Assumed: v.Defaulted}
		switch {
		case v.Word != "":
			j.Value = v.Word
		case v.List:
			list := make([]any, len(v.Numbers)) // a figure the source does not give is null
			for i, x := range v.Numbers {
				if !math.IsNaN(x) {
					list[i] = x
				}
			}
			j.Value = list
		case len(v.Numbers) == 1 && !math.IsNaN(v.Numbers[0]):
			j.Value = v.Numbers[0]
		}
		out = append(out, j)
	}
	return out
}

var handbookCode = source.Declare("handbook-refused", "a handbook entry was called with what it does not take, or outside its domain")

// handbookProblems takes joined errors apart: one problem each, its hint lines
// as hints.
func handbookProblems(err error) error {
	var ps source.Problems
	add := func(e error) {
		message, hints, _ := strings.Cut(e.Error(), "\n")
		p := ps.Addf(handbookCode, source.Span{}, "%s", message)
		for line := range strings.Lines(hints) {
			p.Hint("%s", strings.TrimPrefix(strings.TrimSpace(line), "hint: "))
		}
	}
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range many.Unwrap() {
			add(e)
		}
	} else {
		add(err)
	}
	return ps
}
