package draw

import (
	"math"
	"math/rand"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func anyWeights() *rapid.Generator[WeightChart] {
	return rapid.Custom(func(t *rapid.T) WeightChart {
		w := demoWeights()
		w.Start = rapid.Float64Range(-80, 20).Draw(t, "start")
		w.Probability = rapid.Float64Range(0, 1).Draw(t, "p")
		w.Clues = nil
		for range rapid.IntRange(0, 12).Draw(t, "clues") {
			w.Clues = append(w.Clues, WeighedClue{
				Text:    rapid.StringMatching(`[a-z]{1,9}( [a-z]{1,9}){0,9}`).Draw(t, "text"),
				Weight:  rapid.Float64Range(-90, 90).Draw(t, "weight"),
				Through: rapid.SampledFrom([]string{"", "", "another clue"}).Draw(t, "through"),
			})
		}
		return w
	})
}

func TestWeightsDoNotHangOnTheOrderOfClues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWeights().Draw(t, "chart")
		p := mustDraw(t, w)
		inBounds(t, "weights", p)
		noTextOnText(t, "weights", p)
		first := svgOf(p)
		rng := rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed")))
		rng.Shuffle(len(w.Clues), func(i, j int) { w.Clues[i], w.Clues[j] = w.Clues[j], w.Clues[i] })
		if svgOf(mustDraw(t, w)) != first {
			t.Fatal("another order of clues, another picture")
		}
	})
}

func TestWeightSumLeavesOutWhatIsCounted(t *testing.T) {
	w := demoWeights()
	// By hand: −10 + 12 + 8.5 + 10 − 1.8 = 18.7; the hatched 4.2 is left out.
	if got := w.Sum(); math.Abs(got-18.7) > 1e-9 {
		t.Errorf("sum %.3f, want 18.7", got)
	}
	p := mustDraw(t, w)
	hatched := 0
	for _, s := range p.Shapes {
		if b, ok := s.(Box); ok && b.Pattern != Plain {
			hatched++
		}
	}
	if hatched != 1 {
		t.Errorf("%d bars hatched, want 1", hatched)
	}
}

func TestBarsStandOnTheirSide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWeights().Draw(t, "chart")
		d := weightDrawing{c: &w}
		p := d.picture()
		counted, already := w.sorted()
		want := append([]WeighedClue{{Weight: w.Start}}, counted...)
		want = append(append(want, WeighedClue{Weight: w.Sum()}), already...)
		for _, s := range p.Shapes {
			b, ok := s.(Box)
			if !ok || b.H != 10 {
				continue
			}
			for len(want) > 0 && math.Abs(want[0].Weight)*d.per <= 0.2 {
				want = want[1:] // too short to be seen
			}
			v := max(-longestBar, min(longestBar, want[0].Weight))
			want = want[1:]
			if got := b.X - d.zero; math.Abs(got-min(0, v*d.per)) > 0.01 || math.Abs(b.W-math.Abs(v)*d.per) > 0.01 {
				t.Fatalf("a weight of %g is drawn from %g over %g", v, got, b.W)
			}
		}
	})
}

func TestSettledHidesTheScale(t *testing.T) {
	w := demoWeights()
	w.Settled = "a rule fired"
	svg := svgOf(mustDraw(t, w))
	if !strings.Contains(svg, "Settled otherwise: a rule fired") || strings.Contains(svg, "virtually certain") {
		t.Error("a settled cause still shows the scale, or does not say what settled it")
	}
}

// Borders of the likelihood scale in the IPCC guidance note on uncertainties
// (Mastrandrea et al. 2010, table 1), from memory.
func TestPlaceOnTheScale(t *testing.T) {
	w := demoWeights()
	for p, want := range map[float64]string{0: "exceptionally unlikely", 0.05: "very unlikely", 0.2: "unlikely", 0.5: "about as likely as not",
		0.66: "about as likely as not", 0.7: "likely", 0.95: "very likely", 0.995: "virtually certain", 1: "virtually certain"} {
		w.Probability = p
		step, share := w.onScale()
		if w.Scale[step].Word != want || share < 0 || share > 1 {
			t.Errorf("%g stands at %q, %.2f; want %q", p, w.Scale[step].Word, share, want)
		}
	}
	last := -1.0
	for i := 0; i <= 1000; i++ {
		w.Probability = float64(i) / 1000
		step, share := w.onScale()
		if at := float64(step) + share; at < last {
			t.Fatalf("the mark goes back at %g", w.Probability)
		} else {
			last = at
		}
	}
}

