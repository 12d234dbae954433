// Package frequency holds the words with which an author may say how often a
// cause shows a sign, and the published numbers they stand for. Start with
// [Of].
package frequency

import "slices"

// Word is a word an author may write for how often a sign shows, and
// the published number it stands for, a frequency in (0, 1).
type Word struct {
	Text  string
	Value float64
}

// The medians of what some 230 science writers said each word means, in parts
// of 1; the source prints per cent with one decimal.
//
// Source: F. Mosteller and C. Youtz, Quantifying Probabilistic Expressions,
// Statistical Science 5(1), 1990, Table 2. Not read in the paper itself: seen
// alike in two copies of its table, but for "very often",
// "more often than not", "as often as not", "once in a while", "now and then" and
// "very seldom", which only one of the two carries.
//
// "always" and "never" are left out on purpose, although their medians are 0.997
// and 0.003: an author who writes them means a rule, not a clue, and would
// get 25 decibans without seeing the number. Write the number where it is meant.
var words = []Word{
	{"almost always", 0.917},
	{"very often", 0.828},
	{"usually", 0.751},
	{"often", 0.725},
	{"more often than not", 0.598},
	{"as often as not", 0.500},
	{"sometimes", 0.250},
	{"occasionally", 0.200},
	{"once in a while", 0.153},
	{"now and then", 0.151},
	{"seldom", 0.102},
	{"rarely", 0.072},
	{"very seldom", 0.049},
	{"very rarely", 0.030},
	{"almost never", 0.029},
}

// Of is the published number for a word of frequency, and whether the
// word is one. Words are written as in [All]: lower case, one space.
func Of(word string) (float64, bool) {
	for _, f := range words {
		if f.Text == word {
			return f.Value, true
		}
	}
	return 0, false
}

// All lists the words of frequency, most frequent first.
func All() []Word { return slices.Clone(words) }
