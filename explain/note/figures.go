package note

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"whyworn/engine/record"
	"whyworn/engine/weigh"
	"whyworn/explain"
	"whyworn/explain/draw"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/vocab"
)

// figure adds a drawing. One that cannot be drawn is left out: what it shows
// stands in words beside it.
func (w *writer) figure(p *draw.Picture, err error) {
	if err == nil {
		w.figures++
		w.add(Figure{Number: w.figures, Picture: p})
	}
}

// drawn is for a drawing of what stands in words beside it.
func (w *writer) drawn(p *draw.Picture, err error) {
	if err == nil {
		w.figures++
		w.add(Figure{Number: w.figures, Picture: p, Repeats: true})
	}
}

// limitRows is how many readings the drawing holds; the table holds them all.
const limitRows = 8

// limitBars draws what is not inside its limits, and of the rest what has an
// uncertainty to show.
func (w *writer) limitBars(all []against) {
	b := draw.LimitBars{Title: "Readings against limits"}
	for _, a := range all {
		if !a.value.Number.IsValue() || len(b.Rows) == limitRows || a.result == draw.Inside && a.value.Number.U() == 0 {
			continue
		}
		unit := a.prop.Unit
		number, _, _ := strings.Cut(a.found, " ")
		row := draw.LimitRow{Label: w.d.PartName(a.part) + ": " + a.prop.Name, Unit: unit.Symbol, Value: unit.FromBase(a.value.Number.Lo),
			Text: number, U: w.spread(a.prop, &a.value) / w.d.Facts.K, K: w.d.Facts.K, Whose: a.whose, Result: a.result}
		if a.least != nil && a.least.IsValue() {
			v := unit.FromBase(a.least.Lo)
			row.Least = &v
			row.LeastText, _, _ = strings.Cut(a.leastW, " ")
		}
		if a.most != nil && a.most.IsValue() {
			v := unit.FromBase(a.most.Lo)
			row.Most = &v
			row.MostText, _, _ = strings.Cut(a.mostW, " ")
		}
		b.Rows = append(b.Rows, row)
	}
	if len(b.Rows) > 0 {
		w.drawn(b.Draw())
	}
}

// mapBoxes is how many boxes a map of causes holds before signs are left out.
const mapBoxes = 14

// causeMaps draws what led to what, chain by chain.
func (w *writer) causeMaps() {
	for i := range w.d.Story.Chains {
		k := &w.d.Story.Chains[i]
		if len(k.Links) == 0 {
			continue
		}
		m := w.causeMap(k)
		boxes := 0
		for _, n := range m.Nodes {
			if n.Role != draw.Sign {
				boxes++
			}
		}
		if boxes >= leastBoxes {
			w.drawn(m.Draw())
		}
	}
}

// leastBoxes is how many findings a map shows at the least: that one thing led to
// another stands in a sentence already.
const leastBoxes = 3

// causeMap draws one chain. Findings that led to nothing further and came of the
// same causes share a box.
func (w *writer) causeMap(k *explain.Chain) draw.CauseMap {
	m := draw.CauseMap{Title: "What led to what"}
	var began []int32
	for _, id := range w.factsOf(k, explain.Root) {
		if !slices.Contains(began, id.Part) {
			began = append(began, id.Part)
		}
	}
	if len(began) > 0 {
		m.Title += ", beginning with " + w.d.Some(began, 3)
	}
	box := map[record.FactID]string{}
	var order []string
	held := map[string][]explain.Told{}
	for _, f := range k.Findings {
		id := fmt.Sprintf("%d/%s.%s", f.Role, f.Prop.Kind.ID, f.Prop.ID)
		if from, leaf := w.leaf(k, f.FactID); leaf && f.Role == explain.KnockOn {
			id = from
		}
		box[f.FactID] = id
		if held[id] == nil {
			order = append(order, id)
		}
		held[id] = append(held[id], f)
	}
	for _, id := range order {
		m.Nodes = append(m.Nodes, w.mapNode(id, held[id]))
	}
	edges := map[[2]string]bool{}
	for _, l := range k.Links {
		ends := [2]string{box[l.From], box[l.To]}
		if l.Forbid || ends[0] == ends[1] || edges[ends] {
			continue
		}
		edges[ends] = true
		m.Edges = append(m.Edges, draw.CauseEdge{From: ends[0], To: ends[1]})
	}
	w.mapSigns(&m, box)
	return m
}

// leaf tells whether a finding led to nothing further, and what it came of.
func (w *writer) leaf(k *explain.Chain, id record.FactID) (from string, leaf bool) {
	for _, l := range k.Links {
		switch id {
		case l.From:
			return "", false
		case l.To:
			from += w.d.FactID(l.From) + " "
		}
	}
	return from, true
}

