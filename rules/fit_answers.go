package rules

import (
	"path/filepath"
	"slices"
	"strings"

	"whyworn/facts"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// Codes of answers.
var (
	FindingObserved = source.Declare("finding-observed", "what is concluded, computed or fixed by the machine is written as if it had been observed")
	AmbiguousSign   = source.Declare("ambiguous-sign", "a sign under [before] could be of the parts of more than one table")
	ReadingsForAll  = source.Declare("readings-for-all", "readings of a size are stated for all stations at once")
	PhotoOutside    = source.Declare("photo-outside", "a photograph does not lie inside the inspection's folder")
)

// toolOf is the instrument of each property of a table.
type toolOf []struct {
	prop string
	tool int32
}

// table reads one table of places.
func (x *Fitter) table(e *written.Entry) {
	t := x.l.table(e.Name)
	switch {
	case t == nil:
		x.unknownTable(e)
		return
	case e.Value.Kind == written.String && t.alone:
		x.line(t.parts, e, nil, false)
		return
	case e.Value.Kind == written.String:
		x.ps.Addf(written.WrongKind, e.Value.At, "%q stands for %d places; each has a line of its own", e.Name, len(t.parts)).
			Hint("write [%s] and below it %s = %q", e.Name, x.l.Parts[t.parts[0]].Row, e.Value.Text)
		return
	}
	tools := x.toolLines(t, e.Value)
	if t.alone {
		x.line(t.parts, e, tools, false)
		return
	}
	for i := range e.Value.Entries {
		line := &e.Value.Entries[i]
		switch line.Name {
		case "tool":
		case "all":
			x.line(t.parts, line, tools, true)
		default:
			if at, ok := t.lines[line.Name]; ok {
				x.line(t.parts[at:at+1], line, tools, false)
			} else {
				x.unknownLine(t, line)
			}
		}
	}
}

func (x *Fitter) unknownTable(e *written.Entry) {
	names := x.tableNames()
	if n, ok := x.l.Find(e.Name); ok && x.l.Parts[n].Row != "" {
		p := &x.l.Parts[n]
		x.ps.Addf(facts.UnknownPlace, e.At, "%q is a line of the table [%s]", e.Name, p.Table).Hint("write [%s] and below it %s = { … }", p.Table, p.Row)
		return
	}
	if e.Value.Kind == written.String {
		p := x.ps.Addf(written.UnknownKey, e.At, "inspection: the key %q means nothing here, and no place has this name", e.Name)
		p.DidYouMean(e.Name, append(names, facts.ReservedTables...))
		return
	}
	p := x.ps.Addf(facts.UnknownPlace, e.At, "the machine has no place for the table [%s]", e.Name)
	p.DidYouMean(e.Name, append(names, "before", "tools", "confirmed"))
	if len(p.Hints) == 0 && len(names) > 0 && len(names) <= 40 {
		p.Hint("its tables are %s", strings.Join(names, ", "))
	}
}

func (l *Layout) tableNames() []string {
	var names []string
	for m := l; m != nil; m = m.base {
		for name := range m.tables {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

func (x *Fitter) tableNames() []string {
	if tooDear(len(x.l.Parts), x.ps) {
		return nil
	}
	return x.l.tableNames()
}

func (x *Fitter) unknownLine(t *table, e *written.Entry) {
	p := x.ps.Addf(facts.UnknownStation, e.At, "the table [%s] has no line %q", t.name, e.Name)
	if tooDear(len(t.parts), x.ps) {
		return
	}
	lines := make([]string, len(t.parts))
	for i, n := range t.parts {
		lines[i] = x.l.Parts[n].Row
	}
	for _, k := range t.kinds {
		if k.Property(e.Name) != nil {
			p.Hint("%s is a property of %s: write %s = { %s = … }, or all = { … } if it was looked at on every one", e.Name, k.Name, lines[0], e.Name)
			return
		}
	}
	p.DidYouMean(e.Name, append(lines, "all"))
	if len(lines) <= 20 {
		p.Hint("its lines are %s", strings.Join(lines, ", "))
	}
}

// toolLines reads tool = { diameter = "mic" } of a table.
func (x *Fitter) toolLines(t *table, n *written.Node) toolOf {
	lines := n.Get("tool")
	if lines == nil {
		return nil
	}
	return x.toolTable(lines, func(e *written.Entry) bool {
		for _, k := range t.kinds {
			if k.Property(e.Name) != nil {
				return true
			}
		}
		var ids []string
		for _, k := range t.kinds {
			ids = append(ids, propertyIDs(k, answerable)...)
		}
		x.ps.Addf(condition.UnknownProperty, e.At, "no part of [%s] has a property %q", t.name, e.Name).DidYouMean(e.Name, ids)
		return false
	})
}

func (x *Fitter) toolTable(lines *written.Node, known func(*written.Entry) bool) toolOf {
	if lines.Kind != written.Table {
		x.ps.Addf(written.WrongKind, lines.At, "tool says for each property what measured it, this is %s", lines.Kind).
			Hint("write tool = { diameter = \"mic\" }")
		return nil
	}
	var out toolOf
	for i := range lines.Entries {
		e := &lines.Entries[i]
		if e.Value.Kind != written.String {
			x.ps.Addf(written.WrongKind, e.Value.At, "tool: the name of an instrument in quotes is needed, this is %s", e.Value.Kind)
			continue
		}
		if !known(e) {
			continue
		}
		if k, ok := x.tool(e.Value.Text, e.Value.At); ok {
			out = append(out, struct {
				prop string
				tool int32
			}{e.Name, k})
		}
	}
	return out
}

func (t toolOf) of(prop string) int32 {
	for i := range t {
		if t[i].prop == prop {
			return t[i].tool
		}
	}
	return -1
}

func answerable(p *vocab.Property) bool { return p.Observable }

// line reads what is said of one part, or of all parts of a table.
func (x *Fitter) line(parts []int32, e *written.Entry, tools toolOf, forAll bool) {
	switch e.Value.Kind {
	case written.Table:
		for i := range e.Value.Entries {
			a := &e.Value.Entries[i]
			if a.Name == "tool" && x.l.Parts[parts[0]].Row == "" {
				continue // of a place by itself: read with its table
			}
			x.answer(parts, i, a.Name, a.At, a.Value, tools, forAll)
		}
	case written.String:
		x.answer(parts, 0, "found", e.At, e.Value, nil, forAll)
	default:
		x.ps.Addf(written.WrongKind, e.Value.At, "%q takes a table of answers, this is %s", e.Name, e.Value.Kind).
			Hint("write %s = { tint = \"blue\" }, or %s = \"missing\" for a part that was not there", e.Name, e.Name)
	}
}

// property finds a property of a kind by the name that stands at a place in its
// line: mostly the one that stood there in the line before.
func (x *Fitter) property(k *vocab.Kind, id string, place int) *vocab.Property {
	lately := &x.lately[(k.Index*16+place)%len(x.lately)]
	if p := *lately; p != nil && p.Kind == k && p.ID == id {
		return p
	}
	p := k.Property(id)
	*lately = p
	return p
}

// answer reads the answer to one property, at a place in its line, for one part
// or for all of a table that have it.
func (x *Fitter) answer(parts []int32, place int, id string, at source.Span, n *written.Node, tools toolOf, forAll bool) {
	var kind *vocab.Kind
	read := int32(-1) // index in said of the answer of parts of this kind
	known := false
	for _, part := range parts {
		if k := x.l.Parts[part].Kind; k != kind {
			kind = k
			p := x.property(k, id, place)
			read = -1
			if p == nil || p.Bound != vocab.NoBound && !answerable(p) {
				continue
			}
			known = true
			if !x.mayAnswer(p, at) || !x.read(p, n, forAll) {
				continue
			}
			read = int32(len(x.said) - 1)
			if a := &x.said[read]; a.tool < 0 {
				a.tool = tools.of(id)
			}
		}
		if read >= 0 {
			x.tell(part, read)
		}
	}
	if known {
		return
	}
	k := x.l.Parts[parts[0]].Kind
	if machine := x.l.Parts[0].Kind; k != machine {
		if p := machine.Property(id); p != nil && p.Observable {
			x.ps.Addf(condition.UnknownProperty, at, "a %s has no property %q", k.Name, id).Hint("it is asked of the %s: write it under [before]", machine.Name)
			return
		}
	}
	q := unknownProperty(x.ps, facts.Word{Text: id, At: at}, k, answerable)
	for _, p := range k.Properties {
		if len(q.Hints) == 0 && p.Observable && p.Type == vocab.Choice && n.Kind == written.String && p.Choice(id) >= 0 {
			q.Hint("%q is a choice of %s: write %s = %q", id, p.ID, p.ID, id)
		}
	}
}

// mayAnswer tells whether a person may answer p, and the problem if not.
func (x *Fitter) mayAnswer(p *vocab.Property, at source.Span) bool {
	if p.Observable {
		return true
	}
	q := x.ps.Addf(FindingObserved, at, "%s cannot be observed: it is %s", p.Label(), origin(p))
	switch {
	case p.Role.Concluded():
		q.Hint("write the signs you saw; what you decide yourself stands in [[decision]], what proved true later in [confirmed]")
	case p.Role == vocab.Derived:
		q.Hint("write the readings: %s = \"…\"", p.Of.ID)
	case p.Type == vocab.Part || p.Type == vocab.Parts:
		q.Hint("references stand in the machine file, or in refs of a [[part]]")
	}
	return false
}

// read reads one answer to the end of said. False if nothing was answered: there
// is a problem.
func (x *Fitter) read(p *vocab.Property, n *written.Node, forAll bool) bool {
	x.said = append(x.said, said{tool: -1, prop: p, forAll: forAll})
	a := &x.said[len(x.said)-1]
	if n.Kind != written.Table {
		a.answer = x.answers.next()
		*a.answer = facts.Answer{Is: n, At: n.At}
	} else {
		a.answer = facts.ReadAnswer(n, x.ps)
		if a.answer.Is == nil {
			return false
		}
		x.more(a)
		n = a.answer.Is
	}
	if n.Kind == written.String && strings.TrimSpace(n.Text) == "" {
		a.blank = true
		return true
	}
	if p.Type == vocab.Size {
		return x.readSize(a, n)
	}
	var ok bool
	a.value, ok = readValue(p, n, x.ps)
	return ok
}

// more checks what an answer says besides its value.
func (x *Fitter) more(a *said) {
	if t := a.answer.Tool; t != "" {
		a.tool, _ = x.tool(t, a.answer.At)
	}
	x.photo(a.answer.Photo, a.answer.At)
	if a.answer.Temp != nil && a.prop.Type != vocab.Number && a.prop.Type != vocab.Size {
		x.ps.Addf(BadTemperature, a.answer.Temp.At, "%s is no length, so that a temperature changes nothing", a.prop.Label()).Hint("leave it out").Warn()
	}
}

func (x *Fitter) photo(name string, at source.Span) {
	if name != "" && !filepath.IsLocal(filepath.FromSlash(name)) {
		x.ps.Addf(PhotoOutside, at, "the photograph %q does not lie inside the inspection's folder", name).
			Hint("copy it beside the inspection and give its name")
	}
}

// readSize checks what can be checked of a size before its instrument is known.
func (x *Fitter) readSize(a *said, n *written.Node) bool {
	switch {
	case n.Kind != written.String:
		x.ps.Addf(written.WrongKind, n.At, "%s takes its readings as one string, this is %s", a.prop.Label(), n.Kind).
			Hint("parts along are parted by '/', readings round it by blanks: \"14.920 14.971 / 14.902 14.970\"")
		return false
	case strings.TrimSpace(n.Text) == "?":
		a.value.Looked = vocab.CouldNotTell
	case a.forAll:
		x.ps.Addf(ReadingsForAll, n.At, "readings of %s are stated for all", a.prop.ID).Hint("give each station its own readings")
		return false
	default:
		a.value.Looked = vocab.Told
	}
	return true
}

// before reads [before]: signs of the machine, and signs of parts had before a
// nut is turned.
func (x *Fitter) before() {
	n := x.in.Before
	if n == nil {
		return
	}
	machine := x.l.Parts[0].Kind
	var tools toolOf
	if t := n.Get("tool"); t != nil {
		tools = x.toolTable(t, func(*written.Entry) bool { return true })
	}
	for i := range n.Entries {
		e := &n.Entries[i]
		if e.Name == "tool" {
			continue
		}
		if machine.Property(e.Name) != nil {
			x.answer([]int32{0}, i, e.Name, e.At, e.Value, tools, false)
			continue
		}
		if t := x.earlyTable(e); t != nil {
			x.beforeLines(t, e, tools)
		}
	}
}

// earlyTable finds the one table whose parts have a sign under [before].
func (x *Fitter) earlyTable(e *written.Entry) *table {
	l := x.l
	if l.base != nil {
		l = l.base
	}
	may := l.early[e.Name]
	if len(may) > 1 && e.Value.Kind == written.Table { // the lines tell which
		var fit []*table
		for _, t := range may {
			if !slices.ContainsFunc(e.Value.Entries, func(line written.Entry) bool { _, ok := t.lines[line.Name]; return !ok && line.Name != "all" }) {
				fit = append(fit, t)
			}
		}
		if len(fit) > 0 {
			may = fit
		}
	}
	switch len(may) {
	case 1:
		return may[0]
	case 0:
		x.notEarly(l, e)
	default:
		var names []string
		for _, t := range may {
			names = append(names, "["+t.name+"]")
		}
		x.ps.Addf(AmbiguousSign, e.At, "%q could be of %s", e.Name, strings.Join(names, " or ")).
			Hint("write it there: %s and a line for each station", names[0])
	}
	return nil
}

func (x *Fitter) notEarly(l *Layout, e *written.Entry) {
	p := x.ps.Addf(condition.UnknownProperty, e.At, "before a nut is turned nothing is asked of the name %q", e.Name)
	if x.l.table(e.Name) != nil {
		p.Hint("[%s] is a table of its own: what is said there needs no word of when it was seen", e.Name)
		return
	}
	for _, name := range x.tableNames() {
		for _, k := range x.l.table(name).kinds {
			if k.Property(e.Name) != nil {
				p.Hint("write it in the table [%s]", name)
				return
			}
		}
	}
	all := propertyIDs(l.Parts[0].Kind, answerable)
	for id := range l.early {
		all = append(all, id)
	}
	p.DidYouMean(e.Name, all)
}

// beforeLines reads a sign under [before] with a line for each station.
func (x *Fitter) beforeLines(t *table, e *written.Entry, tools toolOf) {
	if t.alone {
		x.answer(t.parts, 0, e.Name, e.At, e.Value, tools, false)
		return
	}
	if e.Value.Kind != written.Table {
		x.ps.Addf(written.WrongKind, e.Value.At, "%q is asked at each station of [%s], this is %s", e.Name, t.name, e.Value.Kind).
			Hint("write %s = { %s = … }", e.Name, x.l.Parts[t.parts[0]].Row)
		return
	}
	for i := range e.Value.Entries {
		line := &e.Value.Entries[i]
		if line.Name == "all" {
			x.answer(t.parts, 0, e.Name, line.At, line.Value, tools, true)
		} else if at, ok := t.lines[line.Name]; ok {
			x.answer(t.parts[at:at+1], 0, e.Name, line.At, line.Value, tools, false)
		} else {
			x.unknownLine(t, line)
		}
	}
}
