package weigh

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
