package gauge

import (
	"fmt"
	"math"
	"slices"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
)

// Instrument is what is known of the worth of a reading. All standard
// uncertainties in base units; 0: not known.
type Instrument struct {
	Resolution  float64 // display step; adds step/√12 to each reading (JCGM 100:2008, F.2.2.1)
	Reading     float64 // standard uncertainty of one reading, independent from reading to reading
	Calibration float64 // standard uncertainty shared by all readings of the instrument
	// Source is the id of the calibration, the same wherever the instrument is used.
	Source int32
}

// Conditions are what readings were taken under.
type Conditions struct {
	Instrument *Instrument // nil: nothing known, sizes come without uncertainty
	// NewSource gives the id of one more independent source. It is called once
	// for each reading that has an uncertainty of its own, in the order of the
	// readings. Required where such readings occur.
	NewSource func() int32
	// Part is the part's temperature and expansion; Tool the instrument's. nil:
	// at 20 °C (ISO 1).
	Part, Tool *Thermal
	// K is the coverage factor of the guard band, for the worn side.
	K float64
	// Inside: a bore, which wears larger; its worn side is where it is largest.
	Inside bool
}

// Size is what the readings of one size come to, in base units, at 20 °C.
type Size struct {
	Readings   []measure.Number // row by row
	Rows, Cols int

	Largest, Smallest, Mean measure.Number
	// OutOfRound is the greatest difference round the part at one station
	// along; known with two columns or more.
	OutOfRound      measure.Number
	OutOfRoundKnown bool
	// Taper is the greatest difference along the part at one angle; known with
	// two rows or more. (Both as workshop manuals define them: common practice, no source.)
	Taper      measure.Number
	TaperKnown bool
	// WornSide is the angle in degrees, in [0, period), at which the size is
	// least (of a bore: largest) in the row that is most out of round; a range
	// where neighbouring angles cannot be told apart, whose end may pass the
	// period. See WornSideReason when not known.
	WornSide       measure.Number
	WornSideKnown  bool
	WornSideReason Reason
	// UThatWouldShow is the largest standard uncertainty of out-of-round at which
	// it would lie outside the guard band, base units; 0 unless the reason is Inside.
	UThatWouldShow float64
}

// Reason tells why a worn side is not known.
type Reason uint8

const (
	Shown       Reason = iota // it is known
	NoAngles                  // angles not declared, or fewer than two
	Round                     // no difference round the part
	InsideGuard               // out-of-round lies inside the guard band
	Everywhere                // the angles that may be it do not lie on one side
)

// String is the reason in words.
func (r Reason) String() string {
	switch r {
	case Shown:
		return "known"
	case NoAngles:
		return "the angles of the readings are not known"
	case Round:
		return "the readings show no difference round the part"
	case InsideGuard:
		return "out-of-round is undecided at this uncertainty"
	case Everywhere:
		return "several sides may be it"
	}
	return "reason?"
}

// Derived gives a derived number by its name: largest, smallest, mean,
// out_of_round, taper or worn_side; false when it is not known.
func (s *Size) Derived(name string) (measure.Number, bool) {
	switch name {
	case "largest":
		return s.Largest, true
	case "smallest":
		return s.Smallest, true
	case "mean":
		return s.Mean, true
	case "out_of_round":
		return s.OutOfRound, s.OutOfRoundKnown
	case "taper":
		return s.Taper, s.TaperKnown
	case "worn_side":
		return s.WornSide, s.WornSideKnown
	}
	return measure.Number{}, false
}