func (w *writer) mapNode(id string, held []explain.Told) draw.CauseNode {
	var ids []record.FactID
	var chances []string
	for _, f := range held {
		ids = append(ids, f.FactID)
		if s := sure(f.Fact); !slices.Contains(chances, s) {
			chances = append(chances, s)
		}
	}
	n := draw.CauseNode{ID: id, Text: w.boxed(ids), Role: mapRole(held[0].Role)}
	if len(chances) == 1 && chances[0] != settled {
		n.Sure = chances[0]
	}
	return n
}

// boxed names facts as far as a box of the map has room for them, and counts the rest.
func (w *writer) boxed(ids []record.FactID) string {
	const room = 90 // characters: five lines
	groups := explain.Grouped(ids)
	text, n := "", 0
	for i, g := range groups {
		next := joined("; ", text, w.d.Some(g.Parts, 6)+": "+g.Names())
		if i > 0 && utf8.RuneCountInString(next) > room {
			return fmt.Sprintf("%s; and %d more", text, len(ids)-n)
		}
		text, n = next, n+len(g.Parts)*len(g.Props)
	}
	return text
}

func mapRole(r explain.Role) draw.Role {
	switch r {
	case explain.Root, explain.Circle:
		return draw.Root
	case explain.KnockOn:
		return draw.KnockOn
	}
	return draw.Apart
}

// mapSigns adds the weightiest signs by which the weighed causes are known.
func (w *writer) mapSigns(m *draw.CauseMap, box map[record.FactID]string) {
	const each = 2
	boxes := map[string]string{} // of signs, by words
	for _, f := range w.d.Result.True() {
		if box[f.FactID] == "" || f.Certain || !f.Decided {
			continue
		}
		for i, way := range w.d.Weighing(f.FactID).For {
			if i == each || len(m.Nodes) >= mapBoxes {
				break
			}
			words := w.sign(&way)
			id, ok := boxes[words]
			if !ok {
				id = fmt.Sprintf("sign/%d", len(boxes))
				boxes[words] = id
				m.Nodes = append(m.Nodes, draw.CauseNode{ID: id, Text: words, Role: draw.Sign})
			}
			m.Edges = append(m.Edges, draw.CauseEdge{From: box[f.FactID], To: id})
		}
	}
}

// scale is the scale of words for chances that package weigh speaks by.
var scale = func() []draw.ScaleStep {
	var out []draw.ScaleStep
	for _, to := range []float64{0.01, 0.10, 0.33, 0.66, 0.90, 0.99, 1} {
		out = append(out, draw.ScaleStep{Word: weigh.Word(to - 0.001), To: to})
	}
	return out
}()

// weights draws the evidence on the first cause that was weighed; that on the others
// stands in the table.
func (w *writer) weights() {
	for _, k := range w.d.Story.Chains {
		for _, f := range k.Findings {
			if !f.Certain && f.Decided && f.Prop.Role == vocab.Cause {
				w.drawn(w.weightChart(f.FactID).Draw())
				return
			}
		}
	}
}

func (w *writer) weightChart(id record.FactID) draw.WeightChart {
	f := w.d.Result.Fact(id.Part, id.Prop)
	name := w.d.FactName(id)
	c := draw.WeightChart{Title: "Why it is held: " + name, Cause: name, Start: decibans(w.d.Start(id)),
		Probability: f.Probability, Word: weigh.Word(f.Probability), Scale: scale}
	g := w.d.Weighing(id)
	for _, list := range [][]record.Way{g.For, g.Against, g.AlreadyCounted} {
		for i := range list {
			clue := draw.WeighedClue{Text: w.sign(&list[i]), Weight: decibans(list[i].Weight)}
			if n := list[i].Through; !list[i].Counted {
				clue.Through = "another sign"
				if n >= 0 && n < len(g.All) {
					clue.Through = w.sign(&g.All[n])
				}
			}
			c.Clues = append(c.Clues, clue)
		}
	}
	return c
}

func decibans(w weigh.Weight) float64 { return float64(w) / float64(weigh.Deciban) }

// assemblies draws where along the machine the trouble sits.
func (w *writer) assemblies() {
	d := w.d
	for _, pic := range d.Pack.Pictures {
		for i, along := range d.Facts.OfKind[pic.Along.Index] {
			stations := d.Facts.List(pic.Stations, int32(i))
			a := draw.Assembly{Title: "Where it sits, along the " + d.PartName(along)}
			for _, st := range stations {
				p := &d.Facts.Parts[st]
				name := p.Name
				if p.Row != "" {
					name = choiceWords(p.Row)
				}
				s := draw.Station{Name: name, Parts: []draw.StationPart{w.stationPart(st, st, draw.Seat)}}
				for _, rider := range w.referring(st) {
					s.Parts = append(s.Parts, w.stationPart(rider, st, draw.Arm))
					for _, more := range w.cluster(rider, st, along) {
						s.Parts = append(s.Parts, w.stationPart(more, st, draw.Piece))
					}
				}
				a.Stations = append(a.Stations, s)
			}
			if len(a.Stations) > 0 {
				w.drawn(a.Draw())
			}
		}
	}
}

