package check

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// use of a rule, a clue or a remedy for bound parts, as it bears on a step.
type bearing struct {
	rule   *rules.Rule
	set    *condition.Condition
	outs   bool // it rules out
	clue   *rules.Clue
	spoken *spoken // of a clue whose conditions hold
	remedy *rules.Remedy
	bound  []int32
	state  truth.Truth
	round  int32
}

func (b *bearing) key() string {
	id := "remedy"
	if b.rule != nil {
		id = "rule " + b.rule.ID
	} else if b.clue != nil {
		id = "clue " + b.clue.ID
	}
	return fmt.Sprint(id, b.bound)
}

// bearings lists all rules and clues that bear on a fact: rules that fire by
// round, open ones, those known not to fire, each by id and parts; then clues.
func (w *world) bearings(f fact) (out []*bearing) {
	h := w.heads[f.Prop]
	if h == nil {
		return nil
	}
	rulesOf := func(uses []use, outs bool) {
		for _, u := range uses {
			for _, bound := range w.bindings(u.rule.Each, u.rule.If, u.name, f.Part) {
				b := &bearing{rule: u.rule, set: u.set, outs: outs, bound: bound}
				if b.state, b.round = w.rule(u.rule, bound); u.set != nil {
					_, b.state, b.round = w.setBy(u, bound)
				}
				if b.state != truth.True {
					b.round = 0
				}
				out = append(out, b)
			}
		}
	}
	rulesOf(h.then, false)
	rulesOf(h.outs, true)
	rulesOf(h.sets, false)
	order := map[truth.Truth]int{truth.True: 0, truth.Unknown: 1, truth.False: 2}
	slices.SortStableFunc(out, func(a, b *bearing) int {
		return cmp.Or(cmp.Compare(order[a.state], order[b.state]), cmp.Compare(a.round, b.round),
			cmp.Compare(a.rule.Index, b.rule.Index), slices.Compare(a.bound, b.bound))
	})
	for _, clue := range h.clues {
		for _, bound := range w.bindings(clue.Each, clue.If, clue.Cause.Var, f.Part) {
			b := &bearing{clue: clue, bound: bound, state: truth.True}
			for _, c := range clue.If {
				b.state = truth.And(b.state, place{w, bound, nil}.truth(c.Root))
			}
			if s := w.sums[f]; s != nil {
				for _, it := range s.clues {
					if it.clue == clue && slices.Equal(it.bound, bound) {
						b.spoken, b.round = it, it.round+1
					}
				}
			}
			out = append(out, b)
		}
	}
	return out
}

// replay holds one step to what is so.
func (k *Checker) replay(s *step) {
	at := fmt.Sprintf("steps[%d]", k.step-1)
	if s.Sort == "remedy" {
		k.remedy(at, s)
		return
	}
	part, ok := k.w.f.Find(s.Part)
	if !ok {
		k.fault(at+".part", "there is no part %q", s.Part)
		return
	}
	if s.Property == "verdict" {
		k.verdict(at, s, part)
		return
	}
	p := k.w.f.Parts[part].Kind.Property(s.Property)
	if p == nil || !isHead(p) {
		k.fault(at+".property", "nothing of the name %q is concluded of %s", s.Property, s.Part)
		return
	}
	f := fact{Part: part, Prop: p}
	k.same(at, *s, k.finding(f), "ways", "left", "think", "remedies", "missing")
	k.remedies(at, s, f)
	all := k.w.bearings(f)
	k.ways(at, s, all, func(b *bearing) truth.Truth { return k.tells(b, f) })
	if len(s.Missing) > 0 {
		k.fault(at+".missing", "only a verdict names what is missing")
	}
}

