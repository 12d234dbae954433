package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Why tells how a finding, a computed number or one level of a verdict came to
// its state, down to observations.
func (c *Case) Why(id record.FactID) *Explanation { return c.WhyAll([]record.FactID{id}) }

// WhyAll tells several facts in one explanation; what they share is told once.
func (c *Case) WhyAll(ids []record.FactID) *Explanation {
	b := c.builder("why")
	for _, id := range ids {
		b.x.Asked = append(b.x.Asked, b.step(id))
	}
	return b.finish()
}

// WhyVerdict tells why a part is to be refitted, reworked, replaced or
// inspected further. False if no rule of the pack judges parts of its kind.
func (c *Case) WhyVerdict(part int32) (*Explanation, bool) {
	v, ok := c.Result.Verdict(part)
	if !ok {
		return nil, false
	}
	b := c.builder("why")
	b.x.Asked = append(b.x.Asked, b.verdict(&v))
	return b.finish(), true
}

// builder gathers the steps of one explanation.
type builder struct {
	*Case
	x     *Explanation
	at    map[record.FactID]int // number of the step, from 1
	judge map[int32]int         // of the verdict of a part
	why   bool                  // else whynot
	aside bool                  // what is told now does not bear on the answer
}

func (c *Case) builder(question string) *builder {
	in := c.Facts.Inspection
	x := &Explanation{
		Question:   question,
		Pack:       Edition{c.Pack.ID, c.Pack.Version, c.Pack.Digest},
		Inspection: Occasion{Digest: c.Facts.Digest},
		K:          c.Facts.K,
	}
	if c.Facts.Machine != nil {
		x.Inspection.Machine = c.Facts.Machine.Name
	}
	if in != nil {
		x.Inspection.Number = in.Number
	}
	return &builder{Case: c, x: x, at: map[record.FactID]int{}, judge: map[int32]int{}, why: question == "why"}
}

// finish adds what only the steps asked for have.
func (b *builder) finish() *Explanation {
	for _, n := range b.x.Asked {
		s := &b.x.Steps[n-1]
		for id, k := range b.at {
			if k == n {
				s.Remedies = b.remediesFor(id)
			}
		}
		s.Think = think(b.x, s)
	}
	b.renumber()
	return b.x
}

// renumber puts the steps asked for first and leaves the others in the order in
// which they were come upon.
func (b *builder) renumber() {
	x := b.x
	to := make([]int, len(x.Steps)+1) // new number by old, from 1
	next := 0
	for _, n := range x.Asked {
		if to[n] == 0 {
			next++
			to[n] = next
		}
	}
	steps := make([]Step, len(x.Steps))
	for n := 1; n <= len(x.Steps); n++ {
		if to[n] == 0 {
			next++
			to[n] = next
		}
		steps[to[n]-1] = x.Steps[n-1]
	}
	x.Steps = steps
	var asked []int
	for _, n := range x.Asked {
		if !slices.Contains(asked, to[n]) {
			asked = append(asked, to[n])
		}
	}
	x.Asked = asked
	for i := range x.Steps {
		for k := range x.Steps[i].Ways {
			for _, c := range x.Steps[i].Ways[k].Conditions() {
				for r := range c.Reads {
					c.Reads[r].Step = to[c.Reads[r].Step]
				}
			}
		}
	}
}

// Conditions lists all conditions of a way: if, unless, the expression of a
// number, the sign.
func (w *Way) Conditions() []*Cond {
	var out []*Cond
	for i := range w.If {
		out = append(out, &w.If[i])
	}
	for i := range w.Unless {
		out = append(out, &w.Unless[i])
	}
	if w.Sets != nil {
		out = append(out, w.Sets)
	}
	if w.Sign != nil {
		out = append(out, w.Sign)
	}
	return out
}

// add enters an empty step and gives its number; the step itself may move
// while others are added, so it is filled through b.x.Steps.
func (b *builder) add() int {
	b.x.Steps = append(b.x.Steps, Step{})
	return len(b.x.Steps)
}

