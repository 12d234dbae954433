package handbook

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func ladders() *rapid.Generator[feedLadder] {
	return rapid.Custom(func(rt *rapid.T) feedLadder {
		n := rapid.IntRange(1, 12).Draw(rt, "arms")
		conductance := func(label string) float64 { // three decades
			return math.Pow(10, -12+3*evenly(rapid.Uint64().Draw(rt, label)))
		}
		l := feedLadder{supply: 2e5, feed: conductance("feed"), before: rapid.IntRange(0, n).Draw(rt, "before")}
		for range n {
			l.bore, l.leak = append(l.bore, conductance("bore")), append(l.leak, conductance("leak"))
		}
		return l
	})
}

// nodal is the second way: every node's balance of flow as one linear system,
// solved by elimination. Nodes: 0 behind the restriction, i+1 at arm i.
func nodal(l feedLadder) []float64 {
	n := len(l.leak) + 1
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n+1)
	}
	join := func(i, j int, g float64) {
		m[i][i], m[j][j] = m[i][i]+g, m[j][j]+g
		m[i][j], m[j][i] = m[i][j]-g, m[j][i]-g
	}
	m[0][0], m[0][n] = l.feed, l.feed*l.supply
	for i := range l.leak {
		toward := i // the node of the arm before it
		switch {
		case i == l.before:
			toward = 0
		case i < l.before && i+1 < l.before:
			toward = i + 2
		case i < l.before:
			toward = 0
		}
		join(toward, i+1, l.bore[i])
		m[i+1][i+1] += l.leak[i]
	}
	for k := range n {
		pivot := k
		for r := k + 1; r < n; r++ {
			if math.Abs(m[r][k]) > math.Abs(m[pivot][k]) {
				pivot = r
			}
		}
		m[k], m[pivot] = m[pivot], m[k]
		for r := range n {
			if f := m[r][k] / m[k][k]; r != k && f != 0 {
				for c := k; c <= n; c++ {
					m[r][c] -= f * m[k][c]
				}
			}
		}
	}
	p := make([]float64, len(l.leak))
	for i := range p {
		p[i] = m[i+1][n] / m[i+1][i+1]
	}
	return p
}

func near(a, b, rel float64) bool { return math.Abs(a-b) <= rel*(math.Abs(a)+math.Abs(b)) }

func TestShaftFeedAgreesWithAGeneralNetwork(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		l := ladders().Draw(rt, "ladder")
		a, b := l.solve(make([]float64, 2*len(l.leak))), nodal(l)
		for i := range a {
			if !near(a[i], b[i], 1e-7) {
				rt.Fatalf("arm %d: ladder %v Pa, network %v Pa", i+1, a[i], b[i])
			}
		}
	})
}

// One arm: feed, bore and leak in a row, so p = supply · R_leak / (R_feed + R_bore + R_leak).
func TestShaftFeedOfOneArmIsTheClosedForm(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		l := ladders().Draw(rt, "ladder")
		l.bore, l.leak, l.before = l.bore[:1], l.leak[:1], min(l.before, 1)
		want := l.supply * (1 / l.leak[0]) / (1/l.feed + 1/l.bore[0] + 1/l.leak[0])
		if got := l.solve(make([]float64, 2*len(l.leak)))[0]; !near(got, want, 1e-12) {
			rt.Fatalf("%v Pa, closed form %v", got, want)
		}
	})
}

// What comes through the restriction leaks at the arms, and nothing else: the
// pressure behind the restriction is not returned, so it is taken back from
// the flow in the first length of each branch.
func TestShaftFeedBalancesMass(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		l := ladders().Draw(rt, "ladder")
		p := l.solve(make([]float64, 2*len(l.leak)))
		out := 0.0
		for i := range p {
			out += p[i] * l.leak[i]
		}
		behind := l.supply - out/l.feed
		branch := func(first, step, end int) {
			from := behind
			for i := first; i != end; i += step {
				beyond := 0.0
				for k := i; k != end; k += step {
					beyond += p[k] * l.leak[k]
				}
				if through := (from - p[i]) * l.bore[i]; math.Abs(through-beyond) > 1e-7*l.supply*(l.bore[i]+l.feed) {
					rt.Fatalf("bore to arm %d carries %v, the arms beyond leak %v", i+1, through, beyond)
				}
				from = p[i]
			}
		}
		branch(l.before, 1, len(p))
		branch(l.before-1, -1, -1)
	})
}

// Large play starves the arms: more leak at any arm lowers the pressure at
// every arm, and that arm's own flow grows.
func TestLargePlayStarvesTheArms(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		l := ladders().Draw(rt, "ladder")
		before := l.solve(make([]float64, 2*len(l.leak)))
		k := rapid.IntRange(0, len(l.leak)-1).Draw(rt, "worn arm")
		was := l.leak[k]
		l.leak[k] *= 8 // twice the play
		after := l.solve(make([]float64, 2*len(l.leak)))
		for i := range after {
			if after[i] > before[i]*(1+1e-12) || i == k && after[i] >= before[i] {
				rt.Fatalf("arm %d: pressure %v Pa, before %v, though arm %d leaks more", i+1, after[i], before[i], k+1)
			}
		}
		if after[k]*l.leak[k] <= before[k]*was {
			rt.Fatalf("arm %d leaks less though its play grew", k+1)
		}
	})
}

// The invented engine of the demo: four arms, fed at the first; play as new
// 0.03 mm, then as found. The last arm starves, and without wear it did not.
func TestShaftFeedTellsTheStory(t *testing.T) {
	give := []string{"play", "49 63 104 169 µm", "play_new", "30 30 30 30 µm", "spacing", "20 35 60 35 mm", "diameter", "15 mm", "width", "22 mm",
		"feed_diameter", "0.8 mm", "feed_length", "12 mm", "bore_diameter", "6 mm", "viscosity", "12 mPa·s"}
	a := ask(t, "shaft_feed", give...)
	if a.in(t, "first_starved", "") != 4 {
		t.Errorf("first starved is arm %v", a.in(t, "first_starved", ""))
	}
	if fall := a.in(t, "fall", "%"); fall < 50 {
		t.Errorf("the pressure fell only %v %%", fall)
	}
	clear := ask(t, "shaft_feed", append(give, "feed_diameter", "2 mm")...)
	if fall := clear.in(t, "fall", "%"); fall > a.in(t, "fall", "%")/1.5 {
		t.Errorf("with the feed clear the fall is %v %%, not much less than %v %%", fall, a.in(t, "fall", "%"))
	}
	thin := ask(t, "shaft_feed", append(give, "viscosity", "120 mPa·s")...)
	if !near(thin.in(t, "lowest_pressure", "bar"), a.in(t, "lowest_pressure", "bar"), 1e-9) {
		t.Error("all laminar: the pressures must not depend on the viscosity")
	}
	middle := ask(t, "shaft_feed", append(give, "arms_before_feed", "2")...)
	if middle.in(t, "lowest_pressure", "bar") <= a.in(t, "lowest_pressure", "bar") {
		t.Error("fed in the middle the far arm is nearer and must keep more pressure")
	}
}

func TestFourthIsPow(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := rapid.Float64Range(1e-4, 1).Draw(rt, "d")
		if fourth(d) != math.Pow(d, 4) {
			rt.Fatalf("fourth(%g) = %g, Pow gives %g", d, fourth(d), math.Pow(d, 4))
		}
	})
}
