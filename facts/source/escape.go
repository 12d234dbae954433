package source

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Escape makes text of strangers safe to show on a terminal, on one line:
// control codes, line breaks, bidirectional and other invisible marks become
// \u{…} with the code point in hexadecimal, a byte that is not UTF-8 becomes
// \x{…}. Everything else stays as it is.
func Escape(s string) string {
	clean := true
	for i := 0; i < len(s) && clean; i++ {
		clean = s[i] >= ' ' && s[i] < 0x7f
	}
	if clean {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, w := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && w == 1:
			fmt.Fprintf(&b, `\x{%02x}`, s[i])
		case hidden(r):
			fmt.Fprintf(&b, `\u{%x}`, r)
		default:
			b.WriteString(s[i : i+w])
		}
		i += w
	}
	return b.String()
}

// hidden tells whether a terminal would act on r or show nothing for it: the
// general categories Cc, Cf, Zl and Zp of the Unicode Standard. The marks of
// the Unicode Bidirectional Algorithm (UAX #9) are all of category Cf.
func hidden(r rune) bool {
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}

// longestText is how many bytes of a message or hint are shown: a stranger's key
// or number in it may be as long as a file.
const longestText = 400

func clip(s string) string {
	if len(s) <= longestText {
		return s
	}
	cut := longestText
	for cut > longestText-utf8.UTFMax && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}
