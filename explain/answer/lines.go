package answer

import (
	"math"
	"strconv"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/explain"
	"whyworn/facts/source"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// Lines writes results of a batch: line by line what [Append] writes of [Facts],
// without making a [Result] first. What hangs on the pack alone is made once.
// Not for several goroutines.
type Lines struct {
	head   []byte     // up to the machine
	told   [][]string // by kind and property: a finding's id and what begins its state, or a number's id and its unit
	states [3]string
	levels map[vocab.Level]string
	sure   map[sureness]string
}

// sureness is what the words of a weighed finding hang on.
type sureness struct {
	probability float64
	weight      weigh.Weight
	decided     bool
}

const mostSure = 4096 // that are kept; a pack's clues make some hundreds

// NewLines makes a writer for results of a pack.
func NewLines(p *rules.Pack) *Lines {
	x := &Lines{sure: map[sureness]string{}, levels: map[vocab.Level]string{}}
	x.head = appendField(x.head, `{"pack":{"id":`, p.ID)
	x.head = appendField(x.head, `,"version":`, p.Version)
	x.head = appendField(x.head, `,"digest":`, p.Digest)
	x.head = append(x.head, `},"machine":`...)
	for _, k := range p.Vocabulary.Kinds {
		told := make([]string, len(k.Properties))
		for i, v := range k.Properties {
			if v.Role.Concluded() {
				told[i] = string(append(appendField(nil, `,"finding":`, v.ID), `,"state":`...))
			} else {
				told[i] = string(appendField(nil, `,"property":`, v.ID))
			}
		}
		x.told = append(x.told, told)
	}
	for _, t := range []truth.Truth{truth.Unknown, truth.True, truth.False} {
		x.states[t] = string(appendString(nil, t.String()))
	}
	for l := vocab.NoWord; l <= vocab.Replace; l++ {
		x.levels[l] = string(appendString(nil, word(l)))
	}
	return x
}

// Append appends the result of a case as one line of JSON.
func (x *Lines) Append(b []byte, c *explain.Case, ps source.Problems) ([]byte, error) {
	start := len(b)
	in := c.Facts.Inspection
	b = appendString(append(b, x.head...), c.Facts.Machine.ID)
	b = appendSome(b, `,"number":`, in.Number)
	b = appendSome(b, `,"date":`, in.Date.Text)
	b, fine := x.findings(append(b, `,"findings":[`...), c)
	b, some := x.numbers(append(b, `],"computed":[`...), c)
	if !fine || !some { // a number that JSON has no word for: an error
		return Append(b[:start], Facts(c, ps))
	}
	b = x.verdicts(append(b, `],"verdicts":[`...), c)
	b = append(b, ']')
	for i, k := range c.Result.Conflicts {
		b = appendString(append(b, [2]string{`,"conflicts":[`, `,`}[min(i, 1)]...), c.ConflictWords(k))
	}
	if len(c.Result.Conflicts) > 0 {
		b = append(b, ']')
	}
	if ps == nil {
		ps = source.Problems{}
	}
	return appendProblems(b, start, ps)
}

// partOf begins an object with the part it is of.
func (x *Lines) partOf(b []byte, c *explain.Case, part int32) []byte {
	return appendString(append(b, `{"part":`...), c.Facts.Parts[part].ID)
}

func (x *Lines) findings(b []byte, c *explain.Case) ([]byte, bool) {
	part, from, to, fine := int32(-1), 0, 0, true
	c.Result.EachFinding(func(f *record.Finding) {
		if part >= 0 {
			b = append(b, ',')
		}
		if f.Part != part { // else as it stands there already
			part, from = f.Part, len(b)
			b = x.partOf(b, c, part)
			to = len(b)
		} else {
			b = append(b, b[from:to]...)
		}
		b = append(b, x.told[f.Prop.Kind.Index][f.Prop.Index]...)
		b = append(b, x.states[f.State]...)
		b = appendTrue(b, `,"certain":true`, f.Certain)
		if weighed(f) {
			sure, ok := x.surely(&f.Fact)
			fine = fine && ok
			b = append(b, sure...)
		}
		if f.Round != 0 {
			b = strconv.AppendInt(append(b, `,"round":`...), int64(f.Round), 10)
		}
		b = append(appendTrue(b, `,"conflict":true`, f.Conflict), '}')
	})
	return b, fine
}

// surely tells probability, decibans and word of a weighed finding.
func (x *Lines) surely(f *record.Fact) (string, bool) {
	k := sureness{f.Probability, f.Weight, f.Decided}
	if text, ok := x.sure[k]; ok {
		return text, true
	}
	if math.IsNaN(k.probability) || math.IsInf(k.probability, 0) {
		return "", false
	}
	decibans := f.Weight.Decibans()
	b := appendFloat(nil, `,"probability":`, &k.probability)
	b = appendFloat(b, `,"decibans":`, &decibans)
	b = appendSome(b, `,"word":`, explain.HowSure(*f))
	if len(x.sure) == mostSure {
		clear(x.sure)
	}
	x.sure[k] = string(b)
	return x.sure[k], true
}

func (x *Lines) numbers(b []byte, c *explain.Case) ([]byte, bool) {
	fine := true
	for i, n := range c.Result.Computed() {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(x.partOf(b, c, n.Part), x.told[n.Prop.Kind.Index][n.Prop.Index]...)
		unit := n.Prop.Unit
		at := func(key string, base float64) {
			if !math.IsInf(base, 0) && !math.IsNaN(base) {
				var ok bool
				b, ok = appendTidy(append(b, key...), unit.FromBase(base))
				fine = fine && ok
			}
		}
		if n.Value.IsValue() {
			at(`,"value":`, n.Value.Lo)
		} else {
			at(`,"least":`, n.Value.Lo)
			at(`,"most":`, n.Value.Hi)
		}
		b = appendField(b, `,"unit":`, unit.Symbol)
		if n.Value.Terms != nil {
			var ok bool
			b, ok = appendTidy(append(b, `,"u":`...), unit.DifferenceFromBase(n.Value.U()))
			fine = fine && ok
		}
		b = append(b, '}')
	}
	return b, fine
}

func (x *Lines) verdicts(b []byte, c *explain.Case) []byte {
	for i := range c.Result.Verdicts {
		v := &c.Result.Verdicts[i]
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(x.partOf(b, c, v.Part), `,"verdict":`...), x.levels[v.Level]...)
		for j, id := range v.Missing {
			b = append(b, [2]string{`,"missing":[`, `,`}[min(j, 1)]...)
			b = x.partOf(b, c, id.Part)
			b = append(appendField(b, `,"property":`, id.Prop.ID), '}')
		}
		if len(v.Missing) > 0 {
			b = append(b, ']')
		}
		b = append(b, '}')
	}
	return b
}

// tens are the powers of ten that float64 holds exactly.
var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18}

// appendTidy writes tidy(x), false where that is no number. Of most numbers it
// has the twelve digits as a whole number, which needs no search for the shortest
// text that reads back: no shorter one does.
func appendTidy(b []byte, x float64) ([]byte, bool) {
	if places := 12 - math.Ceil(math.Log10(math.Abs(x))); places >= 0 && places < float64(len(tens)) {
		digits := math.Round(x * tens[int(places)])
		if size := math.Abs(digits); size < 1e15 && size >= 1e-6*tens[int(places)] && size > 0 {
			return appendDecimal(b, int64(digits), int(places)), true
		}
	}
	v := tidy(x)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return b, false
	}
	return appendFloat(b, "", &v), true
}

// appendDecimal writes n / 10^places without zeros at its end.
func appendDecimal(b []byte, n int64, places int) []byte {
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	for places > 0 && n%10 == 0 {
		n /= 10
		places--
	}
	var room [40]byte
	at := len(room)
	for i := 0; n > 0 || i <= places; i++ {
		if i == places && places > 0 {
			at--
			room[at] = '.'
		}
		at--
		room[at] = byte('0' + n%10)
		n /= 10
	}
	return append(b, room[at:]...)
}
