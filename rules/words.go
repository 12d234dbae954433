package rules

import (
	"errors"
	"strings"

	"whyworn/facts/measure"
	"whyworn/facts/source"
	"whyworn/facts/written"
	"whyworn/rules/vocab"
)

// Codes of a pack's words.
var (
	TooManyChoices = source.Declare("too-many-choices", "a property has more choices than can be handled")
	TwoChoices     = source.Declare("two-choices-alike", "a property lists one choice twice")
	NotAChoiceHere = source.Declare("normal-not-a-choice", "a normal value is none of the property's choices")
	UnknownType    = source.Declare("unknown-type", "a property's type, sort or stage is no word of the format")
	UnitWanted     = source.Declare("unit-wanted", "a number has no unit, or one that is not known")
	TypeMismatch   = source.Declare("type-and-keys", "a property has keys that do not go with its type")
	BadPrior       = source.Declare("bad-frequency", "a frequency is no number between 0 and 1 and no word of frequency")
	BadMinutes     = source.Declare("bad-minutes", "minutes is not a number above 0")
	SignIncomplete = source.Declare("sign-incomplete", "a sign lacks its question, how to look, what is normal, stage or minutes")
	StageOrder     = source.Declare("stage-order", "a sign is destroyed by a stage that is not after its own")
	BadLayout      = source.Declare("bad-layout", "a size's layout of readings does not make sense")
)

const mostChoices = 63

// words reads kinds, properties, findings and computed numbers.
func (l *loader) words() {
	v := l.pack.Vocabulary
	machine := &vocab.Kind{ID: "machine", Name: "machine", Plural: "machines"}
	work := &vocab.Kind{ID: "work", Name: "work", Plural: "work", About: "an earlier act or omission"}
	v.AddKind(machine)
	v.AddKind(work)
	l.refuseSecond()
	for _, n := range l.tables["kind"] {
		if !l.refuses(n, "") {
			l.readKind(n)
		}
	}
	l.builtIn(work)
	for _, t := range []struct {
		name string
		read func(*loader, *written.Node)
	}{{"property", (*loader).readProperty}, {"finding", (*loader).readFinding}, {"computed", (*loader).readComputed}} {
		for _, n := range l.tables[t.name] {
			before := len(l.ps)
			t.read(l, n)
			if leavesDoubt(l.ps[before:]) {
				l.doubt(n)
			}
		}
	}
	for _, k := range v.Kinds {
		bounds(k)
	}
	l.whenNew()
}

func (l *loader) readKind(n *written.Node) {
	r := written.Open(n, &l.ps, "kind")
	id := r.Text("id", written.Required)
	k := &vocab.Kind{Name: r.String("name"), Plural: r.String("plural"), About: r.String("about"),
		AngleZero: r.String("angle_zero"), SeenFrom: r.String("seen_from"), JudgedBy: r.String("judged_by"), At: r.Place()}
	r.Close()
	if !l.name(id, "kind") {
		return
	}
	k.ID, k.At = id.Text, id.At
	if k.Name == "" {
		k.Name = strings.ReplaceAll(k.ID, "_", " ")
	}
	if k.Plural == "" {
		k.Plural = k.Name + "s"
	}
	if old := l.pack.Vocabulary.Kind(k.ID); old != nil {
		if old.At.IsZero() { // built in: the pack may say more about it
			old.Name, old.Plural, old.About, old.At = k.Name, k.Plural, k.About, k.At
			return
		}
		l.ps.Addf(TwoOfOneID, id.At, "two kinds have the id %q", k.ID).Beside(old.At, "the other one")
		return
	}
	l.pack.Vocabulary.AddKind(k)
}

// FoundChoices are the answers to the built-in sign found, in order.
var FoundChoices = []string{"in_place", "missing", "in_pieces", "loose", "anothers", "turned_round", "found_elsewhere"}

// Masks of answers to found: nobody can look at a part that is missing; of one in
// pieces the pieces can be looked at.
const (
	FoundMissing  = 1 << 1
	FoundInPieces = 1 << 2
)

func (l *loader) builtIn(work *vocab.Kind) {
	hour, _ := measure.UnitOf("h")
	day, _ := measure.UnitOf("d")
	on := &vocab.Property{ID: "on", Name: "done on", Type: vocab.Parts, Role: vocab.Declared}
	work.AddProperty(on)
	work.AddProperty(&vocab.Property{ID: "hours_ago", Name: "hours ago", Type: vocab.Number, Role: vocab.Declared, Unit: hour})
	work.AddProperty(&vocab.Property{ID: "days_ago", Name: "days ago", Type: vocab.Number, Role: vocab.Declared, Unit: day})
	work.AddProperty(&vocab.Property{ID: "told_by", Name: "told by", Type: vocab.Choice, Role: vocab.Declared,
		Choices: []string{"log_book", "invoice", "driver", "own_knowledge", "none_found"}})
	for _, k := range l.pack.Vocabulary.Kinds {
		if k == work {
			continue
		}
		k.AddProperty(&vocab.Property{ID: "works", Name: "work done", Type: vocab.Parts, Role: vocab.Declared, To: work, Inverse: on, OneWay: true})
		if k.ID == "machine" {
			continue
		}
		k.AddProperty(&vocab.Property{ID: "found", Name: "found", Type: vocab.Choice, Role: vocab.Sign, Choices: FoundChoices, Normal: 1,
			Observable: true, Ask: "Is it in its place?", Look: "Before anything is moved; if it is not there, look for it and its pieces.",
			Stage: vocab.Uncleaned, Minutes: 0.5})
	}
}

