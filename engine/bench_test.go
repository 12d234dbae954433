package engine_test

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Benchmarks of the five workloads, each beside a hand-written floor: a loop or
// breadth-first search that concludes the same and can explain nothing.

func compileFor(t testing.TB, pack *rules.Pack) *engine.Program {
	t.Helper()
	p, ps := engine.Compile(pack)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	return p
}

func BenchmarkW1(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		lower := drawTests(n, 1)
		c := drawValues(seeded(11))
		want := 0
		for i := range lower {
			if holds3(&lower[i], &c) {
				want++
			}
		}
		b.Run(fmt.Sprintf("ours/%d", n), func(b *testing.B) {
			pack := loadFiles(b, caseFiles(lower, nil))
			f := caseFacts(assemble(b, pack, unitPlace), &c)
			s := compileFor(b, pack).Bind(f)
			s.Run()
			checkCount(b, s, want)
			b.ReportAllocs()
			begin := processorTime()
			for b.Loop() {
				s.Reset(f)
				s.Run()
			}
			reportProcessor(b, begin)
		})
		b.Run(fmt.Sprintf("floor/%d", n), func(b *testing.B) { // a plain loop
			fired := make([]int32, 0, n)
			b.ReportAllocs()
			begin := processorTime()
			for b.Loop() {
				fired = fired[:0]
				for i := range lower {
					if holds3(&lower[i], &c) {
						fired = append(fired, int32(i))
					}
				}
			}
			reportProcessor(b, begin)
			if len(fired) != want {
				b.Fatal(len(fired), want)
			}
		})
		b.Run(fmt.Sprintf("bitmap/%d", n), func(b *testing.B) { // the best floor known
			m := newBitmap(lower)
			out := make([]uint64, m.words)
			b.ReportAllocs()
			begin := processorTime()
			for b.Loop() {
				m.eval(&c, out)
			}
			reportProcessor(b, begin)
			if ones(out) != want {
				b.Fatal(ones(out), want)
			}
		})
	}
}

var unitPlace = oneUnit()

func checkCount(b *testing.B, s *engine.Session, want int) {
	b.Helper()
	if got := s.True(); got != want {
		b.Fatalf("%d findings, want %d", got, want)
	}
}

func BenchmarkW2(b *testing.B) {
	const cases = 1000
	lower, uppers := drawTests(firstLevel, 2), drawUppers()
	r := seeded(22)
	all := make([]values, cases)
	for i := range all {
		all[i] = drawValues(r)
	}
	m := newBitmap(lower)
	floor := func() (n int) {
		var fired [(firstLevel + secondLevel + 63) / 64]uint64
		for i := range all {
			clear(fired[:])
			m.eval(&all[i], fired[:m.words])
			upperLoop(uppers, &all[i], fired[:])
			n += ones(fired[:])
		}
		return n
	}
	want := floor()
	pack := loadFiles(b, caseFiles(lower, uppers))
	l := assemble(b, pack, unitPlace)
	fs := make([]*rules.Facts, cases)
	for i := range all {
		fs[i] = caseFacts(l, &all[i])
	}
	p := compileFor(b, pack)
	b.Run("ours/1000", func(b *testing.B) {
		s := p.Bind(fs[0])
		n := 0
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			n = 0
			for _, f := range fs {
				s.Reset(f)
				s.Run()
				n += s.True()
			}
		}
		reportProcessor(b, begin)
		if n != want {
			b.Fatal(n, want)
		}
		perCase(b, cases)
	})
	b.Run("result/1000", func(b *testing.B) { // with a copy of each result
		s := p.Bind(fs[0])
		var out record.Result
		n := 0
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			n = 0
			for _, f := range fs {
				s.Reset(f)
				s.Run()
				s.ResultInto(&out)
				for _, t := range out.State {
					if t == truth.True {
						n++
					}
				}
			}
		}
		reportProcessor(b, begin)
		if n != want {
			b.Fatal(n, want)
		}
		perCase(b, cases)
	})
	b.Run("both/1000", func(b *testing.B) { // half the cases on each of two cores
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
		sessions := [2]*engine.Session{p.Bind(fs[0]), p.Bind(fs[0])}
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			done := make(chan int, 2)
			for k, s := range sessions {
				go func() {
					n := 0
					for _, f := range fs[k*cases/2 : (k+1)*cases/2] {
						s.Reset(f)
						s.Run()
						n += s.True()
					}
					done <- n
				}()
			}
			if n := <-done + <-done; n != want {
				b.Fatal(n, want)
			}
		}
		reportProcessor(b, begin)
		perCase(b, cases)
	})
	b.Run("floor/1000", func(b *testing.B) {
		b.ReportAllocs()
		begin := processorTime()
		for b.Loop() {
			floor()
		}
		reportProcessor(b, begin)
		perCase(b, cases)
	})
}

func perCase(b *testing.B, cases int) {
	b.ReportMetric(float64(b.N*cases)/b.Elapsed().Seconds(), "cases/s")
}