func TestProbabilityIsNeverRoundedToCertain(t *testing.T) {
	for p, want := range map[float64]string{0: "0 in 100", 0.001: "less than 1 in 100", 0.5: "50 in 100", 0.9867: "99 in 100", 0.9999: "more than 99 in 100", 1: "100 in 100"} {
		if got := percentLong(p); got != want {
			t.Errorf("%g is told as %q, want %q", p, got, want)
		}
	}
}

func TestMarksStandWhereTheNumbersAre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		least := rapid.Float64Range(-100, 100).Draw(t, "least")
		most := least + rapid.Float64Range(0, 100).Draw(t, "width")
		r := LimitRow{Label: "play", Unit: "mm", Value: rapid.Float64Range(-300, 300).Draw(t, "value"), U: rapid.Float64Range(0, 10).Draw(t, "u"), Least: &least, Most: &most, Result: Inside}
		b := LimitBars{Rows: []LimitRow{r}}
		p := mustDraw(t, b)
		inBounds(t, "limits", p)
		noTextOnText(t, "limits", p)
		var limits []float64
		var mark, bar []float64
		for _, s := range p.Shapes {
			switch s := s.(type) {
			case Line:
				if len(s.Points) == 2 && s.Width == 2 {
					limits = append(limits, s.Points[0].X)
				}
				if len(s.Points) == 2 && s.Width == 2.4 {
					bar = []float64{s.Points[0].X, s.Points[1].X}
				}
			case Circle:
				if mark == nil {
					mark = []float64{s.X}
				}
			}
		}
		if len(limits) != 2 || len(mark) != 1 {
			t.Fatalf("limits %v, mark %v", limits, mark)
		}
		order := func(a, b, x, y float64, what string) {
			if (a-b)*(x-y) < -1e-6 {
				t.Fatalf("%s: %g and %g are drawn at %g and %g", what, a, b, x, y)
			}
		}
		order(r.Value, least, mark[0], limits[0], "least")
		order(r.Value, most, mark[0], limits[1], "most")
		if bar != nil {
			order(r.Value+2*r.U, most, bar[1], limits[1], "upper end")
			order(r.Value-2*r.U, least, bar[0], limits[0], "lower end")
		}
	})
}

func TestSectionPutsThingsAtTheirAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		worn := rapid.Float64Range(-720, 720).Draw(t, "worn")
		load := rapid.Float64Range(-720, 720).Draw(t, "load")
		s := demoSection()
		s.Worn = []WornSide{{OnBore: rapid.Bool().Draw(t, "bore"), Angle: worn}}
		s.Load = &Pressing{Angle: load}
		p := mustDraw(t, s)
		inBounds(t, "section", p)
		var bore, shaft Point
		for _, sh := range p.Shapes {
			if c, ok := sh.(Circle); ok {
				switch {
				case c.R == boreR:
					bore = Point{c.X, c.Y}
				case c.R == boreR-drawnPlay/2:
					shaft = Point{c.X, c.Y}
				}
			}
		}
		direction := func(a, b Point) float64 { return math.Atan2(b.X-a.X, a.Y-b.Y) * 180 / math.Pi }
		if off := between(direction(bore, shaft), load); off > 0.1 {
			t.Fatalf("the shaft lies %g° off the load", off)
		}
		for _, sh := range p.Shapes {
			l, ok := sh.(Line)
			if !ok || l.Pattern != Dots {
				continue
			}
			from := shaft
			if s.Worn[0].OnBore {
				from = bore
			}
			var mid Point
			for _, q := range l.Points {
				mid.X += q.X / float64(len(l.Points))
				mid.Y += q.Y / float64(len(l.Points))
			}
			if off := between(direction(from, mid), worn); off > 1 {
				t.Fatalf("the worn side lies %g° off", off)
			}
			return
		}
		t.Fatal("no worn side drawn")
	})
}

// A side of which nobody knows whether it is worn is an outline with a question
// mark, on both sides, and no metal is drawn as gone.
func TestSectionShowsNoSideThatNobodyKnows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := demoSection()
		a := rapid.Float64Range(0, 360).Draw(t, "angle")
		s.Worn = []WornSide{{OnBore: rapid.Bool().Draw(t, "bore"), Angle: a, Or: []float64{a + 180}}}
		p := mustDraw(t, s)
		inBounds(t, "section", p)
		marks := 0
		for _, sh := range p.Shapes {
			switch x := sh.(type) {
			case Line:
				if x.Pattern == Dots {
					t.Fatal("metal is drawn as gone")
				}
			case Text:
				if x.Text == "?" {
					marks++
				}
			}
		}
		if marks != 2 || !strings.Contains(p.Desc, "not known which of these") {
			t.Fatalf("%d question marks, want 2; it says %s", marks, p.Desc)
		}
	})
	s := demoSection()
	s.Load = nil
	if p := mustDraw(t, s); !strings.Contains(p.Desc, "Where the load presses is not known") {
		t.Errorf("without a load it says %s", p.Desc)
	}
}

