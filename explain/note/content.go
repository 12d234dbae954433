package note

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"whyworn/engine/record"
	"whyworn/explain"
	"whyworn/facts/source"
	"whyworn/facts/truth"
)

// Of makes the content of a note. Photographs are read from the folder of the
// inspection, nil if it has none; the problems are warnings, one for each
// photograph that cannot be shown.
func Of(d *explain.Diagnosis, photos fs.FS) (*Content, source.Problems) {
	in := d.Facts.Inspection
	d, long := named(d)
	w := &writer{d: d, c: &Content{
		Title:   "Cause and remedy",
		Machine: joined(", ", d.Facts.Machine.Name, in.Number),
		Author:  in.By,
		Date:    in.Date.Text,
	}}
	if t, err := time.Parse(time.DateOnly, in.Date.Text); err == nil {
		w.c.Dated = t.UTC()
	}
	w.pictures()
	w.about()
	w.summary()
	w.becomes()
	w.measured()
	w.earlier()
	w.happened()
	w.found()
	w.looked()
	w.unexplained()
	w.cautions()
	w.todo()
	w.after()
	w.trust()
	album := newAlbum(photos)
	w.photographs(album)
	if len(long) > 0 {
		w.head("Names too long for a sentence, in full")
		w.add(Details(long))
	}
	w.signing(hex.EncodeToString(album.digest.Sum(nil)))
	album.ps.Sort()
	return w.c, album.ps
}

// writer gathers the blocks of one note.
type writer struct {
	d       *explain.Diagnosis
	c       *Content
	photos  []picture // in the order of their numbers
	figures int
	tasks   []task
}

func (w *writer) add(b ...Block) { w.c.Blocks = append(w.c.Blocks, b...) }

func (w *writer) head(text string) { w.add(Heading{2, text}) }

func (w *writer) para(lead, text string) { w.add(Paragraph{Lead: lead, Text: text}) }

func (w *writer) small(text string) { w.add(Paragraph{Text: text, Manner: Small}) }

// list adds a list, if there is anything in it.
func (w *writer) list(items []Item) {
	if len(items) > 0 {
		w.add(List{Items: items})
	}
}

// about tells what was stripped, by whom and when.
func (w *writer) about() {
	in, m := w.d.Facts.Inspection, w.d.Facts.Machine
	var out Details
	line := func(name, text string) {
		if text != "" {
			out = append(out, Item{name, text})
		}
	}
	line("Owner", in.Owner)
	when := dateWords(in.Date.Text)
	if in.Hours != nil {
		when = joined(", ", when, in.Hours.Text+" on the meter")
	}
	line("Inspected", when)
	line("By", in.By)
	line("Seen by", in.SeenBy)
	line("Stripped", strings.Join(in.Stripped, "; "))
	line("Not stripped", strings.Join(in.NotStripped, "; "))
	line("Oil", joined(", ", m.Oil.Grade, m.Oil.Note))
	w.add(out)
}

// summaryLines is how many lines a summary has at the most.
const summaryLines = 5

func (w *writer) summary() {
	w.head("Summary")
	lines := []Item{}
	add := func(lead, text string) {
		if text != "" && len(lines) < summaryLines {
			if lead == "" || strings.HasSuffix(lead, ":") {
				text = sentence(text)
			}
			lines = append(lines, Item{lead, stop(text)})
		}
	}
	d := w.d
	if chains := d.Story.Chains; len(chains) == 0 {
		add("", d.InShort()[0])
	} else {
		k := &chains[0]
		b := k.Began()
		lead, began := "Where it began:", b.Roots
		if len(began) == 0 {
			began = b.Circle
		}
		end := ""
		switch {
		case b.Found && len(k.Findings) == 1:
			lead = "What is wrong:"
		case b.Found:
			lead, end = "The earliest thing found:", "; where it began is not known"
		case len(b.Roots) == 0:
			lead = "It feeds itself, and what began it is not known:"
		}
		add(lead, joined(". ", w.grouped(began, 3)+end, prefixed("Apart from that: ", w.apart(chains[1:]))))
		add("What came of it:", w.came(&b))
	}
	becomes := d.VerdictsShort()
	if d.NoWordOnParts() {
		becomes = lowerFirst(explain.NothingApart)
	}
	add("What becomes of it:", becomes)
	switch until := d.DoNotRun(); {
	case len(until) > 0:
		add("Do not run it until", lowerFirst(strings.Join(until, "; and ")))
	case len(d.Remedies) > 0:
		add("First:", d.Say(d.Remedies[0].Remedy.Title, d.Remedies[0].Bound))
	}
	for _, r := range d.Story.LookAlso {
		add("Look also:", w.reach(r))
		break
	}
	if n := len(d.Open); n > 0 {
		add("Not settled:", fmt.Sprintf("%s, see below", count(n, "possible cause", "possible causes")))
	}
	if s := d.NotAccountedFor(); s != "" {
		add("Not explained:", s+", see below")
	}
	w.add(List{Numbered: true, Items: lines})
}

