package written_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"whyworn/facts/jsonfile"
	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/facts/written"
)

func parse(t interface {
	Helper()
	Fatalf(string, ...any)
}, doc string) *written.Node {
	t.Helper()
	root, problems := tomlfile.Parse(source.NewFile("f", []byte(doc)))
	if strings.HasPrefix(doc, "{") {
		root, problems = jsonfile.Parse(source.NewFile("f", []byte(doc)))
	}
	if len(problems) > 0 {
		t.Fatalf("%q: %v", doc, problems)
	}
	return root
}

var update = flag.Bool("update", false, "write the golden files anew")

// The place of a piece of a text, in each way of writing it. Counted by hand.
func TestTextSpan(t *testing.T) {
	for _, c := range []struct {
		doc      string
		from, to int
		raw, at  string
	}{
		{`x = "a.bore > 1"`, 2, 6, "bore", "f:1:8"},
		{`x = 'a.bore > 1'`, 2, 6, "bore", "f:1:8"},
		{`x = "s\u002ediametre"`, 2, 10, "diametre", "f:1:13"},
		{`x = "s\u002ediametre"`, 1, 2, `\u002e`, "f:1:7"},
		{`x = "\U0001F600\"\x41b"`, 0, 1, `\U0001F600`, "f:1:6"},
		{`x = "\U0001F600\"\x41b"`, 1, 3, `\"\x41`, "f:1:16"},
		{`x = "éµz"`, 2, 3, "z", "f:1:8"},
		{"x = '''\n\nab'''", 1, 3, "ab", "f:3:1"},
		{"x = \"\"\"\r\nab\"\"\"", 0, 2, "ab", "f:2:1"},
		{"x = \"\"\"a\\\n   \n  bc\"\"\"", 1, 3, "bc", "f:3:3"},
		{"x = \"\"\"a\\\n   bc\"\"\"", 0, 2, "a\\\n   b", "f:1:8"},
		{"x = \"\"\"\\\n   bc\"\"\"", 0, 1, "b", "f:2:4"},
		{`x = "ab"`, 2, 2, "", "f:1:8"},         // the end of the text
		{`x = "ab"`, 5, 9, "", "f:1:8"},         // past it: never outside the quotes
		{`x = "ab"`, 1, 99, "b", "f:1:7"},       // too long
		{`x = ""`, 0, 1, "", "f:1:6"},           //
		{`x = 12.345`, 1, 4, "2.3", "f:1:6"},    // not a string: the literal
		{`{"x": "a\/b"}`, 1, 3, `\/b`, "f:1:9"}, // JSON
		{`{"x": "\ud83d\ude00b"}`, 0, 1, `\ud83d\ude00`, "f:1:8"},
		{`{"x": "\ud83d\ude00b"}`, 1, 2, "b", "f:1:20"},
	} {
		s := parse(t, c.doc).Get("x").TextSpan(c.from, c.to)
		if string(s.Text()) != c.raw || s.String() != c.at {
			t.Errorf("%q %d-%d: %q at %s, want %q at %s", c.doc, c.from, c.to, s.Text(), s, c.raw, c.at)
		}
	}
}

// For any text written any way, the raw pieces of its runes, decoded alone, are
// the runes, follow one another and fill the token.
func TestTextSpanOfEveryRune(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var raw strings.Builder
		for range rapid.IntRange(0, 12).Draw(t, "n") {
			raw.WriteString(rapid.SampledFrom([]string{"a", "é", "😀", `\n`, `\"`, `\\`, `\u00e9`, `\U0001F600`, `\x41`, " ", "\n", "\\\n  ", "\\ \r\n\n "}).Draw(t, "piece"))
		}
		doc, quotes := "x = \"\"\"\n"+raw.String()+`"""`, 3
		if !strings.Contains(raw.String(), "\n") && rapid.Bool().Draw(t, "short") {
			doc, quotes = `x = "`+raw.String()+`"`, 1
		}
		n := parse(t, doc).Get("x")
		end := -1
		for i, r := range []rune(n.Text) {
			s := n.TextSpan(i, i+1)
			if end >= 0 && strings.Trim(string(n.At.File.Data[end:s.Start]), "\\ \r\n") != "" || s.Start < end {
				t.Fatalf("%q: rune %d begins at %d, the one before ends at %d", doc, i, s.Start, end)
			}
			end = s.End
			piece := string(s.Text())
			if j := strings.LastIndex(piece, "\\\n"); j >= 0 {
				piece = strings.TrimLeft(piece[j+1:], " \r\n")
			}
			again := parse(t, "x = \"\"\"\n"+piece+`"""`).Get("x").Text
			if again != string(r) {
				t.Fatalf("%q: rune %d is %q, its place holds %q", doc, i, r, piece)
			}
		}
		if count := utf8.RuneCountInString(n.Text); n.TextSpan(count, count).Start != n.At.End-quotes {
			t.Fatalf("%q: the end is at %d", doc, n.TextSpan(count, count).Start)
		}
	})
}

const ruleDoc = `idd = "play"
level = 1
each = 3
if = ["a", 2, "b"]
unless = "c"
minutes = "5"
sure = "true"
limit = 0.10
count = 2.5
when = 2026-11-12
free = { x = 1 }
[[step]]
n = 1
[[step]]
n = 2
[single]
n = 1
`

