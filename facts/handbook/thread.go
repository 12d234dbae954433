package handbook

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// threadPitches holds the pitches in mm of the ISO metric threads M3 to M36 of
// ISO 261 (first choice and the usual second choice), the coarse one first.
// From memory; those in testdata were read.
var threadPitches = map[float64][]float64{
	3: {0.5, 0.35}, 4: {0.7, 0.5}, 5: {0.8, 0.5}, 6: {1, 0.75},
	8: {1.25, 1, 0.75}, 10: {1.5, 1.25, 1, 0.75}, 12: {1.75, 1.5, 1.25, 1},
	14: {2, 1.5, 1.25, 1}, 16: {2, 1.5, 1}, 18: {2.5, 2, 1.5, 1}, 20: {2.5, 2, 1.5, 1},
	22: {2.5, 2, 1.5, 1}, 24: {3, 2, 1.5, 1}, 27: {3, 2, 1.5, 1}, 30: {3.5, 3, 2, 1.5, 1},
	33: {3.5, 3, 2, 1.5}, 36: {4, 3, 2, 1.5},
}

// A metricThread is an ISO metric thread; sizes in mm.
type metricThread struct{ d, p float64 }

// Basic dimensions of ISO 724 on the triangle of ISO 68-1, H = (√3/2) P.
func (t metricThread) pitchDiameter() float64 { return t.d - 3*math.Sqrt(3)/8*t.p }   // d2 = D2 = d − 0.6495 P
func (t metricThread) minorInternal() float64 { return t.d - 5*math.Sqrt(3)/8*t.p }   // D1 = d − 1.0825 P
func (t metricThread) minorExternal() float64 { return t.d - 17*math.Sqrt(3)/24*t.p } // d3 = d − 1.2269 P

// stressArea is the nominal stress area of ISO 898-1, mm²:
//
//	As = π/4 ((d2 + d3)/2)² = π/4 (d − 0.9382 P)²
func (t metricThread) stressArea() float64 {
	ds := (t.pitchDiameter() + t.minorExternal()) / 2
	return math.Pi / 4 * ds * ds
}

var threadText = regexp.MustCompile(`^\s*[Mm]\s*([0-9]+(?:\.[0-9]+)?)\s*(?:[x×X*]\s*([0-9]+(?:\.[0-9]+)?))?\s*$`)

// parseThread reads "M10" (coarse) or "M10x1.25".
func parseThread(text string) (metricThread, error) {
	m := threadText.FindStringSubmatch(strings.Replace(text, ",", ".", 2))
	if m == nil {
		return metricThread{}, refuse("thread", "an ISO metric thread M3 to M36", "write M10 for the coarse thread, M10x1.25 for a fine one")
	}
	d, _ := strconv.ParseFloat(m[1], 64) // the pattern is a number
	pitches, ok := threadPitches[d]
	if !ok {
		return metricThread{}, refuse("thread", "an ISO metric thread M3 to M36 of ISO 261", "sizes held: "+threadSizes())
	}
	if m[2] == "" {
		return metricThread{d, pitches[0]}, nil
	}
	p, _ := strconv.ParseFloat(m[2], 64)
	if !slices.Contains(pitches, p) {
		return metricThread{}, refuse("thread", fmt.Sprintf("M%s with pitch %s mm", m[1], joinNumbers(pitches)), "")
	}
	return metricThread{d, p}, nil
}

func threadSizes() string {
	var ds []float64
	for d := range threadPitches {
		ds = append(ds, d)
	}
	slices.Sort(ds)
	parts := make([]string, len(ds))
	for i, d := range ds {
		parts[i] = "M" + number(d)
	}
	return strings.Join(parts, " ")
}

func joinNumbers(vs []float64) string {
	parts := make([]string, len(vs))
	for i, v := range vs {
		parts[i] = number(v)
	}
	return strings.Join(parts, ", ")
}

func threadParam() Param {
	return word("thread", "ISO metric thread: M10 is coarse, M10x1.25 fine").like("M10x1.25")
}

// withThread makes an entry whose first argument is a thread.
func withThread(e Entry, f func(t metricThread, a []Arg) ([]float64, error)) *Entry {
	return entry(e, func(a []Arg) ([]float64, error) {
		t, err := parseThread(a[0].Text)
		if err != nil {
			return nil, err
		}
		return f(t, a)
	})
}

// td2Table is the pitch-diameter tolerance TD2 in µm of internal threads,
// grade 6, by range of d and pitch; td1Table the minor-diameter tolerance TD1,
// grade 6, by pitch. ISO 965-1; the lines in testdata read, the rest recalled.
var td2Table = []struct {
	over, to float64
	byPitch  map[float64]float64
}{
	{2.8, 5.6, map[float64]float64{0.5: 100, 0.7: 118, 0.8: 125}},
	{5.6, 11.2, map[float64]float64{0.75: 132, 1: 150, 1.25: 160, 1.5: 180}},
	{11.2, 22.4, map[float64]float64{1: 160, 1.25: 180, 1.5: 190, 1.75: 200, 2: 212, 2.5: 224}},
	{22.4, 45, map[float64]float64{1: 170, 1.5: 200, 2: 224, 3: 265, 3.5: 280, 4: 300}},
}

