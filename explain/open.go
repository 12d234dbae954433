package explain

import (
	"cmp"
	"slices"

	"whyworn/engine/record"
	"whyworn/explain/words"
	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// OpenCause is a cause that is neither held nor excluded though something is
// known of it.
type OpenCause struct {
	record.Finding
	Rivals []record.FactID // causes that exclude it
	// Looks are those that can still be had and speak to it: what one answer
	// settles first, then the most informative. None: nothing on this bench can
	// decide it, or it is at odds with itself (Conflict) and no look mends that.
	Looks []OpenLook
}

// OpenLook is a look that speaks to an open cause.
type OpenLook struct {
	Ask      record.FactID
	Decides  bool // an answer to it alone would settle the cause
	bits     float64
	ordinary int // place among all looks
}

// open lists the causes that stay open, between which, and which of the looks
// still to be had speak to them.
func (d *Diagnosis) open(looks []Look) {
	at := map[record.FactID]int{}
	for _, f := range d.Result.Findings() {
		if f.State != truth.Unknown || f.Prop.Role != vocab.Cause {
			continue
		}
		if f.Prop.Weighed && !f.Decided && !f.Conflict {
			continue // nothing speaks for or against it yet
		}
		o := OpenCause{Finding: f}
		for _, v := range d.Pack.Rivals {
			for _, in := range d.instances(v.Each, v.If) {
				o.rivals(v, in.Bound)
			}
		}
		at[f.FactID] = len(d.Open)
		d.Open = append(d.Open, o)
	}
	for n := range looks {
		l := &looks[n]
		for i, id := range l.Settles {
			if k, ok := at[id]; ok {
				d.Open[k].Looks = append(d.Open[k].Looks, OpenLook{l.Ask, slices.Contains(l.Decides, id), l.bits[i], n})
			}
		}
	}
	for i := range d.Open {
		slices.SortFunc(d.Open[i].Looks, func(a, b OpenLook) int {
			return cmp.Or(cmp.Compare(b2i(b.Decides), b2i(a.Decides)), cmp.Compare(round(b.bits), round(a.bits)), cmp.Compare(a.ordinary, b.ordinary))
		})
	}
	slices.SortStableFunc(d.Open, func(a, b OpenCause) int { return cmp.Compare(b.Probability, a.Probability) })
}

func (o *OpenCause) rivals(v *rules.Rivals, bound []int32) {
	ids := make([]record.FactID, len(v.Causes))
	for i, h := range v.Causes {
		ids[i] = record.FactID{Part: bound[h.Var], Prop: h.Prop}
	}
	if !slices.Contains(ids, o.FactID) {
		return
	}
	for _, id := range ids {
		if id != o.FactID && !slices.Contains(o.Rivals, id) {
			o.Rivals = append(o.Rivals, id)
		}
	}
}

// NothingCan tells whether no look that can still be had speaks to the cause.
func (o *OpenCause) NothingCan() bool { return len(o.Looks) == 0 && !o.Conflict }

// looksNamed is how many looks a line about an open cause names.
const looksNamed = 3

// DecideWords tells what would decide an open cause: "to decide it look at seat
// 2in: film, or …"; what no single answer settles only speaks to it.
func (d *Diagnosis) DecideWords(o *OpenCause) string {
	if len(o.Looks) == 0 {
		if o.Conflict {
			return "what is known of it is at odds"
		}
		return "nothing that can still be looked at on this bench decides it"
	}
	lead := "to decide it look at "
	if !o.Looks[0].Decides {
		lead = "no one look decides it; these speak to it: "
	}
	var names []string
	for i, l := range o.Looks {
		if l.Decides != o.Looks[0].Decides || i == looksNamed {
			break
		}
		names = append(names, d.FactName(l.Ask))
	}
	last := "or"
	if !o.Looks[0].Decides {
		last = "and"
	}
	return lead + words.List(names, last)
}
