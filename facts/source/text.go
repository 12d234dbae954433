package source

import (
	"bytes"
	"unicode/utf8"
)

// Codes for content that is not plain UTF-8 text.
var (
	ByteOrderMark = Declare("byte-order-mark", "a file begins with the byte order mark of UTF-16")
	NotText       = Declare("not-text", "a file is not text, but a picture, a program or the like")
	NotUTF8       = Declare("not-utf8", "a file has bytes that are not UTF-8")
	ControlCode   = Declare("control-code", "a text has an invisible control code")
	NulByte       = Declare("nul-byte", "a text has a byte of value 0")
)

// CheckText returns one problem when f is not plain UTF-8 text, and nil when it
// is. A file with several faults gets the one that
// explains the others.
func (f *File) CheckText() *Problem {
	if p := f.CheckSize(); p != nil {
		return p
	}
	data := f.Data
	one := func(code Code, start, n int, message, hint string) *Problem {
		return &Problem{Code: code, At: f.At(start, start+n), Message: message, Hints: []string{hint}}
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return one(ByteOrderMark, 0, 2, "the file is UTF-16 text", "save it as UTF-8")
	}
	nul := bytes.IndexByte(data, 0)
	bad := invalidAt(data)
	control := controlAt(data)
	if nul < 0 && bad < 0 && control < 0 {
		return nil
	}
	// Without the text: a terminal gains nothing from a line of a picture.
	if looksBinary(data) {
		p := unread(NotText, f.Name, "is not a text file").Hint("name a file of plain text")
		p.At.File.order = f.order
		return p
	}
	if nul < 0 && bad < 0 {
		return one(ControlCode, control, 1, "an invisible control code", "delete it, or write it as an escape inside quotes")
	}
	if bad < 0 || nul >= 0 && nul < bad {
		return one(NulByte, nul, 1, "a byte of value 0 does not belong in text", "delete it")
	}
	return one(NotUTF8, bad, 1, "a byte that is not UTF-8", "save the file as UTF-8")
}

// invalidAt returns the offset of the first byte that is not UTF-8, or -1.
func invalidAt(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	for i := 0; i < len(data); {
		r, w := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && w == 1 {
			return i
		}
		i += w
	}
	return -1
}

// controlAt returns the offset of the first control code below space that is
// neither tab nor line break, or -1: no format we read allows one unescaped.
func controlAt(data []byte) int {
	for i, c := range data {
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' {
			return i
		}
	}
	return -1
}

// looksBinary tells whether more than one byte in twenty of the beginning of
// data is a control code no text has, or breaks UTF-8.
func looksBinary(data []byte) bool {
	head := data[:min(len(data), 4096)]
	odd := 0
	for i := 0; i < len(head); {
		r, w := utf8.DecodeRune(head[i:])
		if r == utf8.RuneError && w == 1 && i+utf8.UTFMax <= len(head) || r < ' ' && r != '\t' && r != '\n' && r != '\r' {
			odd++
		}
		i += w
	}
	return odd*20 > len(head) && odd > 4
}
