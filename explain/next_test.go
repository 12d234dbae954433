package explain

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The binary symmetric channel with even prior carries 1 − H(ε) bits. Source:
// Cover and Thomas, Elements of Information Theory (2nd ed. 2006), 7.1.4; H(0.11)
// = 0.49992 bit is the usual worked figure. From memory.
func TestInformationOfASymmetricChannel(t *testing.T) {
	for _, x := range []struct{ e, want float64 }{{0.11, 0.50008}, {0.5, 0}, {0.25, 0.18872}, {1e-12, 1}} {
		got := information(0.5, 1-x.e, x.e) + information(0.5, x.e, 1-x.e)
		if math.Abs(got-x.want) > 5e-5 {
			t.Errorf("ε = %g: %.5f bits, want %.5f", x.e, got, x.want)
		}
	}
}

// Mutual information from the joint table, by its definition:
// I = Σ P(c,a)·log2( P(c,a) / (P(c)·P(a)) ).
func TestInformationAgreesWithTheJointTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "answers")
		draw := func(name string) []float64 {
			out := make([]float64, n)
			sum := 0.0
			for i := range out {
				out[i] = rapid.Float64Range(0.01, 1).Draw(t, name)
				sum += out[i]
			}
			for i := range out {
				out[i] /= sum
			}
			return out
		}
		prior := rapid.Float64Range(0.01, 0.99).Draw(t, "prior")
		p, q := draw("p"), draw("q")
		var got, want float64
		for a := range n {
			got += information(prior, p[a], q[a])
			all := prior*p[a] + (1-prior)*q[a]
			for _, c := range [][2]float64{{prior, p[a]}, {1 - prior, q[a]}} {
				joint := c[0] * c[1]
				want += joint * math.Log2(joint/(c[0]*all))
			}
		}
		if math.Abs(got-want) > 1e-12 || got < -1e-12 || got > 1 {
			t.Fatalf("%.15f bits, the joint table %.15f", got, want)
		}
	})
}
