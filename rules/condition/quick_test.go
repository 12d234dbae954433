package condition

import (
	"bufio"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/expr-lang/expr/parser"
	"pgregory.net/rapid"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// sameTree compares the quick tree of a text with expr's; it tells whether
// there was a quick one.
func sameTree(t interface {
	Helper()
	Fatalf(string, ...any)
}, text string) bool {
	t.Helper()
	c := checker{text: text, scope: &Scope{}}
	c.node = nodeOf(text)
	if !c.lex() || !c.scan() {
		return false
	}
	n := c.quickTree()
	if n == nil {
		return false
	}
	tree, err := parser.ParseWithConfig(c.lend(), grammar)
	if err != nil {
		t.Fatalf("%q: expr refuses it (%v), we made a tree", text, err)
	}
	if !reflect.DeepEqual(n, tree.Node) {
		t.Fatalf("%q: expr makes\n%s\nwe make\n%s", text, tree.Node, n)
	}
	return true
}

// The quick way gives expr's own trees, places included, or steps aside: over
// the conditions of the tables, and over pieces put together at random.
func TestQuickTreesAreThoseOfExpr(t *testing.T) {
	f, err := os.Open("testdata/good.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, quickly := 0, 0
	for s := bufio.NewScanner(f); s.Scan(); {
		if l := s.Text(); !strings.HasPrefix(l, "\t") && !strings.HasPrefix(l, "# ") && l != "" {
			all++
			if sameTree(t, l) {
				quickly++
			}
		}
	}
	if quickly*10 < all*9 {
		t.Errorf("of %d sound conditions only %d are read quickly", all, quickly)
	}
	pieces := []string{
		"seat", ".rust", ".in", ".not", ".p", "x.y", " not ", " in ", " and ", " or ", " == ", " != ", " < ", ">=", "(", ")", "(", ")", "[", "]", ", ", "#", "'a'", "12", "0.5", "1.", "-", "+", "*", "/",
		"any(", "max(", "mean(seats, ", "count(", "others(", "fn(", "len(", "reduce(", "find(", "true", "nil", "?", ":", "..", "{", "}", ";", "|", "99999999999999999999", "abs(", "not in", "map(",
	}
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		for range 40 {
			var b strings.Builder
			for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(pieces)-1), 1, 9).Draw(t, "pieces") {
				b.WriteString(pieces[i])
			}
			if sameTree(t, b.String()) {
				seen++
			}
		}
	})
	if seen == 0 {
		t.Error("no random text was read quickly")
	}
}

// Sound conditions at random: operators and groups nested as they come.
func TestQuickTreesOfSoundConditions(t *testing.T) {
	missed, made := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			text := soundText(t, 4, false)
			made++
			if !sameTree(t, text) {
				missed++
			}
		}
	})
	if missed*4 > made {
		t.Errorf("%d of %d were left to expr", missed, made)
	}
}

func soundText(t *rapid.T, depth int, inside bool) string {
	more := func() string { return soundText(t, depth-1, inside) }
	if depth == 0 {
		leaves := []string{"seat.rust", "arm.seat.shaft", "'blue'", "0.05*mm", "7", "seat", "seat.in.not"}
		if inside {
			leaves = append(leaves, ".rust", "#", ".shaft.seats", "#.rust")
		}
		return rapid.SampledFrom(leaves).Draw(t, "leaf")
	}
	op := rapid.SampledFrom([]string{" and ", " or ", " == ", " != ", " < ", " >= ", " + ", " - ", "*", "/", " in ", " not in "}).Draw(t, "op")
	switch rapid.IntRange(0, 7).Draw(t, "form") {
	case 0:
		return "(" + more() + ")"
	case 1:
		return "not " + more()
	case 2:
		return "-" + more()
	case 3:
		fn := rapid.SampledFrom([]string{"any", "all", "none", "count", "sum", "filter", "map", "max", "median", "mean", "min"}).Draw(t, "fn")
		return fmt.Sprintf("%s(%s, %s)", fn, more(), soundText(t, depth-1, true))
	case 4:
		return fmt.Sprintf("wear(%s, %s).rate", more(), more())
	case 5:
		return more() + op + "['a', " + more() + "]"
	}
	return more() + op + more()
}

func nodeOf(text string) *written.Node {
	f := source.NewFile("t.toml", []byte(`"`+text+`"`))
	return &written.Node{Kind: written.String, Text: text, At: f.At(0, len(text)+2)}
}
