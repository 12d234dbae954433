package engine

import (
	"math"
	"slices"

	"whyworn/rules/condition"
)

func (c lowering) key(e *condition.Expr) keyFn {
	switch e.Type.K {
	case condition.KPart:
		part := c.part(e)
		return func(f *frame) (int64, bool, bool) {
			p := part(f)
			return int64(p), p != unknownPart, p == noPart
		}
	case condition.KNum:
		if id, v, ok := c.own(e); ok {
			return func(f *frame) (int64, bool, bool) {
				x := f.s.num[f.s.numAt[id]+f.ord[v]]
				return numberKey(x), x == x, false
			}
		}
		num := c.num(e)
		return func(f *frame) (int64, bool, bool) {
			x := num(f)
			return numberKey(x), x == x, false
		}
	}
	mask := c.mask(e)
	return func(f *frame) (int64, bool, bool) {
		v := single(mask(f))
		return int64(v), v >= 0, false
	}
}

// numberKey is the number itself if it is whole, as it should be; the bits of
// any other are beyond all whole numbers a float64 tells apart.
func numberKey(x float64) int64 {
	if n := int64(x); float64(n) == x {
		return n
	}
	return int64(math.Float64bits(x))
}

// keyTable finds parts by key. The parts of one key stand together. Keys that
// lie close are looked up by place, others by open addressing.
type keyTable struct {
	made   bool
	low    int64
	starts []int32 // by key − low, one more at the end; nil when keys lie apart
	slots  []keySlot
	shift  uint8
	parts  []int32
	odd    []int32 // parts whose key is not known
	keys   []keyed // while it is made
}

type keyed struct {
	key  int64
	part int32
}

type keySlot struct {
	key         int64
	first, last int32 // in parts; last 0 = free
}

// find lists the parts with a key, ascending.
func (t *keyTable) find(key int64) []int32 {
	if t.starts != nil {
		if i := uint64(key - t.low); i < uint64(len(t.starts)-1) {
			return t.parts[t.starts[i]:t.starts[i+1]]
		}
		return nil
	}
	if len(t.slots) == 0 {
		return nil
	}
	s := t.spot(key)
	return t.parts[s.first:s.last]
}

// spot is where a key stands or would stand.
func (t *keyTable) spot(key int64) *keySlot {
	mask := uint64(len(t.slots) - 1)
	for i := uint64(key) * 0x9e3779b97f4a7c15 >> t.shift; ; i++ {
		s := &t.slots[i&mask]
		if s.last == 0 || s.key == key {
			return s
		}
	}
}

// arrange puts the parts in order of key and makes the way to look them up.
func (t *keyTable) arrange() {
	n := len(t.keys)
	t.parts = slices.Grow(t.parts[:0], n)[:n]
	t.low = 0
	high := int64(-1)
	for i, k := range t.keys {
		if i == 0 || k.key < t.low {
			t.low = k.key
		}
		if i == 0 || k.key > high {
			high = k.key
		}
	}
	if span := uint64(high - t.low); n == 0 || span < uint64(4*n+64) {
		t.byPlace(int(high - t.low + 1))
		return
	}
	t.byHash(n)
}

func (t *keyTable) byPlace(span int) {
	t.starts = slices.Grow(t.starts[:0], span+1)[:span+1]
	clear(t.starts)
	for _, k := range t.keys {
		t.starts[k.key-t.low]++
	}
	at := int32(0)
	for i, n := range t.starts {
		t.starts[i] = at
		at += n
	}
	for _, k := range t.keys {
		i := k.key - t.low
		t.parts[t.starts[i]] = k.part
		t.starts[i]++
	}
	copy(t.starts[1:], t.starts[:span])
	t.starts[0] = 0
}

func (t *keyTable) byHash(n int) {
	t.starts = nil
	bits := uint8(3)
	for 1<<bits < 2*n {
		bits++
	}
	if len(t.slots) == 1<<bits {
		clear(t.slots)
	} else {
		t.slots = make([]keySlot, 1<<bits)
	}
	t.shift = 64 - bits
	slices.SortStableFunc(t.keys, func(a, b keyed) int {
		switch {
		case a.key < b.key:
			return -1
		case a.key > b.key:
			return 1
		}
		return 0
	})
	for i, k := range t.keys {
		s := t.spot(k.key)
		if s.last == 0 {
			s.key, s.first = k.key, int32(i)
		}
		s.last = int32(i) + 1
		t.parts[i] = k.part
	}
}

// keyTable gives a table, making it first if the facts it hangs on changed.
func (s *Session) keyTable(at int32) *keyTable {
	t := &s.tables[at]
	if t.made {
		return t
	}
	code := &s.p.tables[at]
	f := &s.aside
	t.keys, t.odd = t.keys[:0], t.odd[:0]
	for _, p := range s.l.OfKind[code.kind.Index] {
		f.bind(code.name, p)
		if code.list != nil {
			items, skip, ok := code.list(f)
			if !ok {
				t.odd = append(t.odd, p)
				continue
			}
			for _, x := range items {
				if x != skip {
					t.keys = append(t.keys, keyed{int64(x), p})
				}
			}
			continue
		}
		switch key, known, never := code.key(f); {
		case never:
		case !known:
			t.odd = append(t.odd, p)
		default:
			t.keys = append(t.keys, keyed{key, p})
		}
	}
	t.arrange()
	t.made = true
	return t
}
