package draw

import (
	"fmt"
	"math"
)

// Section is the input of the picture of a shaft in its bore, cut across. Angles
// are degrees; 0 is drawn at the top and they run clockwise.
type Section struct {
	Title       string
	Shaft, Bore Round
	Unit        string
	// Play is bore less shaft, the whole movement, in Unit; nil if not known.
	// PlayText is how to write it, with its uncertainty if there is one.
	Play     *float64
	PlayText string
	// Load is where the load presses shaft and bore together; nil if not known.
	Load *Pressing
	Worn []WornSide
	// Notes are said beside the picture: what has no place in it.
	Notes []string
	// ZeroAt says what lies at 0 degrees, SeenFrom from which end one looks.
	ZeroAt, SeenFrom string
}

// Round is a round surface with the diameters measured on it.
type Round struct {
	Name     string
	Readings []Across
	Station  string // where along the part they were taken; may be empty
}

// Across is one diameter, in the section's unit, measured through Angle.
type Across struct {
	Angle float64
	Value float64
	Text  string // how to write it; made from Value if empty
}

// Pressing is a direction of load.
type Pressing struct {
	Angle float64
	Text  string
}

// WornSide is where a surface has lost metal.
type WornSide struct {
	OnBore bool
	Angle  float64
	// Or are the other sides that may be it instead: all are then drawn as
	// outlines with a question mark, none as metal gone.
	Or        []float64
	Depth     *float64 // in the section's unit; nil if not measured
	DepthText string   // how to write it; made from Depth if empty
	Text      string
}

// sides are all angles that may be the worn one.
func (w *WornSide) sides() []float64 { return append([]float64{w.Angle}, w.Or...) }

const (
	sectionWidth = 510.0
	boreR        = 92.0 // as drawn
	housing      = 25.0
	drawnPlay    = 24.0 // on the diameter, as drawn
	drawnWear    = 9.0
	maxReadings  = 8
	maxWorn      = 4
)

func (s *Section) check() error {
	if len(s.Shaft.Readings) > maxReadings || len(s.Bore.Readings) > maxReadings {
		return fmt.Errorf("too many diameters for one section, %d at the most on shaft and on bore", maxReadings)
	}
	if len(s.Worn) > maxWorn {
		return fmt.Errorf("too many worn sides for one section, %d at the most", maxWorn)
	}
	var vs []float64
	for _, r := range append(append([]Across{}, s.Shaft.Readings...), s.Bore.Readings...) {
		vs = append(vs, r.Angle, r.Value)
	}
	if s.Play != nil {
		vs = append(vs, *s.Play)
	}
	if s.Load != nil {
		vs = append(vs, s.Load.Angle)
	}
	for _, w := range s.Worn {
		if len(w.Or) > maxWorn {
			return fmt.Errorf("too many sides that may be worn, %d at the most", maxWorn)
		}
		vs = append(vs, w.sides()...)
		if w.Depth != nil {
			vs = append(vs, *w.Depth)
		}
	}
	return finite("a number of the section", vs...)
}

// compass is the unit vector of an angle.
func compass(deg float64) Point {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return Point{sin, -cos}
}

func polar(c Point, deg, r float64) Point {
	d := compass(deg)
	return Point{c.X + r*d.X, c.Y + r*d.Y}
}

// between is the angle between two directions, 0 to 180.
func between(a, b float64) float64 {
	d := math.Mod(math.Abs(a-b), 360)
	return min(d, 360-d)
}

func turned(deg float64) float64 {
	d := math.Mod(deg, 360)
	if d < 0 {
		d += 360
	}
	return d
}

func degrees(v float64) string { return num(math.Round(turned(v)*10)/10) + "°" }

// Draw makes the picture. Errors: a number that is not finite, too many readings
// or worn sides.
func (s Section) Draw() (*Picture, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	d := sectionDrawing{s: &s}
	return d.picture(), nil
}
