package tomlfile

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

var update = flag.Bool("update", false, "write the golden files anew")

// at follows a path such as rule[1].if[0] through a tree.
func at(n *written.Node, path string) *written.Node {
	for path != "" && n != nil {
		if path[0] == '[' {
			var i int
			fmt.Sscanf(path, "[%d]", &i)
			if i >= len(n.Items) {
				return nil
			}
			n, path = n.Items[i], path[strings.IndexByte(path, ']')+1:]
			continue
		}
		path = strings.TrimPrefix(path, ".")
		end := strings.IndexAny(path, ".[")
		if end < 0 {
			end = len(path)
		}
		n, path = n.Get(path[:end]), path[end:]
	}
	return n
}

// Places of every way to write a value. Columns were counted by hand; é and µ
// are one column though two bytes.
func TestPlaces(t *testing.T) {
	const doc = `maker = "é"  # a comment
"µ key" = 'x' # after a wide letter
a.b . c = 0.10

[seat.left] # sub-table
rows = [ # comment with ] in it
  1, # one
  [2, { x = 3 , y.z = [4] }], "]"
]

[[rule]]
id = "one"
if = ["p > 1",
      'q > 2']
[rule.then]
verdict = 2026-11-12
[[rule]]
id = """
two\
   lines"""
[[rule.step]]
n = 1
[[rule.step]]
n = 0x1F
[[rule]]
[[rule.step]]
n = true
`
	root, problems := Parse(source.NewFile("f", []byte(doc)))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, c := range []struct {
		path, at, raw, key, text string // key: the key's place, - for none
	}{
		{"maker", "f:1:9", `"é"`, "f:1:1", "é"},
		{"µ key", "f:2:11", `'x'`, "f:2:1", "x"},
		{"a", "f:3:1", "a", "f:3:1", ""},
		{"a.b", "f:3:3", "b", "f:3:3", ""},
		{"a.b.c", "f:3:11", "0.10", "f:3:7", "0.10"},
		{"seat", "f:5:1", "[seat.left]", "f:5:2", ""},
		{"seat.left", "f:5:1", "[seat.left]", "f:5:7", ""},
		{"seat.left.rows", "f:6:8", "[ # comment with ] in it\n  1, # one\n  [2, { x = 3 , y.z = [4] }], \"]\"\n]", "f:6:1", ""},
		{"seat.left.rows[0]", "f:7:3", "1", "-", "1"},
		{"seat.left.rows[1]", "f:8:3", "[2, { x = 3 , y.z = [4] }]", "-", ""},
		{"seat.left.rows[1][1]", "f:8:7", "{ x = 3 , y.z = [4] }", "-", ""},
		{"seat.left.rows[1][1].x", "f:8:13", "3", "f:8:9", "3"},
		{"seat.left.rows[1][1].y.z", "f:8:23", "[4]", "f:8:19", ""},
		{"seat.left.rows[1][1].y.z[0]", "f:8:24", "4", "-", "4"},
		{"seat.left.rows[2]", "f:8:31", `"]"`, "-", "]"},
		{"rule", "f:11:1", "[[rule]]", "f:11:3", ""},
		{"rule[0]", "f:11:1", "[[rule]]", "-", ""},
		{"rule[0].if[1]", "f:14:7", "'q > 2'", "-", "q > 2"},
		{"rule[0].then", "f:15:1", "[rule.then]", "f:15:7", ""},
		{"rule[0].then.verdict", "f:16:11", "2026-11-12", "f:16:1", "2026-11-12"},
		{"rule[1]", "f:17:1", "[[rule]]", "-", ""},
		{"rule[1].id", "f:18:6", "\"\"\"\ntwo\\\n   lines\"\"\"", "f:18:1", "twolines"},
		{"rule[1].step[1].n", "f:24:5", "0x1F", "f:24:1", "0x1F"},
		{"rule[2].step[0].n", "f:27:5", "true", "f:27:1", "true"},
	} {
		n := at(root, c.path)
		if n == nil {
			t.Errorf("%s: nothing there", c.path)
			continue
		}
		key := "-"
		if !n.Key.IsZero() {
			key = n.Key.String()
		}
		if n.At.String() != c.at || string(n.At.Text()) != c.raw || key != c.key || n.Text != c.text {
			t.Errorf("%s: at %s %q key %s text %q\n want at %s %q key %s text %q",
				c.path, n.At, n.At.Text(), key, n.Text, c.at, c.raw, c.key, c.text)
		}
	}
	if n := at(root, "rule[0].step"); n != nil {
		t.Error("a sub-table of the second rule landed in the first")
	}
}

