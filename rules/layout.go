package rules

import (
	"cmp"

	"whyworn/facts"
	"whyworn/facts/gauge"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/rules/vocab"
)

// Layout is the parts of one inspection and how they refer to each other:
// those of the machine, then the work done, then the parts the inspection
// adds. Part numbers index Parts. It is immutable.
type Layout struct {
	Pack    *Pack
	Machine *facts.Machine
	Parts   []Part
	// OfKind lists, for each kind by Kind.Index, its parts in ascending order.
	OfKind [][]int32
	// Declared are the values the machine fixes: limits, sizes when new, what
	// is wanted, numbers of places; also the pack's common limits where the
	// machine has none. Sorted like Facts.Observations. References are not
	// among them: see Ref and List.
	Declared []Observation

	byID  map[string]int32
	refs  [][][]int32    // [kind][property]: for a Part property, the part referred to by ordinal, -1 = none
	lists [][]listColumn // [kind][property]: for a Parts property

	base   *Layout             // the machine's own, where an inspection adds parts; byID and tables then hold those only
	tables map[string]*table   // by name: the tables of an inspection
	early  map[string][]*table // by property: tables with a sign of that id that is had before a nut is turned
	made   materials           // what parts are made of
	fixed  []fixed             // what the machine or pack fixes for every part of a kind, sorted by property

	decimals map[bound]int // with which a limit or size when new was written; of the machine's own layout alone
}

// bound is one value of a property that bounds another.
type bound struct {
	prop *vocab.Property
	x    float64
}

// asWritten keeps with how many decimals a bound was written, where that was in
// the unit of its property.
func (l *Layout) asWritten(p *vocab.Property, w *measure.Written) {
	if p.Unit == nil || w.Unit == nil || w.Unit.Symbol != p.Unit.Symbol || !w.Number.IsValue() {
		return
	}
	if l.decimals == nil {
		l.decimals = map[bound]int{}
	}
	k := bound{p, w.Number.Lo}
	l.decimals[k] = max(l.decimals[k], w.Decimals)
}

// Decimals tells with how many decimals a limit or size when new was written:
// 15.050 mm is three; false where it was not, or in another unit.
func (l *Layout) Decimals(p *vocab.Property, x float64) (int, bool) {
	for ; l != nil; l = l.base {
		if d, ok := l.decimals[bound{p, x}]; ok {
			return d, true
		}
	}
	return 0, false
}

// table is a table of an inspection: the parts it speaks of, a line for each.
type table struct {
	name  string
	parts []int32 // in the order of the machine file
	kinds []*vocab.Kind
	lines map[string]int32 // position in parts, by line
	alone bool             // one part without a line of its own: the table holds its properties
}

// fixed is a value that holds for every part of a kind.
type fixed struct {
	prop  *vocab.Property
	value vocab.Value
	whose string
	at    source.Span
}

// listColumn holds the lists of one property: those of ordinal i are
// Items[Starts[i]:Starts[i+1]], in ascending order.
type listColumn struct{ Starts, Items []int32 }

// Part is the piece at a place, or a piece of work, or the machine.
type Part struct {
	ID      string
	Name    string // printed
	Kind    *vocab.Kind
	Ordinal int32  // position in OfKind[Kind.Index]
	Table   string // the inspection's table that speaks of it, and its line there
	Row     string
	Station string // "" if none
	Work    *facts.Work
	Added   bool // by the inspection, not the machine
	At      source.Span
}

// Find gives the number of the part with this id.
func (l *Layout) Find(id string) (int32, bool) {
	n, ok := l.byID[id]
	if !ok && l.base != nil {
		n, ok = l.base.byID[id]
	}
	return n, ok
}

func (l *Layout) table(name string) *table {
	t := l.tables[name]
	if t == nil && l.base != nil {
		t = l.base.tables[name]
	}
	return t
}

// Ref lists, by ordinal within p.Kind, the part that p refers to, -1 = none.
func (l *Layout) Ref(p *vocab.Property) []int32 { return l.refs[p.Kind.Index][p.Index] }

// References lists the parts that a part refers to, by property.
func (l *Layout) References(part int32) []int32 {
	var out []int32
	for _, p := range l.Parts[part].Kind.Properties {
		if p.Type != vocab.Part {
			continue
		}
		if to := l.Ref(p)[l.Parts[part].Ordinal]; to >= 0 {
			out = append(out, to)
		}
	}
	return out
}

