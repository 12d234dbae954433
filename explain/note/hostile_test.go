package note

import (
	"bytes"
	"compress/zlib"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf16"

	"pgregory.net/rapid"

	"whyworn/facts/source"
)

// hostile texts: each begins with a word of its own, by which it is found again.
var hostile = []string{
	"Qone <script>alert(1)</script><img src=x onerror=alert(2)> &amp; \" onmouseover='x' {{.Title}}",
	"Qtwo \u202etxet desrever\u202c \u200fmark\u200e \u2066iso\u2069 שלום عربي",
	"Qthree 🙂 👩‍🔧 \U0001f600 e\u0301 漢字 Ω µ °",
	"Qfour \x00\x07\x1b[31mred\x1b[0m\u0085\u2028\u2029\ttab\nline\r\n# heading\n- item",
	"Qfive [link](javascript:alert(1)) ![i](x.png) **bold** _it_ `code` | cell | ~~no~~ $x$ @me www.example.org http://example.org <b>",
	"Qsix (\\) (((( \\\\ ) Tj ET q BT /JavaScript (x) {nb} %PDF",
	"Qseven " + strings.Repeat("x", 10000),
	"Qeight " + strings.Repeat("long words ", 1000),
	"1. Qnine # + - = not a list",
	"\xff\xfe Qten not UTF-8",
}

// beset is the demo with hostile texts wherever a person writes freely.
func beset(t testing.TB) *Content {
	m, in := read(t)
	n := 0
	next := func() string { n++; return hostile[(n-1)%len(hostile)] }
	all := func(texts ...*string) {
		for _, s := range texts {
			*s = next()
		}
	}
	all(&m.Name, &in.Number, &in.Owner, &in.By, &in.SeenBy)
	in.Date.Text = "2026-11-12"
	in.Stripped, in.NotStripped = slices.Clone(hostile), slices.Clone(hostile)
	for i := range in.Tools {
		all(&in.Tools[i].Is, &in.Tools[i].Checked)
	}
	for i := range in.Work {
		all(&in.Work[i].By, &in.Work[i].Note)
	}
	remark := in.Remarks[0]
	in.Remarks = nil
	photo := in.Photos[0]
	in.Photos = nil
	for i, h := range hostile {
		remark.Text = h
		in.Remarks = append(in.Remarks, remark)
		photo.Caption = h
		photo.File.Text = string(rune('a'+i)) + "<b>" + h[:6] + ".jpg"
		in.Photos = append(in.Photos, photo)
	}
	all(&in.Decisions[0].Because, &in.Decisions[0].By)
	for i := range m.Places {
		if m.Places[i].Kind.Text == "shaft_seat" || m.Places[i].Kind.Text == "rocker_arm" {
			all(&m.Places[i].Name)
		}
	}
	c, _ := Of(diagnosed(t, m, in), os.DirFS(station))
	return c
}

func TestHostileText(t *testing.T) {
	got := string(inForm(t, beset(t), "txt"))
	for _, r := range got {
		if r != '\n' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) {
			t.Fatalf("a text note has the hidden rune %U", r)
		}
	}
	for n, line := range strings.Split(got, "\n") {
		if runes(line) > textColumns {
			t.Fatalf("line %d has %d columns", n+1, runes(line))
		}
	}
	finds(t, got)
}

// finds looks for every hostile text by its word.
func finds(t *testing.T, got string) {
	t.Helper()
	for _, w := range []string{"Qone", "Qtwo", "Qthree", "Qfour", "Qfive", "Qsix", "Qseven", "Qeight", "Qnine", "Qten"} {
		if !strings.Contains(got, w) {
			t.Errorf("the text that begins with %s is not shown", w)
		}
	}
}

// withoutPicture leaves the picture out of a name that carries one.
func withoutPicture(name string) string {
	name, _, _ = strings.Cut(name, ";base64,")
	return name
}

// The page is parsed back: every element and attribute is one of the template's or
// of a drawing's, and what was written stands in it as text.
func TestHostileHTML(t *testing.T) {
	page := inForm(t, beset(t), "html")
	known := map[string]bool{"br": false}
	for _, folder := range []string{station, t.TempDir()} { // with the photographs, and with the gaps they leave
		plain, _ := Of(demo(t), os.DirFS(folder))
		markup(t, inForm(t, plain, "html"), func(name string) { known[withoutPicture(name)] = true }, func(string) {})
	}
	var text strings.Builder
	markup(t, page, func(name string) {
		if !known[withoutPicture(name)] {
			t.Errorf("the hostile page has %s, the plain one has not", name)
		}
		if strings.HasPrefix(name, "script") || strings.Contains(name, "@on") {
			t.Errorf("the page has %s", name)
		}
	}, func(s string) { text.WriteString(s) })
	finds(t, text.String())
	for _, want := range []string{"<script>alert(1)</script>", "onerror=alert(2)", "&amp;", `\u{202e}`, "{{.Title}}", strings.Repeat("x", 10000)} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("%.40q is not shown as it was written", want)
		}
	}
	for _, r := range text.String() {
		if unicode.In(r, unicode.Cf) || unicode.In(r, unicode.Cc) && r != '\n' {
			if r == '\u200d' {
				continue // joins emoji in a drawing
			}
			t.Fatalf("the page has the hidden rune %U", r)
		}
	}
}

