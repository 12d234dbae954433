package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/expr-lang/expr"

	"whyworn/engine"
	"whyworn/rules"
)

// BenchmarkLoad is 10,000 rules of three conditions: read from TOML as a
// stranger's pack, checked in full and compiled. Its floor is expr.Compile of
// the same conditions, those of a rule joined by and, in one shared
// environment: conditions only, without TOML, places, words or findings.
func BenchmarkLoad(b *testing.B) {
	const n = 10000
	lower := drawTests(n, 1)
	files := caseFiles(lower, nil)
	b.Run(fmt.Sprintf("ours/%d", n), func(b *testing.B) {
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			pack := loadFiles(b, files)
			if len(pack.Rules) != n {
				b.Fatalf("%d rules", len(pack.Rules))
			}
			compileFor(b, pack)
		}
		reportProcessor(b, begin)
	})
	// The two halves of ours.
	b.Run(fmt.Sprintf("read/%d", n), func(b *testing.B) {
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			loadFiles(b, files)
		}
		reportProcessor(b, begin)
	})
	b.Run(fmt.Sprintf("program/%d", n), func(b *testing.B) {
		pack, _ := rules.Load(files, "bench", rules.Checked)
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			if p, _ := engine.Compile(pack); p == nil {
				b.Fatal("does not compile")
			}
		}
		reportProcessor(b, begin)
	})
	texts := make([]string, n)
	for i, r := range lower {
		texts[i] = strings.Join([]string{r[0].String(), r[1].String(), r[2].String()}, " and ")
	}
	b.Run(fmt.Sprintf("floor/%d", n), func(b *testing.B) {
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			env := exprEnvironment()
			for _, text := range texts {
				if _, err := expr.Compile(text, expr.Env(env), expr.AsBool()); err != nil {
					b.Fatal(err)
				}
			}
		}
		reportProcessor(b, begin)
	})
}

// exprEnvironment is the forty properties of x with a value of their type each.
func exprEnvironment() map[string]any {
	x := map[string]any{}
	for p := range allProps {
		if p < wholes {
			x[propName(p)] = 0
		} else {
			x[propName(p)] = "a"
		}
	}
	return map[string]any{"x": x}
}
