package handbook

import "math"

// Accumulated pitch: a screw pulled past its yield keeps the length it was
// given, and its pitch has grown. Measured over n pitches the growth adds up
// until a plain rule or a thread gauge shows it.

func threadPitchEntries() []*Entry {
	return []*Entry{
		withThread(Entry{
			Name: "thread_stretch", Title: "Accumulated pitch error over n threads, and the permanent stretch it tells of",
			Formula: "error = L − n P;  stretch = error / (n P);  the error of making (each thread ± e) is taken off first: beyond = |error| − e",
			Params: []Param{
				threadParam(),
				num("pitches", "", "n, pitches spanned by the measurement", 1, 200),
				positive("length", "mm", "L, length measured over the n pitches").rises(),
				num("as_made", "µm", "e, accumulated error over n pitches that a new screw of this kind may have", 0, open).or(20),
			},
			Results: []Param{
				anyNumber("error", "µm", "length gained (+) or lost over the n pitches"),
				anyNumber("stretch", "%", "permanent stretch if the screw was true when new"),
				noYes("beyond_making", "whether the error is larger than making explains"),
				anyNumber("pitch_now", "mm", "mean pitch as measured"),
			},
			Domain: "1 to 200 pitches of a thread M3 to M36; a length within one pitch of n P, else threads were miscounted",
			Source: "definition of accumulated pitch; 20 µm for making is common practice, no source: ISO 965 limits the pitch diameter only and gives no tolerance for accumulated pitch",
			Cautions: []string{
				"a screw with permanent stretch has yielded: never refit it",
				"span as many threads as can be reached and measure between like flanks; a bent screw reads long",
				"compare with an unused stretch of the same screw, or with a new screw of the same make, before judging",
			},
		}, func(t metricThread, a []Arg) ([]float64, error) {
			n, l, e := a[1].Num, a[2].Num, a[3].Num
			if n != math.Trunc(n) {
				return nil, refuse("pitches", "a whole number", "")
			}
			err := l - n*t.p
			if math.Abs(err) >= t.p {
				return nil, refuse("length", "within one pitch of "+withUnit(n*t.p, "mm"), "count the threads again: from crest to the first crest is one pitch")
			}
			return []float64{err * 1000, err / (n * t.p) * 100, yes(math.Abs(err)*1000 > e), l / n}, nil
		}),
		entry(Entry{
			Name: "pitch_error_between", Title: "Accumulated pitch error between two threads of a screw",
			Formula:  "δ = δh − δa: the error at the farther thread less that at the nearer",
			Params:   []Param{anyNumber("error_near", "µm", "δa, error at the nearer thread").falls(), anyNumber("error_far", "µm", "δh, error at the farther thread").rises()},
			Results:  []Param{anyNumber("error", "µm", "lengthening (+) or shortening (−) between them")},
			Domain:   "any two errors read from one datum",
			Source:   "screw-thread metrology notes, error in pitch along a screw",
			Cautions: []string{"both errors must be read from the same datum"},
		}, func(a []Arg) ([]float64, error) { return one(a[1].Num - a[0].Num) }),
		entry(Entry{
			Name: "pitch_error_as_diameter", Title: "Change of pitch diameter that a pitch error is worth",
			Formula:  "δd2 = |δP| / tan(α/2): 1.732 δP at 60°",
			Params:   []Param{anyNumber("pitch_error", "µm", "δP, accumulated over the length of engagement"), Param{Name: "angle", Unit: "°", Means: "α, angle of the thread", Lo: 0, LoOut: true, Hi: 180, HiOut: true}.or(60).falls()},
			Results:  []Param{anyNumber("diameter", "µm", "how much smaller the screw (or larger the nut) must be to go together")},
			Domain:   "thread angles between 0 and 180°",
			Source:   "thread metrology, diameter equivalent of pitch error; from memory",
			Cautions: []string{"a nut that binds after some turns on a clean thread points to pitch, not to diameter"},
		}, func(a []Arg) ([]float64, error) {
			return one(math.Abs(a[0].Num) / math.Tan(a[1].Num*math.Pi/360))
		}),
	}
}
