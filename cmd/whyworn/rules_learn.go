package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"

	"github.com/spf13/cobra"

	"whyworn/engine"
	"whyworn/engine/learn"
	"whyworn/explain/tell"
	"whyworn/facts/source"
	"whyworn/rules"
)

const usualLeast = 5 // inspections a learned number rests on at least, unless told

type learnOptions struct {
	output string
	force  bool
	least  int
}

func (a *app) rulesLearn() *cobra.Command {
	var o learnOptions
	cmd := &cobra.Command{
		Use:   "learn CASES.ndjson --machine FILE [-o FILE]",
		Short: "count how often clues show, from inspections whose causes were confirmed",
		Long: `Reads one inspection as JSON a line, all of one machine, and counts, over those
with confirmed causes, how often each clue shows with its cause and without it,
and how common each cause is. A case with confirmed causes is taken to have no
others; a sign nobody could decide is left out. A learned frequency is
(n+1)/(N+k), k the number of possible answers (Laplace's correction).

The pack is not touched. With -o the clues are written as a file of a pack, the
author's numbers beside those that differ. A number that would rest on too few
inspections stays the author's and says so.`,
		Example: "  whyworn rules learn cases.ndjson --machine testdata/station/machine.toml -o clues.toml",
		Args:    exactly("CASES.ndjson"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.runLearn(args[0], &o) },
	}
	cmd.Flags().StringVar(&a.machine, "machine", "", "machine file (needed)")
	cmd.Flags().StringVar(&a.packDir, "pack", "", "folder of a pack of your own, or the name of one that ships")
	cmd.Flags().StringVarP(&o.output, "output", "o", "", "write the clues to this file")
	cmd.Flags().BoolVar(&o.force, "force", false, "write over an existing file")
	cmd.Flags().IntVar(&o.least, "least", usualLeast, "inspections that a learned number rests on at least")
	a.outputFlags(cmd)
	return cmd
}

func (a *app) runLearn(cases string, o *learnOptions) error {
	if o.least < 0 {
		return callProblem(fmt.Errorf("--least takes a number of inspections, 0 or more; this is %d", o.least))
	}
	if p := o.free(); p != nil {
		return source.Problems{p}
	}
	layout, program, err := a.openForMany("rules learn")
	if err != nil {
		return err
	}
	in, problem := a.openCases(cases)
	if problem != nil {
		return source.Problems{problem}
	}
	defer in.Close()
	l := &learner{layout: layout, program: program, input: cases}
	tally, err := l.count(in)
	if err != nil {
		return err
	}
	if tally.Cases == 0 {
		return source.Problems{(&source.Problem{Code: callCode,
			Message: fmt.Sprintf("of the inspections given (%d) none has confirmed causes, so there is nothing to count", tally.Unconfirmed)}).
			Hint(`an inspection tells what proved true: "confirmed": {"causes": ["feed.choked"]}`)}
	}
	lesson := tally.Learn(o.least)
	if o.output != "" {
		if err := o.write(lesson.TOML(filepath.Base(cases))); err != nil {
			return err
		}
	}
	if a.json {
		return a.answer(lessonJSON(lesson))
	}
	return a.tellLesson(lesson, o.output)
}

func (a *app) openCases(path string) (io.ReadCloser, *source.Problem) {
	if path == "-" {
		return io.NopCloser(a.in), nil
	}
	f, err := os.Open(path)
	if err == nil {
		return f, nil
	}
	if _, problem := source.ReadFile(path); problem != nil {
		return nil, problem
	}
	return nil, &source.Problem{Code: callCode, Message: err.Error()}
}

// free is the problem of an output that stands already.
func (o *learnOptions) free() *source.Problem {
	if o.output == "" || o.force {
		return nil
	}
	if _, err := os.Lstat(o.output); err == nil {
		return (&source.Problem{Code: callCode, Message: fmt.Sprintf("%s stands already, and may hold an author's numbers", o.output)}).
			Hint("name another file, or write over it with --force")
	}
	return nil
}

