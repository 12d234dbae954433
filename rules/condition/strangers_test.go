package condition_test

import (
	"bufio"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/expr-lang/expr/parser"

	"whyworn/rules/condition"
)

// texts are all the conditions of the two tables.
func texts(t testing.TB) []string {
	var list []string
	for _, file := range []string{"testdata/good.txt", "testdata/bad.txt"} {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for s := bufio.NewScanner(f); s.Scan(); {
			if l := s.Text(); !strings.HasPrefix(l, "\t") && !strings.HasPrefix(l, "# ") {
				list = append(list, l)
			}
		}
	}
	return list
}

// What strangers write: never a panic, an answer or at least one problem,
// all ranges and places inside the text, words for every problem.
func FuzzParse(f *testing.F) {
	for _, s := range texts(f) {
		f.Add(s)
	}
	for _, s := range []string{
		"", " ", "\x00", "\xff\xfe", "seat.\xffrust", "'\xff'", "é", "#", "(", strings.Repeat("(", 200), strings.Repeat("not ", 400), strings.Repeat("-", 4000),
		"max(max(max(", "max", "max(", "sum  (shaft.seats, max(.arms, .torque))", "any(any(any(", "seat.rust /*", "seat.rust //", "a?b:c", "if a{b}else{c}", "{", "}", "{seat", "{{}}}",
		"seat.tint in [", "not in", "x not", "1 < 2 < 3", "seat.wear*mm*N/s", "1*degC*degC", "80*degC - 2*degC > 1", "-80*degC < shaft.temperature", "::", "a::b", "#a", "##", "..", "a..b", "x|y()", "9e999", "9.9e", "seat.wear/(1-1)",
	} {
		f.Add(s)
	}
	bound := words.Kind("rocker_arm").Property("radial_play")
	f.Fuzz(func(t *testing.T, text string) {
		n := node(text)
		runes := len([]rune(text))
		within := func(e *condition.Expr) {}
		within = func(e *condition.Expr) {
			if e.From < 0 || e.To < e.From || e.To > runes {
				t.Fatalf("%q: a node from %d to %d", text, e.From, e.To)
			}
			if e.Op == condition.Bad || e.Type.K == condition.KBad || e.Type.Bare {
				t.Fatalf("%q: a node is left unsettled: %+v", text, e)
			}
			for _, a := range e.Args {
				within(a)
			}
		}
		told := func(c *condition.Condition, ps interface{ Error() string }, none bool) {
			if (c == nil) == none {
				t.Fatalf("%q: neither answer nor problem, or both: %v", text, ps)
			}
			if c != nil {
				within(c.Root)
			}
		}
		for _, want := range []condition.Want{condition.WantBool, condition.WantNumber, condition.WantSign} {
			c, ps := condition.Parse(n, all, want)
			told(c, ps, len(ps) == 0)
			for _, p := range ps {
				if p.Message == "" || p.At.Start < n.At.Start || p.At.End > n.At.End || p.At.End < p.At.Start {
					t.Fatalf("%q: %+v", text, p)
				}
			}
		}
		c, ps := condition.ParseNumber(n, all, bound)
		told(c, ps, len(ps) == 0)
		if tmpl, ps := condition.ParseTemplate(n, all); (tmpl == nil) != (len(ps) > 0) {
			t.Fatalf("%q: %v", text, ps)
		} else if tmpl != nil {
			for _, p := range tmpl.Pieces {
				if p.Expr != nil {
					within(p.Expr)
				}
			}
		}
		condition.ParseHead(n, all)
	})
}

// The loader reads conditions in several goroutines. (Worth running with -race.)
func TestSeveralGoroutines(t *testing.T) {
	list := texts(t)
	var wg sync.WaitGroup
	say := func(text string) string {
		c, ps := condition.Parse(node(text), all, condition.WantBool)
		if c == nil {
			return fmt.Sprint(tell(ps))
		}
		return dump(c.Root, all)
	}
	want := make([]string, len(list))
	for i, s := range list {
		want[i] = say(s)
	}
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i, s := range list {
				if got := say(s); got != want[i] {
					t.Errorf("%s: %s, alone %s", s, got, want[i])
				}
			}
		}()
	}
	wg.Wait()
}

func BenchmarkParse(b *testing.B) {
	for _, c := range []struct{ name, text string }{
		{"choice", "seat.tint >= 'purple'"},
		{"play", "arm.bore_largest - arm.seat.diameter_smallest > 0.05*mm"},
		{"any", "any(shaft.seats, .tint >= 'blue' and .shaft == shaft)"},
		{"lent", "max(shaft.seats, .wear) > 0.1"},
		{"and", "not (seat.rust or seat.overheated) and seat.found == 'missing'"},
	} {
		n := node(c.text)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, ps := condition.Parse(n, all, condition.WantBool); ps != nil {
					b.Fatal(ps)
				}
			}
		})
		b.Run(c.name+"/grammar_alone", func(b *testing.B) { // expr's parser, for comparison
			b.ReportAllocs()
			for b.Loop() {
				if _, err := parser.Parse(strings.ReplaceAll(c.text, "max", "sum")); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