func BenchmarkW3(b *testing.B) {
	for _, n := range []int{10000, 100000, 300000} {
		edges := drawEdges(n)
		adj := make([][]int32, n)
		for _, e := range edges {
			adj[e[0]] = append(adj[e[0]], e[1])
		}
		wet, queue := make([]bool, n), make([]int32, 0, n)
		want := spreadFloor(adj, wet, queue)
		b.Run(fmt.Sprintf("ours/%d", n), func(b *testing.B) {
			pack := loadFiles(b, spreadFiles)
			f := spreadFacts(b, pack, n, edges)
			s := compileFor(b, pack).Bind(f)
			s.Run()
			checkCount(b, s, want)
			b.ReportAllocs()
			var used time.Duration
			for b.Loop() {
				b.StopTimer()
				s.Reset(f)
				b.StartTimer()
				begin := processorTime()
				s.Run()
				used += processorTime() - begin
			}
			reportProcessor(b, processorTime()-used)
		})
		b.Run(fmt.Sprintf("floor/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			begin := processorTime()
			for b.Loop() {
				spreadFloor(adj, wet, queue)
			}
			reportProcessor(b, begin)
		})
	}
}

func BenchmarkW4(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		seats, arms := drawAssembly(n)
		loose, carries := make([]bool, n), make([]bool, n)
		want := joinFloor(seats, arms, loose, carries)
		b.Run(fmt.Sprintf("ours/%d", n), func(b *testing.B) {
			pack := loadFiles(b, joinFiles)
			f := joinFacts(b, pack, seats, arms)
			s := compileFor(b, pack).Bind(f)
			s.Run()
			checkCount(b, s, want)
			b.ReportAllocs()
			var used time.Duration
			for b.Loop() {
				b.StopTimer()
				s.Reset(f)
				b.StartTimer()
				begin := processorTime()
				s.Run()
				used += processorTime() - begin
			}
			reportProcessor(b, processorTime()-used)
		})
		b.Run(fmt.Sprintf("floor/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			begin := processorTime()
			for b.Loop() {
				joinFloor(seats, arms, loose, carries)
			}
			reportProcessor(b, begin)
		})
	}
}

// BenchmarkW5 is one change: the forty properties in turn get another value, then
// their first one again.
func BenchmarkW5(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		lower := drawTests(n, 1)
		from, to := drawValues(seeded(11)), drawValues(seeded(55))
		count := func(c *values) (n int) {
			for i := range lower {
				if holds3(&lower[i], c) {
					n++
				}
			}
			return n
		}
		at := func(step int) (prop, v int) {
			prop = step % allProps
			if step/allProps%2 == 0 {
				return prop, to[prop]
			}
			return prop, from[prop]
		}
		b.Run(fmt.Sprintf("ours/%d", n), func(b *testing.B) {
			pack := loadFiles(b, caseFiles(lower, nil))
			f := caseFacts(assemble(b, pack, unitPlace), &from)
			s := compileFor(b, pack).Bind(f)
			s.Run()
			k := pack.Vocabulary.Kind("unit")
			part := f.OfKind[k.Index][0]
			change := func(step int) {
				p, v := at(step)
				value := wholeValue(v)
				if p >= wholes {
					value = choiceValue(v)
				}
				s.Set(part, k.Property(propNames[p]), value)
				s.Run()
			}
			now := from
			for step := range allProps {
				change(step)
				p, v := at(step)
				now[p] = v
				checkCount(b, s, count(&now))
			}
			step := allProps
			b.ReportAllocs()
			begin := processorTime()
			for b.Loop() {
				change(step)
				step++
			}
			reportProcessor(b, begin)
		})
		b.Run(fmt.Sprintf("fixed/%d", n), func(b *testing.B) { benchFixed(b, n) })
		b.Run(fmt.Sprintf("floor/%d", n), func(b *testing.B) {
			byProp := make([][]int32, allProps)
			for i, r := range lower {
				for _, c := range r {
					byProp[c.prop] = append(byProp[c.prop], int32(i))
				}
			}
			fired, c := make([]bool, n), from
			for i := range lower {
				fired[i] = holds3(&lower[i], &c)
			}
			flips, step := 0, 0
			b.ReportAllocs()
			begin := processorTime()
			for b.Loop() {
				p, v := at(step)
				step++
				c[p] = v
				for _, i := range byProp[p] {
					if now := holds3(&lower[i], &c); now != fired[i] {
						fired[i] = now
						flips++
					}
				}
			}
			reportProcessor(b, begin)
		})
	}
}

var propNames = func() (names [allProps]string) {
	for p := range names {
		names[p] = propName(p)
	}
	return names
}()

// BenchmarkChange is one changed answer in the demo: run and result.
func BenchmarkChange(b *testing.B) {
	pack, f := stationFacts(b)
	s := compileFor(b, pack).Bind(f)
	s.Run()
	ids := settable(f)
	var out record.Result
	i := 0
	b.ReportAllocs()
	begin := processorTime()
	for b.Loop() {
		id := ids[i/2%len(ids)]
		if i%2 == 0 {
			s.Forget(id.Part, id.Prop)
		} else if o := f.Lookup(id.Part, id.Prop); o != nil {
			s.Set(id.Part, id.Prop, o.Value)
		} else {
			s.Set(id.Part, id.Prop, vocab.Value{Looked: vocab.CouldNotTell})
		}
		i++
		s.Run()
		s.ResultInto(&out)
	}
	reportProcessor(b, begin)
}
