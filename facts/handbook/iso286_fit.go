package handbook

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// ToleranceLimits are the limits of one toleranced size, such as "18 H7".
type ToleranceLimits struct {
	Nominal float64 // mm
	Class   string  // "H7"
	Letter  string  // "H"; a capital is a hole
	Grade   int     // 7
	Lower   float64 // mm, smallest size allowed
	Upper   float64 // mm, largest size allowed
	// Deviations from the nominal size, µm.
	LowerDeviation, UpperDeviation float64
}

// Hole tells whether the class is that of a hole.
func (t ToleranceLimits) Hole() bool { return t.Letter == strings.ToUpper(t.Letter) }

// FitLimits are the limits of a hole and a shaft of one nominal size, such as
// "18 H7/f7". Clearances are bore less shaft, mm; negative is interference.
type FitLimits struct {
	Nominal                    float64 // mm
	Hole, Shaft                ToleranceLimits
	MinClearance, MaxClearance float64 // mm
	Kind                       string  // "clearance", "transition" or "interference"
}

var fitKinds = []string{"clearance", "transition", "interference"}

var (
	sizeText  = regexp.MustCompile(`^\s*(?:[Øø⌀]\s*)?([0-9]+(?:[.,][0-9]+)?)\s*(?:mm\s*)?([A-Za-z]{1,2})\s*([0-9]{1,2})\s*$`)
	classText = regexp.MustCompile(`^\s*([A-Za-z]{1,2})\s*([0-9]{1,2})\s*$`)
)

// Tolerance reads a toleranced size of ISO 286, "18 H7" or "Ø18 f7", nominal
// size in mm, and returns its limits. Errors are *OutOfDomain, or tell how to
// write it.
func Tolerance(text string) (ToleranceLimits, error) {
	m := sizeText.FindStringSubmatch(text)
	if m == nil {
		return ToleranceLimits{}, fmt.Errorf("%q is not a toleranced size\nhint: write the nominal size in mm, a letter and a grade, such as 18 H7", text)
	}
	return tolerance(m[1], m[2], m[3])
}

func tolerance(nominal, letter, grade string) (ToleranceLimits, error) {
	t := ToleranceLimits{Letter: letter, Class: letter + grade}
	var err error
	if strings.Contains(nominal, ",") {
		return t, fmt.Errorf("a comma in the size %q\nhint: write %s", nominal, strings.Replace(nominal, ",", ".", 1))
	}
	if t.Nominal, err = strconv.ParseFloat(nominal, 64); err != nil {
		return t, fmt.Errorf("%q is not a size", nominal)
	}
	if t.Grade, err = strconv.Atoi(grade); err != nil {
		return t, fmt.Errorf("%q is not a grade", grade)
	}
	whole := strconv.Quote(nominal + " " + t.Class)
	if t.Nominal <= 0 || t.Nominal > 500 {
		return t, &OutOfDomain{Entry: "tolerance", Param: "nominal", Value: nominal + " mm", Domain: "over 0 to 500 mm"}
	}
	lo, hi, err := deviations(t.Nominal, letter, t.Grade)
	if o, ok := err.(*OutOfDomain); ok {
		o.Entry = "tolerance"
		if o.Value == "" {
			o.Value = map[string]string{"letter": letter, "grade": "IT" + grade, "nominal": nominal + " mm"}[o.Param] + " in " + whole
		}
	}
	if err != nil {
		return t, err
	}
	t.LowerDeviation, t.UpperDeviation = lo+0, hi+0 // +0: no negative zero
	t.Lower, t.Upper = roundNano(t.Nominal+lo/1000), roundNano(t.Nominal+hi/1000)
	return t, nil
}

// Fit reads a fit of ISO 286, "18 H7/f7", and returns both limits and the
// clearances.
func Fit(text string) (FitLimits, error) {
	left, right, ok := strings.Cut(text, "/")
	m, s := sizeText.FindStringSubmatch(left), classText.FindStringSubmatch(right)
	if !ok || m == nil || s == nil {
		return FitLimits{}, fmt.Errorf("%q is not a fit\nhint: write the nominal size in mm, the hole's class and the shaft's, such as 18 H7/f7", text)
	}
	hole, err := tolerance(m[1], m[2], m[3])
	if err != nil {
		return FitLimits{}, err
	}
	shaft, err := tolerance(m[1], s[1], s[2])
	if err != nil {
		return FitLimits{}, err
	}
	if !hole.Hole() || shaft.Hole() {
		return FitLimits{}, fmt.Errorf("%q: the hole comes first with a capital letter, then the shaft with a small one\nhint: write 18 H7/f7", text)
	}
	f := FitLimits{Nominal: hole.Nominal, Hole: hole, Shaft: shaft}
	f.MinClearance = roundNano((hole.LowerDeviation - shaft.UpperDeviation) / 1000)
	f.MaxClearance = roundNano((hole.UpperDeviation - shaft.LowerDeviation) / 1000)
	switch {
	case f.MinClearance >= 0:
		f.Kind = "clearance"
	case f.MaxClearance <= 0:
		f.Kind = "interference"
	default:
		f.Kind = "transition"
	}
	return f, nil
}

