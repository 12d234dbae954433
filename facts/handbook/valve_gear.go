package handbook

// Published figures of valve gear: clearances, springs, ratios, crowns.

// A lash is a published valve clearance, mm; where the source gives one
// figure, min and max are equal.
type lash struct {
	condition, source      string
	intakeMin, intakeMax   float64
	exhaustMin, exhaustMax float64
}

var lashes = []lash{
	{"cold, small pump engine", "Army TM 10-4320-318-14", 0.1, 0.1, 0.1, 0.1},
	{"diesel with crossheads", "Army TM 10-4320-307-24 (0.011 and 0.023 in; its millimetres are printed wrong by ten)", 0.28, 0.28, 0.58, 0.58},
	{"check range, four-cylinder diesel", "Army TM 5-3895-385-23-2", 0.152, 0.381, 0.381, 0.762},
	{"hot, two-stroke diesel", "Army TM 5-3820-233-12/1 (go and no-go gauge)", 0, 0, 0.203, 0.254},
}

// A valveSpring is a published spring, mm and N; 0 where not given.
type valveSpring struct {
	spring, source           string
	freeNew, freeLimit       float64
	length, loadMin, loadMax float64 // at the test length
	loadLimit                float64
	squareness               float64
	openLength, openLoad     float64
}

var valveSprings = []valveSpring{
	{spring: "60 mm free", source: "Army TM 5-1940-322-24", freeNew: 60, length: 49.25, loadMin: 359, loadMax: 397, squareness: 1.0},
	{spring: "inner", source: "Army TM 9-2815-254-24", freeNew: 47.9, freeLimit: 46.5},
	{spring: "small diesel", source: "Army TM 9-2815-257-24", freeLimit: 31.5},
	{spring: "large push-rod engine", source: "workshop specification", length: 45.75, loadMin: 340, loadMax: 340, openLength: 35.55, openLoad: 980},
	{spring: "truck diesel", source: "service manual", freeNew: 48.0, freeLimit: 47.1, length: 38.9, loadMin: 296.2, loadMax: 296.2, loadLimit: 257.9, squareness: 1.7},
	{spring: "small off-road vehicle", source: "service manual", freeNew: 36.83, freeLimit: 35.83, length: 31.5, loadMin: 107, loadMax: 125, loadLimit: 102, squareness: 1.6},
}

// tradeFigures are single published ranges that rules and people ask for.
var tradeFigures = []struct {
	name, title, unit, source string
	lo, hi                    float64
	cautions                  []string
}{
	{"rocker_ratio", "Usual ratio of push-rod rockers", "", "rocker ratio reference text", 1.5, 1.8, []string{"one large engine publishes 1.70"}},
	{"rocker_tip_travel", "Usual sideways travel of a rocker on the valve tip", "mm", "trade article on rocker ratio (0.040 to 0.080 in)", 1.0, 2.0, nil},
	{"retaining_ring_groove_share", "Share of retaining-ring failures that are groove deformation", "%", "retaining-ring maker's trade article", 90, 90, []string{"a supplier's statement without data: look at the groove before the clip"}},
	{"ball_socket_contact", "Least contact area of ball and socket by blueing", "%", "Army TM 9-6115-604-34 and TM 9-2320-260-34-1", 80, 100, nil},
	{"tappet_crown", "Crown of a flat tappet face as published", "mm", "cam follower grinder's page (0.00005 in = 0.00127 mm); trade memory: 0.0018 to 0.0020 in, spherical radius 30 to 50 in", 0.00127, 0.0508, []string{"the two sources differ forty times: the span is shown, the low end is the grinder's; measure a new tappet"}},
}

func valveGearEntries() []*Entry {
	mm := func(name, means string) Param { return anyNumber(name, "mm", means) }
	var conditions, springs []string
	lashSource, springSource := "", ""
	for _, l := range lashes {
		conditions = append(conditions, l.condition)
		lashSource += "; " + l.condition + ": " + l.source
	}
	for _, s := range valveSprings {
		springs = append(springs, s.spring)
		springSource += "; " + s.spring + ": " + s.source
	}
	list := []*Entry{
		entry(Entry{
			Name: "published_lash", Title: "Published valve clearances", Formula: "table",
			Params:  []Param{word("condition", "engine and state", conditions...)},
			Results: []Param{mm("exhaust_min", "least, exhaust"), mm("exhaust_max", "greatest, exhaust"), mm("intake_min", "least, intake"), mm("intake_max", "greatest, intake")},
			Domain:  "the engines tabulated", Source: lashSource[2:],
			Cautions: []string{othersLimits, "hot and cold figures are different figures; one two-stroke loses 0.076 mm from cold to hot", "a check range can be wider than one to two: drift inside it is no fault"},
		}, func(a []Arg) ([]float64, error) {
			l := lashes[int(indexOf(conditions, a[0].Text))]
			return []float64{l.exhaustMin, l.exhaustMax, orNaN(l.intakeMin), orNaN(l.intakeMax)}, nil
		}),
		entry(Entry{
			Name: "published_spring", Title: "Published valve-spring lengths, loads and limits", Formula: "table; rate = (open load − seat load)/(seat length − open length) where both are given, else mean load/(free − test length)",
			Params: []Param{word("spring", "the spring", springs...)},
			Results: []Param{
				mm("free_limit", "least free length"), mm("free_new", "free length new"), mm("length", "test length, or seat length"),
				anyNumber("load_min", "N", "least load there, new"), anyNumber("load_max", "N", "greatest load there, new"), anyNumber("load_limit", "N", "least load allowed there"),
				mm("squareness_max", "greatest lean"), mm("open_length", "length at full lift"), anyNumber("open_load", "N", "load there"), anyNumber("rate", "N/mm", "from the figures above"),
			},
			Domain: "the springs tabulated; a figure the source lacks is not given", Source: springSource[2:], Cautions: []string{othersLimits},
		}, func(a []Arg) ([]float64, error) {
			s := valveSprings[int(indexOf(springs, a[0].Text))]
			return []float64{
				orNaN(s.freeLimit), orNaN(s.freeNew), orNaN(s.length), orNaN(s.loadMin), orNaN(s.loadMax), orNaN(s.loadLimit),
				orNaN(s.squareness), orNaN(s.openLength), orNaN(s.openLoad), s.rate(),
			}, nil
		}),
	}
	for _, t := range tradeFigures {
		list = append(list, entry(Entry{
			Name: t.name, Title: t.title, Formula: "published range",
			Results: []Param{anyNumber("middle", t.unit, "middle of the range"), anyNumber("low", t.unit, "least"), anyNumber("high", t.unit, "greatest")},
			Domain:  "as the source says", Source: t.source, Cautions: t.cautions,
		}, func([]Arg) ([]float64, error) { return []float64{(t.lo + t.hi) / 2, t.lo, t.hi}, nil }))
	}
	return list
}

// rate is in N/mm; NaN where the figures do not give one.
func (s valveSpring) rate() float64 {
	switch {
	case s.openLoad != 0:
		return (s.openLoad - (s.loadMin+s.loadMax)/2) / (s.length - s.openLength)
	case s.freeNew != 0 && s.length != 0:
		return (s.loadMin + s.loadMax) / 2 / (s.freeNew - s.length)
	}
	return open
}
