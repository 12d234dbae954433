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
	brief bool                  // do not go down to what a step rests on
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
	return b.x
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
		s.Answer = b.PartName(id.Part) + ": " + p.Level.String() + ", " + stateWords(f.State)
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
	for i := range all {
		w := &all[i]
		if !b.tells(w, id, state, s, all) {
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

// mostWays is how many rules of one state are told in full for one fact.
const mostWays = 60

// tells whether a way belongs to the answer.
func (b *builder) tells(w *record.Way, id record.FactID, state truth.Truth, s *Step, all []record.Way) bool {
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
	case state == truth.True || id.Prop.Role == vocab.Computed && w.State == truth.True:
		return w.State == truth.True
	case state == truth.Unknown:
		return w.State != truth.False
	}
	return true // false: every rule had to be known not to fire
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
		out.If = append(out.If, b.cond(conds[i], &w.If[i], w.Bound))
	}
	for i := range w.Unless {
		c := b.cond(unless[i], &w.Unless[i], w.Bound)
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
	if cond.Root.Type.K == condition.KBool {
		out.State = n.State.String()
	} else {
		out.Value = b.Value(&n.Value, cond.Root.Type)
	}
	if out.State == truth.Unknown.String() || cond.Root.Type.K != condition.KBool && n.Value.Looked != vocab.Told {
		r := reasonOf(n)
		out.Why, out.Words = reasons[r].code, reasons[r].words
	}
	g := gathering{builder: b, cond: cond, bound: bound}
	g.node(n, true)
	out.Compared, out.AndMore = g.compared, g.more
	for _, r := range g.reads {
		out.Reads = append(out.Reads, b.down(r))
	}
	return out
}

// down adds the step of what a read rests on, where it decides.
func (b *builder) down(r Read) Read {
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
	case r.Decides && !b.brief:
		r.Step = b.step(r.id)
	}
	return r
}

// verdict tells what becomes of a part.
func (b *builder) verdict(v *record.Verdict) int {
	if n, ok := b.judge[v.Part]; ok {
		return n
	}
	n := b.add()
	b.judge[v.Part] = n
	s := Step{
		Fact: b.Facts.Parts[v.Part].ID + ".verdict", Part: b.Facts.Parts[v.Part].ID, Property: "verdict",
		Name: b.PartName(v.Part), Sort: SortVerdict, State: truth.True.String(), Level: v.Level.String(), Answer: v.Level.String(),
	}
	for level := vocab.Replace; level >= vocab.Refit; level-- {
		p := b.Facts.Parts[v.Part].Kind.Property(vocab.VerdictID(level))
		if p == nil {
			continue
		}
		id := record.FactID{Part: v.Part, Prop: p}
		f := b.Result.Fact(v.Part, p)
		for _, k := range b.Result.Conflicts {
			if k.Fact == id {
				s.Conflicts = append(s.Conflicts, b.ConflictWords(k))
			}
		}
		all := b.Ways(id)
		for i := range all {
			w := &all[i]
			switch {
			case b.judges(w, v.Level, level) && len(s.Ways) < mostWays:
				b.brief = w.State == truth.False
				s.Ways = append(s.Ways, b.way(w, all))
				b.brief = false
			case w.State == truth.True:
				s.Left.Fire++
			case w.State == truth.False:
				s.Left.Not++
			default:
				s.Left.Unknown++
			}
		}
		if level == v.Level && f.State == truth.True {
			s.Because, s.Round = b.Because(id), f.Round
		}
	}
	for _, id := range b.Missing(v) {
		s.Missing = append(s.Missing, b.wanting(id))
	}
	for i := range b.Facts.Decisions {
		if d := &b.Facts.Decisions[i]; d.Part == v.Part {
			s.Decision = d.Level.String()
			if d.Written != nil && d.Written.By != "" {
				s.Decision += ", by " + d.Written.By
			}
			if d.Written != nil && d.Written.Because != "" {
				s.Decision += ": " + d.Written.Because
			}
		}
	}
	b.x.Steps[n-1] = s
	return n
}

// judges tells whether a verdict rule of one level belongs to why the verdict
// is what it is: the rules that give it; for refit every graver rule, known not
// to fire; for inspect further those that are open, and graver ones still open.
func (b *builder) judges(w *record.Way, is, of vocab.Level) bool {
	switch {
	case of == is:
		return w.State == truth.True
	case is == vocab.Refit:
		return of > vocab.Refit
	}
	return of > is && w.State == truth.Unknown
}

// wanting tells what would have to be known.
func (c *Case) wanting(id record.FactID) Wanting {
	w := Wanting{Fact: c.FactID(id), Name: c.FactName(id), Reason: FromNotLooked, Look: c.looking(id)}
	if o := c.Facts.Lookup(id.Part, id.Prop); o != nil {
		w.Reason = "undecided"
		if o.Value.Looked == vocab.CouldNotTell {
			w.Reason = FromCouldNotTell
		}
	} else if id.Prop.Role.Concluded() {
		w.Reason = "undecided"
	}
	return w
}

// firstOf orders ways: those that fire first, by the fewest rounds, then ids.
func firstOf(ways []record.Way) []record.Way {
	out := slices.Clone(ways)
	slices.SortStableFunc(out, func(a, b record.Way) int {
		return cmp.Or(cmp.Compare(b2i(a.State != truth.True), b2i(b.State != truth.True)), cmp.Compare(a.Round, b.Round))
	})
	return out
}