// finding is what a step of a finding, number or level of a verdict tells of
// itself.
func (k *Checker) finding(f fact) step {
	w, p := k.w, f.Prop
	certain, prob, decided := w.certainty(f)
	s := step{
		Fact: w.factID(f), Part: w.partID(f.Part), Property: p.ID, Name: w.factName(f), State: w.state[f].String(),
		Certain: certain, About: p.About, Source: p.Source, RuledOut: w.out[f] == truth.True,
		Because: w.because(f), Conflicts: w.conflicts(f), Round: w.round[f],
	}
	switch {
	case p.Role == vocab.Computed:
		s.Sort, s.Answer = "number", notKnown
		if n, ok := w.calc[f]; ok {
			s.Number = w.quantity(n, p)
			s.State, s.Answer = "true", s.Number.Text+plus(s.Number)
		}
		if o := w.f.Lookup(f.Part, p); o != nil {
			r := w.read(f)
			s.Observed = &r
			if s.Number == nil && o.Value.Looked == vocab.Told {
				s.State, s.Answer = "true", r.Value
			}
		}
		for _, b := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
			if q := p.Kind.BoundOf(p, b); q != nil {
				if o := w.f.Layout.Lookup(f.Part, q); o != nil {
					s.Limits = append(s.Limits, bounded{vocab.BoundNames[b], *w.quantity(o.Value.Number, p), o.Whose})
				}
			}
		}
	case p.Role == vocab.Verdict:
		s.Sort, s.Level = "verdict", p.Level.String()
		s.Answer = w.partName(f.Part) + ": " + p.Level.String() + ", " + stateWords(w.state[f])
	default:
		s.Sort = map[vocab.Role]string{vocab.Damage: "damage", vocab.Cause: "cause"}[p.Role]
		s.Answer = w.sure(f)
		if !certain && (decided || prob > 0) {
			s.Probability, s.Word = prob, word(prob)
		}
	}
	if h := w.heads[p]; h != nil && len(h.clues) > 0 {
		s.Sum = w.adds(f, certain, prob)
	}
	return s
}

// adds is how the evidence for a finding adds up.
func (w *world) adds(f fact, certain bool, prob float64) *sum {
	s, prior := w.sums[f], f.Prop.HowCommon
	start := int64(0)
	if prior > 0 && prior < 1 {
		start = weightOf(prior/(1-prior), 1)
	}
	if certain || !s.decided && prob == 0 {
		prob = rivalProbabilities([]float64{prior}, []float64{float64(s.sum)})[0]
	}
	out := &sum{
		HowCommon: prior, Start: decibans(start), Counted: decibans(s.sum), CountedDB: float64(s.sum) / unit, Total: decibans(start + s.sum),
		Probability: prob, Word: word(prob), Odds: odds(prob), Decided: s.decided, Settled: certain, Inexact: s.inexact,
	}
	for _, r := range w.heads[f.Prop].rivals {
		for _, g := range w.groups(r) {
			for _, o := range g {
				if o != f && slices.Contains(g, f) {
					_, p, _ := w.certainty(o)
					out.Rivals = append(out.Rivals, rival{w.factID(o), w.factName(o), r.ID, p, w.state[o].String()})
				}
			}
		}
	}
	return out
}

// because is the sentence of the first rule that fires, else the mechanism of
// the weightiest clue that counts for it.
func (w *world) because(f fact) string {
	var best *bearing
	for _, b := range w.bearings(f) {
		if b.rule != nil && b.state == truth.True && !b.outs && b.rule.Because != nil {
			return place{w, b.bound, nil}.say(b.rule.Because)
		}
		if it := b.spoken; it != nil && it.counted && it.weight > 0 && (best == nil || it.weight > best.spoken.weight) {
			best = b
		}
	}
	if best != nil {
		return best.clue.Mechanism
	}
	return ""
}

