package handbook

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Limits of ISO 286-2 for classes beyond the rows of testdata, in µm. From
// memory of the printed tables, each a much used class: they reach the Δ rule
// of the holes, the finer ranges of r and s, and js.
var iso286Printed = []struct {
	size         string
	lower, upper float64
}{
	{"20 K7", -15, 6}, {"20 N7", -28, -7}, {"20 P7", -35, -14}, {"20 M7", -21, 0}, {"20 JS7", -10.5, 10.5}, {"50 K6", -13, 3},
	{"20 k6", 2, 15}, {"20 js6", -6.5, 6.5}, {"20 m6", 8, 21}, {"20 r6", 28, 41}, {"20 s6", 35, 48}, {"60 s6", 53, 72}, {"100 s6", 71, 93},
	{"20 R7", -41, -20}, {"20 S7", -48, -27}, {"20 d9", -117, -65}, {"20 D10", 65, 149}, {"100 h7", -35, 0}, {"200 H7", 0, 46}, {"300 M6", -41, -9}, {"20 N9", -52, 0}, {"3 N9", -29, -4},
	{"20 K8", -23, 10}, {"20 k8", 0, 33}, {"500 p6", 68, 108},
}

func TestPrintedLimitsBeyondTheRows(t *testing.T) {
	for _, x := range iso286Printed {
		l, err := Tolerance(x.size)
		if err != nil || math.Abs(l.LowerDeviation-x.lower) > 1e-9 || math.Abs(l.UpperDeviation-x.upper) > 1e-9 {
			t.Errorf("%s: %v to %v µm, printed %v to %v: %v", x.size, l.LowerDeviation, l.UpperDeviation, x.lower, x.upper, err)
		}
	}
}

// The second way to the grades: IT = k i, for every grade and range over 3 mm.
func TestTableFollowsTheFormula(t *testing.T) {
	for grade, k := range itSteps {
		for col := 1; col < len(sizeSteps); col++ {
			f, err := itByFormula(sizeSteps[col], grade)
			if v := itTable[grade][col]; err != nil || math.Abs(f-v) > 0.08*v+0.5 {
				t.Errorf("IT%d up to %v mm: table %v, %v i = %v", grade, sizeSteps[col], v, k, f)
			}
		}
	}
}

func classes(rt *rapid.T) string {
	letters := strings.Fields("d e f g h js k m n p r s D E F G H JS K M N P R S")
	return rapid.SampledFrom(letters).Draw(rt, "letter") + number(float64(rapid.IntRange(1, 18).Draw(rt, "grade")))
}

func TestToleranceIsAsWideAsItsGrade(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		nominal := math.Round(500*evenly(rapid.Uint64().Draw(rt, "nominal"))*1000)/1000 + 0.001
		l, err := Tolerance(number(nominal) + " " + classes(rt))
		if err != nil {
			if _, ok := err.(*OutOfDomain); !ok {
				rt.Fatal(err)
			}
			return
		}
		it, _ := itTolerance(l.Nominal, l.Grade)
		if math.Abs(l.UpperDeviation-l.LowerDeviation-it) > 1e-9 || math.Abs((l.Upper-l.Lower)*1000-it) > 2e-4 {
			rt.Fatalf("%+v is not %v µm wide", l, it)
		}
	})
}

// A hole and a shaft of the same letter D to H mirror each other, and H with h
// just touches.
func TestHolesMirrorShafts(t *testing.T) {
	for letter := range esTable {
		for _, top := range sizeSteps {
			hole, err1 := Tolerance(number(top) + strings.ToUpper(letter) + "7")
			shaft, err2 := Tolerance(number(top) + letter + "7")
			if err1 != nil || err2 != nil || hole.LowerDeviation != -shaft.UpperDeviation {
				t.Errorf("%s at %v: EI %v, es %v (%v %v)", letter, top, hole.LowerDeviation, shaft.UpperDeviation, err1, err2)
			}
		}
	}
	f, err := Fit("25 H7/h6")
	if err != nil || f.MinClearance != 0 || f.Kind != "clearance" {
		t.Errorf("%+v %v", f, err)
	}
}

func TestFitIsWrittenManyWays(t *testing.T) {
	want, err := Fit("18 H7/f7")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"18H7/f7", "Ø18 H7/f7", " 18 mm H7 / f7 ", "18.000H7/f7", "⌀ 18 H 7/f 7"} {
		if got, err := Fit(text); err != nil || got != want {
			t.Errorf("%q: %+v %v", text, got, err)
		}
	}
}

// Each bad text gets one message that says what to write; the words of the
// message are held, since a person reads them.
func TestBadFits(t *testing.T) {
	for _, x := range []struct{ text, says string }{
		{"18", "write the nominal size in mm, the hole's class and the shaft's"}, {"18 H7", "such as 18 H7/f7"}, {"18 f7/H7", "the hole comes first with a capital letter"},
		{"18 H7/q7", "this book does not hold the letter"}, {"600 H7/f7", "over 0 to 500 mm"}, {"0 H7/f7", "over 0 to 500 mm"}, {"18 H0/f7", "IT1 to IT18"},
		{"18 H7/f19", "IT1 to IT18"}, {"130 H7/r6", "up to 120 mm for r and s"}, {"1 H15/h7", "IT1 to IT13 for sizes up to 1 mm"}, {"18 Js7/h6", "write JS or js"}, {"20 K9/h6", "IT8 and finer for hole K"},
	} {
		if _, err := Fit(x.text); err == nil || !strings.Contains(err.Error(), x.says) {
			t.Errorf("%q: %v\nmust say %q", x.text, err, x.says)
		}
	}
}

func FuzzFit(f *testing.F) {
	for _, s := range []string{"18 H7/f7", "Ø18 H7/p6", "18,5 JS7/h6", "18 H7", "/", "500 ZC18/zc1", "1e3 H7/f7", "١٨ H7/f7"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		fit, err := Fit(text)
		if err != nil {
			return
		}
		if !(fit.MinClearance < fit.MaxClearance) || !slices.Contains(fitKinds, fit.Kind) || fit.Hole.Nominal != fit.Shaft.Nominal {
			t.Errorf("%q: %+v", text, fit)
		}
	})
}