// markup parses a page leniently, and tells of elements, of element@attribute with
// the values of class, href and src, and of text.
func markup(t *testing.T, page []byte, element, text func(string)) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, append(slices.Clone(xml.HTMLAutoClose), "col"), xml.HTMLEntity
	in := ""
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			in = tok.Name.Local
			element(in)
			for _, a := range tok.Attr {
				name := in + "@" + a.Name.Local
				if slices.Contains([]string{"class", "href", "src"}, a.Name.Local) {
					name += "=" + a.Value
				}
				element(name)
			}
		case xml.CharData:
			if in != "style" {
				text(string(tok))
			}
		case xml.Comment:
			t.Error("the page has a comment")
		}
	}
}

// Markdown is read back by the rule of CommonMark 0.31.2, 2.4 and 2.5: a backslash
// makes a punctuation mark itself, an entity is one character. Nothing is left that
// could begin anything.
func TestMarkdownTextIsInert(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, s string) {
		md := []rune(mdText(s))
		var plain []rune
		for i := 0; i < len(md); i++ {
			switch r := md[i]; {
			case r == '\\':
				if i++; i == len(md) || md[i] > 0x7e || !unicode.IsPunct(md[i]) && !unicode.IsSymbol(md[i]) {
					t.Fatalf("%q: a backslash before no punctuation mark in %q", s, string(md))
				}
				plain = append(plain, md[i])
			case r == '&':
				end := slices.Index(md[i:], ';')
				c, ok := map[string]rune{"&lt;": '<', "&gt;": '>', "&amp;": '&'}[string(md[i:i+max(end, 0)+1])]
				if !ok {
					t.Fatalf("%q: a bare & in %q", s, string(md))
				}
				plain = append(plain, c)
				i += end
			case strings.ContainsRune("`*_[]<>|~$@", r), r < ' ', unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Cc):
				t.Fatalf("%q: %q is left in %q", s, r, string(md))
			default:
				plain = append(plain, r)
			}
		}
		if want := strings.TrimSpace(source.Escape(s)); string(plain) != want {
			t.Fatalf("%q reads as %q", want, string(plain))
		}
		if regexp.MustCompile(`^([-+#=]|\d+[.)]( |$))|(?i:https?:|ftp:|www\.)\S`).MatchString(string(md)) {
			t.Fatalf("%q could begin a block or an address: %q", s, string(md))
		}
	}
	for _, h := range hostile {
		check(t, h)
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, rapid.OneOf(rapid.String(), rapid.StringMatching("[-+#=*_`\\[\\]()<>&|~$@:./\\\\ 0-9a-zwhtp\u202e\n]{0,20}")).Draw(t, "text"))
	})
}

// Every line of a Markdown note is a line of its blocks: no text begins one.
func TestHostileMarkdown(t *testing.T) {
	got := string(inForm(t, beset(t), "md"))
	finds(t, got)
	line := regexp.MustCompile(`^(|#{1,3} .*|\|.*\||> \*\*.*|- .*|  - .*|[1-5]\. .*|\*\*.*|[^-+#=>|0-9 ].*|\d.*)$`)
	for n, l := range strings.Split(got, "\n") {
		if !line.MatchString(l) {
			t.Errorf("line %d is no line of a note: %.60q", n+1, l)
		}
		if strings.HasPrefix(l, "|") {
			cells := len(regexp.MustCompile(`(^|[^\\])\|`).FindAllString(l, -1))
			if cells < 3 || cells > 7 {
				t.Errorf("line %d has %d bars: %.60q", n+1, cells, l)
			}
		}
	}
	if strings.Contains(got, "<") {
		t.Error("a Markdown note has a <")
	}
}

func TestHostilePDF(t *testing.T) {
	raw := inForm(t, beset(t), "pdf")
	for _, bad := range []string{"/JS", "/JavaScript", "/URI", "/Launch", "/Annots", "/Type /EmbeddedFile", "/Filespec"} {
		if bytes.Contains(raw, []byte(bad)) {
			t.Errorf("the PDF has %s", bad)
		}
	}
	got := pdfWords(t, raw)
	finds(t, got)
	for _, want := range []string{`\u{202e}txet`, `\u{1b}[31mred`, "<script>alert(1)</script><img", `(\)`, `{nb}`, `/JavaScript`, `\u{6f22}\u{5b57}`} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not shown as written", want)
		}
	}
	if n := strings.Count(got, "x"); n < 10000 {
		t.Errorf("a text of 10000 x has %d left", n)
	}
}

// pdfWords reads what a PDF shows: the strings of its streams.
func pdfWords(t testing.TB, raw []byte) string {
	t.Helper()
	var out strings.Builder
	for _, m := range regexp.MustCompile(`(?s)stream\r?\n(.*?)\r?\nendstream`).FindAllSubmatch(raw, -1) {
		z, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue // a font or a photograph as it is
		}
		page, err := io.ReadAll(z)
		if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) { // its checksum may end like a line
			t.Fatal(err)
		}
		for {
			_, rest, ok := bytes.Cut(page, []byte("Td ("))
			if !ok {
				break
			}
			var b []byte
			for i := 0; i < len(rest); i++ {
				if rest[i] == '\\' {
					i++
					if rest[i] == 'r' {
						rest[i] = '\r'
					}
				} else if rest[i] == ')' {
					rest = rest[i:]
					break
				}
				b = append(b, rest[i])
			}
			if !bytes.HasPrefix(rest, []byte(") Tj ET")) {
				t.Fatalf("a string does not end where it should: %.40q", rest)
			}
			var u []uint16
			for i := 0; i+1 < len(b); i += 2 {
				u = append(u, uint16(b[i])<<8|uint16(b[i+1]))
			}
			out.WriteString(string(utf16.Decode(u)))
			out.WriteByte('\n')
			page = rest
		}
	}
	return out.String()
}
