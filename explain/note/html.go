package note

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"

	"whyworn/explain/draw"
	"whyworn/facts/source"
)

//go:embed note.html
var htmlSource string

// HTML writes a note as one self-contained page, for screens light and dark and
// for printing. Its pictures are in it; nothing is fetched and nothing runs. The
// error is w's.
func HTML(w io.Writer, c *Content) error {
	page, err := template.New("note").Funcs(htmlFuncs).Parse(htmlSource)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := page.Execute(&b, c); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// show makes text of strangers visible: what cannot be seen, or would turn the
// line round, is written out. The template escapes what HTML would act on.
var htmlFuncs = template.FuncMap{
	"show": source.Escape,
	"form": htmlForm,
	"svg": func(p *draw.Picture) (template.HTML, error) {
		var b strings.Builder
		err := draw.SVG(&b, p)
		return template.HTML(b.String()), err // package draw escapes what it writes
	},
	"data": func(jpeg []byte) template.URL {
		return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(jpeg))
	},
	"add": func(a, b int) int { return a + b },
	"at":  func(list []bool, i int) bool { return i < len(list) && list[i] },
	"threes": func(s Signing) [][]string {
		var out [][]string
		for i := 0; i+2 < len(s); i += 3 {
			out = append(out, s[i:i+3])
		}
		return out
	},
	"widths": func(t Table) []string {
		sum := 0.0
		for _, s := range t.Shares {
			sum += s
		}
		var out []string
		for _, s := range t.Shares {
			out = append(out, fmt.Sprintf("%.1f", 100*s/sum))
		}
		return out
	},
	"long": func(t Tasks) bool { return len(t) > 1 },
}

// htmlForm names the kind of a block for the template.
func htmlForm(b Block) string {
	switch b := b.(type) {
	case Heading:
		return fmt.Sprintf("h%d", b.Level)
	case Paragraph:
		return [...]string{Normal: "p", Notice: "notice", Small: "small"}[b.Manner]
	case List:
		if b.Numbered {
			return "ol"
		}
		return "ul"
	}
	return strings.ToLower(strings.TrimPrefix(fmt.Sprintf("%T", b), "note."))
}
