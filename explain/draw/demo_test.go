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
