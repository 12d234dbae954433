package rules

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Readings that cannot be. Nothing is concluded from one: a slip of the pen
// would condemn a sound part, or send a worn one back. It counts as looked at
// and not told, so that its part is not refit either, and the warning at its
// place says what to do.
var (
	NotPossible  = source.Declare("not-possible", "a number lies outside what the pack says is possible")
	FarFromNew   = source.Declare("far-from-new", "a size is further from its size when new than wear can bring it")
	OverTheMeter = source.Declare("over-the-meter", "something ran longer than the meter says that the machine did")
)

// How far a reading may lie from the size when new; common practice, no source.
// Wear takes thousandths of a size: a tenth is a slip of a digit, and nothing
// wears to more metal than a hundredth of the size over the new one.
const (
	mostFromNew = 0.1
	mostGrown   = 0.01
)

// believable tells whether a number can be, and warns if not.
func (x *Fitter) believable(part int32, a *said, n measure.Number) bool {
	p := a.prop
	switch {
	case p.WhenNew != nil && n.IsValue() && !x.nearNew(part, a, -1, n.Lo, x.newOf(part, p), false):
		return false
	case p.Bounded && outside(n, p.Possible):
		x.notUsed(NotPossible, a.answer.Is.At, fmt.Sprintf("%s of %s cannot be %s: possible is %s", p.Name, x.l.Parts[part].Name,
			measure.Format(n, p.Unit, measure.Shortest), measure.Format(p.Possible, p.Unit, measure.Shortest)), 0, nil)
		return false
	case p.ByMeter && x.f.Hours != nil && n.Lo > x.f.Hours.Hi:
		x.ps.Addf(OverTheMeter, a.answer.Is.At, "%s of %s is %s, and the meter stands at %s: it is not used", p.Name, x.l.Parts[part].Name,
			measure.Format(n, p.Unit, measure.Shortest), measure.Format(*x.f.Hours, p.Unit, measure.Shortest)).Warn().
			Beside(x.in.Hours.At, "the meter").Hint("mend the one that is wrong; if the meter was changed, write the hours of all meters together")
		return false
	}
	return true
}

// outside tells whether no value that n may have lies within the range.
func outside(n, within measure.Number) bool { return n.Lo > within.Hi || n.Hi < within.Lo }

// believableSize tells whether all readings of a size can be, and warns of the
// first that cannot.
func (x *Fitter) believableSize(part int32, a *said, r *gauge.Readings) bool {
	p := a.prop
	fresh := x.newOf(part, p)
	if !p.Bounded && fresh == nil {
		return true
	}
	for i, spot := range r.Spots {
		v := spot.Value
		if r.Set != nil {
			v += r.Set.Size.Lo
		}
		if !x.nearNew(part, a, i, v, fresh, true) {
			return false
		}
		if p.Bounded && (v < p.Possible.Lo || v > p.Possible.Hi) {
			x.notUsed(NotPossible, readingAt(a.answer.Is, i), fmt.Sprintf("%s of %s cannot be %s: possible is %s", p.Name, x.l.Parts[part].Name,
				measure.FormatValue(v, p.Unit, measure.Shortest), measure.Format(p.Possible, p.Unit, measure.Shortest)), v, fresh)
			return false
		}
	}
	return true
}

// newOf is how large a size, or a number like it, is when new; nil where nobody
// gives it.
func (x *Fitter) newOf(part int32, p *vocab.Property) *measure.Number {
	if p.WhenNew == nil {
		return nil
	}
	d := x.l.Lookup(part, p.WhenNew)
	if d == nil || d.Value.Looked != vocab.Told || math.IsInf(d.Value.Number.Lo, 0) || math.IsInf(d.Value.Number.Hi, 0) || !(d.Value.Number.Lo > 0) {
		return nil
	}
	return &d.Value.Number
}

