package handbook

import (
	"math"
	"strings"
)

// esTable holds the upper deviation es in µm of shafts d to h, one column for
// each range of sizeSteps. ISO 286-1:2010; e to h up to 80 mm read, d and the
// larger sizes recalled.
var esTable = map[string][13]float64{
	"d": {-20, -30, -40, -50, -65, -80, -100, -120, -145, -170, -190, -210, -230},
	"e": {-14, -20, -25, -32, -40, -50, -60, -72, -85, -100, -110, -125, -135},
	"f": {-6, -10, -13, -16, -20, -25, -30, -36, -43, -50, -56, -62, -68},
	"g": {-2, -4, -5, -6, -7, -9, -10, -12, -14, -15, -17, -18, -20},
	"h": {},
}

// eiTable holds the lower deviation ei in µm of shafts k to p; k for grades
// IT4 to IT7, else 0. Up to 80 mm read, the larger sizes recalled.
var eiTable = map[string][13]float64{
	"k": {0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5},
	"m": {2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23},
	"n": {4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40},
	"p": {6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68},
}

// pressSteps and pressTable hold ei in µm of shafts r and s, whose ranges are
// finer above 50 mm. Recalled from ISO 286-1:2010; up to 120 mm.
var pressSteps = []float64{3, 6, 10, 18, 30, 50, 65, 80, 100, 120}
var pressTable = map[string][10]float64{
	"r": {10, 15, 19, 23, 28, 34, 41, 43, 51, 54},
	"s": {14, 19, 23, 28, 35, 43, 53, 59, 71, 79},
}

const letterDomain = "shafts d e f g h js k m n p r s, holes D E F G H JS K M N P R S"

// deviations returns lower and upper deviation in µm of a tolerance class.
// A capital letter is a hole, a small one a shaft.
//
// Holes D to H mirror the shafts. Holes K, M, N up to IT8 and P to S up to IT7
// take, above 3 mm, ES = −ei + Δ with Δ = IT(n) − IT(n−1).
func deviations(nominal float64, letter string, grade int) (lower, upper float64, err error) {
	it, err := itTolerance(nominal, grade)
	if err != nil {
		return 0, 0, err
	}
	col, err := step(nominal)
	if err != nil {
		return 0, 0, err
	}
	small := strings.ToLower(letter)
	hole := letter != small
	if hole && letter != strings.ToUpper(letter) {
		return 0, 0, refuse("letter", letterDomain, "write JS or js, not Js")
	}
	if small == "js" {
		return -it / 2, it / 2, nil
	}
	if es, ok := esTable[small]; ok {
		if hole {
			return -es[col], -es[col] + it, nil
		}
		return es[col] - it, es[col], nil
	}
	ei, err := pressDeviation(nominal, col, small, grade)
	if err != nil {
		return 0, 0, err
	}
	if !hole {
		return ei, ei + it, nil
	}
	ES, err := holeUpper(nominal, small, grade, ei, it)
	return ES - it, ES, err
}

// pressDeviation is ei of shafts k to s, in µm.
func pressDeviation(nominal float64, col int, small string, grade int) (float64, error) {
	if row, ok := eiTable[small]; ok {
		if small == "k" && (grade < 4 || grade > 7) {
			return 0, nil
		}
		return row[col], nil
	}
	row, ok := pressTable[small]
	if !ok {
		return 0, refuse("letter", letterDomain, "this book does not hold the letter; look it up in ISO 286-1 and give the limits as sizes")
	}
	for i, top := range pressSteps {
		if nominal <= top*(1+1e-9) {
			return row[i], nil
		}
	}
	return 0, refuse("nominal", "up to 120 mm for r and s", "")
}

// holeUpper is ES of holes K to S, in µm.
func holeUpper(nominal float64, small string, grade int, ei, it float64) (float64, error) {
	top := 7
	if small == "k" || small == "m" || small == "n" {
		top = 8
	}
	switch {
	case grade <= top:
		if small == "k" { // the table's K is −ei of k whatever the grade
			ei = eiTable["k"][must(step(nominal))]
		}
		if nominal <= 3 {
			return -ei, nil
		}
		if grade < 3 {
			return 0, refuse("grade", "IT3 and coarser for this hole letter", "")
		}
		if small == "m" && grade == 6 && nominal > 250 && nominal <= 315 {
			return -9, nil // the exception the table prints
		}
		below, err := itTolerance(nominal, grade-1)
		return -ei + it - below, err
	case small == "k":
		return 0, refuse("grade", "IT8 and finer for hole K", "")
	case small == "n" && nominal > 3:
		return 0, nil
	case small == "n" && nominal <= 1:
		return 0, refuse("nominal", "over 1 mm for N above IT8", "")
	}
	return -ei, nil
}

func must(i int, err error) int {
	if err != nil {
		panic(err)
	}
	return i
}

// fundamental tells which limit the letter fixes and its deviation in µm: the
// one nearer the nominal size.
func fundamental(letter string, lower, upper float64) (limit string, deviation float64) {
	hole := letter == strings.ToUpper(letter)
	below := strings.ToLower(letter) <= "h"
	switch {
	case hole && below:
		return "EI", lower
	case hole:
		return "ES", upper
	case below:
		return "es", upper
	}
	return "ei", lower
}

// roundNano removes the noise of binary sums from a size in mm.
func roundNano(v float64) float64 { return math.Round(v*1e7) / 1e7 }