// tells says which rules and clues a step tells in full: whynot all of them; why
// those that made it what it is, of a thing not held all that might have. Unknown
// is a rule that may be left out: one that fires later than the fact came, and
// so perhaps because of it.
func (k *Checker) tells(b *bearing, f fact) truth.Truth {
	state := k.w.state[f]
	switch {
	case b.clue != nil:
		return truth.Of(!slices.ContainsFunc(b.clue.If, func(c *condition.Condition) bool {
			return place{k.w, b.bound, nil}.truth(c.Root) == truth.False
		}))
	case k.x.Question == "whynot":
		return truth.True
	case b.outs:
		return truth.Of(b.state == truth.True || state == truth.Unknown && b.state == truth.Unknown)
	case state == truth.True && b.state == truth.True && b.round > k.w.round[f]:
		return truth.Unknown
	case state == truth.True || f.Prop.Role == vocab.Computed && b.state == truth.True:
		return truth.Of(b.state == truth.True)
	case state == truth.Unknown:
		return truth.Of(b.state != truth.False)
	}
	return truth.True
}

// mostTold is how many ways a step tells at most.
const mostTold = 60

// ways holds the ways told to those that bear on a step: each told once, none
// made up, and those not told counted.
func (k *Checker) ways(at string, s *step, all []*bearing, tells func(*bearing) truth.Truth) {
	byKey := map[string]*bearing{}
	must, may, rest := 0, 0, left{}
	for _, b := range all {
		byKey[b.key()] = b
		switch tells(b) {
		case truth.True:
			must++
		case truth.Unknown:
			may++
		}
	}
	told := map[*bearing]int{}
	for i := range s.Ways {
		v, where := &s.Ways[i], fmt.Sprintf("%s.ways[%d]", at, i)
		b := byKey[k.keyOf(v)]
		switch {
		case b == nil:
			k.fault(where, "no such rule or clue bears on %s", s.Fact)
			continue
		case told[b] > 0:
			k.fault(where, "is told twice")
		case tells(b) == truth.False:
			k.fault(where, "does not belong to the answer")
		}
		told[b] = i + 1
	}
	for _, b := range all {
		switch {
		case told[b] > 0:
		case b.state == truth.True:
			rest.Fire++
		case b.state == truth.False:
			rest.Not++
		default:
			rest.Unknown++
		}
	}
	k.same(at+".left", s.Left, rest)
	if n := len(told); n < min(must, mostTold) || n > min(must+may, mostTold) {
		k.fault(at+".ways", "%d are told, %d belong to the answer", n, must)
	}
	for b, n := range told {
		v, where := &s.Ways[n-1], fmt.Sprintf("%s.ways[%d]", at, n-1)
		so := k.way(b)
		if it := b.spoken; it != nil && it.through != nil && it.weight != 0 {
			so.Through = it.through.clue.ID
			for o, m := range told {
				if o.spoken == it.through {
					so.ThroughWay = m
				}
			}
		}
		k.same(where, *v, so, "why", "words", "comes", "step", "reads")
		for i, c := range v.conditions() {
			k.rests(fmt.Sprintf("%s condition %d", where, i), v, i, c, b)
		}
	}
}

func (k *Checker) keyOf(v *way) string {
	var bound []int32
	for _, b := range v.Bound {
		n, ok := k.w.f.Find(b.Part)
		if !ok {
			n = unknownPart
		}
		bound = append(bound, n)
	}
	id := "remedy"
	if v.Rule != "" {
		id = "rule " + v.Rule
	} else if v.Clue != "" {
		id = "clue " + v.Clue
	}
	return fmt.Sprint(id, bound)
}

