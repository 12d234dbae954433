package rules

import (
	"cmp"
	"strconv"
	"strings"
	"time"

	"whyworn/facts"
	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// LaterThanInspection is the code of earlier work that is not earlier.
var LaterThanInspection = source.Declare("later-than-inspection", "work or a reading of an earlier day is later than the inspection, by date or by hours")

// layoutsOf are layouts with work added, by the work's ids and places: what a
// batch of one machine tells of work is mostly told of the same. The next Fit
// writes the names of its own work into them.
type layoutsOf map[string]*Layout

const mostLayouts = 16 // that are kept

// extend takes a layout with the work and the parts that the inspection adds.
func (x *Fitter) extend() {
	in := x.in
	if len(in.Work) == 0 && len(in.Parts) == 0 {
		return
	}
	if x.made == nil || len(in.Parts) > 0 {
		x.newLayout()
		return
	}
	x.key = x.key[:0]
	for i := range in.Work {
		w := &in.Work[i]
		x.key = strconv.AppendQuote(strconv.AppendInt(x.key, int64(len(w.On)), 10), w.ID.Text)
		for _, on := range w.On {
			x.key = strconv.AppendQuote(x.key, on.Text)
		}
	}
	if l := x.made[string(x.key)]; l != nil {
		x.l = l
		for i := range in.Work {
			l.Parts[len(x.base.Parts)+i].takeWork(&in.Work[i])
		}
		return
	}
	problems := len(*x.ps)
	if x.newLayout(); len(*x.ps) == problems {
		if len(x.made) == mostLayouts {
			clear(x.made)
		}
		x.made[string(x.key)] = x.l
	}
}

// newLayout makes such a layout.
func (x *Fitter) newLayout() {
	in, l := x.in, *x.base
	l.base = x.base
	l.byID, l.tables = make(map[string]int32, len(in.Work)+len(in.Parts)), map[string]*table{}
	x.l = &l
	a := &assembler{l: &l, ps: x.ps, lists: map[*vocab.Property][]pair{}}
	a.start(len(in.Work) + len(in.Parts))
	kind := l.Pack.Vocabulary.Kind("work")
	works, parts := make([]int32, len(in.Work)), make([]int32, len(in.Parts))
	for i := range in.Work {
		w := &in.Work[i]
		if works[i] = -1; x.free(w.ID) {
			works[i] = a.add(Part{ID: w.ID.Text, Kind: kind, Added: true})
			l.Parts[works[i]].takeWork(w)
		}
	}
	for i := range in.Parts {
		p := &in.Parts[i]
		parts[i] = -1
		if k := a.kind(p.Kind); k != nil && p.ID.Text != "" && x.free(p.ID) {
			parts[i] = a.add(Part{ID: p.ID.Text, Name: p.Name, Kind: k, Table: p.ID.Text, Added: true, At: p.At})
			l.enter(parts[i])
		}
	}
	a.columns()
	if on := kind.Property("on"); on != nil {
		for i, n := range works {
			if n >= 0 {
				for _, part := range x.reached(in.Work[i].On) {
					a.lists[on] = append(a.lists[on], pair{l.Parts[n].Ordinal, part})
				}
			}
		}
	}
	for i, n := range parts {
		if n >= 0 {
			a.references(n, in.Parts[i].Refs)
		}
	}
	a.reverse()
	a.loops()
	l.declareFor(a.from)
}

// takeWork makes a part of a piece of work.
func (p *Part) takeWork(w *facts.Work) {
	p.Work, p.At = w, w.At
	if p.Name = workName(w); p.Name == "" {
		p.Name = plainWords.Replace(p.ID)
	}
}

// declareFor gives new parts what is fixed for every part of their kind.
func (l *Layout) declareFor(from int32) {
	l.Declared = l.Declared[:len(l.Declared):len(l.Declared)]
	for n := from; int(n) < len(l.Parts); n++ {
		for i := range l.fixed {
			if f := &l.fixed[i]; f.prop.Kind == l.Parts[n].Kind {
				l.Declared = append(l.Declared, f.of(n))
			}
		}
	}
}

// free tells whether an added part can have this id, and the problem if not.
func (x *Fitter) free(id facts.Word) bool {
	if n, ok := x.l.Find(id.Text); ok {
		x.ps.Addf(facts.TwoNames, id.At, "%q is the id of another part", id.Text).Beside(x.l.Parts[n].At, "the other one").Hint("give it another id")
		return false
	}
	if x.l.table(id.Text) != nil {
		x.ps.Addf(facts.TwoNames, id.At, "%q is the name of a table of places", id.Text).Hint("give it another id")
		return false
	}
	for _, r := range facts.ReservedTables {
		if r == id.Text {
			x.ps.Addf(facts.ReservedTable, id.At, "an inspection file uses the name %q for something else", id.Text).Hint("give it another id")
			return false
		}
	}
	return true
}

func workName(w *facts.Work) string {
	name := "work"
	if n := cmp.Or(w.Did, w.LeftOut); n != nil && n.Kind == written.String {
		name = strings.ReplaceAll(n.Text, "_", " ")
		if w.Did == nil {
			name = "left out: " + name
		}
	}
	if w.When != "" {
		name += ", " + w.When
	}
	return name
}

// reached resolves what work was done on: parts, or all parts of a table.
func (x *Fitter) reached(on []facts.Word) []int32 {
	var out []int32
	for _, w := range on {
		if n, ok := x.l.Find(w.Text); ok {
			out = append(out, n)
		} else if t := x.l.table(w.Text); t != nil {
			out = append(out, t.parts...)
		} else if w.Text != "" {
			x.unknownPart("work", w, x.tableNames()...)
		}
	}
	return out
}

func (x *Fitter) unknownPart(what string, w facts.Word, more ...string) {
	p := x.ps.Addf(facts.UnknownPlace, w.At, "%s: %q is no part here", what, w.Text)
	ids := x.l.ids(nil, x.ps)
	// pedestal_9 of a table [pedestal]: its lines say more than the nearest name.
	for _, name := range more {
		t := x.l.table(name)
		if rest, ok := strings.CutPrefix(w.Text, name+"_"); ok && rest != "" && t != nil && !t.alone && len(t.parts) <= 20 {
			parts := make([]string, len(t.parts))
			for i, n := range t.parts {
				parts[i] = x.l.Parts[n].ID
			}
			if near, ok := source.Nearest(w.Text, parts); ok && len(parts) > 4 {
				p.Hint("did you mean %q?", near)
			}
			p.Hint("there are %s", strings.Join(parts, ", "))
			return
		}
	}
	p.DidYouMean(w.Text, append(ids, more...))
}

// work types what is told of each work.
func (x *Fitter) work() {
	for i := range x.l.Parts[len(x.l.Parts)-x.addedParts():] {
		n := int32(len(x.l.Parts) - x.addedParts() + i)
		part := &x.l.Parts[n]
		if part.Work == nil {
			continue
		}
		w := part.Work
		for _, told := range [...]struct {
			id   string
			node *written.Node
		}{{"did", w.Did}, {"left_out", w.LeftOut}, {"told_by", w.ToldBy}} {
			if told.node != nil {
				x.toldOfWork(n, facts.Word{Text: told.id, At: told.node.Place()}, told.node)
			}
		}
		for _, line := range w.More {
			x.toldOfWork(n, line.Property, line.Value)
		}
		x.ago(n, w)
	}
}

func (x *Fitter) addedParts() int {
	if x.l.base == nil {
		return 0
	}
	return len(x.l.Parts) - len(x.l.base.Parts)
}

// toldOfWork enters a property of work as written.
func (x *Fitter) toldOfWork(n int32, id facts.Word, node *written.Node) {
	k := x.l.Parts[n].Kind
	p := k.Property(id.Text)
	can := func(p *vocab.Property) bool {
		return !p.Role.Concluded() && p.Role != vocab.Derived && p.Type != vocab.Size && p.Type != vocab.Part && p.Type != vocab.Parts && p.ID != "hours_ago" && p.ID != "days_ago"
	}
	switch {
	case p == nil:
		unknownProperty(x.ps, id, k, can).Hint("of work can be told: %s", strings.Join(append(propertyIDs(k, can), "when", "hours", "on", "by", "note", "id"), ", "))
		return
	case !can(p):
		q := x.ps.Addf(FindingObserved, id.At, "%s cannot be told: it is %s", p.Label(), origin(p))
		if p.ID == "hours_ago" || p.ID == "days_ago" {
			q.Message = p.Label() + " is worked out of the inspection's date and hours and those of the work"
			q.Hint("write when = … and hours = \"…\"")
		}
		return
	}
	if x.read(p, node, false) {
		x.tell(n, int32(len(x.said)-1))
	}
}

// ago works out how long ago work was done, by the meter and by the calendar.
func (x *Fitter) ago(n int32, w *facts.Work) {
	if w.Hours != nil {
		then, ok := quantity(w.Hours, hour, x.ps)
		if ok && x.f.Hours != nil {
			ago := x.f.Hours.Sub(then)
			if ago.Hi < 0 {
				x.ps.Addf(LaterThanInspection, w.Hours.At, "the work was done at more hours than the inspection").Beside(x.in.Hours.At, "the inspection")
			} else {
				x.since(n, "hours_ago", numberValue(notNegative(ago)), w.Hours)
			}
		}
	}
	if days, ok := daysBetween(w.When, x.in.Date.Text); ok {
		if days < 0 {
			x.ps.Addf(LaterThanInspection, w.At, "the work of %s is later than the inspection", w.When).Beside(x.in.Date.At, "the inspection")
			return
		}
		x.since(n, "days_ago", numberValue(measure.Exact(day.ToBase(float64(days)))), nil)
	}
}

var day, _ = measure.UnitOf("d")

// notNegative cuts off what cannot be: time ago is not before 0.
func notNegative(n measure.Number) measure.Number {
	if n.Lo < 0 {
		n.Lo, n.LoOpen = 0, false
	}
	return n
}

func (x *Fitter) since(n int32, id string, v vocab.Value, node *written.Node) {
	p := x.l.Parts[n].Kind.Property(id)
	if p == nil {
		return
	}
	a := x.answers.next()
	*a = facts.Answer{Is: node, At: x.l.Parts[n].Work.At}
	if node != nil {
		a.At = node.At
	}
	x.tellOne(n, said{tool: -1, prop: p, value: v, answer: a})
}

// daysBetween counts calendar days; false if a date is missing.
func daysBetween(from, to string) (int, bool) {
	a, err1 := time.Parse(time.DateOnly, from)
	b, err2 := time.Parse(time.DateOnly, to)
	if err1 != nil || err2 != nil {
		return 0, false
	}
	return int(b.Sub(a).Hours() / 24), true
}
