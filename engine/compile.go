// Package engine compiles a pack to a program and runs it on an inspection.
//
// Start with [Compile], then [Program.Bind], [Session.Run] and
// [Session.Result]. A session can be changed with [Session.Set] and
// [Session.Forget] and run again at the cost of the change. How a fact came to
// be is answered by [Ways], on request.
//
// Limits: the outcome never depends on the order of rules, files or places.
// Work is capped; past a cap the result says so in Overrun and concludes
// nothing. The package prints nothing and words nothing.
package engine

import (
	"slices"

	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Program is a pack made ready to run. It is immutable and may be shared between
// goroutines.
type Program struct {
	pack   *rules.Pack
	graph  *graph
	info   []propInfo // by pid
	ranks  []rank
	comps  []component // recursive ones
	rules  []*ruleCode // by rule index
	clues  []*clueCode // by clue index
	rival  []*rivalCode
	plain  []plainKind // by kind index
	tables []tableCode
	// keptArgs are the arguments of calls that sessions keep, kept how many.
	keptArgs map[*condition.Expr]*keptArg
	kept     int
	depth    int // predicates inside each other, at most
	// weighs tells whether there are clues at all.
	weighs   bool
	verdicts []judgedKind
	// observedRefs are the references and lists that people give.
	observedRefs []pid
	fixedReach   bool // see findFixedReach
}

// Pack is what the program was made of.
func (p *Program) Pack() *rules.Pack { return p.pack }

func (p *Program) id(prop *vocab.Property) pid { return p.graph.id(prop) }

// store says in which column of a session the values of a property stand.
type store uint8

const (
	noStore store = iota // nothing reads it
	inState              // concluded
	inMask               // observed yes/no and choices
	inNumber
	inRef
	inLists
)

// propInfo is what the program knows of a property.
type propInfo struct {
	prop  *vocab.Property
	store store
	read  bool
	rank  int32 // 0: observed
	comp  int32 // index in Program.comps, -1 if it is in no recursive component
	// What concludes or sets it.
	then, outs []headOf
	sets       []headOf
	clues      []int32 // by id
	rivals     []int32
	weighed    bool // has clues
	tainted    bool // weighed, or concluded from what is
	paired     bool // see pair.go
	fixed      bool // see findFixedLooks
	sole       bool // one plain rule concludes it, nothing else speaks of it
	index      *propIndex
	handing    []uint32 // places of plain rules in index whose heads hand evidence on
	readers    []reading
	inside     []reading // those readers whose heads are in the same component
	weighing   []pid     // weighed properties that can be reached from it
	tables     []int32   // key tables that hang on it
}

// headOf is one consequence of a rule: At indexes Then, RulesOut or Set.
type headOf struct {
	rule int32
	at   int32
	name int32 // the name whose property it is
}

// component is a set of properties that rest on each other.
type component struct {
	props []pid
	rank  int32
	// supported, by rule index: the rule cannot fire unless something inside the
	// component is true.
	supported map[int32]bool
	direct    bool // see spread_direct.go
}

// rank is what can be worked out once all lower ranks are: the properties that
// stand alone, and the components.
type rank struct {
	props []pid   // that need looking at one by one
	comps []int32 // index in Program.comps
	pairs []int32 // index in Program.rules
}

type ruleCode struct {
	binder
	rule *rules.Rule
	// the number of its word, and its place in sets of 64; -1 if it is no plain rule
	word, place int32
	// findings and numbers of the same part that a plain rule reads
	reads  []pid
	deep   bool // reads findings or computed numbers
	values []numFn
	heads  []pid // of then
	// measures: a condition compares measured numbers.
	measures bool
}

type clueCode struct {
	binder
	clue *rules.Clue
}

type rivalCode struct {
	binder
	rivals *rules.Rivals
}

// Compile makes a program of a pack. It refuses findings that rest on themselves
// through something that must be known first.
func Compile(pack *rules.Pack) (*Program, source.Problems) {
	g := newGraph(pack.Vocabulary)
	g.fill(pack)
	of, comps := g.components()
	if ps := g.strictCycles(of, comps); len(ps) > 0 {
		ps.Sort()
		return nil, ps
	}
	p := &Program{pack: pack, graph: g, info: make([]propInfo, len(g.props))}
	p.rankProps(of, comps)
	p.compileRules()
	p.compileClues()
	p.place()
	p.compilePlain()
	p.findReaders()
	p.findDirect()
	p.spreadTaint()
	p.findHanding()
	p.findLast()
	p.findPairs()
	p.fillRanks()
	p.findKept()
	p.findFixedReach()
	p.findFixedLooks()
	return p, nil
}

// rankProps gives each property its rank: one above the greatest it reads.
// Components come with what is read first.
func (p *Program) rankProps(of []int32, comps [][]pid) {
	rankOf := make([]int32, len(comps))
	for c, comp := range comps {
		recursive := false
		r := int32(0)
		for _, v := range comp {
			for _, e := range p.graph.from[v] {
				if of[e.to] == int32(c) {
					recursive = true
				} else {
					r = max(r, rankOf[of[e.to]]+1)
				}
			}
		}
		if r == 0 && p.isHead(comp[0]) {
			r = 1
		}
		rankOf[c] = r
		at := int32(-1)
		if recursive {
			at = int32(len(p.comps))
			p.comps = append(p.comps, component{props: comp, rank: r, supported: map[int32]bool{}})
		}
		for _, v := range comp {
			p.info[v] = propInfo{prop: p.graph.props[v], rank: r, comp: at}
		}
	}
	top := int32(0)
	for _, r := range rankOf {
		top = max(top, r)
	}
	p.ranks = make([]rank, top+1)
}

func (p *Program) isHead(v pid) bool {
	prop := p.graph.props[v]
	return prop.Role.Concluded() || prop.Role == vocab.Computed
}

func (p *Program) compileRules() {
	p.rules = make([]*ruleCode, len(p.pack.Rules))
	judged := map[int]bool{}
	for i, r := range p.pack.Rules {
		c := &ruleCode{rule: r, word: -1, place: -1}
		c.binder = p.binder(r.Each, r.If, r.Unless)
		p.rules[i] = c
		c.measures = slices.ContainsFunc(r.If, func(k *condition.Condition) bool { return measured(k.Root) })
		for j, h := range r.Then {
			x := &p.info[p.id(h.Prop)]
			x.then = append(x.then, headOf{int32(i), int32(j), int32(h.Var)})
			c.heads = append(c.heads, p.id(h.Prop))
			if r.Level != vocab.NoWord {
				judged[h.Prop.Kind.Index] = true
			}
		}
		for j, h := range r.RulesOut {
			x := &p.info[p.id(h.Prop)]
			x.outs = append(x.outs, headOf{int32(i), int32(j), int32(h.Var)})
		}
		for j, a := range r.Set {
			x := &p.info[p.id(a.Prop)]
			x.sets = append(x.sets, headOf{int32(i), int32(j), int32(a.Var)})
			p.markReads(readsOf(nil, a.Value.Root))
			p.depth = max(p.depth, depthOf(a.Value.Root))
			c.values = append(c.values, lowering{p: p}.num(a.Value.Root))
		}
		for _, rd := range c.all {
			c.deep = c.deep || p.isHead(p.id(rd.prop))
		}
		for _, a := range r.Set {
			for _, rd := range readsOf(nil, a.Value.Root) {
				c.deep = c.deep || p.isHead(p.id(rd.prop))
			}
		}
	}
	for k := range judged {
		kind := judgedKind{kind: k}
		for i, l := range graver {
			kind.props[i] = p.pack.Vocabulary.Kinds[k].Property(vocab.VerdictID(l))
		}
		p.verdicts = append(p.verdicts, kind)
	}
}

func (p *Program) compileClues() {
	for i, c := range p.pack.Clues {
		k := &clueCode{clue: c}
		k.binder = p.binder(c.Each, c.If, nil)
		p.markReads(readsOf(nil, c.Sign.Root))
		p.depth = max(p.depth, depthOf(c.Sign.Root))
		p.clues = append(p.clues, k)
		x := &p.info[p.id(c.Cause.Prop)]
		x.clues = append(x.clues, int32(i))
		x.weighed = true
		p.weighs = true
	}
	for i, r := range p.pack.Rivals {
		k := &rivalCode{rivals: r}
		k.binder = p.binder(r.Each, r.If, nil)
		p.rival = append(p.rival, k)
		for _, h := range r.Causes {
			x := &p.info[p.id(h.Prop)]
			if len(x.rivals) == 0 || x.rivals[len(x.rivals)-1] != int32(i) {
				x.rivals = append(x.rivals, int32(i))
			}
		}
	}
}

// markReads notes which properties need a column.
func (p *Program) markReads(rs []read) {
	for _, r := range rs {
		p.info[p.id(r.prop)].read = true
		for _, s := range r.steps {
			p.info[p.id(s)].read = true
		}
	}
}

// place gives each property that is read or concluded its kind of column.
func (p *Program) place() {
	for i := range p.info {
		x := &p.info[i]
		switch t := x.prop.Type; {
		case x.prop.Role.Concluded():
			x.store = inState
		case x.prop.Role == vocab.Computed:
			x.store = inNumber
		case isRef(x.prop):
			x.store = inRef
			if t == vocab.Parts {
				x.store = inLists
			}
			if x.prop.Role != vocab.Declared {
				p.observedRefs = append(p.observedRefs, pid(i))
			}
		case !x.read:
		case t == vocab.YesNo || t == vocab.Choice:
			x.store = inMask
		case t == vocab.Number || t == vocab.Whole:
			x.store = inNumber
		}
	}
}

// spreadTaint marks what rests on weighed findings, and for each property the
// weighed ones that can be reached from it.
func (p *Program) spreadTaint() {
	var queue []pid
	for i := range p.info {
		if p.info[i].weighed {
			p.info[i].tainted = true
			queue = append(queue, pid(i))
		}
	}
	p.forward(queue, func(v pid) bool {
		x := &p.info[v]
		if x.tainted || !x.prop.Role.Concluded() {
			return false
		}
		x.tainted = true
		return true
	})
	if !p.weighs {
		return
	}
	for i := range p.info {
		if len(p.info[i].readers) == 0 {
			continue
		}
		seen := map[pid]bool{}
		var out []pid
		p.forward([]pid{pid(i)}, func(v pid) bool {
			if seen[v] {
				return false
			}
			seen[v] = true
			if p.info[v].weighed {
				out = append(out, v)
			}
			return true
		})
		slices.Sort(out)
		p.info[i].weighing = out
	}
}

// forward goes from properties to all that is worked out of them, as far as
// enter tells to go on.
func (p *Program) forward(queue []pid, enter func(pid) bool) {
	try := func(v pid) {
		if enter(v) {
			queue = append(queue, v)
		}
	}
	for len(queue) > 0 {
		x := &p.info[queue[len(queue)-1]]
		queue = queue[:len(queue)-1]
		for i := range x.readers {
			for _, h := range x.readers[i].heads {
				try(h.prop)
			}
		}
		if x.index == nil {
			continue
		}
		k := &p.plain[x.prop.Kind.Index]
		x.index.rules(func(word uint32) {
			for _, h := range p.rules[k.words[word].rule].rule.Then {
				try(p.id(h.Prop))
			}
		})
	}
}

func (p *Program) fillRanks() {
	for i := range p.comps {
		c := &p.comps[i]
		p.ranks[c.rank].comps = append(p.ranks[c.rank].comps, int32(i))
		p.findSupport(c, int32(i))
	}
	for i := range p.info {
		x := &p.info[i]
		if !p.isHead(pid(i)) {
			continue
		}
		r := &p.ranks[x.rank]
		if x.comp < 0 && !x.sole && !x.paired && (len(x.then)+len(x.outs)+len(x.sets)+len(x.clues) > 0 || x.prop.Role == vocab.Computed) {
			r.props = append(r.props, pid(i))
		}
	}
}

// findSupport marks the rules of a component that need something true inside it.
func (p *Program) findSupport(c *component, at int32) {
	inside := func(prop *vocab.Property) bool { return p.info[p.id(prop)].comp == at }
	for _, v := range c.props {
		for _, h := range p.info[v].then {
			code := p.rules[h.rule]
			for _, cond := range code.rule.If {
				if needs(cond.Root, inside) {
					c.supported[h.rule] = true
				}
			}
		}
	}
}

// needs tells whether a condition cannot be true unless a property inside is.
func needs(e *condition.Expr, inside func(*vocab.Property) bool) bool {
	switch e.Op {
	case condition.Prop:
		return inside(e.Prop)
	case condition.And:
		return slices.ContainsFunc(e.Args, func(a *condition.Expr) bool { return needs(a, inside) })
	case condition.Or:
		return !slices.ContainsFunc(e.Args, func(a *condition.Expr) bool { return !needs(a, inside) })
	case condition.Any:
		return len(e.Args) > 1 && needs(e.Args[1], inside)
	}
	return false
}