// way is what a rule, clue or remedy tells of itself.
func (k *Checker) way(b *bearing) way {
	c := place{k.w, b.bound, nil}
	out := way{State: b.state.String(), Round: b.round}
	var each rules.Binding
	var ifs []*condition.Condition
	switch {
	case b.rule != nil:
		r := b.rule
		each, ifs = r.Each, r.If
		out.Rule, out.Because, out.How, out.Source = r.ID, c.say(r.Because), r.How, r.Source
		switch {
		case b.outs:
			out.Does = "rules_out"
		case b.set != nil:
			out.Does = "sets"
		case r.Level != vocab.NoWord:
			out.Does = "verdict"
		default:
			out.Does = "concludes"
		}
		for _, u := range r.Unless {
			t := c.truth(u.Root)
			out.Unless = append(out.Unless, c.tell(u))
			out.Assumed = out.Assumed || b.state == truth.True && t == truth.Unknown
		}
		if b.set != nil {
			s := c.tell(b.set)
			out.Sets = &s
		}
	case b.clue != nil:
		q := b.clue
		each, ifs = q.Each, q.If
		out.Clue, out.How, out.Source, out.Counts, out.Does = q.ID, q.Mechanism, q.Source, q.Counts, "speaks"
		s := c.tell(q.Sign)
		out.Sign, out.SignWords = &s, s.Plain
		out.WhenSo, out.Otherwise = often_(q, q.WhenSo, q.WhenSoWord), often_(q, q.Otherwise, q.OtherwiseWord)
		out.Lambda, out.Weight = 1, decibans(0)
		if it := b.spoken; it != nil {
			out.Lambda, out.Decibans, out.Weight, out.Counted = ratio(it.lambda), float64(it.weight)/unit, decibans(it.weight), it.counted
			for _, o := range it.rests {
				obs := &k.w.f.Observations[o]
				out.Rests = append(out.Rests, k.w.factID(fact{Part: obs.Part, Prop: obs.Prop}))
			}
		}
	default:
		each, ifs, out.Does = b.remedy.Each, b.remedy.If, "calls"
	}
	for i, e := range each {
		out.Bound = append(out.Bound, bound{e.ID, k.w.partID(b.bound[i])})
	}
	for _, i := range ifs {
		out.If = append(out.If, c.tell(i))
	}
	return out
}

func often_(q *rules.Clue, values []float64, word string) (out []often) {
	for i, v := range values {
		o := often{Value: v, Word: word}
		if len(values) > 1 {
			o.Choice = q.Sign.Root.Type.Prop.Choices[i]
		}
		out = append(out, o)
	}
	return out
}

// tell is what a condition tells of itself, what it reads aside.
func (c place) tell(k *condition.Condition) cond {
	out := cond{Text: k.Text, Here: c.here(k, k.Root), Plain: c.plain(k.Root)}
	if k.Root.Type.K == condition.KBool {
		out.State = c.truth(k.Root).String()
	} else {
		out.Value = c.valueOf(k.Root)
	}
	var t trace
	t.node(c, k.Root, true)
	out.AndMore = t.more
	for i := range t.compared {
		out.Compared = append(out.Compared, t.compared[i].told(k))
	}
	return out
}

// rests checks what a condition reads, and that what decides it is told in a
// step: one of the same state, and of what fires one of an earlier round.
func (k *Checker) rests(where string, v *way, i0 int, c *cond, b *bearing) {
	root := k.conditionOf(b, c)
	if root == nil {
		return // told already
	}
	at := place{k.w, b.bound, nil}
	var t trace
	t.node(at, root.Root, true)
	k.reason(where, c, at, root.Root, &t)
	if len(c.Reads) != len(t.reads) {
		k.fault(where+".reads", "%d are told, %d are read", len(c.Reads), len(t.reads))
		return
	}
	for i := range c.Reads {
		r, f := &c.Reads[i], t.reads[i].fact
		so := k.w.read(f)
		so.Decides = t.reads[i].decides
		here := fmt.Sprintf("%s.reads[%d]", where, i)
		k.same(here, *r, so, "step")
		_, given := k.w.value(f)
		stands := f.Prop.Role.Concluded() || f.Prop.Role == vocab.Computed && !given
		if r.Step == 0 {
			// Whynot need not go down what holds; a rule known to fail not what
			// does not make it fail.
			aside := k.x.Question == "whynot" && c.State == "true" ||
				v.State == "false" && b.clue == nil && (c.State != "false" || i0 >= len(v.If))
			if stands && r.Decides && !aside {
				k.fault(here+".step", "%s decides it and no step tells it", r.Fact)
			}
			continue
		}
		if !stands || r.Step < 0 || r.Step > len(k.x.Steps) {
			k.fault(here+".step", "no step tells %s", r.Fact)
			continue
		}
		on := &k.x.Steps[r.Step-1]
		if on.Fact != r.Fact || f.Prop.Role.Concluded() && on.State != r.State {
			k.fault(here+".step", "step %d tells %s: %s, not %s: %s", r.Step, on.Fact, on.State, r.Fact, r.State)
		}
		if b.rule != nil && v.State == "true" && r.Decides && on.State == "true" && on.Round >= v.Round {
			k.fault(here+".step", "it rests on step %d, which comes no earlier", r.Step)
		}
	}
}

