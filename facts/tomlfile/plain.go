package tomlfile

import (
	"strings"
	"time"

	"whyworn/facts/written"
)

// The second library costs twice what the positional parser costs, and for
// values written plainly the two never differ: the conformance suite, random
// documents and the fuzz target compare our verdict with its own.

// plain tells whether a value is written so that the positional parser knows
// all the rules that TOML has for it: strings with no escapes but the commonest
// and no odd line breaks, short decimal numbers, true, false, and days that the
// calendar has.
func plain(kind written.Kind, raw string) bool {
	switch kind {
	case written.Bool:
		return true
	case written.String:
		return plainString(raw)
	case written.Integer, written.Float:
		// The parser has refused leading zeros and points without digits.
		return len(raw) <= 15 && strings.Trim(raw, "0123456789.+-") == "" && strings.Count(raw, ".") <= 1
	case written.Date:
		_, err := time.Parse(time.DateOnly, raw)
		return err == nil
	}
	return false
}

func plainString(raw string) bool {
	quote := raw[:1]
	if strings.HasPrefix(raw[1:], quote+quote) && len(raw) >= 6 {
		return !strings.ContainsAny(raw[3:len(raw)-3], "\\\r"+quote)
	}
	if quote == "'" {
		return true
	}
	for rest := raw; ; {
		i := strings.IndexByte(rest, '\\')
		if i < 0 {
			return true
		}
		switch rest[i+1] { // the closing quote at the latest
		case '"', '\\', 'n', 't':
		default:
			return false
		}
		rest = rest[i+2:]
	}
}
