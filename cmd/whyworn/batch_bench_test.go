package main

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"whyworn/engine"
	"whyworn/explain"
	"whyworn/explain/answer"
	"whyworn/facts"
	"whyworn/facts/jsonfile"
	"whyworn/facts/source"
	"whyworn/rules"
)

// inspectionLine draws one inspection of the demo's machine, one to two
// kilobytes of JSON: signs and readings of four stations, half of them with
// earlier work, a quarter with instruments whose uncertainty is given.
func inspectionLine(b *bytes.Buffer, r *rand.Rand, number int) {
	pick := func(s ...string) string { return s[r.IntN(len(s))] }
	stations := []string{"1in", "1ex", "2in", "2ex"}
	fmt.Fprintf(b, `{"machine":"sallowmere-twin","number":"engine %d","date":"20%02d-%02d-%02d","hours":"%d h"`,
		number, 10+r.IntN(16), 1+r.IntN(12), 1+r.IntN(28), 1000+r.IntN(4000))
	tools := r.IntN(4) == 0
	if tools {
		b.WriteString(`,"tools":{"mic":{"is":"micrometer","u":"0.002 mm"},"bore":{"is":"bore gauge","u":"0.003 mm","set":"15.000 mm","reads":"um"}}`)
	}
	if r.IntN(2) == 0 {
		fmt.Fprintf(b, `,"work":[{"id":"joint","when":"2009-%02d-12","hours":"%d h","did":"joint_remade","on":["pedestal_1"],"joint_with":%q,"left_out":%q,"told_by":"log_book"}]`,
			1+r.IntN(12), 500+r.IntN(400), pick("dry_paper", "sealant"), pick("nothing", "feed_not_blown_through"))
	}
	fmt.Fprintf(b, `,"before":{"oil_level":"right","oil_hours":"%d h","pressure_hot":"%.1f bar","noise":%q,"oil_at_far_arm":%q,"clearance":{`,
		20+r.IntN(300), 1+2.5*r.Float64(), pick("none", "dull_tick", "hard_tapping"), pick("runs", "seeps", "none"))
	for i, s := range stations {
		fmt.Fprintf(b, `%s%q:"0.%02d mm"`, ","[:min(i, 1)], s, 20+r.IntN(40))
	}
	fmt.Fprintf(b, `}},"shaft":{"found":"in_place","oilway":%q,"end_plug":"tight","tint_even_to_the_ends":%q},"feed":{"found":"in_place","blockage":%q,"flow":%q,"open":"%.1f mm"}`,
		pick("clear", "?"), pick("no", "no", "yes"), pick("nothing", "sealant", "?"), pick("full", "weak"), 0.6+r.Float64())
	b.WriteString(`,"seat":{`)
	if tools {
		b.WriteString(`"tool":{"diameter":"mic"},`)
	}
	fmt.Fprintf(b, `"all":{"rust":%q,"pits":"none","sharp_band":"no","bronze_smear":"no"}`, pick("none", "none", "all_over"))
	for _, s := range stations {
		w := r.Float64() * r.Float64() * 70
		fmt.Fprintf(b, `,%q:{"film":%q,"tint":%q,"groove":%q,"ridge":%q,"worn_side":"toward_head","scratches":%q,"diameter":"%.3f %.3f / %.3f %.3f / %.3f %.3f"}`, s,
			pick("thin", "dry", "?"), pick("none", "none", "straw", "brown", "purple", "blue", "brown or purple"), pick("none", "polish", "light", "deep"),
			pick("no", "yes"), pick("none", "none", "torn"), 14.975-w/1000, 14.974, 14.976-w/900, 14.973, 14.975-w/950, 14.974)
	}
	b.WriteString(`},"arm":{`)
	if tools {
		b.WriteString(`"tool":{"bore":"bore"},`)
	}
	b.WriteString(`"all":{"found":"in_place","crack":"none","oil_hole":"clear","bush_fit":"tight"}`)
	for i, s := range stations {
		w := r.Float64() * r.Float64() * 60
		bore := fmt.Sprintf("%.3f %.3f / %.3f %.3f", 15.02+w/1000, 15.019, 15.018+w/1100, 15.017)
		if tools {
			bore = fmt.Sprintf("%+d %+d / %+d %+d", 20+int(w), 19, 18+int(w), 17)
		}
		fmt.Fprintf(b, `,%q:{"pattern":%q,"bore":%q,"bore_surface":%q,"pad":%q}`, s, [2]string{"inlet", "exhaust"}[i%2], bore,
			pick("sound", "torn", "coat_worn_below"), pick("polish", "deep", "?"))
	}
	fmt.Fprintf(b, `},"screw":{"all":{"found":"in_place","tip":"even","thread":"sound"}},"nut":{"all":{"found":"in_place","by_hand":%q,"hexagon":"sharp"}}`, pick("tight", "slack"))
	fmt.Fprintf(b, `,"washer":{"all":{"found":"in_place","wear":%q,"thickness":"1.%02d mm"}},"valve":{"all":{"stem":"level","tip":%q}}}`+"\n", pick("even", "one_face"), 40+r.IntN(10), pick("even", "hollow"))
}