func (k *Checker) conditionOf(b *bearing, c *cond) *condition.Condition {
	var all []*condition.Condition
	switch {
	case b.rule != nil:
		all = append(slices.Concat(b.rule.If, b.rule.Unless), b.set)
	case b.clue != nil:
		all = append(slices.Clone(b.clue.If), b.clue.Sign)
	default:
		all = b.remedy.If
	}
	for _, o := range all {
		if o != nil && o.Text == c.Text {
			return o
		}
	}
	return nil
}

// reasons are the codes of why something is unknown, with their words.
var reasons = map[string]string{
	"not_looked": "nobody has looked", "could_not_tell": "looked at, could not tell", "partly_known": "what is told leaves it open",
	"within_u": "undecided at this uncertainty", "no_member": "there is no such part here", "no_reference": "it has none here",
	"stood_back": "an exception holds it back", "open": "what it rests on is not known",
	"out_of_domain": "the table or formula does not reach so far", "in_conflict": "what it rests on is in conflict",
	"nothing_concludes": "no rule or clue of this pack could tell", "": notKnown,
}

// reason checks that the reason told for what is unknown is one of those there
// are.
func (k *Checker) reason(where string, c *cond, at place, e *condition.Expr, t *trace) {
	unknown := c.State == "unknown" || e.Type.K != condition.KBool && c.Value == notKnown
	comes := at.plain(e)
	switch {
	case unknown:
		comes += ": " + c.Words
	case c.State == "false":
		comes = at.denied(e)
	}
	k.same(where+".comes", c.Comes, comes)
	if !unknown {
		if c.Why != "" || c.Words != "" {
			k.fault(where+".why", "a reason is given for what is known")
		}
		return
	}
	words, ok := reasons[c.Why]
	if !ok || words != c.Words {
		k.fault(where+".words", "%q are no words for %q", c.Words, c.Why)
	}
	plain := false
	switch c.Why {
	case "within_u":
		for _, m := range t.compared {
			plain = plain || m.at.compare(m.e).withinU
		}
	case "not_looked", "could_not_tell", "open", "in_conflict", "nothing_concludes":
		for _, r := range t.reads {
			plain = plain || k.reasonOf(r.fact) == c.Why
		}
	default:
		plain = true
	}
	if !plain {
		k.fault(where+".why", "%q is no reason here", c.Why)
	}
}

// reasonOf is why a fact is unknown, as a code; "" if it is known.
func (k *Checker) reasonOf(f fact) string {
	w, h := k.w, k.w.heads[f.Prop]
	if h == nil {
		if _, known := w.value(f); known {
			return ""
		}
		return w.read(f).From
	}
	_, computed := w.calc[f]
	if _, given := w.value(f); given || computed || w.state[f] != truth.Unknown {
		return ""
	}
	switch {
	case w.clash[f]:
		return "in_conflict"
	case len(h.then)+len(h.sets)+len(h.clues) == 0:
		return "nothing_concludes"
	}
	return "open"
}

// remedies checks what is to be done for a fact that is asked for.
func (k *Checker) remedies(at string, s *step, f fact) {
	var so []string
	if slices.Contains(k.x.Asked, k.step) {
		for _, m := range k.w.pack.Remedies {
			for _, b := range k.due(m) {
				c, for_ := place{k.w, b.bound, nil}, false
				for _, cond := range m.If {
					var t trace
					t.node(c, cond.Root, true)
					for_ = for_ || slices.ContainsFunc(t.reads, func(r traced) bool { return r.fact == f })
				}
				if title := c.say(m.Title); for_ && b.state == truth.True && !slices.Contains(so, title) {
					so = append(so, title)
				}
			}
		}
	}
	told := slices.Sorted(slices.Values(s.Remedies))
	slices.Sort(so)
	k.same(at+".remedies", told, so)
}

