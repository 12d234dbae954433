package source

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"testing/iotest"
	"unicode/utf8"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestLineCol(t *testing.T) {
	f := NewFile("f", []byte("aé\r\n\nµ😀x"))
	for _, c := range []struct{ offset, line, col int }{
		{0, 1, 1}, {1, 1, 2}, {3, 1, 3}, {5, 2, 1}, {6, 3, 1}, {8, 3, 2}, {12, 3, 3}, {13, 3, 4}, {99, 3, 4}, {-1, 1, 1},
	} {
		if line, col := f.At(c.offset, c.offset).LineCol(); line != c.line || col != c.col {
			t.Errorf("offset %d: %d:%d, want %d:%d", c.offset, line, col, c.line, c.col)
		}
		if c.offset >= 0 && c.offset < 99 {
			if got := f.Offset(c.line, c.col); got != c.offset {
				t.Errorf("%d:%d: offset %d, want %d", c.line, c.col, got, c.offset)
			}
		}
	}
	f.FirstLine = 40
	if got := f.At(5, 5).String(); got != "f:41:1" {
		t.Error("second line of a piece that begins at line 40:", got)
	}
	if got := (Span{}).String(); got != "" {
		t.Error("nowhere:", got)
	}
	if got := f.At(2, 8).Within(-3, 99); got != f.At(2, 8) {
		t.Errorf("Within leaves its span: %#v", got)
	}
	if got := f.At(2, 8).Within(4, 1); got != f.At(6, 6) {
		t.Errorf("Within turned round: %#v", got)
	}
}

func TestNearest(t *testing.T) {
	names := []string{"bore", "diameter_smallest", "tint", "tint_even_to_the_ends", "groove", "is", "by"}
	for _, c := range []struct{ word, want string }{
		{"boer", "bore"}, {"Bore", "bore"}, {"tnit", "tint"}, {"tints", "tint"}, {"diameterSmallest", "diameter_smallest"},
		{"diamter-smalest", "diameter_smallest"}, {"rust", ""}, {"bored out", ""}, {"iz", ""}, {"IS", "is"}, {"", ""},
		{"tint-even-to-ends", "tint_even_to_the_ends"}, {strings.Repeat("x", 200), ""},
	} {
		got, ok := Nearest(c.word, names)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%q: %q, want %q", c.word, got, c.want)
		}
	}
	if got, _ := Nearest("arm_3", []string{"arm_2", "arm_1"}); got != "arm_1" {
		t.Error("of equals the first in byte order:", got)
	}
}

// Distances of worked examples. CA to ABC is 3 for optimal string alignment
// (2 where a swapped pair may be edited again): Boytsov, Indexing methods for
// approximate dictionary searching, J. Exp. Algorithmics 16 (2011), quoted from
// memory. Kitten to sitting is the usual textbook case, from memory.
func TestAlignmentExamples(t *testing.T) {
	for _, c := range []struct {
		a, b string
		d    int
	}{{"ca", "abc", 3}, {"kitten", "sitting", 3}, {"", "abc", 3}, {"ab", "ba", 1}, {"abcd", "acbd", 1}, {"same", "same", 0}} {
		if d := alignment([]rune(c.a), []rune(c.b), 99); d != c.d {
			t.Errorf("%q %q: %d, want %d", c.a, c.b, d, c.d)
		}
	}
}

// The three rows against the plain recursive definition.
func TestAlignmentAgreesWithDefinition(t *testing.T) {
	var plain func(a, b []rune) int
	plain = func(a, b []rune) int {
		if len(a) == 0 || len(b) == 0 {
			return len(a) + len(b)
		}
		x, y := len(a)-1, len(b)-1
		d := plain(a[:x], b[:y])
		if a[x] != b[y] {
			d++
		}
		d = min(d, plain(a[:x], b)+1, plain(a, b[:y])+1)
		if x > 0 && y > 0 && a[x] == b[y-1] && a[x-1] == b[y] {
			d = min(d, plain(a[:x-1], b[:y-1])+1)
		}
		return d
	}
	word := rapid.SliceOfN(rapid.SampledFrom([]rune("abc")), 0, 6)
	rapid.Check(t, func(t *rapid.T) {
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		if got, want := alignment(a, b, 99), plain(a, b); got != want {
			t.Fatalf("%q %q: %d, want %d", string(a), string(b), got, want)
		}
	})
}