// Evaluate corrects the readings to 20 °C and works out the sizes. Of each, u
// follows from moving every source up and down (see measure.Propagate), so
// what all readings share cancels in their differences. The error is about
// temperatures outside the domain of the correction.
func (r *Readings) Evaluate(c Conditions) (Size, error) {
	if r.Rows*r.Cols != len(r.Spots) || len(r.Spots) == 0 {
		return Size{}, fmt.Errorf("%d readings do not make %d rows of %d", len(r.Spots), r.Rows, r.Cols)
	}
	if _, _, given := r.ownUncertainty(c.Instrument); given && c.NewSource == nil {
		return Size{}, fmt.Errorf("readings with an uncertainty of their own, and no NewSource to name it")
	}
	s := Size{Readings: r.numbers(c), Rows: r.Rows, Cols: r.Cols}
	if c.Part != nil || c.Tool != nil {
		for i := range s.Readings {
			n, err := Correct(s.Readings[i], c.Part, c.Tool)
			if err != nil {
				return Size{}, err
			}
			s.Readings[i] = n
		}
	}
	s.OutOfRoundKnown, s.TaperKnown = s.Cols > 1, s.Rows > 1
	s.workOut()
	s.findWornSide(r.Layout, c)
	return s, nil
}

// workOut gives the numbers that are worked out of the readings.
func (s *Size) workOut() {
	if !slices.ContainsFunc(s.Readings, func(n measure.Number) bool { return n.Terms != nil || !n.IsValue() }) {
		s.workOutExact()
		return
	}
	moves, ok := measure.MovesOf(s.Readings, nil)
	if !ok {
		return
	}
	through := func(f func([]float64) float64) measure.Number {
		n, _ := moves.Through(func(x []float64) (float64, bool) { return f(x), true })
		return n
	}
	s.Largest, s.Smallest, s.Mean = through(largest), through(smallest), through(mean)
	if s.OutOfRoundKnown {
		s.OutOfRound = through(s.outOfRound)
	}
	if s.TaperKnown {
		s.Taper = through(s.taper)
	}
}

// workOutExact is workOut of readings without uncertainty.
func (s *Size) workOutExact() {
	x := make([]float64, 0, 24)
	for i := range s.Readings {
		x = append(x, s.Readings[i].Lo)
	}
	s.Largest, s.Smallest, s.Mean = measure.Exact(largest(x)), measure.Exact(smallest(x)), measure.Exact(mean(x))
	if s.OutOfRoundKnown {
		s.OutOfRound = measure.Exact(s.outOfRound(x))
	}
	if s.TaperKnown {
		s.Taper = measure.Exact(s.taper(x))
	}
}

// numbers gives each reading its value and terms, before correction.
func (r *Readings) numbers(c Conditions) []measure.Number {
	single, step, given := r.ownUncertainty(c.Instrument)
	out := make([]measure.Number, len(r.Spots))
	var calibration float64
	var terms []measure.Term // of all readings, one after the other
	if given {
		terms = make([]measure.Term, 0, 2*len(r.Spots))
		if c.Instrument != nil {
			calibration = c.Instrument.Calibration
		}
	}
	for i, spot := range r.Spots {
		out[i] = measure.Exact(spot.Value)
		if given {
			first := len(terms)
			if calibration > 0 {
				terms = append(terms, measure.Term{Source: c.Instrument.Source, U: calibration})
			}
			if u := spot.uncertainty(single, step); u > 0 {
				terms = append(terms, measure.Term{Source: c.NewSource(), U: u})
			}
			own := terms[first:len(terms):len(terms)]
			if len(own) == 2 && own[0].Source >= own[1].Source {
				own = measure.Reading(spot.Value, own...).Terms
			}
			out[i].Terms = own
		}
		if r.Set != nil {
			own := out[i].Terms
			out[i] = out[i].Add(r.Set.Size)
			if !given || r.Set.Size.Terms == nil {
				out[i].Terms = own // the ring's share alone would pass for the whole
			}
		}
	}
	return out
}

