package rules

import (
	"encoding/hex"
	"path/filepath"
	"strings"

	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Codes of fitting an inspection to a pack.
var (
	OtherMachine  = source.Declare("other-machine", "an inspection is of another machine than the one given")
	BadCoverage   = source.Declare("bad-coverage", "the coverage factor k is not above 0, or more than anybody uses")
	AnsweredTwice = source.Declare("answered-twice", "an inspection answers one question of one part twice")
	SignsOfAbsent = source.Declare("signs-of-absent", "a part was not found in its place, and yet its other signs are answered")
	SameReadings  = source.Declare("same-readings", "two stations have the same string of readings")
)

// Fit assembles a machine and fits an inspection of it to a pack. The problems
// of both files come together, in file order. Facts is nil if there are errors.
func Fit(p *Pack, m *facts.Machine, in *facts.Inspection) (*Facts, source.Problems) {
	l, ps := Assemble(p, m)
	if l == nil {
		return nil, ps
	}
	f, more := FitTo(l, in)
	ps.Add(more...)
	ps.Sort()
	if ps.HasErrors() {
		return nil, ps
	}
	return f, ps
}

// FitTo types and checks an inspection. Where it adds no part and no work, the
// Facts share l itself. Facts is nil if there are errors. Several goroutines
// may fit to one layout.
func FitTo(l *Layout, in *facts.Inspection) (*Facts, source.Problems) {
	return (&Fitter{base: l}).Fit(in)
}

// Fitter fits many inspections of one machine, one after the other, in the same
// memory. Not for several goroutines.
type Fitter struct {
	base *Layout   // the machine's own
	made layoutsOf // those that inspections made of it by adding work; nil = not kept

	// Of one inspection:
	l     *Layout
	in    *facts.Inspection
	f     *Facts
	ps    *source.Problems
	tools []tool
	said  []said
	told  []told
	sizes int           // told of a size
	warm  []*vocab.Kind // warned of: a reading at another temperature than 20 °C, and no material

	// Room that is used again:
	key     []byte
	order   []uint64
	ends    []int32
	answers answerRoom
	alike   map[readingsOf]int32
	lately  [256]*vocab.Property // see property
	last    Facts                // what the slices of the last Facts can hold
}

// NewFitter makes a fitter of many inspections of one machine.
func NewFitter(l *Layout) *Fitter { return &Fitter{base: l, made: layoutsOf{}} }

// said is an answer that was read; nothing is settled yet.
type said struct {
	prop   *vocab.Property
	answer *facts.Answer
	value  vocab.Value // of a number before set size and uncertainty; of a size only Looked
	tool   int32       // index in tools, -1 = none
	forAll bool
	blank  bool // written as not looked at
}

// told is an answer, by index in said, to a property of one part.
type told struct{ part, said int32 }

// Fit is [FitTo] in the fitter's memory: the Facts of a fitter made by
// [NewFitter], and what was read into them, hold until its next Fit.
func (x *Fitter) Fit(in *facts.Inspection) (*Facts, source.Problems) {
	var ps source.Problems
	last := &x.last
	x.l, x.in, x.ps = x.base, in, &ps
	x.f = &Facts{Inspection: in, K: 2, Observations: last.Observations[:0], Uncertainties: last.Uncertainties[:0], Sizes: last.Sizes[:0]}
	x.tools, x.said, x.told, x.sizes, x.warm = x.tools[:0], x.said[:0], x.told[:0], 0, nil
	x.answers.used = 0
	x.head()
	x.extend()
	x.f.Layout = x.l
	x.readTools()
	x.work()
	x.before()
	for i := range in.Tables {
		x.table(&in.Tables[i])
	}
	x.settle()
	x.rest()
	if x.made != nil {
		last.Observations, last.Uncertainties, last.Sizes = x.f.Observations, x.f.Uncertainties, x.f.Sizes
	}
	if len(ps) > 0 {
		oneOfEachPlace(&ps)
		if ps.HasErrors() {
			return nil, ps
		}
	}
	return x.f, ps
}

func (x *Fitter) head() {
	in, m := x.in, x.l.Machine
	if in.File != nil {
		sum := in.File.Digest()
		x.f.Digest = hex.EncodeToString(sum[:])
	}
	if name := in.Machine.Text; name != "" && name != m.ID && m.File != nil {
		if stem := strings.TrimSuffix(filepath.Base(m.File.Name), filepath.Ext(m.File.Name)); name != stem {
			x.ps.Addf(OtherMachine, in.Machine.At, "the inspection is of the machine %q, the machine given is %q", name, m.ID).
				Hint("write machine = %q, or give the machine file of %s", m.ID, name)
		}
	}
	if in.K != nil {
		k, problem := x.coverage(in.K)
		if problem != nil {
			problem.Hint("k = 2 is what is taken without this line")
		} else {
			x.f.K = k
		}
	}
	if in.Hours != nil {
		if h, ok := quantity(in.Hours, hour, x.ps); ok {
			x.f.Hours = &h
		}
	}
}

// coverage reads a coverage factor.
func (x *Fitter) coverage(n *written.Node) (float64, *source.Problem) {
	k, ok := n.Float()
	if !ok || !(k > 0) || k > 10 {
		return 0, x.ps.Addf(BadCoverage, n.At, "the coverage factor is a number above 0 and at most 10, this is %s", n.Text)
	}
	return k, nil
}

var hour, _ = measure.UnitOf("h")
