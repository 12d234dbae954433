// Package learn counts, over inspections whose causes were confirmed, how often
// each clue of a pack shows with its cause and without, and how common each
// cause is, and makes frequencies of the counts. Start with [New], [Tally.Case]
// for each run, then [Tally.Learn]; [Lesson.TOML] writes the clues as a file of a
// pack. It changes no pack: the author's numbers stay where they are.
//
// An inspection with confirmed causes is taken to have no other cause. One with
// nothing confirmed says nothing about how often and is left out.
package learn

import (
	"math/bits"

	"whyworn/engine"
	"whyworn/engine/record"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Side counts the answers to the sign of a clue, either with the cause or
// without it. What is unknown or only partly known is not among them.
type Side struct {
	// N has one count for a yes/no sign, how often it showed; for a choice one for each.
	N     []int
	Of    int // answers counted
	Cases int // inspections with at least one
}

// Parts counts how many parts had a cause.
type Parts struct {
	N     int // parts of which it was confirmed
	Of    int // parts of the kind, in all cases
	Cases int // inspections with at least one such part
}

// Tally is the counts over some inspections for one pack. The zero value is of
// no use: see [New]. It is not safe for concurrent use; tallies of one pack made
// side by side are put together by [Tally.Add], in whatever order.
type Tally struct {
	Pack          *rules.Pack
	Cases         int    // inspections counted
	Unconfirmed   int    // inspections left out: nothing was confirmed
	With, Without []Side // by Clue.Index
	Causes        []*vocab.Property
	Common        []Parts // as Causes
}

// New makes an empty tally for the causes and clues of a pack.
func New(p *rules.Pack) *Tally {
	t := &Tally{Pack: p, With: make([]Side, len(p.Clues)), Without: make([]Side, len(p.Clues))}
	for i, c := range p.Clues {
		t.With[i].N, t.Without[i].N = make([]int, len(c.WhenSo)), make([]int, len(c.WhenSo))
	}
	for _, k := range p.Vocabulary.Kinds {
		for _, x := range k.Properties {
			if x.Weighed && x.Role == vocab.Cause {
				t.Causes = append(t.Causes, x)
			}
		}
	}
	t.Common = make([]Parts, len(t.Causes))
	return t
}

// Case counts one run of an inspection by the program of the tally's pack. The
// error is that of a run stopped at a cap, which is not counted.
func (t *Tally) Case(p *engine.Program, r *record.Result) error {
	if r.Overrun != nil {
		return r.Overrun
	}
	f := r.Facts
	if len(f.Confirmed) == 0 {
		t.Unconfirmed++
		return nil
	}
	t.Cases++
	confirmed := make(map[record.FactID]bool, len(f.Confirmed))
	for _, id := range f.Confirmed {
		confirmed[id] = true
	}
	with, without := make([]bool, len(t.With)), make([]bool, len(t.Without))
	for i, prop := range t.Causes {
		parts := f.OfKind[prop.Kind.Index]
		if len(parts) > 0 {
			t.Common[i].Cases++
		}
		for _, part := range parts {
			sides, met := t.Without, without
			t.Common[i].Of++
			if confirmed[record.FactID{Part: part, Prop: prop}] {
				sides, met = t.With, with
				t.Common[i].N++
			}
			for _, w := range engine.Ways(p, r, part, prop) {
				if w.Clue == nil || w.State != truth.True || !sides[w.Clue.Index].add(&w.Sign) {
					continue
				}
				met[w.Clue.Index] = true
			}
		}
	}
	for i := range t.With {
		if with[i] {
			t.With[i].Cases++
		}
		if without[i] {
			t.Without[i].Cases++
		}
	}
	return nil
}

// add counts a sign; false if it is not decided.
func (s *Side) add(sign *record.Seen) bool {
	if sign.Expr.Type.K == condition.KPick {
		if sign.Value.Looked != vocab.Told || bits.OnesCount64(sign.Value.Mask) != 1 {
			return false
		}
		s.N[bits.TrailingZeros64(sign.Value.Mask)]++
	} else if sign.State == truth.True {
		s.N[0]++
	} else if sign.State == truth.Unknown {
		return false
	}
	s.Of++
	return true
}

// Add adds the counts of another tally of the same pack.
func (t *Tally) Add(o *Tally) {
	t.Cases += o.Cases
	t.Unconfirmed += o.Unconfirmed
	for i := range t.With {
		t.With[i].join(&o.With[i])
		t.Without[i].join(&o.Without[i])
	}
	for i := range t.Common {
		t.Common[i].N += o.Common[i].N
		t.Common[i].Of += o.Common[i].Of
		t.Common[i].Cases += o.Common[i].Cases
	}
}

func (s *Side) join(o *Side) {
	for i, n := range o.N {
		s.N[i] += n
	}
	s.Of += o.Of
	s.Cases += o.Cases
}
