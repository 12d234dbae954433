package measure

import "math"

// Number is a quantity known, partly known or with uncertainty, in coherent
// base units. Lo == Hi is one value; unequal ends are a range, ±Inf ends a
// bound. An open end is itself excluded.
//
// Terms nil means that no uncertainty was given. Terms empty but not nil means
// that what was given cancelled.
type Number struct {
	Lo, Hi         float64
	LoOpen, HiOpen bool
	Terms          []Term // sorted by Source, one for each; never changed in place
}

// Term is the signed contribution, sensitivity × standard uncertainty, of one
// independent source, in base units.
type Term struct {
	Source int32
	U      float64
}

// Exact is one value without uncertainty given.
func Exact(x float64) Number { return Number{Lo: x, Hi: x} }

// Between is a closed range.
func Between(lo, hi float64) Number { return Number{Lo: lo, Hi: hi} }

// Reading is one value with the terms of its sources, which are sorted and
// joined here. Shared sources must come with the same id.
func Reading(x float64, terms ...Term) Number {
	return Number{Lo: x, Hi: x, Terms: joinTerms(terms)}
}

// joinTerms returns a sorted copy, terms of one source added.
func joinTerms(terms []Term) []Term {
	out := make([]Term, 0, len(terms))
	for _, t := range terms {
		i := len(out)
		for i > 0 && out[i-1].Source > t.Source {
			i--
		}
		if i > 0 && out[i-1].Source == t.Source {
			out[i-1].U += t.U
			continue
		}
		out = append(out, Term{})
		copy(out[i+1:], out[i:])
		out[i] = t
	}
	kept := out[:0]
	for _, t := range out {
		if t.U != 0 {
			kept = append(kept, t)
		}
	}
	return kept
}

// IsValue tells whether n is one value.
func (n Number) IsValue() bool { return n.Lo == n.Hi }

// IsBounded tells whether both ends are finite.
func (n Number) IsBounded() bool { return !math.IsInf(n.Lo, 0) && !math.IsInf(n.Hi, 0) }

// U is the combined standard uncertainty, the root of the sum of squares of the
// terms (JCGM 100:2008, 5.1.2, sources independent); 0 without terms.
func (n Number) U() float64 {
	var sum float64
	for _, t := range n.Terms {
		sum += t.U * t.U
	}
	return math.Sqrt(sum)
}

// Neg is −n.
func (n Number) Neg() Number {
	out := Number{Lo: 0 - n.Hi, Hi: 0 - n.Lo, LoOpen: n.HiOpen, HiOpen: n.LoOpen}
	if n.Terms != nil {
		out.Terms = make([]Term, len(n.Terms))
		for i, t := range n.Terms {
			out.Terms[i] = Term{t.Source, -t.U}
		}
	}
	return out
}

// Add is n + m; contributions of a shared source add with their signs.
func (n Number) Add(m Number) Number {
	return Number{
		Lo: n.Lo + m.Lo, Hi: n.Hi + m.Hi,
		LoOpen: n.LoOpen || m.LoOpen, HiOpen: n.HiOpen || m.HiOpen,
		Terms: mergeTerms(n.Terms, m.Terms, 1),
	}
}

// Sub is n − m; contributions of a shared source subtract, so they cancel where equal.
func (n Number) Sub(m Number) Number {
	return Number{
		Lo: n.Lo - m.Hi, Hi: n.Hi - m.Lo,
		LoOpen: n.LoOpen || m.HiOpen, HiOpen: n.HiOpen || m.LoOpen,
		Terms: mergeTerms(n.Terms, m.Terms, -1),
	}
}

// Scale is c·n for an exact constant c.
func (n Number) Scale(c float64) Number {
	out := n
	out.Lo, out.Hi = times(c, n.Lo), times(c, n.Hi)
	if c < 0 {
		out.Lo, out.Hi, out.LoOpen, out.HiOpen = out.Hi, out.Lo, n.HiOpen, n.LoOpen
	}
	if n.Terms != nil {
		out.Terms = make([]Term, 0, len(n.Terms))
		for _, t := range n.Terms {
			if c*t.U != 0 {
				out.Terms = append(out.Terms, Term{t.Source, c * t.U})
			}
		}
	}
	return out
}

// cancelled is how small, relative to the larger of two terms, their sum must be to
// be nothing but rounding: a float64 keeps 2e-16 of each, and each may be some
// hundred operations old.
const cancelled = 1e-12

// mergeTerms is a + sign·b, what cancels dropped; nil only if both are nil.
func mergeTerms(a, b []Term, sign float64) []Term {
	if a == nil && b == nil {
		return nil
	}
	out := make([]Term, 0, len(a)+len(b))
	for w := (termWalk{a: a, b: b}); w.next(); {
		if u := w.ua + sign*w.ub; !(math.Abs(u) <= cancelled*max(math.Abs(w.ua), math.Abs(w.ub))) {
			out = append(out, Term{w.source, u})
		}
	}
	return out
}

// termWalk visits the sources of two lists in order, without allocating.
type termWalk struct {
	a, b   []Term
	source int32
	ua, ub float64
}

