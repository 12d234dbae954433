// Package source knows where things were written: files, places in them, and
// the problems found there.
//
// Start with [ReadFile] for a file from disk or [NewFile] for bytes at hand;
// collect faults with [Problems.Addf] and print them with [Write]. The package
// knows no file format.
package source

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"sort"
	"strconv"
	"sync"
	"sync/atomic"
	"unicode/utf8"
)

// File is one text that was read. It is not changed after [NewFile] and may be
// shared between goroutines.
type File struct {
	Name string // as the person named it; shown in problems
	Data []byte // whole content, without a byte order mark; nil when it could not be read

	// FirstLine is the number of the first line, for a piece of a longer text; 0
	// counts as 1.
	FirstLine int

	mark  bool  // a byte order mark stood before Data
	order int64 // counts files as they were made: the order problems are told in
	once  sync.Once
	lines []int // offset of the first byte of each line, made on first use
}

var made atomic.Int64

// utf8Mark is the byte order mark that some editors put before UTF-8 text. It
// says nothing, so it is passed over.
const utf8Mark = "\xef\xbb\xbf"

// NewFile makes a file of the bytes data. It keeps data, which must not be
// changed afterwards.
func NewFile(name string, data []byte) *File {
	text, mark := bytes.CutPrefix(data, []byte(utf8Mark))
	return &File{Name: name, Data: text, mark: mark, order: made.Add(1)}
}

// Digest is the SHA-256 of the file as it stands on disk, with a byte order mark
// if it has one.
func (f *File) Digest() [sha256.Size]byte {
	if f.mark {
		return sha256.Sum256(append([]byte(utf8Mark), f.Data...))
	}
	return sha256.Sum256(f.Data)
}

func (f *File) index() []int {
	f.once.Do(func() {
		lines := make([]int, 1, 1+bytes.Count(f.Data, []byte{'\n'}))
		for i, b := range f.Data {
			if b == '\n' {
				lines = append(lines, i+1)
			}
		}
		f.lines = lines
	})
	return f.lines
}

// clamp brings a byte offset into the file.
func (f *File) clamp(offset int) int { return max(0, min(offset, len(f.Data))) }

// lineAt returns the number of the line (from 0) that holds the byte offset.
func (f *File) lineAt(offset int) int {
	return sort.SearchInts(f.index(), f.clamp(offset)+1) - 1
}

// line returns the bytes of line n (from 0) without its line ending, and the
// offset of its first byte.
func (f *File) line(n int) ([]byte, int) {
	lines := f.index()
	start, end := lines[n], len(f.Data)
	if n+1 < len(lines) {
		end = lines[n+1] - 1
	}
	return bytes.TrimSuffix(f.Data[start:end], []byte{'\r'}), start
}

// LineAt returns the line that holds the byte offset, without its line ending,
// and the offset of the line's first byte.
func (f *File) LineAt(offset int) (text []byte, start int) { return f.line(f.lineAt(offset)) }

// Offset returns the byte offset of line and col, both from 1, col in runes,
// the line counted without FirstLine, brought into the file when they lie outside.
func (f *File) Offset(line, col int) int {
	text, start := f.line(max(0, min(line-1, len(f.index())-1)))
	i := 0
	for ; col > 1 && i < len(text); col-- {
		_, w := utf8.DecodeRune(text[i:])
		i += w
	}
	return start + i
}

// At returns the place of the bytes from start up to, not including, end.
func (f *File) At(start, end int) Span { return Span{File: f, Start: start, End: end} }

// Span is a place in a file: bytes Start up to, not including, End, counted
// from 0. The zero Span is nowhere.
type Span struct {
	File       *File
	Start, End int
}

// IsZero tells whether s is nowhere.
func (s Span) IsZero() bool { return s.File == nil }

// LineCol returns the line and column of the start of s, both counted from 1,
// the column in runes. Nowhere is 0, 0.
func (s Span) LineCol() (line, col int) {
	if s.File == nil {
		return 0, 0
	}
	start := s.File.clamp(s.Start)
	n := s.File.lineAt(start)
	return n + max(1, s.File.FirstLine), 1 + utf8.RuneCount(s.File.Data[s.File.index()[n]:start])
}

// Within returns the piece of s from byte from up to, not including, byte to,
// both counted from the start of s and brought inside it.
func (s Span) Within(from, to int) Span {
	n := s.End - s.Start
	from = max(0, min(from, n))
	to = max(from, min(to, n))
	return Span{File: s.File, Start: s.Start + from, End: s.Start + to}
}

// Text returns the bytes s stands on.
func (s Span) Text() []byte {
	if s.File == nil {
		return nil
	}
	start := s.File.clamp(s.Start)
	return s.File.Data[start:max(start, s.File.clamp(s.End))]
}

// String returns file:line:col, only the file's name when the file could not be
// read, and "" for nowhere.
func (s Span) String() string {
	switch {
	case s.File == nil:
		return ""
	case s.File.Data == nil:
		return s.File.Name
	}
	line, col := s.LineCol()
	return s.File.Name + ":" + strconv.Itoa(line) + ":" + strconv.Itoa(col)
}

// GoString keeps test failures short: %#v does not print the whole file.
func (s Span) GoString() string { return fmt.Sprintf("%s(%d-%d)", s, s.Start, s.End) }