// write puts the file there whole or not at all.
func (o *learnOptions) write(text string) error {
	problem := func(err error) error {
		var path *fs.PathError
		if errors.As(err, &path) {
			err = path.Err
		}
		return source.Problems{{Code: callCode, Message: fmt.Sprintf("%s cannot be written: %v", o.output, err)}}
	}
	f, err := os.CreateTemp(filepath.Dir(o.output), "."+filepath.Base(o.output)+"-*")
	if err != nil {
		return problem(err)
	}
	defer os.Remove(f.Name()) // of no effect once renamed
	_, err = io.WriteString(f, text)
	err = errors.Join(err, f.Chmod(0o644), f.Close())
	if err != nil {
		return problem(err)
	}
	if p := o.free(); p != nil {
		return source.Problems{p}
	}
	if err := os.Rename(f.Name(), o.output); err != nil {
		return problem(err)
	}
	return nil
}

// learner runs inspections on all processors and counts them.
type learner struct {
	layout  *rules.Layout
	program *engine.Program
	input   string // its name

	mu  sync.Mutex
	all *learn.Tally
	bad map[int]source.Problems // by line
}

type numbered struct {
	number int
	text   []byte
}

// count reads all lines. If any cannot be read nothing is learned, for numbers
// that silently rest on fewer cases than were given are worse than none.
func (l *learner) count(in io.Reader) (*learn.Tally, error) {
	l.all, l.bad = learn.New(l.program.Pack()), map[int]source.Problems{}
	lines := make(chan numbered, 64)
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() { l.work(lines) })
	}
	last, err := read(in, lines)
	close(lines)
	wg.Wait()
	if err != nil {
		return nil, err
	}
	var ps source.Problems
	for n := 1; n <= last && len(l.bad) > 0; n++ {
		ps = append(ps, l.bad[n]...)
	}
	if len(ps) > 0 {
		ps.Add((&source.Problem{Code: callCode, Message: fmt.Sprintf("%d of %d lines could not be read, so nothing was counted", len(l.bad), last)}).
			Hint("mend them or take them out"))
		return nil, ps
	}
	return l.all, nil
}

// read hands on the lines that are not blank, and tells how many there are in all.
func read(in io.Reader, lines chan<- numbered) (last int, err error) {
	r := bufio.NewReaderSize(in, blockSize)
	for n := 1; ; n++ {
		line, err := appendLine(nil, r)
		if err != nil && err != io.EOF {
			return last, err
		}
		if len(line) > 0 {
			last = n
		}
		if line = bytes.TrimRight(line, " \t\r\n"); len(line) > 0 {
			lines <- numbered{n, line}
		}
		if err == io.EOF {
			return last, nil
		}
	}
}

