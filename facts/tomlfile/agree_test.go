package tomlfile

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	gotoml "github.com/pelletier/go-toml/v2"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// differ returns the first path at which a tree and what the reference library
// decoded say different things, or "".
func differ(path string, n *written.Node, want any) string {
	fault := func(format string, args ...any) string { return path + ": " + fmt.Sprintf(format, args...) }
	if n.At.End < n.At.Start || (n.Kind != written.Table && n.At.End == n.At.Start) {
		return fault("empty place %#v", n.At)
	}
	switch want := want.(type) {
	case map[string]any:
		if n.Kind != written.Table || len(n.Entries) != len(want) {
			return fault("%s with %d keys, want a table with %d", n.Kind, len(n.Entries), len(want))
		}
		for _, e := range n.Entries {
			value, ok := want[e.Name]
			if !ok {
				return fault("key %q too many", e.Name)
			}
			if e.At != e.Value.Key || e.At.End <= e.At.Start {
				return fault("key %q at %#v and %#v", e.Name, e.At, e.Value.Key)
			}
			if d := differ(path+"."+e.Name, e.Value, value); d != "" {
				return d
			}
		}
		return ""
	case []map[string]any:
		all := make([]any, len(want))
		for i := range want {
			all[i] = want[i]
		}
		return differ(path, n, all)
	case []any:
		if n.Kind != written.Array || len(n.Items) != len(want) {
			return fault("%s with %d items, want an array with %d", n.Kind, len(n.Items), len(want))
		}
		for i, item := range n.Items {
			if d := differ(fmt.Sprintf("%s[%d]", path, i), item, want[i]); d != "" {
				return d
			}
		}
		return ""
	case string:
		// TOML leaves it to the parser which line break a text keeps.
		if n.Kind != written.String || strings.ReplaceAll(n.Text, "\r\n", "\n") != strings.ReplaceAll(want, "\r\n", "\n") {
			return fault("%s %q, want the string %q", n.Kind, n.Text, want)
		}
	case int64:
		if v, ok := n.Int(); n.Kind != written.Integer || !ok || int64(v) != want {
			return fault("%s %q, want %d", n.Kind, n.Text, want)
		}
	case float64:
		if v, ok := n.Float(); n.Kind != written.Float || !ok || v != want && (v == v || want == want) {
			return fault("%s %q, want %v", n.Kind, n.Text, want)
		}
	case bool:
		if n.Kind != written.Bool || n.Text != fmt.Sprint(want) {
			return fault("%s %q, want %v", n.Kind, n.Text, want)
		}
	case time.Time:
		var again struct{ X time.Time }
		if _, err := toml.Decode("X = "+n.Text, &again); n.Kind != written.Date || err != nil || !again.X.Equal(want) {
			return fault("%s %q, want %v", n.Kind, n.Text, want)
		}
	default:
		return fault("the reference decoded a %T", want)
	}
	if n.Kind != written.String && string(n.At.Text()) != n.Text {
		return fault("place holds %q, text is %q", n.At.Text(), n.Text)
	}
	return ""
}

// disagreement compares Parse with the reference library on one document.
func disagreement(doc []byte) string {
	var want map[string]any
	_, err := toml.Decode(string(doc), &want)
	tree, problems := Parse(source.NewFile("doc.toml", doc))
	switch {
	case err != nil && len(problems) == 0:
		return "accepted, the reference says " + err.Error()
	case err == nil && len(problems) > 0:
		// The reference overlooks some clashes, a dotted key and then the key
		// itself for one: a second library is the judge.
		if gotoml.Unmarshal(doc, new(map[string]any)) != nil {
			return ""
		}
		return "refused with " + problems.Error() + ", the reference accepts"
	case err != nil:
		return ""
	}
	if want == nil {
		want = map[string]any{}
	}
	return differ("", tree, want)
}

// The published conformance suite of TOML (toml-lang/toml-test), as carried by
// the module of github.com/BurntSushi/toml v1.6.0: valid documents give the
// values the reference library decodes, invalid ones are refused.
func TestConformanceSuite(t *testing.T) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/BurntSushi/toml").Output()
	tests := filepath.Join(strings.TrimSpace(string(out)), "internal", "toml-test", "tests")
	if _, missing := os.Stat(tests); err != nil || missing != nil {
		t.Skip("the module's source is not at hand")
	}
	valid, invalid := 0, 0
	var loose []string
	err = filepath.WalkDir(tests, func(path string, d os.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".toml") {
			return err
		}
		doc, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(tests, path)
		if strings.HasPrefix(name, "valid") {
			valid++
			if d := disagreement(doc); d != "" {
				t.Errorf("%s: %s\n%s", name, d, doc)
			}
			return nil
		}
		if _, problems := Parse(source.NewFile(name, doc)); len(problems) == 0 {
			loose = append(loose, name)
			return nil
		}
		invalid++
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if valid < 150 || invalid < 300 {
		t.Errorf("only %d valid and %d invalid documents were tried", valid, invalid)
	}
	t.Log("accepted, though invalid by one edition:", loose)
}
