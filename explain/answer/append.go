package answer

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"unicode/utf8"

	"whyworn/facts/source"
)

// Append appends a result as one line of JSON, its end included: what an
// encoder of encoding/json with EscapeHTML off writes. A result without story,
// as a batch gives it, is written by hand, at a quarter of the cost.
func Append(b []byte, r *Result) ([]byte, error) {
	if r.Remedies != nil || r.Story != nil || r.Open != nil || r.Unaccounted != nil || r.Next != nil || r.NotLooked != nil || r.CouldNot != nil || r.WithoutU != nil || !finite(r) {
		return AppendJSON(b, r)
	}
	start := len(b)
	b = append(b, `{"pack":{"id":`...)
	b = appendString(b, r.Pack.ID)
	b = appendField(b, `,"version":`, r.Pack.Version)
	b = appendField(b, `,"digest":`, r.Pack.Digest)
	b = appendField(b, `},"machine":`, r.Machine)
	b = appendSome(b, `,"number":`, r.Number)
	b = appendSome(b, `,"date":`, r.Date)
	b = appendList(append(b, `,"findings":`...), r.Findings, appendFinding)
	b = appendList(append(b, `,"computed":`...), r.Computed, appendNumber)
	b = appendList(append(b, `,"verdicts":`...), r.Verdicts, appendVerdict)
	b = appendStrings(b, `,"conflicts":`, r.Conflicts)
	return appendProblems(b, start, r.Problems)
}

// appendProblems ends a result that began at start with its problems.
func appendProblems(b []byte, start int, ps source.Problems) ([]byte, error) {
	b = append(b, `,"problems":`...)
	if ps != nil && len(ps) == 0 {
		return append(b, "[]}\n"...), nil
	}
	b, err := AppendJSON(b, ps)
	if err != nil {
		return b[:start], err
	}
	return append(b[:len(b)-1], "}\n"...), nil // without the end of the line between
}

// AppendJSON appends what encoding/json makes of a value, as one line.
func AppendJSON(b []byte, v any) ([]byte, error) {
	out := bytes.NewBuffer(b)
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return b, err
	}
	return out.Bytes(), nil
}

// finite tells whether JSON has all the numbers of a result.
func finite(r *Result) bool {
	ok := func(list ...*float64) bool {
		for _, x := range list {
			if x != nil && (math.IsInf(*x, 0) || math.IsNaN(*x)) {
				return false
			}
		}
		return true
	}
	for i := range r.Findings {
		if f := &r.Findings[i]; !ok(f.Probability, f.Decibans) {
			return false
		}
	}
	for i := range r.Computed {
		if n := &r.Computed[i]; !ok(n.Value, n.Least, n.Most, n.U) {
			return false
		}
	}
	return true
}

func appendFinding(b []byte, f *Finding) []byte {
	b = appendField(b, `{"part":`, f.Part)
	b = appendField(b, `,"finding":`, f.Finding)
	b = appendField(b, `,"state":`, f.State)
	b = appendTrue(b, `,"certain":true`, f.Certain)
	b = appendFloat(b, `,"probability":`, f.Probability)
	b = appendFloat(b, `,"decibans":`, f.Decibans)
	b = appendSome(b, `,"word":`, f.Word)
	b = appendSome(b, `,"role":`, f.Role)
	if f.Round != 0 {
		b = strconv.AppendInt(append(b, `,"round":`...), int64(f.Round), 10)
	}
	b = appendSome(b, `,"because":`, f.Because)
	b = appendStrings(b, `,"assumed":`, f.Assumed)
	b = appendTrue(b, `,"conflict":true`, f.Conflict)
	b = appendStrings(b, `,"rivals":`, f.Rivals)
	b = appendStrings(b, `,"decided_by":`, f.DecidedBy)
	b = appendStrings(b, `,"spoken_to_by":`, f.SpokenToBy)
	b = appendTrue(b, `,"nothing_can_decide":true`, f.NothingCan)
	return append(b, '}')
}

func appendNumber(b []byte, n *Number) []byte {
	b = appendField(b, `{"part":`, n.Part)
	b = appendField(b, `,"property":`, n.Property)
	b = appendFloat(b, `,"value":`, n.Value)
	b = appendFloat(b, `,"least":`, n.Least)
	b = appendFloat(b, `,"most":`, n.Most)
	b = appendField(b, `,"unit":`, n.Unit)
	b = appendFloat(b, `,"u":`, n.U)
	return append(b, '}')
}

func appendVerdict(b []byte, v *Verdict) []byte {
	b = appendField(b, `{"part":`, v.Part)
	b = appendField(b, `,"verdict":`, v.Verdict)
	b = appendStrings(b, `,"because":`, v.Because)
	if len(v.Missing) > 0 {
		b = appendList(append(b, `,"missing":`...), v.Missing, func(b []byte, p *Property) []byte {
			b = appendField(b, `{"part":`, p.Part)
			return append(appendField(b, `,"property":`, p.Property), '}')
		})
	}
	b = appendStrings(b, `,"undecided":`, v.Undecided)
	b = appendSome(b, `,"decision":`, v.Decision)
	return append(b, '}')
}

func appendList[T any](b []byte, list []T, one func([]byte, *T) []byte) []byte {
	if list == nil {
		return append(b, "null"...)
	}
	b = append(b, '[')
	for i := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = one(b, &list[i])
	}
	return append(b, ']')
}

// appendStrings and appendSome leave out what is empty, appendFloat what is
// not there.
func appendStrings(b []byte, key string, list []string) []byte {
	if len(list) == 0 {
		return b
	}
	return appendList(append(b, key...), list, func(b []byte, s *string) []byte { return appendString(b, *s) })
}

func appendSome(b []byte, key, s string) []byte {
	if s == "" {
		return b
	}
	return appendField(b, key, s)
}

func appendFloat(b []byte, key string, x *float64) []byte {
	if x == nil {
		return b
	}
	b = append(b, key...)
	if size := math.Abs(*x); size != 0 && (size < 1e-6 || size >= 1e21) {
		b = strconv.AppendFloat(b, *x, 'e', -1, 64)
		if n := len(b); b[n-4] == 'e' && b[n-3] == '-' && b[n-2] == '0' { // e-09 is written e-9
			b[n-2] = b[n-1]
			b = b[:n-1]
		}
		return b
	}
	return strconv.AppendFloat(b, *x, 'f', -1, 64)
}

func appendTrue(b []byte, text string, so bool) []byte {
	if !so {
		return b
	}
	return append(b, text...)
}

func appendField(b []byte, key, s string) []byte { return appendString(append(b, key...), s) }

// appendString quotes plain text itself and leaves the rest to encoding/json.
func appendString(b []byte, s string) []byte {
	ascii := true
	for i := range len(s) {
		c := s[i]
		if c < ' ' || c == '"' || c == '\\' || c == 0x7f {
			return appendOdd(b, s)
		}
		ascii = ascii && c < utf8.RuneSelf
	}
	if !ascii {
		return appendOdd(b, s)
	}
	b = append(b, '"')
	b = append(b, s...)
	return append(b, '"')
}

func appendOdd(b []byte, s string) []byte {
	b, err := AppendJSON(b, s)
	if err != nil { // a string can always be written
		panic(err)
	}
	return b[:len(b)-1]
}
