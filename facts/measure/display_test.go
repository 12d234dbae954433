package measure

import "testing"

func TestDisplay(t *testing.T) {
	for symbol, want := range map[string]string{"in": "mm", "lbf": "N", "bar": "N/mm²", "thou": "mm", "min": "h", "HRC": "HRC", "°F": "°C"} {
		u, err := UnitOf(symbol)
		if err != nil {
			t.Fatal(err)
		}
		if got := Display(u.Dim, u.Point); got == nil || got.Symbol != want {
			t.Errorf("%s is shown in %v, want %s", symbol, got, want)
		}
	}
	if got := Display(Dim{}, false); got != nil {
		t.Errorf("a plain number is shown in %s", got.Symbol)
	}
}
