package engine

import (
	"math"
	"math/bits"
	"slices"

	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules/vocab"
)

// A run from nothing decides plain rules 64 at a time: for each part a set of
// the rules known to fail and a set of those that are open. Each property adds, for
// its value, the rules it lets fail; sets for every so many thresholds are kept
// ready. Words, which changes need, are counted when the first change comes.

// plainKind is the plain rules of one kind: by rank, each from a new set of 64 on.
type plainKind struct {
	rules    []int32  // rule index by place, -1 in the gaps
	template []uint32 // the words of a part of which nothing is known
	ranks    []plainRank
	indexed  []pid // properties that some plain rule reads
}

// plainRank is the plain rules of one rank of a kind.
type plainRank struct {
	from, to int // in sets of 64
	props    []bitProp
	here     []uint64 // places that hold a rule which alone concludes a finding
	heads    []pid    // by place, counted from 64·from: that finding
	more     []emit   // further such findings of one rule
}

// emit is a finding that a plain rule alone concludes.
type emit struct {
	word int32
	head pid
}

// bitProp is what one property decides of the rules of one rank.
type bitProp struct {
	id          pid
	index       propIndex
	reads       []uint64   // the rules that read it
	fails       [][]uint64 // by choice: those it lets fail
	above, from checkpoints
	store       store
	// Where few sets do: for every gap between neighbouring limits the rules that
	// fail there.
	limits []float64
	gaps   [][]uint64
}

// checkpoints keeps, for every step thresholds, the rules that fail wherever
// between two of them a number stands.
type checkpoints struct {
	step int
	sets [][]uint64
}

// checkpointBytes bounds the sets kept for one property and direction.
const checkpointBytes = 1 << 14

func (k *plainKind) enter(rank int32, id pid, place int, c plainCond) {
	for len(k.ranks) <= int(rank) {
		k.ranks = append(k.ranks, plainRank{})
	}
	r := &k.ranks[rank]
	for i := range r.props {
		if r.props[i].id == id {
			r.props[i].index.enter(place, c)
			return
		}
	}
	r.props = append(r.props, bitProp{id: id})
	r.props[len(r.props)-1].index.enter(place, c)
}

// finish makes the sets.
func (k *plainKind) finish(p *Program) {
	for rank := range k.ranks {
		r := &k.ranks[rank]
		r.from = -1
		for place, rule := range k.rules {
			if rule < 0 {
				continue
			}
			c := p.rules[rule]
			lowest := p.info[c.heads[0]].rank
			for _, h := range c.heads {
				lowest = min(lowest, p.info[h].rank)
			}
			if lowest != int32(rank) {
				continue
			}
			if r.from < 0 {
				r.from = place / 64
			}
			r.to = place/64 + 1
		}
		if r.from < 0 {
			r.from, r.to = 0, 0
			continue
		}
		r.here = make([]uint64, r.to-r.from)
		r.heads = make([]pid, 64*(r.to-r.from))
		for place := 64 * r.from; place < 64*r.to && place < len(k.rules); place++ {
			if k.rules[place] < 0 {
				continue
			}
			at := place - 64*r.from
			for _, h := range p.rules[k.rules[place]].heads {
				if !p.info[h].sole {
					continue
				}
				if r.here[at/64]>>(at%64)&1 == 0 {
					r.here[at/64] |= 1 << (at % 64)
					r.heads[at] = h
				} else if r.heads[at] != h {
					r.more = append(r.more, emit{int32(place), h})
				}
			}
		}
		for i := range r.props {
			r.props[i].store = p.info[r.props[i].id].store
			r.props[i].finish(p.info[r.props[i].id].prop, r)
		}
	}
}