// What people read: one golden for all the ways a file can be wrong.
func TestProblemsGolden(t *testing.T) {
	deep := strings.Repeat("[", written.MaxDepth+1) + strings.Repeat("]", written.MaxDepth+1)
	var got bytes.Buffer
	for _, c := range []struct{ name, doc string }{
		{"decimal comma", "u = 0,05\n"},
		{"decimal comma in an array", "u = [1.5, 0,05]\n"},
		{"decimal comma in an inline table", "mic = { is = \"micrometer\", u = 0,002 }\n"},
		{"text without quotes", "by = the fitter # of the day\n"},
		{"quantity without quotes", "hours = 2310 h\n"},
		{"yes", "loose = yes\n"},
		{"capital true", "loose = True\n"},
		{"date day first", "date = 9.11.2026\n"},
		{"no such day", "date = 2026-02-30\n"},
		{"bent quotes", "by = “fitter”\n"},
		{"backslash", "photo = \"C:\\photos\"\n"},
		{"open quote", "by = \"fitter\nnext = 1\n"},
		{"open array", "if = [\"a\",\n\"b\"\nthen = 1\n"},
		{"open header", "[seat\ntint = 1\n"},
		{"no value", "tint =\n"},
		{"no equals", "tint \"blue\"\n"},
		{"key twice", "[seat]\ntint = \"blue\"\ndia = 1\ntint = \"grey\"\n"},
		{"key twice in an inline table", "a = { b = 1, b = 2 }\n"},
		{"table twice", "[seat]\na = 1\n[arm]\n[seat]\nb = 1\n"},
		{"table after dotted key", "seat.a = 1\n[seat]\nb = 1\n"},
		{"table where an array of tables is", "[[rule]]\n[rule]\n"},
		{"array of tables where a table is", "[rule]\n[[rule]]\n"},
		{"array of tables where an array is", "rule = [1]\n[[rule]]\n"},
		{"table where a value is", "seat = 1\n[seat.left]\n"},
		{"dotted key into a value", "seat = 1\nseat.left = 2\n"},
		{"dotted key into an inline table", "seat = { a = 1 }\nseat.left = 2\n"},
		{"header into an inline table", "seat = { a = 1 }\n[seat.left]\n"},
		{"several at once", "a = 1\na = 2\n[t]\nb = 1\nb = 2\n"},
		{"too deep", "a = " + deep + "\n"},
		{"too deep by dots", strings.Repeat("a.", written.MaxDepth) + "a = 1\n"},
		{"quotes inside quotes", "if = [\"valve.moves == \"stuck\"\"]\n"},
		{"quotes inside a text", "note = \"marked \"new\" with chalk\"\n"},
		{"UTF-16", "\xff\xfea\x00=\x001\x00"},
		{"not UTF-8", "by = \"Andr\xe9\"\n"},
		{"nul", "a = 1\nb = \"\x00\"\n"},
		{"control code", "a = \"\x1b[2J\"\n"},
		{"carriage return alone", "a = 1\rb = 2\n"},
		{"bidi text is shown escaped", "a = \u202eevil\n"},
		{"a picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x01\x00"},
		{"too large", "#" + strings.Repeat("x", source.MaxSize)},
		{"number too large", "a = 99999999999999999999\n"},
	} {
		_, problems := Parse(source.NewFile("f.toml", []byte(c.doc)))
		if len(problems) == 0 {
			t.Errorf("%s: no problem", c.name)
		}
		fmt.Fprintf(&got, "== %s\n", c.name)
		source.Write(&got, problems, source.Options{})
	}
	golden(t, "testdata/problems.golden", got.Bytes())
}

