package handbook

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
)

// A row is one [[check]] of testdata/published.toml.
type row struct {
	topic, id, source, how, note string
	computed, disagreement       bool
	inputs, expected             map[string]any
	units                        map[string]any
	tolerance, publishedAs       map[string]any
}

// readRows reads the little of TOML that the file uses: one key a line,
// strings without escapes, floats, booleans, arrays of floats, inline tables.
func readRows(t *testing.T) []row {
	t.Helper()
	text, err := os.ReadFile("testdata/published.toml")
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for n, line := range strings.Split(string(text), "\n") {
		switch {
		case line == "" || line[0] == '#':
		case line == "[[check]]":
			rows = append(rows, row{})
		default:
			key, value, ok := strings.Cut(line, " = ")
			if !ok || len(rows) == 0 {
				t.Fatalf("line %d: %q is not key = value of a row", n+1, line)
			}
			v, rest, err := readValue(value)
			if err != nil || rest != "" {
				t.Fatalf("line %d: %q: %v, left over %q", n+1, value, err, rest)
			}
			if err := rows[len(rows)-1].set(key, v); err != nil {
				t.Fatalf("line %d: %v", n+1, err)
			}
		}
	}
	return rows
}

func (r *row) set(key string, v any) error {
	texts := map[string]*string{"topic": &r.topic, "id": &r.id, "source": &r.source, "how": &r.how, "note": &r.note}
	flags := map[string]*bool{"computed": &r.computed, "disagreement": &r.disagreement}
	tables := map[string]*map[string]any{"inputs": &r.inputs, "expected": &r.expected, "units": &r.units, "tolerance": &r.tolerance, "published_as": &r.publishedAs}
	var ok bool
	switch {
	case texts[key] != nil:
		*texts[key], ok = v.(string)
	case flags[key] != nil:
		*flags[key], ok = v.(bool)
	case tables[key] != nil:
		*tables[key], ok = v.(map[string]any)
	}
	if !ok {
		return fmt.Errorf("%s = %v is not known, or not of its kind", key, v)
	}
	return nil
}

func readValue(s string) (v any, rest string, err error) {
	s = strings.TrimLeft(s, " ")
	switch {
	case strings.HasPrefix(s, `"`):
		end := strings.Index(s[1:], `"`)
		if end < 0 {
			return nil, s, fmt.Errorf("a string is not closed")
		}
		return s[1 : 1+end], s[end+2:], nil
	case strings.HasPrefix(s, "true"):
		return true, s[4:], nil
	case strings.HasPrefix(s, "false"):
		return false, s[5:], nil
	case strings.HasPrefix(s, "["):
		list := []float64{}
		s = s[1:]
		for {
			s = strings.TrimLeft(s, " ,")
			if strings.HasPrefix(s, "]") {
				return list, s[1:], nil
			}
			if v, s, err = readValue(s); err != nil {
				return nil, s, err
			}
			list = append(list, v.(float64))
		}
	case strings.HasPrefix(s, "{"):
		table := map[string]any{}
		s = s[1:]
		for {
			s = strings.TrimLeft(s, " ,")
			if strings.HasPrefix(s, "}") {
				return table, s[1:], nil
			}
			key, after, ok := strings.Cut(s, "=")
			if !ok {
				return nil, s, fmt.Errorf("an inline table is not closed")
			}
			if v, s, err = readValue(after); err != nil {
				return nil, s, err
			}
			table[strings.TrimSpace(key)] = v
		}
	}
	end := strings.IndexAny(s, " ,]}")
	if end < 0 {
		end = len(s)
	}
	v, err = strconv.ParseFloat(s[:end], 64)
	return v, s[end:], err
}
