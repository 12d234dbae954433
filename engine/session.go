package engine

import (
	"fmt"
	"math"

	"whyworn/engine/record"
	"whyworn/facts/measure"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Caps on one run.
const (
	// maxWork is how many candidate bindings, steps of fixpoints and looks at
	// what evidence rests on one run may take.
	maxWork = 100_000_000
	// maxWords is how many words of plain rules a session may hold.
	maxWords = 64 << 20
)

// Overrun is the error of a run that was stopped at a cap. Then nothing is
// concluded.
type Overrun struct {
	What  string // what there was too much of
	Limit int64
	Rule  string // the rule or clue at work, if known
}

func (o *Overrun) Error() string {
	if o.Rule != "" {
		return fmt.Sprintf("the run was stopped in %s: more than %d %s", o.Rule, o.Limit, o.What)
	}
	return fmt.Sprintf("the run was stopped: more than %d %s", o.Limit, o.What)
}

// Session holds the facts of one inspection and what a run concluded from them.
// It is not safe for concurrent use.
type Session struct {
	p     *Program
	l     *rules.Layout
	facts *rules.Facts // as given; after changes see current
	ords  []int32      // by part
	// findings are the slots of findings that follow each other, from and to.
	findings [][2]int32
	runs     []int32 // by kind: its first part, if its parts follow each other; else -1

	// Columns: a fact of property v and ordinal o stands at at[v]+o.
	columns *record.Columns
	first   []int32 // by pid: concluded and computed facts
	state   []truth.Truth
	round   []int32
	flags   []record.Flag
	cells   []cell // by pid
	maskAt  []int32
	mask    []uint64
	numAt   []int32
	num     []float64                // NaN unless known exactly
	odd     map[int32]measure.Number // by place in num: numbers with a range or uncertainty
	refs    [][]int32                // by pid
	lists   []listColumn             // by pid
	unsure  bool                     // some number had an uncertainty since load
	calc    map[int32]measure.Number // by slot: computed numbers
	given   map[int32]bool           // by slot: computed numbers that are observed too

	words   [][]uint32 // by kind; meaningful when counted
	sinks   [][]sink   // by kind: of its words
	flips   [][]flip   // by kind: words that wait
	turned  turned
	counted bool
	fits    bool // the words of all kinds stay under the cap
	// startOver: a change came that only a run from nothing can take in.
	startOver bool
	failing   [][]uint64 // by kind: sets of plain rules, part by part
	opened    [][]uint64
	tables    []keyTable
	pairKeys  []int64      // see together
	inverse   []listColumn // by pid, made when needed: parts that refer to a part
	frame     frame
	aside     frame
	plain     env
	best      bestOf
	sums      []float64         // of the aggregates being evaluated
	held      [][maxNames]int32 // bindings being gone through
	work      int64
	cap       int64 // on work: maxWork but in tests
	overrun   *Overrun

	weights weights
	rest    resting

	fresh   bool
	dirty   dirt
	changes changes
	queue   buckets
	direct  []listColumn // by pid of a reference or list: see directOf
	front   [][]int32    // by pid: see drainDirect
	ahead   [][]int32
	region  []factAt
	todo    []factAt

	tick   int64         // counts numbers written one by one, and loads
	loaded int64         // tick of the last load
	wrote  []int64       // by pid: tick of the last number written
	kept   [][]keptMoves // by keptArg, by ordinal
	room   moveRoom

	space  factSpace
	bases  bases
	taken  lastTaken
	asked  []uint32 // by place in space: see missing
	asking uint32
	looks  looks
	judged []int  // verdicts of the program, in the order of their parts
	fired  firing // bindings of the rule being gone through
}

// listColumn holds lists: those of ordinal i are items[starts[i]:starts[i+1]].
type listColumn struct {
	starts, items []int32
	observed      map[int32][]int32 // for lists that people give
}

func (c *listColumn) of(ord int32) ([]int32, bool) {
	if c.observed != nil {
		items, ok := c.observed[ord]
		return items, ok
	}
	if len(c.starts) == 0 {
		return nil, true
	}
	return c.items[c.starts[ord]:c.starts[ord+1]], true
}

// Bind makes a session for an inspection. Everything that hangs on the layout is
// made here.
func (p *Program) Bind(f *rules.Facts) *Session {
	s := &Session{p: p, l: f.Layout, cap: maxWork}
	s.frame = frame{s: s, elem: make([]int32, p.depth+1)}
	s.aside = frame{s: s, elem: make([]int32, p.depth+1)}
	s.bindLayout()
	s.load(f)
	return s
}

// Reset takes another inspection. What hangs on the layout is kept if the layout
// is the same.
func (s *Session) Reset(f *rules.Facts) {
	if f.Layout != s.l {
		fresh := s.p.Bind(f)
		work, results := s.weights, s.rest
		*s = *fresh
		s.weights.selector, s.rest.seen = work.selector, results.seen[:0]
		s.frame.s, s.aside.s = s, s
		return
	}
	s.load(f)
}

func (s *Session) bindLayout() {
	p, l := s.p, s.l
	s.ords = make([]int32, len(l.Parts))
	for i := range l.Parts {
		s.ords[i] = l.Parts[i].Ordinal
	}
	s.runs = make([]int32, len(l.OfKind))
	for k, parts := range l.OfKind {
		s.runs[k] = -1
		if n := len(parts); n > 0 && int(parts[n-1]-parts[0]) == n-1 {
			s.runs[k] = parts[0]
		}
	}
	s.columns = record.NewColumns(l, func(v *vocab.Property) bool { return p.isHead(p.id(v)) })
	for _, c := range s.columns.Of {
		if c.Prop.Role == vocab.Verdict || !c.Prop.Role.Concluded() {
			continue
		}
		if n := len(s.findings); n > 0 && s.findings[n-1][1] == c.First {
			s.findings[n-1][1] += c.N
			continue
		}
		s.findings = append(s.findings, [2]int32{c.First, c.First + c.N})
	}
	n := len(p.info)
	s.first, s.maskAt, s.numAt = make([]int32, n), make([]int32, n), make([]int32, n)
	s.refs, s.lists, s.inverse = make([][]int32, n), make([]listColumn, n), make([]listColumn, n)
	s.direct, s.cells, s.wrote = make([]listColumn, n), make([]cell, n), make([]int64, n)
	masks, nums := int32(0), int32(0)
	for i := range p.info {
		x := &p.info[i]
		parts := int32(len(l.OfKind[x.prop.Kind.Index]))
		s.first[i] = s.columns.First(x.prop)
		s.maskAt[i], s.numAt[i] = -1, -1
		switch x.store {
		case inMask:
			s.maskAt[i], s.cells[i] = masks, cell{masks, inMask}
			masks += parts
		case inNumber:
			s.numAt[i] = nums
			if x.prop.Role != vocab.Computed {
				s.cells[i] = cell{nums, inNumber}
			}
			nums += parts
		case inRef:
			s.refs[i] = s.bindRefs(x.prop, int(parts))
		case inLists:
			if x.prop.Role == vocab.Declared {
				s.lists[i].starts, s.lists[i].items = l.Column(x.prop)
			} else {
				s.lists[i].observed = map[int32][]int32{}
			}
		}
	}
	size := int(s.columns.Size)
	s.state, s.round, s.flags = make([]truth.Truth, size), make([]int32, size), make([]record.Flag, size)
	s.mask, s.num = make([]uint64, masks), make([]float64, nums)
	s.odd, s.calc, s.given = map[int32]measure.Number{}, map[int32]measure.Number{}, map[int32]bool{}
	s.words, s.sinks, s.flips = make([][]uint32, len(p.plain)), make([][]sink, len(p.plain)), make([][]flip, len(p.plain))
	s.failing, s.opened = make([][]uint64, len(p.plain)), make([][]uint64, len(p.plain))
	words := 0
	for k := range p.plain {
		if n := len(p.plain[k].rules); n > 0 {
			parts := len(l.OfKind[k])
			words += len(p.plain[k].words) * parts
			s.failing[k], s.opened[k] = make([]uint64, parts*(n/64+1)), make([]uint64, parts*(n/64+1))
		}
	}
	s.fits = words <= maxWords
	s.tables = make([]keyTable, len(p.tables))
	if p.weighs {
		s.weights.bind(size)
	}
	s.dirty.bind(s)
	s.bindJudged()
}

// bindRefs gives the column of a reference: the layout's own if it is fixed.
func (s *Session) bindRefs(p *vocab.Property, parts int) []int32 {
	if p.Role == vocab.Declared {
		if refs := s.l.Ref(p); len(refs) == parts {
			return refs
		}
		none := make([]int32, parts)
		for i := range none {
			none[i] = noPart
		}
		return none
	}
	return make([]int32, parts)
}

// load empties the columns and enters the facts of an inspection.
func (s *Session) load(f *rules.Facts) {
	s.facts, s.fresh, s.overrun = f, true, nil
	s.forgetKept()
	s.bases.of = nil
	clear(s.state)
	clear(s.round)
	clear(s.flags)
	clear(s.mask)
	for i := range s.num {
		s.num[i] = math.NaN()
	}
	if len(s.odd) > 0 {
		clear(s.odd)
	}
	if len(s.calc) > 0 {
		clear(s.calc)
	}
	if len(s.given) > 0 {
		clear(s.given)
	}
	for k := range s.failing {
		clear(s.failing[k])
		clear(s.opened[k])
	}
	s.counted, s.startOver, s.unsure = false, false, false
	for _, i := range s.p.observedRefs {
		for o := range s.refs[i] {
			s.refs[i][o] = unknownPart
		}
		if s.p.info[i].store == inLists {
			clear(s.lists[i].observed)
		}
	}
	for i := range s.tables {
		if !s.p.tables[i].fixed {
			s.tables[i].made = false
		}
	}
	s.dirty.clear()
	s.dropFlips()
	s.changes.clear()
	s.weights.clear()
	for i := range s.l.Declared {
		o := &s.l.Declared[i]
		if o.Prop.Role != vocab.Declared {
			if seen := f.Lookup(o.Part, o.Prop); seen != nil && seen.Value.Looked == vocab.Told {
				continue // what is seen goes before what the machine fixes
			}
		}
		s.enter(o.Part, o.Prop, &o.Value)
	}
	odd := len(s.odd) > 0
	for i := range f.Observations {
		o := &f.Observations[i]
		if o.Value.Looked != vocab.Told {
			continue
		}
		c := s.cells[s.p.id(o.Prop)]
		switch c.store {
		case inMask:
			s.mask[c.at+s.ords[o.Part]] = o.Value.Mask
			continue
		case inNumber:
			if n := &o.Value.Number; !odd && isExact(n) {
				s.num[c.at+s.ords[o.Part]] = n.Lo
				continue
			}
			odd = true
		}
		s.enter(o.Part, o.Prop, &o.Value)
	}
}

// cell is where the observations of a property go, in few bytes.
type cell struct {
	at    int32
	store store // noStore if enter must see to it
}

func isExact(n *measure.Number) bool {
	return n.Lo == n.Hi && n.Terms == nil && !n.LoOpen && !n.HiOpen && !math.IsInf(n.Lo, 0)
}

// enter puts a first value into its column.
func (s *Session) enter(part int32, prop *vocab.Property, v *vocab.Value) {
	if v.Looked != vocab.Told {
		return
	}
	id := s.p.id(prop)
	x := &s.p.info[id]
	ord := s.ords[part]
	switch x.store {
	case inMask:
		s.mask[s.maskAt[id]+ord] = v.Mask
	case inNumber:
		if x.prop.Role == vocab.Computed {
			s.given[s.first[id]+ord] = true
		}
		s.setNumber(id, ord, &v.Number, true)
	case inRef:
		if prop.Role != vocab.Declared {
			s.refs[id][ord] = v.Ref
		}
	case inLists:
		if prop.Role != vocab.Declared {
			s.lists[id].observed[ord] = v.Refs
		}
	}
}

// setNumber writes a number into its column; known false forgets it.
func (s *Session) setNumber(id pid, ord int32, n *measure.Number, known bool) {
	at := s.numAt[id] + ord
	s.tick++
	s.wrote[id] = s.tick
	if len(s.odd) > 0 {
		delete(s.odd, at)
	}
	switch {
	case !known:
		s.num[at] = math.NaN()
	case isExact(n):
		s.num[at] = n.Lo
	default:
		s.num[at] = math.NaN()
		s.odd[at] = *n
		s.unsure = s.unsure || n.Terms != nil
	}
}

// placed is where a number stands among the thresholds of its property.
func (s *Session) placed(id pid, ord int32) cuts {
	x := s.p.info[id].index
	at := s.numAt[id] + ord
	if v := s.num[at]; v == v {
		return x.exact(v)
	}
	if n, ok := s.odd[at]; ok {
		return x.ranged(n, s.facts.K)
	}
	return x.open()
}

// spend counts work and tells whether the cap is passed.
func (s *Session) spend(n int64) bool {
	s.work += n
	if s.work <= s.cap {
		return false
	}
	if s.overrun == nil {
		s.overrun = &Overrun{What: "steps", Limit: s.cap}
	}
	return true
}
