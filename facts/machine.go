// Package facts reads what a person wrote down: the machine file with its
// stations and places, and the inspection of one strip-down. Start with
// [ReadMachine] and [ReadInspection]. Text and place are kept as written; the
// package knows no vocabulary, so what a word means is for rules.Fit.
package facts

import (
	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Machine is the machine file of one make: its places, sizes and limits.
type Machine struct {
	File             *source.File
	ID, Name, Number string
	About            string
	Pack             Word // the pack it is written for
	Stations         []StationList
	Places           []Place // expanded: one for each station, in the order written
	Limits           []Limit
	Sizes            []SizeNew // sizes and torques
	Fits             []Fit
	Materials        []Material
	Oil              Oil
	Facts            []Line // properties of the machine itself
	tooMany          bool   // a place was not expanded
}

// Word is a text with its place.
type Word struct {
	Text string
	At   source.Span
}

// StationList is one list of [stations]: the first names the stations, the
// others say more about each; all are equally long.
type StationList struct {
	Name   string
	Values []string
	At     source.Span
}

// Place is one position in the assembly.
type Place struct {
	ID      string
	Kind    Word
	Name    string // as it is to be printed, "" = made from the id
	Table   string // the inspection's table that speaks of it: the id up to its first {name}
	Row     string // its line in that table: the rest of the id; "" for a place of its own
	Station string // the value of the first station list, "" if it has none
	Refs    []Reference
	Wants   []Line // what belongs here
	Has     []Line // numbers and choices fixed by the machine
	At      source.Span
}

// Reference is one reference of a place, or a list of them.
type Reference struct {
	Property Word
	To       []Word // ids of places; none = no reference
	List     bool   // written as a list
}

// Line is one property with its value as written.
type Line struct {
	Property Word
	Value    *written.Node
}

// Limit is a limit of one property, with whose it is.
type Limit struct {
	Kind, Property, Place Word // Place: only that one, or empty
	Most, Least           *written.Node
	From                  string
	At                    source.Span
}

// SizeNew is a size when new: a value, or a fit such as 18 H7.
type SizeNew struct {
	Kind, Property, Place Word
	New, Fit              *written.Node
	From                  string
	At                    source.Span
}

// Fit is a hole and a shaft fitted to each other, such as 18 H7/f7: the sizes of
// both when new, and of their clearance where that is a property of its own.
type Fit struct {
	Is                     *written.Node
	Hole, Shaft, Clearance Named // Clearance may be empty
	From                   string
	At                     source.Span
}

// Named is a property of a kind.
type Named struct{ Kind, Property, Place Word }

// Material is what parts of a kind, or one of them, are made of.
type Material struct {
	Kind, Place, Is Word
	From            string
	At              source.Span
}

// Oil is the oil the machine runs on.
type Oil struct{ Grade, Note string }