// step tells one fact and gives the number of its step.
func (b *builder) step(id record.FactID) int {
	if n, ok := b.at[id]; ok {
		return n
	}
	n := b.add()
	b.at[id] = n
	b.x.Steps[n-1] = b.fact(id)
	return n
}

func (b *builder) fact(id record.FactID) Step {
	p := id.Prop
	f := b.Result.Fact(id.Part, p)
	s := Step{
		Fact: b.FactID(id), Part: b.Facts.Parts[id.Part].ID, Property: p.ID, Name: b.FactName(id),
		State: f.State.String(), Round: f.Round, Certain: f.Certain, About: p.About, Source: p.Source,
		RuledOut: f.RuledOut, Because: b.Because(id),
	}
	switch p.Role {
	case vocab.Computed:
		s.Sort = SortNumber
		b.number(id, &s)
	case vocab.Verdict:
		s.Sort, s.Level = SortVerdict, p.Level.String()
		s.Answer = stateWords(f.State)
	case vocab.Damage, vocab.Cause:
		s.Sort = SortDamage
		if p.Role == vocab.Cause {
			s.Sort = SortCause
		}
		s.Answer = b.sureWords(f)
		if !f.Certain && (f.Decided || f.Probability > 0) {
			s.Probability, s.Word = f.Probability, weigh.Word(f.Probability)
		}
	default:
		s.Sort = SortNumber
	}
	for _, k := range b.Result.Conflicts {
		if k.Fact == id {
			s.Conflicts = append(s.Conflicts, b.ConflictWords(k))
		}
	}
	b.ways(id, f.State, &s)
	if p.Weighed {
		s.Sum = b.sum(id, f)
	}
	return s
}

// stateWords tell a state for people.
func stateWords(t truth.Truth) string {
	switch t {
	case truth.True:
		return "so"
	case truth.False:
		return "known not to be so"
	}
	return "not known"
}

// sureWords tell the state of a finding and how sure it is.
func (c *Case) sureWords(f record.Fact) string {
	switch {
	case f.Certain:
		return stateWords(f.State) + ", by rule"
	case f.Decided || f.Probability > 0:
		return weigh.Word(f.Probability) + ", " + OddsWords(f.Probability)
	}
	return stateWords(f.State)
}

// number fills what a computed number has.
func (b *builder) number(id record.FactID, s *Step) {
	s.Answer = unknownWords
	s.State = truth.Unknown.String()
	if v, ok := b.Result.Number(id.Part, id.Prop); ok {
		s.Number = b.quantity(&v, id.Prop)
		s.Answer, s.State = s.Number.Text+plus(s.Number), truth.True.String()
	}
	if o := b.Facts.Lookup(id.Part, id.Prop); o != nil {
		r := b.read(id)
		s.Observed = &r
		if s.Number == nil && o.Value.Looked == vocab.Told {
			s.Answer, s.State = r.Value, truth.True.String()
		}
	}
	for _, bound := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
		if v, whose, ok := b.Limit(id.Part, id.Prop, bound); ok {
			s.Limits = append(s.Limits, Bounded{vocab.BoundNames[bound], *b.quantity(&v, id.Prop), whose})
		}
	}
}

func plus(q *Quantity) string {
	if q.Plus == "" {
		return ""
	}
	return " ± " + q.Plus
}

// ways tells the rules and clues that bear on a fact. Why keeps those that
// made it what it is; whynot keeps all.
func (b *builder) ways(id record.FactID, state truth.Truth, s *Step) {
	all := b.Ways(id)
	told := make([]int, len(all)) // number in s.Ways, from 1
	var through []int             // of the ways told, the index in all they are counted through
	for _, i := range telling(all) {
		w := &all[i]
		if !b.tells(w, id, state, s) {
			switch w.State {
			case truth.True:
				s.Left.Fire++
			case truth.False:
				s.Left.Not++
			default:
				s.Left.Unknown++
			}
			continue
		}
		s.Ways = append(s.Ways, b.way(w, all))
		through = append(through, w.Through)
		told[i] = len(s.Ways)
	}
	for i, t := range through {
		if k := &s.Ways[i]; k.Through != "" && t >= 0 && t < len(told) {
			k.ThroughWay = told[t]
		}
	}
}

