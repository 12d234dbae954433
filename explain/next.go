package explain

import (
	"cmp"
	"math"
	"slices"

	"whyworn/engine/record"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Look is a question worth asking next.
type Look struct {
	Ask record.FactID // the property to look at
	// Gain is the mutual information between causes and answer, in bits, summed
	// over the open causes; Rate is Gain for each minute of looking.
	Gain, Rate float64
	Minutes    float64
	NowOrNever bool            // the next step of stripping or cleaning destroys it
	Settles    []record.FactID // causes it speaks to, the most first
	Decides    []record.FactID // those of them that one answer to it settles
	Verdict    []int32         // parts whose verdict waits for it
	// Finer is set where it is known, but too coarsely: the standard uncertainty
	// that would decide, in base units.
	Finer float64

	bits []float64 // of each of Settles
}

// Next lists the looks worth most for each minute, at most limit (0 = all).
// What is lost with the next step comes first; no look stands before one of an
// earlier stage that it would put out of reach. What would only have to be
// measured again, finer, comes after what nobody has looked at, and not at all
// on a part that goes out. What shows only while it runs is not asked of a machine
// that must not run.
//
// For each property not yet known, or known too coarsely, the answers are the
// regions between the thresholds and choices that conditions read. Each answer
// is tried on a session of the engine; a clue that it decides is a channel from
// cause to answer with the clue's own frequencies:
//
//	I(C;A) = Σ_a [ π·P(a|c)·log2(P(a|c)/P(a)) + (1−π)·P(a|¬c)·log2(P(a|¬c)/P(a)) ]
//
// with π the present probability of the cause and P(a) = π·P(a|c) + (1−π)·P(a|¬c).
// Of the clues of one cause that a property decides, the heaviest counts. A
// threshold on a computed number is tried on the number itself; where several
// sizes behind it are still to be measured, each has an equal share. Where one
// of m members of a list decides a sign, a member shows it with probability
// 1 − (1 − P)^(1/m): all m alike and independent.
//
// Source: C. E. Shannon, A Mathematical Theory of Communication (1948), for
// mutual information; common practice, no source, for summing over causes.
func (c *Case) Next(limit int) []Look {
	a := &asker{Case: c, looks: map[record.FactID]*Look{}, by: map[record.FactID]map[record.FactID]float64{},
		decides: map[record.FactID]map[record.FactID]bool{}}
	a.channels()
	a.try()
	a.weigh()
	a.verdicts()
	out := make([]Look, 0, len(a.looks))
	stopped := c.mustNotRun()
	for _, l := range a.looks {
		if p := l.Ask.Prop; stopped && p.Stage == vocab.Running && !p.OnPaper && !p.Standing {
			continue // nobody starts it to look
		}
		if l.Finer > 0 && a.goesOut(l.Ask.Part) {
			continue // nobody measures scrap again
		}
		if l.Gain > leastGain || len(l.Verdict) > 0 {
			l.Rate = l.Gain / l.Minutes
			a.order(l)
			out = append(out, *l)
		}
	}
	slices.SortFunc(out, func(x, y Look) int {
		return cmp.Or(cmp.Compare(b2i(y.NowOrNever), b2i(x.NowOrNever)), cmp.Compare(a.closes(x), a.closes(y)), cmp.Compare(b2i(x.Finer > 0), b2i(y.Finer > 0)), cmp.Compare(round(y.Rate), round(x.Rate)),
			cmp.Compare(len(y.Verdict), len(x.Verdict)), cmp.Compare(x.Minutes, y.Minutes), x.Ask.Compare(y.Ask))
	})
	if limit > 0 && len(out) > limit {
		out = out[:limit]
	}
	return out
}

// leastGain is a gain too small to send anybody looking, in bits.
const leastGain = 1e-6

// round makes equal gains equal whatever order they were summed in.
func round(x float64) float64 { return math.Round(x*1e9) / 1e9 }

// FinerWords says how finely a look would have to be measured again; "" if it
// has not been measured yet.
func FinerWords(l *Look) string {
	if !(l.Finer > 0) {
		return ""
	}
	return "standard uncertainty of " + words.Enough(l.Finer, l.Ask.Prop.Unit) + " or less in all"
}

type asker struct {
	*Case
	looks  map[record.FactID]*Look
	by     map[record.FactID]map[record.FactID]float64 // gain of an ask, by cause
	open   []*channel
	pivots []*pivot
	users  map[*pivot][]*channel
	// decides holds, for an ask, the causes that one answer to it settles.
	decides map[record.FactID]map[record.FactID]bool
}

// channel is a clue or rule that is not decided, between a cause and what can
// be looked at.
type channel struct {
	cause record.FactID
	prior float64 // present probability of the cause
	way   *record.Way
	// p and q give how often each outcome of the sign shows with the cause and
	// without it: no and yes, or one for each choice.
	p, q []float64
	// decided counts, for each outcome, the pivots of which one answer alone
	// brings it about; by lists the outcomes each pivot can bring about.
	decided []int
	by      map[*pivot]outcomes
	pivots  []*pivot
}

// outcomes is the set of outcomes that the answers of one pivot bring about.
type outcomes struct {
	set  uint64
	open bool // some answer decides nothing
}

// unknownPrior stands for a cause that only rules conclude and whose author
// did not say how common it is.
const unknownPrior = 0.05

// A rule that fires proves its cause; it is taken to fire for most of the
// cases with the cause, and hardly ever without it. Common practice, no source.
const ruleWhenSo, ruleOtherwise = 0.9, 0.01

// channels gathers the undecided clues and rules of the open causes.
func (a *asker) channels() {
	a.users = map[*pivot][]*channel{}
	shared := map[record.FactID]*pivot{}
	for _, k := range a.Pack.Vocabulary.Kinds {
		for _, q := range k.Properties {
			if q.Role != vocab.Cause {
				continue
			}
			for _, part := range a.Facts.OfKind[k.Index] {
				f := a.Result.Fact(part, q)
				if f.State != truth.Unknown || f.Conflict {
					continue
				}
				prior := f.Probability
				if !(prior > 0) {
					prior = cmp.Or(q.HowCommon, unknownPrior)
				}
				id := record.FactID{Part: part, Prop: q}
				ways := a.Ways(id)
				for i := range ways {
					if h := a.channel(id, prior, &ways[i]); h != nil {
						a.join(h, shared)
					}
				}
			}
		}
	}
	for _, v := range shared {
		a.pivots = append(a.pivots, v)
	}
	slices.SortFunc(a.pivots, func(x, y *pivot) int { return x.id.Compare(y.id) })
}

func (a *asker) channel(cause record.FactID, prior float64, w *record.Way) *channel {
	h := &channel{cause: cause, prior: min(max(prior, 1e-6), 1-1e-6), way: w, by: map[*pivot]outcomes{}}
	switch {
	case w.Clue != nil && (w.State == truth.False || w.Weight != 0 || w.Sign.State.Known()):
		return nil // decided already, or it does not apply
	case w.Clue != nil && len(w.Clue.WhenSo) == 1:
		h.p, h.q = []float64{1 - w.Clue.WhenSo[0], w.Clue.WhenSo[0]}, []float64{1 - w.Clue.Otherwise[0], w.Clue.Otherwise[0]}
	case w.Clue != nil:
		h.p, h.q = w.Clue.WhenSo, w.Clue.Otherwise
	case w.State == truth.Unknown && len(w.Rule.Then) > 0:
		h.p, h.q = []float64{1 - ruleWhenSo, ruleWhenSo}, []float64{1 - ruleOtherwise, ruleOtherwise}
	default:
		return nil
	}
	h.decided = make([]int, len(h.p))
	return h
}

// join finds the pivots of a channel; pivots of one fact are shared by all
// channels, with the answers that any of them can tell apart.
func (a *asker) join(h *channel, shared map[record.FactID]*pivot) {
	p := a.prober(false)
	for _, v := range p.behind(h.way) {
		if v.known && !p.again(v) {
			continue
		}
		s := shared[v.id]
		if s == nil {
			s = v
			shared[v.id] = v
		} else {
			s.join(v)
		}
		h.pivots = append(h.pivots, s)
		a.users[s] = append(a.users[s], h)
	}
	if len(h.pivots) > 0 {
		a.open = append(a.open, h)
	}
}

// join adds the regions of another pivot of the same fact.
func (v *pivot) join(o *pivot) {
	if v.id.Prop.Type == vocab.YesNo || v.id.Prop.Type == vocab.Choice {
		return
	}
	for _, n := range o.answers {
		if !slices.ContainsFunc(v.answers, func(m answer) bool { return m.from == n.from && m.to == n.to }) {
			v.answers = append(v.answers, n)
		}
	}
}

// try tries every answer of every pivot once and notes what it decides.
func (a *asker) try() {
	t := a.trials()
	for _, v := range a.pivots {
		for i := range v.answers {
			t.set(v.id, &v.answers[i])
			t.run()
			for _, h := range a.users[v] {
				a.settles(v, h.cause, t)
				k := h.outcome(t)
				o := h.by[v]
				if k >= 0 {
					o.set |= 1 << k
				} else {
					o.open = true
				}
				h.by[v] = o
			}
		}
		t.restore(v.id)
	}
	for _, h := range a.open {
		for _, v := range h.pivots {
			for k := range h.decided {
				if h.by[v].set&(1<<k) != 0 {
					h.decided[k]++
				}
			}
		}
	}
}

// settles notes that an answer now tried on the session settles a cause, if
// one look gives that answer.
func (a *asker) settles(v *pivot, cause record.FactID, t *trials) {
	if len(v.asks) != 1 || !t.session.State(cause.Part, cause.Prop).Known() {
		return
	}
	ask := v.asks[0]
	if a.decides[ask] == nil {
		a.decides[ask] = map[record.FactID]bool{}
	}
	a.decides[ask][cause] = true
}

// outcome is what the sign of a channel is on the session: 0 or 1 for no and
// yes, the rank of a choice, -1 if it stays open.
func (h *channel) outcome(t *trials) int {
	if h.way.Rule != nil {
		state := truth.True
		for _, c := range h.way.Rule.If {
			s, _ := t.session.Decide(c, h.way.Bound)
			state = truth.And(state, s)
		}
		return outcomeOf(state)
	}
	sign := h.way.Clue.Sign
	state, mask := t.session.Decide(sign, h.way.Bound)
	if sign.Root.Type.K == condition.KBool {
		return outcomeOf(state)
	}
	v := vocab.Value{Looked: vocab.Told, Mask: mask}
	return v.One()
}

func outcomeOf(t truth.Truth) int {
	switch t {
	case truth.False:
		return 0
	case truth.True:
		return 1
	}
	return -1
}

// weigh adds up the gains.
func (a *asker) weigh() {
	for _, h := range a.open {
		some := false
		for _, v := range h.pivots {
			if h.by[v].set == 0 {
				continue
			}
			some = true
			a.gain(h.cause, v.asks, h.information(v), v.finer)
		}
		if !some {
			a.together(h)
		}
	}
	for ask, causes := range a.by {
		l := a.look(ask)
		ids := make([]record.FactID, 0, len(causes))
		for id := range causes {
			ids = append(ids, id)
		}
		slices.SortFunc(ids, record.FactID.Compare)
		for _, id := range ids {
			l.Gain += causes[id]
		}
	}
}

// mostTogether is how many looks may be needed for one sign for each to be
// worth sending anybody.
const mostTogether = 4

// together shares the gain of a sign that no one look decides among the few
// that decide it together.
func (a *asker) together(h *channel) {
	var asks []record.FactID
	for _, v := range h.pivots {
		for _, ask := range v.asks {
			if !slices.Contains(asks, ask) {
				asks = append(asks, ask)
			}
		}
	}
	if len(asks) > mostTogether {
		return
	}
	sum := 0.0
	for k := range h.p {
		sum += information(h.prior, h.p[k], h.q[k])
	}
	a.gain(h.cause, asks, sum, 0)
}

// gain enters what looks are worth for one cause, in equal shares; of several
// clues the heaviest counts.
func (a *asker) gain(cause record.FactID, asks []record.FactID, bits, finer float64) {
	for _, ask := range asks {
		if a.by[ask] == nil {
			a.by[ask] = map[record.FactID]float64{}
		}
		a.by[ask][cause] = max(a.by[ask][cause], bits/float64(len(asks)))
		if l := a.look(ask); finer > 0 && (l.Finer == 0 || finer < l.Finer) {
			l.Finer = finer
		}
	}
}

// information is the mutual information between the cause of a channel and the
// answer to one pivot, in bits.
func (h *channel) information(v *pivot) float64 {
	o := h.by[v]
	sum := 0.0
	for k := range h.p {
		if o.set&(1<<k) == 0 {
			continue
		}
		p, q := h.p[k], h.q[k]
		if o.open {
			m := float64(max(1, h.decided[k]))
			p, q = 1-math.Pow(1-p, 1/m), 1-math.Pow(1-q, 1/m)
		}
		sum += information(h.prior, p, q)
	}
	return sum
}

// information is one answer's part of the mutual information, in bits.
func information(prior, p, q float64) float64 {
	all := prior*p + (1-prior)*q
	sum := 0.0
	if p > 0 {
		sum += prior * p * math.Log2(p/all)
	}
	if q > 0 {
		sum += (1 - prior) * q * math.Log2(q/all)
	}
	return sum
}

func (a *asker) look(ask record.FactID) *Look {
	l := a.looks[ask]
	if l == nil {
		p := ask.Prop
		l = &Look{Ask: ask, Minutes: p.Minutes, NowOrNever: nowOrNever(p, a.Stage)}
		if !(l.Minutes > 0) {
			l.Minutes = 1
		}
		a.looks[ask] = l
	}
	return l
}

// nowOrNever tells whether the next step of stripping or cleaning destroys a
// sign that can be had now.
func nowOrNever(p *vocab.Property, now vocab.Stage) bool {
	return p.Fleeting && p.Stage <= now && p.DestroyedBy > now && p.DestroyedBy <= now+1
}

// closes is the stage that a look takes the strip-down to, if that puts looks of
// an earlier stage out of reach: those worth having come before it.
func (a *asker) closes(l Look) vocab.Stage {
	return max(a.Stage, min(l.Ask.Prop.Stage, vocab.Cleaned))
}

// order puts the causes that a look speaks to in order of gain.
func (a *asker) order(l *Look) {
	for id, g := range a.by[l.Ask] {
		if g > leastGain {
			l.Settles = append(l.Settles, id)
		}
	}
	gains := a.by[l.Ask]
	slices.SortFunc(l.Settles, func(x, y record.FactID) int {
		return cmp.Or(cmp.Compare(round(gains[y]), round(gains[x])), x.Compare(y))
	})
	for _, id := range l.Settles {
		l.bits = append(l.bits, gains[id])
		if a.decides[l.Ask][id] {
			l.Decides = append(l.Decides, id)
		}
	}
	slices.Sort(l.Verdict)
}
