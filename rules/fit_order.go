package rules

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"whyworn/facts"
	"whyworn/rules/vocab"
)

// answerRoom is blocks that answers are cut from, again for each inspection.
type answerRoom struct {
	blocks [][]facts.Answer
	used   int
}

const answersInBlock = 64

func (r *answerRoom) next() *facts.Answer {
	block := r.used / answersInBlock
	if block == len(r.blocks) {
		r.blocks = append(r.blocks, make([]facts.Answer, answersInBlock))
	}
	r.used++
	return &r.blocks[block][(r.used-1)%answersInBlock]
}

// tell enters an answer, by index in said, for one part.
func (x *Fitter) tell(part, index int32) {
	x.told = append(x.told, told{part, index})
	if x.said[index].prop.Type == vocab.Size {
		x.sizes++
	}
}

// tellOne enters an answer for one part.
func (x *Fitter) tellOne(part int32, a said) {
	x.said = append(x.said, a)
	x.tell(part, int32(len(x.said)-1))
}

const forAllBit = 1 << 32

// inOrder sorts what was told by part, property, and the nearer line before all;
// then as it was written. The answers to part n are order[ends[n-1]:ends[n]],
// each its property's index, whether it is for all, and its index in said.
func (x *Fitter) inOrder() (order []uint64, ends []int32) {
	n := len(x.l.Parts)
	x.ends = slices.Grow(x.ends[:0], n+1)[:n+1]
	clear(x.ends)
	x.order = slices.Grow(x.order[:0], len(x.told))[:len(x.told)]
	order, ends = x.order, x.ends
	for _, t := range x.told {
		ends[t.part+1]++
	}
	for i := range n {
		ends[i+1] += ends[i]
	}
	for _, t := range x.told {
		a := &x.said[t.said]
		key := uint64(a.prop.Index)<<33 | uint64(t.said)
		if a.forAll {
			key |= forAllBit
		}
		order[ends[t.part]] = key
		ends[t.part]++
	}
	begin := int32(0)
	for _, end := range ends[:n] {
		slices.Sort(order[begin:end])
		begin = end
	}
	return order, ends[:n]
}

// settle puts the answers in order, lets the nearer line win over all, and
// turns them into observations.
func (x *Fitter) settle() {
	x.f.Observations = slices.Grow(x.f.Observations, len(x.told)+x.sizes*len(Derivations))
	order, ends := x.inOrder()
	declared := x.l.Declared // what is left of it
	begin := int32(0)
	for n, end := range ends {
		answers := order[begin:end]
		begin = end
		part := int32(n)
		for len(answers) > 0 && len(declared) > 0 && declared[0].Part < part {
			declared = declared[1:]
		}
		for len(answers) > 0 {
			a := &x.said[uint32(answers[0])]
			same := 1
			for ; same < len(answers) && answers[same]>>33 == answers[0]>>33; same++ {
				if (answers[same]^answers[0])&forAllBit == 0 {
					x.ps.Addf(AnsweredTwice, x.said[uint32(answers[same])].answer.At, "%s of %s is answered twice", a.prop.ID, x.l.Parts[part].ID).
						Beside(a.answer.At, "the other answer").Hint("keep one of them")
				}
			}
			answers = answers[same:]
			for len(declared) > 0 && declared[0].Part == part && declared[0].Prop.Index < a.prop.Index {
				declared = declared[1:]
			}
			switch {
			case a.blank:
			case len(declared) > 0 && declared[0].Part == part && declared[0].Prop == a.prop:
				x.fixedByMachine(part, a, &declared[0])
			default:
				x.observe(part, a)
			}
		}
	}
	x.absent()
	x.copied()
}

func (x *Fitter) fixedByMachine(part int32, a *said, d *Observation) {
	x.ps.Addf(FindingObserved, a.answer.At, "%s of %s is fixed by the machine file, not observed", a.prop.ID, x.l.Parts[part].ID).Beside(d.At, "fixed here")
}

// absent warns of signs of parts that are missing: what is loose, in pieces or
// turned round can be looked at.
func (x *Fitter) absent() {
	obs := x.f.Observations
	for i := 0; i < len(obs); {
		var found, sign *Observation
		part := obs[i].Part
		for ; i < len(obs) && obs[i].Part == part; i++ {
			switch o := &obs[i]; {
			case o.Prop.ID == "found" && o.Prop.At.IsZero():
				if o.Value.Looked == vocab.Told && o.Value.Mask&^FoundMissing == 0 {
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

// readingsOf tells strings of readings of one property and table apart, but for
// those that meet in 64 bits.
type readingsOf struct {
	prop *vocab.Property
	hash uint64
}

// copied warns of two stations with one string of readings: it is mostly a
// copied line.
func (x *Fitter) copied() {
	if len(x.f.Sizes) < 2 {
		return
	}
	if x.alike == nil {
		x.alike = make(map[readingsOf]int32, len(x.f.Sizes))
	}
	clear(x.alike)
	for i := range x.f.Sizes {
		s := &x.f.Sizes[i]
		o := &x.f.Observations[s.Observation]
		if len(s.Readings.Spots) < 2 {
			continue
		}
		k := readingsOf{o.Prop, hashWords(x.l.Parts[o.Part].Table, s.Readings.Text)}
		first, ok := x.alike[k]
		if !ok {
			x.alike[k] = s.Observation
			continue
		}
		other := &x.f.Observations[first]
		x.ps.Addf(SameReadings, o.At, "%s of %s and of %s have the same readings", o.Prop.ID, x.l.Parts[other.Part].ID, x.l.Parts[o.Part].ID).
			Beside(other.At, "the other ones").Hint("two parts seldom measure alike at every spot: look whether a line was copied").Warn()
	}
}

// hashWords is a hash of a table's name and of the words of a text, however many
// blanks part them (FNV-1a).
func hashWords(table, text string) uint64 {
	const offset, prime = 14695981039346656037, 1099511628211
	h := uint64(offset)
	for i := range len(table) {
		h = (h ^ uint64(table[i])) * prime
	}
	blank := true
	for i, r := range text {
		if unicode.IsSpace(r) {
			blank = true
			continue
		}
		if blank {
			h = (h ^ ' ') * prime
			blank = false
		}
		if r < utf8.RuneSelf || r == utf8.RuneError {
			r = rune(text[i]) // of a rune that is none its byte
		}
		h = (h ^ uint64(r)) * prime
	}
	return h
}