func (w *termWalk) next() bool {
	switch {
	case len(w.a) == 0 && len(w.b) == 0:
		return false
	case len(w.b) == 0 || (len(w.a) > 0 && w.a[0].Source < w.b[0].Source):
		w.source, w.ua, w.ub, w.a = w.a[0].Source, w.a[0].U, 0, w.a[1:]
	case len(w.a) == 0 || w.b[0].Source < w.a[0].Source:
		w.source, w.ua, w.ub, w.b = w.b[0].Source, 0, w.b[0].U, w.b[1:]
	default:
		w.source, w.ua, w.ub = w.a[0].Source, w.a[0].U, w.b[0].U
		w.a, w.b = w.a[1:], w.b[1:]
	}
	return true
}

// times is x·y with 0·∞ = 0: an end of a product of ranges.
func times(x, y float64) float64 {
	if x == 0 || y == 0 {
		return 0
	}
	return x * y
}

type end struct {
	x    float64
	open bool
}

func (n Number) ends() [2]end { return [2]end{{n.Lo, n.LoOpen}, {n.Hi, n.HiOpen}} }

// Mul is n·m. Each source moves both factors together, up and down; the larger
// change counts, with the sign of the upward move. Of a range the end with the
// largest change counts.
func (n Number) Mul(m Number) Number {
	var out Number
	first := true
	for _, p := range n.ends() {
		for _, q := range m.ends() {
			// A closed zero makes the corner reached whatever the other end.
			open := (p.open && !(q.x == 0 && !q.open)) || (q.open && !(p.x == 0 && !p.open))
			out.widen(times(p.x, q.x), open, first)
			first = false
		}
	}
	if n.Terms != nil || m.Terms != nil {
		out.Terms = make([]Term, 0, len(n.Terms)+len(m.Terms))
		for w := (termWalk{a: n.Terms, b: m.Terms}); w.next(); {
			var worst float64
			for _, a := range [2]float64{n.Lo, n.Hi} {
				for _, b := range [2]float64{m.Lo, m.Hi} {
					if math.IsInf(a, 0) || math.IsInf(b, 0) {
						continue
					}
					linear, square := a*w.ub+b*w.ua, w.ua*w.ub
					worst = larger(worst, signedMove(linear+square, -linear+square))
				}
			}
			if worst != 0 {
				out.Terms = append(out.Terms, Term{w.source, worst})
			}
		}
	}
	return out
}

func (n *Number) widen(x float64, open, first bool) {
	if first || x < n.Lo {
		n.Lo, n.LoOpen = x, open
	} else if x == n.Lo {
		n.LoOpen = n.LoOpen && open
	}
	if first || x > n.Hi {
		n.Hi, n.HiOpen = x, open
	} else if x == n.Hi {
		n.HiOpen = n.HiOpen && open
	}
	if math.IsInf(n.Lo, 0) {
		n.LoOpen = false
	}
	if math.IsInf(n.Hi, 0) {
		n.HiOpen = false
	}
}

// signedMove is the larger of the two changes, with the sign of the upward move
// (of the downward one reversed where the upward move changes nothing).
func signedMove(up, down float64) float64 {
	u := math.Max(math.Abs(up), math.Abs(down))
	if up < 0 || (up == 0 && down > 0) {
		return -u
	}
	return u
}

func larger(a, b float64) float64 {
	if math.Abs(b) > math.Abs(a) {
		return b
	}
	return a
}

// Div is n/m by the same moves; false when m can be zero, or a move of it by its
// uncertainty reaches zero.
func (n Number) Div(m Number) (Number, bool) {
	if m.Lo <= 0 && m.Hi >= 0 && !(m.Lo == 0 && m.LoOpen) && !(m.Hi == 0 && m.HiOpen) {
		return Number{}, false
	}
	var out Number
	first := true
	for _, p := range n.ends() {
		for _, q := range m.ends() {
			var x float64
			switch {
			case p.x == 0 || math.IsInf(q.x, 0) && !math.IsInf(p.x, 0):
				x = 0
			case q.x == 0: // an open end at zero: the quotient grows without bound
				x = math.Inf(sign(p.x) * sign(m.Lo+m.Hi))
			case math.IsInf(p.x, 0) && math.IsInf(q.x, 0):
				x = 0 // the quotient may come as near to 0 as it likes; the other corners give the far end
			default:
				x = p.x / q.x
			}
			open := (p.open || q.open || math.IsInf(q.x, 0)) && !(p.x == 0 && !p.open)
			out.widen(x, open, first)
			first = false
		}
	}
	if n.Terms != nil || m.Terms != nil {
		out.Terms = make([]Term, 0, len(n.Terms)+len(m.Terms))
		for w := (termWalk{a: n.Terms, b: m.Terms}); w.next(); {
			var worst float64
			for _, a := range [2]float64{n.Lo, n.Hi} {
				for _, b := range [2]float64{m.Lo, m.Hi} {
					if math.IsInf(a, 0) || math.IsInf(b, 0) {
						continue
					}
					if w.ub != 0 && math.Abs(w.ub) >= math.Abs(b) {
						return Number{}, false
					}
					if b == 0 {
						return Number{}, false
					}
					up, down := (a+w.ua)/(b+w.ub)-a/b, (a-w.ua)/(b-w.ub)-a/b
					worst = larger(worst, signedMove(up, down))
				}
			}
			if worst != 0 {
				out.Terms = append(out.Terms, Term{w.source, worst})
			}
		}
	}
	return out, true
}

func sign(x float64) int {
	if x < 0 {
		return -1
	}
	return 1
}