// due lists the parts for which a remedy is not known to be out of place.
func (k *Checker) due(m *rules.Remedy) (out []*bearing) {
	for _, part := range k.w.f.OfKind[m.Each[0].Kind.Index] {
		for _, bound := range k.w.bindings(m.Each, m.If, 0, part) {
			state := truth.True
			for _, c := range m.If {
				state = truth.And(state, place{k.w, bound, nil}.truth(c.Root))
			}
			if state != truth.False {
				out = append(out, &bearing{remedy: m, bound: bound, state: state})
			}
		}
	}
	return out
}

// remedy replays a step that tells a remedy.
func (k *Checker) remedy(at string, s *step) {
	i := slices.IndexFunc(k.w.pack.Remedies, func(m *rules.Remedy) bool { return m.ID == s.Fact })
	if i < 0 {
		k.fault(at+".fact", "there is no remedy %q", s.Fact)
		return
	}
	m := k.w.pack.Remedies[i]
	so := step{Fact: m.ID, Name: m.ID, Sort: "remedy", State: "false", Answer: "not due", Source: m.Source}
	all := k.due(m)
	told := map[string]bool{}
	some := false // due for some parts; then those for which it is open are not told
	for _, b := range all {
		some = some || b.state == truth.True
	}
	must := 0
	for _, b := range all {
		told[b.key()] = some == (b.state == truth.True)
		if told[b.key()] {
			must++
		}
	}
	if len(s.Ways) == 1 {
		for _, b := range all {
			if b.key() != k.keyOf(&s.Ways[0]) {
				continue
			}
			c := place{k.w, b.bound, nil}
			so.State, so.Answer = b.state.String(), "to be done"
			if b.state == truth.Unknown {
				so.Answer = "not known whether it is due"
			}
			so.Do = &doing{Title: c.say(m.Title), BeforeNewParts: m.BeforeNewParts, DoNotRunUntil: c.say(m.DoNotRunUntil), ShowsItWorked: c.say(m.ShowsItWorked)}
			so.Name = so.Do.Title
			for _, t := range m.Do {
				so.Do.Steps = append(so.Do.Steps, c.say(t))
			}
			for _, t := range m.Cautions {
				so.Do.Cautions = append(so.Do.Cautions, t.Text)
			}
		}
		k.ways(at, s, all, func(b *bearing) truth.Truth { return truth.Of(told[b.key()] && b.key() == k.keyOf(&s.Ways[0])) })
	} else if len(s.Ways) > 1 || len(all) > 0 {
		k.fault(at+".ways", "a remedy is told once for each set of parts it is due for")
	}
	k.same(at, *s, so, "ways", "left", "think")
	n := 0
	for i := range k.x.Steps {
		if k.x.Steps[i].Sort == "remedy" && k.x.Steps[i].Fact == m.ID {
			n++
		}
	}
	if n != max(must, 1) {
		k.fault(at, "the remedy is told for %d sets of parts, it is due for %d", n, must)
	}
}

