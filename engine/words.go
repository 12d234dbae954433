package engine

import (
	"cmp"
	"slices"

	"whyworn/facts/truth"
)

// Once something has changed, a session keeps for each part and plain rule a word
//
//	(conditions not yet known) << 16 | conditions known false
//
// so that a value that changes touches just the rules it decides: word 0 fires, a
// low half above 0 is known not to fire. The highest bit marks a word whose rule is
// to be looked at in the next run.
const (
	oneUnknown = 1 << 16
	falseHalf  = oneUnknown - 1
	waiting    = 1 << 31
	// maxWord is the most conditions a plain rule may have.
	maxWord = 1 << 15
)

func wordTruth(w uint32) truth.Truth {
	switch {
	case w&^waiting == 0:
		return truth.True
	case w&falseHalf != 0:
		return truth.False
	}
	return truth.Unknown
}

// differ is 1 if two words have different truths, else 0. No branch: which rules
// flip is as good as random.
func differ(a, b uint32) int {
	// 0 false, 1 unknown, 2 true: a count of what is none
	x := (a&falseHalf-1)>>31 + (a&^waiting-1)>>31
	y := (b&falseHalf-1)>>31 + (b&^waiting-1)>>31
	d := x ^ y
	return int((d | d>>1) & 1)
}

// plainWord is what the word of a plain rule leads to.
type plainWord struct {
	rule int32
	// last is the finding that it alone concludes and that nothing else reads or
	// weighs, -1 if there is more to it.
	last pid
}

// candidate is a rule that words can carry.
type candidate struct {
	rule  int
	rank  int32
	conds []plainCond
}

// orderWords numbers the words of a kind's plain rules so that those which ask the
// same property stand together, in order of what they ask: then a change goes
// through few stretches of memory, however many rules there are. Each rule stands
// with those of the property that the fewest ask; the others have so many that
// they lie close anyhow.
func (p *Program) orderWords(list []candidate) {
	asks := map[pid]int{}
	for i := range list {
		for _, c := range list[i].conds {
			asks[p.id(c.prop)]++
		}
	}
	nearest := make([]*plainCond, len(p.rules))
	for i := range list {
		best := &list[i].conds[0]
		for j := range list[i].conds {
			c := &list[i].conds[j]
			a, b := p.id(c.prop), p.id(best.prop)
			if cmp.Or(cmp.Compare(asks[a], asks[b]), cmp.Compare(a, b)) < 0 {
				best = c
			}
		}
		nearest[list[i].rule] = best
	}
	slices.SortFunc(list, func(x, y candidate) int {
		a, b := nearest[x.rule], nearest[y.rule]
		return cmp.Or(cmp.Compare(p.id(a.prop), p.id(b.prop)), cmp.Compare(a.direction(), b.direction()),
			cmp.Compare(a.limit, b.limit), cmp.Compare(a.set, b.set), cmp.Compare(x.rule, y.rule))
	})
}

// findLast notes which words lead to a finding that nothing goes on from.
func (p *Program) findLast() {
	for i := range p.plain {
		for j := range p.plain[i].words {
			w := &p.plain[i].words[j]
			w.last = -1
			heads := p.rules[w.rule].heads
			x := &p.info[heads[0]]
			if len(heads) == 1 && x.sole && !x.tainted && len(x.readers)+len(x.tables) == 0 && x.index == nil {
				w.last = heads[0]
			}
		}
	}
}

// sink is where the outcome of a word goes: the slot of its last finding for the
// first part, -1 if it has none; and the rule, -1 if it reads observations alone.
type sink struct{ first, rule int32 }

// flip is a word to be looked at in the next run.
type flip struct {
	word uint32
	ord  int32
}

// wordsOf is the words of one part, once they are counted.
func (s *Session) wordsOf(kind int, ord int32) []uint32 {
	n := len(s.p.plain[kind].template)
	return s.words[kind][int(ord)*n : (int(ord)+1)*n]
}

// countWords makes the words that changes are entered into.
func (s *Session) countWords() {
	s.counted = true
	for k := range s.p.plain {
		plain := &s.p.plain[k]
		if len(plain.template) == 0 {
			continue
		}
		parts := len(s.l.OfKind[k])
		if s.words[k] == nil {
			s.words[k] = make([]uint32, parts*len(plain.template))
			s.bindSinks(k)
		}
		for o := range int32(parts) {
			words := s.wordsOf(k, o)
			copy(words, plain.template)
			for _, id := range plain.indexed {
				x := &s.p.info[id]
				switch x.store {
				case inNumber:
					x.index.applyNumber(words, s.placed(id, o))
				case inState:
					x.index.applyMask(words, maskOf(s.state[s.first[id]+o]))
				case inMask:
					x.index.applyMask(words, s.mask[s.maskAt[id]+o])
				}
			}
		}
	}
}

func (s *Session) bindSinks(kind int) {
	words := s.p.plain[kind].words
	s.sinks[kind] = make([]sink, len(words))
	for i, w := range words {
		out := sink{-1, -1}
		if w.last >= 0 {
			out.first = s.first[w.last]
		}
		if len(s.p.rules[w.rule].reads) > 0 {
			out.rule = w.rule
		}
		s.sinks[kind][i] = out
	}
}

// dropFlips forgets what waits.
func (s *Session) dropFlips() {
	for k, flips := range s.flips {
		if len(flips) > 0 {
			s.flips[k] = flips[:0]
		}
	}
}

// flipped marks what plain rules conclude whose truth or round may have changed.
func (s *Session) flipped(kind int, ord int32, turned []uint32) {
	if s.fresh || len(turned) == 0 {
		return
	}
	words, sinks, flips := s.wordsOf(kind, ord), s.sinks[kind], s.flips[kind]
	for _, word := range turned {
		if sinks[word].first < 0 {
			for _, h := range s.p.rules[s.p.plain[kind].words[word].rule].heads {
				s.touch(h, ord)
			}
			continue
		}
		if w := &words[word]; *w&waiting == 0 {
			*w |= waiting
			flips = append(flips, flip{word, ord})
		}
	}
	s.flips[kind] = flips
}

// settleFlips writes the last findings of the words that wait. It comes after all
// ranks, since nothing goes on from them.
func (s *Session) settleFlips() {
	for k, flips := range s.flips {
		if len(flips) == 0 {
			continue
		}
		n, words, sinks := len(s.p.plain[k].template), s.words[k], s.sinks[k]
		for _, f := range flips {
			w := &words[int(f.ord)*n+int(f.word)]
			*w &^= waiting
			to := sinks[f.word]
			t, round := wordTruth(*w), int32(0)
			if t == truth.True {
				if round = 1; to.rule >= 0 {
					round = s.wordRound(s.p.rules[to.rule], f.ord)
				}
			}
			at := to.first + f.ord
			if s.state[at] != t {
				s.state[at] = t
			}
			if s.round[at] != round {
				s.round[at] = round
			}
		}
		s.flips[k] = flips[:0]
	}
}
