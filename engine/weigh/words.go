package weigh

import "slices"

// Word is the published word for a probability p in [0, 1]:
//
//	p ≥ 0.99         virtually certain
//	0.90 ≤ p < 0.99  very likely
//	0.66 ≤ p < 0.90  likely
//	0.33 < p < 0.66  about as likely as not
//	0.10 < p ≤ 0.33  unlikely
//	0.01 < p ≤ 0.10  very unlikely
//	p ≤ 0.01         exceptionally unlikely
//
// The published ranges are nested (likely is 66 to 100 %) and share their
// bounds; the strongest word that fits is taken, which keeps the two halves
// mirror images. Bounds allow the rounding of the weights, like [State].
//
// Source: Mastrandrea et al., Guidance Note for Lead Authors of the IPCC Fifth
// Assessment Report on Consistent Treatment of Uncertainties (2010), Table 1;
// the numbers as other publications quote them, not read in the note itself.
func Word(p float64) string {
	switch {
	case atLeast(p, 0.99):
		return "virtually certain"
	case atLeast(p, 0.90):
		return "very likely"
	case atLeast(p, 0.66):
		return "likely"
	case atMost(p, 0.01):
		return "exceptionally unlikely"
	case atMost(p, 0.10):
		return "very unlikely"
	case atMost(p, 0.33):
		return "unlikely"
	}
	return "about as likely as not"
}

// FrequencyWord is a word an author may write for how often a sign shows, and
// the published number it stands for, a frequency in (0, 1).
type FrequencyWord struct {
	Word  string
	Value float64
}

// The medians of what some 230 science writers said each word means, in parts
// of 1; the source prints per cent with one decimal.
//
// Source: F. Mosteller and C. Youtz, Quantifying Probabilistic Expressions,
// Statistical Science 5(1), 1990, Table 2. Not read in the paper itself: seen
// alike in two independent copies of its table, but for "very often",
// "more often than not", "as often as not", "once in a while", "now and then" and
// "very seldom", which only one of the two carries.
//
// "always" and "never" are left out on purpose, although their medians are 0.997
// and 0.003: an author who writes them means a rule, not a clue, and would
// get 25 decibans without seeing the number. Write the number where it is meant.
var frequencies = []FrequencyWord{
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

// Frequency is the published number for a word of frequency, and whether the
// word is one. Words are written as in [Frequencies]: lower case, one space.
func Frequency(word string) (float64, bool) {
	for _, f := range frequencies {
		if f.Word == word {
			return f.Value, true
		}
	}
	return 0, false
}

// Frequencies lists the words of frequency, most frequent first.
func Frequencies() []FrequencyWord { return slices.Clone(frequencies) }