// verdict replays a step that tells what becomes of a part.
func (k *Checker) verdict(at string, s *step, part int32) {
	w := k.w
	v, ok := w.verdictOf(part)
	if !ok {
		k.fault(at, "no rule says what becomes of %s", s.Part)
		return
	}
	so := step{
		Fact: w.partID(part) + ".verdict", Part: w.partID(part), Property: "verdict", Name: w.partName(part), Sort: "verdict",
		State: "true", Level: v.level.String(), Answer: v.level.String(),
	}
	var all []*bearing
	level := map[*bearing]vocab.Level{}
	for l := vocab.Replace; l >= vocab.Refit; l-- {
		p := w.f.Parts[part].Kind.Property(vocab.VerdictID(l))
		if p == nil {
			continue
		}
		f := fact{Part: part, Prop: p}
		so.Conflicts = append(so.Conflicts, w.conflicts(f)...)
		for _, b := range w.bearings(f) {
			all, level[b] = append(all, b), l
		}
		if l == v.level && w.state[f] == truth.True {
			so.Because, so.Round = w.because(f), w.round[f]
		}
	}
	for _, f := range v.missing {
		so.Missing = append(so.Missing, w.wanting(f))
	}
	for i := range w.f.Decisions {
		if d := &w.f.Decisions[i]; d.Part == part {
			so.Decision = d.Level.String()
			if d.Written != nil && d.Written.By != "" {
				so.Decision += ", by " + d.Written.By
			}
			if d.Written != nil && d.Written.Because != "" {
				so.Decision += ": " + d.Written.Because
			}
		}
	}
	k.same(at, *s, so, "ways", "left", "think")
	k.ways(at, s, all, func(b *bearing) truth.Truth {
		switch l := level[b]; {
		case l == v.level:
			return truth.Of(b.state == truth.True)
		case v.level == vocab.Refit:
			return truth.Of(l > vocab.Refit)
		default:
			return truth.Of(l > v.level && b.state == truth.Unknown)
		}
	})
}

// conflicts words what is at odds about a fact.
func (w *world) conflicts(f fact) (out []string) {
	h := w.heads[f.Prop]
	if h == nil || !w.clash[f] {
		return nil
	}
	name := w.factName(f)
	if f.Prop.Role == vocab.Computed {
		words := func(b *bearing) string {
			n, _, _ := w.setBy(use{rule: b.rule, set: b.set}, b.bound)
			return numberWords(n, condition.Type{Prop: f.Prop})
		}
		var set []*bearing
		for _, b := range w.bearings(f) {
			if b.state == truth.True {
				set = append(set, b)
			}
		}
		slices.SortStableFunc(set, func(a, b *bearing) int {
			return cmp.Or(cmp.Compare(a.rule.Index, b.rule.Index), slices.Compare(a.bound, b.bound))
		})
		type pair struct{ a, b *bearing }
		var pairs []pair
		for i, b := range set {
			for _, a := range set[:i] {
				x, _, _ := w.setBy(use{rule: a.rule, set: a.set}, a.bound)
				if y, _, _ := w.setBy(use{rule: b.rule, set: b.set}, b.bound); !w.agree(x, y) {
					pairs = append(pairs, pair{a, b})
				}
			}
		}
		slices.SortStableFunc(pairs, func(p, q pair) int {
			return cmp.Or(strings.Compare(p.a.rule.ID, q.a.rule.ID), strings.Compare(p.b.rule.ID, q.b.rule.ID))
		})
		for _, p := range pairs {
			out = append(out, fmt.Sprintf("%s comes out as %s and as %s (%s, %s): taken as not known", name, words(p.a), words(p.b), p.a.rule.ID, p.b.rule.ID))
		}
		if v, given := w.value(f); given && len(pairs) == 0 {
			out = append(out, fmt.Sprintf("%s was observed as %s and works out as %s (%s): the observed value is used",
				name, w.shown(f.Prop, v), words(set[0]), set[0].rule.ID))
		}
		return out
	}
	firing := func(uses []use) (ids []string) {
		for _, u := range uses {
			if w.ruleFor(u, f) == truth.True {
				ids = append(ids, u.rule.ID)
			}
		}
		return ids
	}
	then, outs := firing(h.then), firing(h.outs)
	by := strings.Join(append(then, outs...), ", ")
	if len(then) > 0 && len(outs) > 0 {
		out = append(out, name+" is concluded and ruled out at once ("+by+"): taken as not known")
	}
	if s := w.sums[f]; s != nil && (len(then) > 0 && s.state == truth.False || len(then) == 0 && s.state == truth.True) {
		out = append(out, name+" holds by a rule though its clues alone would exclude it ("+by+")")
	}
	return out
}
