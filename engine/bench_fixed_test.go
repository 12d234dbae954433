package engine_test

import "testing"

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

// benchFixed is one change that reaches the same conditions among n rules.
func benchFixed(b *testing.B, n int) {
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
	change := func() {
		step++
		c[0] = 300 + step%2*400
		s.Set(part, prop, wholeValue(c[0]))
		s.Run()
	}
	for range 2 {
		change()
		checkCount(b, s, count())
	}
	b.ReportAllocs()
	begin := processorTime()
	for b.Loop() {
		change()
	}
	reportProcessor(b, begin)
	b.ReportMetric(reached, "reached")
}
