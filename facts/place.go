package facts

import (
	"slices"
	"strconv"
	"strings"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// readPlace expands one [[place]] into a place for each station and for each
// item of its own lists (of = { half = ["a", "b"] }).
func (m *Machine) readPlace(n *written.Node, ps *source.Problems) {
	r := written.Open(n, ps, "place")
	kind := word(r.Text("kind", written.Required))
	id := r.Text("id", written.Required)
	name := r.Text("name")
	refs, wants, has := r.Table("refs"), r.Table("wants"), r.Table("has")
	own := r.Table("of")
	at := r.Place()
	r.Close()
	if id == nil {
		return
	}
	x := &expander{m: m, ps: ps, value: map[string]int{}}
	x.lists = append(x.lists, m.Stations...)
	x.shared = len(x.lists)
	if own != nil {
		for _, e := range own.Entries {
			l := StationList{Name: e.Name, At: e.At}
			for _, item := range e.Value.Items {
				l.Values = append(l.Values, item.Text)
			}
			if len(l.Values) == 0 {
				ps.Addf(written.WrongKind, e.Value.At, "place: %q takes an array with at least one item", e.Name)
			}
			x.lists = append(x.lists, l)
		}
	}
	table, _, many := strings.Cut(id.Text, "{")
	table = strings.TrimRight(table, "_-")
	if n := x.combinations(id); len(m.Places)+n > mostPlaces {
		ps.Addf(TooManyPlaces, id.At, "more than %d places", mostPlaces)
		m.tooMany = true
		return
	}
	x.each(id, func() {
		p := Place{ID: x.fill(id.Text, id), Kind: kind, Table: table, At: id.At}
		if !validID(p.ID) || table == "" {
			ps.Addf(BadID, id.At, "place: %q is no id", p.ID).
				Hint("an id begins with a word of its own and has letters, digits, '_' and '-': seat_{valve}")
		}
		if many {
			p.Row = strings.TrimLeft(strings.TrimPrefix(p.ID, table), "_-")
		}
		if x.perStation {
			p.Station = m.Stations[0].Values[x.station]
		}
		if name != nil {
			p.Name = x.fill(name.Text, name)
		}
		if refs != nil {
			for _, e := range refs.Entries {
				p.Refs = append(p.Refs, x.reference(e))
			}
		}
		p.Wants, p.Has = x.lines(wants), x.lines(has)
		if p.At.IsZero() {
			p.At = at
		}
		m.Places = append(m.Places, p)
	})
	ps.Dedupe()
}

// expander fills {name} with the items of station lists and of a place's own
// lists; {name-1} and {name+1} are the station before and after.
type expander struct {
	m          *Machine
	ps         *source.Problems
	lists      []StationList
	shared     int // lists[:shared] are the machine's, which go together
	station    int
	perStation bool
	value      map[string]int // own lists: which item
}

// named finds which lists the template names: whether the machine's, and which
// of the place's own.
func (x *expander) named(template *written.Node) (stations int, own []StationList) {
	x.perStation = false
	for _, name := range names(template.Text) {
		for i, l := range x.lists {
			switch {
			case l.Name != name:
			case i < x.shared:
				x.perStation = true
			case !slices.ContainsFunc(own, func(o StationList) bool { return o.Name == name }):
				own = append(own, l)
			}
		}
	}
	if stations = 1; x.perStation {
		stations = len(x.m.Stations[0].Values)
	}
	return stations, own
}

// combinations counts what the template makes, up to one more than the most
// places there can be.
func (x *expander) combinations(template *written.Node) int {
	n, own := x.named(template)
	for _, l := range own {
		n = min(n*len(l.Values), mostPlaces+1)
	}
	return n
}

// each calls f for every combination that the template names.
func (x *expander) each(template *written.Node, f func()) {
	stations, own := x.named(template)
	var rec func(k int)
	rec = func(k int) {
		if k == len(own) {
			f()
			return
		}
		for i := range own[k].Values {
			x.value[own[k].Name] = i
			rec(k + 1)
		}
	}
	for x.station = 0; x.station < stations; x.station++ {
		rec(0)
	}
}

// names lists the {names} of a template without their +1 or -1.
func names(template string) []string {
	var out []string
	for {
		_, rest, ok := strings.Cut(template, "{")
		if !ok {
			return out
		}
		name, after, ok := strings.Cut(rest, "}")
		if !ok {
			return out
		}
		name = strings.TrimSuffix(strings.TrimSuffix(name, "-1"), "+1")
		out = append(out, name)
		template = after
	}
}

// fill puts the values of now into a template; "" if a station before or
// after does not exist.
func (x *expander) fill(template string, at *written.Node) string {
	if !strings.Contains(template, "{") {
		return template
	}
	var b strings.Builder
	for {
		words, rest, ok := strings.Cut(template, "{")
		b.WriteString(words)
		if !ok {
			return b.String()
		}
		name, after, ok := strings.Cut(rest, "}")
		if !ok {
			x.ps.Addf(UnknownStation, at.At, "a { without its }")
			return b.String()
		}
		template = after
		step := 0
		if s, ok := strings.CutSuffix(name, "+1"); ok {
			name, step = s, 1
		} else if s, ok := strings.CutSuffix(name, "-1"); ok {
			name, step = s, -1
		}
		l, i := x.find(name)
		if l == nil {
			all := make([]string, len(x.lists))
			for k := range x.lists {
				all[k] = x.lists[k].Name
			}
			x.ps.Addf(UnknownStation, at.At, "{%s} is none of the lists of stations", name).DidYouMean(name, all)
			return b.String()
		}
		if i += step; i < 0 || i >= len(l.Values) {
			return ""
		}
		b.WriteString(l.Values[i])
	}
}

func (x *expander) find(name string) (*StationList, int) {
	for k := range x.lists {
		if l := &x.lists[k]; l.Name == name {
			if k < x.shared {
				if !x.perStation {
					return nil, 0
				}
				return l, x.station
			}
			i, ok := x.value[name]
			if !ok {
				return nil, 0
			}
			return l, i
		}
	}
	return nil, 0
}

func (x *expander) reference(e written.Entry) Reference {
	ref := Reference{Property: Word{e.Name, e.At}}
	items := []*written.Node{e.Value}
	if e.Value.Kind == written.Array {
		ref.List, items = true, e.Value.Items
	}
	for _, item := range items {
		if item.Kind != written.String {
			x.ps.Addf(written.WrongKind, item.At, "place: a reference is the id of a place in quotes, this is %s", item.Kind)
			continue
		}
		if id := x.fill(item.Text, item); id != "" {
			ref.To = append(ref.To, Word{id, item.At})
		}
	}
	return ref
}

func (x *expander) lines(n *written.Node) []Line {
	out := lines(n)
	for i := range out {
		if v := out[i].Value; v.Kind == written.String && strings.Contains(v.Text, "{") {
			filled := *v
			filled.Text = x.fill(v.Text, v)
			if _, err := strconv.ParseFloat(filled.Text, 64); err == nil {
				filled.Kind = written.Float // from_feed = "{from_feed}" stands for the number of the list
			}
			out[i].Value = &filled
		}
	}
	return out
}