// telling is the order in which ways are told: rules as they come, then clues
// that count, the heaviest first, those for it before those against it, then
// those counted already, then the silent ones.
func telling(all []record.Way) []int {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	rank := func(w *record.Way) int {
		switch {
		case w.Clue == nil:
			return 0
		case w.Counted && w.Weight > 0:
			return 1
		case w.Counted && w.Weight < 0:
			return 2
		case w.Weight != 0:
			return 3
		}
		return 4
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &all[i], &all[j]
		if d := cmp.Compare(rank(a), rank(b)); d != 0 || a.Clue == nil {
			return d
		}
		return cmp.Compare(b.Weight.Abs(), a.Weight.Abs())
	})
	return order
}

// mostWays is how many rules of one state are told in full for one fact.
const mostWays = 60

// tells whether a way belongs to the answer.
func (b *builder) tells(w *record.Way, id record.FactID, state truth.Truth, s *Step) bool {
	if len(s.Ways) >= mostWays {
		return false
	}
	if !b.why || w.Clue != nil {
		return w.Clue == nil || b.clueSpeaks(w)
	}
	rulesOut := w.Rule != nil && len(w.Rule.RulesOut) > 0
	switch {
	case rulesOut:
		return w.State == truth.True || state == truth.Unknown && w.State == truth.Unknown
	case state == truth.True:
		return w.State == truth.True && !b.circular(w, id)
	case id.Prop.Role == vocab.Computed && w.State == truth.True:
		return true
	case state == truth.Unknown:
		return w.State != truth.False
	}
	return true // false: every rule had to be known not to fire
}

// circular tells whether a rule that fires rests on the very fact it concludes:
// then it is no reason for it. What came in an earlier round cannot.
func (b *builder) circular(w *record.Way, id record.FactID) bool {
	f := b.Result.Fact(id.Part, id.Prop)
	if w.Round <= f.Round {
		return false
	}
	seen := map[record.FactID]bool{}
	var rests func(n *record.Seen) bool
	var way func(w *record.Way) bool
	rests = func(n *record.Seen) bool {
		for _, r := range n.Reads {
			if r == id {
				return true
			}
			g := b.Result.Fact(r.Part, r.Prop)
			if g.State != truth.True || g.Round <= f.Round || seen[r] || !r.Prop.Role.Concluded() {
				continue
			}
			seen[r] = true
			for _, v := range b.Ways(r) {
				if v.Rule != nil && v.State == truth.True && v.Round == g.Round && way(&v) {
					return true
				}
			}
		}
		for i := range n.Args {
			if n.Args[i].Expr == nil || n.Args[i].Expr.Type.K != condition.KBool || n.Args[i].State == n.State || n.Expr.Type.K != condition.KBool {
				if rests(&n.Args[i]) {
					return true
				}
			}
		}
		return false
	}
	way = func(w *record.Way) bool {
		for i := range w.If {
			if rests(&w.If[i]) {
				return true
			}
		}
		return false
	}
	return way(w)
}

// clueSpeaks tells whether a clue has a place in the sum: clues whose own
// condition excludes them are not told.
func (b *builder) clueSpeaks(w *record.Way) bool {
	for i := range w.If {
		if w.If[i].State == truth.False {
			return false
		}
	}
	return true
}

