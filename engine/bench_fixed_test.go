package engine_test

import (
	"slices"
	"testing"
	"time"
)

// reached is how many rules ask the property that changes, however many there are.
const reached = 300

// drawReached draws n rules of which the same ones, spread evenly among the others,
// ask property 0.
func drawReached(n int) [][3]test {
	others, r := drawTests(n, 5), seeded(6)
	for i := range others {
		for j := range others[i] {
			if others[i][j].prop == 0 {
				others[i][j].prop = others[i][(j+1)%3].prop%(wholes-1) + 1
			}
		}
	}
	for k := range reached {
		t := &others[k*(n/reached)]
		for j := range t {
			for t[j] = drawTest(r); t[j].prop == 0; {
				t[j] = drawTest(r)
			}
		}
		t[0] = test{0, r.IntN(2), 200 + r.IntN(600)}
	}
	return others
}

// fixedChange makes a change that reaches the same conditions among n rules, of
// which the same ones flip, and the hand-written loop over those rules beside it.
func fixedChange(b *testing.B, n int) (change, floor func()) {
	lower := drawReached(n)
	c := drawValues(seeded(11))
	count := func() (n int) {
		for i := range lower {
			if holds3(&lower[i], &c) {
				n++
			}
		}
		return n
	}
	c[0] = 300
	pack := loadFiles(b, caseFiles(lower, nil))
	f := caseFacts(assemble(b, pack, unitPlace), &c)
	s := compileFor(b, pack).Bind(f)
	s.Run()
	checkCount(b, s, count())
	k := pack.Vocabulary.Kind("unit")
	part, prop := f.OfKind[k.Index][0], k.Property(propName(0))
	step := 0
	change = func() {
		step++
		c[0] = 300 + step%2*400
		s.Set(part, prop, wholeValue(c[0]))
		s.Run()
	}
	for range 2 {
		change()
		checkCount(b, s, count())
	}
	var asking []int32
	fired, v := make([]bool, n), c
	for i := range lower {
		fired[i] = holds3(&lower[i], &v)
		if lower[i][0].prop == 0 {
			asking = append(asking, int32(i))
		}
	}
	if len(asking) != reached {
		b.Fatalf("%d rules ask what changes, want %d", len(asking), reached)
	}
	floor = func() {
		v[0] = 1000 - v[0]
		for _, i := range asking {
			if now := holds3(&lower[i], &v); now != fired[i] {
				fired[i] = now
			}
		}
	}
	return change, floor
}

// benchFixed is one change that reaches the same conditions among n rules.
func benchFixed(b *testing.B, n int) {
	change, _ := fixedChange(b, n)
	b.ReportAllocs()
	begin := processorTime()
	for b.Loop() {
		change()
	}
	reportProcessor(b, begin)
	b.ReportMetric(reached, "reached")
}

// BenchmarkW5Growth is how much dearer such a change is among 10,000 and 100,000
// rules than among 1,000. The sizes take turns of some changes each, so that what
// else the machine does meets all alike; told are the medians of all turns and
// how they grow, the same for the hand-written loop.
func BenchmarkW5Growth(b *testing.B) {
	const turn = 300
	sizes := [3]int{1000, 10000, 100000}
	var ours, floors [3]func()
	for i, n := range sizes {
		ours[i], floors[i] = fixedChange(b, n)
	}
	var took, floor [3][]time.Duration
	timed := func(f func()) time.Duration {
		begin := time.Now()
		for range turn {
			f()
		}
		return time.Since(begin)
	}
	for b.Loop() {
		for i := range sizes {
			took[i] = append(took[i], timed(ours[i]))
			floor[i] = append(floor[i], timed(floors[i]))
		}
	}
	median := func(d []time.Duration) float64 {
		slices.Sort(d)
		return float64(d[len(d)/2]) / turn
	}
	of := func(all *[3][]time.Duration) (m [3]float64) {
		for i := range all {
			m[i] = median(all[i])
		}
		return m
	}
	m, f := of(&took), of(&floor)
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(m[0], "ns@1000")
	b.ReportMetric(m[1]/m[0], "x@10000")
	b.ReportMetric(m[2]/m[0], "x@100000")
	b.ReportMetric(f[0], "floor-ns@1000")
	b.ReportMetric(f[1]/f[0], "floor-x@10000")
	b.ReportMetric(f[2]/f[0], "floor-x@100000")
}
