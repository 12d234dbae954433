package rules

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/condition"
	"whyworn/rules/frequency"
	"whyworn/rules/vocab"
)

// Codes of rules, clues, links and rivals.
var (
	OneConsequence = source.Declare("one-consequence", "a rule has none or several of then, rules_out, set and verdict")
	NotConcluded   = source.Declare("not-concluded", "a rule, clue or link concludes what is no finding, or a number that is not computed")
	UnknownName    = source.Declare("unknown-name", "a statement speaks of a name that its each does not bind")
	UnknownVerdict = source.Declare("unknown-verdict", "a verdict is none of replace, rework, inspect_further")
	TooManyNames   = source.Declare("too-many-names", "each binds no name, or too many")
	BadSum         = source.Declare("frequencies-sum", "the frequencies of the choices of a clue do not sum to 1, or miss a choice")
	EqualFrequency = source.Declare("frequencies-equal", "a clue's frequencies are equal, so that it says nothing")
	TooFewRivals   = source.Declare("too-few-rivals", "rivals are two or more causes")
	LinkToItself   = source.Declare("link-to-itself", "a link leads from a finding to the same finding of the same part")
	NoCondition    = source.Declare("no-condition", "a rule concludes without any condition")
)

const mostNames = 4

func (l *loader) conditions(nodes []*written.Node, scope *condition.Scope) []*condition.Condition {
	if len(nodes) == 0 || scope == nil {
		return nil
	}
	out := make([]*condition.Condition, 0, len(nodes))
	for _, n := range nodes {
		c, ps := condition.Parse(n, scope, condition.WantBool)
		l.ps.Add(ps...)
		if c != nil {
			out = append(out, c)
		}
	}
	return out
}

func (l *loader) template(n *written.Node, scope *condition.Scope) *condition.Template {
	if n == nil || scope == nil {
		return nil
	}
	t, ps := condition.ParseTemplate(n, scope)
	l.ps.Add(ps...)
	return t
}

func (l *loader) templates(nodes []*written.Node, scope *condition.Scope) []*condition.Template {
	var out []*condition.Template
	for _, n := range nodes {
		if t := l.template(n, scope); t != nil {
			out = append(out, t)
		}
	}
	return out
}

// heads reads what a statement concludes: findings only.
func (l *loader) heads(nodes []*written.Node, scope *condition.Scope, what string) []Head {
	var out []Head
	for _, n := range nodes {
		if h, ok := l.head1(n, scope); ok {
			if h.Prop.Role != vocab.Damage && h.Prop.Role != vocab.Cause {
				p := l.ps.Addf(NotConcluded, n.At, "%s: %s is no finding", what, h.Prop.Label())
				if h.Prop.Role == vocab.Computed {
					p.Hint("a number is set: set = { %q = \"…\" }", n.Text)
				} else if h.Prop.Role == vocab.Sign {
					p.Hint("signs are observed; declare what is concluded with [[finding]]")
				}
				continue
			}
			out = append(out, h)
		}
	}
	return out
}

func (l *loader) head1(n *written.Node, scope *condition.Scope) (Head, bool) {
	if n == nil {
		return Head{}, false
	}
	if scope == nil {
		l.perhapsSpokenFor(n.Text)
		return Head{}, false
	}
	v, p, ps := condition.ParseHead(n, scope)
	l.ps.Add(ps...)
	return Head{v, p}, p != nil
}

// perhapsSpokenFor takes a head whose names are not bound for one of any kind
// that has such a property.
func (l *loader) perhapsSpokenFor(head string) {
	_, id, _ := strings.Cut(head, ".")
	for _, k := range l.pack.Vocabulary.Kinds {
		if p := k.Property(id); p != nil {
			l.spokenFor = append(l.spokenFor, p)
		}
	}
}

