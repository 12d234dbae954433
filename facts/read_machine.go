package facts

import (
	"slices"
	"strings"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Codes of machine files.
var (
	StationsUneven   = source.Declare("stations-uneven", "lists of stations are not equally long")
	UnknownStation   = source.Declare("unknown-station", "a {name} is none of the lists of stations, or a line is none of its stations")
	TwoPlacesOneID   = source.Declare("two-places-one-id", "two places have the same id")
	BadID            = source.Declare("bad-id", "an id has characters an id cannot have")
	ReservedTable    = source.Declare("reserved-table", "a place would get a table whose name the inspection file needs itself")
	UnknownPlace     = source.Declare("unknown-place", "a name is none of the machine's places")
	NeedsOneOf       = source.Declare("needs-one-of", "one of several keys must be there, and only as many as make sense")
	TooManyPlaces    = source.Declare("too-many-places", "the machine file makes more places than can be handled")
	TwoPlacesOneLine = source.Declare("two-places-one-line", "two places would have the same line of the same table of an inspection")
)

const mostPlaces = 500_000

// ReservedTables are the keys of an inspection that no table of places can have.
var ReservedTables = []string{"machine", "number", "date", "by", "owner", "hours", "seen_by", "stripped", "not_stripped", "k",
	"tools", "work", "earlier", "before", "part", "remark", "photo", "decision", "confirmed", "order", "tool", "all"}

// ReadMachine reads a parsed machine file. Whatever problems there are, the
// machine is as complete as can be.
func ReadMachine(f *source.File, root *written.Node) (*Machine, source.Problems) {
	var ps source.Problems
	m := &Machine{File: f}
	r := written.Open(root, &ps, "machine file")

	head := written.Open(r.Table("machine", written.Required), &ps, "machine")
	m.ID = head.String("id", written.Required)
	m.Name = head.String("name", written.Required)
	m.Pack = word(head.Text("pack", written.Required))
	m.About, m.Number = head.String("about"), head.String("number")
	head.Close()

	m.readStations(r.Table("stations"), &ps)
	for _, n := range r.Tables("place") {
		m.readPlace(n, &ps)
	}
	if !m.tooMany { // else what is left out would be missed
		m.checkIDs(&ps)
	}
	for _, n := range r.Tables("limit") {
		m.readLimit(n, &ps)
	}
	for _, n := range r.Tables("size") {
		m.readSize(n, "size", "", "new", &ps)
	}
	for _, n := range r.Tables("torque") {
		m.readSize(n, "torque", "torque", "value", &ps)
	}
	for _, n := range r.Tables("fit") {
		m.readFit(n, &ps)
	}
	for _, n := range r.Tables("material") {
		m.readMaterial(n, &ps)
	}
	oil := written.Open(r.Table("oil"), &ps, "oil")
	m.Oil = Oil{Grade: oil.String("grade"), Note: oil.String("note")}
	oil.Close()
	m.Facts = lines(r.Table("facts"))
	r.Close()
	return m, ps
}

func word(n *written.Node) Word {
	if n == nil {
		return Word{}
	}
	return Word{n.Text, n.At}
}

func lines(n *written.Node) []Line {
	if n == nil {
		return nil
	}
	out := make([]Line, len(n.Entries))
	for i, e := range n.Entries {
		out[i] = Line{Word{e.Name, e.At}, e.Value}
	}
	return out
}

func (m *Machine) readStations(n *written.Node, ps *source.Problems) {
	if n == nil {
		return
	}
	for _, e := range n.Entries {
		l := StationList{Name: e.Name, At: e.At}
		if e.Value.Kind != written.Array {
			ps.Addf(written.WrongKind, e.Value.At, "stations: %q takes an array, this is %s", e.Name, e.Value.Kind)
			continue
		}
		for _, item := range e.Value.Items {
			if item.Kind != written.String && !item.IsNumber() {
				ps.Addf(written.WrongKind, item.At, "stations: each item of %q is a string or a number, this is %s", e.Name, item.Kind)
			}
			l.Values = append(l.Values, item.Text)
		}
		if len(m.Stations) > 0 && len(l.Values) != len(m.Stations[0].Values) {
			ps.Addf(StationsUneven, e.At, "stations: %q has %d items, %q has %d", e.Name, len(l.Values), m.Stations[0].Name, len(m.Stations[0].Values)).
				Beside(m.Stations[0].At, "this one names the stations").
				Hint("give each station one item in every list; parts that come in other numbers take of = { end = [\"1\", \"2\"] } at their place")
			continue
		}
		m.Stations = append(m.Stations, l)
	}
}

func (m *Machine) readLimit(n *written.Node, ps *source.Problems) {
	r := written.Open(n, ps, "limit")
	l := Limit{
		Kind:     word(r.Text("kind", written.Required)),
		Property: word(r.Text("property", written.Required)),
		Place:    word(r.Text("place")),
		Most:     r.Node("most"), Least: r.Node("least"),
		From: r.String("from", written.Required),
		At:   r.Place(),
	}
	if l.Most == nil && l.Least == nil {
		ps.Addf(NeedsOneOf, r.Place(), "limit: give most, least or both")
	}
	r.Close()
	m.Limits = append(m.Limits, l)
}

func (m *Machine) readSize(n *written.Node, what, property, value string, ps *source.Problems) {
	r := written.Open(n, ps, what)
	s := SizeNew{
		Kind:     word(r.Text("kind", written.Required)),
		Property: word(r.Text("property", written.Need(property == ""))),
		Place:    word(r.Text("place")),
		New:      r.Node(value),
		From:     r.String("from", written.Required),
		At:       r.Place(),
	}
	if s.Property.Text == "" {
		s.Property = Word{property, s.Kind.At}
	}
	if what == "size" {
		s.Fit = r.Text("fit")
	}
	if (s.New == nil) == (s.Fit == nil) {
		p := ps.Addf(NeedsOneOf, r.Place(), "%s: give %q", what, value)
		if what == "size" {
			p.Message = "size: give one of \"new\" and \"fit\""
		}
	}
	r.Close()
	m.Sizes = append(m.Sizes, s)
}

func (m *Machine) readFit(n *written.Node, ps *source.Problems) {
	r := written.Open(n, ps, "fit")
	named := func(key string, must bool) Named {
		if !must && !r.Has(key) {
			return Named{}
		}
		t := written.Open(r.Table(key, written.Need(must)), ps, "fit "+key)
		defer t.Close()
		return Named{word(t.Text("kind", written.Required)), word(t.Text("property", written.Required)), word(t.Text("place"))}
	}
	m.Fits = append(m.Fits, Fit{
		Is:   r.Text("is", written.Required),
		Hole: named("hole", true), Shaft: named("shaft", true), Clearance: named("clearance", false),
		From: r.String("from", written.Required), At: r.Place(),
	})
	r.Close()
}

func (m *Machine) readMaterial(n *written.Node, ps *source.Problems) {
	r := written.Open(n, ps, "material")
	m.Materials = append(m.Materials, Material{
		Kind: word(r.Text("kind", written.Required)), Place: word(r.Text("place")), Is: word(r.Text("is", written.Required)),
		From: r.String("from", written.Required), At: r.Place(),
	})
	r.Close()
}

func (m *Machine) checkIDs(ps *source.Problems) {
	first := make(map[string]int, len(m.Places))
	type line struct{ table, row string }
	lines, tables := make(map[line]int, len(m.Places)), map[string]int{}
	for i := range m.Places {
		p := &m.Places[i]
		if j, ok := first[p.ID]; ok {
			ps.Addf(TwoPlacesOneID, p.At, "two places have the id %q", p.ID).Beside(m.Places[j].At, "the other one").
				Hint("put the name of a station list into the id: id = \"%s_{…}\"", p.ID)
			continue
		}
		first[p.ID] = i
		if slices.Contains(ReservedTables, p.Table) {
			ps.Addf(ReservedTable, p.At, "place %q: an inspection file uses the table [%s] for something else", p.ID, p.Table).
				Hint("begin the id with another word")
		}
		if p.Row == "all" || p.Row == "tool" {
			ps.Addf(ReservedTable, p.At, "place %q: its line in an inspection would be %q, which means something else there", p.ID, p.Row).
				Hint("give the station another name")
		}
		if j, ok := lines[line{p.Table, p.Row}]; ok {
			ps.Addf(TwoPlacesOneLine, p.At, "the places %q and %q would both be line %q of the table [%s]", m.Places[j].ID, p.ID, p.Row, p.Table).
				Beside(m.Places[j].At, "the other one").Hint("begin one of the ids with another word")
		} else if j, ok := tables[p.Table]; ok && (p.Row == "") != (m.Places[j].Row == "") {
			ps.Addf(TwoPlacesOneLine, p.At, "the places %q and %q would share the table [%s], which one of them fills alone", m.Places[j].ID, p.ID, p.Table).
				Beside(m.Places[j].At, "the other one").Hint("begin one of the ids with another word")
		}
		lines[line{p.Table, p.Row}] = i
		if _, ok := tables[p.Table]; !ok {
			tables[p.Table] = i
		}
	}
	ids := keys(first)
	told := map[source.Span]bool{} // one reference stands for many stations
	for i := range m.Places {
		for _, ref := range m.Places[i].Refs {
			for _, to := range ref.To {
				if _, ok := first[to.Text]; !ok && to.Text != "" && to.Text != "machine" && !told[to.At] {
					told[to.At] = true
					ps.Addf(UnknownPlace, to.At, "place %q: %s refers to %q, which is no place of this machine", m.Places[i].ID, ref.Property.Text, to.Text).
						DidYouMean(to.Text, ids)
				}
			}
		}
	}
	ps.Dedupe()
}

func keys(m map[string]int) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// validID tells whether an id has only letters, digits, '_' and '-'.
func validID(id string) bool {
	return id != "" && strings.IndexFunc(id, func(c rune) bool {
		return !(c == '_' || c == '-' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z')
	}) < 0
}