// way tells one rule or clue.
func (b *builder) way(w *record.Way, all []record.Way) Way {
	out := Way{State: w.State.String(), Round: w.Round}
	each := rules.Binding(nil)
	var conds, unless []*condition.Condition
	switch {
	case w.Rule != nil:
		r := w.Rule
		each, conds, unless = r.Each, r.If, r.Unless
		out.Rule, out.Source, out.How, out.Because = r.ID, r.Source, r.How, b.Say(r.Because, w.Bound)
		out.Does = Concludes
		switch {
		case len(r.RulesOut) > 0:
			out.Does = RulesOut
		case len(r.Set) > 0:
			out.Does = Sets
		case r.Level != vocab.NoWord:
			out.Does = Judges
		}
	case w.Clue != nil:
		k := w.Clue
		each, conds = k.Each, k.If
		out.Clue, out.Source, out.How, out.Does, out.Counts = k.ID, k.Source, k.Mechanism, Speaks, k.Counts
		b.clue(w, all, &out)
	}
	for i, e := range each {
		out.Bound = append(out.Bound, Bound{e.ID, b.partID(w.Bound[i])})
	}
	for i := range w.If {
		// Of a rule known not to fire only what is false counts.
		b.aside = w.State == truth.False && w.If[i].State != truth.False
		out.If = append(out.If, b.cond(conds[i], &w.If[i], w.Bound))
		b.aside = false
	}
	for i := range w.Unless {
		b.aside = w.State == truth.False
		c := b.cond(unless[i], &w.Unless[i], w.Bound)
		b.aside = false
		out.Assumed = out.Assumed || w.State == truth.True && w.Unless[i].State == truth.Unknown
		out.Unless = append(out.Unless, c)
	}
	if w.Rule != nil {
		for i := range w.Sets {
			if v := w.Sets[i].Cond; v != nil && out.Sets == nil {
				c := b.cond(v, &w.Sets[i], w.Bound)
				out.Sets = &c
			}
		}
	}
	if w.Clue != nil {
		c := b.cond(w.Clue.Sign, &w.Sign, w.Bound)
		out.Sign = &c
	}
	return out
}

func (b *builder) partID(part int32) string {
	if part < 0 {
		return ""
	}
	return b.Facts.Parts[part].ID
}

// cond tells one condition and takes up the steps it rests on.
func (b *builder) cond(cond *condition.Condition, n *record.Seen, bound []int32) Cond {
	out := Cond{Text: cond.Text, Here: b.Condition(cond, bound), Plain: b.Plain(cond, bound)}
	out.Comes = out.Plain
	if cond.Root.Type.K == condition.KBool {
		out.State = n.State.String()
	} else {
		out.Value = b.Value(&n.Value, cond.Root.Type)
	}
	if out.State == truth.Unknown.String() || cond.Root.Type.K != condition.KBool && n.Value.Looked != vocab.Told {
		r := reasonOf(n)
		out.Why, out.Words = reasons[r].code, reasons[r].words
		if out.Words == "" {
			out.Words = unknownWords
		}
		out.Comes = out.Plain + ": " + out.Words
	}
	if out.State == truth.False.String() {
		out.Comes = b.denied(cond.Root, bound)
	}
	g := gathering{builder: b, cond: cond, bound: bound}
	g.node(n, true)
	out.Compared, out.AndMore = g.compared, g.more
	for _, r := range g.reads {
		out.Reads = append(out.Reads, b.down(r, n.State == truth.True))
	}
	return out
}

// down adds the step of what a read rests on, where it decides.
// Whynot leaves out what a condition that holds rests on.
func (b *builder) down(r Read, holds bool) Read {
	p := r.id.Prop
	if !p.Role.Concluded() && p.Role != vocab.Computed {
		return r
	}
	if r.From == FromObserved && !p.Role.Concluded() {
		return r
	}
	n, told := b.at[r.id]
	switch {
	case told:
		r.Step = n
	case r.Decides && (b.why || !holds) && !b.aside:
		r.Step = b.step(r.id)
	}
	return r
}

// firstOf orders ways: those that fire first, by the fewest rounds, then ids.
func firstOf(ways []record.Way) []record.Way {
	out := slices.Clone(ways)
	slices.SortStableFunc(out, func(a, b record.Way) int {
		return cmp.Or(cmp.Compare(b2i(a.State != truth.True), b2i(b.State != truth.True)), cmp.Compare(a.Round, b.Round))
	})
	return out
}
