package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/google/renameio/v2/maybe"
	"github.com/spf13/cobra"

	"whyworn/explain/note"
	"whyworn/facts/source"
)

var notWritten = source.Declare("not-written", "a file could not be written; what stood there before is untouched")

func (a *app) note() *cobra.Command {
	var out, as string
	cmd := &cobra.Command{
		Use:   "note INSPECTION -o FILE",
		Short: "write the note that goes to the owner: cause, remedy, readings, photographs",
		Long: `Note writes what was found, why, what becomes of each part and what to do, with
boxes to tick and a place to sign. The form is told by the file's ending: .pdf,
.html, .md or .txt. Photographs are read from the folder of the inspection only.
The same inspection gives the same note, byte for byte.`,
		Example: "  whyworn note testdata/station/engine-2.toml -o engine-2.pdf\n" +
			"  whyworn note testdata/station/engine-2.toml -o - --as txt",
		Args: exactly("INSPECTION"),
		RunE: func(_ *cobra.Command, args []string) error {
			form, err := noteForm(out, as)
			if err != nil {
				return err
			}
			return a.writeNote(args[0], out, form)
		},
	}
	cmd.Flags().StringVarP(&out, "output", "o", "", "file to write, or - for standard output")
	cmd.Flags().StringVar(&as, "as", "", "form: pdf, html, md or txt (else told by the file's ending)")
	cmd.Flags().StringVar(&a.packDir, "pack", "", "folder of a pack of your own, or the name of one that ships")
	cmd.Flags().StringVar(&a.machine, "machine", "", "machine file (else the one beside the inspection)")
	return cmd
}

// noteForm finds the form asked for.
func noteForm(out, as string) (note.Form, error) {
	name := as
	if as == "" {
		name = filepath.Base(out)
	}
	var names []string
	for _, f := range note.Forms {
		names = append(names, f.Name)
	}
	p := &source.Problem{Code: callCode}
	switch {
	case out == "":
		p.Message = "note needs a file to write"
		return note.Form{}, source.Problems{p.Hint("add -o FILE ending in .%s, or -o - --as txt for standard output", strings.Join(names, ", ."))}
	case out == "-" && as == "":
		p.Message = "standard output has no ending to tell the form"
		return note.Form{}, source.Problems{p.Hint("add --as with one of %s", strings.Join(names, ", "))}
	}
	form, ok := note.FormOf(name)
	if !ok {
		p.Message = fmt.Sprintf("the ending of %s tells no form of a note", out)
		word := strings.TrimPrefix(filepath.Ext(name), ".")
		if as != "" {
			p.Message, word = fmt.Sprintf("there is no form %q of a note", as), as
		}
		p.DidYouMean(word, names)
		return note.Form{}, source.Problems{p.Hint("the forms are %s", strings.Join(names, ", "))}
	}
	return form, nil
}

// writeNote writes a note whole or not at all.
func (a *app) writeNote(path, out string, form note.Form) error {
	o, err := a.open(path)
	if err != nil {
		return err
	}
	if err := notOver(out, path, o.facts.Machine.File); err != nil {
		return err
	}
	c, err := o.run()
	if err != nil {
		return err
	}
	var folder fs.FS
	if path != "-" {
		// A root, unlike a folder, does not follow links that lead out of it.
		root, err := os.OpenRoot(filepath.Dir(path))
		if err != nil {
			return err
		}
		defer root.Close()
		folder = root.FS()
	}
	content, ps := note.Of(c.Diagnose(), folder)
	if ps = append(o.ps, ps...); len(ps) > 0 {
		a.problems(ps)
	}
	var b bytes.Buffer
	if err := form.Write(&b, content); err != nil {
		return err
	}
	if out == "-" {
		_, err := a.out.Write(b.Bytes())
		return err
	}
	if err := maybe.WriteFile(out, b.Bytes(), 0o644); err != nil {
		var why *fs.PathError
		if errors.As(err, &why) { // without the name of the file it was to begin as
			err = why.Err
		}
		p := &source.Problem{Code: notWritten, Message: fmt.Sprintf("%s could not be written: %v", out, err)}
		return source.Problems{p.Hint("see whether its folder is there and may be written to")}
	}
	return nil
}

// notOver refuses to write over what is read.
func notOver(out, inspection string, machine *source.File) error {
	read := []string{inspection}
	if machine != nil {
		read = append(read, machine.Name)
	}
	to, err := os.Stat(out)
	if err != nil {
		return nil // not there yet
	}
	for _, name := range read {
		if from, err := os.Stat(name); err == nil && os.SameFile(from, to) {
			p := &source.Problem{Code: callCode, Message: fmt.Sprintf("the note would be written over %s", name)}
			return source.Problems{p.Hint("give another name after -o")}
		}
	}
	if to.IsDir() {
		p := &source.Problem{Code: callCode, Message: fmt.Sprintf("%s is a folder", out)}
		return source.Problems{p.Hint("add the name of the note: %s", filepath.Join(out, "note.pdf"))}
	}
	return nil
}