func golden(t *testing.T, path string, got []byte) {
	t.Helper()
	path = filepath.FromSlash(path)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; run with -update and read the difference. Got:\n%s", path, got)
	}
}

// CRLF is as good as LF, and the tree of a file with a key twice is still there.
func TestAccepted(t *testing.T) {
	root, problems := Parse(source.NewFile("f", []byte("a = 1\r\n[t]\r\nb = \"x\" # c\r\nc = [\r\n1,\r\n]\r\n")))
	if len(problems) > 0 || at(root, "t.b").At.String() != "f:3:5" || at(root, "t.c[0]").At.String() != "f:5:1" {
		t.Errorf("CRLF: %v", problems)
	}
	if root, problems := Parse(source.NewFile("f", []byte{})); len(problems) > 0 || root.Kind != written.Table {
		t.Errorf("empty file: %v", problems)
	}
	root, problems = Parse(source.NewFile("f", []byte("a = 1\na = 2\n")))
	if len(problems) != 1 || at(root, "a").Text != "1" {
		t.Errorf("key twice: %v, %v", root, problems)
	}
	deep := strings.Repeat("[", written.MaxDepth-1) + strings.Repeat("]", written.MaxDepth-1)
	if _, problems := Parse(source.NewFile("f", []byte("a = "+deep))); len(problems) > 0 {
		t.Errorf("nesting within the limit: %v", problems)
	}
}

// A wide table takes another way to find repeated keys.
func TestWideTable(t *testing.T) {
	var doc strings.Builder
	for i := range 4 * wide {
		fmt.Fprintf(&doc, "k%d = %d\n", i, i)
	}
	doc.WriteString("k70 = 0\nk2.x = 0\n")
	root, problems := Parse(source.NewFile("f", []byte(doc.String())))
	if len(root.Entries) != 4*wide || len(problems) != 2 ||
		problems[0].Other.String() != "f:71:1" || problems[1].Other.String() != "f:3:1" {
		t.Errorf("%d entries, %v", len(root.Entries), problems)
	}
}

// Sizes that would harm a parser are refused by a limit, quickly.
func TestHostileSizes(t *testing.T) {
	for name, doc := range map[string]string{
		"brackets":        "a = " + strings.Repeat("[", 1<<20-10),
		"braces":          "a = " + strings.Repeat("{a=", 1<<18),
		"dotted header":   "[" + strings.Repeat("a.", 1<<18) + "a]",
		"hidden brackets": "a = " + strings.Repeat(`["]",`, 1<<17),
		"one key":         strings.Repeat("x = 1\n", 1<<17),
	} {
		if _, problems := Parse(source.NewFile("f", []byte(doc))); len(problems) == 0 {
			t.Errorf("%s: accepted", name)
		}
	}
}

func BenchmarkRules(b *testing.B) {
	var doc strings.Builder
	for i := range 1000 {
		fmt.Fprintf(&doc, "[[rule]]\nid = \"rule-%d\"\neach = { seat = \"shaft_seat\" }\nif = [\"seat.tint >= 'purple'\", \"seat.dia < 14.95\"]\nthen = \"seat.overheated\"\nbecause = \"the tint of {seat}\"\n\n", i)
	}
	for name, parse := range map[string]func(*source.File) (*written.Node, source.Problems){"checked": Parse, "trusted": ParseTrusted} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(doc.Len()))
			b.ReportAllocs()
			for b.Loop() {
				if _, problems := parse(source.NewFile("f", []byte(doc.String()))); len(problems) > 0 {
					b.Fatal(problems)
				}
			}
		})
	}
}
