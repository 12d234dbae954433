package condition_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"whyworn/rules/condition"
)

// A shared condition is what a fresh reading gives, in its own place, and only
// for the same names and the same purpose.
func TestSharedConditionsAreThoseReadAfresh(t *testing.T) {
	eaches := []string{
		"seat:shaft_seat arm:rocker_arm shaft:rocker_shaft job:work",
		"seat:rocker_arm arm:shaft_seat shaft:rocker_shaft job:work", // the same names for other kinds
		"other:shaft_seat seat:shaft_seat arm:rocker_arm shaft:rocker_shaft",
	}
	hits := 0
	rapid.Check(t, func(t *rapid.T) {
		text := write(t).ours
		var shared condition.Shared
		seen := map[*condition.Expr]bool{}
		for range 2 {
			for _, each := range eaches {
				for _, want := range []condition.Want{condition.WantBool, condition.WantSign} {
					plain, sharing := scope(each), scope(each)
					sharing.Shared = &shared
					n := node(text)
					a, problemsA := condition.Parse(n, plain, want)
					b, problemsB := condition.Parse(n, sharing, want)
					if fmt.Sprint(problemsA) != fmt.Sprint(problemsB) || (a == nil) != (b == nil) {
						t.Fatalf("%s over %s: %v, shared %v", text, each, problemsA, problemsB)
					}
					if a == nil {
						continue
					}
					if b.Node != n || dump(a.Root, plain) != dump(b.Root, sharing) || fmt.Sprint(a.Deps) != fmt.Sprint(b.Deps) || len(a.Ties) != len(b.Ties) {
						t.Fatalf("%s over %s differs when shared", text, each)
					}
					if seen[b.Root] {
						hits++
					}
					seen[b.Root] = true
				}
			}
		}
	})
	if hits == 0 {
		t.Error("nothing was ever shared")
	}
}
