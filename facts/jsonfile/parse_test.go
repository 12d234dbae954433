package jsonfile

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts/source"
	"whyworn/facts/tomlfile"
	"whyworn/facts/written"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestPlaces(t *testing.T) {
	const doc = "{\n  \"é\": 0.10, \"list\": [ 1 , [true],{\"x\\u0041\":\"y\"} ],\n  \"empty\": {}, \"none\": []\n}\n"
	root, problems := Parse(source.NewFile("f", []byte(doc)))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	list := root.Get("list")
	for _, c := range []struct {
		node          *written.Node
		kind          written.Kind
		at, raw, text string
		key           string
	}{
		{root, written.Table, "f:1:1", doc[:len(doc)-1], "", ""},
		{root.Get("é"), written.Float, "f:2:8", "0.10", "0.10", "f:2:3"},
		{list, written.Array, "f:2:22", `[ 1 , [true],{"x\u0041":"y"} ]`, "", "f:2:14"},
		{list.Items[0], written.Integer, "f:2:24", "1", "1", ""},
		{list.Items[1], written.Array, "f:2:28", "[true]", "", ""},
		{list.Items[1].Items[0], written.Bool, "f:2:29", "true", "true", ""},
		{list.Items[2], written.Table, "f:2:35", `{"x\u0041":"y"}`, "", ""},
		{list.Items[2].Get("xA"), written.String, "f:2:46", `"y"`, "y", "f:2:36"},
		{root.Get("empty"), written.Table, "f:3:12", "{}", "", "f:3:3"},
		{root.Get("none"), written.Array, "f:3:24", "[]", "", "f:3:16"},
	} {
		n := c.node
		if n == nil || n.Kind != c.kind || n.At.String() != c.at || string(n.At.Text()) != c.raw || n.Text != c.text || n.Key.String() != c.key {
			t.Errorf("got %#v\nwant %+v", n, c)
		}
	}
}

