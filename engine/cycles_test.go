package engine_test

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"whyworn/engine"
)

// clueOf is a clue from a sign to a cause of the unit.
func clueOf(cause, sign string) string {
	return fmt.Sprintf("[[clue]]\nid = \"%[1]s-by-%[2]d\"\ncause = \"x.%[1]s\"\neach = { x = \"unit\" }\nsign = %[3]q\nwhen_so = 0.8\notherwise = 0.1\n", cause, len(sign), sign)
}

func ruleOf(id, head, conditions string) string {
	return fmt.Sprintf("[[rule]]\nid = %q\neach = { x = \"unit\" }\nif = [%s]\n%s\n", id, conditions, head)
}

// Circles by property, through clues and rules together: the smallest pack of
// each sort, refused where something on the way must be known first, and the way
// written out. Plain conditions and any may recur.
func TestCircles(t *testing.T) {
	const words = `[[property]]
of = "unit"
id = "next"
refers_to = "unit"
reverse = "prior"
[[finding]]
of = "unit"
id = "c"
sort = "cause"
how_common = 0.1
[[finding]]
of = "unit"
id = "d"
sort = "cause"
how_common = 0.1
[[finding]]
of = "unit"
id = "e"
sort = "damage"
[[computed]]
of = "unit"
id = "m"
unit = "mm"
`
	plain := ruleOf("e-of-a", `then = "x.e"`, `"x.a"`) + clueOf("d", "x.a")
	for _, x := range []struct{ name, statements, want string }{
		{"a clue and a rule", clueOf("c", "x.e") + ruleOf("e-of-c", `then = "x.e"`, `"x.c"`) + clueOf("d", "x.a"),
			"unit.c must first know unit.e (clue c-by-3), which reads unit.c (rule e-of-c)"},
		{"two clues", clueOf("c", "x.d") + clueOf("d", "x.c") + ruleOf("e-of-a", `then = "x.e"`, `"x.a"`),
			"unit.c must first know unit.d (clue c-by-3), which must first know unit.c (clue d-by-3)"},
		{"a clue on its own cause elsewhere", clueOf("c", "x.next.c") + plain, "unit.c must first know unit.c (clue c-by-8)"},
		{"a clue that applies only if", strings.Replace(clueOf("c", "x.a"), "sign =", "if = [\"x.c\"]\nsign =", 1) + plain, "unit.c must first know unit.c (clue c-by-3)"},
		{"rivals", clueOf("c", "x.e") + clueOf("d", "x.a") + ruleOf("e-of-d", `then = "x.e"`, `"x.d"`) + "[[rivals]]\nid = \"r\"\neach = { x = \"unit\" }\ncauses = [\"x.c\", \"x.d\"]\n",
			"unit.c must first know unit.e (clue c-by-3), which reads unit.d (rule e-of-d), which reads unit.c (rivals r)"},
		{"all of a list", plain + ruleOf("c-of-all", `then = "x.c"`, `"all(x.prior, .c)"`), "unit.c must first know unit.c (rule c-of-all)"},
		{"none of a list", plain + ruleOf("c-of-none", `then = "x.c"`, `"none(x.prior, .c)"`), "unit.c must first know unit.c (rule c-of-none)"},
		{"a count", plain + ruleOf("c-of-two", `then = "x.c"`, `"count(x.prior, .c) >= 2"`), "unit.c must first know unit.c (rule c-of-two)"},
		{"an exception", plain + strings.Replace(ruleOf("c-unless-c", `then = "x.c"`, `"x.a"`), "then", "unless = [\"x.next.c\"]\nthen", 1), "unit.c must first know unit.c (rule c-unless-c)"},
		{"a number", plain + ruleOf("m-of-m", `set = { "x.m" = "x.next.m + x.n" }`, `"x.a"`) + ruleOf("c-of-m", `then = "x.c"`, `"x.m > 1*mm"`), "unit.m must first know unit.m (rule m-of-m)"},
		{"a ruling-out", plain + ruleOf("c-of-a", `then = "x.c"`, `"x.a"`) + ruleOf("not-c", `rules_out = "x.c"`, `"x.next.c"`), "unit.c must first know unit.c (rule not-c)"},

		{"any of a list", plain + ruleOf("c-of-any", `then = "x.c"`, `"any(x.prior, .c)"`), ""},
		{"a plain condition", plain + ruleOf("c-of-next", `then = "x.c"`, `"x.next.c"`), ""},
		{"rivals that nothing else joins", clueOf("c", "x.a") + plain + "[[rivals]]\nid = \"r\"\neach = { x = \"unit\" }\ncauses = [\"x.c\", \"x.d\"]\n", ""},
		{"links alone", plain + clueOf("c", "x.a") + "[[link]]\nid = \"l\"\neach = { x = \"unit\" }\nfrom = \"x.c\"\nto = \"x.e\"\nhow = \"so\"\n[[link]]\nid = \"m\"\neach = { x = \"unit\" }\nfrom = \"x.e\"\nto = \"x.c\"\nhow = \"so\"\n", ""},
	} {
		t.Run(x.name, func(t *testing.T) {
			_, ps := engine.Compile(loadFiles(t, fstest.MapFS{"pack.toml": {Data: []byte(plainVocabulary + words + x.statements)}}))
			switch {
			case x.want == "":
				if len(ps) > 0 {
					t.Errorf("refused: %v", ps)
				}
			case len(ps) != 1 || ps[0].Code != engine.StrictCycle || ps[0].At.IsZero() || len(ps[0].Hints) == 0:
				t.Errorf("%v", ps)
			case ps[0].Message != x.want:
				t.Errorf("%q, want %q", ps[0].Message, x.want)
			}
		})
	}
}
