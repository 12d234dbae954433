package truth

import "testing"

// The strong tables of Kleene 1952, § 64, rows and columns in the order
// unknown, false, true.
func TestKleeneTables(t *testing.T) {
	const u, f, w = Unknown, False, True
	and := [3][3]Truth{{u, f, u}, {f, f, f}, {u, f, w}}
	or := [3][3]Truth{{u, u, w}, {u, f, w}, {w, w, w}}
	not := [3]Truth{u, w, f}
	for a := Unknown; a <= True; a++ {
		if got := Not(a); got != not[a] {
			t.Errorf("not %v = %v", a, got)
		}
		for b := Unknown; b <= True; b++ {
			if got := And(a, b); got != and[a][b] {
				t.Errorf("%v and %v = %v", a, b, got)
			}
			if got := Or(a, b); got != or[a][b] {
				t.Errorf("%v or %v = %v", a, b, got)
			}
		}
	}
}

// A connective is decided exactly when every completion of its unknowns
// agrees (for one occurrence of each operand).
func TestConnectivesAgreeWithCompletions(t *testing.T) {
	completions := func(a Truth) []bool {
		switch a {
		case True:
			return []bool{true}
		case False:
			return []bool{false}
		}
		return []bool{false, true}
	}
	for a := Unknown; a <= True; a++ {
		for b := Unknown; b <= True; b++ {
			var ands, ors [2]bool
			for _, x := range completions(a) {
				for _, y := range completions(b) {
					ands[index(x && y)] = true
					ors[index(x || y)] = true
				}
			}
			if got, want := And(a, b), common(ands); got != want {
				t.Errorf("%v and %v = %v, completions say %v", a, b, got, want)
			}
			if got, want := Or(a, b), common(ors); got != want {
				t.Errorf("%v or %v = %v, completions say %v", a, b, got, want)
			}
		}
	}
}

func index(b bool) int {
	if b {
		return 1
	}
	return 0
}

func common(seen [2]bool) Truth {
	switch seen {
	case [2]bool{true, false}:
		return False
	case [2]bool{false, true}:
		return True
	}
	return Unknown
}

func TestTextThereAndBack(t *testing.T) {
	for a := Unknown; a <= True; a++ {
		text, err := a.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Truth
		if err := back.UnmarshalText(text); err != nil || back != a {
			t.Errorf("%v came back as %v, %v", a, back, err)
		}
	}
	var x Truth
	if err := x.UnmarshalText([]byte("maybe")); err == nil {
		t.Error("maybe was accepted as a truth value")
	}
}