func TestProblemsGolden(t *testing.T) {
	var got bytes.Buffer
	for _, c := range []struct{ name, doc string }{
		{"empty", " \n"},
		{"null", "{\"seat\": {\"tint\": null, \"dia\": [null, 1]}}"},
		{"key twice", "{\"tint\": \"blue\",\n \"tint\": \"grey\", \"t\\u0069nt\": 1}"},
		{"key twice, first null", "{\"tint\": null, \"tint\": 1}"},
		{"after the end", "{\"a\": 1}\n{\"a\": 2}"},
		{"comma before }", "{\"a\": 1,}"},
		{"comma before ]", "[1,\n]"},
		{"no comma", "{\"a\": 1 \"b\": 2}"},
		{"no colon", "{\"a\" 1}"},
		{"no closing brace", "{\"a\": 1\n"},
		{"no closing bracket", "[1"},
		{"single quotes", "{'a': 1}"},
		{"comment", "{ // a\n\"a\": 1}"},
		{"word", "{\"by\": fitter}"},
		{"capital", "{\"a\": True}"},
		{"not a number", "[NaN]"},
		{"decimal comma", "{\"u\": 0,05}"},
		{"leading zero", "[05]"},
		{"point without digits", "[1.]"},
		{"point first", "[.5]"},
		{"plus", "[+5]"},
		{"exponent", "[1e]"},
		{"minus", "[-]"},
		{"line break in a text", "{\"a\": \"x\ny\"}"},
		{"tab in a text", "[\"a\tb\"]"},
		{"open quote", "[\"ab"},
		{"open quote after an escape", "[\"a\\nb"},
		{"backslash", `["C:\photos"]`},
		{"hex", `["\u00g0"]`},
		{"short hex", `["\u00`},
		{"half a pair", `["\ud83d"]`},
		{"the other half", `["\ude00x"]`},
		{"two first halves", `["\ud83d\ud83d"]`},
		{"too deep", strings.Repeat("[", written.MaxDepth+1)},
		{"not UTF-8", "[\"\xff\"]"},
		{"nul", "[\"\x00\"]"},
		{"too large", strings.Repeat(" ", source.MaxSize+1)},
	} {
		_, problems := Parse(source.NewFile("f.json", []byte(c.doc)))
		if len(problems) == 0 {
			t.Errorf("%s: no problem", c.name)
		}
		fmt.Fprintf(&got, "== %s\n", c.name)
		source.Write(&got, problems, source.Options{})
	}
	path := filepath.Join("testdata", "problems.golden")
	if *update {
		if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(got.Bytes(), want) {
		t.Errorf("%v; run with -update and read the difference. Got:\n%s", err, &got)
	}
}

// differ returns where a tree and the tokens of the reference decoder say
// different things, or "". It also counts the nulls and repeated keys on the
// way, all it does when n is nil.
func differ(n *written.Node, dec *json.Decoder) (string, int) {
	token, err := dec.Token()
	if err != nil {
		return err.Error(), 0
	}
	odd := 0
	switch token := token.(type) {
	case json.Delim:
		i := 0
		seen := map[string]bool{}
		for dec.More() {
			var child *written.Node
			repeated := false
			if token == '{' {
				key, err := dec.Token()
				if err != nil {
					return err.Error(), odd
				}
				if repeated = seen[key.(string)]; repeated {
					odd++
				}
				seen[key.(string)] = true
				if !repeated {
					child = n.Get(key.(string))
				}
			} else if n != nil && i < len(n.Items) {
				child = n.Items[i]
				i++
			}
			if child == nil && !repeated && n != nil {
				child = &written.Node{} // the reference has more: a difference
			}
			d, more := differ(child, dec)
			if odd += more; d != "" && !repeated {
				return d, odd
			}
		}
		if _, err := dec.Token(); err != nil {
			return err.Error(), odd
		}
		kind := written.Table
		if token == '[' {
			kind = written.Array
		}
		if n != nil && n.Kind != kind {
			return fmt.Sprintf("%s, want %s", n.Kind, kind), odd
		}
	case string:
		if n != nil && (n.Kind != written.String || n.Text != token) {
			return fmt.Sprintf("%s %q, want %q", n.Kind, n.Text, token), odd
		}
	case json.Number:
		if n != nil && (!n.IsNumber() || n.Text != string(token)) {
			return fmt.Sprintf("%s %q, want %s", n.Kind, n.Text, token), odd
		}
	case bool:
		if n != nil && (n.Kind != written.Bool || n.Text != strconv.FormatBool(token)) {
			return fmt.Sprintf("%s %q, want %v", n.Kind, n.Text, token), odd
		}
	case nil:
		odd++
	}
	return "", odd
}

// disagreement compares Parse with encoding/json on one document. What we refuse
// on purpose and the reference takes is told by its code.
func disagreement(doc []byte) string {
	file := source.NewFile("doc.json", doc)
	tree, problems := Parse(file)
	valid := json.Valid(doc)
	if !valid {
		if len(problems) == 0 {
			return "accepted, encoding/json refuses"
		}
		return ""
	}
	if file.CheckText() != nil {
		return ""
	}
	stopped := false
	for _, p := range problems {
		switch p.Code {
		case NullValue, written.DuplicateKey:
		case written.TooDeep:
			stopped = true
		default:
			if p.Message != "half of a surrogate pair" {
				return "refused with " + p.Error() + ", encoding/json accepts"
			}
			stopped = true
		}
	}
	if stopped || len(problems) >= mostProblems {
		return ""
	}
	dec := json.NewDecoder(bytes.NewReader(doc))
	dec.UseNumber()
	if len(problems) > 0 { // nulls shift the items of arrays: compare the count only
		_, odd := differ(nil, dec)
		if odd != len(problems) {
			return fmt.Sprintf("%d problems, want %d: %v", len(problems), odd, problems)
		}
		return ""
	}
	d, odd := differ(tree, dec)
	if d == "" && odd > 0 {
		d = fmt.Sprintf("%d nulls or repeated keys went untold", odd)
	}
	if _, err := dec.Token(); d == "" && err != io.EOF {
		d = "more than one value"
	}
	return d
}

// Random documents, some broken: same verdict and values as encoding/json.
func TestAgreesOnRandomDocuments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		var value func(depth int)
		pick := func(label string, among ...string) string { return rapid.SampledFrom(among).Draw(t, label) }
		text := func() string {
			return `"` + strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"a", "é", `\n`, `\"`, `\\`, `\/`, `\u00e9`, `\ud83d\ude00`, "😀", " ", "}", "\x7f", `\u0000`}), 0, 4).Draw(t, "text"), "") + `"`
		}
		value = func(depth int) {
			space := pick("space", "", "", " ", "\n\t", "\r\n")
			b.WriteString(space)
			kinds := 7
			if depth > 4 {
				kinds = 4
			}
			switch rapid.IntRange(0, kinds).Draw(t, "kind") {
			case 0, 1:
				b.WriteString(text())
			case 2:
				b.WriteString(pick("number", "0", "-0", "12", "0.10", "-1.5e+3", "1E5", "123456789012345678901234567890"))
			case 3:
				b.WriteString(pick("word", "true", "false"))
			case 4:
				b.WriteString(pick("odd", "1", "1", "1", "1", "null", "05", "1.", `"\x"`, `"\ud800"`, "tru", "", "'a'", "\"a\nb\""))
			case 5:
				b.WriteString("[")
				for i := range rapid.IntRange(0, 4).Draw(t, "items") {
					if i > 0 {
						b.WriteString(",")
					}
					value(depth + 1)
				}
				b.WriteString("]")
			default:
				b.WriteString("{")
				for i := range rapid.IntRange(0, 4).Draw(t, "keys") {
					if i > 0 {
						b.WriteString(",")
					}
					b.WriteString(space + text() + space + ":")
					value(depth + 1)
				}
				b.WriteString("}")
			}
			b.WriteString(space)
		}
		value(0)
		if d := disagreement([]byte(b.String())); d != "" {
			t.Fatalf("%s\n%q", d, b.String())
		}
	})
}