// What a reader hands out and what it complains about, with places.
func TestReader(t *testing.T) {
	var problems source.Problems
	r := written.Open(parse(t, ruleDoc), &problems, "rule")
	if got := r.String("id", written.Required); got != "" {
		t.Errorf("id: %q", got)
	}
	r.Int("station", written.Required)
	if got := r.Text("each"); got != nil {
		t.Errorf("each: %v", got)
	}
	if got := r.Strings("if"); len(got) != 2 || got[1].Text != "b" || got[1].At.String() != "f:4:15" {
		t.Errorf("if: %v", got)
	}
	if got := r.Strings("unless"); len(got) != 1 || got[0].Text != "c" {
		t.Errorf("unless: %v", got)
	}
	if got := r.Number("minutes"); got != nil {
		t.Errorf("minutes: %v", got)
	}
	if _, there := r.Bool("sure"); there {
		t.Error("sure is there")
	}
	if got := r.Number("limit"); got == nil || got.Text != "0.10" {
		t.Errorf("limit: %v", got)
	}
	if _, there := r.Int("count"); there {
		t.Error("count is a whole number")
	}
	if got := r.Date("when"); got == nil || got.Text != "2026-11-12" {
		t.Errorf("when: %v", got)
	}
	if got := r.Tables("step"); len(got) != 2 || got[1].Get("n").Text != "2" {
		t.Errorf("step: %v", got)
	}
	if got := r.Tables("single"); got != nil {
		t.Errorf("single: %v", got)
	}
	inner := written.Open(r.Table("free"), &problems, "free")
	if rest := inner.Rest(); len(rest) != 1 || rest[0].Name != "x" {
		t.Errorf("free: %v", rest)
	}
	inner.Close()
	if r.Strings("nothing") != nil || r.Table("nothing") != nil || r.Node("nothing") != nil || r.Tables("nothing") != nil {
		t.Error("something came of nothing")
	}
	r.Close()
	problems.Sort()
	var got bytes.Buffer
	source.Write(&got, problems, source.Options{})
	if *update {
		if err := os.WriteFile("testdata/reader.golden", got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("testdata/reader.golden")
	if err != nil {
		t.Fatal(err)
	}
	if got.String() != string(want) {
		t.Errorf("got\n%s", &got)
	}
}

// Only what is wrong is told: a table that is not there or is no table says one
// thing at most, and keys past the sixty-fourth are watched as well.
func TestReaderSilence(t *testing.T) {
	var problems source.Problems
	r := written.Open(nil, &problems, "rule")
	r.String("id", written.Required)
	r.Rest()
	r.Close()
	if len(problems) != 0 {
		t.Errorf("about nothing: %v", problems)
	}
	r = written.Open(parse(t, "a = 1").Get("a"), &problems, "rule")
	r.String("id", written.Required)
	r.Close()
	if len(problems) != 1 || problems[0].Code != written.WrongKind || r.At("id").String() != "" {
		t.Errorf("about a number: %v", problems)
	}

	var doc strings.Builder
	for i := range 70 {
		fmt.Fprintf(&doc, "k%d = 1\n", i)
	}
	problems = nil
	r = written.Open(parse(t, doc.String()), &problems, "rule")
	for i := range 70 {
		if i != 3 && i != 66 {
			r.Node(fmt.Sprintf("k%d", i))
		}
	}
	r.Close()
	if len(problems) != 2 || problems[0].At.String() != "f:4:1" || problems[1].At.String() != "f:67:1" {
		t.Errorf("wide table: %v", problems)
	}
	r.Rest()
	problems = nil
	r.Close()
	if len(problems) != 0 {
		t.Errorf("after Rest: %v", problems)
	}
}

// A key that is there already is not what another was meant to be.
func TestReaderSuggestsOnlyAbsentKeys(t *testing.T) {
	var problems source.Problems
	r := written.Open(parse(t, "tint = 1\ntints = 2\n"), &problems, "seat")
	r.Node("tint")
	r.Close()
	if len(problems) != 1 || problems[0].Code != written.UnknownKey || len(problems[0].Hints) != 0 {
		t.Errorf("%v %v", problems, problems[0].Hints)
	}
}

func TestNumbers(t *testing.T) {
	root := parse(t, "a = 0x1F\nb = 1_000\nd = 1_0.5e1\ng = 0o17\nf = \"1\"\nh = -7\n")
	for _, c := range []struct {
		name  string
		whole int
		ok    bool
		value float64
	}{{"a", 31, true, 31}, {"b", 1000, true, 1000}, {"d", 0, false, 105}, {"g", 15, true, 15}, {"h", -7, true, -7}} {
		whole, ok := root.Get(c.name).Int()
		value, okay := root.Get(c.name).Float()
		if whole != c.whole || ok != c.ok || value != c.value || !okay {
			t.Errorf("%s: %d %v, %v %v", c.name, whole, ok, value, okay)
		}
	}
	if _, ok := root.Get("f").Float(); ok {
		t.Error("a string is a number")
	}
}

func BenchmarkReader(b *testing.B) {
	root, _ := tomlfile.Parse(source.NewFile("f", []byte("id = \"a\"\neach = { a = \"b\" }\nif = [\"c\"]\nthen = \"d\"\nbecause = \"e\"\n")))
	b.ReportAllocs()
	for b.Loop() {
		var problems source.Problems
		r := written.Open(root, &problems, "rule")
		r.String("id", written.Required)
		r.Table("each")
		r.Strings("if")
		r.Strings("unless")
		r.String("then")
		r.String("because")
		r.Close()
	}
}