// The bidirectional controls are those of Unicode Standard Annex #9, section 2
// and table 4: ALM, LRM, RLM, LRE, RLE, PDF, LRO, RLO, LRI, RLI, FSI, PDI.
func TestEscape(t *testing.T) {
	for _, r := range []rune{0x61c, 0x200e, 0x200f, 0x202a, 0x202b, 0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069,
		0, '\n', '\r', '\t', 0x1b, 0x7f, 0x85, 0x9b, 0x2028, 0x2029, 0xfeff} {
		if got := Escape("a" + string(r)); strings.ContainsRune(got, r) || !strings.HasPrefix(got, `a\u{`) {
			t.Errorf("%U: %q", r, got)
		}
	}
	if got := Escape("é\xff 日本 ✓"); got != `é\x{ff} 日本 ✓` {
		t.Error(got)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes"))
		got := Escape(s)
		if !utf8.ValidString(got) || Escape(got) != got {
			t.Fatalf("%q: %q", s, got)
		}
	})
}

func TestProblems(t *testing.T) {
	second, first := "zeta.toml", "alpha.toml" // read in this order
	a, b := NewFile(second, []byte("one\ntwo\n")), NewFile(first, []byte("one\ntwo\n"))
	var ps Problems
	ps.Addf("b-code", b.At(0, 1), "later file")
	ps.Addf("b-code", a.At(4, 5), "second line").Warn()
	ps.Addf("b-code", a.At(0, 1), "same place, later code")
	ps.Addf("a-code", a.At(0, 1), "100%")
	ps.Addf("a-code", a.At(0, 1), "100%")
	ps.Addf("c-code", Span{}, "nowhere")
	ps.Add(nil)
	ps.Sort()
	ps.Dedupe()
	var got []string
	for _, p := range ps {
		got = append(got, p.Error())
	}
	want := "nowhere [c-code]|zeta.toml:1:1: 100% [a-code]|zeta.toml:1:1: same place, later code [b-code]|" +
		"zeta.toml:2:1: warning: second line [b-code]|alpha.toml:1:1: later file [b-code]"
	if strings.Join(got, "|") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "|"), want)
	}
	var list Problems
	if err := ps.Err(); !errors.As(err, &list) || len(list) != 4 || err.Error() != "nowhere [c-code] (and 3 more)" {
		t.Errorf("as an error: %v", err)
	}
	if warnings := (Problems{ps[3]}); warnings.Err() != nil || warnings.HasErrors() {
		t.Error("a warning is an error")
	}
}

func TestProblemAsJSON(t *testing.T) {
	f := NewFile("f.toml", []byte("a\nbé = 1\n"))
	p := (&Problem{Code: "some-code", At: f.At(6, 7), Message: "it is \"so\""}).Hint("do this").Beside(f.At(0, 1), "first")
	got, err := json.Marshal(Problems{p, {Code: "other-code", Message: "m", Warning: true}})
	const want = `[{"code":"some-code","message":"it is \"so\"","file":"f.toml","line":2,"col":4,"hints":["do this"],` +
		`"other":{"file":"f.toml","line":1,"col":1,"says":"first"}},{"code":"other-code","message":"m","warning":true}]`
	if err != nil || string(got) != want {
		t.Errorf("%v\n got %s\nwant %s", err, got, want)
	}
}