// nearNew warns of a value that wear cannot have brought so far from the size
// when new, or, with wears, to the side to which nothing wears. reading counts
// along the text from 0; -1 is all of it.
func (x *Fitter) nearNew(part int32, a *said, reading int, v float64, fresh *measure.Number, wears bool) bool {
	if fresh == nil {
		return true
	}
	p := a.prop
	mid := (fresh.Lo + fresh.Hi) / 2
	far := math.Abs(v-mid) > mostFromNew*mid
	grown := wears && (p.Layout.Inside && v < fresh.Lo-mostGrown*mid || !p.Layout.Inside && v > fresh.Hi+mostGrown*mid)
	if !far && !grown {
		return true
	}
	what := "where new is "
	if !far {
		what = "and wear cannot bring it there from "
	}
	at := a.answer.Is.At
	if reading >= 0 {
		at = readingAt(a.answer.Is, reading)
	}
	x.notUsed(FarFromNew, at, fmt.Sprintf("%s of %s reads %s, %s%s", p.Name, x.l.Parts[part].Name,
		measure.FormatValue(v, p.Unit, measure.Shortest), what, measure.Format(*fresh, p.Unit, measure.Shortest)), v, fresh)
	return false
}

// notUsed is the warning of a reading that cannot be.
func (x *Fitter) notUsed(code source.Code, at source.Span, message string, v float64, fresh *measure.Number) {
	p := x.ps.Addf(code, at, "%s; it is not used", message).Warn()
	if fresh != nil {
		for _, ten := range []float64{10, 0.1, 100, 0.01, 1000, 0.001} {
			if math.Abs(v*ten-fresh.Lo) < 0.02*fresh.Lo {
				p.Hint("a slip of the decimal point or of the unit?")
				break
			}
		}
	}
	if len(p.Hints) == 0 {
		p.Hint("look at the point, the sign and the unit")
	}
	if code == FarFromNew {
		p.Hint("read it again; if a part of another size is fitted, give its size when new in the machine file")
	} else {
		p.Hint("read it again; if it is so indeed, say so in a [[remark]]")
	}
}

// readingAt places reading i of a size, counted from 0 along the text.
func readingAt(n *written.Node, i int) source.Span {
	start, at := -1, -1
	for k, r := range []rune(n.Text + " ") {
		if between := unicode.IsSpace(r) || r == '/'; between && start >= 0 {
			if at++; at == i {
				return n.TextSpan(start, k)
			}
			start = -1
		} else if !between && start < 0 {
			start = k
		}
	}
	return n.At
}

// pendingNewAs is a property that says as what it is when new.
type pendingNewAs struct {
	of   *vocab.Property
	node *written.Node
}

// whenNew finds what says how large sizes, and the numbers that new_as likens to
// them, are when new.
func (l *loader) whenNew() {
	of := func(size *vocab.Property) *vocab.Property {
		mean := size.Kind.Property(size.ID + "_mean")
		if mean == nil {
			return nil
		}
		return size.Kind.BoundOf(mean, vocab.New)
	}
	for _, k := range l.pack.Vocabulary.Kinds {
		for _, p := range k.Properties {
			if p.Type == vocab.Size {
				p.WhenNew = of(p)
			}
		}
	}
	for _, x := range l.newAs {
		k := x.of.Kind
		size := k.Property(x.node.Text)
		switch {
		case size == nil:
			l.ps.Addf(condition.UnknownProperty, x.node.At, "a %s has no property %q", k.ID, x.node.Text).DidYouMean(x.node.Text, PropertyIDs(k))
		case size.Type != vocab.Size || x.of.Type != vocab.Number || size.Unit.Dim != x.of.Unit.Dim:
			l.ps.Addf(TypeMismatch, x.node.At, "property: new_as of %q names a size of the same sort of unit, %s is none", x.of.ID, size.Label())
		default:
			x.of.WhenNew = of(size)
		}
	}
}

// possible reads possible = "0 to 2 mm", run_by_meter and new_as.
func (l *loader) possible(p *vocab.Property, r *written.Reader) (newAs *written.Node) {
	n := r.Text("possible")
	p.ByMeter, _ = r.Bool("run_by_meter")
	newAs = r.Text("new_as")
	if n == nil {
		return newAs
	}
	number := p.Type == vocab.Number || p.Type == vocab.Whole || p.Type == vocab.Size
	if !number {
		l.ps.Addf(TypeMismatch, n.At, "property: %s of %q takes no %q", p.Type, p.ID, "possible")
		return newAs
	}
	if p.Unit == nil {
		return newAs // told already
	}
	w, ok := writtenQuantity(n, p.Unit, &l.ps)
	switch {
	case !ok:
	case w.Number.IsValue():
		l.ps.Addf(TypeMismatch, n.At, "property: possible is a range, this is one value").Hint("write possible = \"0 to %s\"", strings.TrimSpace(n.Text))
	default:
		p.Possible, p.Bounded = w.Number, true
	}
	return newAs
}
