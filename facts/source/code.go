package source

import (
	"fmt"
	"slices"
	"sync"
)

// Code is the stable word for one kind of problem, in kebab-case. Programs may
// rely on it; the message beside it may be reworded.
type Code string

// Declaration is a code and the one sentence that says what it means.
type Declaration struct {
	Code     Code   `json:"code"`
	Sentence string `json:"sentence"`
}

var declared struct {
	sync.Mutex
	sentences map[Code]string
}

// Declare adds a code to the table of codes and returns it. Packages call it
// once for each code, in a package variable:
//
//	var UnknownKey = source.Declare("unknown-key", "a table has a key that means nothing there")
//
// It panics when the code is declared twice, misspelt, or has no sentence.
func Declare(code Code, sentence string) Code {
	declared.Lock()
	defer declared.Unlock()
	if declared.sentences == nil {
		declared.sentences = map[Code]string{}
	}
	if _, twice := declared.sentences[code]; twice {
		panic(fmt.Sprintf("source: code %q declared twice", code))
	}
	if !kebab(string(code)) || sentence == "" {
		panic(fmt.Sprintf("source: code %q is not kebab-case or has no sentence", code))
	}
	declared.sentences[code] = sentence
	return code
}

// Declared returns every code of the packages linked in, sorted by code.
func Declared() []Declaration {
	declared.Lock()
	defer declared.Unlock()
	all := make([]Declaration, 0, len(declared.sentences))
	for code, sentence := range declared.sentences {
		all = append(all, Declaration{code, sentence})
	}
	slices.SortFunc(all, func(a, b Declaration) int {
		if a.Code < b.Code {
			return -1
		}
		return 1
	})
	return all
}

func kebab(s string) bool {
	before := byte('-')
	for i := range len(s) {
		c := s[i]
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
		case c == '-' && before != '-':
		default:
			return false
		}
		before = c
	}
	return before != '-'
}
