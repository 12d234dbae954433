package note

import (
	"io"
	"path/filepath"
	"strings"
)

// Form is one of the forms that a note is written in.
type Form struct {
	Name  string // as people name it and as a file's name ends
	Write func(io.Writer, *Content) error
}

// Forms are all of them.
var Forms = []Form{{"pdf", PDF}, {"html", HTML}, {"md", Markdown}, {"txt", Text}}

// FormOf finds a form by its name, or by the ending of a file's name.
func FormOf(name string) (Form, bool) {
	if ext := filepath.Ext(name); ext != "" {
		name = ext[1:]
	}
	for _, f := range Forms {
		if strings.EqualFold(f.Name, name) {
			return f, true
		}
	}
	return Form{}, false
}