// inspectionLines streams inspections, so that a million need no memory.
type inspectionLines struct {
	random *rand.Rand
	left   int
	number int
	buffer bytes.Buffer
}

func newInspectionLines(n int) *inspectionLines {
	return &inspectionLines{random: rand.New(rand.NewPCG(7, 70)), left: n}
}

func (l *inspectionLines) Read(p []byte) (int, error) {
	for l.buffer.Len() < len(p) && l.left > 0 {
		l.left--
		l.number++
		inspectionLine(&l.buffer, l.random, l.number)
	}
	return l.buffer.Read(p)
}

// stationBatch is a batch of the demo's machine.
func stationBatch(b testing.TB) *batch {
	f, problem := source.ReadFile(filepath.Join("..", "..", "testdata", "station", "machine.toml"))
	if problem != nil {
		b.Fatal(problem)
	}
	m, ps := facts.ParseMachine(f)
	if m == nil {
		b.Fatal(ps)
	}
	pack, _ := (&app{}).pack(m.Pack)
	layout, ps := rules.Assemble(pack, m)
	if layout == nil {
		b.Fatal(ps)
	}
	program, ps := engine.Compile(pack)
	if program == nil {
		b.Fatal(ps)
	}
	return &batch{layout: layout, program: program}
}

// alikeLines are n inspections, each with one to three answers other than that before.
func alikeLines(k *batch, n int) string {
	r := rand.New(rand.NewPCG(8, 80))
	fitter := newLineRunner(k.layout, k.program)
	var b bytes.Buffer
	inspectionLine(&b, r, 1)
	line := strings.TrimSpace(b.String())
	for b.Reset(); n > 0; {
		next := line
		for range 1 + r.IntN(3) {
			next = changeAnswer(next, r, mildly)
		}
		if f, _ := fitter.fit(1, []byte(next)); f != nil {
			line = next
			b.WriteString(line + "\n")
			n--
		}
	}
	return b.String()
}

