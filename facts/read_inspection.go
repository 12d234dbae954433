package facts

import (
	"regexp"
	"strconv"

	"whyworn/facts/source"
	"whyworn/facts/written"
)

// Codes of inspection files.
var (
	BadDate         = source.Declare("bad-date", "a date is not year-month-day")
	TwoNames        = source.Declare("two-of-one-name", "two things have the same name")
	EmptyInspection = source.Declare("empty-inspection", "an inspection says nothing of any part")
)

// ReadInspection reads a parsed inspection file, TOML or JSON alike.
func ReadInspection(f *source.File, root *written.Node) (*Inspection, source.Problems) {
	var ps source.Problems
	r := written.Open(root, &ps, "inspection")
	in := &Inspection{File: f}
	in.Machine = word(r.Text("machine", written.Required))
	in.Number, in.By, in.Owner, in.SeenBy = r.String("number"), r.String("by"), r.String("owner"), r.String("seen_by")
	in.Date = date(r, "date", &ps)
	in.Stripped, in.NotStripped = texts(r.Strings("stripped")), texts(r.Strings("not_stripped"))
	in.Hours, in.K = r.Node("hours"), r.Number("k")

	if tools := r.Table("tools"); tools != nil {
		for _, e := range tools.Entries {
			t := written.Open(e.Value, &ps, "tool")
			calibration, k := readCalibration(t.Node("calibration"), &ps)
			in.Tools = append(in.Tools, Tool{
				Name: Word{e.Name, e.At}, Is: t.String("is", written.Required),
				U: t.Node("u"), Calibration: calibration, K: k, Resolution: t.Node("resolution"), Set: t.Node("set"), Reads: t.Text("reads"),
				Temp: t.Node("temp"), Material: t.Text("material"),
				Checked: date(t, "checked", &ps).Text,
			})
			t.Close()
		}
	}
	for i, n := range r.Tables("work") {
		in.readWork(i, n, &ps)
	}
	for _, n := range r.Tables("earlier") {
		e := written.Open(n, &ps, "earlier")
		in.Earlier = append(in.Earlier, Earlier{
			When: date(e, "when", &ps).Text, Hours: e.Node("hours"), Of: word(e.Text("of", written.Required)),
			Property: word(e.Text("property", written.Required)), Value: e.Node("value", written.Required),
			Tool: e.String("tool"), At: e.Place(),
		})
		e.Close()
	}
	in.Before = r.Table("before")
	in.readRest(r, &ps)
	for _, e := range r.Rest() {
		if e.Value.Kind != written.Table && e.Value.Kind != written.String {
			ps.Addf(written.UnknownKey, e.At, "inspection: the key %q means nothing here", e.Name).
				DidYouMean(e.Name, ReservedTables).
				Hint("what is seen of a part stands in the table of its place: [seat]")
			continue
		}
		in.Tables = append(in.Tables, e)
	}
	r.Close()
	if in.Machine.Text == "" && len(root.Entries) == 0 {
		for _, p := range ps {
			if p.Code == written.MissingKey {
				p.Message = "the inspection is empty"
				p.Hint("begin with machine = \"…\", the id of a machine file beside it; then a table for each place: [seat] and 1in = { tint = \"blue\" }")
			}
		}
	}
	said := len(in.Tables) + len(in.Work) + len(in.Parts) + len(in.Earlier) + len(in.Remarks) + len(in.Photos) + len(in.Decisions)
	if len(ps) == 0 && said == 0 && in.Before == nil {
		ps.Addf(EmptyInspection, source.Span{File: f}, "the inspection says nothing of any part").
			Hint("add a table for a place and a line for each station: [seat] and 1in = { tint = \"blue\" }")
	}
	return in, ps
}

// readCalibration reads a standard uncertainty, or an expanded one with its k:
// { U = "0.004 mm", k = 2 }.
func readCalibration(n *written.Node, ps *source.Problems) (u, k *written.Node) {
	if n == nil || n.Kind != written.Table {
		return n, nil
	}
	t := written.Open(n, ps, "calibration")
	defer t.Close()
	return t.Node("U", written.Required), t.Number("k", written.Required)
}

