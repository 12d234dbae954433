package vocab

import "strings"

// Directions tells for people how the angles of a worn side run: "0° is toward
// the cylinder head, angles run clockwise seen from the feed end". Where it was
// found by diameters, which are the same after half a turn, it adds that. Empty
// for all other properties, and where the kind declares nothing.
func (p *Property) Directions() string {
	if p.Role != Derived || p.Of == nil || p.Unit == nil || p.Unit == p.Of.Unit {
		return ""
	}
	var out []string
	if z := p.Kind.AngleZero; z != "" {
		out = append(out, "0° is "+z)
	}
	if s := p.Kind.SeenFrom; s != "" {
		out = append(out, "angles run clockwise seen from "+s)
	}
	if p.Of.Layout.Diameters() {
		out = append(out, "diameters do not tell a side from the one opposite")
	}
	return strings.Join(out, ", ")
}

// Diameters tells whether readings at these angles repeat after half a turn, as
// diameters do, so that a side cannot be told from the one opposite.
func (l Layout) Diameters() bool {
	for _, a := range l.Across {
		if a < 0 || a >= 180 {
			return false
		}
	}
	return len(l.Across) > 0
}
