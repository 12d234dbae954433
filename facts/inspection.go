package facts

import (
	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Inspection is one strip-down as it was written down.
type Inspection struct {
	File    *source.File
	Machine Word // id of the machine, or the stem of its file's name

	Number, By, Owner, SeenBy string
	Date                      Word
	Stripped, NotStripped     []string
	Hours                     *written.Node // on the meter
	K                         *written.Node // coverage factor, nil = 2

	Tools     []Tool
	Work      []Work // in the order written
	Earlier   []Earlier
	Before    *written.Node   // [before]: what was seen before a nut was turned
	Tables    []written.Entry // one for each table of places, in file order; a string is the answer to found of a place by itself
	Parts     []AddedPart
	Remarks   []Remark
	Photos    []Photo
	Decisions []Decision
	Confirmed *Confirmed
	Orders    [][]Word // each a known order of events, first to last: ids as part.finding
}

// Tool is an instrument. U is the standard uncertainty of one reading,
// Calibration one shared by all its readings (with K an expanded one, and its
// coverage factor, as a certificate gives them), Set the size that readings taken
// as differences are counted from, Reads the unit its readings are written in,
// Temp the instrument's own temperature and Material what it is made of.
type Tool struct {
	Name                            Word
	Is                              string
	U, Calibration, Resolution, Set *written.Node
	K                               *written.Node
	Reads, Temp, Material           *written.Node
	Checked                         string
}

// Work is an earlier act or omission: a part of its own.
type Work struct {
	ID                          Word // given, or made: work_1, work_2 …
	When, By, Note              string
	Hours, Did, LeftOut, ToldBy *written.Node
	On                          []Word
	More                        []Line // other properties of work
	At                          source.Span
}

// Earlier is a reading of an earlier day.
type Earlier struct {
	When         string
	Hours, Value *written.Node
	Of, Property Word
	Tool         string
	At           source.Span
}

// AddedPart is a part that the machine file does not know: a break, a
// fragment, a mark.
type AddedPart struct {
	Kind, ID Word
	Name     string
	Refs     []Reference
	At       source.Span
}

// Remark is something seen that no question fits.
type Remark struct {
	Of          Word
	Text, Photo string
	At          source.Span
}

// Photo is a photograph with its caption.
type Photo struct {
	File    Word
	Caption string
	Of      Word
	At      source.Span
}

// Decision is what the person decides for a part, whatever the rules say.
type Decision struct {
	Of, Verdict Word
	Because, By string
	At          source.Span
}

// Confirmed is what proved true later.
type Confirmed struct {
	Causes        []Word // part.finding
	By, When, How string
	At            source.Span
}