// came names the gravest of what came of where it began, what feeds itself by now,
// and what of it all is least sure.
func (w *writer) came(b *explain.Began) string {
	gravest := func(ids []record.FactID) string {
		const most = 2 // the story tells all
		groups := explain.Grouped(ids)
		var text []string
		for _, g := range groups[:min(most, len(groups))] {
			text = append(text, w.d.Some(g.Parts, 6)+": "+g.Names())
		}
		if len(groups) > most {
			text = append(text, "and more, listed below")
		}
		return strings.Join(text, "; ")
	}
	out := gravest(b.Then)
	for _, c := range b.Feeds {
		out = joined(". ", out, "By now it feeds itself: "+gravest(c))
	}
	if out == "" {
		return ""
	}
	var least *record.Fact
	var of record.FactID
	for _, id := range slices.Concat(append([][]record.FactID{b.Roots, b.Circle, b.Then}, b.Feeds...)...) {
		if f := w.d.Result.Fact(id.Part, id.Prop); !f.Certain && (least == nil || f.Probability < least.Probability) {
			least, of = &f, id
		}
	}
	if least != nil {
		out = joined(". ", out, fmt.Sprintf("Least sure of it is %s (%s)", w.d.FactName(of), sure(*least)))
	}
	return out
}

// apart names where the other chains began.
func (w *writer) apart(chains []explain.Chain) string {
	var ids []record.FactID
	for i := range chains {
		for _, r := range []explain.Role{explain.Root, explain.Circle, explain.Apart} {
			if began := w.factsOf(&chains[i], r); len(began) > 0 {
				ids = append(ids, began...)
				break
			}
		}
	}
	return w.grouped(ids, 4)
}

// trust tells how far the note can be trusted, and who decides.
func (w *writer) trust() {
	w.head("How far this can be trusted")
	d := w.d
	method := d.Pack.LimitsOfMethod
	if method == "" {
		method = "This note is reasoned from signs, readings and what people told. It proves nothing about what was not stripped or not looked at."
	}
	method = stop(sentence(method))
	if !strings.Contains(method, "icensed practice") {
		method += " Licensed practice and the local rules decide whether the machine may run; this note does not."
	}
	w.para("", method)
	if bare := w.bare(); len(bare) > 0 {
		w.para("Concluded without an uncertainty given", "for at least one of the readings. Close to a limit these could be wrong:")
		w.list(bare)
	}
	if items := w.unless(); len(items) > 0 {
		w.para("Stands unless", "what is named here turns out to be so. Nobody has looked:")
		w.list(items)
	}
	if len(d.Result.Conflicts) > 0 {
		w.para("At odds", "with each other are these; one of them is a mistake:")
		var items []Item
		for _, k := range d.Result.Conflicts {
			items = append(items, Item{Text: sentence(d.ConflictWords(k))})
		}
		w.list(items)
	}
	w.para("Words for chances:", "virtually certain, 99 in 100 or more; very likely, 90 or more; likely, 66 or more; about as likely as not, 33 to 66; "+
		"unlikely, 33 or less; very unlikely, 10 or less; exceptionally unlikely, 1 in 100 or less (scale of the IPCC guidance note of 2010).")
}

// bare lists what was decided by readings without an uncertainty.
func (w *writer) bare() []Item {
	var held, excluded, other []record.FactID
	for _, b := range w.d.Result.WithoutU {
		id := b.Fact
		list := &other
		if id.Prop.Role.Concluded() {
			switch w.d.State(id) {
			case truth.True:
				list = &held
			case truth.False:
				list = &excluded
			}
		}
		if !slices.Contains(*list, id) {
			*list = append(*list, id)
		}
	}
	var out []Item
	const most = 40
	for _, l := range []struct {
		lead string
		ids  []record.FactID
	}{{"Held:", held}, {"Excluded:", excluded}, {"Worked out or weighed:", other}} {
		if len(l.ids) > 0 {
			out = append(out, Item{l.lead, stop(w.grouped(l.ids, most))})
		}
	}
	return out
}

// unless lists what conclusions stand on though nobody has looked.
func (w *writer) unless() []Item {
	var out []Item
	for _, a := range w.d.Result.Assumptions {
		item := Item{sentence(w.fact(a.Fact)) + ", unless", w.d.Plain(a.Rule.Unless[a.Unless], a.Bound)}
		if !slices.Contains(out, item) {
			out = append(out, item)
		}
	}
	return out
}

// signing leaves room for names, and says what the note was made of.
func (w *writer) signing(photoDigest string) {
	w.head("Signatures")
	w.add(Signing{"Name", "Date", "Signature", "Owner", "Date", "Signature"})
	w.head("What this note was made from")
	d := w.d
	w.para("", "Knowledge: "+joined(", ", d.Pack.Title, d.Pack.ID+" "+d.Pack.Version)+". The SHA-256 of each source:")
	out := Details{{"Knowledge", d.Pack.Digest}}
	if f := d.Facts.Machine.File; f != nil {
		out = append(out, Item{"Machine", hexDigest(f.Data)})
	}
	out = append(out, Item{"Inspection", d.Facts.Digest})
	if len(w.photos) > 0 {
		out = append(out, Item{"Photographs", photoDigest})
	}
	w.add(out)
	w.small("Made by whyworn. The same files give the same note again, byte for byte.")
}

func hexDigest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
