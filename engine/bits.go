package engine

import (
	"math/bits"

	"whyworn/facts/truth"
)

// fail adds the rules that fail where a number stands at a cut, and the open ones
// between its two ends.
func (c *checkpoints) fail(t *thresholds, at cut, failing, opened []uint64, base uint32) {
	n := int32(len(t.entries))
	if n == 0 {
		return
	}
	from := int32(0)
	to := n
	if at.yes == at.no {
		j := int(at.yes) / c.step
		set := c.sets[j][:len(failing)]
		for i := range failing {
			failing[i] |= set[i]
		}
		from, to = int32(j*c.step), min(n, int32((j+1)*c.step))
	}
	for i := from; i < to; i++ {
		e := t.entries[i]
		place := e>>1 - base
		switch {
		case i < at.yes:
			failing[place/64] |= uint64(e&1) << (place % 64)
		case i >= at.no:
			failing[place/64] |= uint64(^e&1) << (place % 64)
		default:
			opened[place/64] |= 1 << (place % 64)
		}
	}
}

// decidePlain works out which plain rules of a rank fail, and which are open, for
// one part.
func (s *Session) decidePlain(r *plainRank, ord int32, failing, opened []uint64) {
	w := len(failing)
	for i := range r.states {
		e := &r.states[i]
		if t := s.state[s.first[e.id]+ord]; t == truth.Unknown {
			opened[e.set] |= e.reads
		} else {
			failing[e.set] |= e.fails[t&1]
		}
	}
	for i := range r.choices {
		c := &r.choices[i]
		mask := s.mask[s.maskAt[c.id]+ord]
		if v := bits.TrailingZeros64(mask); v < c.n && mask&(mask-1) == 0 {
			for j, set := range c.fails[v*w : v*w+w] {
				failing[j] |= set
			}
			continue
		}
		s.decideMask(&r.props[c.prop], mask, failing, opened, uint32(64*r.from))
	}
	for i := range r.numbers {
		q := &r.numbers[i]
		at := s.numAt[q.id] + ord
		v := s.num[at]
		if set := q.place(v); set >= 0 {
			for j, set := range q.fails[set*w : set*w+w] {
				failing[j] |= set
			}
			continue
		}
		s.decideNumber(&r.props[q.prop], at, failing, opened, uint32(64*r.from))
	}
}

func (s *Session) decideNumber(b *bitProp, at int32, failing, opened []uint64, base uint32) {
	var c cuts
	if v := s.num[at]; v == v {
		if set := b.gap(v, len(failing)); set != nil {
			for i, w := range set {
				failing[i] |= w
			}
			return
		}
		c = b.index.exact(v)
	} else if n, ok := s.odd[at]; ok {
		c = b.index.ranged(n, s.facts.K)
	} else {
		for i, w := range b.reads {
			opened[i] |= w
		}
		return
	}
	b.above.fail(&b.index.above, c.above, failing, opened, base)
	b.from.fail(&b.index.from, c.from, failing, opened, base)
}

// decideMask is for what may be one of several choices, or any.
func (s *Session) decideMask(b *bitProp, mask uint64, failing, opened []uint64, base uint32) {
	if mask == 0 {
		for i, w := range b.reads {
			opened[i] |= w
		}
		return
	}
	for i := range b.index.sets {
		out := failing
		switch within(mask, b.index.sets[i].set) {
		case truth.True:
			continue
		case truth.Unknown:
			out = opened
		}
		for _, r := range b.index.sets[i].rules {
			place := r - base
			out[place/64] |= 1 << (place % 64)
		}
	}
}

