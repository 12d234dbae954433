package handbook

import (
	"encoding/json"
	"math"
)

// MarshalJSON writes a value as {"name", "value", "unit", "means", "assumed"}:
// value is a number, a word, a list of numbers, or null where the source gives
// no figure.
func (v Value) MarshalJSON() ([]byte, error) {
	var value any = v.Word
	if v.Word == "" {
		list := make([]any, len(v.Numbers))
		for i, n := range v.Numbers {
			if !math.IsNaN(n) {
				list[i] = n
			}
		}
		if value = list; !v.List && len(list) == 1 {
			value = list[0]
		}
	}
	unit := v.Unit
	if unit == "text" {
		unit = ""
	}
	return json.Marshal(struct {
		Name    string `json:"name"`
		Value   any    `json:"value"`
		Unit    string `json:"unit,omitempty"`
		Means   string `json:"means,omitempty"`
		Assumed bool   `json:"assumed,omitempty"`
	}{v.Name, value, unit, v.Means, v.Defaulted})
}

// MarshalJSON writes an answer with its source: {"name", "title", "formula",
// "given", "results", "domain", "source", "cautions"}.
func (a Answer) MarshalJSON() ([]byte, error) {
	given, results, cautions := a.Given, a.Results, a.Entry.Cautions
	if given == nil {
		given = []Value{}
	}
	if cautions == nil {
		cautions = []string{}
	}
	return json.Marshal(struct {
		Name     string   `json:"name"`
		Title    string   `json:"title"`
		Formula  string   `json:"formula"`
		Given    []Value  `json:"given"`
		Results  []Value  `json:"results"`
		Domain   string   `json:"domain"`
		Source   string   `json:"source"`
		Cautions []string `json:"cautions"`
	}{a.Entry.Name, a.Entry.Title, a.Entry.Formula, given, results, a.Entry.Domain, a.Entry.Source, cautions})
}
