package source

import (
	"strings"
	"unicode"
)

// longestWord is the length in runes past which words are only compared for
// being the same: keeps the cost of a stranger's long key small.
const longestWord = 64

// Nearest returns the name among those given that word was probably meant to
// be. Distance is optimal string alignment (insert, delete, replace or swap two
// neighbours, each 1), case, spaces, underscores and hyphens ignored. Near
// enough is a third of the longer word's runes, at least 1; words under three
// runes must agree. Of equally near names the first in byte order is taken, so
// the answer does not depend on the order of among.
func Nearest(word string, among []string) (string, bool) {
	plain := plainWord(word)
	if len(plain) == 0 {
		return "", false
	}
	best, bestDistance := "", -1
	for _, name := range among {
		if name == word {
			continue
		}
		other := plainWord(name)
		limit := max(len(plain), len(other)) / 3
		if bestDistance >= 0 {
			limit = min(limit, bestDistance)
		}
		d := alignment(plain, other, limit)
		if d > limit || len(other) == 0 {
			continue
		}
		if bestDistance < 0 || d < bestDistance || name < best {
			best, bestDistance = name, d
		}
	}
	return best, bestDistance >= 0
}

func plainWord(s string) []rune {
	s = strings.ToLower(s)
	out := make([]rune, 0, len(s))
	for _, r := range s {
		if r != '_' && r != '-' && !unicode.IsSpace(r) {
			out = append(out, r)
		}
	}
	return out
}

// alignment returns the optimal string alignment distance of a and b, or
// anything above limit when it is above limit.
func alignment(a, b []rune, limit int) int {
	if len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	if len(a) > longestWord || len(b) > longestWord {
		if string(a) == string(b) {
			return 0
		}
		return limit + 1
	}
	var rows [3][longestWord + 1]int
	before, last, row := &rows[0], &rows[1], &rows[2]
	for j := range b {
		last[j+1] = j + 1
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			d := last[j]
			if a[i] != b[j] {
				d++
			}
			d = min(d, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				d = min(d, before[j-1]+1)
			}
			row[j+1] = d
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