func (l *learner) work(lines <-chan numbered) {
	tally, bad := learn.New(l.program.Pack()), map[int]source.Problems{}
	runner := newLineRunner(l.layout, l.program)
	runner.input = l.input
	for line := range lines {
		f, ps := runner.fit(line.number, line.text)
		if f == nil {
			bad[line.number] = ps.Errors()
			continue
		}
		if err := tally.Case(l.program, runner.run(f)); err != nil {
			ps.Addf(callCode, source.Span{File: f.Inspection.File}, "%v", err)
			bad[line.number] = ps.Errors()
		}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.all.Add(tally)
	for n, ps := range bad {
		l.bad[n] = ps
	}
}

// tellLesson prints the author's numbers, the counts, and what was learned.
func (a *app) tellLesson(l *learn.Lesson, output string) error {
	p := tell.NewPage(a.pageWidth())
	p.Line(l.Basis())
	p.Gap()
	rows := [][]string{{"clue", "author", "seen", "learned", "apart"}}
	for i := range l.Clues {
		rows = append(rows, clueRows(&l.Clues[i])...)
	}
	if len(rows) > 1 {
		p.Table("", rows)
		p.Gap()
	}
	rows = [][]string{{"cause", "author", "confirmed", "learned", "apart"}}
	for i := range l.Common {
		c := &l.Common[i]
		learned, apart := short(c.Learned), decibans(c.Apart)
		if c.Learned == 0 {
			learned, apart = "stays, too few cases", ""
		}
		rows = append(rows, []string{c.Prop.Label(), short(c.Author), fmt.Sprintf("%d of %d parts", c.N, c.Of), learned, apart})
	}
	if len(rows) > 1 {
		p.Table("", rows)
		p.Gap()
	}
	p.Para("", "", fmt.Sprintf("With and without the cause are divided by '/'. Apart is the most that an answer weighs differently, for a cause the "+
		"change of its odds, both in decibans. A number that would rest on fewer than %d inspections stays the author's.", l.Least))
	if output != "" {
		p.Para("", "", "Written to "+output+"; the pack itself is as it was.")
	}
	_, err := p.WriteTo(a.out)
	return err
}

// clueRows is the id of a clue with a line for each answer below it.
func clueRows(c *learn.Clue) [][]string {
	pair := func(a, b string) string { return a + " / " + b }
	learned := func(f *learn.Frequency, i int) string {
		if f.Learned == nil {
			return "stays"
		}
		return short(f.Learned[i])
	}
	apart := decibans(c.Apart)
	switch {
	case c.ByDamage:
		apart = "not counted: damage"
	case c.Mute:
		apart = "says nothing"
	case c.WhenSo.Learned == nil && c.Otherwise.Learned == nil:
		apart = "too few cases"
	}
	answers := c.Choices()
	if answers == nil {
		answers = []string{"shows"}
	}
	out := [][]string{{c.ID}}
	p, q := &c.WhenSo, &c.Otherwise
	for i, answer := range answers {
		out = append(out, []string{"  " + answer, pair(short(p.Author[i]), short(q.Author[i])),
			fmt.Sprintf("%d of %d / %d of %d", p.N[i], p.Of, q.N[i], q.Of), pair(learned(p, i), learned(q, i)), apart})
		apart = ""
	}
	return out
}

func short(f float64) string { return strconv.FormatFloat(f, 'g', 3, 64) }

func decibans(d float64) string { return strconv.FormatFloat(d, 'f', 1, 64) + " dB" }

type sideJSON struct {
	Author  []float64 `json:"author"`
	Word    string    `json:"word,omitempty"`
	Seen    []int     `json:"seen"`
	Of      int       `json:"of"`
	Cases   int       `json:"cases"`
	Learned []float64 `json:"learned"` // null: the author's stands
}

type learnedClueJSON struct {
	ID        string   `json:"id"`
	Cause     string   `json:"cause"`
	Sign      string   `json:"sign"`
	Choices   []string `json:"choices,omitempty"`
	WhenSo    sideJSON `json:"when_so"`
	Otherwise sideJSON `json:"otherwise"`
	Apart     float64  `json:"apart_decibans"`
	Mute      bool     `json:"says_nothing,omitempty"`
	ByDamage  bool     `json:"not_counted,omitempty"`
}

type learnedCauseJSON struct {
	Cause   string   `json:"cause"`
	Author  float64  `json:"author"`
	N       int      `json:"confirmed"`
	Of      int      `json:"parts"`
	Cases   int      `json:"cases"`
	Learned *float64 `json:"learned"` // null: the author's stands
	Apart   float64  `json:"apart_decibans"`
}

func lessonJSON(l *learn.Lesson) any {
	side := func(f *learn.Frequency) sideJSON {
		return sideJSON{f.Author, f.Word, f.N, f.Of, f.Cases, f.Learned}
	}
	clues, causes := []learnedClueJSON{}, []learnedCauseJSON{}
	for i := range l.Clues {
		c := &l.Clues[i]
		clues = append(clues, learnedClueJSON{c.ID, c.Label(), c.Sign.Text, c.Choices(), side(&c.WhenSo), side(&c.Otherwise), c.Apart, c.Mute, c.ByDamage})
	}
	for i := range l.Common {
		c := &l.Common[i]
		j := learnedCauseJSON{c.Prop.Label(), c.Author, c.N, c.Of, c.Cases, nil, c.Apart}
		if c.Learned != 0 {
			j.Learned = &c.Learned
		}
		causes = append(causes, j)
	}
	return map[string]any{"pack": l.Pack.ID, "inspections": l.Cases, "unconfirmed": l.Unconfirmed, "least": l.Least,
		"clues": clues, "causes": causes, "problems": source.Problems{}}
}