func (l *loader) rule(n *written.Node) *Rule {
	before := len(l.ps)
	r := written.Open(n, &l.ps, "rule")
	t := &Rule{ID: l.id(r.Text("id", written.Required), "rule"), At: r.Place()}
	var scope *condition.Scope
	t.Each, scope = l.each(r, "rule")
	t.If = l.conditions(r.Strings("if"), scope)
	t.Unless = l.conditions(r.Strings("unless"), scope)
	then, out, set, verdict, of := r.Strings("then"), r.Strings("rules_out"), r.Table("set"), r.Text("verdict"), r.Text("of")
	t.Because = l.template(r.Text("because"), scope)
	t.Source, t.How = r.String("source"), r.String("how")
	r.Close()
	ways := 0
	for _, has := range []bool{then != nil, out != nil, set != nil, verdict != nil} {
		if has {
			ways++
		}
	}
	if ways != 1 {
		l.ps.Addf(OneConsequence, t.At, "rule %q has %d of then, rules_out, set and verdict; it must have one", t.ID, ways)
	}
	t.Then = l.heads(then, scope, "rule")
	for _, h := range t.Then {
		l.spokenFor = append(l.spokenFor, h.Prop)
	}
	t.RulesOut = l.heads(out, scope, "rule")
	if set != nil {
		for _, e := range set.Entries {
			if a, ok := l.assign(e, scope); ok {
				t.Set = append(t.Set, a)
			}
		}
	}
	switch {
	case verdict != nil:
		l.verdict(t, verdict, of)
	case of != nil:
		l.ps.Addf(written.UnknownKey, of.Key, "rule: \"of\" goes with verdict only")
	}
	if len(t.If) == 0 && set == nil && !r.Has("if") && len(l.ps) == before { // a misspelt if is told already
		l.ps.Addf(NoCondition, t.At, "rule %q concludes without any condition", t.ID).Hint("give it if = [\"…\"]")
	}
	l.tied("rule", t.At, t.Each, scope, t.If)
	return t
}

func (l *loader) assign(e written.Entry, scope *condition.Scope) (Assign, bool) {
	key := *e.Value
	key.Kind, key.Text, key.At, key.Key = written.String, e.Name, e.At, source.Span{}
	h, ok := l.head1(&key, scope)
	if !ok {
		return Assign{}, false
	}
	if h.Prop.Role != vocab.Computed {
		l.ps.Addf(NotConcluded, e.At, "rule: %s cannot be set, it is not declared with [[computed]]", h.Prop.Label())
		return Assign{}, false
	}
	if e.Value.Kind != written.String {
		l.ps.Addf(written.WrongKind, e.Value.At, "rule: set takes an expression in quotes, this is %s", e.Value.Kind)
		return Assign{}, false
	}
	c, ps := condition.ParseNumber(e.Value, scope, h.Prop) // scope is there where h is
	l.ps.Add(ps...)
	return Assign{h, c}, c != nil
}

var verdictLevels = map[string]vocab.Level{"replace": vocab.Replace, "rework": vocab.Rework, "inspect_further": vocab.InspectFurther}

func (l *loader) verdict(t *Rule, verdict, of *written.Node) {
	level, ok := verdictLevels[verdict.Text]
	if !ok {
		p := l.ps.Addf(UnknownVerdict, verdict.At, "rule: %q is no verdict a rule can give", verdict.Text).
			DidYouMean(verdict.Text, []string{"replace", "rework", "inspect_further"})
		if verdict.Text == "refit" {
			p.Hint("refit is never written: it is what remains when every rule for replace and rework is known not to hold")
		}
		return
	}
	if of == nil {
		l.ps.Addf(written.MissingKey, t.At, "rule: the key \"of\" is missing").Hint("say of which name the verdict is: of = \"seat\"")
		return
	}
	i := slices.IndexFunc(t.Each, func(e condition.EachName) bool { return e.ID == of.Text })
	if i < 0 && t.Each == nil {
		return // that each is missing is told
	}
	if i < 0 {
		var names []string
		for _, e := range t.Each {
			names = append(names, e.ID)
		}
		l.ps.Addf(UnknownName, of.At, "rule: each binds no name %q", of.Text).DidYouMean(of.Text, names)
		return
	}
	t.Level = level
	// The generated property is put in by settleVerdicts, when one goroutine has all rules.
	t.Then = []Head{{Var: i}}
}

// settleVerdicts gives each kind that has rules for verdicts a property for
// each level.
func (l *loader) settleVerdicts() {
	for _, t := range l.pack.Rules {
		if t.Level == vocab.NoWord || len(t.Then) == 0 {
			continue
		}
		k := t.Each[t.Then[0].Var].Kind
		id := vocab.VerdictID(t.Level)
		if k.Property(id) == nil {
			k.AddProperty(&vocab.Property{ID: id, Name: t.Level.String(), Type: vocab.YesNo, Role: vocab.Verdict, Level: t.Level})
		}
		t.Then[0].Prop = k.Property(id)
	}
}

