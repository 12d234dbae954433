package explain

import (
	"fmt"
	"strings"

	"whyworn/facts/source"
	"whyworn/rules"
	"whyworn/rules/vocab"
)

// What can be asked about goes by its id, seat_2ex.overheated, and by the name
// that is printed, "seat 2ex: overheated, steel changed".

// sameName tells whether two names differ in case, blanks, '_' and '-' alone.
func sameName(a, b string) bool { return a == b || plainName(a) == plainName(b) }

func plainName(s string) string {
	return strings.ToLower(strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '_' || r == '-' }), " "))
}

// splitName cuts a part from its property at the first '.' or ':' that has a
// part or kind before it; dotted is false where there is no property.
func (c *Case) splitName(text string) (part, prop string, dotted bool) {
	text = strings.TrimSpace(text)
	if c.partsNamed(text) != nil {
		return text, "", false
	}
	first := -1
	for i, r := range text {
		if r != '.' && r != ':' {
			continue
		}
		if first < 0 {
			first = i
		}
		if left := strings.TrimSpace(text[:i]); c.partsNamed(left) != nil {
			prop = strings.TrimSpace(text[i+1:])
			return left, prop, prop != ""
		}
	}
	if first < 0 {
		return text, "", false
	}
	return strings.TrimSpace(text[:first]), strings.TrimSpace(text[first+1:]), true
}

// partsNamed lists the part with this id or name, or all parts of the kind.
func (c *Case) partsNamed(name string) []int32 {
	if n, ok := c.Facts.Find(name); ok {
		return []int32{n}
	}
	kind := c.Pack.Vocabulary.Kind(name)
	if kind == nil {
		var out []int32
		for i := range c.Facts.Parts {
			if sameName(c.Facts.Parts[i].Name, name) {
				out = append(out, int32(i))
			}
		}
		if out != nil {
			return out
		}
		for _, k := range c.Pack.Vocabulary.Kinds {
			if sameName(k.Name, name) || sameName(k.Plural, name) {
				kind = k
				break
			}
		}
	}
	if kind == nil {
		return nil
	}
	return append([]int32{}, c.Facts.OfKind[kind.Index]...)
}

// propertyOf finds a property of a kind by its id, or by its name among those
// that pass.
func propertyOf(k *vocab.Kind, name string, pass func(*vocab.Property) bool) *vocab.Property {
	if p := k.Property(name); p != nil {
		return p
	}
	for _, p := range k.Properties {
		if pass(p) && sameName(p.Name, name) {
			return p
		}
	}
	return nil
}

// nearestName is a hint with the nearest of ids and printed names, "" if none is near.
func nearestName(name string, among []string) string {
	if near, ok := source.Nearest(name, among); ok {
		if strings.ContainsAny(near, " :") {
			near = `"` + near + `"`
		}
		return "did you mean " + near + "?"
	}
	return ""
}

// partNames are the ids and the printed names of all parts.
func (c *Case) partNames() []string {
	var names []string
	for i := range c.Facts.Parts {
		p := &c.Facts.Parts[i]
		names = bothNames(names, p.ID, p.Name)
	}
	return names
}

// bothNames appends an id, and the printed name where it is another.
func bothNames(names []string, id, name string) []string {
	if names = append(names, id); !sameName(id, name) {
		names = append(names, name)
	}
	return names
}

// PartOrKind finds a part of a layout, which may be nil, or a kind of a pack by id
// or name; the part is -1 where a kind is meant.
func PartOrKind(pack *rules.Pack, l *rules.Layout, name string) (*vocab.Kind, int32, error) {
	var names []string
	if l != nil {
		if n, ok := l.Find(name); ok {
			return l.Parts[n].Kind, n, nil
		}
		for i := range l.Parts {
			if sameName(l.Parts[i].Name, name) {
				return l.Parts[i].Kind, int32(i), nil
			}
			names = append(names, l.Parts[i].ID)
		}
	}
	for _, k := range pack.Vocabulary.Kinds {
		if sameName(k.ID, name) || sameName(k.Name, name) || sameName(k.Plural, name) {
			return k, -1, nil
		}
		names = append(names, k.ID)
	}
	e := &CallError{Message: fmt.Sprintf("no part or kind of part is called %q", name)}
	if near := nearestName(name, names); near != "" {
		e.Hints = append(e.Hints, near)
	}
	return nil, -1, e
}

// article puts a or an before a noun.
func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0]|0x20)) {
		return "an " + noun
	}
	return "a " + noun
}