func (b *bitProp) finish(prop *vocab.Property, r *plainRank) {
	n := r.to - r.from
	b.index.finish(prop)
	b.reads = make([]uint64, n)
	b.index.rules(func(place uint32) { b.set(b.reads, place, r) })
	for _, list := range b.index.byValue {
		set := make([]uint64, n)
		for _, e := range list {
			if e&1 != 0 {
				b.set(set, e>>1, r)
			}
		}
		b.fails = append(b.fails, set)
	}
	b.above = b.checkpoints(&b.index.above, r)
	b.from = b.checkpoints(&b.index.from, r)
	limits := slices.Concat(b.index.above.limit, b.index.from.limit)
	slices.Sort(limits)
	limits = slices.Compact(limits)
	if m := len(limits); m == 0 || (m+1)*n*8 > 2*checkpointBytes {
		return
	}
	b.limits = limits
	for j := range len(limits) + 1 {
		set := make([]uint64, n)
		for i, e := range b.index.above.entries {
			if below := !slices.Contains(limits[:j], b.index.above.limit[i]); below != (e&1 != 0) {
				b.set(set, e>>1, r)
			}
		}
		for i, e := range b.index.from.entries {
			if below := !slices.Contains(limits[:j], b.index.from.limit[i]); below != (e&1 != 0) {
				b.set(set, e>>1, r)
			}
		}
		b.gaps = append(b.gaps, set)
	}
}

// gap gives the rules that fail for an exact number that is equal to no limit;
// nil where it has to be looked at closely.
func (b *bitProp) gap(v float64) []uint64 {
	if len(b.limits) == 0 {
		return nil
	}
	i := lower(b.limits, v)
	if i > 0 && near(v, b.limits[i-1]) || i < len(b.limits) && near(v, b.limits[i]) {
		return nil
	}
	return b.gaps[i]
}

func near(v, limit float64) bool {
	return math.Abs(v-limit) <= 2*measure.RelativeEqual*max(math.Abs(v), math.Abs(limit))
}

func (b *bitProp) set(set []uint64, place uint32, r *plainRank) {
	at := int(place) - 64*r.from
	set[at/64] |= 1 << (at % 64)
}

func (b *bitProp) checkpoints(t *thresholds, r *plainRank) checkpoints {
	n, w := len(t.entries), r.to-r.from
	c := checkpoints{step: max(1, n*w*8/checkpointBytes)}
	if n == 0 {
		return c
	}
	for j := 0; j <= n; j += c.step {
		set := make([]uint64, w)
		for i, e := range t.entries {
			if i < j && e&1 != 0 || i >= j+c.step && e&1 == 0 {
				b.set(set, e>>1, r)
			}
		}
		c.sets = append(c.sets, set)
	}
	return c
}

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
func (s *Session) decidePlain(k int, r *plainRank, ord int32, failing, opened []uint64) {
	base := uint32(64 * r.from)
	for i := range r.props {
		b := &r.props[i]
		if b.store == inNumber {
			at := s.numAt[b.id] + ord
			var c cuts
			if v := s.num[at]; v == v {
				if set := b.gap(v); set != nil {
					set = set[:len(failing)]
					for i := range failing {
						failing[i] |= set[i]
					}
					continue
				}
				c = b.index.exact(v)
			} else if n, ok := s.odd[at]; ok {
				c = b.index.ranged(n, s.facts.K)
			} else {
				for i, w := range b.reads {
					opened[i] |= w
				}
				continue
			}
			b.above.fail(&b.index.above, c.above, failing, opened, base)
			b.from.fail(&b.index.from, c.from, failing, opened, base)
			continue
		}
		mask := uint64(0)
		if b.store == inState {
			mask = maskOf(s.state[s.first[b.id]+ord])
		} else {
			mask = s.mask[s.maskAt[b.id]+ord]
		}
		switch v := single(mask); {
		case mask == 0:
			for i, w := range b.reads {
				opened[i] |= w
			}
		case v >= 0 && v < len(b.fails):
			set := b.fails[v][:len(failing)]
			for i := range failing {
				failing[i] |= set[i]
			}
		default:
			for i, set := range b.index.sets {
				place := b.index.who[i] - base
				switch within(mask, set) {
				case truth.False:
					failing[place/64] |= 1 << (place % 64)
				case truth.Unknown:
					opened[place/64] |= 1 << (place % 64)
				}
			}
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
			s.decidePlain(k, r, o, failing, opened)
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
	at := int(ord)*(len(s.p.plain[k].rules)/64+1) + int(c.word/64)
	bit := uint64(1) << (c.word % 64)
	switch {
	case s.failing[k][at]&bit != 0:
		return truth.False
	case s.opened[k][at]&bit != 0:
		return truth.Unknown
	}
	return truth.True
}

// count makes the words that changes are entered into.
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