func iso286FitEntries() []*Entry {
	const source = "ISO 286-1:2010 and ISO 286-2:2010 (shafts e to p, holes E to H up to 80 mm read; d, js, r, s and larger sizes from memory)"
	const domain = "sizes over 0 to 500 mm (r and s to 120 mm); " + letterDomain + "; IT1 to IT18"
	limitNames := []string{"EI", "ES", "ei", "es"}
	return []*Entry{
		entry(Entry{
			Name:    "fundamental_deviation",
			Title:   "Fundamental deviation of a tolerance class, ISO 286",
			Formula: "table value of the letter; holes D to H mirror the shafts; holes K to S take Δ = IT(n) − IT(n−1) where the standard says so",
			Params:  []Param{word("size", "toleranced size, such as 18 f7").like("18 f7")},
			Results: []Param{anyNumber("deviation", "µm", "the deviation the letter fixes"), word("limit", "which limit it is: EI, ES of a hole, ei, es of a shaft", limitNames...)},
			Domain:  domain, Source: source,
		}, func(a []Arg) ([]float64, error) {
			t, err := Tolerance(a[0].Text)
			if err != nil {
				return nil, err
			}
			limit, d := fundamental(t.Letter, t.LowerDeviation, t.UpperDeviation)
			return []float64{d, indexOf(limitNames, limit)}, nil
		}),
		entry(Entry{
			Name:    "tolerance_limits",
			Title:   "Limits of a toleranced size such as 18 H7, ISO 286",
			Formula: "lower = nominal + lower deviation; upper = lower + IT",
			Params:  []Param{word("size", "nominal size in mm, letter, grade").like("18 H7")},
			Results: []Param{
				anyNumber("lower", "mm", "smallest size allowed"), anyNumber("upper", "mm", "largest size allowed"),
				anyNumber("lower_deviation", "µm", "EI or ei"), anyNumber("upper_deviation", "µm", "ES or es"),
			},
			Domain: domain, Source: source,
			Cautions: []string{"limits are for a part at 20 °C, new; a wear limit is another figure and comes from the maker"},
		}, func(a []Arg) ([]float64, error) {
			t, err := Tolerance(a[0].Text)
			if err != nil {
				return nil, err
			}
			return []float64{t.Lower, t.Upper, t.LowerDeviation, t.UpperDeviation}, nil
		}),
		entry(Entry{
			Name:    "fit",
			Title:   "Limits and clearances of a fit such as 18 H7/f7, ISO 286",
			Formula: "least clearance = EI − es; greatest clearance = ES − ei; negative is interference",
			Params:  []Param{word("fit", "nominal size in mm, hole class / shaft class").like("18 H7/f7")},
			Results: []Param{
				anyNumber("min_clearance", "µm", "smallest hole less largest shaft"),
				anyNumber("max_clearance", "µm", "largest hole less smallest shaft"),
				word("kind", "kind of fit", fitKinds...),
				anyNumber("EI", "µm", "lower deviation of the hole"), anyNumber("ES", "µm", "upper deviation of the hole"),
				anyNumber("ei", "µm", "lower deviation of the shaft"), anyNumber("es", "µm", "upper deviation of the shaft"),
			},
			Domain: domain, Source: source,
			Cautions: []string{"clearance is the whole difference of the diameters, as a dial shows it, not half", "a printed web table of fits that read 30 mm as the range over 30 was found wrong; the upper end belongs to its range"},
		}, func(a []Arg) ([]float64, error) {
			f, err := Fit(a[0].Text)
			if err != nil {
				return nil, err
			}
			return []float64{
				f.Hole.LowerDeviation - f.Shaft.UpperDeviation, f.Hole.UpperDeviation - f.Shaft.LowerDeviation, indexOf(fitKinds, f.Kind),
				f.Hole.LowerDeviation, f.Hole.UpperDeviation, f.Shaft.LowerDeviation, f.Shaft.UpperDeviation,
			}, nil
		}),
	}
}
