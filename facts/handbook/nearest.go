package handbook

import "strings"

// fold makes spelling differences that mean nothing equal: case, spaces,
// underscores, hyphens.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '_', '-', '/', ',':
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// nearest returns the word with the fewest edits from s (an insertion, a
// deletion, a change or a swap of neighbours counts 1), the first of equals;
// "" when there is no word.
func nearest(s string, words []string) string {
	best, at := "", 1<<30
	for _, w := range words {
		if d := edits([]rune(fold(s)), []rune(fold(w))); d < at {
			best, at = w, d
		}
	}
	return best
}

// edits is the optimal string alignment distance.
func edits(a, b []rune) int {
	if len(a) > 64 {
		a = a[:64]
	}
	var before, row, next []int
	row = make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next = make([]int, len(b)+1)
		next[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row = row, next
	}
	return row[len(b)]
}
