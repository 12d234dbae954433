package tomlfile

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Random documents, most valid, some clashing or broken: same verdict, paths
// and values as the reference library (github.com/BurntSushi/toml v1.6.0).
func TestAgreesOnRandomDocuments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		if d := disagreement([]byte(document(t))); d != "" {
			t.Fatal(d)
		}
	})
}

func document(t *rapid.T) string {
	var b strings.Builder
	pick := func(label string, among ...string) string { return rapid.SampledFrom(among).Draw(t, label) }
	name := func() string { return pick("name", "a", "b", "c", "d-1", "_e", `"q k"`, `'l.k'`, `"\u00e9"`, "7") }
	path := func() string {
		parts := []string{name()}
		for rapid.IntRange(0, 3).Draw(t, "more parts") == 0 {
			parts = append(parts, name())
		}
		return strings.Join(parts, pick("dot", ".", " . ", "."))
	}
	eol := func() string { return pick("end of line", "\n", "\r\n", " # note ]\n", "\n\n") }
	var value func(depth int) string
	value = func(depth int) string {
		kinds := 9
		if depth > 3 {
			kinds = 7
		}
		switch rapid.IntRange(0, kinds).Draw(t, "kind") {
		case 0:
			return pick("integer", "0", "-17", "+1_000", "0xFF_ff", "0o17", "0b101", "99")
		case 1:
			return pick("float", "0.10", "-1e3", "+1.5E-2", "inf", "-nan", "1_0.2_5")
		case 2:
			return pick("bool", "true", "false")
		case 3:
			return pick("date", "2026-11-12", "07:32:00.5", "2026-11-12T07:32:00Z", "2026-11-12 07:32:00+01:00", "2026-11-12T07:32:00")
		case 4:
			return pick("basic", `""`, `"é ] # \" \\ \t \u00e9 \U0001F600"`, `"plain"`, `"\x41\e"`)
		case 5:
			return pick("literal", `''`, `'C:\x "q" #'`, `'µ'`)
		case 6:
			return pick("long", "\"\"\"\n a \\\n   b\n\"q\"\"\"\"", "'''\nx\n''y'''", "\"\"\"\"\"\"", "\"\"\"\\\r\n  z\r\n\"\"\"", "\"\"\"a \\  \n\n  b\\u0041\"\"\"")
		case 7: // now and then not TOML at all
			return pick("odd", "1", "05", "1.", "yes", "0,5", "2026-02-30", "1e999", `"\q"`, "'a", "1", "1", "1")
		case 8:
			var items []string
			for range rapid.IntRange(0, 3).Draw(t, "items") {
				items = append(items, pick("before", "", " ", "\n  ", " # c, ]\n")+value(depth+1))
			}
			return "[" + strings.Join(items, pick("comma", ",", " , ")) + pick("last", "", "\n", " # end\n") + "]"
		default:
			var items []string
			for range rapid.IntRange(0, 3).Draw(t, "keys") {
				items = append(items, " "+path()+pick("equals", " = ", "=")+value(depth+1))
			}
			return "{" + strings.Join(items, ",") + " }"
		}
	}
	for range rapid.IntRange(0, 12).Draw(t, "lines") {
		switch rapid.IntRange(0, 7).Draw(t, "line") {
		case 0:
			b.WriteString("[" + path() + "]" + eol())
		case 1, 2:
			b.WriteString("[[ " + path() + " ]]" + eol())
		case 3:
			b.WriteString("# comment" + eol())
		default:
			b.WriteString(path() + " = " + value(0) + eol())
		}
	}
	return b.String()
}

// Whatever bytes come: no panic, soon done, one verdict with the reference
// library, every place inside the file and every problem with a code.
func FuzzParse(f *testing.F) {
	for _, doc := range []string{
		"", "a = 1\n", "[a]\n[[b]]\nc.d = [1, {e = 2}] # f\n", "a = 0,05\n", "a = \"\"\"\\\n  x\"\"\"",
		"\xef\xbb\xbfa=1", "a = '''\r\n'''\r", "a = 2026-11-12T07:32:00Z", "[a.b]\n[a]\nb.c = 1", "a={b=1}\n[a.c]\n", "a = [[[[", "\"\\u00e9\" = 1e9\n",
	} {
		f.Add([]byte(doc))
	}
	f.Fuzz(func(t *testing.T, doc []byte) {
		began := time.Now()
		file := source.NewFile("doc.toml", doc)
		_, problems := Parse(file)
		if took := time.Since(began); took > 5*time.Second {
			t.Fatalf("took %s", took)
		}
		for _, p := range problems {
			if p.Code == "" || p.Message == "" || p.At.File == nil || p.At.Start < 0 || p.At.End > len(doc) {
				t.Fatalf("%#v", p)
			}
		}
		source.Write(new(strings.Builder), problems, source.Options{})
		if file.CheckText() == nil && (len(problems) == 0 || problems[len(problems)-1].Code != written.TooDeep) {
			if d := disagreement(doc); d != "" {
				t.Fatal(d)
			}
		}
	})
}
