package rules

import (
	"cmp"
	"slices"
	"strings"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Codes of fitting a machine to a pack.
var (
	WrongPack     = source.Declare("wrong-pack", "a machine file is written for another pack")
	NotAReference = source.Declare("not-a-reference", "refs names what is no reference, or one that is made from the other side")
	OtherKind     = source.Declare("other-kind", "a place is of another kind than is wanted there")
	ReferenceLoop = source.Declare("reference-loop", "references of one kind to itself run in a circle")
	BuiltInKind   = source.Declare("built-in-kind", "a place or part is of a kind that the program makes itself")
	NotDeclarable = source.Declare("not-declarable", "a machine file fixes what it cannot fix")
	TwoLimits     = source.Declare("two-limits", "a machine file has two limits or two sizes for the same thing")
)

// Assemble makes the parts of a machine: part 0 is the machine itself, then
// its places in the order written, with their references, the lists made by
// reversing them, and what the machine fixes. The layout is as complete as
// can be; it is of no use when there are errors, and nil when the machine is
// written for another pack.
func Assemble(p *Pack, m *facts.Machine) (*Layout, source.Problems) {
	var ps source.Problems
	if m.Pack.Text != "" && m.Pack.Text != p.ID {
		ps.Addf(WrongPack, m.Pack.At, "this machine is written for the pack %q, not for %q", m.Pack.Text, p.ID).
			Hint("diagnose it with the pack %s, or change this line if its places are those of %s", m.Pack.Text, p.ID)
		return nil, ps
	}
	l := &Layout{Pack: p, Machine: m, byID: make(map[string]int32, len(m.Places)+1)}
	a := &assembler{l: l, ps: &ps, lists: map[*vocab.Property][]pair{}}
	a.start(1 + len(m.Places))
	at := source.Span{File: m.File}
	kind := p.Vocabulary.Kind("machine")
	a.add(Part{ID: "machine", Name: kind.Name, Kind: kind, At: at})
	number := make([]int32, len(m.Places)) // of each place, -1 if its kind is not known
	for i := range m.Places {
		pl := &m.Places[i]
		number[i] = -1
		if _, twice := l.byID[pl.ID]; twice {
			continue // told by facts
		}
		if k := a.kind(pl.Kind); k != nil {
			number[i] = a.add(Part{ID: pl.ID, Name: pl.Name, Kind: k, Table: pl.Table, Row: pl.Row, Station: pl.Station, At: pl.At})
		}
	}
	a.columns()
	for i := range m.Places {
		if number[i] >= 0 {
			a.references(number[i], m.Places[i].Refs)
		}
	}
	a.reverse()
	a.loops()
	l.index()
	d := &declarer{assembler: a, number: number}
	d.all()
	oneOfEachPlace(&ps)
	return l, ps
}

// oneOfEachPlace keeps the first problem of a code at one place: a line of the
// machine file stands for many stations, and one is enough to mend it.
func oneOfEachPlace(ps *source.Problems) {
	ps.Sort()
	*ps = slices.CompactFunc(*ps, func(a, b *source.Problem) bool { return a.Code == b.Code && a.At == b.At && !a.At.IsZero() })
}

// assembler adds parts to a layout and joins them.
type assembler struct {
	l        *Layout
	ps       *source.Problems
	from     int32 // the first part that is new
	ordinals []int // parts of each kind before the new ones
	lists    map[*vocab.Property][]pair
}

// pair is a part, by ordinal in its kind, and a part its list holds.
type pair struct{ ordinal, item int32 }

// start makes room for so many new parts.
func (a *assembler) start(n int) {
	l, kinds := a.l, a.l.Pack.Vocabulary.Kinds
	a.from = int32(len(l.Parts))
	parts := make([]Part, len(l.Parts), len(l.Parts)+n)
	copy(parts, l.Parts)
	l.Parts = parts
	ofKind := make([][]int32, len(kinds))
	a.ordinals = make([]int, len(kinds))
	for k := range l.OfKind {
		ofKind[k] = slices.Clip(l.OfKind[k])
		a.ordinals[k] = len(ofKind[k])
	}
	l.OfKind = ofKind
}

// plainWords makes a name of an id.
var plainWords = strings.NewReplacer("_", " ", "-", " ")

func (a *assembler) add(p Part) int32 {
	l, n := a.l, int32(len(a.l.Parts))
	k := p.Kind.Index
	p.Ordinal = int32(len(l.OfKind[k]))
	if p.Name == "" {
		p.Name = plainWords.Replace(p.ID)
	}
	l.Parts = append(l.Parts, p)
	l.OfKind[k] = append(l.OfKind[k], n)
	l.byID[p.ID] = n
	return n
}

// grown tells whether a kind has new parts.
func (a *assembler) grown(k *vocab.Kind) bool { return len(a.l.OfKind[k.Index]) > a.ordinals[k.Index] }

// columns makes the references of the new parts, all to none.
func (a *assembler) columns() {
	l, kinds := a.l, a.l.Pack.Vocabulary.Kinds
	refs, lists := make([][][]int32, len(kinds)), make([][]listColumn, len(kinds))
	copy(refs, l.refs)
	copy(lists, l.lists)
	for i, k := range kinds {
		if l.base != nil && !a.grown(k) {
			continue
		}
		refs[i], lists[i] = make([][]int32, len(k.Properties)), make([]listColumn, len(k.Properties))
		if l.base != nil {
			copy(lists[i], l.lists[i])
		}
		for j, p := range k.Properties {
			if p.Type != vocab.Part {
				continue
			}
			col := make([]int32, len(l.OfKind[i]))
			for o := range col {
				col[o] = -1
			}
			if l.base != nil {
				copy(col, l.refs[i][j])
			}
			refs[i][j] = col
		}
	}
	l.refs, l.lists = refs, lists
}

func (a *assembler) kind(w facts.Word) *vocab.Kind {
	v := a.l.Pack.Vocabulary
	k := v.Kind(w.Text)
	switch {
	case w.Text == "": // told by facts
	case k == nil:
		a.ps.Addf(UnknownKind, w.At, "%q is no kind of part of the pack %s", w.Text, a.l.Pack.ID).DidYouMean(w.Text, kindIDs(v))
	case k.ID == "machine" || k.ID == "work":
		p := a.ps.Addf(BuiltInKind, w.At, "no place can be of the kind %q", k.ID)
		if k.ID == "work" {
			p.Hint("earlier work stands in the inspection: [[work]]")
		} else {
			p.Hint("the machine file is the machine; refer to it as \"machine\"")
		}
		return nil
	}
	return k
}

func kindIDs(v *vocab.Vocabulary) []string {
	var out []string
	for _, k := range v.Kinds {
		if k.ID != "machine" && k.ID != "work" {
			out = append(out, k.ID)
		}
	}
	return out
}

// unknownProperty tells that a kind has no such property, with the nearest of
// those that would do.
func unknownProperty(ps *source.Problems, w facts.Word, k *vocab.Kind, would func(*vocab.Property) bool) *source.Problem {
	return ps.Addf(condition.UnknownProperty, w.At, "a %s has no property %q", k.Name, w.Text).DidYouMean(w.Text, propertyIDs(k, would))
}

func propertyIDs(k *vocab.Kind, would func(*vocab.Property) bool) []string {
	var out []string
	for _, p := range k.Properties {
		if p.Bound == vocab.NoBound && would(p) {
			out = append(out, p.ID)
		}
	}
	return out
}

func isReference(p *vocab.Property) bool {
	return (p.Type == vocab.Part || p.Type == vocab.Parts) && !p.OneWay
}

// references joins one new part to those it refers to.
func (a *assembler) references(n int32, refs []facts.Reference) {
	part := &a.l.Parts[n]
	for i := range refs {
		r := &refs[i]
		p := part.Kind.Property(r.Property.Text)
		switch {
		case p == nil:
			unknownProperty(a.ps, r.Property, part.Kind, isReference)
			continue
		case p.OneWay:
			a.ps.Addf(NotAReference, r.Property.At, "the list %s is made from %s, not written", p.Label(), p.Inverse.Label()).
				Hint("leave it out")
			continue
		case !isReference(p):
			a.ps.Addf(NotAReference, r.Property.At, "%s is %s, not a reference", p.Label(), p.Type).
				Hint("what the machine fixes of a place stands in has = { … }, what belongs there in wants = { … }")
			continue
		case p.Type == vocab.Part && r.List:
			a.ps.Addf(NotAReference, r.Property.At, "%s refers to one part, not to a list", p.Label()).Hint("write one id in quotes")
			continue
		}
		for _, to := range r.To {
			if t, ok := a.target(p, to); !ok {
				continue
			} else if p.Type == vocab.Part {
				a.l.refs[part.Kind.Index][p.Index][part.Ordinal] = t
			} else {
				a.lists[p] = append(a.lists[p], pair{part.Ordinal, t})
			}
		}
	}
}

func (a *assembler) target(p *vocab.Property, to facts.Word) (int32, bool) {
	t, ok := a.l.Find(to.Text)
	if !ok {
		if a.l.base != nil { // those of a machine file are told by facts
			a.ps.Addf(facts.UnknownPlace, to.At, "%s refers to %q, which is no part here", p.Label(), to.Text).
				DidYouMean(to.Text, a.l.ids(p.To, a.ps))
		}
		return 0, false
	}
	if k := a.l.Parts[t].Kind; p.To != nil && k != p.To {
		a.ps.Addf(OtherKind, to.At, "%s refers to a %s, and %q is a %s", p.Label(), p.To.Name, to.Text, k.Name).
			DidYouMean(to.Text, a.l.ids(p.To, a.ps))
		return 0, false
	}
	return t, true
}

// tooDear tells whether the nearest of so many names is no longer sought after
// so many problems: it takes time, and nobody reads them all.
func tooDear(names int, ps *source.Problems) bool { return names*(len(*ps)+1) > 2_000_000 }

// ids lists the ids of all parts of a kind, nil = of any; none when that is too
// dear.
func (l *Layout) ids(k *vocab.Kind, ps *source.Problems) []string {
	if tooDear(len(l.Parts), ps) {
		return nil
	}
	var out []string
	for i := range l.Parts {
		if k == nil || l.Parts[i].Kind == k {
			out = append(out, l.Parts[i].ID)
		}
	}
	return out
}

// reverse makes the lists: first those that were written, then those that
// reverse a reference.
func (a *assembler) reverse() {
	l := a.l
	for i, k := range l.Pack.Vocabulary.Kinds {
		if l.base != nil && !a.grown(k) {
			continue
		}
		for j, p := range k.Properties {
			if p.Type == vocab.Parts && !p.OneWay {
				l.lists[i][j] = l.lists[i][j].extend(len(l.OfKind[i]), a.lists[p])
			}
		}
	}
	for i, k := range l.Pack.Vocabulary.Kinds {
		for j, p := range k.Properties {
			if !p.OneWay || p.Inverse == nil {
				continue
			}
			pairs := a.reversed(p)
			if len(pairs) == 0 && l.base != nil && !a.grown(k) {
				continue
			}
			if l.base != nil && !a.grown(k) && &l.lists[i][0] == &l.base.lists[i][0] {
				l.lists[i] = slices.Clone(l.lists[i])
			}
			l.lists[i][j] = l.lists[i][j].extend(len(l.OfKind[i]), pairs)
		}
	}
}

// reversed lists which new parts refer to which parts of p's kind.
func (a *assembler) reversed(p *vocab.Property) []pair {
	l, from := a.l, p.Inverse
	var out []pair
	news := l.OfKind[from.Kind.Index][a.ordinals[from.Kind.Index]:]
	for _, n := range news {
		o := l.Parts[n].Ordinal
		if from.Type == vocab.Part {
			if t := l.Ref(from)[o]; t >= 0 && l.Parts[t].Kind == p.Kind {
				out = append(out, pair{l.Parts[t].Ordinal, n})
			}
			continue
		}
		for _, t := range l.List(from, o) {
			if l.Parts[t].Kind == p.Kind {
				out = append(out, pair{l.Parts[t].Ordinal, n})
			}
		}
	}
	return out
}

// extend adds pairs to a column and makes it n lists long. It changes nothing
// in place.
func (c listColumn) extend(n int, pairs []pair) listColumn {
	slices.SortFunc(pairs, func(a, b pair) int { return cmp.Or(cmp.Compare(a.ordinal, b.ordinal), cmp.Compare(a.item, b.item)) })
	pairs = slices.Compact(pairs)
	out := listColumn{Starts: make([]int32, n+1), Items: make([]int32, 0, len(c.Items)+len(pairs))}
	old := len(c.Starts) - 1
	for o := range n {
		out.Starts[o] = int32(len(out.Items))
		if o < old {
			out.Items = append(out.Items, c.Items[c.Starts[o]:c.Starts[o+1]]...)
		}
		had := len(out.Items) - int(out.Starts[o])
		for len(pairs) > 0 && int(pairs[0].ordinal) == o {
			out.Items = append(out.Items, pairs[0].item)
			pairs = pairs[1:]
		}
		if list := out.Items[out.Starts[o]:]; had > 0 && len(list) > had {
			slices.Sort(list)
		}
	}
	out.Starts[n] = int32(len(out.Items))
	return out
}

// loops refuses references of a kind to itself that run in a circle: a walk
// along them would not end.
func (a *assembler) loops() {
	l := a.l
	for _, k := range l.Pack.Vocabulary.Kinds {
		if !a.grown(k) {
			continue
		}
		for _, p := range k.Properties {
			if p.Type == vocab.Part && p.To == k {
				a.loop(l.refs[k.Index][p.Index], p)
			}
		}
	}
}

func (a *assembler) loop(refs []int32, p *vocab.Property) {
	l := a.l
	walk := make([]int32, len(refs)) // 0 = not been there, else the number of the walk
	for first := range refs {
		o := int32(first)
		for o >= 0 && walk[o] == 0 {
			walk[o] = int32(first) + 1
			if t := refs[o]; t >= 0 {
				o = l.Parts[t].Ordinal
			} else {
				o = -1
			}
		}
		if o < 0 || walk[o] != int32(first)+1 {
			continue
		}
		var names []string
		at := l.Parts[l.OfKind[p.Kind.Index][o]].At
		for end := o; ; {
			names = append(names, l.Parts[l.OfKind[p.Kind.Index][o]].ID)
			if o = l.Parts[refs[o]].Ordinal; o == end {
				names = append(names, names[0])
				break
			}
		}
		if len(names) > 12 {
			names = append(append(names[:10:10], "…"), names[0])
		}
		a.ps.Addf(ReferenceLoop, at, "%s runs in a circle: %s", p.ID, strings.Join(names, " > ")).
			Hint("leave the reference of the first one empty: %s = \"\"", p.ID)
		return
	}
}

// index makes the tables of an inspection.
func (l *Layout) index() {
	l.tables, l.early = map[string]*table{}, map[string][]*table{}
	for n := range l.Parts {
		if l.Parts[n].Table != "" {
			l.enter(int32(n))
		}
	}
	names := make([]string, 0, len(l.tables))
	for name := range l.tables {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		t := l.tables[name]
		for _, k := range t.kinds {
			for _, p := range k.Properties {
				if p.Observable && p.Stage <= vocab.BeforeANutIsTurned && !slices.Contains(l.early[p.ID], t) {
					l.early[p.ID] = append(l.early[p.ID], t)
				}
			}
		}
	}
}

func (l *Layout) enter(n int32) {
	p := &l.Parts[n]
	t := l.tables[p.Table]
	if t == nil {
		t = &table{name: p.Table, lines: map[string]int32{}, alone: p.Row == ""}
		l.tables[p.Table] = t
	}
	t.lines[p.Row] = int32(len(t.parts))
	t.parts = append(t.parts, n)
	if !slices.Contains(t.kinds, p.Kind) {
		t.kinds = append(t.kinds, p.Kind)
	}
}