func (l *loader) clue(n *written.Node) *Clue {
	r := written.Open(n, &l.ps, "clue")
	c := &Clue{At: r.Place()}
	id := r.Text("id")
	var scope *condition.Scope
	c.Each, scope = l.each(r, "clue")
	cause, sign := r.Text("cause", written.Required), r.Text("sign", written.Required)
	c.If = l.conditions(r.Strings("if"), scope)
	when, otherwise := r.Node("when_so", written.Required), r.Node("otherwise", written.Required)
	c.Mechanism, c.Source, c.Counts = r.String("mechanism"), r.String("source"), r.String("counts")
	r.Close()
	if cause == nil || sign == nil || when == nil || otherwise == nil {
		return nil
	}
	if id != nil {
		c.ID = l.id(id, "clue")
	} else {
		c.ID = slug(cause.Text + " by " + sign.Text)
	}
	heads := l.heads([]*written.Node{cause}, scope, "clue")
	if scope == nil {
		return nil
	}
	var ps source.Problems
	c.Sign, ps = condition.Parse(sign, scope, condition.WantSign)
	l.ps.Add(ps...)
	if len(heads) > 0 {
		l.spokenFor = append(l.spokenFor, heads[0].Prop)
	}
	if c.Sign == nil {
		return nil
	}
	c.WhenSoAt, c.OtherwiseAt = when.At, otherwise.At
	var choices []string
	if t := c.Sign.Root.Type; t.K == condition.KPick {
		choices = t.Prop.Choices
	}
	c.WhenSo, c.WhenSoWord = l.frequencies(when, choices)
	c.Otherwise, c.OtherwiseWord = l.frequencies(otherwise, choices)
	if len(heads) == 0 || len(c.WhenSo) == 0 || len(c.WhenSo) != len(c.Otherwise) {
		return nil
	}
	c.Cause = heads[0]
	if slices.Equal(c.WhenSo, c.Otherwise) {
		l.ps.Addf(EqualFrequency, otherwise.At, "clue: the sign shows as often without the cause as with it, so it says nothing").
			Beside(when.At, "when_so").Hint("leave the clue out, or give the frequencies as you know them")
		return nil
	}
	l.tied("clue", c.At, c.Each, scope, append(slices.Clone(c.If), c.Sign))
	return c
}