func TestSectionSaysHowMuchItExaggerates(t *testing.T) {
	// By hand: play 0.169 on 15.071 is 1.12 %; drawn 24 on 184 is 13.0 %: 11.6 times.
	// Wear 0.068 on 15.071 is 0.451 %; drawn 9 on 184 is 4.89 %: 10.8 times.
	svg := svgOf(mustDraw(t, demoSection()))
	if want := "Exaggerated, not to scale: play about 12 times as large as it is, wear about 11 times."; !strings.Contains(svg, want) {
		t.Errorf("the picture does not say %q", want)
	}
	if !strings.Contains(svgOf(mustDraw(t, Section{})), "Exaggerated, not to scale") {
		t.Error("without sizes it does not say that it exaggerates")
	}
}

func TestStationsComeInOrderAndSayTheirState(t *testing.T) {
	a := demoAssembly()
	for i := range a.Stations {
		for j := range a.Stations[i].Parts {
			a.Stations[i].Parts[j].Word = ""
		}
	}
	p := mustDraw(t, a)
	last := math.Inf(-1)
	shown := ""
	for _, s := range p.Shapes {
		if tx, ok := s.(Text); ok {
			shown += tx.Text + " "
			for i := range a.Stations {
				if tx.Text == a.Stations[i].Name && tx.Bold {
					if tx.X < last && i%4 != 0 { // eight stand in two rows of four
						t.Errorf("station %q stands before its forerunner", tx.Text)
					}
					last = tx.X
				}
			}
		}
	}
	for s := NotLooked; s <= Gone; s++ {
		if strings.Count(shown, s.word()) < 2 { // at a part and in the legend
			t.Errorf("%q is not said in words at its part", s.word())
		}
	}
}

func TestBadInputIsAnError(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	bad := map[string]drawer{
		"weight not finite":  WeightChart{Clues: []WeighedClue{{Text: "a", Weight: inf}}},
		"start not a number": WeightChart{Start: nan},
		"probability":        WeightChart{Probability: 1.2},
		"probability NaN":    WeightChart{Probability: nan},
		"scale falls":        WeightChart{Scale: []ScaleStep{{"a", 0.5}, {"b", 0.4}, {"c", 1}}},
		"scale too short":    WeightChart{Scale: []ScaleStep{{"a", 0.5}}},
		"too many clues":     WeightChart{Clues: make([]WeighedClue, maxClues+1)},
		"no row":             LimitBars{},
		"value NaN":          LimitBars{Rows: []LimitRow{{Value: nan}}},
		"limit infinite":     LimitBars{Rows: []LimitRow{{Most: &inf}}},
		"u negative":         LimitBars{Rows: []LimitRow{{U: -1}}},
		"limits crossed":     LimitBars{Rows: []LimitRow{{Least: ptr(2), Most: ptr(1)}}},
		"too many rows":      LimitBars{Rows: make([]LimitRow, maxRows+1)},
		"angle":              Section{Load: &Pressing{Angle: inf}},
		"play":               Section{Play: &nan},
		"many diameters":     Section{Shaft: Round{Readings: make([]Across, maxReadings+1)}},
		"many worn sides":    Section{Worn: make([]WornSide, maxWorn+1)},
		"side of many":       Section{Worn: []WornSide{{Or: make([]float64, maxWorn+1)}}},
		"no station":         Assembly{},
		"many stations":      Assembly{Stations: make([]Station, maxStations+1)},
		"many parts":         Assembly{Stations: []Station{{Parts: make([]StationPart, maxParts+1)}}},
	}
	for name, d := range bad {
		p, err := d.Draw()
		if err == nil || p != nil {
			t.Errorf("%s: no error", name)
			continue
		}
		if m := err.Error(); m != strings.TrimSpace(m) || strings.HasSuffix(m, ".") || strings.ToLower(m[:1]) != m[:1] {
			t.Errorf("%s: message %q is not a lower-case line without a full stop", name, m)
		}
	}
}