var td1Table = map[float64]float64{0.5: 140, 0.7: 180, 0.75: 190, 0.8: 200, 1: 236, 1.25: 265, 1.5: 300, 1.75: 335, 2: 375, 2.5: 450, 3: 500, 3.5: 560, 4: 600}

func (t metricThread) limits6H() (td2, td1 float64, err error) {
	for _, row := range td2Table {
		if t.d > row.over && t.d <= row.to {
			td2 = row.byPitch[t.p]
		}
	}
	td1 = td1Table[t.p]
	if td2 == 0 || td1 == 0 {
		return 0, 0, refuse("thread", "the threads of ISO 965-1 held here, M3 coarse to M36", "")
	}
	return td2, td1, nil
}

func threadEntries() []*Entry {
	const domain = "M3 to M36 with the pitches of ISO 261"
	mm := func(name, means string) Param { return anyNumber(name, "mm", means) }
	return []*Entry{
		withThread(Entry{
			Name: "thread_dimensions", Title: "Basic dimensions of an ISO metric thread, ISO 724",
			Formula: "d2 = D2 = d − 0.6495 P;  D1 = d − 1.0825 P;  d3 = d − 1.2269 P;  As = π/4 (d − 0.9382 P)²",
			Params:  []Param{threadParam()},
			Results: []Param{
				mm("pitch", "P, advance for one turn"), mm("diameter", "d, nominal diameter"), mm("pitch_diameter", "d2 = D2"),
				mm("minor_internal", "D1, minor diameter of the nut thread"), mm("minor_external", "d3, root of the screw"),
				anyNumber("stress_area", "mm²", "As of ISO 898-1, the area that carries the pull"),
			},
			Domain: domain, Source: "ISO 724, ISO 261, ISO 898-1 (formulas read; the list of pitches from memory)",
		}, func(t metricThread, _ []Arg) ([]float64, error) {
			return []float64{t.p, t.d, t.pitchDiameter(), t.minorInternal(), t.minorExternal(), t.stressArea()}, nil
		}),
		withThread(Entry{
			Name: "thread_stress_area", Title: "Stress area of an ISO metric screw",
			Formula: "As = π/4 ((d2 + d3)/2)² = π/4 (d − 0.9382 P)²",
			Params:  []Param{threadParam()},
			Results: []Param{anyNumber("stress_area", "mm²", "area that carries the pull")},
			Domain:  domain, Source: "ISO 898-1",
		}, func(t metricThread, _ []Arg) ([]float64, error) { return one(t.stressArea()) }),
		withThread(Entry{
			Name: "thread_limits_6h", Title: "Limits of the pitch and minor diameter of a 6H nut thread, ISO 965",
			Formula: "EI = 0 for H;  D2 from d2 to d2 + TD2(6);  D1 from D1 to D1 + TD1(6)",
			Params:  []Param{threadParam()},
			Results: []Param{
				mm("pitch_dia_min", "smallest pitch diameter"), mm("pitch_dia_max", "largest pitch diameter"),
				mm("minor_dia_min", "smallest minor diameter"), mm("minor_dia_max", "largest minor diameter"),
			},
			Domain: domain + " for which the tolerance is held", Source: "ISO 965-1, ASME B1.13M (M10, M12x1.25, M14 and M10 fine read; the rest from memory)",
			Cautions: []string{"a thread that gauges in size can still be stretched: accumulated pitch is another measurement (thread_stretch)"},
		}, func(t metricThread, _ []Arg) ([]float64, error) {
			td2, td1, err := t.limits6H()
			if err != nil {
				return nil, err
			}
			d2, d1 := t.pitchDiameter(), t.minorInternal()
			return []float64{d2, d2 + td2/1000, d1, d1 + td1/1000}, nil
		}),
		entry(Entry{
			Name: "three_wire", Title: "Measurement over three wires of a 60° thread",
			Formula: "m = d − 1.5155 P + 3 w",
			Params:  []Param{positive("diameter", "mm", "d, outside diameter").rises(), positive("pitch", "mm", "P").falls(), positive("wire", "mm", "w, diameter of the wires").rises()},
			Results: []Param{mm("over_wires", "m, size over the three wires")},
			Domain:  "60° threads of small lead angle; wires that touch the flanks, best w = 0.577 P, taken from 0.505 P to 1.01 P",
			Source:  "Jones, Turning and Boring (US standard thread); the constant holds for 60° threads",
		}, func(a []Arg) ([]float64, error) {
			d, p, w := a[0].Num, a[1].Num, a[2].Num
			if w < 0.505*p || w > 1.01*p {
				return nil, refuse("wire", fmt.Sprintf("from %s to %s mm for this pitch", number(0.505*p), number(1.01*p)), "other wires do not touch the flanks; the best is "+number(p/math.Sqrt(3))+" mm")
			}
			return one(d - 1.5155*p + 3*w)
		}),
	}
}
