package engine

import (
	"cmp"
	"math"
	"slices"

	"whyworn/facts/measure"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// A run from nothing decides plain rules 64 at a time: for each part a set of
// the rules known to fail and a set of those that are open. Each property adds, for
// its value, the rules it lets fail; sets for every so many thresholds are kept
// ready. Words, which changes need, are counted when the first change comes.

// plainKind is the plain rules of one kind: by rank, each from a new set of 64 on.
type plainKind struct {
	rules    []int32     // rule index by place, -1 in the gaps
	words    []plainWord // by number of the word
	template []uint32    // the words of a part of which nothing is known
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
	ready             // props again, as a run reads them
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
	reads       []uint64 // the rules that read it
	fails       []uint64 // by choice: those it lets fail, one set after the other
	above, from checkpoints
	store       store
	// Where few sets do: for every gap between neighbouring limits the rules that
	// fail there, and how far from the limits a number must be to lie in the gap
	// whatever the rounding.
	limits []float64
	bounds []gapBounds
	gaps   []uint64
	exact  []uint64 // those that fail on each limit itself
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
		r.ready = makeReady(r)
	}
}

func (b *bitProp) finish(prop *vocab.Property, r *plainRank) {
	n := r.to - r.from
	b.index.finish()
	b.reads = make([]uint64, n)
	b.index.rules(func(place uint32) { b.set(b.reads, place, r) })
	if len(b.index.sets) > 0 {
		b.fails = b.failingChoices(prop, r)
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
		b.gaps = append(b.gaps, b.failing(r, func(limit float64) (over, from bool) {
			in := j == len(limits) || limit < limits[j]
			return in, in
		})...)
		if j < len(limits) {
			b.exact = append(b.exact, b.failing(r, func(limit float64) (over, from bool) {
				return limit < limits[j], limit <= limits[j]
			})...)
		}
		g := gapBounds{math.Inf(-1), math.Inf(1)}
		if j > 0 {
			g.over = limits[j-1] + aside*math.Abs(limits[j-1])
		}
		if j < len(limits) {
			g.under = limits[j] - aside*math.Abs(limits[j])
		}
		b.bounds = append(b.bounds, g)
	}
}

// failingChoices is, choice by choice, the rules that fail for it.
func (b *bitProp) failingChoices(prop *vocab.Property, r *plainRank) []uint64 {
	n, values := r.to-r.from, 2
	if prop.Type == vocab.Choice {
		values = len(prop.Choices)
	}
	out := make([]uint64, n*values)
	for _, set := range b.index.sets {
		for v := range values {
			if set.set>>v&1 == 0 {
				for _, place := range set.rules {
					b.set(out[v*n:v*n+n], place, r)
				}
			}
		}
	}
	return out
}

// failing is the rules that fail where a number is over and not under a limit as
// told.
func (b *bitProp) failing(r *plainRank, stands func(limit float64) (over, from bool)) []uint64 {
	set := make([]uint64, r.to-r.from)
	for i, e := range b.index.above.entries {
		if over, _ := stands(b.index.above.limit[i]); over == (e&1 != 0) {
			b.set(set, e>>1, r)
		}
	}
	for i, e := range b.index.from.entries {
		if _, from := stands(b.index.from.limit[i]); from == (e&1 != 0) {
			b.set(set, e>>1, r)
		}
	}
	return set
}

type gapBounds struct{ over, under float64 }

// aside is how far from a limit, relative to it, no number is equal to it any
// more.
const aside = 4 * measure.RelativeEqual