// TOML and JSON that say the same give the same tree.
func TestSameTreeAsTOML(t *testing.T) {
	a, ps := tomlfile.Parse(source.NewFile("f.toml", []byte("machine = \"twin\"\nhours = 2310\n[seat]\n1in = { dia = \"14.97 14.98\", u = 0.10, known = true }\n[[remark]]\ntext = \"a\\nb\"\n[[remark]]\ntext = \"c\"\n")))
	b, qs := Parse(source.NewFile("f.json", []byte(`{"machine": "twin", "hours": 2310, "seat": {"1in": {"dia": "14.97 14.98", "u": 0.10, "known": true}}, "remark": [{"text": "a\nb"}, {"text": "c"}]}`)))
	if len(ps)+len(qs) > 0 {
		t.Fatal(ps, qs)
	}
	if shape(a) != shape(b) {
		t.Errorf("\n%s\n%s", shape(a), shape(b))
	}
}

func shape(n *written.Node) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d %q(", n.Kind, n.Text)
	for _, e := range n.Entries {
		fmt.Fprintf(&b, "%s=%s", e.Name, shape(e.Value))
	}
	for _, item := range n.Items {
		b.WriteString(shape(item))
	}
	return b.String() + ")"
}

func TestWideObject(t *testing.T) {
	var doc strings.Builder
	for i := range 4 * wide {
		fmt.Fprintf(&doc, ",\n\"k%d\": {\"a\": %d}", i, i)
	}
	root, problems := Parse(source.NewFile("f", []byte("{"+doc.String()[2:]+",\"k70\": 1, \"k2\": 1}")))
	if len(root.Entries) != 4*wide || len(problems) != 2 || problems[0].Other.String() != "f:71:1" || problems[1].Other.String() != "f:3:1" {
		t.Errorf("%d entries, %v", len(root.Entries), problems)
	}
}