func (in *Inspection) readWork(i int, n *written.Node, ps *source.Problems) {
	r := written.Open(n, ps, "work")
	w := Work{
		ID: word(r.Text("id")), When: date(r, "when", ps).Text, Hours: r.Node("hours"),
		Did: r.Node("did"), LeftOut: r.Node("left_out"), By: r.String("by"), ToldBy: r.Node("told_by"), Note: r.String("note"),
		On: words(r.Strings("on")), At: r.Place(),
	}
	for _, e := range r.Rest() {
		w.More = append(w.More, Line{Word{e.Name, e.At}, e.Value})
	}
	if w.ID.Text == "" {
		w.ID = Word{"work_" + strconv.Itoa(i+1), w.At}
	}
	if w.Did == nil && w.LeftOut == nil {
		ps.Addf(NeedsOneOf, r.Place(), "work: give did, left_out or both")
	}
	r.Close()
	in.Work = append(in.Work, w)
}

func (in *Inspection) readRest(r *written.Reader, ps *source.Problems) {
	for _, n := range r.Tables("part") {
		p := written.Open(n, ps, "part")
		a := AddedPart{Kind: word(p.Text("kind", written.Required)), ID: word(p.Text("id", written.Required)), Name: p.String("name"), At: p.Place()}
		if refs := p.Table("refs"); refs != nil {
			x := &expander{ps: ps}
			for _, e := range refs.Entries {
				a.Refs = append(a.Refs, x.reference(e))
			}
		}
		if a.ID.Text != "" && !validID(a.ID.Text) {
			ps.Addf(BadID, a.ID.At, "part: %q is no id", a.ID.Text).Hint("an id has letters, digits, '_' and '-'")
		}
		p.Close()
		in.Parts = append(in.Parts, a)
	}
	for _, n := range r.Tables("remark") {
		k := written.Open(n, ps, "remark")
		in.Remarks = append(in.Remarks, Remark{Of: word(k.Text("of")), Text: k.String("text", written.Required), Photo: k.String("photo"), At: k.Place()})
		k.Close()
	}
	for _, n := range r.Tables("photo") {
		k := written.Open(n, ps, "photo")
		in.Photos = append(in.Photos, Photo{File: word(k.Text("file", written.Required)), Caption: k.String("caption"), Of: word(k.Text("of")), At: k.Place()})
		k.Close()
	}
	for _, n := range r.Tables("decision") {
		k := written.Open(n, ps, "decision")
		in.Decisions = append(in.Decisions, Decision{
			Of: word(k.Text("of", written.Required)), Verdict: word(k.Text("verdict", written.Required)),
			Because: k.String("because"), By: k.String("by"), At: k.Place(),
		})
		k.Close()
	}
	if n := r.Table("confirmed"); n != nil {
		k := written.Open(n, ps, "confirmed")
		in.Confirmed = &Confirmed{Causes: words(k.Strings("causes", written.Required)), By: k.String("by"), When: date(k, "when", ps).Text, How: k.String("how"), At: k.Place()}
		k.Close()
	}
	for _, order := range r.Array("order") {
		if order.Kind != written.Array || len(order.Items) < 2 {
			ps.Addf(written.WrongKind, order.At, "order: each order of events is an array of two or more ids").
				Hint("order = [[\"feed.choked\", \"seat_2ex.overheated\"]]")
			continue
		}
		in.Orders = append(in.Orders, words(order.Items))
	}
}

func texts(ns []*written.Node) []string {
	var out []string
	for _, n := range ns {
		out = append(out, n.Text)
	}
	return out
}

func words(ns []*written.Node) []Word {
	var out []Word
	for _, n := range ns {
		out = append(out, word(n))
	}
	return out
}

var dateForm = regexp.MustCompile(`^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$`)

// date reads a year-month-day; a time of day is no date here.
func date(r *written.Reader, key string, ps *source.Problems) Word {
	n := r.Date(key)
	if n == nil {
		return Word{}
	}
	if !dateForm.MatchString(n.Text) {
		ps.Addf(BadDate, n.At, "%q is no date", n.Text).Hint("write year-month-day: 2026-11-12")
		return Word{}
	}
	return word(n)
}
