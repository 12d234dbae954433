package gauge

import (
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"whyworn/facts/measure"
)

// The short way gives what the long way gives, or gives up.
func TestPlainReadingsAreReadAlike(t *testing.T) {
	mm, _ := measure.UnitOf("mm")
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		unit, _ := measure.UnitOf(rapid.SampledFrom([]string{"mm", "µm", "in", "thou", "°"}).Draw(t, "unit"))
		layout := Layout{Rows: rapid.IntRange(0, 3).Draw(t, "rows"), Angles: []float64{0, 60, 120}[:rapid.IntRange(0, 3).Draw(t, "angles")]}
		var set *Set
		if rapid.Bool().Draw(t, "set") {
			set = &Set{Size: measure.Exact(rapid.SampledFrom([]float64{15, 1, 0.001}).Draw(t, "size")), Decimals: rapid.IntRange(0, 4).Draw(t, "decimals"), Unit: mm}
		}
		sign := ""
		if (set != nil) != (rapid.IntRange(0, 4).Draw(t, "wrong sign") == 0) {
			sign = "[+-]"
		}
		word, blank := rapid.StringMatching(sign+`[1-9][0-9]?([.][0-9]{1,4})?`), rapid.Just(" ")
		rows, columns := rapid.Just(max(1, layout.Rows)), rapid.Just(max(1, len(layout.Angles)))
		if rapid.IntRange(0, 2).Draw(t, "odd") == 0 {
			word = rapid.OneOf(word, rapid.StringMatching(`[+-]?[0-9]{1,2}([.][0-9]{0,4})?`), rapid.SampledFrom([]string{"0", "+0", "-1", "15.02", "14.97;14.98", "?", "15mm", "−3"}))
			blank = rapid.SampledFrom([]string{" ", "  ", "", " mm", " / ", "/"})
			rows, columns = rapid.IntRange(1, 3), rapid.IntRange(0, 3)
		}
		var b strings.Builder
		for row := range rows.Draw(t, "rows written") {
			if row > 0 {
				b.WriteString(rapid.SampledFrom([]string{"/ ", "/", " / ", "\t/\u00a0"}).Draw(t, "slash"))
			}
			for range columns.Draw(t, "columns written") {
				b.WriteString(word.Draw(t, "reading") + blank.Draw(t, "blank"))
			}
		}
		text := b.String()
		short, ok := plainReadings(text, layout, unit, set)
		if !ok {
			return
		}
		seen++
		short.printedIn(unit, short.Decimals)
		long, err := parse(text, layout, unit, set)
		if err != nil || !reflect.DeepEqual(short, long) {
			t.Fatalf("%q: %+v\nthe long way gives %+v, %v", text, short, long, err)
		}
	})
	if seen < 5 {
		t.Errorf("%d readings were plain", seen)
	}
}