// referring lists the parts that sit by a part: with the one reference of their kind to
// its kind.
func (w *writer) referring(to int32) []int32 {
	var out []int32
	f := w.d.Facts
	for _, k := range w.d.Pack.Vocabulary.Kinds {
		var by []*vocab.Property
		for _, p := range k.Properties {
			if p.Type == vocab.Part && p.To == f.Parts[to].Kind {
				by = append(by, p)
			}
		}
		if len(by) != 1 { // two references say where something ends, not where it sits
			continue
		}
		for ord, n := range f.Ref(by[0]) {
			if part := f.OfKind[k.Index][ord]; n == to && f.Parts[part].Work == nil {
				out = append(out, part)
			}
		}
	}
	return out
}

// around lists the parts that one part refers to, and those that refer to it.
func (w *writer) around(part, but int32) []int32 {
	var out []int32
	f := w.d.Facts
	k := f.Parts[part].Kind
	for _, p := range k.Properties {
		if p.Type == vocab.Part && p.To != nil && int(f.Parts[part].Ordinal) < len(f.Ref(p)) {
			if n := f.Ref(p)[f.Parts[part].Ordinal]; n >= 0 && n != but && !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	for _, n := range w.referring(part) {
		if n != but && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// cluster lists the parts about the rider of a station, and those about them in turn:
// its pieces, but not the part they run along, the machine, or other stations.
func (w *writer) cluster(rider, station, along int32) []int32 {
	const steps = 3
	parts := w.d.Facts.Parts
	var out []int32
	from := []int32{rider}
	for range steps {
		var next []int32
		for _, p := range from {
			for _, n := range w.around(p, station) {
				switch {
				case n == rider, slices.Contains(out, n), parts[n].Kind == parts[along].Kind, parts[n].Kind == parts[station].Kind,
					parts[n].Kind == parts[rider].Kind, parts[n].Kind.ID == "machine":
					continue
				}
				out, next = append(out, n), append(next, n)
			}
		}
		from = next
	}
	return out
}

// stationPart tells the state of a part: by what was found of it, and by what
// becomes of it.
func (w *writer) stationPart(part, station int32, form draw.Form) draw.StationPart {
	d := w.d
	p := &d.Facts.Parts[part]
	out := draw.StationPart{Name: p.Kind.Name, Form: form}
	if face, ok := strings.CutPrefix(p.Row, d.Facts.Parts[station].Row+"_"); ok && d.Facts.Parts[station].Row != "" {
		out.Name += ", " + choiceWords(face)
	}
	looked := slices.ContainsFunc(d.Facts.Observations, func(o rules.Observation) bool { return o.Part == part })
	var damage []string
	for _, f := range d.Result.True() {
		if f.Part == part && f.Prop.Role == vocab.Damage {
			damage = append(damage, f.Prop.Name)
		}
	}
	v, judged := d.Result.Verdict(part)
	switch {
	case !looked:
		out.State = draw.NotLooked
	case w.missing(part):
		out.State = draw.Gone
	case len(damage) > 0 && (judged && v.Level == vocab.Replace || w.condemns(part)):
		out.State = draw.Damaged
	case len(damage) > 0:
		out.State = draw.Worn
	case judged && v.Level == vocab.InspectFurther:
		out.State = draw.CouldNotTell
		out.Word = "look further"
	default:
		out.State = draw.Sound
	}
	const named = 2
	if len(damage) > named {
		damage = append(damage[:named:named], fmt.Sprintf("%d more", len(damage)-named))
	}
	if len(damage) > 0 {
		out.Word = strings.Join(damage, ", ")
	}
	return out
}

// condemns tells whether damage of a part is why another one is replaced, as that
// of a seat is why its shaft is.
func (w *writer) condemns(part int32) bool {
	var holds func(n *record.Seen) bool
	holds = func(n *record.Seen) bool {
		if n.Expr != nil && n.Expr.Type.K == condition.KBool && n.State != truth.True {
			return false
		}
		for _, id := range n.Reads {
			if id.Part == part && id.Prop.Role == vocab.Damage && w.d.State(id) == truth.True {
				return true
			}
		}
		return slices.ContainsFunc(n.Args, func(m record.Seen) bool { return holds(&m) })
	}
	for i := range w.d.Verdicts {
		v := &w.d.Verdicts[i]
		if v.Level != vocab.Replace {
			continue
		}
		for _, way := range v.Ways {
			if slices.ContainsFunc(way.If, func(n record.Seen) bool { return holds(&n) }) {
				return true
			}
		}
	}
	return false
}

func (w *writer) missing(part int32) bool {
	p := w.d.Facts.Parts[part].Kind.Property(foundID)
	if p == nil {
		return false
	}
	o := w.d.Facts.Lookup(part, p)
	return o != nil && o.Value.One() == slices.Index(rules.FoundChoices, "missing")
}
