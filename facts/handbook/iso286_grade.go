package handbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// sizeSteps are the upper ends, in mm, of the nominal size ranges of
// ISO 286-1:2010 Table 1; the upper end belongs to its range.
var sizeSteps = []float64{3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500}

// itTable holds the standard tolerances in µm, one row for each grade, one
// column for each range of sizeSteps. ISO 286-1:2010 Table 1; IT5 to IT11 up
// to 120 mm were read, the rest recalled.
var itTable = map[int][13]float64{
	1:  {0.8, 1, 1, 1.2, 1.5, 1.5, 2, 2.5, 3.5, 4.5, 6, 7, 8},
	2:  {1.2, 1.5, 1.5, 2, 2.5, 2.5, 3, 4, 5, 7, 8, 9, 10},
	3:  {2, 2.5, 2.5, 3, 4, 4, 5, 6, 8, 10, 12, 13, 15},
	4:  {3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20},
	5:  {4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27},
	6:  {6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40},
	7:  {10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63},
	8:  {14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97},
	9:  {25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155},
	10: {40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250},
	11: {60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400},
	12: {100, 120, 150, 180, 210, 250, 300, 350, 400, 460, 520, 570, 630},
	13: {140, 180, 220, 270, 330, 390, 460, 540, 630, 720, 810, 890, 970},
	14: {250, 300, 360, 430, 520, 620, 740, 870, 1000, 1150, 1300, 1400, 1550},
	15: {400, 480, 580, 700, 840, 1000, 1200, 1400, 1600, 1850, 2100, 2300, 2500},
	16: {600, 750, 900, 1100, 1300, 1600, 1900, 2200, 2500, 2900, 3200, 3600, 4000},
	17: {1000, 1200, 1500, 1800, 2100, 2500, 3000, 3500, 4000, 4600, 5200, 5700, 6300},
	18: {1400, 1800, 2200, 2700, 3300, 3900, 4600, 5400, 6300, 7200, 8100, 8900, 9700},
}

// itSteps are the multiples of the tolerance factor i for IT5 to IT18
// (ISO 286-1:2010, B.2: 7 i for IT5, then steps of the R5 series).
var itSteps = map[int]float64{5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100, 12: 160, 13: 250, 14: 400, 15: 640, 16: 1000, 17: 1600, 18: 2500}

// step returns the column of the range that holds the nominal size, in mm.
func step(nominal float64) (int, error) {
	for i, top := range sizeSteps {
		if nominal <= top*(1+1e-9) { // 18 mm computed is still in the range up to 18
			return i, nil
		}
	}
	return 0, refuse("nominal", "over 0 to 500 mm", "")
}

// itTolerance returns the standard tolerance in µm.
func itTolerance(nominal float64, grade int) (float64, error) {
	col, err := step(nominal)
	if err != nil {
		return 0, err
	}
	row, ok := itTable[grade]
	if !ok {
		return 0, refuse("grade", "IT1 to IT18", "")
	}
	if grade >= 14 && nominal <= 1 {
		return 0, refuse("grade", "IT1 to IT13 for sizes up to 1 mm", "")
	}
	return row[col], nil
}

// itByFormula computes the standard tolerance in µm, unrounded:
//
//	IT = k i,  i = 0.45 D^(1/3) + 0.001 D
//
// with D in mm the geometric mean of the range. The table's first range, up to
// 3 mm, does not follow it and is left out.
func itByFormula(nominal float64, grade int) (float64, error) {
	col, err := step(nominal)
	if err != nil {
		return 0, err
	}
	k, ok := itSteps[grade]
	if !ok {
		return 0, refuse("grade", "IT5 to IT18", "the formula begins at IT5; it_tolerance has the table")
	}
	if col == 0 {
		return 0, refuse("nominal", "over 3 to 500 mm", "")
	}
	d := math.Sqrt(sizeSteps[col-1] * sizeSteps[col])
	return k * (0.45*math.Cbrt(d) + 0.001*d), nil
}

// parseGrade reads "IT7" or "7".
func parseGrade(text string) (int, error) {
	t := strings.TrimPrefix(strings.ToUpper(strings.TrimSpace(text)), "IT")
	n, err := strconv.Atoi(t)
	if err != nil || n < 1 || n > 18 || len(t) > 2 {
		return 0, refuse("grade", "IT1 to IT18", "write IT7 or 7")
	}
	return n, nil
}

func gradeNames() []string {
	names := make([]string, 18)
	for i := range names {
		names[i] = fmt.Sprintf("IT%d", i+1)
	}
	return names
}

func iso286GradeEntries() []*Entry {
	nominal := num("nominal", "mm", "nominal size", 0, 500)
	nominal.LoOut = true
	over3 := nominal
	over3.Lo = 3
	return []*Entry{
		entry(Entry{
			Name:    "it_tolerance",
			Title:   "Standard tolerance of a grade, ISO 286",
			Formula: "tolerance = table value of the size range that holds the nominal size; the upper end belongs to its range",
			Params:  []Param{nominal.rises(), word("grade", "standard tolerance grade", gradeNames()...)},
			Results: []Param{anyNumber("tolerance", "µm", "largest less smallest size")},
			Domain:  "sizes over 0 to 500 mm, IT1 to IT18 (IT14 and up only over 1 mm)",
			Source:  "ISO 286-1:2010 Table 1 (IT5 to IT11 up to 120 mm read; the rest from memory, checked against the formula of its annex B)",
		}, func(a []Arg) ([]float64, error) {
			g, err := parseGrade(a[1].Text)
			if err != nil {
				return nil, err
			}
			t, err := itTolerance(a[0].Num, g)
			return []float64{t}, err
		}),
		entry(Entry{
			Name:    "it_by_formula",
			Title:   "Standard tolerance from the tolerance factor, before rounding",
			Formula: "IT = k i;  i = 0.45 D^(1/3) + 0.001 D in µm, D in mm = geometric mean of the size range;  k = 7, 10, 16, 25, 40, 64, 100 … for IT5, IT6, IT7 …",
			Params:  []Param{over3.rises(), word("grade", "standard tolerance grade", gradeNames()[4:]...)},
			Results: []Param{anyNumber("tolerance", "µm", "unrounded; the table rounds by up to 8 %")},
			Domain:  "sizes over 3 to 500 mm (the table's first range is up to 15 % above the formula), IT5 to IT18",
			Source:  "ISO 286-1:2010 annex B, formula from memory",
			Cautions: []string{
				"drawings mean the table (it_tolerance), which is rounded; this shows where it comes from",
			},
		}, func(a []Arg) ([]float64, error) {
			g, err := parseGrade(a[1].Text)
			if err != nil {
				return nil, err
			}
			t, err := itByFormula(a[0].Num, g)
			return []float64{t}, err
		}),
	}
}