// emitPlain decides the plain rules of a rank and writes what they alone conclude.
func (s *Session) emitPlain(rank int) {
	for k := range s.p.plain {
		plain := &s.p.plain[k]
		if rank >= len(plain.ranks) || plain.ranks[rank].to == 0 {
			continue
		}
		r := &plain.ranks[rank]
		sets := len(plain.rules)/64 + 1
		for o := range int32(len(s.l.OfKind[k])) {
			at := int(o) * sets
			failing, opened := s.failing[k][at+r.from:at+r.to], s.opened[k][at+r.from:at+r.to]
			s.decidePlain(r, o, failing, opened)
			s.emitPart(plain, r, o, failing, opened)
		}
		for _, e := range r.more {
			s.workOut(e.head)
		}
		if !s.p.weighs {
			continue
		}
		for i, here := range r.here {
			for ; here != 0; here &= here - 1 {
				head := r.heads[64*i+bits.TrailingZeros64(here)]
				if x := &s.p.info[head]; x.tainted {
					for o := range int32(len(s.l.OfKind[k])) {
						s.handOn(x, head, s.l.OfKind[k][o], o)
					}
				}
			}
		}
	}
}

func (s *Session) emitPart(plain *plainKind, r *plainRank, ord int32, failing, opened []uint64) {
	state, first := s.state, s.first
	for i, here := range r.here {
		heads := r.heads[64*i : 64*i+64]
		fails := failing[i] & here
		fires := here &^ (failing[i] | opened[i])
		if slot := first[heads[0]] + ord; here&1 != 0 && s.inRow(heads, here, slot, ord) {
			expand(state[slot:], fails, fires, bits.Len64(here))
		} else {
			for w := fails; w != 0; w &= w - 1 {
				state[first[heads[bits.TrailingZeros64(w)]]+ord] = truth.False
			}
			for w := fires; w != 0; w &= w - 1 {
				state[first[heads[bits.TrailingZeros64(w)]]+ord] = truth.True
			}
		}
		for w := fires; w != 0; w &= w - 1 {
			j := bits.TrailingZeros64(w)
			at := first[heads[j]] + ord
			s.round[at] = 1
			if c := s.p.rules[plain.rules[64*(r.from+i)+j]]; len(c.reads) > 0 {
				s.round[at] = s.wordRound(c, ord)
			}
		}
	}
}

// inRow tells whether the findings of 64 places stand in slots that follow each
// other.
func (s *Session) inRow(heads []pid, here uint64, slot, ord int32) bool {
	n := bits.Len64(here)
	return here == 1<<n-1 && s.first[heads[n-1]]+ord == slot+int32(n-1) && int(heads[n-1]-heads[0]) == n-1
}

// expand writes the states of n facts that follow each other, eight at a time.
func expand(state []truth.Truth, fails, fires uint64, n int) {
	for i := 0; i < n; i += 8 {
		f, t := fails>>i&0xff, fires>>i&0xff
		if i+8 > n || f|t == 0 {
			for j := 0; j < 8 && i+j < n; j++ {
				if f>>j&1 != 0 {
					state[i+j] = truth.False
				} else if t>>j&1 != 0 {
					state[i+j] = truth.True
				}
			}
			continue
		}
		copy(state[i:i+8], spreadStates[f][:])
		for ; t != 0; t &= t - 1 {
			state[i+bits.TrailingZeros64(t)] = truth.True
		}
	}
}

// spreadStates turns eight bits into eight states: false where set, else unknown.
var spreadStates = func() (out [256][8]truth.Truth) {
	for b := range out {
		for j := range 8 {
			if b>>j&1 != 0 {
				out[b][j] = truth.False
			}
		}
	}
	return out
}()

// plainTruth is the truth of a plain rule for a part.
func (s *Session) plainTruth(c *ruleCode, ord int32) truth.Truth {
	k := c.each[0].Kind.Index
	if s.counted {
		return wordTruth(s.wordsOf(k, ord)[c.word])
	}
	at := int(ord)*(len(s.p.plain[k].rules)/64+1) + int(c.place/64)
	bit := uint64(1) << (c.place % 64)
	switch {
	case s.failing[k][at]&bit != 0:
		return truth.False
	case s.opened[k][at]&bit != 0:
		return truth.Unknown
	}
	return truth.True
}
