package draw

// The demo pictures: Sallowmere pumping station, engine 2. All invented.

func demoMap() CauseMap {
	return CauseMap{
		Title: "Engine 2: what led to what",
		Nodes: []CauseNode{
			{"work", "joint of the pedestal remade with sealant, 12 Mar 2025", Root, "log book"},
			{"feed", "feed hole of the pedestal choked, 0.8 of 2.0 mm open", KnockOn, "seen"},
			{"starved", "shaft short of oil", KnockOn, "almost certain, 99 in 100"},
			{"hot", "seat 2ex overheated, steel changed", KnockOn, "by rule, from the tint"},
			{"play", "play over the limit at 2ex", KnockOn, "measured"},
			{"tint", "blue heat tint at seat 2ex", Sign, ""},
			{"groove", "deep groove at seat 2ex, on the side toward the head", Sign, ""},
			{"dry", "no oil at the far arm when running", Sign, ""},
			{"plug", "string of sealant in the feed hole", Sign, ""},
			{"clearance", "clearance opened to 0.55 mm at 2ex", Sign, ""},
			{"nut", "locknut of screw 1in overtightened", Apart, "likely, 9 in 10"},
			{"stretch", "screw 1in stretched", Sign, ""},
			{"clip", "clip 2 gone: broken or never fitted", Open, "not decided between the two"},
		},
		Edges: []CauseEdge{
			{"work", "feed", "sealant squeezed inward closes the drilling"},
			{"feed", "starved", "less oil passes than the seats lose"},
			{"starved", "hot", "no film to carry the heat away"},
			{"hot", "play", "softened steel wears faster"},
			{"play", "starved", "oil escapes at the worn arms before it reaches the far end"},
			{"starved", "play", "metal runs on metal and wears"},
			{"hot", "tint", ""}, {"play", "groove", ""}, {"starved", "dry", ""}, {"feed", "plug", ""}, {"play", "clearance", ""},
			{"nut", "stretch", "the thread yields before the nut does"},
		},
	}
}

func ptr(v float64) *float64 { return &v }

func demoWeights() WeightChart {
	return WeightChart{
		Title: "Why the shaft is held to have run short of oil",
		Cause: "shaft short of oil",
		Start: -10,
		Clues: []WeighedClue{
			{"varnish on the arms looked for, none", -1.8, ""},
			{"no oil at the far arm when running", 12, ""},
			{"worst seats farthest from the feed", 8.5, ""},
			{"blue heat tint", 10, ""},
			{"deep groove at seat 2ex", 4.2, "worst seats farthest from the feed"},
		},
		Probability: 0.9867, Word: "very likely",
		// The likelihood scale of the IPCC guidance note of 2010, made exclusive.
		Scale: []ScaleStep{{"exceptionally unlikely", 0.01}, {"very unlikely", 0.10}, {"unlikely", 0.33}, {"about as likely as not", 0.66}, {"likely", 0.90}, {"very likely", 0.99}, {"virtually certain", 1}},
	}
}

func demoSection() Section {
	return Section{
		Title: "Seat 2ex and its arm, cut across",
		Shaft: Round{"the shaft", []Across{{0, 14.902, "14.902 mm"}, {90, 14.970, "14.970 mm"}}, "middle"},
		Bore:  Round{"the bore", []Across{{0, 15.071, "15.071 mm"}, {90, 15.027, "15.027 mm"}}, ""},
		Unit:  "mm",
		Play:  ptr(0.169), PlayText: "0.169 ± 0.014 mm, over the 0.10 of the maker's book",
		Load:   &Pressing{180, "valve spring and pushrod lift the arm against the underside of the shaft"},
		Worn:   []WornSide{{Angle: 175, Depth: ptr(0.068), Text: "a groove toward the head"}, {OnBore: true, Angle: 30, Or: []float64{210}, Text: "by its diameters"}},
		ZeroAt: "away from the head", SeenFrom: "the feed end",
	}
}

func demoLimits() LimitBars {
	book := "maker's book 1954, page 41"
	row := func(l, t string, v, u float64, r LimitResult) LimitRow {
		return LimitRow{Label: l, Unit: "mm", Value: v, Text: t, U: u, Most: ptr(0.10), MostText: "0.10", Whose: book, Result: r}
	}
	return LimitBars{Title: "Readings against limits", Rows: []LimitRow{
		row("play, 1 inlet", "0.049", 0.049, 0.0035, Inside),
		row("play, 1 exhaust", "0.063", 0.063, 0.0035, Inside),
		row("play, 2 inlet", "0.104", 0.104, 0.0035, Undecided),
		row("play, 2 exhaust", "0.169", 0.169, 0.0035, Over),
		{Label: "thrust washer 2ex far", Unit: "mm", Value: 1.42, U: 0.005, Least: ptr(1.45), Most: ptr(1.60), MostText: "1.60", Whose: "drawing 7-114", Result: Under},
		{Label: "feed hole of the pedestal, open", Unit: "mm", Value: 0.8, Least: ptr(2.0), LeastText: "2.0", Whose: "drawing 7-114", Result: Under},
		{Label: "seat 2ex, diameter", Unit: "mm", Value: 14.902, U: 0.002},
	}}
}

func demoAssembly() Assembly {
	st := func(n string, seat, arm State, sw, aw string, more ...StationPart) Station {
		return Station{n, append([]StationPart{{"seat", Seat, seat, sw}, {"arm", Arm, arm, aw}}, more...)}
	}
	return Assembly{
		Title: "Engine 2: along the rocker shaft", Shaft: "seen from the push rod side", FeedEnd: "oil feed", FarEnd: "far end",
		Stations: []Station{
			{"feed pedestal", []StationPart{{"pedestal", Pedestal, Damaged, "feed hole choked"}}},
			st("1 inlet", Sound, Sound, "", "", StationPart{"screw", Piece, Damaged, "stretched"}, StationPart{"washers", Piece, Sound, ""}),
			st("1 exhaust", Worn, Sound, "light groove, straw", "", StationPart{"screw", Piece, Sound, ""}, StationPart{"washers", Piece, Sound, ""}),
			{"middle pedestal", []StationPart{{"pedestal", Pedestal, NotLooked, ""}}},
			st("2 inlet", Worn, CouldNotTell, "light groove, brown or purple", "pad under burnt oil", StationPart{"screw", Piece, Sound, ""}, StationPart{"washers", Piece, Sound, ""}),
			st("2 exhaust", Overheated, Worn, "blue, deep groove", "pad deep, play over", StationPart{"screw", Piece, Sound, ""}, StationPart{"washer", Piece, Worn, ""}, StationPart{"clip 2", Piece, Gone, ""}),
			{"end pedestal", []StationPart{{"pedestal", Pedestal, Sound, ""}}},
		},
	}
}