// gap gives the rules that fail for an exact number that is equal to no limit,
// w sets of 64; nil where it has to be looked at closely.
func (b *bitProp) gap(v float64, w int) []uint64 {
	if len(b.limits) == 0 {
		return nil
	}
	i := lower(b.limits, v)
	if g := &b.bounds[i]; v > g.over && v < g.under {
		return b.gaps[i*w : i*w+w]
	}
	return nil
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

// compilePlain finds the rules that words can carry, puts them in order of rank
// and head, each rank from a new word of 64 bits on, and indexes what decides them.
func (p *Program) compilePlain() {
	p.plain = make([]plainKind, len(p.pack.Vocabulary.Kinds))
	found := make([][]candidate, len(p.plain))
	for i, c := range p.rules {
		r := c.rule
		if len(r.Each) != 1 || len(r.Unless) > 0 || len(r.Then) == 0 || len(r.If) == 0 {
			continue
		}
		var conds []plainCond
		ok := true
		for _, cond := range r.If {
			if conds, ok = plainConds(conds, cond.Root); !ok {
				break
			}
		}
		if !ok || len(conds) == 0 || len(conds) >= maxWord || p.insideOwn(r, conds) {
			continue
		}
		rank := p.info[c.heads[0]].rank
		for _, h := range c.heads {
			rank = min(rank, p.info[h].rank)
		}
		k := r.Each[0].Kind.Index
		found[k] = append(found[k], candidate{i, rank, conds})
	}
	for kind, list := range found {
		slices.SortStableFunc(list, func(a, b candidate) int {
			return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(p.rules[a.rule].heads[0], p.rules[b.rule].heads[0]))
		})
		k := &p.plain[kind]
		for n, at := range list {
			if n == 0 || at.rank != list[n-1].rank {
				for len(k.rules)%64 != 0 {
					k.rules = append(k.rules, -1)
				}
			}
			c := p.rules[at.rule]
			c.place = int32(len(k.rules))
			k.rules = append(k.rules, int32(at.rule))
			for _, cond := range at.conds {
				id := p.id(cond.prop)
				k.enter(at.rank, id, int(c.place), cond)
				if p.isHead(id) && !slices.Contains(c.reads, id) {
					c.reads = append(c.reads, id)
				}
			}
		}
		p.orderWords(list)
		for _, at := range list {
			c := p.rules[at.rule]
			c.word = int32(len(k.words))
			k.words = append(k.words, plainWord{rule: int32(at.rule)})
			k.template = append(k.template, uint32(len(at.conds))<<16)
			for _, cond := range at.conds {
				x := &p.info[p.id(cond.prop)]
				if x.index == nil {
					x.index = &propIndex{}
				}
				x.index.enter(int(c.word), cond)
			}
		}
	}
	for i := range p.info {
		x := &p.info[i]
		if x.index != nil {
			x.index.finish()
			k := &p.plain[x.prop.Kind.Index]
			k.indexed = append(k.indexed, pid(i))
		}
		x.sole = len(x.then) == 1 && len(x.outs) == 0 && len(x.clues) == 0 && len(x.sets) == 0 &&
			x.comp < 0 && p.rules[x.then[0].rule].word >= 0
	}
	for i := range p.plain {
		p.plain[i].finish(p)
	}
}

// findHanding notes for observed properties the plain rules whose evidence hangs on
// them even where their truth does not change.
func (p *Program) findHanding() {
	for i := range p.info {
		x := &p.info[i]
		if x.index == nil || p.isHead(pid(i)) {
			continue // what is concluded reaches all its rules anyhow
		}
		k := &p.plain[x.prop.Kind.Index]
		x.index.rules(func(word uint32) {
			for _, h := range p.rules[k.words[word].rule].heads {
				if p.info[h].tainted {
					x.handing = append(x.handing, word)
					return
				}
			}
		})
		slices.Sort(x.handing)
		x.handing = slices.Compact(x.handing)
	}
}

// insideOwn tells whether a rule reads what rests on its own conclusion.
func (p *Program) insideOwn(r *rules.Rule, conds []plainCond) bool {
	for _, h := range r.Then {
		x := &p.info[p.id(h.Prop)]
		for _, c := range conds {
			if x.comp >= 0 && p.info[p.id(c.prop)].comp == x.comp {
				return true
			}
		}
	}
	return false
}
