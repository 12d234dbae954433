package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/spf13/cobra"

	"whyworn/engine"
	"whyworn/explain"
	"whyworn/explain/answer"
	"whyworn/facts/source"
	"whyworn/rules"
)

func (a *app) batch() *cobra.Command {
	var full bool
	cmd := &cobra.Command{
		Use:   "batch --machine FILE < in.ndjson > out.ndjson",
		Short: "one inspection a line in, one result a line out, in order, on all processors",
		Long: `Reads one inspection as JSON a line, all of one machine, and writes one result
a line in the same order. A line that cannot be read gets a line with its
problems; then the exit status is 1. With --full each result also has story,
remedies and what to look at next, which costs more than the reasoning itself.`,
		Args: exactly(),
		RunE: func(*cobra.Command, []string) error { return a.runBatch(full) },
	}
	cmd.Flags().StringVar(&a.machine, "machine", "", "machine file (needed)")
	cmd.Flags().StringVar(&a.packDir, "pack", "", "folder of a pack of your own, or the name of one that ships")
	cmd.Flags().BoolVar(&full, "full", false, "with story, remedies and next looks")
	return cmd
}

func (a *app) runBatch(full bool) error {
	a.json = true
	layout, program, err := a.openForMany("batch")
	if err != nil {
		return err
	}
	b := &batch{layout: layout, program: program, full: full}
	if err := b.pump(a.in, a.out); err != nil {
		return err
	}
	if n := b.bad.Load(); n > 0 {
		lines, their := "lines", "their problems stand in their places"
		if n == 1 {
			lines, their = "line", "its problems stand in its place"
		}
		fmt.Fprintf(a.errs, "whyworn: %d %s could not be read; %s\n", n, lines, their)
		return errFound
	}
	return nil
}

// batch runs lines in blocks, each block on one processor.
type batch struct {
	layout  *rules.Layout
	program *engine.Program
	full    bool
	bad     atomic.Int64
	written sync.Pool // of *[]byte: what blocks were written from, to be used again
}

// block is some lines and, when done is closed, their answers.
type block struct {
	first int // number of the first line, from 1
	lines []byte
	out   []byte
	err   error
	done  chan struct{}
}

const (
	blockSize = 128 << 10
	mostLine  = 1 << 20
)

// pump reads blocks, has them run side by side, and writes them in order. As
// many blocks are under way as there are processors and a few more, so memory
// does not grow with the input.
func (b *batch) pump(in io.Reader, out io.Writer) error {
	workers := runtime.GOMAXPROCS(0)
	work, order := make(chan *block, workers), make(chan *block, 2*workers)
	for range workers {
		go func() {
			w := newWorker(b)
			for k := range work {
				if room, ok := b.written.Get().(*[]byte); ok {
					k.out = (*room)[:0]
				}
				w.run(k)
				close(k.done)
			}
		}()
	}
	readErr := make(chan error, 1)
	stop := make(chan struct{})
	go func() {
		defer close(order)
		defer close(work)
		readErr <- b.read(in, func(k *block) bool {
			select {
			case order <- k:
			case <-stop:
				return false
			}
			work <- k
			return true
		})
	}()
	var failed error
	for k := range order {
		<-k.done
		if failed != nil {
			continue
		}
		if failed = k.err; failed == nil {
			_, failed = out.Write(k.out)
		}
		if failed != nil {
			close(stop)
		}
		b.written.Put(&k.out)
	}
	return errors.Join(failed, <-readErr)
}

// read cuts the input into blocks of whole lines. Where the next line has not
// come yet, the block ends, so that no answer waits for input.
func (b *batch) read(in io.Reader, give func(*block) bool) error {
	r := bufio.NewReaderSize(in, blockSize)
	line := 0
	for {
		_, err := r.Peek(1) // waits, and says how much is there
		k := &block{first: line + 1, lines: make([]byte, 0, r.Buffered()+4096), done: make(chan struct{})}
		for err == nil && len(k.lines) < blockSize {
			line++
			k.lines, err = appendLine(k.lines, r)
			if here, _ := r.Peek(r.Buffered()); bytes.IndexByte(here, '\n') < 0 {
				break
			}
		}
		if len(k.lines) > 0 && (err == nil || err == io.EOF) && !give(k) {
			return nil
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// appendLine appends one line with its end to lines. Of a line that is too long
// it keeps just so much that it is seen to be.
func appendLine(lines []byte, r *bufio.Reader) ([]byte, error) {
	start := len(lines)
	for {
		part, err := r.ReadSlice('\n')
		if len(lines)-start <= mostLine {
			lines = append(lines, part...)
		} else if err == nil {
			lines = append(lines, '\n')
		}
		if err != bufio.ErrBufferFull {
			return lines, err
		}
	}
}

// worker runs lines one after the other.
type worker struct {
	*batch
	lines  *lineRunner
	writer *answer.Lines
}

func newWorker(b *batch) *worker {
	return &worker{b, newLineRunner(b.layout, b.program), answer.NewLines(b.program.Pack())}
}

type badLine struct {
	Line     int             `json:"line"`
	Problems source.Problems `json:"problems"`
}

func (w *worker) run(k *block) {
	number := k.first - 1
	for line := range bytes.Lines(k.lines) {
		number++
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		c, ps := w.line(number, line)
		switch {
		case c == nil:
			w.bad.Add(1)
			k.out, k.err = answer.AppendJSON(k.out, badLine{number, ps})
		case w.full:
			k.out, k.err = answer.Append(k.out, answer.Diagnosis(c.Diagnose(), ps))
		default:
			k.out, k.err = w.writer.Append(k.out, c, ps)
		}
		if k.err != nil {
			return
		}
	}
}

// line runs one line; nil where it cannot be read. The case holds until the next.
func (w *worker) line(number int, line []byte) (*explain.Case, source.Problems) {
	f, ps := w.lines.fit(number, line)
	if f == nil {
		return nil, ps
	}
	r := w.lines.run(f)
	if r.Overrun != nil {
		ps.Addf(callCode, source.Span{File: f.Inspection.File}, "%v", r.Overrun)
		return nil, ps
	}
	return explain.New(w.program, r), ps
}
