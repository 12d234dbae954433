package rules

import (
	"math"
	"strings"
	"unicode/utf8"

	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Codes of values.
var (
	BadNumber     = source.Declare("bad-number", "a number or its unit is not written as it can be read, or is of another quantity")
	NotWhole      = source.Declare("not-whole", "a whole number has a fraction or an unit")
	UnknownChoice = source.Declare("unknown-choice", "a value is none of the property's choices")
)

// quantity reads a number with its unit. A bare number is taken only where the
// property has no unit.
func quantity(n *written.Node, unit *measure.Unit, ps *source.Problems) (measure.Number, bool) {
	w, ok := writtenQuantity(n, unit, ps)
	return w.Number, ok
}

func writtenQuantity(n *written.Node, unit *measure.Unit, ps *source.Problems) (measure.Written, bool) {
	if n.Kind != written.String && !n.IsNumber() {
		p := ps.Addf(written.WrongKind, n.At, "a number is needed here, this is %s", n.Kind)
		if unit != nil && unit.Symbol != "1" {
			p.Hint("write it with its unit, in quotes: \"1.5 %s\"", unit.Symbol)
		}
		return measure.Written{}, false
	}
	text := n.Text
	if n.Kind == written.Integer {
		text = strings.ReplaceAll(text, "_", "")
	}
	w, err := measure.ParseNumber(text, unit)
	if err != nil {
		p := numberProblem(n, err, ps)
		if n.Kind != written.String && len(p.Hints) > 0 && unit != nil {
			p.Hints = []string{"write it with its unit, in quotes: \"" + text + " " + unit.Symbol + "\""}
		}
		return w, false
	}
	if unit != nil && w.Unit.Symbol == "1" && unit.Symbol != "1" { // 12 is not 12 %
		ps.Addf(BadNumber, n.At, "a unit is missing after %s", w.Text).Hint("write \"%s %s\"", w.Text, unit.Symbol)
		return w, false
	}
	return w, true
}

// whole tells whether a number is whole, and the problem if not.
func whole(n *written.Node, x measure.Number, p *vocab.Property, ps *source.Problems) bool {
	for _, e := range [2]float64{x.Lo, x.Hi} {
		if !math.IsInf(e, 0) && e != math.Trunc(e) {
			ps.Addf(NotWhole, n.At, "%s is a whole number, this is %s", p.Label(), n.Text)
			return false
		}
	}
	return true
}

// readValue reads the value of any property but sizes and references. False
// means that nothing was told: the text is empty, or there is a problem.
func readValue(p *vocab.Property, n *written.Node, ps *source.Problems) (vocab.Value, bool) {
	if n.Kind == written.String {
		switch strings.TrimSpace(n.Text) {
		case "":
			return vocab.Value{}, false
		case "?":
			return vocab.Value{Looked: vocab.CouldNotTell}, true
		}
	}
	v := vocab.Value{Looked: vocab.Told}
	switch p.Type {
	case vocab.YesNo, vocab.Choice:
		mask, ok := readChoice(p, n, ps)
		if !ok {
			return vocab.Value{}, false
		}
		if v.Mask = mask; mask == allChoices(p) { // says nothing
			v = vocab.Value{Looked: vocab.CouldNotTell}
		}
	case vocab.Number, vocab.Whole:
		x, ok := quantity(n, p.Unit, ps)
		if !ok || p.Type == vocab.Whole && !whole(n, x, p, ps) {
			return vocab.Value{}, false
		}
		v.Number = x
	case vocab.Text:
		if n.Kind != written.String {
			q := ps.Addf(written.WrongKind, n.At, "%s takes a string, this is %s", p.Label(), n.Kind)
			if n.Kind != written.Table && n.Kind != written.Array {
				q.Hint("put it in quotes: \"%s\"", n.Text)
			}
			return vocab.Value{}, false
		}
		v.Text = n.Text
	default:
		ps.Addf(NotDeclarable, n.At, "%s is %s and cannot be written here", p.Label(), p.Type)
		return vocab.Value{}, false
	}
	return v, true
}

func allChoices(p *vocab.Property) uint64 {
	if p.Type == vocab.YesNo {
		return vocab.Yes | vocab.No
	}
	return 1<<len(p.Choices) - 1
}

var yesNo = []string{"no", "yes"}

// readChoice reads one choice, several joined by "or", or for ordered choices
// "at least …" and "at most …": the set of those that are possible.
func readChoice(p *vocab.Property, n *written.Node, ps *source.Problems) (uint64, bool) {
	choices := p.Choices
	if p.Type == vocab.YesNo {
		choices = yesNo
		if n.Kind == written.Bool {
			if n.Text == "true" {
				return vocab.Yes, true
			}
			return vocab.No, true
		}
	}
	if n.Kind != written.String {
		q := ps.Addf(written.WrongKind, n.At, "%s takes one of its choices in quotes, this is %s", p.Label(), n.Kind)
		choicesHint(q, choices)
		return 0, false
	}
	if mask := oneChoice(n.Text, choices); mask != 0 {
		return mask, true
	}
	text, from := n.Text, 0
	trim := func() {
		t := strings.TrimLeft(text, " \t")
		from += len(text) - len(t)
		text = strings.TrimRight(t, " \t")
	}
	trim()
	for i, bound := range [2]string{"at least ", "at most "} {
		rest, ok := strings.CutPrefix(text, bound)
		if !ok {
			continue
		}
		if !p.Ordered {
			ps.Addf(condition.NotOrdered, n.At, "the choices of %s have no order, so that none is more than another", p.Label()).
				Hint("name those it may be: \"%s or %s\"", choices[0], choices[len(choices)-1])
			return 0, false
		}
		text, from = rest, from+len(bound)
		trim()
		mask := oneChoice(text, choices)
		if mask == 0 {
			unknownChoice(p, n, text, from, choices, ps)
			return 0, false
		}
		if i == 0 {
			return allChoices(p) &^ (mask - 1), true
		}
		return mask | (mask - 1), true
	}
	var all uint64
	ok := true
	for whole, start := text, from; ; {
		piece, rest, more := strings.Cut(whole, " or ")
		text, from = piece, start
		trim()
		mask := oneChoice(text, choices)
		if mask == 0 {
			unknownChoice(p, n, text, from, choices, ps)
			ok = false
		}
		all |= mask
		if !more {
			return all, ok
		}
		start += len(piece) + len(" or ")
		whole = rest
	}
}

func oneChoice(text string, choices []string) uint64 {
	for i, c := range choices {
		if c == text {
			return 1 << i
		}
	}
	return 0
}

// unknownChoice tells that text, at byte from of the node's, is none of the
// choices.
func unknownChoice(p *vocab.Property, n *written.Node, text string, from int, choices []string, ps *source.Problems) {
	start := utf8.RuneCountInString(n.Text[:min(from, len(n.Text))])
	q := ps.Addf(UnknownChoice, n.TextSpan(start, start+max(1, utf8.RuneCountInString(text))), "%q is none of the choices of %s", text, p.Label())
	if p.ID == "found" && foundWords[text] != "" {
		q.Hint("write %q", foundWords[text])
	} else {
		q.DidYouMean(text, choices)
	}
	if strings.ContainsAny(text, ",/") {
		q.Hint("join what is possible by or: \"%s or %s\"", choices[0], choices[len(choices)-1])
	}
	choicesHint(q, choices)
}

func choicesHint(q *source.Problem, choices []string) {
	q.Hint("choices are %s", strings.Join(choices, ", "))
}

// foundWords are words people write for found, with the choice that means it.
var foundWords = map[string]string{
	"gone": "missing", "lost": "missing", "absent": "missing", "not fitted": "missing", "not_fitted": "missing", "none": "missing", "no": "missing",
	"present": "in_place", "there": "in_place", "yes": "in_place", "ok": "in_place", "fitted": "in_place",
	"broken": "in_pieces", "swapped": "anothers", "reversed": "turned_round",
}