// slug makes an id of words.
func slug(text string) string {
	var b strings.Builder
	for _, c := range text {
		switch {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '_':
			b.WriteRune(c)
		case c >= 'A' && c <= 'Z':
			b.WriteRune(c - 'A' + 'a')
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.TrimRight(b.String(), "-")
}

// frequencies reads one frequency, or one for each choice.
func (l *loader) frequencies(n *written.Node, choices []string) ([]float64, string) {
	if choices == nil {
		f, word := l.frequency(n, "clue")
		if f == 0 {
			return nil, ""
		}
		return []float64{f}, word
	}
	if n.Kind != written.Table {
		l.ps.Addf(written.WrongKind, n.At, "clue: the sign is a choice, so it needs a frequency for each: { %s = 0.5, … }", choices[0])
		return nil, ""
	}
	if percent(n) {
		l.ps.Addf(BadSum, n.At, "clue: the frequencies are per cent, they must be parts of 1").Hint("5 percent is 0.05")
		return nil, ""
	}
	out := make([]float64, len(choices))
	sum, sound := 0.0, true
	for _, e := range n.Entries {
		i := slices.Index(choices, e.Name)
		if i < 0 {
			l.ps.Addf(BadSum, e.At, "clue: %q is none of the choices of the sign", e.Name).DidYouMean(e.Name, choices)
			continue
		}
		out[i], _ = l.frequency(e.Value, "clue")
		sum += out[i]
		sound = sound && out[i] > 0
	}
	for i, c := range choices {
		if out[i] == 0 && n.Get(c) == nil {
			l.ps.Addf(BadSum, n.At, "clue: the choice %q has no frequency", c).Hint("a choice that hardly ever shows has 0.01, say; together they make 1")
			return nil, ""
		}
	}
	if !sound {
		return nil, ""
	}
	if math.Abs(sum-1) > 1e-6 {
		l.ps.Addf(BadSum, n.At, "clue: the frequencies of the choices sum to %.6g, not to 1", sum)
		return nil, ""
	}
	return out, ""
}

// percent tells whether the frequencies of a table were written per cent.
func percent(n *written.Node) bool {
	sum := 0.0
	for _, e := range n.Entries {
		f, ok := e.Value.Float()
		if !ok {
			return false
		}
		sum += f
	}
	return sum > 99 && sum < 101
}

// frequency reads a number between 0 and 1 or a word of frequency.
func (l *loader) frequency(n *written.Node, what string) (float64, string) {
	switch {
	case n.Kind == written.String:
		word := strings.ReplaceAll(n.Text, "_", " ")
		if f, ok := frequency.Of(word); ok {
			return f, word
		}
		var all []string
		for _, w := range frequency.All() {
			all = append(all, w.Text)
		}
		l.ps.Addf(BadPrior, n.At, "%s: %q is no word of frequency", what, n.Text).DidYouMean(word, all).
			Hint("words are %s; or give a number between 0 and 1", strings.Join(all, ", "))
		return 0, ""
	case n.IsNumber():
		if f, ok := n.Float(); ok && f > 0 && f < 1 {
			return f, ""
		}
		p := l.ps.Addf(BadPrior, n.At, "%s: a frequency lies between 0 and 1, both left out; this is %s", what, n.Text)
		switch f, ok := n.Float(); {
		case ok && f > 1 && f < 100:
			p.Hint("%s percent is %s", n.Text, strconv.FormatFloat(f/100, 'g', 6, 64))
		case ok && (f == 0 || f == 1) && what == "clue":
			p.Hint("%s would be certain: write a rule instead, or a frequency near it", n.Text)
		case ok && (f == 0 || f == 1):
			p.Hint("%s would be certain: write a frequency near it", n.Text)
		default:
			p.Hint("write a word of frequency, or a number like 0.05")
		}
		return 0, ""
	}
	l.ps.Addf(written.WrongKind, n.At, "%s: a frequency is a number or a word, this is %s", what, n.Kind)
	return 0, ""
}

func (l *loader) link(n *written.Node) *Link {
	r := written.Open(n, &l.ps, "link")
	k := &Link{At: r.Place()}
	id := r.Text("id")
	var scope *condition.Scope
	k.Each, scope = l.each(r, "link")
	k.If = l.conditions(r.Strings("if"), scope)
	from, to := r.Text("from", written.Required), r.Text("to", written.Required)
	k.How, k.Source = r.String("how", written.Required), r.String("source")
	r.Close()
	if from == nil || to == nil {
		return nil
	}
	if id != nil {
		k.ID = l.id(id, "link")
	} else {
		k.ID = slug(from.Text + " to " + to.Text)
	}
	f, t := l.heads([]*written.Node{from}, scope, "link"), l.heads([]*written.Node{to}, scope, "link")
	if len(f) == 0 || len(t) == 0 {
		return nil
	}
	k.From, k.To = f[0], t[0]
	if k.From == k.To {
		l.ps.Addf(LinkToItself, to.At, "link: %s leads to itself", from.Text).Warn().Beside(from.At, "from").
			Hint("a link joins two findings, or one finding of two parts: bind a second name in each")
	}
	l.tied("link", k.At, k.Each, scope, k.If)
	return k
}

func (l *loader) rivals(n *written.Node) *Rivals {
	r := written.Open(n, &l.ps, "rivals")
	v := &Rivals{ID: l.id(r.Text("id", written.Required), "rivals"), At: r.Place()}
	var scope *condition.Scope
	v.Each, scope = l.each(r, "rivals")
	v.If = l.conditions(r.Strings("if"), scope)
	causes := r.Strings("causes", written.Required)
	r.Close()
	v.Causes = l.heads(causes, scope, "rivals")
	if len(causes) < 2 {
		l.ps.Addf(TooFewRivals, r.Place(), "rivals: %q names %d causes; two or more exclude each other", v.ID, len(causes))
	}
	l.tied("rivals", v.At, v.Each, scope, v.If)
	return v
}
