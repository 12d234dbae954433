package frequency

import (
	"math"
	"testing"
)

func TestFrequencies(t *testing.T) {
	all := All()
	for i, f := range all {
		if !(f.Value > 0 && f.Value < 1) {
			t.Errorf("%s stands for %v", f.Text, f.Value)
		}
		if i > 0 && f.Value >= all[i-1].Value {
			t.Errorf("%s is not below %s", f.Text, all[i-1].Text)
		}
		if v, ok := Of(f.Text); !ok || v != f.Value {
			t.Errorf("%s is %v, %v", f.Text, v, ok)
		}
	}
	for _, word := range []string{"always", "never", "Often", ""} {
		if _, ok := Of(word); ok {
			t.Errorf("%q passes for a word of frequency", word)
		}
	}
	// Rohrmann, Verbal qualifiers for rating scales, preliminary results of June
	// 2000, on a scale of 0 to 10: another survey, which has to agree roughly.
	for word, tenths := range map[string]float64{
		"seldom": 1.7, "rarely": 1.3, "sometimes": 3.6, "occasionally": 3.2, "often": 6.6, "very often": 8.3,
	} {
		if v, _ := Of(word); math.Abs(v-tenths/10) > 0.13 {
			t.Errorf("%s stands for %v, another survey says %v", word, v, tenths/10)
		}
	}
	all[0].Value = 0
	if v, _ := Of("almost always"); v != 0.917 {
		t.Error("a caller can change the table")
	}
}