// bounds adds what a machine can declare of each property.
func bounds(k *vocab.Kind) {
	for _, p := range k.Properties { // the range is over the list as it is now
		switch {
		case p.Role == vocab.Declared || p.Role.Concluded() || p.Type == vocab.Size:
		case p.Type == vocab.Number || p.Type == vocab.Whole:
			for _, b := range []vocab.Bound{vocab.Most, vocab.Least, vocab.New} {
				k.AddProperty(&vocab.Property{ID: vocab.BoundID(b, p.ID), Name: boundWords[b] + " " + p.Name, Type: p.Type, Role: vocab.Declared,
					Unit: p.Unit, Decimals: p.Decimals, Of: p, Bound: b, At: p.At})
			}
		case p.Type == vocab.Choice && p.ID != "found":
			k.AddProperty(&vocab.Property{ID: vocab.BoundID(vocab.Wanted, p.ID), Name: "wanted " + p.Name, Type: p.Type, Role: vocab.Declared,
				Choices: p.Choices, Ordered: p.Ordered, Of: p, Bound: vocab.Wanted, At: p.At})
		}
	}
}

var boundWords = [...]string{vocab.Most: "most allowed", vocab.Least: "least allowed", vocab.New: "size when new,", vocab.Wanted: "wanted"}

func (l *loader) add(k *vocab.Kind, p *vocab.Property, at source.Span) bool {
	if p.Name == "" {
		p.Name = strings.ReplaceAll(p.ID, "_", " ")
	}
	p.At = at
	if old := k.Property(p.ID); old != nil {
		q := l.ps.Addf(TwoOfOneID, at, "%s has two properties %q", k.ID, p.ID)
		if old.At.IsZero() {
			q.Hint("this one is built in")
		} else {
			q.Beside(old.At, "the other one")
		}
		return false
	}
	return k.AddProperty(p)
}

func (l *loader) unit(n *written.Node, what string) *measure.Unit {
	if n == nil {
		return nil
	}
	u, err := measure.UnitOf(n.Text)
	if err != nil {
		p := l.ps.Addf(UnitWanted, n.At, "%s: %v", what, err)
		if te := (*measure.TextError)(nil); errors.As(err, &te) && te.Hint != "" {
			p.Hint("%s", te.Hint)
		}
		return nil
	}
	return u
}

func (l *loader) readFinding(n *written.Node) {
	r := written.Open(n, &l.ps, "finding")
	of, id := r.Strings("of", written.Required), r.Text("id", written.Required)
	name, about, src := r.String("name"), r.String("about"), r.String("source")
	sort := r.Text("sort", written.Required)
	common := r.Node("how_common")
	r.Close()
	if !l.name(id, "finding") {
		return
	}
	role := vocab.Damage
	if sort != nil {
		switch sort.Text {
		case "cause":
			role = vocab.Cause
		case "damage":
		default:
			l.ps.Addf(UnknownType, sort.At, "finding: sort is damage or cause, not %q", sort.Text).DidYouMean(sort.Text, []string{"damage", "cause"})
		}
	}
	var prior float64
	if common != nil {
		prior, _ = l.frequency(common, "finding")
	}
	for _, o := range of {
		if k := l.kind(o); k != nil && !l.refuses(n, o.Text) {
			q := &vocab.Property{ID: id.Text, Name: name, About: about, Source: src, Type: vocab.YesNo, Role: role, HowCommon: prior}
			l.add(k, q, id.At)
			if common != nil && prior == 0 {
				l.unsaidPrior = append(l.unsaidPrior, q)
			}
		}
	}
}

func (l *loader) readComputed(n *written.Node) {
	r := written.Open(n, &l.ps, "computed")
	of, id := r.Strings("of", written.Required), r.Text("id", written.Required)
	p := vocab.Property{Name: r.String("name"), Type: vocab.Number, Role: vocab.Computed, About: r.String("about"), Source: r.String("source"), Decimals: -1}
	p.Unit = l.unit(r.Text("unit", written.Required), "computed")
	p.ID = textOf(id)
	if newAs := l.possible(&p, r); newAs != nil {
		l.ps.Addf(TypeMismatch, newAs.At, "computed: new_as goes with a property that is read")
	}
	if d, ok := r.Int("decimals"); ok {
		p.Decimals = d
	}
	p.Observable, _ = r.Bool("observable")
	asked := l.readQuestion(r, &p)
	if p.Observable {
		l.complete(&p, asked, r.Place())
	}
	r.Close()
	if !l.name(id, "computed") || p.Unit == nil {
		return
	}
	for _, o := range of {
		if k := l.kind(o); k != nil && !l.refuses(n, o.Text) {
			own := p
			own.ID = id.Text
			l.add(k, &own, id.At)
		}
	}
}
