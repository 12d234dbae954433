package rules

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/source"
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
	var ps source.Problems
	x := &fitter{l: l, in: in, ps: &ps}
	block := blocks.Get().(*[]pending)
	x.pending = (*block)[:0]
	defer func() {
		*block = x.pending
		clear(*block) // what is kept for the next must not hold on to this one
		blocks.Put(block)
	}()
	x.f = &Facts{Inspection: in, K: 2}
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
	if len(ps) > 0 {
		oneOfEachPlace(&ps)
		if ps.HasErrors() {
			return nil, ps
		}
	}
	return x.f, ps
}

// blocks are lists of answers, kept for the next inspection of a batch.
var blocks = sync.Pool{New: func() any { return new([]pending) }}

// fitter fits one inspection.
type fitter struct {
	l       *Layout
	in      *facts.Inspection
	f       *Facts
	ps      *source.Problems
	pending []pending
	tools   []tool
	answers []facts.Answer // a block the next answers are cut from
	sizes   int
	warned  []*vocab.Kind // a reading at another temperature than 20 °C, and no material
}

// pending is an answer that is read but not yet settled against others.
type pending struct {
	part   int32
	tool   int32 // index in tools, -1 = none
	prop   *vocab.Property
	value  vocab.Value // of a number before set size and uncertainty; of a size only Looked
	answer *facts.Answer
	forAll bool
	blank  bool // written as not looked at
}

func (x *fitter) head() {
	in, m := x.in, x.l.Machine
	if in.File != nil {
		sum := sha256.Sum256(in.File.Data)
		x.f.Digest = hex.EncodeToString(sum[:])
	}
	if name := in.Machine.Text; name != "" && name != m.ID && m.File != nil {
		if stem := strings.TrimSuffix(filepath.Base(m.File.Name), filepath.Ext(m.File.Name)); name != stem {
			x.ps.Addf(OtherMachine, in.Machine.At, "the inspection is of the machine %q, the machine given is %q", name, m.ID).
				Hint("write machine = %q, or give the machine file of %s", m.ID, name)
		}
	}
	if in.K != nil {
		k, ok := in.K.Float()
		if !ok || !(k > 0) || k > 10 {
			x.ps.Addf(BadCoverage, in.K.At, "the coverage factor is a number above 0 and at most 10, this is %s", in.K.Text).
				Hint("k = 2 is what is taken without this line")
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

var hour, _ = measure.UnitOf("h")

// newAnswer makes room for an answer.
func (x *fitter) newAnswer() *facts.Answer {
	if len(x.answers) == cap(x.answers) {
		x.answers = make([]facts.Answer, 0, 32)
	}
	x.answers = x.answers[:len(x.answers)+1]
	return &x.answers[len(x.answers)-1]
}

// settle puts the answers in order, lets the nearer line win over all, and
// turns them into observations.
func (x *fitter) settle() {
	slices.SortStableFunc(x.pending, func(a, b pending) int {
		if c := cmp.Or(cmp.Compare(a.part, b.part), cmp.Compare(a.prop.Index, b.prop.Index)); c != 0 || a.forAll == b.forAll {
			return c
		}
		if a.forAll {
			return 1
		}
		return -1
	})
	x.f.Observations = make([]Observation, 0, len(x.pending)+x.sizes*len(Derivations))
	for i := 0; i < len(x.pending); {
		a := &x.pending[i]
		n := i + 1
		for ; n < len(x.pending) && x.pending[n].part == a.part && x.pending[n].prop == a.prop; n++ {
			if b := &x.pending[n]; b.forAll == a.forAll {
				x.ps.Addf(AnsweredTwice, b.answer.At, "%s of %s is answered twice", a.prop.ID, x.l.Parts[a.part].ID).
					Beside(a.answer.At, "the other answer").Hint("keep one of them")
			}
		}
		if !a.blank {
			x.observe(a)
		}
		i = n
	}
	x.absent()
	x.copied()
}

// absent warns of signs of parts that are not in their place.
func (x *fitter) absent() {
	obs := x.f.Observations
	for i := 0; i < len(obs); {
		var found, sign *Observation
		part := obs[i].Part
		for ; i < len(obs) && obs[i].Part == part; i++ {
			switch o := &obs[i]; {
			case o.Prop.ID == "found" && o.Prop.At.IsZero():
				if o.Value.Looked == vocab.Told && o.Value.Mask&1 == 0 {
					found = o
				}
			case sign == nil && o.Value.Looked == vocab.Told && (o.Prop.Role == vocab.Sign || o.Prop.Role == vocab.Computed):
				sign = o
			}
		}
		if found != nil && sign != nil {
			what := "not in its place"
			if r := found.Value.One(); r >= 0 {
				what = strings.ReplaceAll(FoundChoices[r], "_", " ")
			}
			p := x.ps.Addf(SignsOfAbsent, found.At, "%s is %s, and yet its %s is answered", x.l.Parts[part].ID, what, sign.Prop.ID).
				Beside(sign.At, "this answer").Warn()
			if sign.ForAll {
				p.Hint("it stands under all: write %s = \"\" for this one, if it could not be looked at", sign.Prop.ID)
			} else {
				p.Hint("both are kept; make sure that this is the part you looked at")
			}
		}
	}
}

// copied warns of two stations with one string of readings: it is mostly a
// copied line.
func (x *fitter) copied() {
	if len(x.f.Sizes) < 2 {
		return
	}
	type key struct {
		table, text string
		prop        *vocab.Property
	}
	seen := make(map[key]int32, len(x.f.Sizes))
	for i := range x.f.Sizes {
		s := &x.f.Sizes[i]
		o := &x.f.Observations[s.Observation]
		if len(s.Readings.Spots) < 2 {
			continue
		}
		k := key{x.l.Parts[o.Part].Table, strings.Join(strings.Fields(s.Readings.Text), " "), o.Prop}
		if first, ok := seen[k]; ok {
			x.ps.Addf(SameReadings, o.At, "%s of %s and of %s have the same readings", o.Prop.ID, x.l.Parts[x.f.Observations[first].Part].ID, x.l.Parts[o.Part].ID).
				Beside(x.f.Observations[first].At, "the other ones").Hint("two parts seldom measure alike at every spot: look whether a line was copied").Warn()
			continue
		}
		seen[k] = s.Observation
	}
}
