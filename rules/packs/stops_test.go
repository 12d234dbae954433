package packs

import (
	"testing"

	"whyworn/facts/truth"
	"whyworn/rules"
	"whyworn/rules/condition"
	"whyworn/rules/trial"
)

// What can wreck an engine or hurt someone stops it: for each such finding of the
// rocker gear a remedy says until when it is not to run, and with what caution.
// That these must stop an engine is common practice, no source.
func TestWhatIsDangerousStopsTheEngine(t *testing.T) {
	pack, ps := Load("rocker_gear")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	for _, finding := range []struct{ kind, id string }{
		{"machine", "knocks"}, {"machine", "bearing_suspected"}, {"machine", "loose_pieces"}, {"machine", "sheds_metal"},
		{"machine", "metal_in_filter"}, {"machine", "water_in_oil"}, {"machine", "cooling_water_leaks"},
		{"machine", "pressure_low"}, {"machine", "oil_too_low"},
		{"rocker_arm", "crack_suspected"}, {"rocker_arm", "cracked"}, {"rocker_arm", "broke_apart"}, {"rocker_arm", "came_off"},
		{"rocker_shaft", "cracked"}, {"pedestal", "cracked"}, {"push_rod", "broke_apart"}, {"push_rod", "end_loose"}, {"valve", "sticks"},
		{"rocker_shaft", "not_located"}, {"rocker_arm", "pad_oil_shut"}, {"rocker_arm", "oil_cut_off"}, {"rocker_arm", "oil_narrowed"},
		{"end_clip", "gone"}, {"end_clip", "at_large"}, {"clip_groove", "pieces_of_its_clip"},
		{"machine", "carries_grit"}, {"machine", "gauge_misleads"}, {"oil_feed", "fouled"}, {"oil_feed", "feeds_little"},
		{"rocker_shaft", "broke_apart"}, {"valve", "astray"}, {"push_rod", "astray"}, {"rocker_arm", "astray"}, {"locknut", "astray"},
		{"adjusting_screw", "astray"}, {"flat_washer", "astray"}, {"spring_washer", "astray"}, {"pedestal", "astray"}, {"oil_feed", "astray"},
		{"rocker_shaft", "was_loose"}, {"pedestal", "was_loose"}, {"oil_feed", "was_loose"}, {"adjusting_screw", "was_loose"},
		{"locknut", "was_loose"}, {"end_clip", "was_loose"},
		{"machine", "squeals"}, {"machine", "rods_bent_together"}, {"push_rod", "bent"}, {"push_rod", "filled"}, {"pedestal", "clamp_bottomed"},
		{"end_clip", "not_home"}, {"rocker_arm", "pad_chipped"}, {"rocker_arm", "holds_swarf"}, {"valve", "closes_alone"}, {"pedestal", "slack"}, {"rocker_shaft", "loose_in_pedestals"}, {"locknut", "slack"}, {"valve", "clearance_small"},
	} {
		stopped := false
		for _, m := range pack.Remedies {
			if m.DoNotRunUntil == nil || len(m.Cautions) == 0 || len(m.If) != 1 {
				continue
			}
			for _, e := range alone(nil, m.If[0].Root) {
				if e.Op == condition.Prop && e.Prop.ID == finding.id && e.Prop.Kind.ID == finding.kind {
					stopped = true
				}
			}
		}
		if !stopped {
			t.Errorf("%s.%s: no remedy says until when not to run, with a caution", finding.kind, finding.id)
		}
	}
	for _, m := range pack.Remedies {
		if m.DoNotRunUntil != nil && len(m.Cautions) == 0 {
			t.Errorf("%s stops the engine without a caution", m.ID)
		}
	}
}

// alone lists what makes a condition true by itself: itself, or each side of an or.
func alone(out []*condition.Expr, e *condition.Expr) []*condition.Expr {
	if e.Op == condition.Or {
		for _, a := range e.Args {
			out = alone(out, a)
		}
		return out
	}
	return append(out, e)
}

// What must not run until something is done is held in place by a trial, so that no
// change of the knowledge drops it unseen.
func TestTrialsHoldEveryStop(t *testing.T) {
	for _, name := range Names() {
		pack, ps := Load(name)
		folder, _ := Folder(name)
		trials, more := trial.Load(folder, name)
		if ps.Add(more...); ps.HasErrors() {
			t.Fatal(ps)
		}
		held := map[*rules.Remedy]bool{}
		for _, tr := range trials {
			_, claims, _ := tr.Fit(pack)
			for _, c := range claims {
				held[c.Remedy] = held[c.Remedy] || c.Expect == truth.True
			}
		}
		stops := 0
		for _, m := range pack.Remedies {
			if m.DoNotRunUntil == nil {
				continue
			}
			if stops++; !held[m] {
				t.Errorf("%s: no trial claims the remedy %q, until which the engine must not run", name, m.ID)
			}
		}
		if stops < 20 {
			t.Errorf("%s: only %d stops", name, stops)
		}
	}
}