// List gives the parts that p lists for the part with this ordinal.
func (l *Layout) List(p *vocab.Property, ordinal int32) []int32 {
	c := &l.lists[p.Kind.Index][p.Index]
	return c.Items[c.Starts[ordinal]:c.Starts[ordinal+1]]
}

// Column gives all lists of p at once: those of ordinal i are
// items[starts[i]:starts[i+1]].
func (l *Layout) Column(p *vocab.Property) (starts, items []int32) {
	c := &l.lists[p.Kind.Index][p.Index]
	return c.Starts, c.Items
}

// Facts is one inspection fitted to a pack: typed and checked.
type Facts struct {
	*Layout
	Inspection *facts.Inspection
	// Observations are sorted by part, then by property index; at most one
	// for each property of a part.
	Observations []Observation
	// K is the coverage factor of comparisons (2 unless told).
	K float64
	// Uncertainties says what each measure.Term.Source stands for.
	Uncertainties []Uncertainty
	// Digest is the SHA-256 of the inspection's bytes, hexadecimal.
	Digest string

	Hours     *measure.Number // on the meter, base units; nil = not told
	Sizes     []Measured      // one for each size that was read, in the order of Observations
	Earlier   []Earlier       // readings of earlier days, as written
	Decisions []Decision
	Remarks   []Remark
	Photos    []Photo
	Confirmed []FactID   // what proved true later
	Orders    [][]FactID // known orders of events, first to last
}

// FactID names one property of one part.
type FactID struct {
	Part int32
	Prop *vocab.Property
}

// Compare orders by part, then by kind and property.
func (a FactID) Compare(b FactID) int {
	return cmp.Or(cmp.Compare(a.Part, b.Part),
		cmp.Compare(a.Prop.Kind.Index, b.Prop.Kind.Index), cmp.Compare(a.Prop.Index, b.Prop.Index))
}

// Measured is a size with all its readings.
type Measured struct {
	Observation int32 // index in Facts.Observations
	Readings    gauge.Readings
	Size        gauge.Size
}

// Earlier is a reading of an earlier day.
type Earlier struct {
	FactID
	Value   vocab.Value
	Size    *gauge.Size     // of a size
	Hours   *measure.Number // on the meter then, base units; nil = not told
	Written *facts.Earlier
}

// Decision is what the person decides for a part.
type Decision struct {
	Part    int32
	Level   vocab.Level
	Written *facts.Decision
}

// Remark is something seen that no question fits.
type Remark struct {
	Part    int32 // -1 = of no one part
	Written *facts.Remark
}

// Photo is a photograph.
type Photo struct {
	Part    int32 // -1 = of no one part
	Written *facts.Photo
}

// Observation is the value of one property of one part, as somebody gave it.
type Observation struct {
	Part  int32
	Prop  *vocab.Property
	Value vocab.Value
	// Answer is what was written, nil for what the machine or pack declares.
	Answer *facts.Answer
	// Whose says who gives a declared value: "maker's book 1954, page 41".
	Whose string
	// Basis is the index in Observations of the written observation that a
	// Derived value was worked out of; for all others its own index, -1 for
	// declared values. What has one basis counts as one observation.
	Basis  int32
	ForAll bool // stated for every station at once
	At     source.Span
}

// Uncertainty names one independent source of uncertainty.
type Uncertainty struct {
	Tool string // the instrument; shared by all its readings when Part is -1
	// Material: of its expansion, shared by all that is made of it; "" = none.
	// Thermometer: of the temperature of the part, or of the instrument.
	Material    string
	Thermometer bool
	Part        int32
	Prop        *vocab.Property
}

// Lookup finds the observation of a property of a part, or nil.
func (f *Facts) Lookup(part int32, p *vocab.Property) *Observation {
	return lookup(f.Observations, part, p)
}

// Lookup finds the declared value of a property of a part, or nil.
func (l *Layout) Lookup(part int32, p *vocab.Property) *Observation {
	return lookup(l.Declared, part, p)
}

func lookup(obs []Observation, part int32, p *vocab.Property) *Observation {
	lo, hi := 0, len(obs)
	for lo < hi {
		m := (lo + hi) / 2
		o := &obs[m]
		if o.Part < part || o.Part == part && o.Prop.Index < p.Index {
			lo = m + 1
		} else {
			hi = m
		}
	}
	if lo < len(obs) && obs[lo].Part == part && obs[lo].Prop == p {
		return &obs[lo]
	}
	return nil
}