// ownUncertainty is what a spot's reading by itself is uncertain by: the standard
// uncertainty of a single value, and of the step; given tells whether anything is
// known.
//
//	u² = u_reading²/n + step²/12      without repeats of more than one value
//	u² = s²/n + step²/12              with them
//
// n the values at the spot; s their standard deviation pooled over all spots,
// s² = Σ squared deviations / Σ(n − 1) (JCGM 100:2008, 4.2.3 and 4.2.4; the
// step once, since all repeats may be rounded alike). The larger of s and
// u_reading counts: few repeats can agree by chance.
func (r *Readings) ownUncertainty(in *Instrument) (single, step float64, given bool) {
	var squares float64
	free := 0
	for _, s := range r.Spots {
		squares += s.squares
		free += s.Repeats - 1
	}
	if in != nil {
		single, step = in.Reading, measure.UOfResolution(in.Resolution)
	}
	if free > 0 {
		single = max(single, math.Sqrt(squares/float64(free)))
	}
	return single, step, free > 0 || in != nil && (in.Reading > 0 || in.Resolution > 0 || in.Calibration > 0)
}

func (s *Spot) uncertainty(single, step float64) float64 {
	return math.Hypot(single/math.Sqrt(float64(max(s.Repeats, 1))), step)
}

func largest(x []float64) float64 {
	m := x[0]
	for _, v := range x[1:] {
		m = max(m, v)
	}
	return m
}

func smallest(x []float64) float64 {
	m := x[0]
	for _, v := range x[1:] {
		m = min(m, v)
	}
	return m
}

// mean sums differences from the first, so that equal readings have exactly
// their own value as mean.
func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v - x[0]
	}
	return x[0] + sum/float64(len(x))
}

func (s *Size) outOfRound(x []float64) float64 {
	var m float64
	for row := 0; row < len(x); row += s.Cols {
		m = max(m, largest(x[row:row+s.Cols])-smallest(x[row:row+s.Cols]))
	}
	return m
}

func (s *Size) taper(x []float64) float64 {
	var m float64
	for col := range s.Cols {
		lo, hi := x[col], x[col]
		for i := col; i < len(x); i += s.Cols {
			lo, hi = min(lo, x[i]), max(hi, x[i])
		}
		m = max(m, hi-lo)
	}
	return m
}

// findWornSide takes the row that is most out of round and asks which of its
// angles may be the worn one.
func (s *Size) findWornSide(l Layout, c Conditions) {
	if s.Cols < 2 || len(l.Angles) != s.Cols {
		s.WornSideReason = NoAngles
		return
	}
	row, spread := 0, -1.0
	for i := range s.Rows {
		if d := s.rowSpread(i); d > spread {
			row, spread = i, d
		}
	}
	readings := s.Readings[row*s.Cols : (row+1)*s.Cols]
	worn, full := 0, 0
	for i, n := range readings {
		if n.Lo < readings[worn].Lo {
			worn = i
		}
		if n.Lo > readings[full].Lo {
			full = i
		}
	}
	larger, smaller := readings[full], readings[worn]
	if c.Inside {
		worn = full
	}
	switch apart := measure.Compare(measure.Gt, larger, smaller, c.K); {
	case apart.Truth == truth.False:
		s.WornSideReason = Round
		return
	case apart.Truth != truth.True:
		s.WornSideReason, s.UThatWouldShow = InsideGuard, apart.UThatWouldDecide
		return
	}
	candidates := make([]float64, 0, 16)
	for i, n := range readings {
		a, b := n, readings[worn]
		if c.Inside {
			a, b = b, a
		}
		if i == worn || measure.Compare(measure.Gt, a, b, c.K).Truth != truth.True {
			candidates = append(candidates, l.Angles[i])
		}
	}
	lo, width, ok := arc(candidates, l.period())
	if !ok {
		s.WornSideReason = Everywhere
		return
	}
	s.WornSide = measure.Between(lo, lo+width)
	if s.Largest.Terms != nil {
		s.WornSide.Terms = []measure.Term{} // its uncertainty is in the range
	}
	s.WornSideKnown = true
}

func (s *Size) rowSpread(row int) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range s.Readings[row*s.Cols : (row+1)*s.Cols] {
		lo, hi = min(lo, n.Lo), max(hi, n.Lo)
	}
	return hi - lo
}