// Lists are cut from one block: adding to one must not write into the next.
func TestListsKeepApart(t *testing.T) {
	root, _ := Parse(source.NewFile("f", []byte(`[[1], [2], {"a": 3}, {"b": 4}]`)))
	_ = append(root.Items[0].Items, root)
	_ = append(root.Items[2].Entries, written.Entry{Name: "x", Value: root})
	if root.Items[1].Items[0].Text != "2" || root.Items[3].Entries[0].Name != "b" {
		t.Error(shape(root))
	}
}

// Trees do not share memory with later parses, nor goroutines with each other.
func TestParallel(t *testing.T) {
	var group sync.WaitGroup
	for g := range 4 {
		group.Go(func() {
			var kept []*written.Node
			for i := range 50 {
				doc := fmt.Sprintf(`{"g": "%d", "i": ["%d", {"x": %d}]}`, g, i, i)
				root, problems := Parse(source.NewFile("f", []byte(doc)))
				if len(problems) > 0 {
					t.Error(problems)
				}
				kept = append(kept, root)
			}
			for i, root := range kept {
				list := root.Get("i").Items
				if root.Get("g").Text != strconv.Itoa(g) || list[0].Text != strconv.Itoa(i) || list[1].Get("x").Text != strconv.Itoa(i) {
					t.Errorf("goroutine %d, file %d was overwritten: %s", g, i, shape(root))
				}
			}
		})
	}
	group.Wait()
}

func FuzzParse(f *testing.F) {
	for _, doc := range []string{"{}", `{"a": [1, -0.5e3, "é\u00e9\ud83d\ude00", true, null]}`, `{"a":1,"a":2}`, "[1,]", "[[[[", "\"\\", "[05]", "\xef\xbb\xbf{}", `{"u": 0,05}`} {
		f.Add([]byte(doc))
	}
	f.Fuzz(func(t *testing.T, doc []byte) {
		doc = bytes.TrimPrefix(doc, []byte("\xef\xbb\xbf")) // passed over, as RFC 8259, section 8.1, allows
		_, problems := Parse(source.NewFile("doc.json", doc))
		for _, p := range problems {
			if p.Code == "" || p.Message == "" || p.At.File == nil || p.At.Start < 0 || p.At.End > len(doc) {
				t.Fatalf("%#v", p)
			}
		}
		source.Write(io.Discard, problems, source.Options{})
		if d := disagreement(doc); d != "" {
			t.Fatal(d)
		}
	})
}

func BenchmarkInspection(b *testing.B) {
	var doc strings.Builder
	doc.WriteString(`{"machine": "twin"`)
	for i := range 20 {
		fmt.Fprintf(&doc, `, "place_%d": {"groove": "deep", "tint": "brown or purple", "dia": "14.955 14.972 / 14.945 14.970", "u": 0.002}`, i)
	}
	doc.WriteString("}")
	data := []byte(doc.String())
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, problems := Parse(source.NewFile("f", data)); len(problems) > 0 {
			b.Fatal(problems)
		}
	}
}

func BenchmarkReference(b *testing.B) {
	var doc strings.Builder
	doc.WriteString(`{"machine": "twin"`)
	for i := range 20 {
		fmt.Fprintf(&doc, `, "place_%d": {"groove": "deep", "tint": "brown or purple", "dia": "14.955 14.972 / 14.945 14.970", "u": 0.002}`, i)
	}
	doc.WriteString("}")
	b.ReportAllocs()
	for b.Loop() {
		var v any
		if err := json.Unmarshal([]byte(doc.String()), &v); err != nil {
			b.Fatal(err)
		}
	}
}
