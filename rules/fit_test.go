package rules_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

var update = flag.Bool("update", false, "rewrite what testdata/fit expects; read the difference")

// TestFit: what becomes of an inspection, as text. Each archive of testdata/fit
// has files laid over those of testdata/bad/base and what comes of them: each
// observation with its value, its standard uncertainty, and the observation it
// rests on; then what stands beside the observations.
func TestFit(t *testing.T) {
	paths, _ := filepath.Glob("testdata/fit/*.txtar")
	if len(paths) == 0 {
		t.Fatal("no examples")
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			ar, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			last := &ar.Files[len(ar.Files)-1]
			if last.Name != "facts" {
				t.Fatal("the last file of the archive is what is expected: facts")
			}
			input := &txtar.Archive{Files: ar.Files[:len(ar.Files)-1]}
			dir := layOut(t, input, false)
			f, ps := fitFolder(dir)
			var got bytes.Buffer
			for _, p := range ps {
				fmt.Fprintln(&got, strings.ReplaceAll(p.Error(), dir+string(filepath.Separator), ""))
			}
			if f != nil {
				describe(&got, f)
			}
			if got.String() == string(last.Data) {
				return
			}
			if !*update {
				t.Errorf("got:\n%s\nwant:\n%s", got.String(), last.Data)
				return
			}
			last.Data = got.Bytes()
			if err := os.WriteFile(path, txtar.Format(ar), 0o666); err != nil {
				t.Fatal(err)
			}
		})
	}
}

func fitFolder(dir string) (*rules.Facts, source.Problems) {
	pack, ps := rules.LoadDir(filepath.Join(dir, "pack"))
	m, more := facts.ReadMachineFile(filepath.Join(dir, "machine.toml"))
	ps.Add(more...)
	in, more := facts.ReadInspectionFile(filepath.Join(dir, "inspection.toml"))
	ps.Add(more...)
	if pack == nil || m == nil || in == nil {
		return nil, ps
	}
	f, more := rules.Fit(pack, m, in)
	ps.Add(more...)
	return f, ps
}

func describe(w *bytes.Buffer, f *rules.Facts) {
	for i := range f.Observations {
		o := &f.Observations[i]
		fmt.Fprintf(w, "%s.%s = %s", f.Parts[o.Part].ID, o.Prop.ID, valueText(f.Layout, o.Prop, &o.Value))
		if int(o.Basis) != i {
			fmt.Fprintf(w, " from %s", f.Observations[o.Basis].Prop.ID)
		}
		if o.ForAll {
			fmt.Fprint(w, " for all")
		}
		fmt.Fprintln(w)
	}
	for i, u := range f.Uncertainties {
		what := "calibration"
		if u.Part >= 0 {
			what = f.Parts[u.Part].ID + "." + u.Prop.ID
		}
		switch {
		case u.Material != "":
			what = "expansion of " + u.Material
		case u.Thermometer:
			what += ", temperature"
		}
		fmt.Fprintf(w, "source %d: %s %s\n", i, u.Tool, what)
	}
	for _, p := range f.Parts {
		if p.Added {
			fmt.Fprintf(w, "part %s: %s, %s\n", p.ID, p.Kind.ID, p.Name)
		}
		for _, q := range p.Kind.Properties {
			switch {
			case !p.Added && q.ID != "works":
			case q.Type == vocab.Part:
				if to := f.Ref(q)[p.Ordinal]; to >= 0 {
					fmt.Fprintf(w, "  %s.%s = %s\n", p.ID, q.ID, f.Parts[to].ID)
				}
			case q.Type == vocab.Parts:
				if list := f.List(q, p.Ordinal); len(list) > 0 {
					fmt.Fprintf(w, "  %s.%s = %s\n", p.ID, q.ID, idsText(f.Layout, list))
				}
			}
		}
	}
	for _, d := range f.Decisions {
		fmt.Fprintf(w, "decision %s = %s\n", f.Parts[d.Part].ID, d.Level)
	}
	for _, e := range f.Earlier {
		fmt.Fprintf(w, "earlier %s.%s = %s, %s\n", f.Parts[e.Part].ID, e.Prop.ID, valueText(f.Layout, e.Prop, &e.Value), e.Written.When)
	}
	for _, r := range f.Remarks {
		fmt.Fprintf(w, "remark %d %s\n", r.Part, r.Written.Text)
	}
	events := func(what string, ids []rules.FactID) {
		for _, id := range ids {
			fmt.Fprintf(w, "%s %s.%s\n", what, f.Parts[id.Part].ID, id.Prop.ID)
		}
	}
	events("confirmed", f.Confirmed)
	for _, o := range f.Orders {
		events("order", o)
	}
	if f.K != 2 {
		fmt.Fprintf(w, "k = %g\n", f.K)
	}
}

func idsText(l *rules.Layout, parts []int32) string {
	var ids []string
	for _, n := range parts {
		ids = append(ids, l.Parts[n].ID)
	}
	return strings.Join(ids, " ")
}

// valueText writes a value: the choices that are possible, a number with its
// standard uncertainty and the sources it has terms of, ? for could not tell.
func valueText(l *rules.Layout, p *vocab.Property, v *vocab.Value) string {
	if v.Looked == vocab.CouldNotTell {
		return "?"
	}
	switch p.Type {
	case vocab.YesNo, vocab.Choice:
		choices := p.Choices
		if p.Type == vocab.YesNo {
			choices = []string{"no", "yes"}
		}
		var out []string
		for i, c := range choices {
			if v.Mask&(1<<i) != 0 {
				out = append(out, c)
			}
		}
		return strings.Join(out, " or ")
	case vocab.Number, vocab.Whole:
		s := measure.Format(v.Number, p.Unit, measure.Shortest)
		if v.Number.Terms != nil {
			s += " u " + measure.FormatDifference(v.Number.U(), p.Unit, 6) + " of"
			for _, t := range v.Number.Terms {
				s += fmt.Sprintf(" %d", t.Source)
			}
		}
		return s
	}
	return v.Text
}
