// Package weigh is the arithmetic of evidence. Start with [Clue], which says
// how many decibans a sign adds to a cause or takes from it, [Selector], which
// says which clues count when several rest on the same observations, and
// [Posterior], which turns the prior and the counted sum into a probability.
//
// Everything weighed is one number, [Lambda], the likelihood ratio of the
// evidence for a finding with its prior left out; along a chain cause →
// weighed finding → sign it is exact, over and/or it is the cautious choice and
// not exact. The package knows no rules, no machine and no names: it computes
// with numbers that somebody else took from a pack.
//
// Sources: I. J. Good, Probability and the Weighing of Evidence (1950), for
// weight of evidence and the deciban; J. Pearl, Probabilistic Reasoning in
// Intelligent Systems (1988), § 2.2, for evidence of a finding handed on as its
// likelihood ratio. Both from memory.
package weigh