// BenchmarkBatch is whyworn batch on inspections of one to two kilobytes: all of
// it on all processors, and its stages one after the other on one.
func BenchmarkBatch(b *testing.B) {
	k := stationBatch(b)
	const n = 400
	var text bytes.Buffer
	if _, err := io.Copy(&text, newInspectionLines(n)); err != nil {
		b.Fatal(err)
	}
	var begin time.Duration
	start := func(b *testing.B) {
		b.ReportAllocs()
		begin = processorTime()
	}
	perLine := func(b *testing.B) {
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/line")
		b.ReportMetric(float64(processorTime()-begin)/float64(b.N)/n, "cpu-ns/line")
	}
	b.Logf("%d bytes a line", text.Len()/n)
	b.Run("all", func(b *testing.B) {
		b.SetBytes(int64(text.Len()))
		start(b)
		for b.Loop() {
			if err := k.pump(bytes.NewReader(text.Bytes()), io.Discard); err != nil || k.bad.Load() > 0 {
				b.Fatal(err, k.bad.Load())
			}
		}
		perLine(b)
	})
	b.Run("alike", func(b *testing.B) { // all of it, on lines that differ in few answers
		text := alikeLines(k, n)
		start(b)
		for b.Loop() {
			if err := k.pump(strings.NewReader(text), io.Discard); err != nil || k.bad.Load() > 0 {
				b.Fatal(err, k.bad.Load())
			}
		}
		perLine(b)
	})
	var lines []string
	for line := range strings.Lines(text.String()) {
		lines = append(lines, line)
	}
	files := make([]*source.File, n)
	for i := range files {
		files[i] = source.NewFile("line", []byte(lines[i]))
	}
	read := func(i int) *facts.Inspection {
		root, ps := jsonfile.Parse(files[i])
		in, more := facts.ReadInspection(files[i], root)
		if len(ps)+len(more) > 0 {
			b.Fatal(ps, more)
		}
		return in
	}
	b.Run("parse", func(b *testing.B) {
		start(b)
		for b.Loop() {
			for i := range files {
				jsonfile.Parse(files[i])
			}
		}
		perLine(b)
	})
	b.Run("read", func(b *testing.B) { // with parse
		start(b)
		for b.Loop() {
			for i := range files {
				read(i)
			}
		}
		perLine(b)
	})
	inspections := make([]*facts.Inspection, n)
	for i := range inspections {
		inspections[i] = read(i)
	}
	b.Run("fit", func(b *testing.B) {
		x := rules.NewFitter(k.layout)
		start(b)
		for b.Loop() {
			for _, in := range inspections {
				if f, ps := x.Fit(in); f == nil {
					b.Fatal(ps)
				}
			}
		}
		perLine(b)
	})
	fitted := make([]*rules.Facts, n)
	for i, in := range inspections {
		fitted[i], _ = rules.FitTo(k.layout, in)
	}
	b.Run("run", func(b *testing.B) { // with fit, as work that is told of has layouts of its own
		x := newLineRunner(k.layout, k.program)
		start(b)
		for b.Loop() {
			for _, in := range inspections {
				f, _ := x.fitter.Fit(in)
				x.run(f)
			}
		}
		perLine(b)
	})
	cases := make([]*explain.Case, n)
	for i, f := range fitted {
		s := k.program.Bind(f)
		s.Run()
		cases[i] = explain.New(k.program, s.Result())
	}
	b.Run("write", func(b *testing.B) {
		var out []byte
		lines := answer.NewLines(k.program.Pack())
		start(b)
		for b.Loop() {
			for _, c := range cases {
				var err error
				if out, err = lines.Append(out[:0], c, nil); err != nil {
					b.Fatal(err)
				}
			}
		}
		perLine(b)
	})
}

// BenchmarkBatchMemory tells the heap in use at the most while so many lines
// run: it must not grow with their number.
func BenchmarkBatchMemory(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			k := stationBatch(b)
			for b.Loop() {
				most := &peak{every: n / 100}
				if err := k.pump(newInspectionLines(n), most); err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(most.heap)/(1<<20), "MB-heap")
				b.ReportMetric(float64(most.lines), "lines")
			}
		})
	}
}

// peak is a writer that looks at the heap now and then.
type peak struct {
	every, lines int
	heap         uint64
}

func (p *peak) Write(b []byte) (int, error) {
	before := p.lines
	p.lines += bytes.Count(b, []byte{'\n'})
	if p.lines/p.every > before/p.every {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		p.heap = max(p.heap, m.HeapInuse)
	}
	return len(b), nil
}
