// Package truth holds the three truth values of every condition and finding
// and Kleene's strong connectives over them. Start with [And], [Or] and [Not];
// [Of] lifts a bool. It says nothing about why a value is unknown: that is
// kept beside the value by whoever found it out.
//
// Source: S. C. Kleene, Introduction to Metamathematics (1952), § 64, the
// strong tables.
package truth

import "fmt"

// Truth is unknown, false or true. The zero value is Unknown.
type Truth uint8

const (
	Unknown Truth = iota // nothing decides it
	False
	True
)

// Of is True for true and False for false.
func Of(b bool) Truth {
	if b {
		return True
	}
	return False
}

// Known tells whether t is True or False.
func (t Truth) Known() bool { return t == True || t == False }

// Not exchanges True and False and leaves Unknown.
func Not(t Truth) Truth { return notTable[t&3] }

// And is False if either is False, True if both are True, else Unknown.
func And(a, b Truth) Truth {
	if a == False || b == False {
		return False
	}
	if a == True && b == True {
		return True
	}
	return Unknown
}

// Or is True if either is True, False if both are False, else Unknown.
func Or(a, b Truth) Truth {
	if a == True || b == True {
		return True
	}
	if a == False && b == False {
		return False
	}
	return Unknown
}

var notTable = [4]Truth{Unknown: Unknown, False: True, True: False}

// String is "unknown", "false" or "true".
func (t Truth) String() string {
	switch t {
	case Unknown:
		return "unknown"
	case False:
		return "false"
	case True:
		return "true"
	}
	return fmt.Sprintf("truth(%d)", uint8(t))
}

// MarshalText writes the same word as String.
func (t Truth) MarshalText() ([]byte, error) {
	if t > True {
		return nil, fmt.Errorf("no truth value %d", uint8(t))
	}
	return []byte(t.String()), nil
}

// UnmarshalText reads the word String writes.
func (t *Truth) UnmarshalText(text []byte) error {
	switch string(text) {
	case "unknown":
		*t = Unknown
	case "false":
		*t = False
	case "true":
		*t = True
	default:
		return fmt.Errorf("truth is unknown, false or true, not %q", text)
	}
	return nil
}