// A key as long as a file does not fill the screen.
func TestLongTextsAreCut(t *testing.T) {
	long := strings.Repeat("é", 1<<19)
	f := NewFile("f", []byte(long))
	p := (&Problem{Code: "some-code", At: f.At(0, len(long)), Message: "the key " + long}).Hint("not %s", long).Beside(f.At(2, len(long)), "also")
	var got bytes.Buffer
	Write(&got, Problems{p}, Options{})
	if asJSON, err := json.Marshal(p); err != nil || len(asJSON) > 2000 || got.Len() > 4000 || !utf8.Valid(got.Bytes()) {
		t.Errorf("%d bytes printed, %d as JSON, %v", got.Len(), len(asJSON), err)
	}
}

func TestWriteGolden(t *testing.T) {
	f := NewFile("seat.toml", []byte("tint = \"blue\"\n\tdia\t= 1\n日本 = \"\u202ex\x1b[2J\"\nlong = \""+
		strings.Repeat("abc ", 60)+"MARK"+strings.Repeat(" xyz", 60)+"\"\nlines = [\n1]\n"))
	find := func(s string) Span {
		i := bytes.Index(f.Data, []byte(s))
		return f.At(i, i+len(s))
	}
	var ps Problems
	ps.Addf("unknown-key", find("tint"), "rule: the key %q means nothing here", "tint").DidYouMean("tint", []string{"Tints"})
	ps.Addf("duplicate-key", find("dia"), "after tabs").Beside(find("tint"), "first written here").Hint("one").Hint("two")
	ps.Addf("wide-letters", find("\"\u202e"), "control \x1b[31m and bidi \u202e in a message")
	ps.Addf("long-line", find("MARK"), "in the middle of a long line")
	ps.Addf("long-mark", find("long"), "at its beginning")
	ps.Addf("two-lines", find("[\n1]"), "a place of two lines is marked on the first")
	ps.Addf("the-end", f.At(len(f.Data), len(f.Data)), "at the end of the file")
	ps.Addf("no-text", NewFile("gone.toml", nil).At(0, 0), "a file without text")
	ps.Addf("no-place", Span{}, "nowhere at all").Warn()
	ps.Addf("left-out", Span{}, "not printed")
	var got bytes.Buffer
	Write(&got, ps, Options{Max: 9})
	got.WriteString("== terse\n")
	Write(&got, ps[:2], Options{Terse: true})
	path := filepath.Join("testdata", "write.golden")
	if *update {
		if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(got.Bytes(), want) {
		t.Errorf("%v; run with -update and read the difference. Got:\n%s", err, &got)
	}
	got.Reset()
	Write(&got, make(Problems, 0), Options{})
	if got.Len() != 0 {
		t.Errorf("nothing to tell: %q", &got)
	}
	many := Problems{}
	for range usualMax + 3 {
		many.Addf("some-code", Span{}, "m")
	}
	Write(&got, many, Options{})
	if lines := strings.Split(strings.TrimSpace(got.String()), "\n"); len(lines) != usualMax+1 || lines[usualMax] != "3 more not shown" {
		t.Errorf("too many: %d lines, last %q", len(lines), lines[len(lines)-1])
	}
}

func TestReadFile(t *testing.T) {
	dir := t.TempDir()
	good := filepath.Join(dir, "inspection.toml")
	for path, content := range map[string]string{good: "a = 1\n", filepath.Join(dir, "empty.toml"): "", filepath.Join(dir, "large.toml"): strings.Repeat("x", MaxSize+1)} {
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if f, p := ReadFile(good); p != nil || string(f.Data) != "a = 1\n" || f.Name != good {
		t.Errorf("%v %v", f, p)
	}
	if f, p := ReadFile(filepath.Join(dir, "empty.toml")); p != nil || f.Data == nil {
		t.Errorf("empty: %v %v", f, p)
	}
	for _, c := range []struct {
		path string
		code Code
		hint string
	}{
		{filepath.Join(dir, "inspecton.toml"), NoSuchFile, "did you mean " + good + "?"},
		{filepath.Join(dir, "something-else"), NoSuchFile, ""},
		{filepath.Join(dir, "none", "inspection.toml"), NoSuchFile, ""},
		{filepath.Join(good, "below-a-file"), Unreadable, ""},
		{dir, IsFolder, "name a file inside it"},
		{filepath.Join(dir, "large.toml"), TooLarge, "split it into smaller files"},
	} {
		_, p := ReadFile(c.path)
		if p == nil || p.Code != c.code || strings.Join(p.Hints, "|") != c.hint || !strings.HasPrefix(p.Error(), Escape(c.path)+": ") {
			t.Errorf("%s: %v, hints %q", c.path, p, p.Hints)
		}
	}
	fsys := fstest.MapFS{"pack/rules.toml": {Data: []byte("x")}, "pack/sub": {Mode: fs.ModeDir}}
	if f, p := ReadFS(fsys, "pack/rules.toml", "shipped/rules.toml"); p != nil || f.Name != "shipped/rules.toml" {
		t.Errorf("%v %v", f, p)
	}
	if _, p := ReadFS(fsys, "pack/rule.toml", "shipped/rule.toml"); p == nil || p.Code != NoSuchFile || len(p.Hints) != 1 || p.Hints[0] != "did you mean shipped/rules.toml?" {
		t.Errorf("%v %q", p, p.Hints)
	}
	if _, p := ReadLimited(iotest.ErrReader(errors.New("cable pulled")), "standard input"); p == nil || p.Error() != "standard input: cannot be read: cable pulled [unreadable]" {
		t.Error(p)
	}
	if _, p := ReadLimited(strings.NewReader(strings.Repeat("x", MaxSize)), "in"); p != nil {
		t.Error("just the most that is read:", p)
	}
}

func TestCheckText(t *testing.T) {
	for _, c := range []struct {
		text string
		code Code
		at   string
	}{
		{"plain é\r\n\ttext\n", "", ""},
		{"\xef\xbb\xbfa", "", ""},
		{"\xef\xbb\xbfa\xff", NotUTF8, "f:1:2"}, // columns count without the mark
		{"\xff\xfea\x00", ByteOrderMark, "f:1:1"},
		{"a\nb\xffc", NotUTF8, "f:2:2"},
		{"a\x00\xff", NulByte, "f:1:2"},
		{"a\xff\x00", NotUTF8, "f:1:2"},
		{"a\n\x07", ControlCode, "f:2:1"},
		{strings.Repeat("\x00\x01", 40), NotText, "f"},
	} {
		p := NewFile("f", []byte(c.text)).CheckText()
		if c.code == "" && p != nil || c.code != "" && (p == nil || p.Code != c.code || p.At.String() != c.at) {
			t.Errorf("%q: %v", c.text, p)
		}
	}
}

// What is digested is the file on disk, mark and all. Hashes by coreutils' sha256sum.
func TestDigest(t *testing.T) {
	for text, want := range map[string]string{
		"a\n":             "87428fc522803d31065e7bce3cf03fe475096631e5e07bbd7a0fde60c4cf25c7",
		"\xef\xbb\xbfa\n": "be4fccb045869c7ad387b9081a44cfd495b37efc020da4b44542de0d980c747f",
	} {
		if got := fmt.Sprintf("%x", NewFile("f", []byte(text)).Digest()); got != want {
			t.Errorf("%q: %s", text, got)
		}
	}
}

func TestDeclare(t *testing.T) {
	all := Declared()
	for i, d := range all {
		if d.Sentence == "" || i > 0 && all[i-1].Code >= d.Code {
			t.Errorf("%v", d)
		}
	}
	for _, code := range []Code{NotText, "Not-Kebab", "", "-x", "a--b", "x-"} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%q was taken", code)
				}
			}()
			Declare(code, "a sentence")
		}()
	}
}
